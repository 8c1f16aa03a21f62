"""Wings for tests: outlines from the usual parameters of textbooks, and their solutions by the lattice."""

from typing import NamedTuple

import numpy as np

from tradestudy.physics.aero import lattice
from tradestudy.physics.aero.thin_airfoil import quarter_points
from tradestudy.physics.flight import trimmed_flight
from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.fins import SheetFin
from tradestudy.physics.geometry.mesh import Mesh, half_wing_mesh

FLAT = lattice.SectionCamber(0.0, 0.0)
# mesh of one straight panel that the source of the published tables calls converged
FINE = {"counts": [40], "n_panel": 8}


def outline(station, leading_edge, chord, twist=None, height=None, elevon_chord=None, elevon=(0.0, 0.0)):
    """Return a planform.Planform from the breaks of one half wing, with lengths [m] and twist [rad]."""
    station, chord = np.asarray(station, float), np.asarray(chord, float)
    zero = np.zeros_like(station)
    elevon_chord = zero if elevon_chord is None else np.asarray(elevon_chord, float)
    return planform.Planform(
        station,
        np.asarray(leading_edge, float),
        zero if height is None else np.asarray(height, float),
        chord - elevon_chord,
        elevon_chord,
        zero if twist is None else np.asarray(twist, float),
        np.asarray(elevon[0]),
        np.asarray(elevon[1]),
        np.zeros(()),
        np.zeros(()),
        {2: ("panel",), 3: ("centre", "panel"), 4: ("centre", "panel", "tip")}.get(len(station), ("panel",)),
    )


def points_behind(point, chord, fractions):
    """Return points (n, f, 3) behind each ``point`` (n, 3), by ``fractions`` (f,) of the ``chord`` (n,). [m]"""
    shift = np.zeros((*chord.shape, len(fractions), 3))
    shift[..., 0] = chord[:, None] * fractions
    return point[:, None] + shift


def bound_corners(mesh, n_panel):
    """Return the corners of the bound vortices (p, 3) of the wing and of each fin, n_panel on each strip's edge. [m]"""
    corners = []
    for part in mesh.surfaces:
        edge = np.concatenate([mesh.inner_edge[part], mesh.outer_edge[part][-1:]])
        chord = np.append(mesh.inner_chord[part], mesh.outer_chord[part][-1])
        corners.append(points_behind(edge, chord, quarter_points(n_panel)).reshape(-1, 3))
    return corners


def tapered(aspect_ratio, taper, quarter_sweep, span=2.0, washout=0.0):
    """Return a straight-tapered wing, with sweep of the quarter-chord line [deg] and linear washout [deg]."""
    root = 2 * span / (aspect_ratio * (1 + taper))
    tip = taper * root
    set_back = 0.5 * span * np.tan(np.radians(quarter_sweep)) + 0.25 * (root - tip)
    return outline([0, 0.5 * span], [0, set_back], [root, tip], [0, -np.radians(washout)])


class Answer(NamedTuple):
    """The lattice solution of one wing. Its properties are those of a change in angle of attack.

    The right-hand sides are camber with twist, angle of attack, elevon and pitch rate.
    """

    wing: planform.Planform
    mesh: Mesh
    circulation: np.ndarray
    unit: lattice.UnitLoads
    areas: planform.Areas

    @property
    def lift_slope(self):
        """Return the slope of the lift coefficient by angle of attack. [1/rad]"""
        return self.unit.lift_area[1] / self.areas.area

    @property
    def neutral_point(self):
        """Return the distance of the neutral point behind the nose datum. [m]"""
        return -self.unit.moment_volume[1] / self.unit.lift_area[1]

    @property
    def aerodynamic_centre(self):
        """Return the neutral point behind the leading edge of the mean aerodynamic chord, over that chord. [-]"""
        chord = self.areas.mean_aerodynamic_chord
        return (self.neutral_point - self.areas.mean_aerodynamic_chord_leading_edge) / chord

    @property
    def centre_of_pressure(self):
        """Return the spanwise centre of pressure of the wing without fins, over the semi-span. [-]"""
        lift = self.unit.strip_lift[: self.mesh.n_wing, 1]
        return (lift @ self.mesh.middle[: self.mesh.n_wing, 1]) / lift.sum() / self.wing.semi_span

    def span_efficiency(self, amplitude=(0.0, 1.0, 0.0, 0.0)):
        """Return the span efficiency CL^2 / (pi A CDi), with A from the projected span. [-]

        ``amplitude`` are the weights of the four right-hand sides.
        """
        lift = self.unit.lift_area @ amplitude
        return lift**2 / (np.pi * self.areas.span**2 * (amplitude @ self.unit.drag_area_matrix @ amplitude))


def answer(wing, fins=(), counts=None, n_panel=4, camber=FLAT, refinement=1):
    """Return the lattice solution of an outline with one fin, any number of fins, or none."""
    fins = () if fins is None else (fins,) if isinstance(fins, SheetFin) else fins
    mesh = half_wing_mesh(wing, fins, refinement, counts)
    circulation = lattice.symmetric_circulations(mesh, trimmed_flight.strip_angles(wing, mesh), camber, n_panel)
    return Answer(wing, mesh, circulation, lattice.unit_loads(mesh, circulation), planform.areas(wing))


def curved_wing(chord_at, leading_edge_at, semi_span, count):
    """Return the mesh of a half wing of curved outline, with cosine spacing of strips from the centre line to the tip.

    ``chord_at`` and ``leading_edge_at`` are functions of a station [m] that return a length [m].
    """
    edge = semi_span * np.sin(0.5 * np.pi * np.arange(count + 1) / count)
    middle = semi_span * np.sin(0.5 * np.pi * (np.arange(count) + 0.5) / count)

    def points(station):
        return np.stack([leading_edge_at(station), station, 0 * station], axis=-1)

    normal = np.tile([0.0, 0.0, 1.0], (count, 1))
    return Mesh(
        points(edge[:-1]),
        points(edge[1:]),
        points(middle),
        chord_at(edge[:-1]),
        chord_at(edge[1:]),
        chord_at(middle),
        normal,
        count,
    )
