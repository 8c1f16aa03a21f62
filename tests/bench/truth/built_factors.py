"""The factors of what built wings lose, case by case, from measured polars. Nothing is asserted here.

Run: python tests/bench/truth/built_factors.py. tradestudy/physics/flight/what_built_wings_lose.md says what follows
from it.
"""

import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from helpers.references.whole_aircraft_cases import flown, rows  # noqa: E402

LISTED = (0.0, 20e-4)  # m2, parts in the air stream
LISTED_SHARE = 0.35  # gear, struts and motor of a tailed model over its clean drag; judgement
RISE = 0.09  # lift-dependent drag of a clean section over that of the wake; recomputed


def fitted(name, speed, drag_coefficient):
    """Return the factors on section and fins, and on the wake, that meet a polar best, for each listed area."""
    wing = flown(name)
    state, area = wing.level(speed), float(wing.shape.area)
    smooth = (state.profile + state.other) / wing.data.level.section_drag_factor
    wake = state.induced / wing.data.flight.wake_drag_factor
    lift = float(wing.shape.all_up_mass) * 9.80665 / (state.dynamic_pressure * area)
    total = drag_coefficient(lift) * area
    columns = np.stack([smooth, wake], axis=1) / total[:, None]
    found = [np.linalg.lstsq(columns, 1 - listed / total, rcond=None)[0] for listed in LISTED]
    efficiency = lift**2 * area**2 / (np.pi * wing.data.layout.stock.span**2 * wake)
    return found, efficiency


def main():
    polar = rows("whole_wing_polar.csv")
    speed, drag = (np.array([float(row[key]) for row in polar]) for key in ("speed_m_s", "drag_coefficient"))
    shown("W01", *fitted("w01", speed, lambda lift: drag))
    textbook = fitted("w03", np.linspace(13, 21, 5), lambda lift: 0.0254 + lift**2 / (np.pi * 0.9 * 7.815))
    shown("W03", *textbook)
    for row in rows("built_wing_polars.csv"):
        if row["case"] != "W03":
            section = float(row["without_lift"]) - LISTED_SHARE
            wake = float(row["due_to_lift"]) * (1 + RISE) - section * RISE
            print(f"{row['case']} grade {row['grade']}: section and fins {section:.2f}, wake {wake:.2f}")


def shown(name, found, efficiency):
    for listed, (section, wake) in zip(LISTED, found, strict=True):
        print(f"{name}, {1e4 * listed:.0f} cm2 listed: section and fins {section:.2f}, wake {wake:.2f}")
    print(f"    efficiency of the clean wake {efficiency.min():.2f} to {efficiency.max():.2f}")


if __name__ == "__main__":
    main()
