"""First failure of one design: in every load condition, and in checks that the search does not constrain.

The checks are splices, the joint of an added piece, pockets, ground loads and the cut centre. All of them are reported,
not constrained.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.aircraft.model import materials
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.limit_bounds import PULL_UP
from tradestudy.aircraft.model.structure_data import glued_area
from tradestudy.physics.flight import layout, rod_sets, strength, trimmed_flight
from tradestudy.physics.flight.trimmed_flight import N_LEVEL
from tradestudy.physics.structure import failure_modes, ground_loads, local_failure
from tradestudy.physics.structure import wing_beam as structures
from tradestudy.quantities import at_edge, from_si, in_unit
from tradestudy.results.structure import StructureCase, StructureCheck

from . import pocket_checks

_SAME_PLACE = 1e-3  # m; a splice nearer than this to the joint counts as the splice at the joint
_NOTHING_BREAKS = 1e3  # failure load factors above this are not reported
# A part that fails below this share of the wing's own load factor weakens it. Above, the scatter of foam and glue hides
# the difference: judgement, no source [-]
_CLEARLY = 0.95
_NO_ROD_CROSSES = "no rod crosses it"


def load_cases(design: EvaluatedDesign) -> list[StructureCase]:
    """Return the first failure in every load condition, with nominal and with weak materials."""
    factor = design.evaluation.flow.trimmed.load_factor[N_LEVEL:]
    names, station = [rod.name for rod in design.study.rods], design.wings.half.beam.station_y
    beam = design.evaluation.structure.beam
    nominal, *weak = (
        [  # a limit holds the load factor that is on the safe side, so this one is reported
            first._replace(load_factor=float(breaks))
            for first, breaks in zip(
                structures.first_failures(each.utilisation, factor, station, names),
                each.failure_load_factor,
                strict=True,
            )
        ]
        for each in (beam, *(design.structure_of(data).beam for data in design.weak_strength))
    )
    # softer foam can distribute loads better, so the weakest of all variants counts as weak
    pessimistic = [min(cases, key=lambda case: abs(case.load_factor)) for cases in zip(nominal, *weak, strict=True)]
    return [
        StructureCase(
            condition=_condition(index),
            load_factor=round(float(factor[index]), 3),
            mode=likely.mode,
            weak_mode=least.mode,
            **at_edge(
                at_mm=likely.station_y,
                # loads at a load factor of 0 are not in proportion to it
                failure_load_factor=likely.load_factor if factor[index] else None,
                weak_failure_load_factor=least.load_factor if factor[index] else None,
                tip_deflection_mm=beam.tip_deflection[index],
            ),
        )
        for index, (likely, least) in enumerate(zip(nominal, pessimistic, strict=True))
    ]


class _LoadedWing(NamedTuple):
    """The half wing of one design in detail, with its response in the load conditions."""

    design: EvaluatedDesign
    built: strength.DetailedHalfWing
    beam: structures.WingStructure
    load_factor: np.ndarray  # (n_condition,)

    @property
    def station(self) -> np.ndarray:
        """The stations of the beam (n_station,). [m]"""
        return self.built.half.beam.station_y

    @property
    def mode_names(self) -> list[str]:
        """The names of the failure modes, in the order of the beam's utilisation."""
        return failure_modes.mode_names([rod.name for rod in self.design.study.rods])

    def row(self, what, condition, utilisation, mode, station, note="", breaks_at=None) -> StructureCheck:
        """Return a check in one load condition.

        If ``breaks_at`` is None, utilisation is assumed proportional to the load factor.
        """
        factor = self.load_factor[condition]
        breaks_at = factor / utilisation if breaks_at is None else breaks_at
        return _row(what, _condition(condition), factor, utilisation, breaks_at, mode, station, note)


