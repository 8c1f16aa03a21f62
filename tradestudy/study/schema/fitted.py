"""The table [fitted]: factors by which the model is multiplied, fitted to measurements.

Those on drag and electric power multiply the factors of [built].

The command ``fit`` writes it to a file of its own. Such TOML text with only ``[fitted]`` is called an overlay.
`with_overlay` appends it to the text of a study, and the complete text is read as one study. So everything that depends
on the text of a study, such as its record and its variants, includes the factors.
"""

from __future__ import annotations

import hashlib
import json
import tomllib
from pathlib import Path
from typing import Annotated, Any, NamedTuple

from tradestudy.errors import CommandError

from .key_types import TableModel, default, free_text, number, sequence

_AS_MODELLED = "the model without a factor"
_MOST_DIRECTIONS = 12
# tables that describe the task and not the wing; an overlay remains valid if they change
_TASK_TABLES = (
    "study",
    "stretch",
    "choices",
    "limits",
    "shopping",
    "price",
    "card",
    "mission",
    "motor_choice",
    "pack_choice",
    "fly",
    "fitted",
)


class Factor(NamedTuple):
    """One factor. ``words`` describe the quantity that it multiplies."""

    name: str
    words: str


FACTORS = (
    Factor("foam_density", "weight of the foam"),
    Factor("covering", "weight of covering and glue"),
    Factor("drag", "drag of section and fins"),
    Factor("induced", "drag due to lift"),
    Factor("drive_power", "electric power of the drive"),
    Factor("propeller_power", "power the propeller takes"),
    Factor("motor_resistance", "resistance of the motor"),
    Factor("pack_capacity", "charge the pack holds"),
    Factor("pack_resistance", "resistance of the cells"),
    Factor("foam_stiffness", "stiffness of the foam"),
    Factor("film_bond", "shear that the film's bond passes on"),
)
FACTOR_NAMES = tuple(factor.name for factor in FACTORS)
_FACTOR = {factor.name: number(0.05, 20, f"factor on: {factor.words}") for factor in FACTORS}


class FittedTable(TableModel):
    """Factors on the model, fitted to measurements of the stock wing. The command fit writes them."""

    foam_density: Annotated[float, _FACTOR["foam_density"]] = default(1.0, _AS_MODELLED)
    covering: Annotated[float, _FACTOR["covering"]] = default(1.0, _AS_MODELLED)
    drag: Annotated[float, _FACTOR["drag"]] = default(1.0, _AS_MODELLED)
    induced: Annotated[float, _FACTOR["induced"]] = default(1.0, _AS_MODELLED)
    drive_power: Annotated[float, _FACTOR["drive_power"]] = default(1.0, _AS_MODELLED)
    propeller_power: Annotated[float, _FACTOR["propeller_power"]] = default(1.0, _AS_MODELLED)
    motor_resistance: Annotated[float, _FACTOR["motor_resistance"]] = default(1.0, _AS_MODELLED)
    pack_capacity: Annotated[float, _FACTOR["pack_capacity"]] = default(1.0, _AS_MODELLED)
    pack_resistance: Annotated[float, _FACTOR["pack_resistance"]] = default(1.0, _AS_MODELLED)
    foam_stiffness: Annotated[float, _FACTOR["foam_stiffness"]] = default(1.0, _AS_MODELLED)
    film_bond: Annotated[float, _FACTOR["film_bond"]] = default(1.0, _AS_MODELLED)
    directions: Annotated[
        tuple[tuple[float, ...], ...] | None,
        sequence(
            sequence(
                number(-5, 5, "change of ln(factor)"),
                len(FACTOR_NAMES),
                len(FACTOR_NAMES),
                "one for each factor, in their order",
            ),
            1,
            _MOST_DIRECTIONS,
            "each row: a common error of the factors of one standard deviation, independent of the other rows",
        ),
    ] = default(None, "the factors are exact")
    wing: Annotated[
        tuple[str, ...] | None,
        sequence(free_text("name of a table and a mark of its contents"), 1, 60, "the wing that was measured"),
    ] = default(None, "the wing of this study")

    def factors(self) -> dict[str, float]:
        """Return a dict of name -> factor. [-]"""
        return {name: getattr(self, name) for name in FACTOR_NAMES}


def fitted_table(factors: dict[str, float]) -> FittedTable:
    """Return a table with the given factors; all other factors are 1.

    Raise ValidationError if a factor is out of range.
    """
    return FittedTable.model_validate({name: float(value) for name, value in factors.items()})


def table_marks(text: str) -> dict[str, str]:
    """Return a dict of table -> hash of its contents, for all tables of a study that describe the wing."""
    raw: dict[str, Any] = tomllib.loads(text)
    return {
        name: hashlib.sha256(json.dumps(value, sort_keys=True).encode()).hexdigest()[:10]
        for name, value in raw.items()
        if name not in _TASK_TABLES
    }


def with_overlay(text: str, path: Path, added: str, tables: dict[str, Any]) -> str:
    """Return the text of a study with the text of an overlay appended.

    ``added`` is the text of the overlay, ``path`` is its file, and ``tables`` are its tables. Raise CommandError if
    this is not an overlay, or if it was fitted to another wing. The message then names the tables that differ.
    """
    if list(tables) != ["fitted"] or not isinstance(tables["fitted"], dict):
        raise CommandError(
            f"{path} is not an overlay: it holds [{'], ['.join(map(str, tables))}]; an overlay holds [fitted] only, "
            "as the command fit writes it."
        )
    if "fitted" in tomllib.loads(text):
        raise CommandError("The study itself holds a table [fitted]; remove that table, or leave out --fitted.")
    measured, own = tables["fitted"].get("wing"), table_marks(text)
    missing = [name for name in FACTOR_NAMES if name not in tables["fitted"]]
    if measured is not None and missing:  # the command fit writes every factor
        raise CommandError(
            f"{path} was written by another version of tradestudy: it has no factor {', '.join(missing)}, and others "
            "may mean something else. Fit it again: tradestudy fit."
        )
    if isinstance(measured, list) and all(isinstance(mark, str) and " " in mark for mark in measured):
        theirs = dict(mark.rsplit(" ", 1) for mark in measured)
        differ = sorted(name for name in own.keys() | theirs.keys() if own.get(name) != theirs.get(name))
        if differ:
            raise CommandError(
                f"{path} was fitted to another wing, or this one has changed since: [{'], ['.join(differ)}] "
                f"{'differ' if len(differ) > 1 else 'differs'}. Fit it again: tradestudy fit."
            )
    return f"{text.rstrip()}\n\n{added}"
