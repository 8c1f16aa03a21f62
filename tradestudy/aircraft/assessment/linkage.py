"""Servo torque at top speed, play and free vibration of the elevons, from the study's table [linkage].

The formulas are simple and safe. The search constrains servo torque, at full speed; the rest is reported.
"""

from __future__ import annotations

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.physics.aeroelastic import elevon_hinge
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.flight import control
from tradestudy.physics.geometry import planform
from tradestudy.quantities import at_edge
from tradestudy.study.schema.wing import LinkageTable

_RIGID = 1e12  # N/m; stiffness used for a linkage whose give was not measured
_SAMPLES = 401  # stations along the elevon, for its area


def linkage_numbers(design: EvaluatedDesign, top_speed: float) -> dict[str, float | None]:
    """Return the last eight fields of `DesignNumbers`, or an empty dict if all of [linkage] is assumed.

    None means not measured. At ``top_speed`` [m/s] the servo has to give full elevon, at the incidence of level flight.
    """
    study, given = design.study, design.study.linkage_as_built
    if given is None:
        return {}
    wing, mesh, flight = design.solution.wing, design.solution.mesh, design.data.flight
    hinged = control.hinged_elevon(wing, mesh, design.solution.coverage)
    linkage = _linkage(given, design.elevon_chord)
    level, pressure = design.level(top_speed), 0.5 * flight.air_density * top_speed**2
    moments = control.full_elevon_moments(
        flight, study.elevon.up_travel, hinged, level.lift_coefficient[0], level.elevon[0], pressure
    )
    moment = float(np.abs(moments).max())
    needed = elevon_hinge.TORQUE_RESERVE * elevon_hinge.servo_torque(moment, linkage)
    sheet, chord, sweep = design.data.layout.materials, float(hinged.chord), float(hinged.sweep)
    mass = given.elevon_weight or sheet.elevon_density * sheet.elevon_thickness * (2 / 3) * _area(wing)
    swing = elevon_hinge.mass_balance(mass, chord, linkage, balance_arm=chord)
    coefficients = elevon_hinge.hinge_coefficients(float(hinged.share))
    kept = elevon_hinge.remaining_deflection_share(linkage, coefficients, pressure, float(hinged.squared), sweep)
    soft, has_play = given.give is not None, given.play is not None
    numbers = at_edge(
        hinge_moment_ncm=moment,
        servo_needed_ncm=needed,
        servo_torque_ncm=given.servo_torque,
        servo_speed_kmh=top_speed * np.sqrt(given.servo_torque / needed),
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


def _area(wing: planform.Planform) -> float:
    """Return the area of one elevon. [m^2]"""
    along = np.linspace(float(wing.elevon_inner_end), float(wing.elevon_outer_end), _SAMPLES)
    (chord,) = planform.interpolated(wing, (wing.elevon_chord,), along)
    return float(np.trapezoid(chord, along))