def structure_checks(design: EvaluatedDesign) -> list[StructureCheck]:
    """Return every check of one design."""
    wing = _LoadedWing(
        design,
        strength.detailed_half_wing(design.data.strength, design.design.wing),
        design.evaluation.structure.beam,
        np.asarray(design.evaluation.flow.trimmed.load_factor[N_LEVEL:], float),
    )
    return [
        *_centre(wing),
        *_splices(wing),
        *_pockets(wing),
        *_foam_under_rods(wing),
        *_film(wing),
        *_ground(wing),
    ]


def _row(what, condition, load_factor, utilisation, breaks_at, mode, station, note="") -> StructureCheck:
    return StructureCheck(
        what=what,
        condition=condition,
        load_factor=round(float(load_factor), 3),
        utilisation=round(float(utilisation), 5),
        failure_load_factor=round(float(breaks_at), 4) if abs(breaks_at) < _NOTHING_BREAKS else None,
        mode=mode,
        at_mm=round(in_unit(float(station), "mm"), 2),
        note=note,
    )


def _condition(index: int) -> str:
    return trimmed_flight.LOAD_CONDITIONS[index].replace("_", " ")


def _hardest(used) -> tuple[int, ...]:
    """Return the indices of the greatest utilisation. The first is the load condition."""
    return tuple(int(place) for place in np.unravel_index(int(np.argmax(used)), used.shape))


def _centre(wing: _LoadedWing) -> list[StructureCheck]:
    """Return the checks of the centre: the first failure where bays and slots cut the foam, and the rods' laps."""
    study, names, rows = wing.design.study, wing.mode_names, []
    lids = "lids and hatches carry nothing unless they are taped all round"
    area = in_unit(glued_area(study, wing.design.data.strength), "cm2")
    left = f"{area:.0f} cm² of foam are left on the centre line"
    for what, words, shown, note in (
        ("cut centre", "cut centre", bool(study.bay or study.motor.mount_slot), f"{left}; {lids}"),
        ("lap at the centre", "lap at the centre", any(rod.at_centre == "cross over" for rod in study.rods), left),
    ):
        modes = [index for index, name in enumerate(names) if words in name]
        if shown:
            used = wing.beam.utilisation[:, modes, 0]
            condition, mode = _hardest(used)
            rows.append(wing.row(what, condition, used[condition, mode], names[modes[mode]], 0.0, note))
    return [*rows, *_transverse_laps(wing)]


def _transverse_laps(wing: _LoadedWing) -> list[StructureCheck]:
    """Return the check of rods that end beside a rod across the centre, or nothing without such rods.

    The strength of the centre does not count them, so their tearing weakens no wing.
    """
    design, built = wing.design, wing.built
    chosen = design.choice.rod_diameter, design.choice.rod_pairs
    laps = rod_sets.transverse_laps(design.data.layout, built.wing, chosen, built.parts)
    share = float(np.max(laps.continuity, initial=0.0))
    if share <= 0.0:
        return []
    whole = np.abs(local_failure.rod_force(built.stiffness, built.parts.rods, wing.beam.bending_moment))[..., 0]
    used = whole * laps.continuity * laps.weakness
    condition, index = _hardest(used)
    note = (
        f"each passes on {in_unit(share, '%'):.0f} % of the force of a rod in one piece; the strength of the centre "
        "does not count on it: joiner, foam and film carry the bending there"
    )
    mode = f"rod's lap at the centre tearing out ({design.study.rods[index].name})"
    return [wing.row("lap at the centre", condition, used[condition, index], mode, 0.0, note)]


