"""One design in full: every number a builder asks for, every limit, and the lists to draw it from."""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.aircraft.model import materials
from tradestudy.aircraft.model.choices import Choice, choices_at_edge, study_with_choice, variables_at_edge
from tradestudy.aircraft.model.limit_bounds import ACTIVE_BELOW, MET_ABOVE, Limit
from tradestudy.aircraft.model.model_data import ModelData, fixed_parts
from tradestudy.aircraft.model.speed_sweep import SpeedCard, SpeedSweep
from tradestudy.aircraft.model.structure_data import crossed_bays
from tradestudy.aircraft.workshop.cutting import cutting
from tradestudy.aircraft.workshop.load_test_plan import load_test_plan
from tradestudy.aircraft.workshop.outline import outline
from tradestudy.catalogue import catalogue_part, catalogue_parts
from tradestudy.physics.flight import layout as layouts
from tradestudy.physics.flight import strength, trimmed_flight
from tradestudy.physics.geometry import planform
from tradestudy.physics.propulsion import drive_train, pack
from tradestudy.physics.sections import polar
from tradestudy.physics.structure import wing_beam as structures
from tradestudy.physics.structure import wing_parts
from tradestudy.physics.structure.wing_parts import StationSections
from tradestudy.quantities import at_edge, in_unit, rounded
from tradestudy.quantities.quantities import output_quantity
from tradestudy.results.design import Design, LimitState
from tradestudy.results.flight import Curves
from tradestudy.results.numbers import DesignNumbers
from tradestudy.results.structure import StructureCase
from tradestudy.study.schema.study import Study

from .balance_range import balance_range
from .balance_window import balance_window
from .drag_breakdown import drag_breakdown
from .drive import drive_flags, drive_numbers, drive_scatter
from .handling import answers, handling_numbers
from .linkage import linkage_numbers
from .mission import simulate_mission
from .pilot_card import pilot_card
from .structure_checks import check_flags, checks
from .table_range import card_flags, table_flags
from .twist_and_flutter import Control, control, flutter_numbers

WEAK_BOND_SHARE = 0.4  # of the bond the study gives, where weak materials are asked for; the film comes loose first
BIAS_TOLD_AT = tuple((thousands, 1000.0 * thousands) for thousands in (60, 100, 150, 300))  # Reynolds numbers
IN_FULL = ("stock", "best", "recommended", "stretched")  # wings that a person looks at one by one
BUILT = ("best", "recommended", "stretched")  # of these, wings that may go to the bench
PULL_UP = trimmed_flight.LOAD_CONDITIONS.index("pull_up")


def assess_design(
    study: Study,
    data: ModelData,
    choice: Choice,
    variables: dict[str, float],
    label: str,
    limits: list[Limit] | None = None,
    active: list[str] | None = None,
) -> Design:
    """Return one design in full. ``limits`` are the ones to show; ``active`` names those that stopped a search."""
    study = study_with_choice(study, choice)
    flown = SpeedSweep(data, choice, variables)
    card = flown.card()
    held = control(flown, card.speed)
    values = flown.evaluation.by_name()
    beam, failures = _structure(study, flown)
    checked = checks(study, data, choice, variables, values, beam[1])
    states = [_state(limit, values, data, card) for limit in limits or []]
    if active is None:
        active = [state.name for state in states if state.active]
    found = _numbers(study, data, choice, variables, flown, card, values, failures) | held.rounded
    if label in IN_FULL:
        found |= linkage_numbers(study, flown, card.top_speed)
        found |= flutter_numbers(
            study,
            flown,
            weak_materials(study, data.strength)[0],
            float(values["centre_of_gravity"]),
            held.rounded,
            found.get("servo_speed_kmh"),
        )
    numbers = DesignNumbers(**found)
    bench = load_test_plan(
        data.strength,
        weak_materials(study, data.strength),
        choice,
        variables,
        values,
        beam[1],
        [rod.name for rod in study.rods],
    )
    held_back = drag_breakdown(study, data.level, values, float(variables["cruise_speed"]))
    drawn = outline(study, data, choice, flown, variables, values)
    return Design(
        label=label,
        numbers=numbers,
        choices=choices_at_edge(choice),
        variables=variables_at_edge(variables),
        active_limits=active,
        limits=states,
        flags=[
            *_flags(study, data, flown, card, values, beam, choice, variables),
            *check_flags(checked, numbers.failure_load_factor),
        ],
        outline=drawn,
        curves=_curves(study, flown, card, values, beam, held),
        masses_g=_masses(study, data, choice, flown),
        drag_breakdown=held_back,
        drag_cm2={row.part: row.cm2 for row in held_back.parts},
        watts=_watts(flown, flown.losses_at(variables["cruise_speed"])),
        full_throttle_watts=_watts(flown, flown.losses_flat_out(card.top_speed)),
        structure=failures,
        load_test=bench,
        structure_checks=checked,
        cutting=cutting(study, data, choice, flown, variables, numbers, drawn) if label in BUILT else None,
        **_for_the_pilot(study, flown, card, variables, label),
    )


