"""Whether a propeller clears the elevons of the stock wing."""

from __future__ import annotations

import numpy as np

from tradestudy.aircraft.shape.stock_shape import stock_wing
from tradestudy.physics.geometry.planform import interpolated
from tradestudy.physics.geometry.stretch_schemes import stock_planform
from tradestudy.study.schema.study import Study

DISC = 0.005  # thickness of the disc that a propeller sweeps; common practice, no source [m]
_PLACES = 50


def elevon_in_disc(study: Study, diameter: float) -> float:
    """Return how far the elevons reach into the disc of a propeller; negative if they end ahead of it. [m]

    The propeller has a ``diameter`` [m] and sits where that of the study sits.
    """
    inner, outer = study.elevon.inner_end, min(study.elevon.outer_end, 0.5 * diameter)
    if outer <= inner:
        return -np.inf
    wing = stock_planform(stock_wing(study))
    edge, chord = interpolated(wing, (wing.leading_edge, wing.chord), np.linspace(inner, outer, _PLACES))
    return float((edge + chord).max() - (study.propeller.from_nose - 0.5 * DISC))
