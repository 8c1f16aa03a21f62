"""Modes and flutter of a design, clamped at the root and free, with weak and with strong materials.

This is an estimate with a wide band, never a clearance and never a limit of the search. See the cautions of `flutter`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from tradestudy.physics.structure.wing_beam import WingBeam
from tradestudy.physics.weights import mass

from .flutter import FlutterBand, SectionAxis, flutter_band, flutter_points
from .vibration import BeamSections, FirstModes, WingModes, clamped_modes, first_modes, free_modes, natural_frequencies

# The changed assumptions of the band, besides the weak materials that the caller gives. All values are judgement, no
# source.
_DAMPING = (0.0, 0.02, 0.05)  # loss factor of foam, film and glue: lowest, nominal, highest [-]
_MASS_SHIFT = 0.02  # shift of a section's centre of mass aft or forward, over chord [-]
_ELASTIC_MODES = 5
_STRONGER = 1.3  # highest stiffness over nominal stiffness [-]
_SHORTEST_ELEMENT = 2e-3  # least length of an element along the axis [m]


class VibratingWing(NamedTuple):
    """Half a wing with a straight axis. Every array is (n_station,)."""

    sections: BeamSections
    half_chord: np.ndarray  # half chord square to the axis, elevon included [m]
    axis_place: np.ndarray  # distance of the elastic axis behind mid-chord over half chord [-]
    sweep: float  # sweep of the straight axis from root to tip [rad]
    root_x: float  # distance of the axis at the root behind the nose datum [m]
    lift_share: float = 1.0  # lift slope over 2 pi, below 1 because of tip loss [-]


class HalfBody(NamedTuple):
    """HALF of the masses at the middle that do not move with the elastic wing."""

    mass: float  # [kg]
    x: float  # distance of the centre of mass behind the nose datum [m]
    radius: float  # radius of gyration in pitch about that centre [m]


class WingFlutter(NamedTuple):
    """Modes and flutter of a wing for a report. Frequencies are in vacuum."""

    first: FirstModes  # clamped modes with nominal stiffness, near the result of a tap test on a clamped wing [rad/s]
    free: np.ndarray  # frequencies of elastic modes in free flight with nominal stiffness (n_mode,) [rad/s]
    speed: FlutterBand  # [m/s]


class StripInertia(NamedTuple):
    """Strips of half a wing without fins. Each field is (n,)."""

    mass: np.ndarray  # [kg]
    x: np.ndarray  # distance of the centre of mass behind the nose datum [m]
    radius: np.ndarray  # radius of gyration along the chord [m]


def strip_inertia(
    materials: mass.WingMaterials,
    width: np.ndarray,
    leading_edge: np.ndarray,
    foam_chord: np.ndarray,
    elevon_chord: np.ndarray,
    share: float | np.ndarray = 0.0,
    others: Sequence[mass.Strip] = (),
) -> StripInertia:
    """Return the StripInertia of foam, covering, elevon strip and ``others``. Statics, no source needed.

    Parameters
    ----------
    materials : WingMaterials
        Materials as for `weights.mass`.
    width, leading_edge, foam_chord, elevon_chord : (n,) array
        Width of each strip, and values at the middle of each strip. [m]
    share : (n,) array or float
        Share of the tip's section, see ``mass.strip_layers``. [-]
    others : sequence of Strip
        More layers, such as rods. One of negative mass is foam cut out.
    """
    parts = [*mass.strip_layers(materials, leading_edge, foam_chord, elevon_chord, share).values(), *others]
    per_length, x, radius = (np.array(column) for column in zip(*parts, strict=True))
    total = per_length.sum(0)
    centre = (per_length * x).sum(0) / total
    second = (per_length * ((x - centre) ** 2 + radius**2)).sum(0) / total
    return StripInertia(total * width, centre, np.sqrt(second))


def vibrating_wing(
    beam: WingBeam,
    leading_edge_x: np.ndarray,
    chord: np.ndarray,
    strip_y: np.ndarray,
    strips: StripInertia,
    tip_mass: float = 0.0,
    tip_mass_x: float = 0.0,
    tip_radius: float = 0.0,
    lift_share: float = 1.0,
) -> VibratingWing:
    """Return the VibratingWing of one wing_beam.WingBeam. Geometry, no source needed.

    Parameters
    ----------
    beam : WingBeam
        Beam of a single wing, without batch axes and slopes.
    leading_edge_x, chord : (n_station,) array
        Values at the beam's stations, elevon included. [m]
    strip_y : (n,) array
        Middles of the strips between the stations. [m]
    strips : StripInertia
        Inertia of those strips.
    tip_mass, tip_mass_x, tip_radius : float
        Fin as a lump: mass, place behind the nose datum, radius of gyration in pitch about its centre. [kg], [m], [m]
    lift_share : float
        Lift slope of the total wing from the lattice, over 2 pi x cos(sweep). [-]

    Notes
    -----
    The straight axis joins the ends of the true axis at root and tip. Distances behind it are those behind the true
    axis, times the cosine of the sweep. This smooths the kink of a flat centre piece.
    """
    y, axis_x = np.asarray(beam.station_y, float), np.asarray(beam.axis_x, float)
    sweep = np.arctan((axis_x[-1] - axis_x[0]) / (y[-1] - y[0]))
    cosine = np.cos(sweep)
    behind = (strips.x - np.interp(strip_y, y, axis_x)) * cosine

    def at_stations(value: np.ndarray) -> np.ndarray:
        return np.interp(y, strip_y, value)

    per_length = at_stations(strips.mass / np.diff(y)) * cosine
    # scale the interpolated values to the total mass of the strips
    per_length = per_length * strips.mass.sum() / (np.diff(y) / cosine * 0.5 * (per_length[1:] + per_length[:-1])).sum()
    sections = BeamSections(
        axis_station=(y - y[0]) / cosine,
        bending_rigidity=np.broadcast_to(beam.bending_rigidity, y.shape),
        torsional_rigidity=np.broadcast_to(beam.torsional_rigidity, y.shape),
        shear_compliance=np.broadcast_to(beam.shear_compliance, y.shape),
        mass_per_length=per_length,
        mass_offset=at_stations(behind),
        mass_radius=at_stations(strips.radius * cosine),
        tip_mass=float(tip_mass),
        tip_offset=float((tip_mass_x - axis_x[-1]) * cosine),
        tip_radius=float(tip_radius),
    )
    kept = _apart(sections.axis_station)
    sections = sections._replace(**{name: value[kept] for name, value in sections._asdict().items() if np.ndim(value)})
    middle = leading_edge_x + 0.5 * chord
    return VibratingWing(
        sections=sections,
        half_chord=(0.5 * chord * cosine)[kept],
        axis_place=((axis_x - middle) / (0.5 * chord))[kept],
        sweep=float(sweep),
        root_x=float(axis_x[0]),
        lift_share=float(lift_share),
    )


def _apart(station: np.ndarray) -> np.ndarray:
    """Return which stations (n,) to keep so that none are closer than _SHORTEST_ELEMENT. [bool]

    The first and the last station stay. A tip piece of zero extension is 0.1 mm wide, and such short elements make the
    matrix ill-conditioned.
    """
    kept = [0]
    for index in range(1, len(station)):
        if station[index] - station[kept[-1]] >= _SHORTEST_ELEMENT:
            kept.append(index)
    kept[-1] = len(station) - 1
    return np.isin(np.arange(len(station)), kept)


def wing_flutter(likely: VibratingWing, weak: VibratingWing, body: HalfBody, density: float) -> WingFlutter:
    """Return the WingFlutter of a wing with nominal and with weak materials. The method is as for
    ``flutter.flutter_points``.

    Parameters
    ----------
    likely, weak : VibratingWing
        Wing with nominal and wing with pessimistic materials and film bond.
    body : HalfBody
    density : float
        Density of the air. [kg/m^3]

    Notes
    -----
    Every flutter speed is the lower of two: for a wing clamped at the root (a heavy middle), and for a wing free in
    plunge and pitch. The band follows from one change at a time. Stiffness is weak or stronger, damping is lower or
    higher, tip loss is zero, and the sections' mass is farther forward or aft. If bending and twist have nearly equal
    frequencies, either shift of the mass may be the worse.
    """
    stiffer = likely._replace(
        sections=likely.sections._replace(
            bending_rigidity=_STRONGER * likely.sections.bending_rigidity,
            torsional_rigidity=_STRONGER * likely.sections.torsional_rigidity,
            shear_compliance=likely.sections.shear_compliance / _STRONGER,
        )
    )
    least, usual, most = _DAMPING

    def speed(wing: VibratingWing) -> float:
        return _slowest(wing, body, density, (usual,))[0]

    at_least, likely_speed, at_most = _slowest(likely, body, density, (least, usual, most))
    varied = {
        "stiffness of foam, film and bond": (speed(weak), speed(stiffer)),
        "damping": (at_least, at_most),
        "where the mass sits": tuple(speed(_shifted(likely, shift)) for shift in (-_MASS_SHIFT, _MASS_SHIFT)),
        "tip loss": (speed(likely._replace(lift_share=1.0)),),
    }
    clamped, free = _modes(likely, body)
    return WingFlutter(first_modes(clamped), natural_frequencies(free), flutter_band(likely_speed, varied))


def _shifted(wing: VibratingWing, share: float) -> VibratingWing:
    sections = wing.sections
    return wing._replace(sections=sections._replace(mass_offset=sections.mass_offset + share * 2 * wing.half_chord))


def _modes(wing: VibratingWing, body: HalfBody) -> tuple[WingModes, WingModes]:
    """Return the clamped and the free modes."""
    clamped = clamped_modes(wing.sections, _ELASTIC_MODES)
    return clamped, free_modes(clamped, wing.sections, wing.root_x, wing.sweep, *body)


def _slowest(wing: VibratingWing, body: HalfBody, density: float, dampings: Sequence[float]) -> list[float]:
    """Return the lower flutter speed of the clamped and the free wing for each structural damping. [m/s]"""
    station = wing.sections.axis_station
    clamped, free = _modes(wing, body)
    axis = SectionAxis(
        half_chord=np.interp(clamped.axis_station, station, wing.half_chord),
        axis_place=np.interp(clamped.axis_station, station, wing.axis_place),
        sweep=wing.sweep,
        lift_share=wing.lift_share,
    )
    either = (flutter_points(modes, axis, density, dampings) for modes in (clamped, free))
    return [min(point.speed for point in points) for points in zip(*either, strict=True)]