def _for_the_pilot(study: Study, flown: SpeedSweep, card: SpeedCard, variables, label: str) -> dict[str, Any]:
    """Speed card and mission of the wings that a person looks at one by one."""
    if label not in IN_FULL:
        return {}
    asked = study, flown, card, float(variables["cruise_speed"])
    return {"pilot_card": pilot_card(*asked), "mission": simulate_mission(*asked)}


def _structure(study, flown: SpeedSweep):
    """The beam with nominal materials, and what breaks first in every load condition, weak materials beside."""
    factor = flown.evaluation.flow.trimmed.load_factor[len(trimmed_flight.LEVEL_CONDITIONS) :]
    names, materials_of = [rod.name for rod in study.rods], flown.data.strength
    station, beam = flown.built.beam.station_y, flown.evaluation.structure.beam
    nominal, *weak = (
        structures.first_failures(each.utilisation, factor, station, names)
        for each in (beam, *(flown.structure_as(variant).beam for variant in weak_materials(study, materials_of)))
    )
    # a softer bed can spread loads, so whichever of nominal and weak breaks first counts as weak
    pessimistic = [min(cases, key=lambda case: abs(case.load_factor)) for cases in zip(nominal, *weak, strict=True)]
    failures = [
        StructureCase(
            condition=name.replace("_", " "),
            load_factor=round(float(factor[i]), 3),
            mode=nominal[i].mode,
            weak_mode=pessimistic[i].mode,
            **at_edge(
                at_mm=nominal[i].station_y,
                failure_load_factor=nominal[i].load_factor,
                weak_failure_load_factor=pessimistic[i].load_factor,
                tip_deflection_mm=beam.tip_deflection[i],
            ),
        )
        for i, name in enumerate(trimmed_flight.LOAD_CONDITIONS)
    ]
    return (station, beam), failures


def weak_materials(study: Study, data: strength.StrengthData) -> list[strength.StrengthData]:
    """Return the structure's data with the catalogue's pessimistic foam, film and bond; stiffness weak and nominal."""
    foam = materials.foam(study)
    weak, nominal = wing_parts.foam_from_catalogue(foam, pessimistic=True), wing_parts.foam_from_catalogue(foam)
    covering = wing_parts.covering_from_catalogue(
        materials.covering(study), materials.bond(study), WEAK_BOND_SHARE * materials.bond(study)
    )
    stiff = weak._replace(youngs_modulus=nominal.youngs_modulus, shear_modulus=nominal.shear_modulus)
    return [data._replace(foam=weak, covering=covering), data._replace(foam=stiff)]


