"""What built wings lose against the clean model: three factors, with medians and spreads from measured aircraft.

    drag area      = listed parts + section_drag x (section + fins) + wake_drag x drag from the wake
    electric power = drive_power x that of propeller, motor and controller

Listed parts have bands of their own, so no factor multiplies them. Factors of one are the clean model. The derivation
of the numbers is in ``what_built_wings_lose.md``; they are judgement from a small sample. The factors are applied in
``level_drag`` (section and fins), ``trimmed_flight`` (wake) and ``propulsion.drive_train`` (power).

The module imports no numpy, because a study is checked before numpy is loaded.
"""

from __future__ import annotations

from typing import Any, NamedTuple


class BuiltFactors(NamedTuple):
    """The three factors, or numbers that belong to them. Every field has the shape (...). [-]"""

    section_drag: Any = 1.0  # on the drag of section and fins
    wake_drag: Any = 1.0  # on the drag from the wake
    drive_power: Any = 1.0  # on the electric power of the drive


CLEAN = BuiltFactors()
MEDIAN = BuiltFactors(section_drag=1.25, wake_drag=1.3, drive_power=1.0)
# Standard deviations of the logarithms, independent of each other. That of the drive is what the scatter of propellers
# and the bands of motor and controller leave of 0.13 in all.
SPREAD = BuiltFactors(section_drag=0.28, wake_drag=0.20, drive_power=0.09)


def combined(one: BuiltFactors, other: BuiltFactors) -> BuiltFactors:
    """Return the factors (...) of two causes together: the product of each pair, by definition."""
    return BuiltFactors(*(first * second for first, second in zip(one, other, strict=True)))
