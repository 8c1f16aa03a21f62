"""Write the demonstration of the command fit: studies/measured/godwit.toml and studies/measured/godwit_flight.csv.

Run: python tests/bench/fit_demo.py. The wing is the invented Godwit with factors that are printed in the header of the
file. Scale, bags, charger and logger have the noise that the fit assumes. Equal seeds write equal files.
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from helpers.invented.hidden_wings import flown_log, hidden_wing, measured_text, put_back
from helpers.invented.invented_log import COLUMNS

from tradestudy.study.reader import read_study
from tradestudy.uncertainty.fit.factored_wing import FitWing

SEED = 11
DRAG = 1.15  # factor on drag of section and fins that the fit should find
HEADER = """\
# The Godwit measured: scale, bags, charger and one flight of which the log stands beside, godwit_flight.csv.
# Try: tradestudy fit studies/godwit.toml studies/measured/godwit.toml studies/measured/godwit_flight.csv
#
# Nothing here was measured. python tests/bench/fit_demo.py made it, seed {seed}, from a Godwit whose truth is, times
# the model: {truth}.
# The current sensor shows {sensor:.3f} of the truth; the wind blew with {wind:.1f} m/s. 1 Hz, thermals, gaps.

"""


def main():
    folder = Path(__file__).parents[2] / "studies"
    wing = FitWing(read_study(folder / "godwit.toml"))
    hidden = hidden_wing(wing, SEED)
    hidden = hidden._replace(factors={**hidden.factors, "drag": DRAG})
    log = flown_log(wing, hidden, rounds=1, glides=1)
    truth = ",\n# ".join(f"{name.replace('_', ' ')} {value:.3f}" for name, value in hidden.factors.items())
    header = HEADER.format(seed=SEED, truth=truth, sensor=hidden.sensor, wind=float((hidden.wind**2).sum() ** 0.5))
    text = header + measured_text(wing, hidden, COLUMNS) + put_back(hidden, log)
    (folder / "measured" / "godwit.toml").write_text(text, encoding="utf-8")
    (folder / "measured" / "godwit_flight.csv").write_text(log.text, encoding="utf-8", newline="\n")
    print(f"{len(log.text)} bytes; hidden range {1e-3 * wing.range_of(hidden.factors):.1f} km")


if __name__ == "__main__":
    main()
