"""The ledger of whole aircraft: measured against the model, case by case. Nothing is asserted here.

Run: python tests/bench/truth/whole_aircraft.py [--write]. The same table stands in tests/published/README.md. With
--write, its short form is written to tradestudy/data/whole_aircraft.toml, which the page shows.
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from helpers.references.whole_aircraft_cases import ledger, short_form  # noqa: E402

DATA = Path(__file__).parents[3] / "tradestudy" / "data" / "whole_aircraft.toml"

if __name__ == "__main__":
    print("\n".join(ledger()))
    if "--write" in sys.argv:
        DATA.write_text(short_form(), encoding="utf-8")
