"""How one design answers in cruise: what turns it into the wind, how fast it rolls, how its small motions die out.

The wing is rigid and the elevons move freely with their servos; the throttle is held.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.limit_bounds import pack_box
from tradestudy.aircraft.model.model_data import ModelData, fixed_parts, movable_mass
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.aero import lateral, small_motions
from tradestudy.physics.flight import layout, trimmed_flight
from tradestudy.physics.weights import inertia, mass
from tradestudy.quantities import at_edge
from tradestudy.study.schema.study import Study

PART_SIZE = 0.04  # m, each way, of a listed part: nothing in the study says how large; common practice, no source
UNLISTED_SPREAD = 0.9  # of the stock span: as an even bar, the bare stock wing of our studies is 0.90 to 0.93 long
THRUST_SPEED_POWER = -1.0  # a propeller at held throttle gives about constant power; common practice, no source


class Answers(NamedTuple):
    """What the physics says of one design in cruise; no batch axes."""

    lateral: lateral.LateralDerivatives
    inertia: inertia.Inertia  # about the wing's own axes
    pitch_motions: small_motions.PitchMotions
    lateral_motions: small_motions.LateralMotions
    roll_rate: float  # full elevons, steady [rad/s]
    pitch_damping: float  # moment coefficient per rate x mean chord / (2 airspeed) [1/rad]


def inertia_of(
    study: Study, data: ModelData, choice: Choice, flown: SpeedSweep, variables: dict[str, float], pack_position: float
) -> inertia.Inertia:
    """Return mass, balance and moments of inertia of one design, its pack at a place behind the nose [m]."""
    laid, wing, fins = data.layout, flown.solution.wing, flown.solution.fins
    size = {"length": PART_SIZE, "width": PART_SIZE, "depth": PART_SIZE}
    parts = [inertia.bare_wing_moments(wing, laid.materials)]
    for run, _, _, linear in layout.chosen_rods(laid, choice.rod_diameter, choice.rod_pairs):
        parts.append(
            inertia.rod_moments(
                wing,
                np.asarray(linear),
                np.asarray(run.inner_end),
                layout.rod_outer_end(run, laid.stock, wing),
                run.fractions,
            )
        )
    if fins:
        parts.append(inertia.fin_moments(fins, wing))
    for name, lump in fixed_parts(study).items():
        joiner = {"width": study.joiner.length} if study.joiner and name == "joiner" else {}
        parts.append(inertia.box_moments(lump.mass, lump.moment / lump.mass if lump.mass else 0.0, **size | joiner))
    parts.append(inertia.box_moments(movable_mass(study), variables["equipment_position"], **size))
    length, width, depth = pack_box(study, choice)
    parts.append(inertia.box_moments(float(flown.shape.pack_mass), pack_position, 0.0, length, width, depth))
    parts += [_unlisted(laid), _wiring(laid, variables["extension"])]
    return inertia.about_centre(inertia.total_moments(parts))


def _unlisted(laid: layout.LayoutData) -> inertia.MassMoments:
    """What only the scale knows (glue, tape, paint, denser foam), spread out as foam is; it stays on board."""
    lump, stock = laid.unlisted, laid.stock
    chord = stock.root_chord + stock.elevon_root_chord
    place = np.clip(lump.moment / lump.mass, 0.0, chord) if lump.mass else 0.0
    return inertia.box_moments(lump.mass, place, 0.0, 0.5 * chord, UNLISTED_SPREAD * stock.span)._replace(x=lump.moment)


def _wiring(laid: layout.LayoutData, extension: float) -> inertia.MassMoments:
    """The servo leads that grow with the span, to half way out."""
    found = mass.wiring_growth(extension, laid.wiring_place)
    return inertia.box_moments(found.mass, laid.wiring_place, width=laid.stock.semi_span)


def answers(
    study: Study,
    data: ModelData,
    choice: Choice,
    flown: SpeedSweep,
    variables: dict[str, float],
    values: dict[str, Any],
) -> Answers:
    """Return how one design answers in cruise, from ``values`` (of `Evaluation.named`)."""
    areas, unit = flown.solution.areas, flown.solution.unit
    found = inertia_of(study, data, choice, flown, variables, float(values["pack_position"]))
    centre, alpha = values["centre_of_gravity"], values["alpha"][0]
    # the first condition is level cruise, which turns about nothing
    amplitude = np.array([1.0, alpha, data.flight.elevon_effectiveness * values["elevon"][0], 0.0])
    sideways = trimmed_flight.lateral_derivatives(
        data.flight, flown.solution, values["alpha"], values["elevon"], centre, found.centre_height
    )
    pressure, speed = values["dynamic_pressure"][0], np.asarray(variables["cruise_speed"])
    state = small_motions.LevelFlight(
        speed,
        pressure,
        unit.lift_area @ amplitude / areas.area,
        values["drag_area"][0] / areas.area,
        2 * (unit.drag_area_matrix @ amplitude)[1] / areas.area,
    )
    pitch = small_motions.pitch_derivatives(unit, areas, centre)
    nodding = small_motions.longitudinal_matrix(pitch, areas, found, state, THRUST_SPEED_POWER)
    turned = small_motions.turned_inertia(found, alpha)
    return Answers(
        sideways,
        found,
        small_motions.pitch_motions(nodding),
        small_motions.lateral_motions(small_motions.lateral_matrix(sideways, areas, turned, state)),
        float(values["roll_per_metre"] * speed),
        float(pitch.moment_rate),
    )


def handling_numbers(found: Answers) -> dict[str, float | None]:
    """Return the answers under the names of `DesignNumbers`; None for the period of what does not swing.

    ``spiral_time_s``: the time in which a bank halves by itself; negative: minus the time in which it doubles.
    """
    (short, phugoid), (dutch, _, spiral) = found.pitch_motions, found.lateral_motions
    numbers = {
        "yaw_stiffness": found.lateral.yaw_sideslip,
        "dihedral_effect": found.lateral.roll_sideslip,
        "roll_damping": found.lateral.roll_roll,
        "roll_rate_deg_s": found.roll_rate,
        "dutch_roll_damping": dutch.damping_ratio,
        "dutch_roll_period_s": dutch.period,
        "spiral_time_s": spiral.time_to_half,
        "pitch_damping": found.pitch_damping,
        "short_period_damping": short.damping_ratio,
        "short_period_s": short.period,
        "phugoid_s": phugoid.period,
    }
    return at_edge(**{name: float(value) if np.isfinite(value) else None for name, value in numbers.items()})
