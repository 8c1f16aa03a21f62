"""Checks of the structure beside the load conditions: splices, the joint of an added piece, ground loads, the centre.

They are told, not limits of the search.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.aircraft.model import materials
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.evaluation import one_design
from tradestudy.aircraft.model.limit_bounds import PULL_UP
from tradestudy.aircraft.model.model_data import ModelData
from tradestudy.physics.flight import strength, trimmed_flight
from tradestudy.physics.structure import failure_modes, ground_loads, local_failure
from tradestudy.physics.structure import wing_beam as structures
from tradestudy.physics.weights import mass
from tradestudy.quantities import from_si, in_unit
from tradestudy.results.structure import StructureCheck
from tradestudy.study.schema.study import Study

from . import pocket_checks

CENTRE_WORDS = ("cut centre",)
SAME_PLACE = 1e-3  # m; a splice this near a joint is the same one
NOTHING_BREAKS = 1e3  # load factor beyond which none is told


def checks(
    study: Study,
    data: ModelData,
    choice: Choice,
    variables: dict[str, float],
    values: dict[str, Any],
    beam: structures.WingStructure,
) -> list[StructureCheck]:
    """Return every row for one design."""
    built = strength.detailed_half_wing(data.strength, one_design(choice, variables).wing)
    factor = np.asarray(values["load_factor"][len(trimmed_flight.LEVEL_CONDITIONS) :], float)
    return [
        *_centre(study, built, beam, factor),
        *_splices(study, data, built, beam, factor, variables["extension"]),
        *_pockets(study, data, built, beam, factor, variables["extension"]),
        *_foam_under_rods(study, data, built, beam, factor),
        *_film(data, built, beam, factor),
        *_ground(study, data, built, values, factor),
    ]


def _row(what, condition, load_factor, utilisation, breaks_at, mode, station, note="") -> StructureCheck:
    return StructureCheck(
        what=what,
        condition=condition,
        load_factor=round(float(load_factor), 3),
        utilisation=round(float(utilisation), 5),
        failure_load_factor=round(float(breaks_at), 4) if abs(breaks_at) < NOTHING_BREAKS else None,
        mode=mode,
        at_mm=round(in_unit(float(station), "mm"), 2),
        note=note,
    )


def _condition(index: int) -> str:
    return trimmed_flight.LOAD_CONDITIONS[index].replace("_", " ")


def _hardest(used) -> tuple[int, ...]:
    """Index of what is nearest to breaking under what is asked, the load condition first."""
    return tuple(int(place) for place in np.unravel_index(int(np.argmax(used)), used.shape))


def _centre(study: Study, built, beam, factor) -> list[StructureCheck]:
    """The cut centre by itself: what breaks there first."""
    if not study.bay:
        return []
    names = failure_modes.mode_names([rod.name for rod in study.rods])
    rows = [index for index, name in enumerate(names) if any(words in name for words in CENTRE_WORDS)]
    used = beam.utilisation[:, rows, 0]
    condition, mode = _hardest(used)
    worst = used[condition, mode]
    return [
        _row(
            "cut centre",
            _condition(condition),
            factor[condition],
            worst,
            factor[condition] / worst,
            names[rows[mode]],
            0.0,
            "lids and hatches carry nothing unless they are taped all round",
        )
    ]


def _splices(study: Study, data: ModelData, built, beam, factor, extension) -> list[StructureCheck]:
    """The glue of every spliced set at its hardest splice, and the foam joint of an added piece without rods."""
    joint = _joint(data, built, extension)
    rows, crossing = [], False
    force = np.abs(local_failure.rod_force(built.stiffness, built.parts.rods, beam.bending_moment))
    for index, (rod, run) in enumerate(zip(study.rods, data.layout.rods, strict=True)):
        outer = float(built.parts.rods.outer_end[index])
        length, _ = mass.rod_length(built.wing, np.asarray(run.inner_end), np.asarray(outer), run.fractions)
        places = local_failure.splice_places(run.inner_end, outer, float(length), study.stretch.rod_length_sold)
        if joint is not None and run.inner_end < joint < outer:
            crossing = True
            places = [*(place for place in places if abs(place - joint) > SAME_PLACE), joint]
        if not places or built.parts.rods.pairs[index] < 0.5:
            continue
        diameter = float(built.parts.rods.diameter[index])
        splice = rod.splice_length or local_failure.USUAL_SPLICE_LENGTH * diameter
        holds = local_failure.splice_strength(diameter, splice, rod.splice == "sleeve")
        used = np.array([np.interp(places, built.half.beam.station_y, along) for along in force[:, index]]) / holds
        condition, place = _hardest(used)
        worst = used[condition, place]
        rows.append(
            _row(
                f"splice, {rod.name}",
                _condition(condition),
                factor[condition],
                worst,
                factor[condition] / worst,
                f"glue of the {rod.splice} shearing",
                places[place],
                f"{len(places)} in each rod, {rod.splice} {in_unit(splice, 'mm'):.0f} mm; glue in shear "
                f"{from_si(local_failure.GLUE_SHEAR_STRENGTH, 'MPa', 'pressure'):.0f} MPa, common practice",
            )
        )
    if joint is not None and not crossing:
        rows.append(_bare_joint(study, built, beam, factor, joint))
    return rows


def _joint(data: ModelData, built, extension) -> float | None:
    """Where the added piece meets the old panel; None where there is none. [m]"""
    if extension <= 1e-4 or data.layout.scheme == "scaled":
        return None
    return float(built.wing.stock_part_start if data.layout.scheme == "plug" else built.wing.stock_part_end)


def _bare_joint(study: Study, built, beam, factor, joint: float) -> StructureCheck:
    """Foam glued to foam with no rod across: the joint carries the whole moment by its outer fibre's pull."""
    foam = materials.foam(study)
    shape = built.stiffness.shape
    station = built.half.beam.station_y
    stress = np.abs(beam.bending_moment) * 0.5 * shape.thickness / shape.inertia
    used = np.array([[np.interp(joint, station, along)] for along in stress]) / foam["tensile_strength"]
    condition, _ = _hardest(used)
    worst = used[condition, 0]
    return _row(
        "joint of the added piece",
        _condition(condition),
        factor[condition],
        worst,
        factor[condition] / worst,
        "foam joint pulled open",
        joint,
        "no rod crosses it",
    )


