"""The terminal application, put together from one file per command.

To add a command: write ``cli/<name>.py`` with a function ``<name>`` (annotated arguments, first
docstring line = its help) and put the name into `COMMANDS`. At its top a command file imports
nothing slow: whatever needs numpy, OpenMDAO or matplotlib is imported inside the function, so that
``check`` answers at once. Arguments that several commands share stand below.
"""

from __future__ import annotations

import functools
import importlib
import inspect
import json
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, get_type_hints

import typer

import tradestudy
from tradestudy.errors import CommandError, near_match

from .completion import studies
from .terminal import print_table, say

__all__ = [
    "CAUTION",
    "COMMANDS",
    "INTERRUPTED",
    "Anyway",
    "AsJson",
    "FittedFile",
    "OutFolder",
    "StudyPath",
    "build_app",
    "print_json",
    "print_table",
    "run",
    "say",
]

INTERRUPTED = 130  # the exit code that shells expect after Ctrl-C
COMMANDS = (
    "new",
    "check",
    "bands",
    "assess",
    "stretch",
    "cruise",
    "optimise",
    "front",
    "grid",
    "run",
    "buildsheet",
    "compare",
    "log",
    "fit",
    "keys",
)

CAUTION = (
    "Results are estimates for comparing builds, not proof of airworthiness: load the finished wing on "
    "the bench before it flies, and keep to the cell maker's limits."
)

StudyPath = Annotated[
    Path, typer.Argument(metavar="STUDY", autocompletion=studies, help="A study file, such as studies/godwit.toml.")
]
FittedFile = Annotated[
    Path | None,
    typer.Option(
        "--fitted", metavar="FILE", help=("Factors from measurements of this wing, as the command fit wrote them.")
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")]
Anyway = Annotated[
    bool,
    typer.Option(
        "--anyway", help=("Give card and sheets of a wing that breaks a limit too; each says so across its face.")
    ),
]
OutFolder = Annotated[
    Path | None, typer.Option("--out", metavar="FOLDER", help="Where to write; results/<study> if left out.")
]


def given_together(
    command: Callable[..., None], options: dict[str, Any], together: str, gather: Callable[[dict[str, Any]], Any]
) -> Callable[..., None]:
    """Give a command more options, all None if left out; gathered, they come to it as one argument ``together``."""
    hints = get_type_hints(command, include_extras=True)
    own = [
        each.replace(annotation=hints[name])
        for name, each in inspect.signature(command).parameters.items()
        if name != together
    ]
    added = [
        inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=None, annotation=kind)
        for name, kind in options.items()
    ]

    @functools.wraps(command)
    def with_options(**given: Any) -> None:
        asked = gather({name: given.pop(name) for name in options})
        command(**given, **{together: asked})

    # the parser of the command line reads both
    with_options.__signature__ = inspect.Signature([*own, *added])  # type: ignore[attr-defined]
    with_options.__annotations__ = {each.name: each.annotation for each in (*own, *added)}
    del with_options.__wrapped__  # type: ignore[attr-defined]
    return with_options


def print_json(document: Any) -> None:
    """Print one JSON document on standard output."""
    print(json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False))


def build_app(commands: tuple[str, ...] = COMMANDS) -> typer.Typer:
    """Return the application with the given commands."""
    app = typer.Typer(
        name="tradestudy",
        help=f"{tradestudy.__doc__.splitlines()[0]}\n\n{CAUTION}",
        add_completion=True,
        rich_markup_mode=None,
    )
    app.callback()(_global_options)
    for name in commands:
        module = importlib.import_module(f"tradestudy.cli.{name}")
        app.command(name)(getattr(module, name))
    return app


def run(arguments: list[str]) -> int:
    """Run one command line; return its exit code. Raises CommandError when it cannot be understood."""
    asked = next((word for word in arguments if not word.startswith("-")), None)
    if asked is not None and asked not in COMMANDS:
        raise CommandError(
            f"There is no command {asked}.{near_match(asked, list(COMMANDS))} Commands: {', '.join(COMMANDS)}."
        )
    arguments = arguments or ["--help"]
    # the one command asked for is built alone, which is quicker; help on all needs all
    command = typer.main.get_command(build_app((asked,) if asked and arguments[0] == asked else COMMANDS))
    try:
        code = command.main(args=arguments, prog_name="tradestudy", standalone_mode=False)
    except typer.Abort:  # how the parser passes on Ctrl-C; newer ones return 130 instead
        raise KeyboardInterrupt from None
    except Exception as error:
        if not _is_usage_error(error):
            raise
        raise CommandError(_usage_sentence(error, command, asked)) from None
    if code == INTERRUPTED:
        raise KeyboardInterrupt
    return code if isinstance(code, int) else 0


def _global_options(
    trace: Annotated[bool, typer.Option("--trace", help="On an unexpected error, show where it happened.")] = False,
    version: Annotated[
        bool,
        typer.Option(
            "--version",
            help="Print the version and stop.",
            is_eager=True,
            callback=lambda asked: _print_version(asked),
        ),
    ] = False,
) -> None:
    # --trace is taken off the command line by main(), which needs it before anything can go wrong
    pass


def _print_version(asked: bool) -> None:
    if asked:
        print(tradestudy.__version__)
        raise typer.Exit()


def _is_usage_error(error: Exception) -> bool:
    # the parser below typer moved between its releases; its error classes are found through a public one
    usage_error = typer.BadParameter.__mro__[1]
    return isinstance(error, usage_error)


def _usage_sentence(error: Any, command: Any, asked: str | None) -> str:
    """Say what is wrong with the arguments, and where help stands."""
    unknown = getattr(error, "option_name", None)
    if unknown:
        owner = command.commands.get(asked, command) if asked else command
        known = [word for parameter in owner.params for word in parameter.opts if word.startswith("--")]
        sentence = f"There is no option {unknown}.{near_match(unknown, [*known, '--help'])}"
    else:
        sentence = error.format_message().strip().rstrip(".") + "."
    return f"{sentence} Help: tradestudy {asked + ' ' if asked else ''}--help"
