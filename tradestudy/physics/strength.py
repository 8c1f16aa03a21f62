"""The structure of one design: the beam of `structure` laid into the outline of `layout`."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from . import layout, mass, planform, structure
from .mesh import half_wing_mesh
from .stiffness import Covering, Foam, Joiner, RodSets, Section


class StrengthData(NamedTuple):
    """What stays the same while the choices vary. SI."""

    layout: layout.LayoutData
    section: Section
    foam: Foam
    covering: Covering
    rods: RodSets  # the first set takes the chosen diameter and number; ends are the stock wing's
    joiner: Joiner
    bay_half_width: float
    remaining_foam: float


def wing_structure(data, extension, sweep, washout, rod_diameter, rod_pairs, load_factor, strip_lift, strip_moment):
    """Return the structure.WingStructure of one design in the load conditions.

    Parameters
    ----------
    data : StrengthData
    extension, sweep, washout, rod_diameter, rod_pairs : (...) arrays
        [m], [rad], [rad], [m], [-]
    load_factor : (..., n_condition) array
        Of the load conditions only. [-]
    strip_lift, strip_moment : (..., n_condition, n_strip) arrays
        Lift, and pitching moment about the nose datum, of the half wing's lattice strips. [N], [N m]
    """
    wing = layout.outline(data.layout, extension, sweep, washout)
    mesh = half_wing_mesh(wing)
    edges = np.concatenate([mesh.inner_edge[..., 1], mesh.outer_edge[..., -1:, 1]], axis=-1)
    middle = mesh.middle[..., 1]
    edge_x, foam_edge = planform.interpolated(wing, (wing.leading_edge, wing.foam_chord), edges)
    middle_x, foam, elevon = planform.interpolated(
        wing, (wing.leading_edge, wing.foam_chord, wing.elevon_chord), middle)
    rods, rod_mass = _chosen_rods(data, wing, rod_diameter, rod_pairs)
    width = np.diff(edges, axis=-1)
    strip_mass = sum(mass.mass_per_length(data.layout.materials, foam, elevon).values()) * width + rod_mass * width
    quarter = middle_x + 0.25 * (foam + elevon)
    fin = layout.tip_fin(data.layout, wing, planform.areas(wing))
    tip_mass, tip_x = _tip_mass(data, fin, wing)
    panel_sweep = np.arctan((wing.leading_edge[..., -1] - wing.leading_edge[..., -2])
                            / (wing.station[..., -1] - wing.station[..., -2]))
    axis_sweep = np.where(edges.real >= wing.station[..., -2, None].real - 1e-9, panel_sweep[..., None], 0.0 * edges)
    return structure.wing_structure(
        edges, foam_edge, edge_x, axis_sweep, data.section, data.foam, data.covering, rods, data.joiner,
        strip_lift, load_factor, strip_mass, quarter, middle_x + 0.45 * (foam + elevon),
        strip_moment + strip_lift * quarter[..., None, :], tip_mass, tip_x, data.bay_half_width,
        data.remaining_foam, strip_y=middle)


def deflection_share(data, extension, tip_deflection):
    """Return tip deflection (..., n_condition) over the semi-span that ``extension`` (...) leads to. [-]"""
    return tip_deflection / np.asarray(data.layout.stock.semi_span + extension)[..., None]


def stations(data, extension, sweep, washout):
    """Return strip edges along the half span (n_station,) of one design. [m]"""
    mesh = half_wing_mesh(layout.outline(data.layout, extension, sweep, washout))
    return np.concatenate([mesh.inner_edge[..., 1], mesh.outer_edge[..., -1:, 1]], axis=-1)


def _chosen_rods(data, wing, rod_diameter, rod_pairs):
    """Rod sets with the chosen first set and ends moved with the tip; mass per metre of half span at strips."""
    zero = np.zeros_like(wing.semi_span)
    count = len(data.layout.rods)
    if count == 0:
        return data.rods, 0.0
    first = np.arange(count) == 0
    diameter = np.where(first, (rod_diameter + zero)[..., None], data.rods.diameter + zero[..., None])
    pairs = np.where(first, (rod_pairs + zero)[..., None], data.rods.pairs + zero[..., None])
    outer = np.stack([layout.rod_outer_end(run, data.layout.stock, wing) for run in data.layout.rods], axis=-1)
    linear = (data.rods.density * 0.25 * np.pi * diameter**2 * 2 * pairs).sum(-1)
    return data.rods._replace(diameter=diameter, pairs=pairs, outer_end=outer), linear[..., None]


def _tip_mass(data, fin, wing):
    if fin is None:
        return 0.0, 0.0
    lump = mass.fin_lump(fin, data.layout.fin_areal_mass, wing.leading_edge[..., -1])
    return 0.5 * lump.mass, lump.moment / lump.mass
