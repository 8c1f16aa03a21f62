"""What measurements made of the model: the table [fitted], which the command ``fit`` writes into a file of its own.

A file with ``[fitted]`` alone is an overlay: `with_overlay` puts it below a study, which is then read as one text. So
whatever hangs on the text of a study (its record, its variants) knows of it.
"""

from __future__ import annotations

import hashlib
import json
import tomllib
from pathlib import Path
from typing import Annotated, Any, NamedTuple

from pydantic import BaseModel

from tradestudy.errors import CommandError

from .key_types import default, free_text, number, sequence
from .wing import FROZEN

_AS_MODELLED = "the model as it is"
_MOST_DIRECTIONS = 12
# tables that say what is asked, not what the wing is: an overlay holds whatever stands there
_TASK_TABLES = (
    "study",
    "stretch",
    "choices",
    "limits",
    "card",
    "mission",
    "motor_choice",
    "pack_choice",
    "fly",
    "fitted",
)


class Factor(NamedTuple):
    """One factor: what it multiplies, in words."""

    name: str
    words: str


FACTORS = (
    Factor("foam_density", "weight of the foam"),
    Factor("covering", "weight of covering and glue"),
    Factor("drag", "drag of sections and parts"),
    Factor("induced", "drag due to lift"),
    Factor("propeller_power", "power the propeller takes"),
    Factor("motor_resistance", "resistance of the motor"),
    Factor("pack_capacity", "charge the pack holds"),
    Factor("pack_resistance", "resistance of the cells"),
    Factor("foam_stiffness", "stiffness of the foam"),
    Factor("film_bond", "shear that the film's bond passes on"),
)
FACTOR_NAMES = tuple(one.name for one in FACTORS)
_TIMES = {one.name: number(0.05, 20, f"times: {one.words}") for one in FACTORS}


class FittedTable(BaseModel):
    """Factors on the model of the stock wing, as measurements have them; the command fit writes them."""

    model_config = FROZEN
    foam_density: Annotated[float, _TIMES["foam_density"]] = default(1.0, _AS_MODELLED)
    covering: Annotated[float, _TIMES["covering"]] = default(1.0, _AS_MODELLED)
    drag: Annotated[float, _TIMES["drag"]] = default(1.0, _AS_MODELLED)
    induced: Annotated[float, _TIMES["induced"]] = default(1.0, _AS_MODELLED)
    propeller_power: Annotated[float, _TIMES["propeller_power"]] = default(1.0, _AS_MODELLED)
    motor_resistance: Annotated[float, _TIMES["motor_resistance"]] = default(1.0, _AS_MODELLED)
    pack_capacity: Annotated[float, _TIMES["pack_capacity"]] = default(1.0, _AS_MODELLED)
    pack_resistance: Annotated[float, _TIMES["pack_resistance"]] = default(1.0, _AS_MODELLED)
    foam_stiffness: Annotated[float, _TIMES["foam_stiffness"]] = default(1.0, _AS_MODELLED)
    film_bond: Annotated[float, _TIMES["film_bond"]] = default(1.0, _AS_MODELLED)
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
            "each row: how the factors may be off together, one standard deviation, independent of the other rows",
        ),
    ] = default(None, "they are taken as known")
    wing: Annotated[
        tuple[str, ...] | None,
        sequence(free_text("a table and the mark of what it held"), 1, 60, "of which wing it was measured"),
    ] = default(None, "of this one")

    def factors(self) -> dict[str, float]:
        """Return the factors by name. [-]"""
        return {name: getattr(self, name) for name in FACTOR_NAMES}


def fitted_table(factors: dict[str, float]) -> FittedTable:
    """Return the table of factors by name; those not named are 1. Raises ValidationError beyond what is allowed."""
    return FittedTable.model_validate({name: float(value) for name, value in factors.items()})


def table_marks(text: str) -> dict[str, str]:
    """Return table -> a mark of what it holds, for all tables of a study's text that say what the wing is."""
    raw: dict[str, Any] = tomllib.loads(text)
    held = {name: json.dumps(value, sort_keys=True) for name, value in raw.items() if name not in _TASK_TABLES}
    return {name: hashlib.sha256(value.encode()).hexdigest()[:10] for name, value in held.items()}


def with_overlay(text: str, path: Path, added: str, tables: dict[str, Any]) -> str:
    """Return the text of a study with an overlay below it: ``added``, read from ``path`` as ``tables``.

    Raises CommandError where it is no overlay, or was fitted to another wing; says which tables differ.
    """
    if list(tables) != ["fitted"] or not isinstance(tables["fitted"], dict):
        raise CommandError(
            f"{path} is no overlay: it holds [{'], ['.join(map(str, tables))}], and [fitted] alone is "
            "wanted, as the command fit writes it."
        )
    if "fitted" in tomllib.loads(text):
        raise CommandError("The study holds a table [fitted] itself; take it out, or leave out --fitted.")
    given, own = tables["fitted"].get("wing"), table_marks(text)
    if isinstance(given, list) and all(isinstance(one, str) and " " in one for one in given):
        theirs = dict(one.rsplit(" ", 1) for one in given)
        differ = sorted(name for name in own.keys() | theirs.keys() if own.get(name) != theirs.get(name))
        if differ:
            raise CommandError(
                f"{path} was fitted to another wing, or this one was changed since: [{'], ['.join(differ)}] "
                f"{'differ' if len(differ) > 1 else 'differs'}. Fit it again: tradestudy fit."
            )
    return f"{text.rstrip()}\n\n{added}"
