"""Failure modes of half a wing, one function for each with its source, and the mode that breaks first.

A utilisation is applied load over allowable load, so 1 is failure. Every mode returns that of a unit load, which is one
newton of shear or one newton metre of bending, for each station. The loads of all conditions multiply it. A rounded
magnitude removes the sign, because one rod of a pair is pressed whichever way the wing bends. Rod modes have the shape
(..., n_set, n_station), the others (..., n_station).

Cautions: foam strengths scatter by a factor of two, and glue lines by more. The results are estimates and do not show
airworthiness.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from .cut_centre import CutCentre, centre_utilisations, rounded_distance
from .foam_bed import BUCKLING_KNOCKDOWN, foundation_modulus, rod_buckling_load
from .foam_section import crushing_reserve, with_station
from .rods import RodSets, has_uneven_sets, pressed_when_lifted
from .stiffness import Stiffness
from .wing_parts import Foam, Joiner, WingParts

# Names in words for a builder. Every rod mode comes once for each rod set, in this order; the wing modes follow.
ROD_MODES = (
    "rod pulled apart",
    "rod crushed",
    "rod buckling in the foam",
    "foam shear between the rods",
    "rod tearing loose from the foam",
    "rod failing where it crosses the cut centre",
    "rod's lap at the centre tearing out",
)
WING_MODES = (
    "foam crushed in bending",
    "foam shear away from the rods",
    "joiner bending",
    "joiner bending across the cut centre",
    "foam crushed at the cut centre",
    "foam shear at the cut centre",
    "foam crushed by the joiner in its channel",
)

_SHEAR_MODES = (
    "foam shear between the rods",
    "rod tearing loose from the foam",
    "foam shear away from the rods",
    "foam shear at the cut centre",
)
_ONE_WAY = (0, 1, 2, 5)  # indices in ROD_MODES: pulled apart, crushed, buckling in the foam, failing at the cut centre
UTILISATION_ROUNDING = 1e-3  # utilisation below which the corner of a magnitude at zero is rounded [-]
_SHARPNESS_DOUBLINGS = 7  # 2^7 = 128 is the exponent rho in ``smooth_greatest``


class UnitShares(NamedTuple):
    """What one newton of shear and one newton metre of bending do to the rods, which several modes use."""

    along_rod: Any  # curvature of a rod times its presence (..., n_set, n_station) [1/N m^2]
    shear_flow: Any  # shear flow from the foam into one rod (..., n_set, n_station) [1/m]


def rounded_size(utilisation: np.ndarray, out: np.ndarray | None = None) -> np.ndarray:
    """Return the size (...) of a signed utilisation (...) [-], with a rounded corner at zero. [-]

    This is our own definition. The result is never below UTILISATION_ROUNDING. ``out`` (...) [-] receives the result
    and may be the utilisation itself.
    """
    real = _common_real(utilisation)
    size = np.sqrt(real * real + UTILISATION_ROUNDING**2)
    if not np.iscomplexobj(utilisation):
        return size
    # A complex square root costs five times as much as computing value and slope separately.
    result = np.empty(utilisation.shape, complex) if out is None else out
    np.multiply(real / size, utilisation.imag, out=result.imag)
    result.real = size
    return result


def unit_shares(stiffness: Stiffness, rods: RodSets) -> UnitShares:
    """Return curvature of the rods and shear flow into them under unit loads.

    Statics: each pair carries a share of the shear equal to its share of EI. A rod at an angle to the axis is strained
    less. A set without pairs carries nothing and cannot fail.
    """
    exists = rods.pairs / (rods.pairs + 1e-6)
    presence = stiffness.presence * exists[..., None] / stiffness.bending_rigidity[..., None, :]
    return UnitShares(presence * stiffness.axis_cosine * stiffness.axis_cosine, stiffness.flow_rigidity * presence)


def fibre_stress(share: UnitShares, stiffness: Stiffness, rods: RodSets) -> np.ndarray:
    """Return the stress (..., n_set, n_station) of the outer fibre, times the presence of the rod. [Pa/(N m)]

    Statics: E kappa (lever + d/2), with curvature kappa and rod diameter d.
    """
    return with_station(rods.youngs_modulus) * share.along_rod * (stiffness.lever + with_station(0.5 * rods.diameter))


def rod_tension(stress: np.ndarray, rods: RodSets) -> np.ndarray:
    """Return the utilisation (..., n_set, n_station) of the stretched rod's outer fibre. [1/N m]

    Statics: its ``stress`` (..., n_set, n_station) [Pa/(N m)] from ``fibre_stress`` over tensile strength.
    """
    return stress / with_station(rods.tensile_strength)


def rod_compression(stress: np.ndarray, rods: RodSets) -> np.ndarray:
    """Return the utilisation (..., n_set, n_station) of the pressed rod's outer fibre. [1/N m]

    Statics: its ``stress`` (..., n_set, n_station) [Pa/(N m)] from ``fibre_stress`` over compressive strength. This is
    crushing of the rod itself. In bead foam the rod buckles first.
    """
    return stress / with_station(rods.compressive_strength)


def rod_buckling(share: UnitShares, stiffness: Stiffness, rods: RodSets, bed: Any) -> np.ndarray:
    """Return the utilisation (..., n_set, n_station) of the pressed rod in its foam bed. [1/N m]

    The axial force E A kappa lever is divided by BUCKLING_KNOCKDOWN times ``rod_buckling_load``. The latter uses the
    modulus k of the ``bed`` (..., n_set) [Pa]. A rod whose inner end is cut carries half of that load, since a loaded
    free end buckles at sqrt(k E I). Source: Hetenyi, semi-infinite beam.
    """
    allowable = (0.5 * BUCKLING_KNOCKDOWN) * (1.0 + rods.continuity) * rod_buckling_load(bed, rods)
    return with_station(stiffness.rod_axial / allowable) * share.along_rod * stiffness.lever


def web_shear(share: UnitShares, stiffness: Stiffness, foam: Foam) -> np.ndarray:
    """Return the utilisation (..., n_set, n_station) of the foam between the rods of a pair. [1/N]

    Statics: V / (K h^2) over shear strength. V is the shear force of the pair and h its spacing, so V / h is the shear
    flow. K h is the equivalent width of the web, with K from ``stiffness.web_factor``.
    """
    return share.shear_flow / (stiffness.web_factor * stiffness.spacing * _with_rod_axes(foam.shear_strength))


def bond_shear(share: UnitShares, rods: RodSets, foam: Foam) -> np.ndarray:
    """Return the utilisation (..., n_set, n_station) of the glue line. [1/N]

    The shear flow V / h is divided by the perimeter pi d of the rod and by the shear strength of the foam. Foam-safe
    adhesives are stronger than the foam, so the foam on the wall of the slot fails. The full perimeter is assumed to be
    glued: common practice, no source.
    """
    return share.shear_flow / (with_station(np.pi * rods.diameter) * _with_rod_axes(foam.shear_strength))


def foam_bending(stiffness: Stiffness, foam: Foam) -> np.ndarray:
    """Return the utilisation (..., n_station) of the foam's outer fibre. [1/N m]

    Statics: E kappa t/2 over compressive strength, with curvature kappa and thickness t. A shift of the neutral axis is
    added to t/2. The start of crushing is no break, so the result is divided by ``foam_section.crushing_reserve``.
    """
    per_strain = with_station(foam.youngs_modulus / foam.compressive_strength)
    farthest = 0.5 * stiffness.shape.thickness + rounded_distance(stiffness.neutral_axis)
    reserve = crushing_reserve(stiffness.foam_rigidity / stiffness.bending_rigidity)
    return per_strain * farthest / (reserve * stiffness.bending_rigidity)


def foam_shear(stiffness: Stiffness, foam: Foam) -> np.ndarray:
    """Return the utilisation (..., n_station) of the foam section in shear. [1/N]

    Statics: 1.5 V/A over shear strength. A is the area of the section and V the foam's share of the shear force.
    """
    allowable = stiffness.bending_rigidity * stiffness.shape.area * with_station(foam.shear_strength)
    return 1.5 * stiffness.foam_rigidity / allowable


def joiner_bending(stiffness: Stiffness, joiner: Joiner) -> np.ndarray:
    """Return the utilisation (..., n_station) of the joiner, which bends with the wing. [1/N m]

    Statics: E kappa d/2 over its bending strength, with curvature kappa and diameter d.
    """
    per_curvature = with_station(0.5 * joiner.youngs_modulus * joiner.diameter / joiner.strength)
    return per_curvature * stiffness.joiner_presence / stiffness.bending_rigidity


def unit_utilisations(stiffness: Stiffness, parts: WingParts, cut: CutCentre) -> np.ndarray:
    """Return the utilisation of every mode under a unit load. [1/N], [1/N m]

    The unit load is one newton of shear or one newton metre of bending, depending on which load drives the mode. The
    result has the shape (..., n_mode, n_station), in the order of ``mode_names``. Modes of the cut centre exist at the
    first station only. This is statics; each mode states its source.
    """
    foam, rods = parts.foam, parts.rods
    share, bed = unit_shares(stiffness, rods), foundation_modulus(foam, rods)
    stress = fibre_stress(share, stiffness, rods)
    along_rods = (
        rod_tension(stress, rods),
        rod_compression(stress, rods),
        rod_buckling(share, stiffness, rods, bed),
        web_shear(share, stiffness, foam),
        bond_shear(share, rods, foam),
    )
    along_wing = foam_bending(stiffness, foam), foam_shear(stiffness, foam), joiner_bending(stiffness, parts.joiner)
    by_rod, by_lap, *centre = centre_utilisations(stiffness, parts, cut, bed)

    batch = np.broadcast(along_wing[0][..., 0], *centre).shape
    kind = np.result_type(*along_rods, *along_wing, by_rod, by_lap, *centre)
    n_set, n_station = stress.shape[-2:]
    n_rod_modes = len(ROD_MODES) * n_set
    unit = np.zeros((*batch, n_rod_modes + len(WING_MODES), n_station), kind)
    for place, mode in enumerate(along_rods):
        unit[..., place * n_set : (place + 1) * n_set, :] = mode
    for place, mode in enumerate((by_rod, by_lap), len(along_rods)):
        unit[..., place * n_set : (place + 1) * n_set, 0] = mode
    if has_uneven_sets(rods):
        _sign_one_way_modes(unit, pressed_when_lifted(rods))
    for place, mode in enumerate(along_wing, n_rod_modes):
        unit[..., place, :] = mode
    for place, mode in enumerate(centre, n_rod_modes + len(along_wing)):
        unit[..., place, 0] = mode
    return unit


def one_way_modes(rods: RodSets) -> frozenset[int]:
    """Return the modes that break only when the wing bends one way, as indices in ``mode_names``. [-]

    By definition these are modes of rods near one skin alone. The result is empty where all sets are pairs.
    """
    if not has_uneven_sets(rods):
        return frozenset()
    sets = np.flatnonzero(pressed_when_lifted(rods))
    n_set = np.shape(rods.pairs)[-1]
    return frozenset(int(mode * n_set + index) for mode in _ONE_WAY for index in sets)


def _sign_one_way_modes(unit: np.ndarray, pressed: np.ndarray) -> None:
    """Give modes of rods near one skin alone a sign: positive where lift breaks them, negative otherwise."""
    for mode in _ONE_WAY:
        signs = np.where(pressed < 0.0, -1.0, 1.0) if mode else np.where(pressed > 0.0, -1.0, 1.0)
        unit[..., mode * pressed.size : (mode + 1) * pressed.size, :] *= signs[:, None]


def loaded_utilisations(
    unit: np.ndarray, shear: Any, bending_moment: Any, one_way: frozenset[int] = frozenset()
) -> np.ndarray:
    """Return the utilisations under loads: unit utilisations times load. [-]

    This is statics and needs no source.

    Parameters
    ----------
    unit : (..., n_mode, n_station) array
        Utilisations under unit loads from ``unit_utilisations``. [1/N], [1/N m]
    shear, bending_moment : (..., n_condition, n_station) array
        Internal loads. [N], [N m]
    one_way : frozenset of int
        Indices of modes from ``one_way_modes``. [-]

    Returns
    -------
    loaded_utilisations : (..., n_condition, n_mode, n_station) array
        Modes in the order of ``mode_names``. Modes of the cut centre exist at the first station only. [-]
    """
    return _size_by_direction(signed_utilisations(unit, shear, bending_moment), one_way)


def _size_by_direction(signed: np.ndarray, one_way: frozenset[int]) -> np.ndarray:
    """Return the size of signed utilisations; one-way modes keep their positive part only. [-]

    The argument is overwritten.
    """
    for mode in one_way:
        row = signed[..., mode, :]
        size = np.sqrt(row.real**2 + UTILISATION_ROUNDING**2)
        part = 0.5 * (row.real + size)
        signed[..., mode, :] = part + 1j * (part / size * row.imag) if np.iscomplexobj(row) else part
    return rounded_size(signed, out=signed)


def signed_utilisations(unit: np.ndarray, shear: Any, bending_moment: Any) -> np.ndarray:
    """Return utilisations (..., n_condition, n_mode, n_station) with their sign, as for ``loaded_utilisations``. [-]

    A value is positive where lift breaks the part.
    """
    by_shear = _driven_by_shear(unit.shape[-2])
    load = np.where(by_shear, np.asarray(shear)[..., None, :], np.asarray(bending_moment)[..., None, :])
    return unit[..., None, :, :] * load


@lru_cache(maxsize=32)
def _driven_by_shear(n_mode: int) -> np.ndarray:
    """Return whether shear drives each mode (n_mode, 1), and not bending."""
    n_set = (n_mode - len(WING_MODES)) // len(ROD_MODES)
    of_rods = np.repeat([mode in _SHEAR_MODES for mode in ROD_MODES], n_set)
    return np.concatenate([of_rods, [mode in _SHEAR_MODES for mode in WING_MODES]])[:, None]


def mode_names(set_names: Sequence[str]) -> list[str]:
    """Return the names of all modes in order, by definition. [words]

    Parameters
    ----------
    set_names : sequence of str
        Name of each rod set.

    Returns
    -------
    mode_names : list of str
        Names such as "rod buckling in the foam (main)".
    """
    return [f"{mode} ({name})" for mode in ROD_MODES for name in set_names] + list(WING_MODES)


def smooth_greatest(utilisation: np.ndarray) -> np.ndarray:
    """Return a smooth upper bound on the greatest utilisation over all modes and stations.

    Parameters
    ----------
    utilisation : (..., n_mode, n_station) array
        Positive utilisations. [-]

    Returns
    -------
    smooth_greatest : (...) array
        Smooth maximum. [-]

    Notes
    -----
    Source: the Kreisselmeier-Steinhauser function applied to the logarithm of the utilisations u. It becomes
    (sum u^rho)^(1/rho) with rho = 128. Because of the logarithm, the result is proportional to the loads. For n values
    it exceeds the greatest by a relative amount of at most ln(n)/128.

    >>> float(smooth_greatest(np.array([[0.2, 0.5], [0.1, 0.3]])).round(6))
    0.5
    """
    real = _common_real(utilisation)
    scale = np.maximum.reduce(real, axis=(-2, -1), keepdims=True)
    power = real / scale
    for _ in range(_SHARPNESS_DOUBLINGS):
        power *= power
    total = np.add.reduce(power, axis=(-2, -1), keepdims=True)
    greatest = scale * total ** (1.0 / 2**_SHARPNESS_DOUBLINGS)
    if not np.iscomplexobj(utilisation):
        return greatest[..., 0, 0]
    slope = np.einsum("...ms,...ms->...", greatest / total * power / real, utilisation.imag)
    return greatest[..., 0, 0] + 1j * slope


def _common_real(value: np.ndarray) -> np.ndarray:
    """Return the real part. That of a complex step is reduced to length 1 along its first axis, where all are equal.

    The first axis then holds the directions of the step. Real designs keep their axis, also if they are all alike.
    """
    real = value.real
    if np.iscomplexobj(value) and real.ndim > 3 and (real == real[:1]).all():
        return real[:1]
    return real


def _with_rod_axes(value: Any) -> Any:
    """Return a value (...) with added axes for rod sets and stations, (..., 1, 1). A float stays a float."""
    return with_station(with_station(value))
