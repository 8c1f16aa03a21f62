"""Sentences for the reader of a result: flags of one design, scatter of the models, sources of the catalogue values."""

from __future__ import annotations

import numpy as np

from tradestudy.aircraft.model import materials
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.evaluation import LevelFlight
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.aircraft.model.structure_data import crossed_bays
from tradestudy.aircraft.shape.bent_rods import bend_of_rods
from tradestudy.aircraft.shape.propeller_room import propeller_remark
from tradestudy.aircraft.shape.rod_clashes import RUN_OVER, rod_clashes
from tradestudy.catalogue import catalogue_part, catalogue_parts
from tradestudy.physics.flight import layout, strength
from tradestudy.physics.flight.trimmed_flight import LEVEL_CONDITIONS, TrimmedFlight
from tradestudy.physics.sections import polar
from tradestudy.physics.structure import wing_beam as structures
from tradestudy.quantities import at_edge, in_unit, with_unit
from tradestudy.study.schema.key_types import propeller_lengths
from tradestudy.study.schema.study import Study

from .drive import drive_flags, drive_scatter
from .launch import launch_flags

_FLIGHT_WORDS = {
    "cruise": "cruise",
    "slow": "flight at cruise speed over its least multiple of the stall",
    "slowest": "the slowest flight allowed",
    "full_speed": "flight at full speed",
}
# level conditions whose drag is used; in the other two, only the stall margin is used
_DRAG_COUNTS = [LEVEL_CONDITIONS.index(name) for name in ("cruise", "full_speed")]
# Energy per distance under which a flight is hard to believe, and the wing for which it holds: common practice, no
# source. It is known for wings of 1.8 to 2.3 kg; the span and area are those of such a wing of 1.25 m.
_LEAST_ENERGY, _AT_WEIGHT = 1.2, 2.05  # [Wh/km], [kg]
_AT_SPAN, _AT_AREA = 1.25, 0.35  # [m], [m^2]
_KNOWN_WEIGHTS = 1.8, 2.3  # [kg]
# Least drag in level flight is 2 W sqrt(CD0 / (pi e A)), from a parabolic drag polar (Anderson, Introduction to Flight,
# chapter 6). Friction of a turbulent layer goes with Reynolds number to the power -1/5 (Schlichting, Boundary-Layer
# Theory; both from memory), so least drag goes with chord to the power -1/10 at one speed.
_BY_CHORD = 0.1
_OVER_BAY = "end them beside it, or say how they cross it (rods.crosses_bay)"
BELOW_BELIEF = "is less than builders believe"
_BIAS_AT = tuple((thousands, 1000.0 * thousands) for thousands in (60, 100, 150, 300))  # Reynolds numbers


def design_flags(design: EvaluatedDesign) -> list[str]:
    """Return one sentence for each thing about a design that its builder or pilot must know."""
    data, extension = design.data, design.variables["extension"]
    flags = [*table_flags(design, design.evaluation.flow.trimmed), *card_flags(design)]
    if data.flight.table.free_transition:
        flags.append("free transition: the section tables can show false minima of drag")
    flags += [*_hard_to_believe(design), *drive_flags(design), *launch_flags(design)]
    if design.evaluation.power.radius <= 0:
        flags.append(f"a wind of {data.power.wind:g} m/s is no slower than its cruise: it cannot return")
    flags += _rods_along_the_span(design)
    flags += _rods_in_bays(design)
    flags += _propeller_in_elevons(design)
    if design.choice.rod_pairs > 1:
        flags.append("lay rod pairs at least 45 mm apart along the chord: closer ones share foam, weaker than shown")
    if extension > 1e-4 and data.layout.scheme == "tip" and data.layout.rods:
        flags.append(
            "rods are taken to run through the joint with the added piece: the glue of a splice there is "
            "checked, its sleeve is taken to be as strong as the rod"
        )
    return flags


def _hard_to_believe(design: EvaluatedDesign) -> list[str]:
    """Return a remark if a cruise needs far less energy than such wings do in practice, unless a flight is known."""
    if design.study.known_flight:
        return []
    energy = float(design.power_at(design.cruise_speed).energy_per_metre[0])
    size = 2.0 * float(design.solution.wing.semi_span), float(design.shape.area)
    return energy_remarks(at_edge(wh_per_km=energy)["wh_per_km"], float(design.shape.all_up_mass), *size)


