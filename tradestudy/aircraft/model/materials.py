"""What the wing is made of: the catalogue's numbers, with the builder's own measurements in their place."""

from __future__ import annotations

from typing import Any

from tradestudy.catalogue import catalogue_part
from tradestudy.study.schema.study import Study
from tradestudy.study.schema.wing import RodTable

FOAM = ("density", "youngs_modulus", "shear_modulus", "shear_strength", "compressive_strength")
COVERING = ("thickness", "youngs_modulus", "shear_modulus")
ROD = ("density", "youngs_modulus", "tensile_strength", "compressive_strength")


def foam(study: Study) -> dict[str, Any]:
    """Return the foam, SI, as `catalogue.part` does. A measured modulus brings the shear modulus along.

    Fitted factors are on it: one on its density, one on both moduli.
    """
    found = _in_step(_measured(catalogue_part("foams", study.foam.material), study.foam, FOAM), study.foam)
    if study.fitted is None:
        return found
    stiff = {
        name: value * study.fitted.foam_stiffness
        for name, value in found.items()
        if name.removesuffix("_pessimistic") in ("youngs_modulus", "shear_modulus")
    }
    return {**found, **stiff, "density": found["density"] * study.fitted.foam_density}


def covering(study: Study) -> dict[str, Any]:
    """Return the covering, SI. Its mass goes with a measured thickness, its shear modulus with a measured modulus."""
    told, found = study.covering, catalogue_part("coverings", study.covering.material)
    changed = _in_step(_measured(found, told, COVERING), told)
    if told.thickness is not None:
        changed["areal_mass"] = found["areal_mass"] * told.thickness / found["thickness"]
    if study.fitted is not None:
        changed["areal_mass"] = changed["areal_mass"] * study.fitted.covering
    return changed


def adhesive(study: Study) -> float:
    """Return the mass per area of what the covering is glued with, its fitted factor on it. [kg/m^2]"""
    return study.covering.adhesive * (study.fitted.covering if study.fitted else 1.0)


def bond(study: Study) -> float:
    """Return the share of the film's ideal shear stiffness that its bond passes on, the fitted factor on it. [-]"""
    return study.covering.bond * (study.fitted.film_bond if study.fitted else 1.0)


def rod(told: RodTable) -> dict[str, Any]:
    """Return what a set of rods is made of, SI."""
    return _measured(catalogue_part("rods", told.material), told, ROD)


def _measured(found: dict[str, Any], told: Any, names: tuple[str, ...]) -> dict[str, Any]:
    """Put measured values in; what was measured has no weak end of its own."""
    given = {name: getattr(told, name) for name in names if getattr(told, name) is not None}
    kept = {name: value for name, value in found.items() if name.removesuffix("_pessimistic") not in given}
    return {**kept, **given} if given else dict(found)


def _in_step(found: dict[str, Any], told: Any) -> dict[str, Any]:
    if told.youngs_modulus is None or told.shear_modulus is not None:
        return found
    kind = "foams" if "poisson_ratio" in found else "coverings"
    book = catalogue_part(kind, told.material)
    found["shear_modulus"] = book["shear_modulus"] * told.youngs_modulus / book["youngs_modulus"]
    found.pop("shear_modulus_pessimistic", None)
    return found
