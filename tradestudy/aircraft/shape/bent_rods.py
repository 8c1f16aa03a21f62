"""Whether the skin bends a rod more than straight stock allows, where its slot follows the skin."""

from __future__ import annotations

from collections.abc import Iterable

from tradestudy.catalogue import catalogue_part
from tradestudy.physics.body import rod_limits, sprung_rod
from tradestudy.physics.body.skin import Skin
from tradestudy.physics.body.straight_rods import PlanLine
from tradestudy.quantities import in_unit
from tradestudy.study.schema.rods import RodTable


def bend_of_rods(skin: Skin, rods: Iterable[tuple[RodTable, float, PlanLine]]) -> list[tuple[int, str]]:
    """Return index and sentence for each set of rods that the skin bends too much.

    ``rods`` are tables with the diameter used [m] and the middle line in a wing with this skin. Rods halfway between
    the skins are bent by neither.
    """
    faults = []
    for index, (rod, diameter, line) in enumerate(rods):
        least = least_radius(rod, diameter)
        bent, station = sprung_rod.skin_bend_radius(skin, line)
        if rod.surface != "middle" and bent < least:
            faults.append(
                (
                    index,
                    f"the skin bends the rods to a radius of {in_unit(bent, 'mm'):.0f} mm, "
                    f"{in_unit(station, 'mm'):.0f} mm from the centre line. A rod of {in_unit(diameter, 'mm'):g} mm "
                    f"{rod.material} may stay bent to {in_unit(least, 'mm'):.0f} mm at least. Take thinner rods, or "
                    "place them where the skin is straighter",
                )
            )
    return faults


def least_radius(rod: RodTable, diameter: float) -> float:
    """Return the least radius to which the rods of a set may stay bent. [m]"""
    part = catalogue_part("rods", rod.material)
    strengths = (getattr(rod, key) or part[key] for key in ("tensile_strength", "compressive_strength"))
    return rod_limits.least_bend_radius(rod.youngs_modulus or part["youngs_modulus"], diameter, min(strengths))
