"""A browser for tests: it sends real ASGI requests to an application, in an event loop of its own.

By default it sends what a page of that server would send; each test changes the one thing that it is about.
"""

import asyncio
import json
import threading
import time
from typing import NamedTuple

PORT = 47811


class Answer(NamedTuple):
    """The answer to one request. ``read`` is the number of bytes of the body that the application took."""

    status: int
    headers: dict
    body: bytes
    read: int

    @property
    def document(self):
        return json.loads(self.body)


class AsgiBrowser:
    """Sends requests to an application. ``keys`` are those of its server (page_server.safety.keys.Keys)."""

    def __init__(self, app, keys):
        self.app, self.keys = app, keys
        self.loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self.loop.run_forever, daemon=True)
        self._thread.start()

    def close(self, page=None):
        """End the loop, and before it the page, as the server does."""
        if page is not None:
            self.in_loop(page.close)
        self.loop.call_soon_threadsafe(self.loop.stop)
        self._thread.join(10)
        self.loop.close()

    def in_loop(self, function, *arguments):
        """Return what a function gives in the thread of the event loop."""

        async def called():
            return function(*arguments)

        return asyncio.run_coroutine_threadsafe(called(), self.loop).result(30)

    @property
    def cookie(self):
        return self.keys.set_cookie.partition(";")[0]

    def headers(self, **changed):
        """Return the headers of a rightful request. A value None leaves one out; ``_`` in a name is a hyphen."""
        own = {
            "host": self.keys.host,
            "cookie": self.cookie,
            "origin": self.keys.origin,
            "sec-fetch-site": "same-origin",
            "x-page-token": self.keys.page_token,
            "content-type": "application/json",
        }
        own |= {name.replace("_", "-"): value for name, value in changed.items()}
        return {name: value for name, value in own.items() if value is not None}

    def get(self, path, query="", **changed):
        changed = {"origin": None, "content_type": None, "x_page_token": None} | changed
        return self.send("GET", path, [b""], self.headers(**changed), query)

    def post(self, path, document=None, parts=None, method="POST", **changed):
        """Send a document, or the parts of a body as they are."""
        parts = [json.dumps(document if document is not None else {}).encode()] if parts is None else parts
        return self.send(method, path, parts, self.headers(**changed))

    def send(self, method, path, parts, headers, query=""):
        future = asyncio.run_coroutine_threadsafe(self._sent(method, path, parts, headers, query), self.loop)
        return future.result(60)

    async def _sent(self, method, path, parts, headers, query):
        scope = {
            "type": "http",
            "asgi": {"version": "3.0"},
            "http_version": "1.1",
            "method": method,
            "scheme": "http",
            "path": path,
            "raw_path": path.encode(),
            "query_string": query.encode(),
            "root_path": "",
            "headers": [(name.encode(), value.encode("latin-1")) for name, value in headers.items()],
            "server": ("127.0.0.1", self.keys.port),
            "client": ("127.0.0.1", 50000),
        }
        waiting, sent, read = list(parts), [], 0

        async def receive():
            nonlocal read
            if not waiting:
                await asyncio.sleep(60)
            part = waiting.pop(0)
            read += len(part)
            return {"type": "http.request", "body": part, "more_body": bool(waiting)}

        async def send(message):
            sent.append(message)

        await self.app(scope, receive, send)
        head = {name.decode().lower(): value.decode() for name, value in sent[0].get("headers", [])}
        return Answer(sent[0]["status"], head, b"".join(each.get("body", b"") for each in sent[1:]), read)

    def until_done(self, search, seconds=30.0):
        """Ask for the progress of a job until it ends, and return the last answer."""
        until = time.monotonic() + seconds
        while True:
            document = self.post("/search/progress", {"search": search}).document
            if document["state"] not in ("queued", "running"):
                return document
            assert time.monotonic() < until, document
            time.sleep(0.05)
