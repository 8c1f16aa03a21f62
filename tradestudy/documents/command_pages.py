"""Pages on every command with its arguments and options, made from the command line itself."""

from __future__ import annotations

from typing import Any

import typer

from tradestudy.cli.app import COMMANDS, build_app

_INTRODUCTION = """\
# Commands and options

`tradestudy COMMAND --help` says the same in a terminal. [Which command](../which_command.md) answers which question
says where to look first.
"""


def command_pages() -> dict[str, str]:
    """Return the pages by name: one for each command, and an index."""
    group: Any = typer.main.get_command(build_app())
    made = {f"commands/{name}": _command_page(name, group.commands[name]) for name in COMMANDS}
    rows = [f"| [{name}]({name}.md) | {_joined(_paragraphs(group.commands[name])[0])} |" for name in COMMANDS]
    index = [_INTRODUCTION, "| command | what it does |", "|---|---|", *rows, ""]
    index += ["```{toctree}", ":hidden:", "", *COMMANDS, "```", ""]
    return {"commands/index": "\n".join(index), **made}


def _command_page(name: str, command: Any) -> str:
    """Return the page of one command: its words, arguments and options."""
    arguments = [each for each in command.params if each.param_type_name == "argument"]
    options = [each for each in command.params if each.param_type_name == "option"]
    usage = " ".join(["tradestudy", name, *(_metavar(each) for each in arguments), "[OPTIONS]"])
    parts = [
        f"# tradestudy {name}\n",
        *(f"{_joined(text)}\n" for text in _paragraphs(command)),
        f"```text\n{usage}\n```\n",
    ]
    for title, listed in (("Arguments", arguments), ("Options", options)):
        if listed:
            parts += [f"## {title}\n", *map(_parameter, listed)]
    return "\n".join(parts)


def _parameter(each: Any) -> str:
    """Return one argument or option as a term with its meaning."""
    metavar = "" if getattr(each, "is_flag", False) else _metavar(each)
    words = (
        [metavar] if each.param_type_name == "argument" else [", ".join((*each.opts, *each.secondary_opts)), metavar]
    )
    default = "" if each.default in (None, False, "", ()) or not each.show_default else f" Left out: {each.default}."
    return f"`{' '.join(filter(None, words))}`\n: {_escaped(each.help or '')}{_escaped(default)}\n"


def _metavar(each: Any) -> str:
    return (each.metavar or each.name or "").strip("{}").upper()


def _paragraphs(command: Any) -> list[str]:
    return [part for part in (command.help or "").split("\n\n") if part.strip()]


def _joined(text: str) -> str:
    return _escaped(" ".join(text.split()))


def _escaped(words: str) -> str:
    """Return words in which angle brackets and stars are not taken for markup."""
    return "".join(f"\\{letter}" if letter in "<>*|[]" else letter for letter in words)