def least_believed(weight: float, span: float, area: float) -> float:
    """Return the energy per distance [Wh/km] under which practice finds a flight hard to believe.

    It is that of wings of 2 kg, taken to another weight [kg], span [m] and area [m^2] by their least drag.

    >>> round(least_believed(2.05, 1.25, 0.35), 2)
    1.2
    """
    aspect_ratios = (span**2 / area) / (_AT_SPAN**2 / _AT_AREA)
    chords = (area / span) / (_AT_AREA / _AT_SPAN)
    return float(_LEAST_ENERGY * weight / _AT_WEIGHT * aspect_ratios**-0.5 * chords**-_BY_CHORD)


def energy_remarks(used: float, weight: float, span: float, area: float) -> list[str]:
    """Return a remark if ``used`` [Wh/km] is far less than wings need in practice, or no sentence.

    The wing has a weight [kg], a span [m] and an area [m^2].
    """
    least = least_believed(weight, span, area)
    if used >= least:
        return []
    low, high = _KNOWN_WEIGHTS
    rule = (
        f"such wings rarely need less than {least:.2f} (common practice, no source)"
        if low <= weight <= high
        else f"practice is known near 2 kg only, and taken to its weight and span it says at least {least:.2f}"
    )
    return [
        f"{used:.2f} Wh/km at {in_unit(weight, 'g'):.0f} g {BELOW_BELIEF}: {rule}. Fly and note one "
        "flight before you plan with this range"
    ]


def table_flags(sweep: SpeedSweep, trimmed: TrimmedFlight) -> list[str]:
    """Return one sentence for each range of the section tables that level flight leaves, for the worst strip."""
    excess = _excess(sweep, trimmed)
    lift = np.zeros_like(excess.lift_coefficient)
    lift[_DRAG_COUNTS] = excess.lift_coefficient[_DRAG_COUNTS]
    flags = []
    for kind, amount in (
        ("log_reynolds", excess.log_reynolds),
        ("strip_deflection", excess.deflection),
        ("lift_coefficient", lift),
    ):
        outside = np.abs(amount)
        if outside.max() <= 0:
            continue
        worst = condition, strip = np.unravel_index(int(outside.argmax()), outside.shape)
        others = [
            _FLIGHT_WORDS[name]
            for index, name in enumerate(LEVEL_CONDITIONS)
            if outside[index].any() and index != condition
        ]
        also = f"; also in {' and '.join(others)}" if others else ""
        flags.append(
            f"in {_FLIGHT_WORDS[LEVEL_CONDITIONS[condition]]} the strip "
            f"{in_unit(sweep.solution.mesh.middle[strip, 1], 'mm'):.0f} mm "
            f"from the centre line leaves the section tables: "
            f"{_how_far(kind, float(getattr(trimmed, kind)[worst]), float(amount[worst]))}{also}"
        )
    return flags


def card_flags(sweep: SpeedSweep) -> list[str]:
    """Return a sentence if part of the speed card lies outside the section tables."""
    speed = sweep.speed_card.speed
    outside = np.any([amount != 0 for amount in _excess(sweep, sweep.level(speed))], axis=(0, -1))
    if not outside.any():
        return []
    inside = speed[~outside]
    which = "all"
    if inside.size:
        slow, fast = in_unit(inside.min(), "km/h"), in_unit(inside.max(), "km/h")
        which = f"all but {slow:.0f} to {fast:.0f} km/h"
    return [
        f"{which} of the speed card lies outside the section tables: drag and range are a smooth continuation there"
    ]


def _excess(sweep: SpeedSweep, flight: TrimmedFlight | LevelFlight) -> polar.TableExcess:
    """Return how far the strips in level flight lie outside the section tables."""
    table = sweep.data.flight.table
    return polar.table_excess(table, flight.lift_coefficient, flight.log_reynolds, flight.strip_deflection)


def _how_far(kind: str, value: float, amount: float) -> str:
    if kind == "log_reynolds":
        edge = np.exp(value - amount)
        return (
            f"Reynolds number {np.exp(value):.0f}, the tables {'start' if amount < 0 else 'end'} at {edge:.0f}; "
            "drag and stall are those near that edge"
        )
    if kind == "strip_deflection":
        angle, end = in_unit(value, "deg"), in_unit(value - amount, "deg")
        return f"elevon {angle:+.1f} deg, the tables end at {end:+.0f} deg; drag and stall are those near that edge"
    return (
        f"lift coefficient {value:.2f}, usable up to {value - amount:.2f}; its drag is a steep continuation, not data"
    )


def _propeller_in_elevons(design: EvaluatedDesign) -> list[str]:
    """Return a sentence on a propeller that cuts the elevons of a design, or none."""
    size, place = design.choice.propeller, with_unit(design.study.propeller.from_nose, "mm")
    remark = propeller_remark(design.study, size, propeller_lengths(size)[0], design.solution.wing)
    return [f"with the propeller {place} behind the nose, {remark}"] if remark else []


