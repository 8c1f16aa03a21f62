"""How far from its balance mark a wing may be and still fly as promised, told by what the pilot notices."""

from __future__ import annotations

from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.quantities import from_edge

ELEVON_MOVES = from_edge("deg", 1.0)  # trim that differs by more is noticed in cruise; common practice, no source
LEAST_MARGIN = 0.03  # of the mean chord: below it these wings hunt in pitch; common practice, no source
STEP = 0.01  # of the mean chord, to find how the elevon goes with the balance


def balance_window(flown: SpeedSweep, speed: float) -> tuple[float, float]:
    """Return front and back end of the window for the balance mark, behind the nose. [m]

    From either end the elevon in cruise at ``speed`` [m/s] differs by one degree from that on the mark; at the back
    the static margin also stays above ``LEAST_MARGIN``, unless the mark itself lies behind that.
    """
    chord, margin = float(flown.solution.areas.mean_aerodynamic_chord), float(flown.static_margin)

    def trim(static_margin: float) -> tuple[float, float]:
        found = flown.level(speed, static_margin)
        return float(found.centre_of_gravity), float(found.elevon[0])

    (mark, elevon), (_, elevon_ahead) = trim(margin), trim(margin + STEP)
    reach = STEP * chord * ELEVON_MOVES / abs(elevon_ahead - elevon)
    return mark - reach, mark + min(reach, max(0.0, (margin - LEAST_MARGIN) * chord))
