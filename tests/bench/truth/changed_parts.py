"""The range band of the Godwit after one noted flight of the stock wing, where parts stay and where they change.

Run: python tests/bench/truth/changed_parts.py. The flight is as long as the model predicts. The wing is a
stretched one. Each line gives P10 and P90 over P50, and the inputs that make up most of the variance. Nothing is
asserted here.
"""

import sys
from dataclasses import replace
from pathlib import Path

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.anchor.full_throttle_defaults import with_full_throttle_defaults
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.study.reader import read_study, study_from_tables
from tradestudy.uncertainty import inputs_with_bands, variants
from tradestudy.uncertainty.range_band import spread

STUDY = Path(__file__).parents[3] / "studies" / "godwit.toml"
SPEED, DISTANCE, EXTENSION = 15.5, 60e3, 0.12  # m/s, m, m added on each side
LIMIT = 0.15  # half width above which the doubt that causes it is named
CHANGES = {
    "all stay": {},
    "propeller changes": {"propeller": "11x6"},
    "motor changes": {"motor": "slower winding"},
    "motor and propeller change": {"motor": "slower winding", "propeller": "11x6"},
    "cells change": {"pack": "2.5 Ah high-current cells"},
    "all change": {"motor": "slower winding", "propeller": "11x6", "pack": "2.5 Ah high-current cells"},
}


def flown(study):
    """Return the study with one flight of its stock wing, and its tables."""
    anchor = anchor_of(study)
    stock = SpeedSweep(anchor.data, anchor.choice, anchor.variables)
    charge = DISTANCE * float(stock.power_at(SPEED).charge_per_metre[0])
    tables = variants.given_tables(study)
    tables["known_flight"] = {
        "distance": f"{DISTANCE} m",
        "time": f"{DISTANCE / SPEED} s",
        "charge_used": f"{charge / 3.6} mAh",
    }
    return study_from_tables(tables, study.path, study.text), tables


def band(study, tables, changes):
    """Return the Spread of the stretched wing with changed parts."""
    anchor = anchor_of(study)
    choice = replace(anchor.choice, **changes)
    held = variants.fixed_design(study, anchor, choice, anchor.variables | {"extension": EXTENSION})
    inputs = inputs_with_bands.inputs_of(study, anchor, choice)
    return spread(variants.design_variants(study, tables, held, inputs, lambda words: None))


def line(words, found):
    low, middle, high = found.percentiles["range_km"]
    wide = max(1 - low / middle, high / middle - 1)
    doubts = ", ".join(f"{key} {100 * share:.0f} %" for key, share in found.matters[:4])
    named = f"; above {100 * LIMIT:.0f} %, by {found.matters[0][0]}" if wide > LIMIT else ""
    ends = " to ".join(f"{100 * (end / middle - 1):+.0f}" for end in (low, high))
    return f"{words}: {middle:.0f} km, {ends} %{named} ({doubts})"


def main():
    study = with_full_throttle_defaults(read_study(STUDY))
    wanted = sys.argv[1:] or list(CHANGES)
    print(line("no flight, all stay", band(study, variants.given_tables(study), {})), flush=True)
    for words in wanted:
        print(line(words, band(*flown(study), CHANGES[words])), flush=True)


if __name__ == "__main__":
    main()
