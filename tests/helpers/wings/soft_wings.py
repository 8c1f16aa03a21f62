"""Uniform flexible wings for tests: a beam of constant stiffness, with lift by strip theory or by the lattice."""

from typing import NamedTuple

import numpy as np
from helpers.wings.wings import FLAT, outline

from tradestudy.physics.aero import lateral, lattice
from tradestudy.physics.aeroelastic import elastic_wing
from tradestudy.physics.flight import trimmed_flight
from tradestudy.physics.geometry.mesh import half_wing_mesh
from tradestudy.physics.structure.wing_beam import WingBeam


class EvenWing(NamedTuple):
    """Half a wing of constant chord, with lengths along and square to its (swept) axis. SI units, sweep in radians."""

    length: float
    chord: float
    axis_behind: float  # distance of the elastic axis behind the quarter chord
    bending: float
    torsion: float
    sweep: float = 0.0


def even_beam(edges, axis_x, sweep, bending, torsion):
    """Return a WingBeam of constant bending stiffness EI and torsional stiffness GJ, without core shear."""
    one = np.ones_like(edges)
    return WingBeam(
        station_y=edges,
        axis_sweep=sweep * one,
        bending_rigidity=bending * one,
        torsional_rigidity=torsion * one,
        shear_compliance=0.0 * one,
        elastic_axis=0.0 * one,
        axis_x=axis_x,
        unit_utilisation=None,
    )


def by_strips(wing, count, lift_slope=2 * np.pi, flap_lift=0.0, flap_moment=0.0):
    """Return (Compliance, strip lift, strip moment) of the wing by strip theory with ``count`` even strips.

    The first load case is a deflected flap, with the section's slopes of lift and quarter-chord moment [1/rad]. The
    others are the incidence of each strip in the flight direction. Sections are square to the axis with sweep s: their
    dynamic pressure is q cos^2(s), and their incidence is theta / cos(s).
    """
    cosine, sine = np.cos(wing.sweep), np.sin(wing.sweep)
    edges = wing.length * cosine * np.linspace(0.0, 1.0, count + 1)
    middle = 0.5 * (edges[1:] + edges[:-1])
    along = np.diff(edges) / cosine
    axis_x = edges * np.tan(wing.sweep)
    beam = even_beam(edges, axis_x, wing.sweep, wing.bending, wing.torsion)
    nothing = np.zeros(count)
    # lift acts on the quarter-chord line, where the line from the strip's middle square to the axis meets it
    found = elastic_wing.compliance(beam, middle, nothing, nothing, force_y=middle + wing.axis_behind * sine)
    lift_x = middle * np.tan(wing.sweep) - wing.axis_behind * cosine
    lift = np.diag(lift_slope * wing.chord * along * cosine)
    flap = (flap_lift * wing.chord * along * cosine**2)[:, None]
    lift = np.hstack([flap, lift])
    twist = np.zeros_like(lift)
    twist[:, 0] = flap_moment * wing.chord**2 * along * cosine**2
    assert flap_moment == 0 or wing.sweep == 0, "a moment about a swept axis also rolls: not written here"
    return found, lift, twist - lift_x[:, None] * lift


def by_lattice(aspect_ratio, axis_behind, torsion, count=40, flap_chord=0.2):
    """Return (symmetric Coupling, rolling Coupling, AirLoads) of a straight wing of chord 1 with full-span elevons."""
    semi_span = 0.5 * aspect_ratio
    wing = outline([0, semi_span], [0, 0], [1, 1], elevon_chord=[flap_chord] * 2, elevon=(0.0, semi_span))
    mesh = half_wing_mesh(wing, counts=[count])
    angles = trimmed_flight.strip_angles(wing, mesh)
    own = lattice.normalwash(mesh)
    symmetric = lattice.symmetric_circulations(mesh, angles, FLAT, influences=own, strips=True)
    rolling = lateral.antisymmetric_circulations(mesh, angles, FLAT, influences=own, strips=True)
    edges = np.append(mesh.inner_edge[:, 1], semi_span)
    beam = even_beam(edges, 0 * edges + 0.25 + axis_behind, 0.0, 1.0, torsion)
    nothing = np.zeros(count)
    air = elastic_wing.air_loads(mesh, symmetric, rolling)
    return *elastic_wing.couplings(elastic_wing.compliance(beam, mesh.middle[:, 1], nothing, nothing), air), air
