"""The same wing by another lattice, that of aerosandbox: wake drag, neutral point, and lift at the same attitude.

The other library solves outline and fins with its own panels, control points and kernel. What it is given is shared:
the section's lift at zero angle, the thin-airfoil effect of the elevon, and the attitude of trimmed cruise. So it is a
second opinion on wake and neutral point alone, and says nothing about section drag or stall.

A lattice is linear in the angles. The other one is therefore given a hundredth of them, which keeps its wake flat, and
its result is scaled back. The library is imported when it is first used.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.aero import thin_airfoil
from tradestudy.physics.flight import trimmed_flight
from tradestudy.physics.geometry.mesh import Mesh, half_wing_mesh, strip_counts
from tradestudy.quantities import at_edge, in_unit
from tradestudy.results.flight import SecondOpinion

# Greatest differences that are called agreement. On the flat wing of tests/published/air/test_lattice_planforms.py both
# lattices have the same lift slope and neutral point within 1 %, of the mean chord for the place. Drag from the wake
# goes with the square of lift, so it is allowed twice that.
NEUTRAL_POINT_SHARE, LIFT_SHARE, WAKE_SHARE = 0.01, 0.01, 0.02

_SMALL = 0.01  # share of the true angles that the other lattice is given
_STEP = 2e-4  # rad, change of angle of attack for slopes
_MESHES = ((1, 2), (2, 4))  # (refinement, panels along the chord); the error is of first order, so two give the limit
_SECTION_SLOPE = 2.0 * np.pi  # lift slope of a section by thin-airfoil theory [1/rad]
_SLIVER = 0.005  # pieces narrower than this share of the half span are joined to their neighbour


class _Answer(NamedTuple):
    """The numbers of one wing by one lattice. A tuple of floats, so that two meshes can be extrapolated."""

    lift: float  # lift coefficient at the attitude of cruise [-]
    lift_slope: float  # [1/rad]
    neutral_point: float  # behind the nose datum [m]
    wake_drag: float  # drag from the wake over dynamic pressure, before losses as built [m^2]


class _Surface(NamedTuple):
    """Edges of the strips of one surface: leading-edge points (n, 3) [m], chords (n,) [m], incidences (n,) [rad]."""

    edge: np.ndarray
    chord: np.ndarray
    incidence: np.ndarray


def second_opinion(design: SpeedSweep) -> SecondOpinion:
    """Return what the lattice of this project and that of aerosandbox find for one wing in trimmed cruise."""
    solution, trimmed = design.solution, design.evaluation.flow.trimmed
    alpha, elevon = float(trimmed.alpha[0]), float(trimmed.elevon[0]) * design.data.flight.elevon_effectiveness
    amplitude = np.array([1.0, alpha, elevon, 0.0])
    unit, area, chord = solution.unit, float(solution.areas.area), float(solution.areas.mean_aerodynamic_chord)
    own = _Answer(
        float(unit.lift_area @ amplitude) / area,
        float(trimmed.lift_slope),
        float(trimmed.neutral_point),
        float(amplitude @ unit.drag_area_matrix @ amplitude),
    )
    coarse, fine = (_by_other(design, alpha, elevon, *mesh) for mesh in _MESHES)
    other = _Answer(*(2.0 * np.array(fine) - coarse).tolist())
    efficiency, efficiency_other = (_span_efficiency(found, design) for found in (own, other))
    off = {
        "neutral_point": (other.neutral_point - own.neutral_point) / chord,
        "lift": other.lift / own.lift - 1.0,
        "lift_slope": other.lift_slope / own.lift_slope - 1.0,
        # at the lift of this model, so that a difference of lift is not counted twice
        "wake_drag": efficiency / efficiency_other - 1.0,
    }
    allowed = {
        "neutral_point": NEUTRAL_POINT_SHARE,
        "lift": LIFT_SHARE,
        "lift_slope": LIFT_SHARE,
        "wake_drag": WAKE_SHARE,
    }
    numbers = at_edge(neutral_point_mm=own.neutral_point, neutral_point_other_mm=other.neutral_point)
    shares = {f"{name}_off_pct": in_unit(share, "%") for name, share in off.items()}
    return SecondOpinion(
        **{name: round(float(value), 2) for name, value in (numbers | shares).items()},
        span_efficiency=round(efficiency, 3),
        span_efficiency_other=round(efficiency_other, 3),
        lift_coefficient=round(own.lift, 4),
        lift_coefficient_other=round(other.lift, 4),
        lift_slope=round(own.lift_slope, 3),
        lift_slope_other=round(other.lift_slope, 3),
        differs=[name for name, share in off.items() if abs(share) > allowed[name]],
        allowed_pct={name: round(float(in_unit(share, "%")), 3) for name, share in allowed.items()},
    )


def second_opinion_flags(opinion: SecondOpinion) -> list[str]:
    """Return a sentence for each number on which the two lattices differ by more than is allowed."""
    words = {
        "neutral_point": "the neutral point, in shares of the mean chord: balance it farther forward until that is "
        "understood",
        "lift": "lift at the same attitude: trim and stall may be off",
        "lift_slope": "the slope of lift: stability may be off",
        "wake_drag": "drag from the wake: range and the gain of span may be off",
    }
    return [
        f"another lattice differs by {getattr(opinion, f'{name}_off_pct'):+.1f} % ({opinion.allowed_pct[name]:g} % is "
        f"agreement) in {words[name]}"
        for name in opinion.differs
    ]


def _span_efficiency(found: _Answer, design: SpeedSweep) -> float:
    areas = design.solution.areas
    lift_area = found.lift * float(areas.area)
    return lift_area**2 / (np.pi * float(areas.span) ** 2 * found.wake_drag)


def _by_other(design: SpeedSweep, alpha: float, elevon: float, refinement: int, panels: int) -> _Answer:
    """Return the numbers by the other lattice on one mesh."""
    import aerosandbox as asb

    section = asb.Airfoil("flat", coordinates=np.array([[1, 0], [0.5, 1e-6], [0, 0], [0.5, -1e-6], [1, 0]]))
    area = float(design.solution.areas.area)
    wings = [
        asb.Wing(
            symmetric=True,
            xsecs=[
                asb.WingXSec(point, chord, float(in_unit(_SMALL * angle, "deg")), airfoil=section)
                for point, chord, angle in zip(*surface, strict=True)
            ],
        )
        for surface in _surfaces(design, elevon, refinement)
    ]
    plane = asb.Airplane(wings=wings, xyz_ref=[0, 0, 0], s_ref=area, c_ref=1.0, b_ref=1.0)
    runs = []
    for angle in (_SMALL * alpha, _SMALL * alpha + _STEP):
        run = asb.VortexLatticeMethod(
            airplane=plane,
            op_point=asb.OperatingPoint(velocity=1.0, alpha=float(in_unit(angle, "deg"))),
            spanwise_resolution=1,
            chordwise_resolution=panels,
            chordwise_spacing_function=np.linspace,
        )
        runs.append((run, run.run()))
    (solved, level), (_, turned) = runs
    lift, moment = (float(turned[name] - level[name]) for name in ("CL", "Cm"))
    return _Answer(
        float(level["CL"]) / _SMALL, lift / _STEP, -moment / lift, _wake_drag_area(solved, panels) / _SMALL**2
    )


def _surfaces(design: SpeedSweep, elevon: float, refinement: int) -> list[_Surface]:
    """Return wing and fins of the right half as edges with the incidence that camber and elevon are worth."""
    solution, camber = design.solution, design.data.flight.camber
    mesh = half_wing_mesh(solution.wing, solution.fins, refinement)
    angles = trimmed_flight.strip_angles(solution.wing, mesh)
    flap_lift, _ = thin_airfoil.flap_slopes(angles.hinge_fraction)
    section_lift = camber.lift_coefficient + np.asarray(angles.tip_share) * camber.tip_lift_change
    worth = angles.camber_share * section_lift + elevon * angles.elevon_coverage * flap_lift
    incidence = angles.twist + np.asarray(mesh.toe) + worth / _SECTION_SLOPE
    return [_joined(mesh, part, incidence, _narrow(design, mesh, refinement)) for part in mesh.surfaces]


def _narrow(design: SpeedSweep, mesh: Mesh, refinement: int) -> np.ndarray:
    """Return for every strip whether it belongs to a sliver, on which the other lattice would be singular."""
    wing = design.solution.wing
    widths = np.diff(wing.station) < _SLIVER * float(wing.semi_span)
    narrow = np.repeat(widths, strip_counts(wing, refinement))
    return np.append(narrow, np.zeros(len(mesh.chord) - len(narrow), bool))


def _joined(mesh: Mesh, part: slice, incidence: np.ndarray, narrow: np.ndarray) -> _Surface:
    """Return the edges of one surface. Slivers are left out, and the strips beside them meet.

    The wing still starts on the centre line, as a plug of no length does: a gap between the halves, however small,
    would shed vortices.
    """
    kept = np.flatnonzero(~narrow[part]) + part.start
    first = part.start if part.start == 0 else kept[0]
    inner = np.column_stack([mesh.inner_edge, mesh.inner_chord])[[first, *kept[1:]]]
    outer = np.column_stack([mesh.outer_edge, mesh.outer_chord])
    last = outer[part.stop - 1] if part.start == 0 else outer[kept[-1]]
    edges = np.vstack([inner, last])
    angle = incidence[kept]
    ends = 1.5 * angle[[0, -1]] - 0.5 * angle[[1, -2]]
    return _Surface(edges[:, :3], edges[:, 3], np.concatenate([ends[:1], 0.5 * (angle[1:] + angle[:-1]), ends[1:]]))


def _wake_drag_area(solved: Any, panels: int) -> float:
    """Return the drag from the wake over dynamic pressure, by the wash far behind the wing. [m^2]

    The circulations are those of the other lattice, at an airspeed of 1. The library's own sum of forces on the wing
    needs a far finer mesh, and with fins it does not converge. Source of the integral: M. M. Munk, NACA TR 121 (1921).
    """
    strength = solved.vortex_strengths.reshape(-1, panels).sum(axis=1)
    left, right = (
        points.reshape(-1, panels, 3)[:, 0, 1:]
        for points in (solved.left_vortex_vertices, solved.right_vortex_vertices)
    )
    middle, width = 0.5 * (left + right), right - left

    def wash(vortex: np.ndarray) -> np.ndarray:
        away = middle[:, None] - vortex
        return np.stack([-away[..., 1], away[..., 0]], axis=-1) / (2 * np.pi * (away**2).sum(-1, keepdims=True))

    velocity = ((wash(right) - wash(left)) * strength[:, None]).sum(axis=1)
    normal = np.column_stack([-width[:, 1], width[:, 0]])
    return float(abs(strength @ (velocity * normal).sum(axis=1)))