def _pockets(study: Study, data: ModelData, built, beam, factor, extension) -> list[StructureCheck]:
    """Servo holes and cable channels, each by what is nearest to breaking there."""
    return [
        _row(
            f"pocket, {use.name}",
            _condition(use.condition),
            factor[use.condition],
            use.utilisation,
            factor[use.condition] / max(use.utilisation, 1e-9),
            use.mode,
            use.station,
            pocket_checks.NOTE,
        )
        for use in pocket_checks.pocket_uses(
            study, data.layout, built, beam.utilisation, beam.bending_moment, extension
        )
    ]


def _foam_under_rods(study: Study, data: ModelData, built, beam, factor) -> list[StructureCheck]:
    used = local_failure.foam_under_rod(built.stiffness, built.parts.rods, data.strength.foam, beam.bending_moment)
    if not used.size or not used.any():
        return []
    condition, index, station = _hardest(used)
    worst = used[condition, index, station]
    return [
        _row(
            "foam under a rod",
            _condition(condition),
            factor[condition],
            worst,
            factor[condition] / np.sqrt(worst),
            f"foam crushed under the rod ({study.rods[index].name})",
            built.half.beam.station_y[station],
            "grows with the square of the load",
        )
    ]


def _film(data: ModelData, built, beam, factor) -> list[StructureCheck]:
    limit = local_failure.wrinkling_strain(data.strength.foam, data.strength.covering)
    stiff = built.stiffness
    used = np.abs(beam.bending_moment / stiff.bending_rigidity) * 0.5 * stiff.shape.thickness / limit
    condition, station = _hardest(used)
    worst = used[condition, station]
    return [
        _row(
            "covering",
            _condition(condition),
            factor[condition],
            worst,
            factor[condition] / worst,
            "film wrinkling on the pressed side",
            built.half.beam.station_y[station],
            "a taut, bonded film; wrinkles are no failure: the pressed film is left out of the bending anyway",
        )
    ]


