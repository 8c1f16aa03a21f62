"""The rows of a table of variants as a person types them: read from a CSV file, or drawn as a Latin hypercube.

A column is a key of the study, such as ``fly.wind``, or an option of the wing, such as ``span``. A row maps columns to
text. An empty cell leaves the study as it is.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from tradestudy.commands.requested_wing import RequestedWing, requested_wing
from tradestudy.errors import CommandError, near_match
from tradestudy.quantities.design_inputs import COUNT_INPUTS, PROPELLER_INPUT, QUANTITY_INPUTS
from tradestudy.study.edits.key_axis import key_axis
from tradestudy.study.edits.named_key import UnknownKey, place_of
from tradestudy.study.schema.study import Study
from tradestudy.uncertainty.latin_hypercube import latin_hypercube

WING_OPTIONS = (*QUANTITY_INPUTS, *COUNT_INPUTS, PROPELLER_INPUT)
MOST_ROWS = 1_000_000
_NUMBER = r"[-+]?\d*\.?\d+(?:[eE][-+]?\d+)?"
_RANGE = re.compile(rf"\s*({_NUMBER})\s*:\s*({_NUMBER})\s*([^\d,:]*\d?)\s*")
_FORM = "An input of a sample looks like span=1240:1740 mm (lowest, highest) or propeller=10x6,11x6"
TypedRow = dict[str, str]  # column -> text as typed; empty cells are left out


class SampledColumn(NamedTuple):
    """One column of a sample: its name, and both ends with their unit, or the values to choose from."""

    name: str
    ends: tuple[float, float] | None
    unit: str
    values: list[str]

    def at(self, share: float) -> str:
        """Return the text of the value at a share (0 to 1) of the column's range."""
        if self.ends is None:
            return self.values[min(int(share * len(self.values)), len(self.values) - 1)]
        low, high = self.ends
        if self.name in COUNT_INPUTS:
            return f"{min(int(low + share * (high - low + 1)), int(high))}"
        return f"{low + share * (high - low):.9g} {self.unit}".strip()


def column_name(study: Study, name: str) -> str:
    """Return the name of a column without spaces around it. Raise CommandError if there is no such key or option."""
    plain = name.strip()
    if "." in plain:
        try:
            place_of(study, plain)
        except UnknownKey as error:
            raise CommandError(f"{plain} cannot be a column: {error}") from None
        return plain
    plain = plain.replace("-", "_")
    if plain not in WING_OPTIONS:
        raise CommandError(
            f'"{plain}" cannot be a column.{near_match(plain, list(WING_OPTIONS))} '
            f"Columns: {', '.join(WING_OPTIONS)}, or a key of the study such as fly.wind."
        )
    return plain


def wing_values(row: TypedRow) -> dict[str, Any]:
    """Return the values (SI) of the options of the wing in a row. A number without a unit has that of the option.

    Raise CommandError if a value cannot be read or is impossible.
    """
    given: dict[str, Any] = {}
    for name, text in row.items():
        if "." in name:
            continue
        given[name] = text
        if name in COUNT_INPUTS and re.fullmatch(r"\d+", text):
            given[name] = int(text)
        elif name in QUANTITY_INPUTS and re.fullmatch(_NUMBER, text):
            given[name] = f"{text} {QUANTITY_INPUTS[name].unit}"
    wing = requested_wing(given)
    return {name: getattr(wing, name) for name in RequestedWing.__annotations__ if name in given}


