"""Parts of half a wing: foam section, foam, covering, rods and joiner, also from entries of the catalogue.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from .rods import RodSets


class FoamSection(NamedTuple):
    """Coefficients of a foam section. Every field has the shape (...)."""

    area_coefficient: Any  # area / chord^2 [-]
    inertia_coefficient: Any  # second moment about the chord line / chord^4 [-]
    torsion_coefficient: Any  # torsion constant of the solid section / chord^4 [-]
    perimeter_coefficient: Any  # outline length / chord [-]
    thickness_coefficient: Any  # greatest thickness / chord [-]
    skin_inertia_coefficient: Any = 0.0  # integral of z^2 along the outline / chord^3 [-]


class StationSections(NamedTuple):
    """Coefficients of foam sections that differ along the span. Fields are (..., n_station) unless stated."""

    area_coefficient: Any  # area / chord^2 [-]
    inertia_coefficient: Any  # second moment about the chord line / chord^4 [-]
    torsion_coefficient: Any  # torsion constant of the solid section / chord^4 [-]
    perimeter_coefficient: Any  # outline length / chord [-]
    thickness_coefficient: Any  # greatest thickness / chord [-]
    skin_inertia_coefficient: Any = 0.0  # integral of z^2 along the outline / chord^3 [-]


class Foam(NamedTuple):
    """Foam of the core. Every field has the shape (...)."""

    youngs_modulus: Any  # [Pa]
    shear_modulus: Any  # [Pa]
    shear_strength: Any  # [Pa]
    compressive_strength: Any  # [Pa]
    poisson_ratio: Any  # [-]


class Covering(NamedTuple):
    """Film on both surfaces. Every field has the shape (...)."""

    youngs_modulus: Any  # [Pa]
    shear_modulus: Any  # [Pa]
    thickness: Any  # [m]
    bond: Any  # share of the film's ideal shear stiffness that the bond transmits [-]


class Joiner(NamedTuple):
    """Stiff rod across the middle of the wing, near the section's mid-plane. Every field has the shape (...)."""

    youngs_modulus: Any  # [Pa]
    strength: Any  # bending strength [Pa]
    diameter: Any  # outside diameter; zero means no joiner [m]
    length: Any  # total length in both halves of the wing [m]
    bore: Any = 0.0  # inside over outside diameter; 0 means solid [-]
    shear_modulus: Any = 0.0  # [Pa]
    channel: Any = 0.0  # width of its channel, which glue fills [m]


def joiner_rigidity(joiner: Joiner) -> Any:
    """Return E I (...) of the joiner. This is a definition. [N m^2]"""
    second_moment = np.pi * joiner.diameter**4 / 64.0 * (1.0 - joiner.bore**4)
    return joiner.youngs_modulus * second_moment


def joiner_torsion(joiner: Joiner) -> Any:
    """Return G J (...) of the joiner. The polar second moment of a round bar is twice its second moment. [N m^2]

    This is a definition.
    """
    return 2.0 * joiner.shear_modulus / joiner.youngs_modulus * joiner_rigidity(joiner)


class RodPlaces(NamedTuple):
    """Where straight rods lie at each station, each (..., n_set, n_station)."""

    fraction: Any  # place as a share of the foam chord [-]
    thickness_fraction: Any  # section thickness there over the foam chord [-]
    axis_cosine: Any  # cosine of the angle between rod and structural axis, seen from above [-]


class WingParts(NamedTuple):
    """All parts of half a wing. Without sets of rods, or with zero pairs, the wing is foam alone."""

    section: FoamSection | StationSections
    foam: Foam
    covering: Covering
    rods: RodSets
    joiner: Joiner
    places: RodPlaces | None = None  # of the middle line of the pairs of each set


def foam_from_catalogue(part: Mapping[str, Any], pessimistic: bool = False) -> Foam:
    """Return the Foam (...) of a catalogue entry ``part`` in SI.

    If ``pessimistic`` is true, it has the weak values of that entry. This is bookkeeping and needs no source.
    """
    return Foam._make(_catalogue_value(part, field, pessimistic) for field in Foam._fields)


def covering_from_catalogue(part: Mapping[str, Any], bond: Any, bond_pessimistic: Any = None) -> Covering:
    """Return the Covering of a catalogue entry ``part`` in SI and a ``bond`` factor (...) [-].

    If ``bond_pessimistic`` (...) [-] is given, that factor and the film's weak values are used instead. This is
    bookkeeping and needs no source.
    """
    pessimistic = bond_pessimistic is not None
    return Covering(
        youngs_modulus=_catalogue_value(part, "youngs_modulus", pessimistic),
        shear_modulus=_catalogue_value(part, "shear_modulus", pessimistic),
        thickness=part["thickness"],
        bond=bond_pessimistic if pessimistic else bond,
    )


def rods_from_catalogue(parts: Sequence[Mapping[str, Any]], **geometry: Any) -> RodSets:
    """Return the RodSets of catalogue entries ``parts`` in SI, one for each set.

    ``geometry`` gives the fields (..., n_set) of RodSets that do not depend on the material, in SI. Examples are
    diameter, pairs and ends. This is bookkeeping and needs no source.
    """
    fields = ("youngs_modulus", "density", "tensile_strength", "compressive_strength")
    values: dict[str, Any] = {field: np.array([part[field] for part in parts], float) for field in fields}
    return RodSets(**values, **{name: np.asarray(value) for name, value in geometry.items()})


def joiner_from_catalogue(
    part: Mapping[str, Any], diameter: Any, length: Any, bore: Any = 0.0, channel: Any = 0.0
) -> Joiner:
    """Return the Joiner of a rod's catalogue entry ``part`` in SI.

    Diameter, total length and width of the channel are (...) in [m]. A diameter of 0 means no joiner. ``bore`` (...) is
    the inside over the outside diameter [-]. The bending strength is the lower of the tensile and compressive
    strengths. This is bookkeeping and needs no source.
    """
    return Joiner(
        youngs_modulus=part["youngs_modulus"],
        strength=min(part["tensile_strength"], part["compressive_strength"]),
        diameter=diameter,
        length=length,
        bore=bore,
        shear_modulus=part["shear_modulus"],
        channel=channel,
    )


def _catalogue_value(part: Mapping[str, Any], field: str, pessimistic: bool) -> Any:
    """Return the weak value of a field if ``pessimistic`` is true and the entry has one, else the nominal value."""
    value = part.get(f"{field}_pessimistic", part[field]) if pessimistic else part[field]
    return np.asarray(value, float) if np.ndim(value) else float(value)
