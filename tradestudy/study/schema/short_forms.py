"""Short forms of a motor and a pack, each in one line of text, such as "35 mm, 750 rpm/V" and "3S4P Li-ion"."""

from __future__ import annotations

import re
from typing import Any

from tradestudy.catalogue import catalogue_parts
from tradestudy.quantities import to_si
from tradestudy.study.value_text import UNIT_ALIASES, as_written

from .key_types import KeyType

_CHEMISTRIES = {
    "liion": "lithium-ion",
    "lithiumion": "lithium-ion",
    "ion": "lithium-ion",
    "lipo": "lithium-polymer",
    "lithiumpolymer": "lithium-polymer",
    "polymer": "lithium-polymer",
    "lifepo": "lithium-iron-phosphate",
    "life": "lithium-iron-phosphate",
    "lfp": "lithium-iron-phosphate",
    "lithiumironphosphate": "lithium-iron-phosphate",
    "": "lithium-ion",
}
_LEAST_SPEED_CONSTANT, _MOST_SPEED_CONSTANT = 100, 10000  # range of the speed constant [rpm/V]
MOST_CELLS = 12  # largest number of cells in series, and largest number in parallel


def motor_in_short(meaning: str) -> KeyType:
    """Return the type of the short form of a motor. It is read as (frame class, speed constant [rad/s/V])."""
    advice = 'write size and rpm/V, such as "35 mm, 750 rpm/V"'

    def read(value: Any) -> tuple[str, float]:
        units = "|".join(["rpm/V", *(alias for alias, unit in UNIT_ALIASES.items() if unit == "rpm/V")])
        size, turns = r"\s*(\d{2})\d{0,2}\s*(?:mm)?(?:\s*class)?", r"(\d+(?:\.\d+)?)"
        match = re.fullmatch(rf"{size}[\s,;]+{turns}\s*({units})\s*", value) if isinstance(value, str) else None
        if not match:
            raise ValueError(f"is {as_written(value)}; {advice}.")
        sizes, speed_constant = list(catalogue_parts("motor_classes")), float(match.group(2))
        if f"{match.group(1)} mm" not in sizes:
            raise ValueError(
                f"is {as_written(value)}; known sizes are {', '.join(sizes)} (the stator, the first two digits "
                "of the maker's four)."
            )
        if not _LEAST_SPEED_CONSTANT <= speed_constant <= _MOST_SPEED_CONSTANT:
            raise ValueError(
                f"is {as_written(value)}; {_LEAST_SPEED_CONSTANT} to {_MOST_SPEED_CONSTANT} rpm/V is allowed."
            )
        return f"{match.group(1)} mm", to_si(speed_constant, "rpm/V", "speed_constant")

    return KeyType("motor in short", "size in mm and rpm/V", meaning, read)


def pack_in_short(meaning: str) -> KeyType:
    """Return the type of the short form of a pack. It is read as (cells in series, cells in parallel, chemistry)."""
    advice = 'write cells and chemistry, such as "3S4P Li-ion" or "4S LiPo"'

    def read(value: Any) -> tuple[int, int, str]:
        match = (
            re.fullmatch(r"\s*(\d+)\s*[sS]\s*(?:(\d+)\s*[pP])?\s*,?\s*([A-Za-z \-]*4?)\s*", value)
            if isinstance(value, str)
            else None
        )
        chemistry = _CHEMISTRIES.get(re.sub(r"[^a-z]", "", match.group(3).lower())) if match else None
        if not match or chemistry is None:
            raise ValueError(f"is {as_written(value)}; {advice}.")
        series, parallel = int(match.group(1)), int(match.group(2) or 1)
        if not (1 <= series <= MOST_CELLS and 1 <= parallel <= MOST_CELLS):
            raise ValueError(f"is {as_written(value)}; 1 to {MOST_CELLS} cells in series and in parallel are allowed.")
        return series, parallel, chemistry

    return KeyType("pack in short", "series, parallel, Li-ion, LiPo or LiFePO4", meaning, read)
