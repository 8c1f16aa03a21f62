"""The fields of the dataclasses of a result. The annotation of each field holds a sentence that describes it::

    span_mm: Annotated[float, "Span from tip to tip."]

The end of the name gives the unit (`quantities.ENDINGS`). If it does not, `Unit` in the annotation gives the unit.
Sentence and unit appear in the JSON Schema of summary.json. `OldName` is the name that the field had in results of
earlier versions.
"""

from __future__ import annotations

from dataclasses import MISSING, fields
from functools import cache
from typing import Any, NamedTuple, get_args, get_type_hints

from tradestudy.quantities import unit_of_name


class Unit(NamedTuple):
    """The unit of a field whose name does not end in one."""

    words: str


class OldName(NamedTuple):
    """The name of a field in results of earlier versions."""

    name: str


class FieldSpec(NamedTuple):
    """One field of a dataclass of a result."""

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
    specs = []
    for each in fields(kind):
        hint = hints[each.name]
        notes = {type(note): note for note in getattr(hint, "__metadata__", ())}
        specs.append(
            FieldSpec(
                each.name,
                get_args(hint)[0] if notes else hint,
                notes.get(str, ""),
                notes.get(Unit, Unit(unit_of_name(each.name)[1])).words,
                notes.get(OldName, OldName("")).name,
                each.default is MISSING and each.default_factory is MISSING,
            )
        )
    return tuple(specs)
