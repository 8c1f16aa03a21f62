"""Answers of the server: JSON for a result, and one plain sentence for an error. Never a traceback."""

from __future__ import annotations

import logging
from collections.abc import Awaitable, Callable
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from tradestudy.errors import CommandError, StudyFileError, TradestudyError
from tradestudy.study.value_text import RefusedValue

from .fields import Fields
from .jobs.job_process import failure_of
from .live.one_thread import Superseded
from .live.open_studies import UnknownStudy
from .start_form import FaultyAnswers

Handler = Callable[[Fields], Awaitable[dict[str, Any]]]
_log = logging.getLogger("tradestudy.page_server")


def json_route(handler: Handler) -> Callable[[Request], Awaitable[Response]]:
    """Return the route of a handler, which takes the fields of a request and returns an object."""

    async def answered(request: Request) -> Response:
        try:
            return JSONResponse(await handler(Fields(await request.body())))
        except Exception as error:
            status, document = answer_to(error)
            return JSONResponse(document, status)

    return answered


def answer_to(error: Exception) -> tuple[int, dict[str, Any]]:
    """Return the status and the document for an error: its sentence, and the faults of a study one by one."""
    if isinstance(error, Superseded):
        return 409, {"superseded": True}
    if isinstance(error, RefusedValue):
        return 422, {"error": str(error), "suggestion": error.suggestion}
    if isinstance(error, TradestudyError):
        failure = failure_of(error)
        document: dict[str, Any] = {"error": failure.sentence, "faults": failure.faults}
        if isinstance(error, FaultyAnswers):
            document["questions"] = error.questions
        if isinstance(error, UnknownStudy):
            return 404, document
        return (400 if isinstance(error, CommandError) and not isinstance(error, StudyFileError) else 422), document
    _log.debug("unexpected error", exc_info=error)
    return 500, {"error": f"Something went wrong inside tradestudy: {type(error).__name__}.", "faults": []}
