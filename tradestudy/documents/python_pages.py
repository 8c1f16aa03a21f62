"""Pages on every public name in Python, made from signatures and docstrings."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import re
import textwrap
from collections.abc import Callable
from typing import Any

import tradestudy
from tradestudy.study.schema.study import STUDY_TABLES, Study

_INTRODUCTION = """\
# Python

```python
import tradestudy as ts

study = ts.load("studies/godwit.toml")
result = ts.assess(study, span="1300 mm")
result.to_dataframe()
```

Each name is imported when it is first used. A function that takes a study also takes the path of its file. Errors for a
person are all [TradestudyError](TradestudyError.md).
"""
# what the names above are called with, or return: name -> module
_SUPPORT = {
    "SearchOptions": "tradestudy.commands.study_session",
    "RequestedWing": "tradestudy.commands.requested_wing",
    "RequestedDay": "tradestudy.commands.logbook.card",
    "Payload": "tradestudy.search.carrying.payload_on_board",
}
_WIDE = 88  # longest signature on one line
_SECTION = re.compile(r"^(\w[\w ]*)\n-{3,}\n", re.MULTILINE)


def python_pages() -> dict[str, str]:
    """Return the pages by name: one for each public name and each type that it is called with, and an index."""
    names = [name for name in dir(tradestudy) if not name.startswith("_")]
    names.sort(key=lambda name: name[0].isupper())  # functions first, as a reader calls them first
    public = {name: thing for name in names if not inspect.ismodule(thing := getattr(tradestudy, name))}
    support = {name: getattr(importlib.import_module(module), name) for name, module in _SUPPORT.items()}
    index = [_INTRODUCTION]
    for title, listed in (("Names", public), ("What they are called with", support)):
        rows = [f"| [{name}]({name}.md) | {_escaped(_first_sentence(thing))} |" for name, thing in listed.items()]
        index += [f"\n## {title}\n", "| name | what it is |", "|---|---|", *rows]
    index += ["", "```{toctree}", ":hidden:", "", *public, *support, "```", ""]
    every = public | support
    pages = {f"python/{name}": _linked(name, _page(name, thing), set(every)) for name, thing in every.items()}
    return {"python/index": "\n".join(index), **pages}


def _linked(own: str, text: str, names: set[str]) -> str:
    """Return a page in which names of other pages, quoted as code, lead there, but for a field, which begins a line."""

    def link(found: re.Match[str]) -> str:
        name = found[1].removeprefix("tradestudy.").removeprefix("ts.")
        return f"[`{found[1]}`]({name}.md)" if name in names and name != own else found[0]

    parts = re.split(r"(```.*?```)", text, flags=re.DOTALL)
    return "".join(part if index % 2 else re.sub(r"(?<![`\n])`([\w.]+)`(?!`)", link, part)
                   for index, part in enumerate(parts))  # fmt: skip


def _first_sentence(thing: Any) -> str:
    words = " ".join((inspect.getdoc(thing) or "").split("\n\n")[0].split())
    return re.split(r"(?<=[.;:]) ", words)[0]


def _page(name: str, thing: Any) -> str:
    parts = [f"# {name if name in _SUPPORT else f'ts.{name}'}\n"]
    if not inspect.isclass(thing):
        return "\n".join([*parts, _signature(f"ts.{name}", thing), docstring_as_markdown(thing)])
    parts.append(docstring_as_markdown(thing))
    fields = _fields(thing)
    if fields:
        parts += ["## Fields\n", *fields]
    for member, kind in vars(thing).items():
        if member.startswith("_") or not inspect.getdoc(kind):
            continue
        if isinstance(kind, property):
            parts += [f"## {member}\n", docstring_as_markdown(kind)]
        elif inspect.isfunction(kind):
            parts += [f"## {member}()\n", _signature(member, kind), docstring_as_markdown(kind)]
    return "\n".join(parts)


def _fields(thing: type) -> list[str]:
    """Return one entry for each field of a class: its name, type and meaning."""
    if thing is Study:
        rows = [f"`{name}`\n: the table [{name}](../keys/{name}.md) of the file\n" for name in STUDY_TABLES]
        return ["Each table is an attribute, in SI units.\n", *rows]
    if not dataclasses.is_dataclass(thing):
        return [f"`{name}`\n: `{kind}`\n" for name, kind in _own_types(thing).items()]
    return [_field(each) for each in dataclasses.fields(thing)]


def _field(each: dataclasses.Field[Any]) -> str:
    """Return the entry of one field. The text of its annotation, ``Annotated[float, "Span."]``, is its meaning."""
    kind, meaning = str(each.type), ""
    found = re.match(r"""Annotated\[(.*?),\s*(["'])(.*?)\2""", kind, flags=re.DOTALL)
    if found:
        kind, meaning = found[1], found[3]
    elif dataclasses.MISSING is not each.default:
        meaning = f"left out: {each.default!r}"
    return f"`{each.name}` (`{kind}`)\n: {_escaped(meaning) or '–'}\n"


def _own_types(thing: type) -> dict[str, str]:
    return {name: str(kind).removeprefix("ForwardRef('").removesuffix("')") for name, kind in
            getattr(thing, "__annotations__", {}).items() if not name.startswith("_")}  # fmt: skip


def _signature(name: str, function: Callable[..., Any]) -> str:
    """Return the call as a code block, one argument on a line where it is long."""
    found = inspect.signature(function)
    words = [_argument(each) for each in found.parameters.values() if each.name != "self"]
    if any(each.kind is inspect.Parameter.KEYWORD_ONLY for each in found.parameters.values()):
        first = next(i for i, each in enumerate(found.parameters.values()) if each.kind is each.KEYWORD_ONLY)
        words.insert(first, "*")
    returned = "" if found.return_annotation is found.empty else f" -> {found.return_annotation}"
    call = f"{name}({', '.join(words)}){returned}"
    if len(call) > _WIDE:
        call = "\n".join([f"{name}(", *(f"    {each}," for each in words), f"){returned}"])
    return f"```text\n{call}\n```\n"


def _argument(each: inspect.Parameter) -> str:
    stars = "*" if each.kind is each.VAR_POSITIONAL else "**" if each.kind is each.VAR_KEYWORD else ""
    kind = "" if each.annotation is each.empty else f": {each.annotation}"
    if each.default is each.empty:
        return f"{stars}{each.name}{kind}"
    default = getattr(each.default, "__name__", None) or repr(each.default)
    return f"{each.name}{kind}{' = ' if kind else '='}{default}"


def docstring_as_markdown(thing: Any) -> str:
    """Return a docstring as Markdown: code blocks are fenced, and sections such as "Raises" get a head and a list."""
    text, *sections = _SECTION.split(inspect.getdoc(thing) or "")
    parts = [_blocks(text)]
    for head, body in zip(sections[::2], sections[1::2], strict=True):
        listed, after = _section_list(body)
        parts += [f"**{head}**\n", *listed, "", _blocks(after)]
    return "\n".join(parts)


def _section_list(body: str) -> tuple[list[str], str]:
    """Return the list of a section, and what follows it."""
    listed: list[str] = []
    lines = body.splitlines()
    while lines and lines[0] and lines[0] != "::":
        listed.append(f"`{lines.pop(0)}`")
        said = []
        while lines and lines[0].startswith("    "):
            said.append(lines.pop(0).strip())
        listed += [f": {_escaped(' '.join(said)) or '–'}", ""]
    return listed, "\n".join(lines)


def _blocks(text: str) -> str:
    """Return paragraphs as they are, and code behind ``::`` or ``>>>`` in fences."""
    parts, is_code = [], False
    for block in re.split(r"\n\s*\n", text.strip()):
        if block.strip() == "::":
            is_code = True
        elif (is_code and block.startswith("    ")) or block.startswith(">>> "):
            parts.append(f"```python\n{textwrap.dedent(block)}\n```\n")
        elif block.strip():
            is_code = False
            parts.append(_escaped(" ".join(block.split())) + "\n")
    return "\n".join(parts)


def _escaped(words: str) -> str:
    """Return words in which stars and brackets outside of code are not taken for markup."""
    parts = re.split(r"(`+[^`]*`+)", words)
    return "".join(part if index % 2 else re.sub(r"([<>*\[\]|])", r"\\\1", part) for index, part in enumerate(parts))
