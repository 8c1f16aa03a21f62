"""``tradestudy example``: the worked examples that come with the project, and a copy of one of them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tradestudy.files import as_typed

from .completion import examples
from .folders import file_errors, make_folder
from .options import AsJson
from .output import print_json
from .terminal import print_table, say, show

_Name = Annotated[
    str, typer.Argument(metavar="NAME", autocompletion=examples, help="The example to copy; left out, all are listed.")
]
_To = Annotated[Path, typer.Option("--to", metavar="FOLDER", help="Where to copy it.")]


def example(name: _Name = "", to: _To = Path("studies"), as_json: AsJson = False) -> None:
    """List the worked examples, or copy one into a folder, with the files that belong to it."""
    from tradestudy.study.examples import copy_example, example_studies, named_example

    if name:
        chosen = named_example(name)
        make_folder(to)
        with file_errors(to):
            files = copy_example(chosen, to)
        _print_copied(files, as_json)
        return
    known = list(example_studies().values())
    if as_json:
        print_json([{"name": one.name, "decides": one.decides, "files": one.names} for one in known])
        return
    print_table(["example", "decides", "files"], [(one.name, one.decides, ", ".join(one.names)) for one in known])
    say(f"\nAll wings and measurements are invented. To copy one: tradestudy example {known[0].name}")


def _print_copied(files: list[Path], as_json: bool) -> None:
    if as_json:
        print_json({"study": str(files[0]), "files": [str(file) for file in files]})
        return
    for file in files:
        show(f"Copied {file}")
    study = as_typed(files[0])
    show(f"Next: tradestudy check {study}")
    show(f"Then: tradestudy run {study}")
