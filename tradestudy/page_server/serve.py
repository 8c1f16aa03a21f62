"""The server: a socket of this machine alone, the address, the browser, and the end with Ctrl-C."""

from __future__ import annotations

import os
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import uvicorn

from tradestudy.errors import CommandError
from tradestudy.study.schema.study import Study

from .app import application
from .page import LivePage
from .safety.keys import HOST, Keys

_GRACE = 1  # s; time that answers under way get at the end


def serve(study: Study | None, folder: Path, port: int, browser: bool, say: Callable[[str], None]) -> None:
    """Serve the live page until Ctrl-C, which raises KeyboardInterrupt once all processes have ended.

    ``port`` 0 takes a free one. ``say`` is called with the address, which works once. Raise CommandError if the port is
    taken.
    """
    with _socket(port) as opened:
        keys = Keys(opened.getsockname()[1])
        page = LivePage(keys, folder, study)
        say(keys.start_address)
        if browser and _has_browser():
            threading.Thread(target=_open, args=(keys.start_address,), daemon=True).start()
        config = uvicorn.Config(
            application(page),
            loop="asyncio",
            http="h11",
            ws="none",
            lifespan="on",
            log_config=None,
            log_level="critical",
            access_log=False,
            proxy_headers=False,  # nothing stands before this server, so no header may claim it
            server_header=False,
            timeout_graceful_shutdown=_GRACE,
        )
        try:
            uvicorn.Server(config).run(sockets=[opened])
        finally:
            page.close()


def _socket(port: int) -> socket.socket:
    """Return a socket that listens on this machine alone. A browser may connect before the server is ready."""
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if sys.platform == "win32":  # otherwise another program could take the same port
            made.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:  # a port that was closed a moment ago may be used again
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((HOST, port))
        made.listen()
    except OSError as error:
        made.close()
        raise CommandError(
            f"Port {port} cannot be used: {error.strerror or error}. Give another one, or none."
        ) from None
    return made


def _has_browser() -> bool:
    """Return whether a browser with a window can be opened. One in the terminal would take the terminal away."""
    return sys.platform in ("win32", "darwin") or bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def _open(address: str) -> None:
    with suppress(Exception):  # the address is printed anyway
        webbrowser.open(address)