def _splices(wing: _LoadedWing) -> list[StructureCheck]:
    """Return the checks of the most loaded splice of each set, and of an added piece's joint without rods."""
    study, built = wing.design.study, wing.built
    joint = _joint(wing)
    rows, crossing = [], False
    force = np.abs(local_failure.rod_force(built.stiffness, built.parts.rods, wing.beam.bending_moment))
    laid, choice = wing.design.data.layout, wing.design.choice
    chosen = layout.chosen_rods(laid, choice.rod_diameter, choice.rod_pairs)
    for index, (rod, rods) in enumerate(zip(study.rods, chosen, strict=True)):
        line = layout.rod_line(laid, built.wing, rods)
        inner, outer = float(line.inner_y), float(line.outer_y)
        places = local_failure.splice_places(inner, outer, float(line.length), study.stretch.rod_length_sold)
        across = layout.transverse_line(rods, line)
        if joint is not None and (inner < joint < outer or across and joint < float(across.outer_y)):
            crossing = True
        if joint is not None and laid.scheme == "tip" and inner < joint < outer:
            places = [*(place for place in places if abs(place - joint) > _SAME_PLACE), joint]
        if not places or built.parts.rods.pairs[index] < 0.5:
            continue
        diameter = float(built.parts.rods.diameter[index])
        splice = rod.splice_length or local_failure.USUAL_SPLICE_LENGTH * diameter
        holds = local_failure.splice_strength(diameter, splice, rod.splice == "sleeve")
        used = np.array([np.interp(places, wing.station, along) for along in force[:, index]]) / holds
        condition, place = _hardest(used)
        rows.append(
            wing.row(
                f"splice, {rod.name}",
                condition,
                used[condition, place],
                f"glue of the {rod.splice} shearing",
                places[place],
                f"{len(places)} in each rod, {rod.splice} {in_unit(splice, 'mm'):.0f} mm; glue in shear "
                f"{from_si(local_failure.GLUE_SHEAR_STRENGTH, 'MPa', 'pressure'):.0f} MPa, common practice",
            )
        )
    if joint is not None and not crossing:
        rows.append(_bare_joint(wing, joint))
    return rows


def _joint(wing: _LoadedWing) -> float | None:
    """Return where the added piece meets the stock panel, or None without such a joint. [m]"""
    scheme, outline = wing.design.data.layout.scheme, wing.built.wing
    if wing.design.variables["extension"] <= 1e-4 or scheme == "scaled":
        return None
    return float(outline.stock_part_start if scheme == "plug" else outline.stock_part_end)


def _bare_joint(wing: _LoadedWing, joint: float) -> StructureCheck:
    """Return the check of a joint of foam glued to foam without a rod.

    Tension in its outer fibre carries the total moment.
    """
    shape = wing.built.stiffness.shape
    stress = np.abs(wing.beam.bending_moment) * 0.5 * shape.thickness / shape.inertia
    used = np.array([np.interp(joint, wing.station, along) for along in stress])
    used /= materials.foam(wing.design.study)["tensile_strength"]
    (condition,) = _hardest(used)
    what, mode = "joint of the added piece", "foam joint pulled open"
    return wing.row(what, condition, used[condition], mode, joint, _NO_ROD_CROSSES)


def _pockets(wing: _LoadedWing) -> list[StructureCheck]:
    """Return the checks of servo holes, cable channels and holes of equipment, with the mode nearest to breaking."""
    return [
        wing.row(
            use.name,
            use.condition,
            use.utilisation,
            use.mode,
            use.station,
            use.note,
            wing.load_factor[use.condition] / max(use.utilisation, 1e-9),
        )
        for use in pocket_checks.pocket_uses(wing.design, wing.built)
    ]


def _foam_under_rods(wing: _LoadedWing) -> list[StructureCheck]:
    foam, built = wing.design.data.strength.foam, wing.built
    used = local_failure.foam_under_rod(built.stiffness, built.parts.rods, foam, wing.beam.bending_moment)
    if not used.size or not used.any():
        return []
    condition, index, station = _hardest(used)
    worst = used[condition, index, station]
    return [
        wing.row(
            "foam under a rod",
            condition,
            worst,
            f"foam crushed under the rod ({wing.design.study.rods[index].name})",
            wing.station[station],
            "grows with the square of the load",
            wing.load_factor[condition] / np.sqrt(worst),
        )
    ]


