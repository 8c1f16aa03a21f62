"""The ledger of whole aircraft: measured against the model, case by case. Nothing is asserted here.

Run: python tests/bench/whole_aircraft.py. The same table stands in tests/published/README.md.
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from whole_aircraft_cases import ledger  # noqa: E402

if __name__ == "__main__":
    print("\n".join(ledger()))
