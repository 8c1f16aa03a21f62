"""The guard before the application: it lets in only requests of the page that this server has sent.

Any page in a browser can send requests to this machine. A rightful one has the right host and cookie, and where it
changes something, the right origin and token. Sources: RFC 9110 (Host), RFC 6454 (Origin), and the W3C draft "Fetch
Metadata Request Headers".
"""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any
from urllib.parse import parse_qs

from .keys import Keys

Scope = MutableMapping[str, Any]
AsgiMessage = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[AsgiMessage]]
Send = Callable[[AsgiMessage], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
_HEADERS = (
    ("content-security-policy", POLICY),
    ("referrer-policy", "no-referrer"),
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("cache-control", "no-store"),
)
LARGEST_BODY = 1_000_000  # bytes; a long study has 10 000
LARGEST_LOG_BODY = 8_000_000  # bytes; an hour of thirty columns at 10 Hz
_LARGER = {"/log": LARGEST_LOG_BODY}
_OWN = ("same-origin", "none")  # a request of the page itself, or of the person: typed, reloaded, bookmarked
_HOW_TO_OPEN = "Open the page with the address that tradestudy open prints. It works once; start it again for another."


class _Refused(Exception):
    """Error: a request that is not let in, with its status and a sentence."""

    def __init__(self, status: int, sentence: str):
        self.status, self.sentence = status, sentence
        super().__init__(sentence)


class Guard:
    """An ASGI application around another one. It refuses what is not a request of the page of this server.

    A body is read here, up to its limit, so the application gets all of it or nothing.
    """

    def __init__(self, app: App, keys: Keys):
        self._app, self._keys = app, keys

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close", "code": 1008})
            return
        send = _with_headers(send)
        try:
            headers = _headers(scope)
            self._check_host(headers)
            if scope["path"] == "/start":
                await self._start(scope, headers, send)
                return
            self._check_source(scope, headers)
            body = await _body(scope, headers, receive) if scope["method"] == "POST" else b""
        except _Refused as refused:
            await _answer(send, refused.status, {"error": refused.sentence})
            return
        await self._app(scope, _replayed(body, receive), send)

    def _check_host(self, headers: dict[str, list[str]]) -> None:
        if headers.get("host") != [self._keys.host]:
            raise _Refused(403, f"This page answers at {self._keys.origin} and under no other name.")

    async def _start(self, scope: Scope, headers: dict[str, list[str]], send: Send) -> None:
        """Turn the token of the first request into a cookie."""
        if scope["method"] != "GET":
            raise _Refused(405, "This address is only opened.")
        token = parse_qs(scope["query_string"].decode("latin-1")).get("token", [""])[0]
        known = any(map(self._keys.has_cookie, headers.get("cookie", [])))
        if not (self._keys.starts(token) or known):
            raise _Refused(403, _HOW_TO_OPEN)
        cookie = [] if known else [(b"set-cookie", self._keys.set_cookie.encode())]
        await send({"type": "http.response.start", "status": 303, "headers": [(b"location", b"/"), *cookie]})
        await send({"type": "http.response.body", "body": b""})

    def _check_source(self, scope: Scope, headers: dict[str, list[str]]) -> None:
        """Refuse a request that does not come from the page of this server."""
        if not any(map(self._keys.has_cookie, headers.get("cookie", []))):
            raise _Refused(403, _HOW_TO_OPEN)
        site = headers.get("sec-fetch-site", [])
        if scope["method"] in ("GET", "HEAD"):
            if any(each not in _OWN for each in site):
                raise _Refused(403, "Another page has asked for this one; it is not shown there.")
            return
        if scope["method"] != "POST":
            raise _Refused(405, "Only GET and POST are answered.")
        if headers.get("origin") != [self._keys.origin] or site != ["same-origin"]:
            raise _Refused(403, "Only the page of this server may ask for that.")
        if not any(map(self._keys.has_page_token, headers.get("x-page-token", []))):
            raise _Refused(403, "The page is of an earlier start of tradestudy open. Load it again.")
        if [each.partition(";")[0].strip().lower() for each in headers.get("content-type", [])] != ["application/json"]:
            raise _Refused(415, "A request is JSON.")


def _headers(scope: Scope) -> dict[str, list[str]]:
    """Return the headers of a request: name in small letters -> all its values."""
    found: dict[str, list[str]] = {}
    for name, value in scope["headers"]:
        found.setdefault(name.decode("latin-1").lower(), []).append(value.decode("latin-1"))
    return found


async def _body(scope: Scope, headers: dict[str, list[str]], receive: Receive) -> bytes:
    """Return the body of a request. Raise _Refused as soon as it is known to be too long."""
    most = _LARGER.get(scope["path"], LARGEST_BODY)
    too_long = _Refused(413, f"More than {most // 10**6} MB were sent, the most that is read.")
    if any(not said.isdigit() or int(said) > most for said in headers.get("content-length", [])):
        raise too_long
    parts, length = [], 0
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            raise _Refused(400, "The request ended too early.")
        part = message.get("body", b"")
        length += len(part)
        if length > most:  # also of a body that does not say its length before
            raise too_long
        parts.append(part)
        if not message.get("more_body"):
            return b"".join(parts)


def _replayed(body: bytes, receive: Receive) -> Receive:
    """Return a function that gives a body that was read already, and then what follows it."""
    given = False

    async def again() -> AsgiMessage:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return again


def _with_headers(send: Send) -> Send:
    """Return a function that sends an answer with the headers of safety."""
    fixed = [(name.encode(), value.encode()) for name, value in _HEADERS]

    async def sent(message: AsgiMessage) -> None:
        if message["type"] == "http.response.start":
            names = {name for name, _ in fixed}
            own = [(name, value) for name, value in message.get("headers", []) if name.lower() not in names]
            message = {**message, "headers": [*own, *fixed]}
        await send(message)

    return sent


async def _answer(send: Send, status: int, document: dict[str, str]) -> None:
    body = json.dumps(document).encode()
    headers = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
