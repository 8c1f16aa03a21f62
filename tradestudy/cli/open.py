"""``tradestudy open``: the live page of a study in a browser on this machine."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Annotated

import typer

from tradestudy.errors import CommandError

from .completion import studies
from .terminal import say, show

_Study = Annotated[
    Path | None,
    typer.Argument(
        metavar="[STUDY]", autocompletion=studies, help="A study file; left out, the page offers studies and questions."
    ),
]
_Port = Annotated[
    int, typer.Option("--port", metavar="NUMBER", min=0, max=65535, help="The port; a free one if left out.")
]
_NoBrowser = Annotated[bool, typer.Option("--no-browser", help="Only print the address.")]
_NEEDED = ("starlette", "uvicorn")


def open(study: _Study = None, port: _Port = 0, no_browser: _NoBrowser = False) -> None:  # noqa: A001
    """Open a study as a live page in the browser, or start without one: drag sliders, search, save, print."""
    if not all(map(importlib.util.find_spec, _NEEDED)):
        raise CommandError('The live page needs two more libraries: pip install "tradestudy[page]"')
    read = None
    if study is not None:
        from tradestudy.study.reader import read_study

        read = read_study(study)  # errors of the file are told before the server starts
    from tradestudy.page_server.serve import serve

    serve(read, Path(), port, not no_browser, _say_address)


def _say_address(address: str) -> None:
    say("The page is open to this machine alone. Its address works once:")
    show(f"  {address}")
    say("Ctrl-C ends it.")