def _film(wing: _LoadedWing) -> list[StructureCheck]:
    data, stiff = wing.design.data.strength, wing.built.stiffness
    limit = local_failure.wrinkling_strain(data.foam, data.covering)
    used = np.abs(wing.beam.bending_moment / stiff.bending_rigidity) * 0.5 * stiff.shape.thickness / limit
    condition, station = _hardest(used)
    return [
        wing.row(
            "covering",
            condition,
            used[condition, station],
            "film wrinkling on the pressed side",
            wing.station[station],
            "a taut, bonded film; wrinkles are no failure: the pressed film is left out of the bending anyway",
        )
    ]


def _ground(wing: _LoadedWing) -> list[StructureCheck]:
    """Return the checks of belly landing and launch.

    Loads are inertia and the lift of 1 g, distributed as in the pull-up.
    """
    fly, built, half = wing.design.study.fly, wing.built, wing.built.half
    trimmed = wing.design.evaluation.flow.trimmed
    lift, moment = (loads[PULL_UP] / wing.load_factor[PULL_UP] for loads in (trimmed.strip_lift, trimmed.strip_moment))
    landed = ground_loads.landing_load(
        beam=half.beam,
        masses=half.masses,
        strip_y=half.strip_y,
        lift=lift,
        moment=moment,
        load_factor=fly.landing_load_factor,
    )
    level = structures.loaded_beam(
        half.beam,
        structures.StripLoads(lift[None], np.ones(1), np.zeros(1), moment[None], half.strip_y),
        half.masses,
    )
    sweep = half.beam.axis_sweep + 0.0 * half.beam.station_y
    edgewise = ground_loads.edgewise_stiffness(built.stiffness, built.parts, built.chord, sweep)
    thrown = ground_loads.launch_load(
        edgewise=edgewise,
        stiffness=built.stiffness,
        parts=built.parts,
        station_y=half.beam.station_y,
        strip_y=half.strip_y,
        masses=half.masses,
        lift_moment=level.bending_moment[0],
        acceleration=fly.launch_acceleration,
    )
    cases = (
        (
            "belly landing",
            landed,
            wing.mode_names,
            "the middle stops, the tips go on down; inertia, with lift for its weight or none, whichever is worse",
        ),
        (
            "launch",
            thrown,
            ground_loads.LAUNCH_MODES,
            f"pulled forward at the middle; edgewise EI {edgewise.rigidity[0]:.0f} N m2 at the centre",
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


def _longer(breaks: float, needed: float) -> str:
    """Return by how much a glued length must grow to bear more, in words; its strength grows with its length."""
    return f"{in_unit(needed / abs(breaks) - 1, '%'):.0f} %"


def check_flags(rows: list[StructureCheck], pull_up_breaks: float) -> list[str]:
    """Return a sentence for each check that fails before the wing, and for each ground load that breaks the wing."""
    flags = []
    for row in rows:
        breaks = row.failure_load_factor
        if row.note == _NO_ROD_CROSSES:
            flags.append(
                f"no rod crosses the joint of the added piece at {row.at_mm:.0f} mm: glued foam alone "
                "carries it" + (f", to a load factor of about {breaks:.1f}" if breaks is not None else "")
            )
        elif row.what.startswith("splice") and breaks is not None and abs(breaks) < _CLEARLY * pull_up_breaks:
            flags.append(
                f"the {row.what} at {row.at_mm:.0f} mm gives way at a load factor of {breaks:.1f}, "
                f"before the wing does ({pull_up_breaks:.1f}): make it {_longer(breaks, pull_up_breaks)} longer"
            )
        elif row.what.startswith("pocket") and breaks is not None and abs(breaks) < _CLEARLY * pull_up_breaks:
            flags.append(
                f"the {row.what} at {row.at_mm:.0f} mm gives way at a load factor of {breaks:.1f}, "
                f"before the wing does ({pull_up_breaks:.1f}), {row.mode}: cut it away from the rods, or "
                "shallower"
            )
        elif row.what == "ground load" and row.utilisation > 1.0:
            flags.append(
                f"a {row.condition} of {row.load_factor:g} times its weight breaks it: {row.mode} at {row.at_mm:.0f} mm"
            )
    return flags