def _numbers(study, data, choice, variables, flown, card: SpeedCard, values, failures) -> dict[str, Any]:
    wing, areas = flown.solution.wing, flown.solution.areas
    chord = float(areas.mean_aerodynamic_chord)
    cruise_elevon = float(values["elevon"][0])
    elevon_chord = data.layout.stock.elevon_chord
    pull = failures[PULL_UP]
    mass_kg, area = float(values["all_up_mass"]), float(values["area"])
    speed = float(variables["cruise_speed"])
    front, back = balance_window(flown, speed)
    ends = balance_range(flown, study.fly.launch_speed or data.flight.launch_speed, study.elevon.up_travel)
    cell = study.pack.cell_numbers
    open_volts = float(np.mean(data.power.powertrain.pack.curve.voltage))
    energy = choice.series * choice.parallel * cell["capacity"] * open_volts
    set_back = float(values["set_back"])
    trailing_edge = study.stock.root_chord + study.elevon.root_chord
    start = wing.pieces.count("centre")
    run, rise = wing.leading_edge[-1] - wing.leading_edge[start], wing.station[-1] - wing.station[start]
    told = at_edge(
        span_mm=data.layout.stock.span + 2 * variables["extension"],
        sweep_deg=np.arctan2(run, rise),
        set_back_mm=set_back,
        washout_deg=-wing.twist[..., -1],
        area_dm2=area,
        auw_g=mass_kg,
        cg_mm=float(values["centre_of_gravity"]),
        cg_from_trailing_edge_mm=trailing_edge - float(values["centre_of_gravity"]),
        cg_front_mm=front,
        cg_back_mm=back,
        foremost_cg_mm=ends.front,
        rearmost_cg_mm=ends.back,
        neutral_point_mm=float(values["neutral_point"]),
        static_margin_pct=float(values["neutral_point"] - values["centre_of_gravity"]) / chord,
        elevon_deg=cruise_elevon,
        elevon_mm=elevon_chord * np.sin(cruise_elevon),
        cruise_speed_kmh=speed,
        range_km=float(values["range"]),
        **_radius(study, float(values["radius"])),
        charge_left_pct=flown.charge_left(speed, study.fly.farthest_out),
        usual_flight_min=float(values["usual_time"]),
        endurance_min=float(values["endurance"]),
        wh_per_km=float(values["energy_per_metre"]),
        mah_per_km=float(values["charge_per_metre"]),
        cruise_current_a=float(values["mean_current"]),
        end_current_a=float(values["end_current"]),
        stall_speed_kmh=card.stall_speed,
        stall_starts_at_mm=card.stall.station,
        tips_left_pct=card.stall.tips_left,
        trimmed_lift_max=card.stall.lift_coefficient,
        up_travel_deg=study.elevon.up_travel,
        stall_elevon_deg=card.stall.elevon,
        stall_elevon_mm=elevon_chord * np.sin(card.stall.elevon),
        top_speed_kmh=card.top_speed,
        full_throttle_current_a=float(values["full_throttle_current"]),
        climb_ms=float(values["climb_speed"]),
        wing_loading_g_dm2=mass_kg / area,
        thrust_to_weight=float(values["thrust_to_weight"]),
        fin_volume=float(values["fin_volume"]),
        pack_position_mm=float(values["pack_position"]),
        pack_energy_wh=energy,
        rod_length_mm=float(layouts.longest_rod(data.layout, wing)),
        roll_deg_per_m=float(values["roll_per_metre"]),
    )
    told |= {
        "failure_load_factor": pull.failure_load_factor,
        "first_failure": pull.mode,
        "limit_load_factor": pull.failure_load_factor / structures.SAFETY_FACTOR,
        "first_failure_at_mm": pull.at_mm,
        "tip_deflection_mm": pull.tip_deflection_mm,
        "foremost_cg_why": ends.front_reason,
        **drive_numbers(study, flown, card, speed),
        **handling_numbers(answers(study, data, choice, flown, variables, values)),
    }
    return rounded(told, 4)


def _radius(study: Study, radius: Any) -> dict[str, Any]:
    """How far out and home the charge alone takes a wing, and how far with radio and law heeded; never below zero. [m]"""
    by_charge = np.maximum(radius, 0.0)
    farthest = np.inf if study.fly.farthest_out is None else study.fly.farthest_out
    return {"radius_km": np.minimum(by_charge, farthest), "radius_by_charge_km": by_charge}


def _state(limit: Limit, values: dict[str, Any], data: ModelData, card: SpeedCard) -> LimitState:
    margins = limit.margin(values[limit.output])
    worst = int(np.argmin(margins))
    margin = float(margins[worst])
    shown = _as_speeds(limit, values, data, card)
    if shown is None:
        value = float(np.atleast_1d(limit.picked(values[limit.output]))[worst])
        known = output_quantity(limit.output)
        side = "at least" if limit.sign > 0 else "at most"
        shown = known.in_unit(value), known.in_unit(limit.bound), known.unit, side
    value, bound, unit, side = shown
    return LimitState(
        limit.name,
        limit.words,
        value,
        bound,
        unit,
        margin,
        margin < ACTIVE_BELOW,
        margin > MET_ABOVE,
        side,
        limit.origin,
    )


