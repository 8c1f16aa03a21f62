"""Materials of the wing: catalogue values, replaced by the builder's measurements if there are any."""

from __future__ import annotations

from typing import Any

from tradestudy.catalogue import catalogue_part
from tradestudy.study.schema.rods import RodTable
from tradestudy.study.schema.study import Study

_FOAM = ("density", "youngs_modulus", "shear_modulus", "shear_strength", "compressive_strength")
_COVERING = ("thickness", "youngs_modulus", "shear_modulus")
_ROD = ("density", "youngs_modulus", "tensile_strength", "compressive_strength")


def foam(study: Study) -> dict[str, Any]:
    """Return the foam's values, SI, as `catalogue_part` does. A measured Young's modulus scales the shear modulus too.

    Fitted factors are applied: one to the density, one to both moduli.
    """
    values = _with_measured(catalogue_part("foams", study.foam.material), study.foam, _FOAM)
    if study.fitted is None:
        return values
    stiff = {
        name: value * study.fitted.foam_stiffness
        for name, value in values.items()
        if name.removesuffix("_pessimistic") in ("youngs_modulus", "shear_modulus")
    }
    return {**values, **stiff, "density": values["density"] * study.fitted.foam_density}


def covering(study: Study) -> dict[str, Any]:
    """Return the covering's values, SI.

    A measured thickness scales its mass, and a measured Young's modulus its shear modulus.
    """
    table, book = study.covering, catalogue_part("coverings", study.covering.material)
    values = _with_measured(book, table, _COVERING)
    if table.thickness is not None:
        values["areal_mass"] = book["areal_mass"] * table.thickness / book["thickness"]
    if study.fitted is not None:
        values["areal_mass"] *= study.fitted.covering
    return values


def adhesive(study: Study) -> float:
    """Return the mass per area of the covering's adhesive, times its fitted factor. [kg/m^2]"""
    return study.covering.adhesive * (study.fitted.covering if study.fitted else 1.0)


def bond(study: Study) -> float:
    """Return the share of the film's ideal shear stiffness that its bond transmits, times its fitted factor. [-]"""
    return study.covering.bond * (study.fitted.film_bond if study.fitted else 1.0)


def rod(table: RodTable) -> dict[str, Any]:
    """Return the material values of a set of rods, SI."""
    return _with_measured(catalogue_part("rods", table.material), table, _ROD)


def _with_measured(book: dict[str, Any], table: Any, names: tuple[str, ...]) -> dict[str, Any]:
    """Return the catalogue's values, replaced by measured ones. A measured value has no pessimistic counterpart.

    A measured Young's modulus scales the shear modulus, unless that was measured too.
    """
    given = {name: getattr(table, name) for name in names if getattr(table, name) is not None}
    if "youngs_modulus" in given and "shear_modulus" in names and "shear_modulus" not in given:
        given["shear_modulus"] = book["shear_modulus"] * given["youngs_modulus"] / book["youngs_modulus"]
    return {name: value for name, value in book.items() if name.removesuffix("_pessimistic") not in given} | given
