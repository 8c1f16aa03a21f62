"""The application: routes, static files and the guard before them."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.routing import Route

import tradestudy.report

from .answers import answer_to, json_route
from .page import LivePage
from .safety.guard import Guard

_HERE = Path(__file__).parent
_REPORT = Path(tradestudy.report.__file__).parent
# files of the report that the page uses too: one style and one set of words
_SHARED = ("page/templates/page.css", "logbook/templates/note_words.js")
_TYPES = {".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml"}


def application(page: LivePage) -> Guard:
    """Return the ASGI application of a live page, with its guard."""

    @asynccontextmanager
    async def life(app: Starlette) -> AsyncIterator[None]:
        page.prepare()
        yield
        page.close()

    async def html(request: Request) -> Response:
        try:
            return HTMLResponse(await page.html(request.query_params.get("file")))
        except asyncio.CancelledError:
            raise
        except Exception as error:
            status, document = answer_to(error)
            return PlainTextResponse(document.get("error", ""), status)

    files = static_files()

    async def static(request: Request) -> Response:
        content = files.get(request.path_params["name"])
        if content is None:
            return PlainTextResponse("There is no such file.", 404)
        return Response(content, media_type=_TYPES[Path(request.path_params["name"]).suffix])

    routes = [
        Route("/", html, methods=["GET"]),
        Route("/static/{name}", static, methods=["GET"]),
        *(Route(path, json_route(handler), methods=["POST"]) for path, handler in page.routes.items()),
    ]
    app = Starlette(routes=routes, lifespan=life)
    app.router.redirect_slashes = False
    return Guard(app, page.keys)


def static_files() -> dict[str, bytes]:
    """Return scripts, styles and pictures by name. They are read once, so no request reaches the disk."""
    files = [*sorted((_HERE / "static").iterdir()), *(_REPORT / name for name in _SHARED)]
    return {file.name: file.read_bytes() for file in files if file.suffix in _TYPES}
