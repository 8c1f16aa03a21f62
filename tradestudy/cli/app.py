"""The application for the terminal, assembled from one file for each command.

To add a command, write ``cli/<name>.py`` with a function ``<name>`` and add the name to `COMMANDS`. The arguments of
the function are annotated, and its docstring is the help of the command. The file must import numpy, OpenMDAO and
matplotlib only inside functions. Otherwise an error in a study takes seconds to appear.
"""

from __future__ import annotations

import importlib
from typing import Annotated, Any

import typer

import tradestudy
from tradestudy.errors import CommandError, near_match
from tradestudy.quantities import METRIC

from .folders import answer_first
from .output import CAUTION, typed_as
from .terminal import show, use_units

INTERRUPTED = 130  # exit code that shells expect after Ctrl-C
COMMANDS = (
    "new",
    "example",
    "check",
    "open",
    "bands",
    "assess",
    "stretch",
    "cruise",
    "card",
    "optimise",
    "front",
    "flips",
    "grid",
    "payload",
    "variants",
    "run",
    "buildsheet",
    "compare",
    "note",
    "log",
    "fit",
    "club",
    "keys",
)


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


def run_command_line(arguments: list[str]) -> int:
    """Run one command line and return its exit code. Raise CommandError if an argument is wrong."""
    name = next((word for word in arguments if not word.startswith("-")), None)
    if name is not None and name not in COMMANDS:
        raise CommandError(
            f"There is no command {name}.{near_match(name, list(COMMANDS))} Commands: {', '.join(COMMANDS)}."
        )
    _refuse_empty(arguments)
    use_units(METRIC)  # until a command knows better
    arguments = arguments or ["--help"]
    # Building only the named command saves time. The help on all commands needs all of them.
    command = typer.main.get_command(build_app((name,) if name and arguments[0] == name else COMMANDS))
    try:
        with typed_as(arguments), answer_first():
            code = command.main(args=arguments, prog_name="tradestudy", standalone_mode=False)
    except SystemExit as ended:  # the parser ends with 1 where a reader of the output (head, less) has ended
        if ended.code != 1:  # completion for a shell ends with 0
            raise
        raise BrokenPipeError from None
    except typer.Abort:  # older versions of typer raise it on Ctrl-C; newer versions return 130
        raise KeyboardInterrupt from None
    except Exception as error:
        if not _is_usage_error(error):
            raise
        raise CommandError(_usage_sentence(error, command, name)) from None
    if code == INTERRUPTED:
        raise KeyboardInterrupt
    return code if isinstance(code, int) else 0


def _refuse_empty(arguments: list[str]) -> None:
    """Raise CommandError for an argument without a letter: an empty folder would mean the one the shell is in."""
    for before, word in zip(["", *arguments], arguments, strict=False):
        option, equals, value = word.partition("=") if word.startswith("--") else ("", "", "")
        if not word.strip() or (equals and not value.strip()):
            of = option or (before if before.startswith("-") else "")
            raise CommandError(f"{of or 'An argument'} is empty; {'give it a value' if of else 'give a value'}.")


def _print_version(given: bool) -> None:
    if given:
        show(tradestudy.__version__)
        raise typer.Exit()


def _global_options(
    trace: Annotated[bool, typer.Option("--trace", help="On an unexpected error, show where it happened.")] = False,
    version: Annotated[
        bool,
        typer.Option("--version", help="Print the version and stop.", is_eager=True, callback=_print_version),
    ] = False,
) -> None:
    # These options are only declared here. main() handles --trace, since it needs it before any error.
    pass


def _is_usage_error(error: Exception) -> bool:
    # The error class of typer's parser moved between releases, so it is taken from the bases of a public class.
    usage_error = typer.BadParameter.__mro__[1]
    return isinstance(error, usage_error)


def _usage_sentence(error: Any, command: Any, name: str | None) -> str:
    """Return a message that says what is wrong with the arguments and how to get help."""
    unknown = getattr(error, "option_name", None)
    if unknown:
        owner = command.commands.get(name, command) if name else command
        known = [word for parameter in owner.params for word in parameter.opts if word.startswith("--")]
        sentence = f"There is no option {unknown}.{near_match(unknown, [*known, '--help'])}"
    else:
        sentence = error.format_message().strip().rstrip(".") + "."
    return f"{sentence} Help: tradestudy {name + ' ' if name else ''}--help"