def _ground(study: Study, data: ModelData, built, values, factor) -> list[StructureCheck]:
    """Belly landing and launch: inertia, and the lift of one g shaped as in the hardest pull-up."""
    half = built.half
    lift, moment = (values[name][PULL_UP] / factor[PULL_UP] for name in ("strip_lift", "strip_moment"))
    names = failure_modes.mode_names([rod.name for rod in study.rods])
    landed = ground_loads.landing_load(
        beam=half.beam,
        masses=half.masses,
        strip_y=half.strip_y,
        lift=lift,
        moment=moment,
        load_factor=study.fly.landing_load_factor,
    )
    level = structures.loaded_beam(
        half.beam,
        structures.StripLoads(lift[None], np.ones(1), np.zeros(1), moment[None], half.strip_y),
        half.masses,
    )
    sweep = half.beam.axis_sweep + 0.0 * half.beam.station_y
    bent = ground_loads.edgewise_stiffness(built.stiffness, built.parts, built.chord, sweep)
    thrown = ground_loads.launch_load(
        edgewise=bent,
        stiffness=built.stiffness,
        parts=built.parts,
        station_y=half.beam.station_y,
        strip_y=half.strip_y,
        strip_mass=half.strip_mass,
        tip_mass=half.tip_mass,
        lift_moment=level.bending_moment[0],
        acceleration=study.fly.launch_acceleration,
    )
    cases = (
        (
            "belly landing",
            landed,
            names,
            "the middle stops, the tips go on down; inertia, with 1 g of lift or none, whichever is worse",
        ),
        (
            "launch",
            thrown,
            ground_loads.LAUNCH_MODES,
            f"pulled forward at the middle; edgewise EI {bent.rigidity[0]:.0f} N m2 at the centre",
        ),
    )
    return [
        _row(
            "ground load",
            condition,
            used.load_factor,
            used.utilisation,
            used.failure_load_factor,
            modes[used.mode],
            half.beam.station_y[used.station],
            note,
        )
        for condition, used, modes, note in cases
    ]


def check_flags(rows: list[StructureCheck], pull_up_breaks: float) -> list[str]:
    """Return what a reader must be told of the checks: what breaks before the wing does, and what is overloaded."""
    found = []
    for row in rows:
        breaks = row.failure_load_factor
        if row.note == "no rod crosses it":
            found.append(
                f"no rod crosses the joint of the added piece at {row.at_mm:.0f} mm: glued foam alone "
                "carries it" + (f", to a load factor of about {breaks:.1f}" if breaks is not None else "")
            )
        elif row.what.startswith("splice") and breaks is not None and abs(breaks) < pull_up_breaks:
            found.append(
                f"the {row.what} at {row.at_mm:.0f} mm gives way at a load factor of {breaks:.1f}, "
                f"before the wing does ({pull_up_breaks:.1f}): make it longer"
            )
        elif row.what.startswith("pocket") and breaks is not None and abs(breaks) < pull_up_breaks:
            found.append(
                f"the {row.what} at {row.at_mm:.0f} mm gives way at a load factor of {breaks:.1f}, "
                f"before the wing does ({pull_up_breaks:.1f}), {row.mode}: cut it away from the rods, or "
                "shallower"
            )
        elif row.what == "ground load" and row.utilisation > 1.0:
            found.append(f"a {row.condition} of {row.load_factor:g} g breaks it: {row.mode} at {row.at_mm:.0f} mm")
    return found
