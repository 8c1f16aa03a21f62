"""How a part of a result says what it holds: a frozen dataclass whose fields are annotated with a sentence each.

    span_mm: Annotated[float, "Span from tip to tip."]

The unit is the end of the name, `quantities.ENDINGS`; where the name ends in none, `Unit` may tell it. The sentence and
the unit stand in the JSON Schema of summary.json. `Formerly` names a field in results kept from before.
"""

from __future__ import annotations

from dataclasses import MISSING, fields
from functools import cache
from typing import Any, NamedTuple, get_args, get_type_hints

from tradestudy.quantities import unit_of_name


class Unit(NamedTuple):
    """The unit of a field whose name does not end in it."""

    words: str


class OldName(NamedTuple):
    """What a field was called in results kept from before."""

    name: str


class FieldSpec(NamedTuple):
    """One field of a part of a result."""

    name: str
    type: Any
    description: str
    unit: str
    old_name: str
    required: bool


@cache
def field_specs(kind: type) -> tuple[FieldSpec, ...]:
    """Return the fields of a dataclass in their order."""
    hints = get_type_hints(kind, include_extras=True)
    return tuple(_fact(each.name, hints[each.name], each.default is MISSING and each.default_factory is MISSING)
                 for each in fields(kind))  # fmt: skip


def _fact(name: str, hint: Any, required: bool) -> FieldSpec:
    if not hasattr(hint, "__metadata__"):
        return FieldSpec(name, hint, "", unit_of_name(name)[1], "", required)
    told = hint.__metadata__
    unit = next((one.words for one in told if isinstance(one, Unit)), unit_of_name(name)[1])
    formerly = next((one.name for one in told if isinstance(one, OldName)), "")
    return FieldSpec(
        name, get_args(hint)[0], next(one for one in told if isinstance(one, str)), unit, formerly, required
    )