class VariantTable:
    """A CSV file of variants. Its first line names the columns. Commas, semicolons or tabs separate the cells.

    ``empty`` is the number of empty rows between others, which are no variants. Raises CommandError if the file cannot
    be read, or a line has more cells than there are columns.
    """

    def __init__(self, path: Path, study: Study):
        self.path = path
        if path.exists() and not path.is_file():  # a table is read twice, and a device may never end
            kind = "a folder" if path.is_dir() else "no file but a pipe or a device"
            raise CommandError(f"{path} is {kind}; give a table of variants (CSV).")
        heads = next(self._lines(), (1, []))[1]
        if not any(head.strip() for head in heads):
            raise CommandError(f"{path} is empty; its first line names the columns, such as span,fly.wind.")
        self.columns = [column_name(study, head) for head in heads]
        if len(set(self.columns)) < len(self.columns):
            raise CommandError(f"{path}: a column is given twice.")
        self.count = self.empty = since = 0
        for row in self._rows():
            self.count += bool(row)
            self.empty, since = (self.empty + since, 0) if row else (self.empty, since + 1)
        if not 0 < self.count <= MOST_ROWS:
            raise CommandError(f"{path} has {self.count} rows; 1 to {MOST_ROWS} are allowed.")

    def rows(self) -> Iterator[TypedRow]:
        """Yield the rows. Empty ones are left out."""
        yield from filter(None, self._rows())

    def _rows(self) -> Iterator[TypedRow]:
        """Yield the rows, empty ones too."""
        lines = self._lines()
        next(lines)
        for number, cells in lines:
            if len(cells) > len(self.columns):
                raise CommandError(
                    f"{self.path}, line {number}: {len(cells)} cells, where the first line names {len(self.columns)}."
                )
            named = zip(self.columns, cells, strict=False)
            yield {name: text for name, cell in named if (text := cell.strip())}

    def _lines(self) -> Iterator[tuple[int, list[str]]]:
        try:
            with self.path.open(encoding="utf-8-sig", newline="") as file:
                first = file.readline()
                separator = max(",;\t", key=first.count)
                file.seek(0)
                lines = csv.reader(file, delimiter=separator)
                for cells in lines:
                    yield lines.line_num, cells
        except (OSError, UnicodeDecodeError, csv.Error) as error:
            reason = getattr(error, "strerror", None) or error
            raise CommandError(f"{self.path} cannot be read: {reason}.") from None


class VariantRows:
    """Variants from Python: a list of dicts of a column to its value, which may be text or a number.

    Raises CommandError for an unknown column, or without a row.
    """

    def __init__(self, given: Sequence[Mapping[str, Any]], study: Study):
        names = list(dict.fromkeys(name for row in given for name in row))
        known = {name: column_name(study, name) for name in names}
        self.columns = list(dict.fromkeys(known.values()))
        self._rows = [
            {known[name]: str(value) for name, value in row.items() if value is not None and value == value}
            for row in given
        ]
        self.count = len(self._rows)
        if not 0 < self.count <= MOST_ROWS:
            raise CommandError(f"{self.count} rows are given; 1 to {MOST_ROWS} are allowed.")

    def rows(self) -> Iterator[TypedRow]:
        """Yield the rows. What is None or nan is left out."""
        yield from self._rows


class VariantSample:
    """A Latin hypercube: in each column, every one of ``count`` equal parts of the range has one row.

    Source: M. D. McKay, R. J. Beckman and W. J. Conover, Technometrics 21 (1979), drawn by scipy.
    """

    def __init__(self, words: Sequence[str], study: Study, count: int, seed: int):
        self._sampled = [_sampled_column(each, study) for each in words]
        self.columns, self.count, self.empty = [each.name for each in self._sampled], count, 0
        if len(set(self.columns)) < len(self.columns):
            raise CommandError("An input of the sample is given twice.")
        if not 0 < count <= MOST_ROWS:
            raise CommandError(f"--sample {count}: 1 to {MOST_ROWS} are allowed.")
        self._shares = latin_hypercube(len(words), count, np.random.default_rng(seed))

    def rows(self) -> Iterator[TypedRow]:
        """Yield the rows."""
        for shares in self._shares:
            yield {each.name: each.at(float(share)) for each, share in zip(self._sampled, shares, strict=True)}


def _sampled_column(words: str, study: Study) -> SampledColumn:
    """Return one column of a sample from ``name=low:high unit`` or ``name=a,b,c``.

    Raise CommandError for an end or a value that is not allowed.
    """
    name, equals, text = words.partition("=")
    if not equals or not text.strip():
        raise CommandError(f'"{words}" is no input of a sample. {_FORM}.')
    name = column_name(study, name)
    ends = _RANGE.fullmatch(text)
    if ends is None:
        if ":" in text:
            raise CommandError(f"{words} cannot be read. {_FORM}.")
        values = [each.strip() for each in text.split(",")]
        if "." in name:
            key_axis(study, name, ",".join(values))
        else:
            for each in values:
                wing_values({name: each})
        return SampledColumn(name, None, "", values)
    low, high = float(ends[1]), float(ends[2])
    if not low <= high:
        raise CommandError(f"{words}: the lowest value is above the highest. {_FORM}.")
    unit = ends[3].strip()
    if "." in name:
        return SampledColumn(name, (low, high), key_axis(study, name, f"{low!r},{high!r} {unit}").unit, [])
    if not unit and name in QUANTITY_INPUTS:
        unit = QUANTITY_INPUTS[name].unit
    drawn = SampledColumn(name, (low, high), unit, [])
    for share in (0.0, 1.0):
        wing_values({name: drawn.at(share)})
    return drawn
