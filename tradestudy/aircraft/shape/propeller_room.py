"""Whether a propeller clears the elevons, on the stock wing or on a stretched one."""

from __future__ import annotations

import math

import numpy as np

from tradestudy.aircraft.shape.stock_shape import stock_wing
from tradestudy.physics.geometry.planform import Planform, interpolated
from tradestudy.physics.geometry.stretch_schemes import stock_planform
from tradestudy.quantities import in_unit, with_unit
from tradestudy.study.schema.study import Study

DISC = 0.005  # thickness of the disc that a propeller sweeps; common practice, no source [m]
TOUCHES = 0.002  # m; an elevon that reaches no farther into a propeller's disc clears it: tape measure; judgement
_PLACES = 50


def elevon_in_disc(study: Study, diameter: float, wing: Planform | None = None) -> float:
    """Return how far the elevons reach into the disc of a propeller; negative if they end ahead of it. [m]

    The propeller has a ``diameter`` [m] and sits where that of the study sits. Without a ``wing``, it is on the stock
    wing.
    """
    wing = stock_planform(stock_wing(study)) if wing is None else wing
    inner, outer = float(wing.elevon_inner_end), min(float(wing.elevon_outer_end), 0.5 * diameter)
    if outer <= inner:
        return -np.inf
    edge, chord = interpolated(wing, (wing.leading_edge, wing.chord), np.linspace(inner, outer, _PLACES))
    return float((edge + chord).max() - (study.propeller.from_nose - 0.5 * DISC))


def propeller_remark(study: Study, size: str, diameter: float, wing: Planform | None = None) -> str:
    """Return a sentence on a propeller that cuts the elevons, without its first words, or an empty text.

    Its ``size`` is as it is called, and its ``diameter`` is in [m].
    """
    cut = elevon_in_disc(study, diameter, wing)
    if cut <= TOUCHES:
        return ""
    clear = math.ceil(in_unit(study.propeller.from_nose + cut, "mm"))
    return (
        f"the {size} propeller cuts {with_unit(cut, 'mm')} into the elevons there; from {clear} mm behind the nose on "
        "it clears them"
    )
