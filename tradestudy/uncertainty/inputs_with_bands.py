"""Every input of a design with a band: losses as built, assumed values, listed drag items, measured values."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

from tradestudy.aircraft.anchor.calibration import Anchor
from tradestudy.aircraft.model.choices import Choice
from tradestudy.physics.propulsion import pack
from tradestudy.physics.weights.pack_dimensions import pack_mass
from tradestudy.quantities import in_unit, short_with_unit, with_unit
from tradestudy.study.line_numbers import Place, dotted
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.study.schema.study import Study

from .built_inputs import (
    BUILT,
    built_inputs,
    flight_inputs,
    listed_drag_items,
    new_motor_inputs,
    raised_lid_inputs,
)
from .fitted_inputs import fitted_directions, is_replaced
from .variants import Input, InputValues

RULER = 0.002  # m; reading error of a span, chord, set-back or balance mark; common practice, no source
_CALIPERS = 0.0005  # m; reading error in soft foam; common practice, no source
SCALE = 0.01  # error of a kitchen scale as a share of the weight; common practice, no source


def inputs_of(study: Study, anchor: Anchor, choice: Choice) -> list[Input]:
    """Return every input of a design with a band: losses as built, assumed values, listed drag items, measured values.

    Fitted factors replace some of these. ``choice`` are the parts of the design.
    """
    inputs = [
        *(Input(*each, "assumed") for each in built_inputs(study, choice)),
        *(Input(*each, "assumed") for each in new_motor_inputs(study, choice)),
        *default_inputs(study, anchor),
        *(Input(*each, "listed") for each in listed_drag_items(study)),
        *(Input(*each, "assumed") for each in raised_lid_inputs(study, choice)),
        *measured_inputs(study),
        *(Input(*each, "measured") for each in flight_inputs(study, choice)),
    ]
    return [
        *(one for one in inputs if not is_replaced(study, one.used.key, choice)),
        *(Input(*each, "fitted") for each in fitted_directions(study)),
    ]


def default_inputs(study: Study, anchor: Anchor) -> Iterator[Input]:
    """Yield every assumed value that has a band, as an input."""
    for used in study.defaults_used:
        if used.low is not None and used.high is not None and used.low != used.high and used.place[0] != BUILT:
            low, high = ({used.place: _absolute(used, side, anchor)} for side in (used.low, used.high))
            yield Input(used, (low, high), "assumed")


def _absolute(used: DefaultUsed, side: Any, anchor: Anchor) -> Any:
    """Return one end of a band as written in a study file. ``x0.6`` means 0.6 times the value in use."""
    if not isinstance(side, str) or not side.startswith("x"):
        return side
    data, choice = anchor.data, anchor.choice
    motor = data.power.powertrain.motor
    value, unit = {
        "motor.resistance": (motor.resistance, "mohm"),
        "motor.no_load_current": (motor.no_load_current, "A"),
        "power.capacity": (pack.pack_capacity(data.power.powertrain.pack), "mAh"),
        "power.pack_weight": (pack_mass(data.layout.cell_mass, choice.series * choice.parallel), "g"),
    }[used.key]
    return short_with_unit(float(side[1:]) * float(value), unit)


def measured_inputs(study: Study) -> Iterator[Input]:
    """Yield every measured value as an input. The accuracy of ruler, calipers and scale is its band."""
    raw = tomllib.loads(study.text)
    stock, elevon = study.stock, study.elevon
    elevon_keys = raw.get("elevon", {}).keys() & {"root_chord", "tip_chord"}
    lengths: list[tuple[Place, float, float]] = [
        (("stock", key), getattr(stock, key), RULER)
        for key in ("span", "root_chord", "tip_chord", "tip_set_back", stock.balance_key)
    ]
    lengths.append((("stock", "root_thickness"), stock.root_thickness, _CALIPERS))
    lengths += [(("elevon", key), getattr(elevon, key), RULER) for key in sorted(elevon_keys)]
    if stock.elevon_chord is not None and len(elevon_keys) < 2:
        lengths.append((("stock", "elevon_chord"), stock.elevon_chord, RULER))
    rows = [(place, value, off, "mm", short_with_unit(off, "mm")) for place, value, off in lengths]
    weight = stock.flying_weight
    rows.append((("stock", "flying_weight"), weight, SCALE * weight, "g", short_with_unit(SCALE, "%")))
    for place, value, off, unit, words in rows:
        sides: list[InputValues] = [{place: with_unit(value + sign * off, unit, 6)} for sign in (-1, 1)]
        if place == ("stock", "span") and "span" in raw["stretch"]:  # the smallest span of the search is the stock span
            for side in sides:
                side["stretch", "span"] = [side[place], raw["stretch"]["span"][-1]]
        used = DefaultUsed(
            key=dotted(place),
            value=short_with_unit(value, unit, 4),
            origin="measured",
            low=f"-{words}",
            high=f"+{words}",
            moves="",
            place=place,
        )
        yield Input(used, (sides[0], sides[1]), "measured")
    outline = elevon.outline
    if outline:  # all chords are one input: the same person reads them with the same ruler
        place, words = ("elevon", "outline"), short_with_unit(RULER, "mm")

        low, high = (
            [[with_unit(at, "mm", 6), with_unit(chord + sign * RULER, "mm", 6)] for at, chord in outline]
            for sign in (-1, 1)
        )
        chords = ", ".join(f"{in_unit(chord, 'mm'):.4g}" for _, chord in outline) + " mm"
        used = DefaultUsed(
            key=dotted(place), value=chords, origin="measured", low=f"-{words}", high=f"+{words}", moves="", place=place
        )
        yield Input(used, ({place: low}, {place: high}), "measured")
