"""Handling of one design in cruise: yaw stiffness, roll rate, and the damping of its small motions.

The wing is rigid, the elevons follow their servos, and the throttle is constant.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.body.gear_parts import placed_items
from tradestudy.aircraft.model.designs import one_design
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.limit_bounds import CRUISE
from tradestudy.aircraft.model.model_data import fixed_parts, movable_mass
from tradestudy.aircraft.model.pack_fit import pack_box
from tradestudy.aircraft.shape.gear_items import GearItem
from tradestudy.physics.aero import lateral, small_motions
from tradestudy.physics.flight import layout, rod_sets, room, trimmed_flight
from tradestudy.physics.flight.gear import GearPlace
from tradestudy.physics.geometry import planform
from tradestudy.physics.weights import inertia, mass
from tradestudy.quantities import at_edge

_PART_SIZE = 0.04  # m; length, width and depth of a listed part, which no study gives; common practice, no source
# Length of the uniform bar that represents unlisted mass, as a share of the span. For the bare stock wings of
# our studies it would be 0.90 to 0.93.
_UNLISTED_SPREAD = 0.9
# Exponent of speed in thrust: at constant throttle, power is about constant. Common practice, no source.
_THRUST_SPEED_POWER = -1.0


class Handling(NamedTuple):
    """Handling of one design in cruise, without batch axes."""

    lateral: lateral.LateralDerivatives
    inertia: inertia.Inertia  # moments of inertia about axes through the centre of gravity
    pitch_motions: small_motions.PitchMotions
    lateral_motions: small_motions.LateralMotions
    roll_rate: float  # steady, with full elevons [rad/s]
    pitch_damping: float  # moment coefficient over (pitch rate * mean chord / (2 * airspeed)) [1/rad]


def inertia_of(design: EvaluatedDesign, pack_position: float) -> inertia.Inertia:
    """Return mass, balance and moments of inertia of one design.

    ``pack_position`` is the pack's place behind the nose [m].
    """
    study, choice, laid = design.study, design.choice, design.data.layout
    wing, fins = design.solution.wing, design.solution.fins
    size = {"length": _PART_SIZE, "width": _PART_SIZE, "depth": _PART_SIZE}
    removed = _cut_out(laid, wing, design.variables["extension"], pack_position)
    parts = [inertia.bare_wing_moments(wing, laid.materials), *removed]
    for rods in layout.chosen_rods(laid, choice.rod_diameter, choice.rod_pairs):
        for line in rod_sets.pair_lines(laid, wing, rods):
            if line is not None:
                each = np.asarray(rods.mass_per_length / max(rods.pairs, 1)) + 0.0 * line.inner_x
                pairs = inertia.rod_moments(wing, each, line)
                parts.append(inertia.MassMoments(*(moment.sum(-1) for moment in pairs)))
                displaced = -laid.materials.foam_density * rods.displaced_area / max(rods.pairs, 1)
                pairs = inertia.rod_moments(wing, displaced + 0.0 * line.inner_x, line)
                parts.append(inertia.MassMoments(*(moment.sum(-1) for moment in pairs)))
    if fins:
        parts.append(inertia.fin_moments(fins, wing))
    for name, lump in fixed_parts(study, laid.pack_bay is not None).items():
        joiner = {"width": study.joiner.length} if study.joiner and name == "joiner" else {}
        parts.append(inertia.box_moments(lump.mass, lump.moment / lump.mass if lump.mass else 0.0, **size | joiner))
    parts.append(inertia.box_moments(movable_mass(study), design.variables["equipment_position"], **size))
    parts += [_off_centre(design, item, place) for item, place in placed_items(design) if item.from_centre > 0]
    length, width, depth = pack_box(study, choice)
    share, second = laid.second_pack
    packs = float(design.shape.pack_mass)
    parts.append(inertia.box_moments(packs * (1 - share), pack_position, 0.0, length, width, depth))
    if share:
        parts.append(inertia.box_moments(packs * share, second / share, 0.0, length, width, depth))
    parts += [*_unlisted(design), _wiring(laid, design.variables["extension"])]
    return inertia.about_centre(inertia.total_moments(parts))


def _off_centre(design: EvaluatedDesign, item: GearItem, place: GearPlace) -> inertia.MassMoments:
    """Return what an item beside the centre line adds to the moments of one on that line, in its place before stretch.

    A panel carries it aft or forward as the wing is stretched.
    """
    moved = design.variables["equipment_position"] - design.data.layout.movable_place if item.may_move else 0.0
    before, after = item.from_nose + moved, float(place.from_nose)
    return inertia.box_moments(0.0, before)._replace(
        x=item.mass * (after - before),
        xx=item.mass * (after**2 - before**2),
        yy=item.mass * float(place.from_centre) ** 2,
    )


def _cut_out(
    laid: layout.LayoutData, wing: planform.Planform, extension: float, pack_position: float
) -> list[inertia.MassMoments]:
    """Return the foam that bays, joiner channel and pockets take away, as negative masses."""
    density = laid.materials.foam_density
    parts = [
        inertia.box_moments(-density * box.volume, box.place, 0.0, box.length, box.span_of_inertia, box.depth)
        for box in room.cut_boxes(laid, pack_position)
    ]
    for pocket, (y, x) in zip(laid.cuts.pockets, layout.pocket_places(laid, wing, extension), strict=True):
        apart = float(y) * 12**0.5  # two small parts as one box, see ``box_moments``
        (height,) = planform.interpolated(wing, (wing.height,), y[..., None])
        parts.append(inertia.box_moments(-2 * density * pocket.volume, x, height[..., 0], width=apart))
    return parts


def _unlisted(design: EvaluatedDesign) -> list[inertia.MassMoments]:
    """Return the unlisted mass (glue, tape, paint, wires), distributed like the foam.

    What does not grow keeps the spread that it has in the stock wing.
    """
    laid, wing, choice = design.data.layout, design.solution.wing, design.choice
    drawn = layout.StretchedWing(laid, one_design(choice, design.variables).wing)
    total = layout.design_lumps(drawn, design.variables["equipment_position"]).lumps["not listed"]
    constant = laid.unlisted.constant
    grown = mass.Lump(total.mass - constant.mass, total.moment - constant.moment)
    chord = laid.stock.root_chord + laid.stock.elevon_root_chord
    parts = []
    for lump, span in ((constant, laid.stock.span), (grown, 2.0 * float(wing.semi_span))):
        place = np.clip(lump.moment / lump.mass, 0.0, chord) if lump.mass else 0.0
        box = inertia.box_moments(lump.mass, place, 0.0, 0.5 * chord, _UNLISTED_SPREAD * span)
        parts.append(box._replace(x=lump.moment))
    return parts


def _wiring(laid: layout.LayoutData, extension: float) -> inertia.MassMoments:
    """Return the mass by which servo leads grow with the span, distributed over the middle half of the stock span."""
    leads = mass.wiring_growth(np.asarray(extension), laid.wiring_place)
    return inertia.box_moments(leads.mass, laid.wiring_place, width=laid.stock.semi_span)


def cruise_handling(design: EvaluatedDesign) -> Handling:
    """Return the handling of one design in cruise."""
    data, solution, evaluation = design.data.flight, design.solution, design.evaluation
    trimmed, areas, unit = evaluation.flow.trimmed, solution.areas, solution.unit
    masses = inertia_of(design, float(evaluation.balance.pack_position))
    centre, alpha = trimmed.centre_of_gravity, trimmed.alpha[CRUISE]
    # amplitudes of 1, incidence, elevon and pitch rate, which is zero in level cruise
    amplitude = np.array([1.0, alpha, data.elevon_effectiveness * trimmed.elevon[CRUISE], 0.0])
    sideways = trimmed_flight.lateral_derivatives(
        data, solution, trimmed.alpha, trimmed.elevon, centre, masses.centre_height
    )
    pressure, speed = trimmed.dynamic_pressure[CRUISE], np.asarray(design.cruise_speed)
    state = small_motions.FlightState(
        speed,
        pressure,
        unit.lift_area @ amplitude / areas.area,
        evaluation.section.drag_area[CRUISE] / areas.area,
        2 * (unit.drag_area_matrix @ amplitude)[1] / areas.area,
    )
    pitch = small_motions.pitch_derivatives(unit, areas, centre)
    longitudinal = small_motions.longitudinal_matrix(pitch, areas, masses, state, _THRUST_SPEED_POWER)
    turned = small_motions.turned_inertia(masses, alpha)
    return Handling(
        sideways,
        masses,
        small_motions.pitch_motions(longitudinal),
        small_motions.lateral_motions(small_motions.lateral_matrix(sideways, areas, turned, state)),
        float(evaluation.flow.lateral.roll_per_metre * speed),
        float(pitch.moment_rate),
    )


def handling_numbers(handling: Handling) -> dict[str, float | None]:
    """Return the handling under the names of `DesignNumbers`. The period of a motion that does not oscillate is None.

    ``spiral_time_s`` is the time in which a bank angle halves by itself. If the bank grows, it is minus the time to
    double.
    """
    (short, phugoid), (dutch, _, spiral) = handling.pitch_motions, handling.lateral_motions
    numbers: dict[str, Any] = {
        "yaw_stiffness": handling.lateral.yaw_sideslip,
        "dihedral_effect": handling.lateral.roll_sideslip,
        "roll_damping": handling.lateral.roll_roll,
        "roll_rate_deg_s": handling.roll_rate,
        "dutch_roll_damping": dutch.damping_ratio,
        "dutch_roll_period_s": dutch.period,
        "spiral_time_s": spiral.time_to_half,
        "pitch_damping": handling.pitch_damping,
        "short_period_damping": short.damping_ratio,
        "short_period_s": short.period,
        "phugoid_s": phugoid.period,
    }
    return at_edge(**{name: float(value) if np.isfinite(value) else None for name, value in numbers.items()})