def _rods_along_the_span(design: EvaluatedDesign) -> list[str]:
    """Return a sentence for each thing about the rods of a design that is unusual."""
    built = strength.detailed_half_wing(design.data.strength, design.design.wing)
    rods, places, present = built.parts.rods, built.parts.places, built.stiffness.presence > 0.5
    if places is None:
        return structures.structure_flags(rods, np.zeros(0))
    thickness = np.where(present, places.thickness_fraction * built.chord, np.inf).min(-1)
    laid = design.data.layout
    chosen = layout.chosen_rods(laid, design.choice.rod_diameter, design.choice.rod_pairs)
    lines = [
        (rod, float(rods_.diameter), layout.rod_line(laid, built.wing, rods_))
        for rod, rods_ in zip(design.study.rods, chosen, strict=True)
    ]
    bent = bend_of_rods(layout.outer_skin(laid, built.wing), lines)
    return [
        *structures.structure_flags(rods, thickness),
        *(f"rods {design.study.rods[index].name}: {sentence}" for index, sentence in bent),
        *(
            f"{clash}: {_OVER_BAY if RUN_OVER in clash else 'one of them must end there, or lie elsewhere'}"
            for clash in rod_clashes(
                design.study, laid, built.wing, design.choice.rod_diameter, design.choice.rod_pairs
            )
        ),
    ]


def _rods_in_bays(design: EvaluatedDesign) -> list[str]:
    """Return a sentence for each rod that crosses an open bay.

    It says what supports the rod there, which is assumed unless the study states it.
    """
    study, flags = design.study, []
    for index, rod in enumerate(study.rods):
        diameter = design.choice.rod_diameter if index == 0 else rod.diameter
        for bay in crossed_bays(study, rod) if rod.at_centre != "ends" else ():
            hollow = (rod.inside_diameter or 0.0) / rod.diameter
            rigidity = materials.rod(rod)["youngs_modulus"] * np.pi * diameter**4 / 64 * (1 - hollow**4)
            column = np.pi**2 * rigidity / bay.width**2
            share, width = in_unit(design.data.strength.remaining_foam, "%"), in_unit(bay.width, "mm")
            if rod.crosses_bay is None:
                flags.append(
                    f"rods {rod.name} cross the bay {bay.name}: the model lets {share:.0f} % of the foam bed hold "
                    f"them there; with nothing under or over them across {width:.0f} mm one buckles at about "
                    f"{column:.0f} N. Carry them on a tray or divider, and load-test the centre"
                )
            elif rod.crosses_bay == "free":
                flags.append(
                    f"rods {rod.name} cross the bay {bay.name} free: across {width:.0f} mm one buckles at "
                    f"about {column:.0f} N, and leaves the rest to the joiner. Carry them on a "
                    "tray or divider"
                )
    return flags


def scatter_notes(study: Study) -> list[str]:
    """Return one sentence for each model on its scatter."""
    raised = ", ".join(
        f"{in_unit(polar.drag_bias(np.log(reynolds))[0] - 1, '%'):.0f} % at {thousands} 000"
        for thousands, reynolds in _BIAS_AT
    )
    usual, low = in_unit(polar.DRAG_BAND, "%"), in_unit(polar.DRAG_BAND_LOW_REYNOLDS, "%")
    lines = [
        f"section drag is raised for the measured optimism of the section model, by Reynolds number: {raised}. That "
        f"was measured on smooth models with free transition only; {usual:.0f} % of scatter is left, "
        f"no better than {low:.0f} % below Re {polar.BAND_REYNOLDS[0]:_.0f}".replace("_", " "),
        f"the largest section lift is lowered by {-polar.LIFT_MAXIMUM_BIAS:.2f} for the same reason; "
        f"{polar.LIFT_MAXIMUM_BAND:.2f} of scatter is left",
    ]
    return lines + drive_scatter(study)


def sources_used(study: Study) -> list[str]:
    """Return one line for each part of a study with the source of its catalogue values."""
    entries = [
        ("foams", study.foam.material),
        ("coverings", study.covering.material),
        ("cells", study.pack.cell),
        ("motor_classes", study.motor.size),
        *(("rods", rod.material) for rod in study.rods),
        *(("drag_items", item.kind) for item in study.drag_item if item.kind in catalogue_parts("drag_items")),
    ]
    lines = [
        f"{name}: {catalogue_part(kind, name)['source']}"
        for kind, name in entries
        if "source" in catalogue_part(kind, name)
    ]
    return list(dict.fromkeys(lines))
