"""The worked examples: the studies that come with the project, and the files that belong to each.

A built package holds them in its own folder `studies`. In a checkout they are in `studies` at the top.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any, NamedTuple

from tradestudy.errors import CommandError, near_match
from tradestudy.files import write_atomically

_PACKAGE = Path(__file__).parents[1]
_DECIDES = re.compile(r"^# What it decides: (.*?\.)(?=\s|$)", re.DOTALL)


class ExampleStudy(NamedTuple):
    """A study with the files that belong to it, and what it decides in one sentence."""

    name: str
    file: Path
    others: tuple[Path, ...]
    decides: str

    @property
    def names(self) -> list[str]:
        """Its files, as paths in the folder of the study."""
        return [file.relative_to(self.file.parent).as_posix() for file in (self.file, *self.others)]


def example_studies(folder: Path | None = None) -> dict[str, ExampleStudy]:
    """Return the worked examples by name. ``folder`` is that of the project unless given.

    Raise CommandError where the package was installed without them.
    """
    within = _PACKAGE / "studies"
    folder = folder or (within if within.is_dir() else _PACKAGE.parent / "studies")
    found = {file.stem: _example_study(file) for file in sorted(folder.glob("*.toml"))}
    if not found:
        raise CommandError(f"There are no examples in {folder}. Install tradestudy again.")
    return found


def _example_study(file: Path) -> ExampleStudy:
    text = file.read_text(encoding="utf-8")
    comments = "\n".join(line.removeprefix("# ") for line in text.splitlines() if line.startswith("#"))
    found = _DECIDES.search("# " + comments[comments.find("What it decides: ") :])
    return ExampleStudy(file.stem, file, tuple(_files_of(file)), " ".join(found[1].split()) if found else "")


def _files_of(study: Path) -> Iterator[Path]:
    """Yield the files that belong to a study: those below it that begin with its name, and those that these name."""
    files = dict.fromkeys(one for one in sorted(study.parent.glob(f"*/{study.stem}[._]*")) if one.is_file())
    for file in [study, *files]:
        if file.suffix == ".toml":
            texts = _texts(tomllib.loads(file.read_text(encoding="utf-8")))
            files |= dict.fromkeys(one for text in texts if (one := _file_named(file.parent, text)))
    yield from files


def _texts(value: Any) -> Iterator[str]:
    """Yield every text in the tables of a file."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for one in value.values() if isinstance(value, dict) else value:
            yield from _texts(one)


def _file_named(folder: Path, text: str) -> Path | None:
    file = folder / text
    return file if "." in text and file.is_file() and file.parent == folder else None


def named_example(name: str, folder: Path | None = None) -> ExampleStudy:
    """Return a worked example. Raise CommandError if there is none of that name."""
    examples = example_studies(folder)
    if example := examples.get(name.removesuffix(".toml").lower()):
        return example
    near = near_match(name, list(examples))
    raise CommandError(f'There is no example "{name}".{near} Examples: {", ".join(examples)}.')


def copy_hint(missing: Path) -> str:
    """Return a sentence on how to copy an example, if a missing file has its name, else an empty string."""
    with suppress(CommandError):
        if missing.suffix == ".toml" and missing.stem in example_studies():
            return f" To copy this example: tradestudy example {missing.stem}"
    return ""


def copy_example(example: ExampleStudy, to: Path) -> list[Path]:
    """Copy a worked example into a folder and return the new files, the study first.

    Raise CommandError if one of the files is there already: then nothing is copied.
    """
    new = {to / file.relative_to(example.file.parent): file for file in (example.file, *example.others)}
    there = [str(file) for file in new if file.exists() or file.is_symlink()]
    if there:
        raise CommandError(
            f"Nothing was copied: {', '.join(there)} would be overwritten. Give another folder with --to."
        )
    try:
        return [write_atomically(file, source.read_bytes()) for file, source in new.items()]
    except BaseException:
        for file in new:
            with suppress(OSError):
                file.unlink(missing_ok=True)
        raise