def _as_speeds(limit: Limit, values: dict[str, Any], data: ModelData, card: SpeedCard):
    """What the search constrains as section lift or thrust in hand, reported as the speeds a builder knows."""
    pair = limit.declared.speeds
    if pair is None:
        return None
    speeds = {
        "cruise": float(values["range"] / values["endurance"]),
        "least cruise": trimmed_flight.CRUISE_OVER_SLOW * card.stall_speed,
        "stall": card.stall_speed,
        "slowest flight": data.flight.launch_speed,
        "top": card.top_speed,
        "full speed": data.power.full_speed,
    }
    value, bound = (in_unit(speeds[name], "km/h") for name in pair)
    return value, bound, "km/h", limit.declared.side


def _masses(study: Study, data: ModelData, choice: Choice, flown: SpeedSweep) -> dict[str, float]:
    """Grams by name; rods under the builder's name, listed parts one by one."""
    masses = dict(zip(layouts.mass_item_names(data.layout), flown.shape.mass_items.tolist(), strict=True))
    found: dict[str, float] = {}
    for name, value in masses.items():
        if name == "listed parts":
            found |= {part_name: float(lump.mass) for part_name, lump in fixed_parts(study).items()}
        elif name == "movable equipment":
            found |= {thing.name: thing.mass for thing in study.equipment if thing.may_move}
        elif name.startswith("rods "):
            found[f"rods, {study.rods[int(name.split()[1]) - 1].name}"] = value
        else:
            found[name] = value
    grams = {name: in_unit(value, "g") for name, value in found.items()}
    return {name: round(value, 2) for name, value in grams.items() if value > 0.005}


def _watts(flown: SpeedSweep, losses: drive_train.Losses) -> dict[str, float]:
    names = {
        "thrust": "moving the wing",
        "propeller": "propeller",
        "motor": "motor",
        "controller": "controller",
        "other": "equipment",
    }
    battery = flown.powertrain.pack
    wires = battery.wiring_resistance / pack.pack_resistance(battery)  # share of the resistance that heats the pack
    watts = {words: float(getattr(losses, name)[0]) for name, words in names.items()}
    heat = float(losses.pack[0])
    watts |= {"heat in the cells": heat * (1 - wires), "heat in the wires": heat * wires}
    return {words: round(value, 3) for words, value in watts.items()}


def _curves(study: Study, flown: SpeedSweep, card: SpeedCard, values, beam, held: Control) -> Curves:
    station, structure = beam
    mesh = flown.solution.mesh
    columns = card.columns
    lift = values["lift_coefficient"][0]
    chord = mesh.chord[: mesh.n_wing]
    limit = values["stall_margin"][0] + lift
    found = at_edge(
        speed_kmh=card.speed,
        drag_n=columns["drag"],
        power_w=columns["power"],
        range_km=columns["range"],
        endurance_min=columns["endurance"],
        **_radius(study, columns["radius"]),
        usual_flight_min=columns["usual_time"],
        wh_per_km=columns["energy_per_metre"],
        mah_per_km=columns["charge_per_metre"],
        current_a=columns["current"],
        throttle_pct=columns["throttle"],
        elevon_deg=columns["elevon"],
        elevon_mm=flown.data.layout.stock.elevon_chord * np.sin(columns["elevon"]),
        roll_control=held.roll[0],
        roll_control_weak=held.roll[1],
        pitch_control=held.pitch[0],
        pitch_control_weak=held.pitch[1],
        station_mm=mesh.middle[: mesh.n_wing, 1],
        lift_n_per_m=values["dynamic_pressure"][0] * lift * chord,
        section_lift=lift,
        section_lift_limit=limit,
        edge_mm=station,
        bending_rigidity_nm2=structure.bending_rigidity,
        bending_moment_nm=structure.bending_moment[PULL_UP],
        utilisation=structure.utilisation[PULL_UP].max(axis=0),
        deflection_mm=structure.deflection[PULL_UP],
    )
    return Curves(**{name: np.round(np.asarray(value, float), 5).tolist() for name, value in found.items()})


