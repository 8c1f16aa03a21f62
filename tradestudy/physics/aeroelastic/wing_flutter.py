"""Modes and flutter of one design: the beam of `structure` as it swings, held at the root and free, weak and strong.

An estimate with a wide band, never a clearance and never a limit of the search; see the cautions of `flutter`.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.weights import mass
from tradestudy.physics.weights.inertia import CHORD_RADIUS

from .flutter import FlutterBand, SectionAxis, flutter_band, flutter_point
from .vibration import BeamSections, FirstModes, clamped_modes, first_modes, free_modes, natural_frequencies

# What the band is made of, beside the weak materials that the caller hands in. All three are judgement, no source.
_DAMPING = (0.0, 0.02, 0.05)  # loss factor of foam, film and glue: least, likely, most [-]
_MASS_SHIFT = 0.02  # by which a section's centre of mass may lie further aft or forward, of the chord [-]
_ELASTIC_MODES = 5  # taken
_STRONGER = 1.3  # stiffness at its best over the likely one [-]
_SHORTEST_ELEMENT = 2e-3  # along the axis [m]


class VibratingWing(NamedTuple):
    """Half a wing laid straight along its axis; every field (n_station,) but as said."""

    sections: BeamSections
    half_chord: Any  # square to the axis, elevon included [m]
    axis_place: Any  # elastic axis behind mid-chord over half chord [-]
    sweep: float  # of the straight axis from root to tip [rad]
    root_x: float  # axis at the root behind the nose datum [m]
    lift_share: float = 1.0  # of the lift slope 2 pi that tip loss leaves [-]


class HalfBody(NamedTuple):
    """HALF of what sits at the middle and does not swing with the wing."""

    mass: float  # [kg]
    x: float  # centre of mass behind the nose datum [m]
    radius: float  # of gyration in pitch about that centre [m]


class WingFlutter(NamedTuple):
    """What a report tells of a swinging wing. Frequencies in still vacuum."""

    first: FirstModes  # held at the root, likely stiffness; what a tap test on a clamped wing is near [rad/s]
    free: Any  # elastic modes in free flight, likely stiffness (n_mode,) [rad/s]
    speed: FlutterBand  # [m/s]


class StripInertia(NamedTuple):
    """Strips of half a wing without fins, each (n,)."""

    mass: Any  # [kg]
    x: Any  # centre of mass behind the nose datum [m]
    radius: Any  # of gyration along the chord [m]


def strip_inertia(materials, width, leading_edge, foam_chord, elevon_chord, rod_per_length=0.0, rod_x=0.0, share=0.0):
    """Return the StripMasses of foam, covering, elevon strip and rods: flutter asks where each gram sits.

    Parameters
    ----------
    materials : WingMaterials
        Of ``mass``.
    width, leading_edge, foam_chord, elevon_chord : (n,) array
        Strips at their middles. [m]
    rod_per_length, rod_x : (n,) array or float
        All rods of a half wing per metre of span, and where they lie behind the nose datum. [kg/m], [m]
    share : (n,) array or float
        The tip section's, as in ``mass.mass_per_length``. [-]
    """
    own = {"foam": foam_chord, "covering": foam_chord + elevon_chord, "elevons": elevon_chord}
    place = mass.centroids(leading_edge, foam_chord, elevon_chord)
    parts = [
        (value, place[name], CHORD_RADIUS[name] * own[name])
        for name, value in mass.mass_per_length(materials, foam_chord, elevon_chord, share).items()
    ]
    parts.append((rod_per_length + 0.0 * width, rod_x + 0.0 * width, 0.0 * width))
    per_length, x, radius = (np.array(column) for column in zip(*parts, strict=True))
    total = per_length.sum(0)
    centre = (per_length * x).sum(0) / total
    second = (per_length * ((x - centre) ** 2 + radius**2)).sum(0) / total
    return StripInertia(total * width, centre, np.sqrt(second))


def vibrating_wing(
    beam, leading_edge_x, chord, strip_y, strips, tip_mass=0.0, tip_mass_x=0.0, tip_radius=0.0, lift_share=1.0
):
    """Return the Swinging half wing of one structure.WingBeam.

    Parameters
    ----------
    beam : WingBeam
        One wing, no batch, no slopes.
    leading_edge_x, chord : (n_station,) array
        At the beam's stations, elevon included. [m]
    strip_y : (n,) array
        Middles of the strips between the stations. [m]
    strips : StripMasses
        Of those strips.
    tip_mass, tip_mass_x, tip_radius : float
        Fin as a lump: mass, place, radius of gyration about its centre in pitch. [kg], [m], [m]
    lift_share : float
        Lift slope of the whole wing over 2 pi times the cosine of its sweep, from the lattice. [-]

    Notes
    -----
    The axis is laid straight from its root to its tip; what lies behind it is measured from the true one and
    turned square to the straight one. The kink of a flat centre piece is so smoothed away.
    """
    y, axis_x = np.asarray(beam.station_y, float), np.asarray(beam.axis_x, float)
    sweep = np.arctan((axis_x[-1] - axis_x[0]) / (y[-1] - y[0]))
    cosine = np.cos(sweep)
    behind = (strips.x - np.interp(strip_y, y, axis_x)) * cosine

    def at_stations(value):
        return np.interp(y, strip_y, value)

    per_length = at_stations(strips.mass / np.diff(y)) * cosine
    # interpolated densities miss the strips' sum by a little: put it right
    per_length = per_length * strips.mass.sum() / (np.diff(y) / cosine * 0.5 * (per_length[1:] + per_length[:-1])).sum()
    sections = BeamSections(
        (y - y[0]) / cosine,
        *(
            np.broadcast_to(value, y.shape)
            for value in (beam.bending_rigidity, beam.torsional_rigidity, beam.shear_compliance)
        ),
        per_length,
        at_stations(behind),
        at_stations(strips.radius * cosine),
        float(tip_mass),
        float((tip_mass_x - axis_x[-1]) * cosine),
        float(tip_radius),
    )
    kept = _apart(sections.axis_station)
    sections = sections._replace(**{name: value[kept] for name, value in sections._asdict().items() if np.ndim(value)})
    middle = leading_edge_x + 0.5 * chord
    return VibratingWing(
        sections,
        (0.5 * chord * cosine)[kept],
        ((axis_x - middle) / (0.5 * chord))[kept],
        float(sweep),
        float(axis_x[0]),
        float(lift_share),
    )


def _apart(station):
    """Which stations to keep so that none lie closer than LEAST_ELEMENT; the first and the last stay. (n,) bool

    A tip that is not there yet is a piece of 0.1 mm, and elements of micrometres spoil the whole matrix.
    """
    kept = [0]
    for index in range(1, len(station)):
        if station[index] - station[kept[-1]] >= _SHORTEST_ELEMENT:
            kept.append(index)
    kept[-1] = len(station) - 1
    return np.isin(np.arange(len(station)), kept)


def wing_flutter(likely, weak, body, density):
    """Return the WingFlutter of a wing, from its likely and its weak Swinging.

    Parameters
    ----------
    likely, weak : Swinging
        Nominal and pessimistic materials and film bond.
    body : Body
        See there.
    density : float
        [kg/m^3]

    Notes
    -----
    Every speed is the slower of two: held at the root (as a heavy middle would) and free in plunge and pitch. The
    band comes from one change at a time: stiffness weak or stronger, damping less or more, sections' mass further
    forward or aft (near equal frequencies neither is surely the worse), no tip loss.
    """
    stiffer = likely._replace(
        sections=likely.sections._replace(
            bending_rigidity=_STRONGER * likely.sections.bending_rigidity,
            torsional_rigidity=_STRONGER * likely.sections.torsional_rigidity,
            shear_compliance=likely.sections.shear_compliance / _STRONGER,
        )
    )
    least, usual, most = _DAMPING

    def speed(wing, damping=usual):
        return _slowest(wing, body, density, damping)

    varied = {
        "stiffness of foam, film and bond": (speed(weak), speed(stiffer)),
        "damping": (speed(likely, least), speed(likely, most)),
        "where the mass sits": tuple(speed(_shifted(likely, shift)) for shift in (-_MASS_SHIFT, _MASS_SHIFT)),
        "tip loss": (speed(likely._replace(lift_share=1.0)),),
    }
    clamped, free = _motions(likely, body)
    return WingFlutter(first_modes(clamped), natural_frequencies(free), flutter_band(speed(likely), varied))


def _shifted(wing, share):
    sections = wing.sections
    return wing._replace(sections=sections._replace(mass_offset=sections.mass_offset + share * 2 * wing.half_chord))


def _motions(wing, body):
    clamped = clamped_modes(wing.sections, _ELASTIC_MODES)
    return clamped, free_modes(clamped, wing.sections, wing.root_x, wing.sweep, *body)


def _slowest(wing, body, density, damping):
    """The slower of the two ways a wing may flutter. [m/s]"""
    station = wing.sections.axis_station
    motions = _motions(wing, body)
    axis = SectionAxis(
        *(np.interp(motions[0].axis_station, station, value) for value in (wing.half_chord, wing.axis_place)),
        wing.sweep,
        wing.lift_share,
    )
    return min(flutter_point(motion, axis, density, damping).speed for motion in motions)
