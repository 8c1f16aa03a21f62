"""The gradient search itself: SLSQP on scaled variables with exact slopes, and an end when evaluations run out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from scipy.optimize import minimize

MOST_ITERATIONS = 40
TOLERANCE = 1e-7  # of the scaled objective: under a metre of range, under a second in the air


class Spent(Exception):
    """Raised by an objective or a margin when a search has used up its evaluations."""


def minimised(objective: Callable[[Any], Any], slope: Callable[[Any], Any], start: np.ndarray,
              bounds: Sequence[tuple[float | None, float | None]], margins: Callable[[Any], Any] | None = None,
              margin_slopes: Callable[[Any], Any] | None = None, tolerance: float = TOLERANCE,
              iterations: int = MOST_ITERATIONS) -> np.ndarray:
    """Return where SLSQP ends (n,), or the last point it looked at when ``objective`` raises `Spent`.

    ``slope`` gives (n,), ``margins`` (m,) not negative where limits are met, ``margin_slopes`` (m, n). Variables,
    objective and margins are to be of order one. After D. Kraft, A Software Package for Sequential Quadratic
    Programming, DFVLR-FB 88-28, 1988 (from memory), as scipy has it.
    """
    last = [start]

    def watched(x):
        last[0] = np.array(x)
        return objective(x)

    limits = [] if margins is None else [{"type": "ineq", "fun": margins, "jac": margin_slopes}]
    try:
        return minimize(watched, start, jac=slope, method="SLSQP", bounds=bounds, constraints=limits,
                        options={"maxiter": iterations, "ftol": tolerance}).x
    except Spent:
        return last[0]
