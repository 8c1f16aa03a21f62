"""The fields of one point of a grid: numbers in the units shown, limit, parts and shape."""

from __future__ import annotations

import math
from typing import Any

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.commands.assess import MEDIANS, Shares
from tradestudy.quantities import at_edge
from tradestudy.quantities.design_inputs import QUANTITY_INPUTS
from tradestudy.results.grid_result import SHAPE_KEYS, GridPoint
from tradestudy.search.search_space import SearchSpace
from tradestudy.search.search_task import VariableValues

LEFT_OUT = "left out, every worker that tried it ended"
GRID_PARTS = ("parallel", "rod_diameter", "rod_pairs", "propeller")
_DIGITS = {"cruise_speed_kmh": 4, "auw_g": 3}  # decimal places; 5 for kilometres and minutes
_MARGIN_DIGITS = 6
PointFields = dict[str, Any]  # fields of a GridPoint except its values on the axes, as stored in the record


def point_numbers(
    space: SearchSpace, range_: Any, gain: Any, mass: Any, cruise_speed: Any = None, shares: Shares = MEDIANS
) -> PointFields:
    """Return the rounded numbers of a design in the units shown to the user, range and gain times their ``shares``.

    If ``cruise_speed`` is None, that number is left out.
    """
    number = space.purpose.number
    given = {} if cruise_speed is None else {"cruise_speed_kmh": cruise_speed}
    values = at_edge(
        **{
            name: float(value) if math.isfinite(value) else None
            for name, value in (
                given | {"range_km": shares.range * range_, number: shares.gain * gain, "auw_g": mass}
            ).items()
        }
    )
    row = {name: None if value is None else round(value, _DIGITS.get(name, 5)) for name, value in values.items()}
    row["gain"] = row[number]
    return {name: value for name, value in row.items() if name in GridPoint._fields}


def limit_fields(name: str, words: str, margin: float | None) -> PointFields:
    """Return the fields of a row on the nearest limit of a design and its margin."""
    scaled = None if margin is None or not math.isfinite(margin) else round(margin, _MARGIN_DIGITS)
    return {"met": margin is not None and margin > MET_ABOVE, "limit": name, "limit_words": words, "margin": scaled}


def empty_row(limit: str, words: str) -> PointFields:
    """Return the row of a design without numbers."""
    empty = dict.fromkeys(("cruise_speed_kmh", "range_km", "gain", "auw_g"))
    return empty | {"parts": "", "shape": dict.fromkeys(SHAPE_KEYS)} | limit_fields(limit, words, None)


def made_fields(space: SearchSpace, choice: Choice, variables: VariableValues) -> PointFields:
    """Return the fields of a row on the parts and the shape of a design."""
    span = space.anchor.data.layout.stock.span + 2 * variables["extension"]
    edge = {
        each.key: each.in_unit(value)
        for name, value in (variables | {"span": span}).items()
        if (each := QUANTITY_INPUTS.get(name))
    }
    return {"parts": choice.words, "shape": {key: round(float(edge[key]), 6) for key in SHAPE_KEYS}}
