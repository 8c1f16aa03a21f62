"""What half a wing is made of: foam section, foam, covering, rods and joiner; from catalogue entries where given."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from .rods import RodSets


class FoamSection(NamedTuple):
    """Foam section by its coefficients; every field (...), for unit foam chord."""

    area_coefficient: Any  # area / chord^2 [-]
    inertia_coefficient: Any  # second moment about the chord line / chord^4 [-]
    torsion_coefficient: Any  # torsion constant of the solid section / chord^4 [-]
    perimeter_coefficient: Any  # outline length / chord [-]
    thickness_coefficient: Any  # greatest thickness / chord [-]
    skin_inertia_coefficient: Any = 0.0  # integral of z^2 along the outline / chord^3 [-]


class StationSections(NamedTuple):
    """Foam sections that differ along the span, for unit foam chord; every field (..., n_station) but the last."""

    area_coefficient: Any  # area / chord^2 [-]
    inertia_coefficient: Any  # second moment about the chord line / chord^4 [-]
    torsion_coefficient: Any  # torsion constant of the solid section / chord^4 [-]
    perimeter_coefficient: Any  # outline length / chord [-]
    thickness_coefficient: Any  # greatest thickness / chord [-]
    thickness_fraction: Any  # thickness at the rods' inner ends over foam chord (..., n_set, n_station) [-]
    skin_inertia_coefficient: Any = 0.0  # integral of z^2 along the outline / chord^3, a number or (..., 1) [-]
    thickness_change: Any = 0.0  # at the rods' outer ends less that at the inner ones (..., n_set, n_station) [-]


class Foam(NamedTuple):
    """Foam of the core; every field (...)."""

    youngs_modulus: Any  # [Pa]
    shear_modulus: Any  # [Pa]
    shear_strength: Any  # [Pa]
    compressive_strength: Any  # [Pa]
    poisson_ratio: Any  # [-]


class Covering(NamedTuple):
    """Film on both surfaces; every field (...)."""

    youngs_modulus: Any  # [Pa]
    shear_modulus: Any  # [Pa]
    thickness: Any  # [m]
    bond: Any  # share of the film's ideal shear stiffness that the bond transmits [-]


class Joiner(NamedTuple):
    """Stiff rod across the middle, near the section's mid-plane; every field (...)."""

    youngs_modulus: Any  # [Pa]
    strength: Any  # bending strength [Pa]
    diameter: Any  # zero for no joiner [m]
    length: Any  # total length, both halves [m]


class WingParts(NamedTuple):
    """All parts of half a wing; no sets of rods, or no pairs, is a wing of foam alone."""

    section: FoamSection | StationSections
    foam: Foam
    covering: Covering
    rods: RodSets
    joiner: Joiner


def foam_from_catalogue(part: Mapping[str, Any], pessimistic: bool = False) -> Foam:
    """Return the Foam (...) of a catalogue entry ``part`` in SI, its weak variant if ``pessimistic``; bookkeeping."""
    return Foam._make(_catalogue_value(part, field, pessimistic) for field in Foam._fields)


def covering_from_catalogue(part: Mapping[str, Any], bond: Any, bond_pessimistic: Any = None) -> Covering:
    """Return the Covering of a catalogue entry ``part`` in SI and the bond factor (...) [-], bookkeeping.

    With ``bond_pessimistic`` (...) [-], that factor and the film's weak values are taken.
    """
    pessimistic = bond_pessimistic is not None
    return Covering(
        youngs_modulus=_catalogue_value(part, "youngs_modulus", pessimistic),
        shear_modulus=_catalogue_value(part, "shear_modulus", pessimistic),
        thickness=part["thickness"],
        bond=bond_pessimistic if pessimistic else bond,
    )


def rods_from_catalogue(parts: Sequence[Mapping[str, Any]], **geometry: Any) -> RodSets:
    """Return the RodSets of catalogue entries, ``parts`` in SI, one per set; bookkeeping.

    ``geometry`` are the fields (..., n_set) of RodSets that no material decides, in SI: diameter, pairs, ends.
    """
    fields = ("youngs_modulus", "density", "tensile_strength", "compressive_strength")
    materials = {field: np.array([part[field] for part in parts], float) for field in fields}
    return RodSets(**materials, **{name: np.asarray(value) for name, value in geometry.items()})


def joiner_from_catalogue(part: Mapping[str, Any], diameter: Any, length: Any) -> Joiner:
    """Return the Joiner of a rod's catalogue entry ``part`` in SI, bookkeeping; a diameter of 0 is no joiner.

    Diameter and total length (...) in [m]. Its bending strength is the lesser of the tensile and compressive strengths.
    """
    return Joiner(
        youngs_modulus=part["youngs_modulus"],
        strength=min(part["tensile_strength"], part["compressive_strength"]),
        diameter=diameter,
        length=length,
    )


def _catalogue_value(part: Mapping[str, Any], field: str, pessimistic: bool) -> np.ndarray:
    """Return a field's weak value if ``pessimistic`` and the entry has one, its nominal value otherwise."""
    return np.asarray(part.get(f"{field}_pessimistic", part[field]) if pessimistic else part[field], float)
