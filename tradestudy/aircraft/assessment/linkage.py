"""What servo and linkage hold at top speed, how far the elevons wag, how they swing: from [linkage], where it is told.

Simple sums on the safe side, for a person to judge by; nothing here is a limit of the search.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.aeroelastic import elevon_hinge
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.geometry import planform
from tradestudy.quantities import at_edge
from tradestudy.study.schema.study import Study
from tradestudy.study.schema.wing import LinkageTable

NOT_FELT = 1e12  # N/m, stands for the stiffness of a linkage whose give was not measured
SAMPLES = 401  # along the elevon, for its area


class Hinged(NamedTuple):
    """One elevon as it stands in the wing."""

    chord: float  # in its middle [m]
    share: float  # of the whole chord there [-]
    sweep: float  # of the hinge line [rad]
    squared: float  # integral of chord squared [m^3]
    area: float  # [m^2]
    ends: tuple[float, float]  # from the centre line [m]


def linkage_numbers(study: Study, flown: SpeedSweep, top_speed: float) -> dict[str, float | None]:
    """Return what the last eight of `DesignNumbers` name; empty without a [linkage], None if not measured.

    ``top_speed`` [m/s] is where the servo is asked for full elevon, at the incidence of level flight there.
    """
    told = study.linkage
    if told is None:
        return {}
    linkage, hinged = _linkage(told, flown.data.layout.stock.elevon_chord), _hinged(flown.solution.wing)
    coefficients, incidence = _section(study, flown, hinged, top_speed)
    density = flown.data.flight.air_density
    pressure = 0.5 * density * top_speed**2
    turned = np.array([-1.0, 1.0]) * study.elevon.up_travel * np.cos(hinged.sweep)  # in the flight direction
    moment = elevon_hinge.hinge_moment(coefficients, pressure, hinged.squared, incidence, turned, hinged.sweep)
    worst = int(np.abs(moment).argmax())
    torque = float(abs(elevon_hinge.servo_torque(moment[worst], linkage)))
    speed = elevon_hinge.torque_speed(
        told.servo_torque, linkage, coefficients, hinged.squared, incidence, turned[worst], density, hinged.sweep
    )
    sheet = flown.data.layout.materials
    mass = told.elevon_weight or sheet.elevon_density * sheet.elevon_thickness * (2 / 3) * hinged.area
    swing = elevon_hinge.mass_balance(mass, hinged.chord, linkage, balance_arm=hinged.chord)
    held = elevon_hinge.remaining_deflection_share(linkage, coefficients, pressure, hinged.squared, hinged.sweep)
    soft, wags = told.give is not None, told.play is not None
    numbers = at_edge(
        hinge_moment_ncm=abs(moment[worst]),
        servo_needed_ncm=elevon_hinge.TORQUE_RESERVE * torque,
        servo_torque_ncm=told.servo_torque,
        servo_speed_kmh=speed,
        elevon_play_deg=elevon_hinge.free_play(linkage) if wags else None,
        elevon_left_pct=held if soft else None,
        elevon_natural_frequency_hz=swing.frequency / (2 * np.pi) if soft else None,
        elevon_unbalance_gcm=swing.unbalance,
    )
    return {name: None if value is None else round(float(value), 3) for name, value in numbers.items()}


def _linkage(told: LinkageTable, chord: float) -> elevon_hinge.ElevonLinkage:
    """What was measured at the trailing edge of the stock wing's elevon, told at the horn: that moves with it."""
    ratio = told.horn / chord
    stiffness = NOT_FELT
    if told.give is not None and told.give_weight is not None:
        stiffness = told.give_weight * GRAVITY / told.give / ratio**2  # more force and less travel at the horn
    return elevon_hinge.ElevonLinkage(told.servo_arm, told.horn, stiffness, (told.play or 0.0) * ratio)


def _hinged(wing: planform.Planform) -> Hinged:
    inner, outer = float(wing.elevon_inner_end), float(wing.elevon_outer_end)
    along = np.linspace(inner, outer, SAMPLES)
    edge, foam, chord = planform.interpolated(wing, (wing.leading_edge, wing.foam_chord, wing.elevon_chord), along)
    middle, hinge = SAMPLES // 2, edge + foam
    sweep = np.arctan((hinge[middle + 1] - hinge[middle]) / (along[1] - along[0]))
    return Hinged(
        float(chord[middle]),
        float((chord / (foam + chord))[middle]),
        float(sweep),
        elevon_hinge.chord_moment(wing.station, wing.elevon_chord, inner, outer),
        float(np.trapezoid(chord, along)),
        (inner, outer),
    )


def _section(
    study: Study, flown: SpeedSweep, hinged: Hinged, speed: float
) -> tuple[elevon_hinge.HingeCoefficients, float]:
    """Hinge coefficients of the root's section, and its mean incidence along the elevon in level flight [rad].

    The incidence is what makes the strips' lift together with the elevon as it stands: downwash is off already.
    """
    camber = flown.data.flight.camber
    zero_lift = -camber.lift_coefficient / (2 * np.pi)
    level, mesh = flown.level(speed), flown.solution.mesh
    station = mesh.middle[: mesh.n_wing, 1]
    here = (station > hinged.ends[0]) & (station < hinged.ends[1])
    lift = float(level.lift_coefficient[0][here].mean())
    hinge = np.arccos(2 * hinged.share - 1)
    # lift of a thin aerofoil's flap at a held incidence: H. Glauert, ARC R&M 1095 (1927)
    per_turn = 2 * (np.pi - hinge + np.sin(hinge)) * study.elevon.effectiveness
    incidence = zero_lift + (lift - per_turn * float(level.elevon[0])) / (2 * np.pi)
    return elevon_hinge.hinge_coefficients(hinged.share, zero_lift, camber.moment_coefficient), incidence
