"""Compare the model with one reported flight. Nothing is asserted, and no default may be tuned to it.

Common practice, no source: a 1.42 m foam wing with 148 Wh on board has covered 72 km in 75 minutes of gentle flight.
Its mass is unknown (1.6 to 2.6 kg). It is unknown how much of the pack was used, so 148 Wh / 72 km = 2.06 Wh/km is an
upper limit. Run: python tests/bench/truth/long_flight.py
"""

from dataclasses import replace
from pathlib import Path

import numpy as np

from tradestudy.aircraft.anchor.calibration import anchor_of, stretched_data
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.weights import mass
from tradestudy.study.reader import read_study

STUDY = Path(__file__).parents[3] / "studies" / "godwit.toml"
DISTANCE_KM, MINUTES, PACK_WH, SPAN = 72.0, 75.0, 148.0, 1.42


def main():
    study = read_study(STUDY)
    anchor = anchor_of(study)
    speed = DISTANCE_KM * 1e3 / (MINUTES * 60)
    choice = Choice(4, 2, 0.003, 2, "10x6")  # the demonstration's own pack of 148 Wh
    data = stretched_data(study, anchor, choice, 10.0)
    variables = anchor.variables | {"extension": 0.5 * (SPAN - study.stock.span)}
    print(
        f"reported: {DISTANCE_KM:.0f} km in {MINUTES:.0f} min, {3.6 * speed:.1f} km/h over the ground;"
        f" {0.75 * PACK_WH / DISTANCE_KM:.2f} to {PACK_WH / DISTANCE_KM:.2f} Wh/km for 75 to 100 % of the pack"
    )
    print("model, the demo's wing drawn out to 1.42 m, drag items as listed there:")
    for kilograms in (1.6, 2.1, 2.6):
        for watts in (5.0, 15.0):
            flown = SpeedSweep(_weighing(data, choice, variables, kilograms, watts), choice, variables)
            modelled = float(flown.power_at(speed).energy_per_metre[0]) / 3.6
            low, high = (_missing_drag(flown, speed, share * PACK_WH / DISTANCE_KM) for share in (0.75, 1.0))
            print(
                f"  {kilograms:.1f} kg, equipment {watts:4.0f} W: {modelled:.2f} Wh/km; "
                f"drag area that closes the gap: {1e4 * low:.0f} to {1e4 * high:.0f} cm2"
            )
    print("what such an amount is made of: an open nose 8, a second camera 8, each whip 2.2, each unsealed hinge 1.5,")
    print("a skid 3, each rough hatch 1 to 2 cm2; turns, climbs and wind; a propeller or motor worse than its class.")


def _weighing(data, choice, variables, kilograms, watts):
    """Return the model data with the given flying weight and equipment power."""
    flown = SpeedSweep(data, choice, variables)
    missing = kilograms - float(flown.shape.all_up_mass)
    laid = data.layout
    constant = laid.unlisted.constant
    constant = mass.Lump(constant.mass + missing, constant.moment + 0.15 * missing)
    laid = laid._replace(unlisted=laid.unlisted._replace(constant=constant))
    level = data.level._replace(flight=data.flight._replace(layout=laid))
    return replace(data, level=level, power=data.power._replace(avionics_power=watts))


def _missing_drag(flown, speed, wanted):
    """Return the drag area to add until the model uses ``wanted`` Wh/km. [m^2]"""
    from scipy.optimize import brentq

    def excess(area):
        level = flown.data.level._replace(parts_drag_area=flown.data.level.parts_drag_area + area)
        flown_more = flown.with_losses(replace(flown.data, level=level))
        return float(flown_more.power_at(speed).energy_per_metre[0]) / 3.6 - wanted

    return brentq(excess, -0.004, 0.05) if excess(-0.004) * excess(0.05) < 0 else np.nan


if __name__ == "__main__":
    main()