def _flags(
    study: Study, data: ModelData, flown: SpeedSweep, card: SpeedCard, values, beam, choice: Choice, variables
) -> list[str]:
    flags = [*table_flags(flown, values), *card_flags(flown, card)]
    if data.flight.table.free_transition:
        flags.append("free transition: the section tables can show false minima of drag")
    flags += drive_flags(study, flown, card, float(variables["cruise_speed"]))
    if values["radius"] <= 0:
        flags.append(f"a wind of {data.power.wind:g} m/s is no slower than its cruise: it does not come home")
    edges = planform.interpolated(flown.solution.wing, (flown.solution.wing.foam_chord,), beam[0])[0]
    flags += structures.structure_flags(edges, data.strength.rods, _rod_thickness_scale(data))
    flags += _rods_in_bays(study, data, choice)
    if choice.rod_pairs > 1:
        flags.append("lay rod pairs at least 45 mm apart along the chord: closer ones share foam, weaker than shown")
    if variables["extension"] > 1e-4 and data.layout.scheme != "scaled" and data.layout.rods:
        flags.append(
            "rods are taken to run through the joint with the added piece: the glue of a splice there is "
            "checked, its sleeve is taken to be as strong as the rod"
        )
    return flags


def _rod_thickness_scale(data: ModelData) -> Any:
    """Thickness at the rods over what the root's section has there, the least of all sets, station by station."""
    section = data.strength.section
    if not isinstance(section, StationSections) or not len(section.thickness_fraction):
        return 1.0
    return (section.thickness_fraction / section.thickness_fraction[:, :1]).min(0)


def _rods_in_bays(study: Study, data: ModelData, choice: Choice) -> list[str]:
    """Say where a rod crosses an open bay: left out of the study, the share of foam bed that holds it is a guess."""
    found = []
    for index, rod in enumerate(study.rods):
        diameter = choice.rod_diameter if index == 0 else rod.diameter
        for bay in crossed_bays(study, rod) if rod.crosses_centre else ():
            hollow = (rod.inside_diameter or 0.0) / rod.diameter
            rigidity = materials.rod(rod)["youngs_modulus"] * np.pi * diameter**4 / 64 * (1 - hollow**4)
            column = np.pi**2 * rigidity / bay.width**2
            share, width = in_unit(data.strength.remaining_foam, "%"), in_unit(bay.width, "mm")
            if rod.crosses_bay is None:
                found.append(
                    f"rods {rod.name} cross the bay {bay.name}: the model lets {share:.0f} % of the foam bed hold "
                    f"them there; with nothing under or over them across {width:.0f} mm one buckles at about "
                    f"{column:.0f} N. Carry them on a tray or divider, and load-test the centre"
                )
            elif rod.crosses_bay == "free":
                found.append(
                    f"rods {rod.name} cross the bay {bay.name} free: across {width:.0f} mm one buckles at "
                    f"about {column:.0f} N, and leaves the rest to the joiner. Carry them on a "
                    "tray or divider"
                )
    return found


def scatter_notes(study: Study) -> list[str]:
    """Return how far the models behind the numbers scatter, one line each."""
    raised = ", ".join(
        f"{in_unit(polar.drag_bias(np.log(reynolds))[0] - 1, '%'):.0f} % at {thousands} 000"
        for thousands, reynolds in BIAS_TOLD_AT
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
    """Return where the numbers behind a study's parts come from, one line each."""
    asked = [
        ("foams", study.foam.material),
        ("coverings", study.covering.material),
        ("cells", study.pack.cell),
        ("motor_classes", study.motor.size),
        *(("rods", rod.material) for rod in study.rods),
        *(("drag_items", item.kind) for item in study.drag_item if item.kind in catalogue_parts("drag_items")),
    ]
    lines = [
        f"{name}: {catalogue_part(kind, name)['source']}"
        for kind, name in asked
        if "source" in catalogue_part(kind, name)
    ]
    return list(dict.fromkeys(lines))
