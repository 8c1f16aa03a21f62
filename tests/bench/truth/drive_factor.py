"""The factor on the power of the drive, from every drive and flight that was measured. Nothing is asserted here.

Run: python tests/bench/truth/drive_factor.py. tradestudy/physics/flight/what_built_wings_lose.md says what follows.
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from helpers.references.measured_drives import evidence, mean  # noqa: E402


def main():
    found = evidence()
    for one in found:
        print(f"{one.what}: measured {one.ratio:.2f} of modelled, own error {one.error:.2f}; factor {one.factor:.2f}")
    factor, error = mean(found)
    print(f"all: {factor:.2f}, standard error {error:.2f}")
    for place, one in enumerate(found):
        print(f"without {one.what}: {mean(found[:place] + found[place + 1 :])[0]:.2f}")


if __name__ == "__main__":
    main()
