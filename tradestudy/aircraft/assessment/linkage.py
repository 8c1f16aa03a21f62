"""Servo torque at top speed, play and free vibration of the elevons, from the study's table [linkage].

The formulas are simple and safe. All results are reported, not constrained.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.physics.aeroelastic import elevon_hinge
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.geometry import planform
from tradestudy.quantities import at_edge
from tradestudy.study.schema.wing import LinkageTable

_RIGID = 1e12  # N/m; stiffness used for a linkage whose give was not measured
_SAMPLES = 401  # stations along the elevon, for its area


class _Hinged(NamedTuple):
    """Geometry of one elevon."""

    chord: float  # elevon chord at its middle [m]
    share: float  # elevon chord over wing chord at its middle [-]
    sweep: float  # sweep of the hinge line [rad]
    squared: float  # integral of the elevon chord squared along the span [m^3]
    area: float  # area of one elevon [m^2]
    ends: tuple[float, float]  # inner and outer end from the centre line [m]


def linkage_numbers(design: EvaluatedDesign, top_speed: float) -> dict[str, float | None]:
    """Return the last eight fields of `DesignNumbers`, or an empty dict without a [linkage]. None means not measured.

    At ``top_speed`` [m/s] the servo has to give full elevon, at the incidence of level flight.
    """
    study, given = design.study, design.study.linkage
    if given is None:
        return {}
    linkage, hinged = _linkage(given, design.elevon_chord), _hinged(design.solution.wing)
    coefficients, incidence = _section(design, hinged, top_speed)
    density = design.data.flight.air_density
    pressure = 0.5 * density * top_speed**2
    turned = np.array([-1.0, 1.0]) * study.elevon.up_travel * np.cos(hinged.sweep)  # angles in the flight direction
    moment = elevon_hinge.hinge_moment(coefficients, pressure, hinged.squared, incidence, turned, hinged.sweep)
    torques = np.abs(elevon_hinge.servo_torque(moment, linkage))
    worst = int(torques.argmax())
    speed = elevon_hinge.torque_speed(
        given.servo_torque, linkage, coefficients, hinged.squared, incidence, turned[worst], density, hinged.sweep
    )
    sheet = design.data.layout.materials
    mass = given.elevon_weight or sheet.elevon_density * sheet.elevon_thickness * (2 / 3) * hinged.area
    swing = elevon_hinge.mass_balance(mass, hinged.chord, linkage, balance_arm=hinged.chord)
    kept = elevon_hinge.remaining_deflection_share(linkage, coefficients, pressure, hinged.squared, hinged.sweep)
    soft, has_play = given.give is not None, given.play is not None
    numbers = at_edge(
        hinge_moment_ncm=abs(moment[worst]),
        servo_needed_ncm=elevon_hinge.TORQUE_RESERVE * torques[worst],
        servo_torque_ncm=given.servo_torque,
        servo_speed_kmh=speed,
        elevon_play_deg=elevon_hinge.free_play(linkage) if has_play else None,
        elevon_left_pct=kept if soft else None,
        elevon_natural_frequency_hz=swing.frequency / (2 * np.pi) if soft else None,
        elevon_unbalance_gcm=swing.unbalance,
    )
    return {name: None if value is None else round(float(value), 3) for name, value in numbers.items()}


def _linkage(given: LinkageTable, chord: float) -> elevon_hinge.ElevonLinkage:
    """Return the linkage at the horn, converted from measurements at the trailing edge of the stock wing's elevon."""
    ratio = given.horn / chord
    stiffness = _RIGID
    if given.give is not None and given.give_weight is not None:
        stiffness = given.give_weight * GRAVITY / given.give / ratio**2  # greater force and smaller travel at the horn
    return elevon_hinge.ElevonLinkage(given.servo_arm, given.horn, stiffness, (given.play or 0.0) * ratio)


def _hinged(wing: planform.Planform) -> _Hinged:
    inner, outer = float(wing.elevon_inner_end), float(wing.elevon_outer_end)
    along = np.linspace(inner, outer, _SAMPLES)
    edge, foam, chord = planform.interpolated(wing, (wing.leading_edge, wing.foam_chord, wing.elevon_chord), along)
    middle, hinge = _SAMPLES // 2, edge + foam
    sweep = np.arctan((hinge[middle + 1] - hinge[middle]) / (along[1] - along[0]))
    return _Hinged(
        float(chord[middle]),
        float((chord / (foam + chord))[middle]),
        float(sweep),
        elevon_hinge.chord_moment(wing.station, wing.elevon_chord, inner, outer),
        float(np.trapezoid(chord, along)),
        (inner, outer),
    )


def _section(design: EvaluatedDesign, hinged: _Hinged, speed: float) -> tuple[elevon_hinge.HingeCoefficients, float]:
    """Return hinge coefficients of the root section, and its mean effective incidence in level flight [rad].

    The mean is taken along the elevon.

    The effective incidence includes downwash: with the elevon's deflection it gives the strips' lift.
    """
    camber = design.data.flight.camber
    zero_lift = -camber.lift_coefficient / (2 * np.pi)
    level, mesh = design.level(speed), design.solution.mesh
    station = mesh.middle[: mesh.n_wing, 1]
    here = (station > hinged.ends[0]) & (station < hinged.ends[1])
    lift = float(level.lift_coefficient[0][here].mean())
    hinge = np.arccos(2 * hinged.share - 1)
    # lift coefficient over flap angle of a thin aerofoil: H. Glauert, ARC R&M 1095 (1927)
    per_turn = 2 * (np.pi - hinge + np.sin(hinge)) * design.study.elevon.effectiveness
    incidence = zero_lift + (lift - per_turn * float(level.elevon[0])) / (2 * np.pi)
    return elevon_hinge.hinge_coefficients(hinged.share, zero_lift, camber.moment_coefficient), incidence
