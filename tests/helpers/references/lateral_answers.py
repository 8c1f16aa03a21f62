"""Lateral derivatives of a wing without elevon, solved in one call for the tests."""

from typing import NamedTuple

import numpy as np
from helpers.wings.wings import FLAT, Answer, answer

from tradestudy.physics.aero import lateral
from tradestudy.physics.flight import trimmed_flight


class Sideways(NamedTuple):
    """A solved wing and its lateral derivatives at one lift coefficient."""

    plain: Answer
    antisymmetric: np.ndarray
    derivatives: lateral.LateralDerivatives


def sideways(
    wing,
    lift_coefficient=0.5,
    fin=None,
    counts=None,
    n_panel=4,
    refinement=1,
    centre=None,
    height=0.0,
    camber=FLAT,
    effectiveness=1.0,
    profile_drag=0.0,
):
    """Return the lateral solution of a wing without elevon. By default the centre of gravity is the neutral point."""
    plain = answer(wing, fin, counts, n_panel, camber, refinement)
    angles = trimmed_flight.strip_angles(wing, plain.mesh)
    antisymmetric = lateral.antisymmetric_circulations(plain.mesh, angles, camber, n_panel)
    alpha = (lift_coefficient - plain.unit.lift_area[0] / plain.areas.area) / plain.lift_slope
    amplitude = np.array([1.0, alpha, 0.0, 0.0])
    derivatives = lateral.derivatives(
        plain.mesh,
        plain.areas,
        plain.circulation,
        antisymmetric,
        amplitude,
        np.asarray(plain.neutral_point if centre is None else centre),
        np.asarray(height),
        effectiveness,
        profile_drag,
    )
    return Sideways(plain, antisymmetric, derivatives)
