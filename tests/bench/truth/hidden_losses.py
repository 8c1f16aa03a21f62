"""How often the range of an invented wing with hidden losses lies in its band, before and after one noted flight.

Run: python tests/bench/truth/hidden_losses.py [wings]. The losses and the propeller are drawn from the priors of the
Godwit; all else is known. The flight has the error that the calibration assumes. The band after the flight is that of
the wing that flies as predicted, about each wing's own calibrated range. Nothing is asserted: eight in ten should lie
inside.
"""

import sys
from pathlib import Path

import numpy as np

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.anchor.drag_calibration import (
    FLIGHT_SPREAD,
    charge_by_factors,
    factor_spreads,
    factors_by_charge,
)
from tradestudy.aircraft.anchor.full_throttle_defaults import with_full_throttle_defaults
from tradestudy.study.reader import read_study, study_from_tables
from tradestudy.uncertainty import inputs_with_bands, variants
from tradestudy.uncertainty.fit.factored_wing import ONES, FitWing
from tradestudy.uncertainty.range_band import spread

STUDY = Path(__file__).parents[3] / "studies" / "godwit.toml"
SPEED, DISTANCE = 15.5, 60e3  # m/s, m
LOSSES = ("built.", "known_flight.")


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 400
    study = with_full_throttle_defaults(read_study(STUDY))
    wing, random = FitWing(study), np.random.default_rng(20)
    charge = DISTANCE * float(wing.speed_sweep.power_at(SPEED).charge_per_metre[0])
    tables = variants.given_tables(study)
    tables["known_flight"] = {
        "distance": f"{DISTANCE} m",
        "time": f"{DISTANCE / SPEED} s",
        "charge_used": f"{charge / 3.6} mAh",
    }
    flown = study_from_tables(tables, study.path, study.text)
    before, after = (band(study, variants.given_tables(study)), band(flown, tables))
    log_charge = charge_by_factors(flown.known_flight, wing.speed_sweep)
    prior, usual = np.array(factor_spreads(study)), wing.range_of(ONES)
    inside = np.zeros((count, 2), bool)
    for number in range(count):
        hidden = prior * random.standard_normal(3)
        measured = float(log_charge(hidden)) + FLIGHT_SPREAD * random.standard_normal()
        found, _ = factors_by_charge(log_charge, measured, prior)
        true, told = range_of(wing, hidden), range_of(wing, found)
        for place, (low, high), middle in ((0, before, usual), (1, after, told)):
            inside[number, place] = low < true / middle < high
    for words, share, (low, high) in zip(("before", "after"), inside.mean(axis=0), (before, after), strict=True):
        print(f"{words} the flight: band {low:.2f} to {high:.2f} of the middle; {100 * share:.1f} % of {count} inside")


def range_of(wing, logs):
    losses = dict(zip(("drag", "induced", "drive_power"), np.exp(logs).tolist(), strict=True))
    return wing.range_of({**ONES, **losses})


def band(study, tables):
    """Return P10 and P90 of the stock wing's range over its nominal one, from its losses alone."""
    anchor = anchor_of(study)
    held = variants.fixed_design(study, anchor, anchor.choice, anchor.variables)
    inputs = [one for one in inputs_with_bands.inputs_of(study, anchor, held.choice) if one.used.key.startswith(LOSSES)]
    varied = variants.design_variants(study, tables, held, inputs, lambda words: None)
    low, _, high = spread(varied).percentiles["range_km"]
    return 1e3 * low / varied.nominal.key_numbers.range, 1e3 * high / varied.nominal.key_numbers.range


if __name__ == "__main__":
    main()
