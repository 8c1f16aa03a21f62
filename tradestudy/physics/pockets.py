"""Servo holes and cable channels in a panel: what foam they leave to carry the shear, and rods that cross them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np


class Pocket(NamedTuple):
    """One hole cut into the foam from one skin, of one half wing."""

    inner_end: float  # from the centre line [m]
    outer_end: float  # from the centre line [m]
    front: float  # behind the leading edge there [m]
    length: float  # fore and aft [m]
    depth: float  # below the skin [m]


def web_left(pocket, rod_place, web_width, thickness):
    """Return the share of the foam web between a pair of rods that a pocket leaves.

    Parameters
    ----------
    pocket : Pocket
        See there.
    rod_place, web_width, thickness : (...) array
        Behind the leading edge; equivalent width of the web, ``Stiffness.web_factor`` times ``spacing``; section at the
        rods. [m]

    Returns
    -------
    web_left : (...) array
        One less what the pocket takes: the share of the web's width it cuts into, times its depth over the section.
        A bound on the safe side where the web's field could spread around it: judgement, no source. [-]
    """
    first = np.maximum(rod_place - 0.5 * web_width, pocket.front)
    last = np.minimum(rod_place + 0.5 * web_width, pocket.front + pocket.length)
    return 1.0 - np.maximum(last - first, 0.0) / web_width * np.minimum(pocket.depth / thickness, 1.0)


def crosses(pocket, rod_place, radius, slot_depth, from_same_side=True):
    """Return whether a rod (...) runs through the pocket, its slot opened over the pocket's span. [bool]

    Place and radius of the rod, depth of its slot (...) [m].
    """
    beside = (rod_place + radius > pocket.front) & (rod_place - radius < pocket.front + pocket.length)
    return beside & (pocket.depth > slot_depth - 2.0 * radius) & from_same_side


def free_rod_load(pocket, rigidity):
    """Return the force at which a rod with no foam around it buckles across a pocket.

    Euler's column between two hinges, pi^2 EI / L^2: the foam at the walls holds less than a clamp does. E I of one
    rod (...) [N m^2]; free_rod_load (...) [N].
    """
    return np.pi**2 * rigidity / (pocket.outer_end - pocket.inner_end) ** 2
