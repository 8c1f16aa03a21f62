"""One design in full: every number, every limit, and the points from which a report draws it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from tradestudy.aircraft.balance.moves import balance_of
from tradestudy.aircraft.balance.window import balance_window, stability_flags
from tradestudy.aircraft.body.assembly import design_body
from tradestudy.aircraft.model.choices import Choice, choices_at_edge, variables_at_edge
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.limit_bounds import ACTIVE_BELOW, CRUISE, MET_ABOVE, PULL_UP, Limit
from tradestudy.aircraft.model.model_data import ModelData, fixed_parts
from tradestudy.aircraft.workshop.build_price import price_numbers
from tradestudy.aircraft.workshop.cutting import cutting
from tradestudy.aircraft.workshop.gear_list import gear_flags
from tradestudy.aircraft.workshop.load_test_plan import load_test_plan
from tradestudy.aircraft.workshop.outline import design_outline
from tradestudy.physics.flight import layout
from tradestudy.physics.propulsion import drive_train, pack
from tradestudy.quantities import at_edge, from_edge, in_unit, rounded
from tradestudy.results.design import Design, LimitState
from tradestudy.results.flight import Curves
from tradestudy.results.numbers import DesignNumbers
from tradestudy.study.schema.study import Study

from .design_numbers import design_numbers, radius_numbers
from .drag_breakdown import drag_breakdown
from .linkage import linkage_numbers
from .mission import simulate_mission
from .notes import design_flags
from .pilot_card import pilot_card
from .structure_checks import check_flags, load_cases, structure_checks
from .twist_and_flutter import ControlCurves, advice_flags, control_curves, flutter_numbers

_IN_FULL = ("stock", "best", "recommended", "stretched")  # labels of wings that are reported in full
_TO_BUILD = ("best", "recommended", "stretched")  # labels of wings that a builder may build


def assess_design(
    study: Study,
    data: ModelData,
    choice: Choice,
    variables: dict[str, float],
    label: str,
    limits: Iterable[Limit] = (),
    active: list[str] | None = None,
) -> Design:
    """Return one design in full. ``limits`` are the limits to report.

    ``active`` names the limits that stopped a search.
    """
    design, limits = EvaluatedDesign(study, data, choice, variables), list(limits)
    cases, checks = load_cases(design), structure_checks(design)
    control = control_curves(design, design.speed_card.speed)
    control_limits = rounded(control.numbers, 2)
    states = limit_states(design, limits)
    window = balance_window(design, limits)
    numbers = design_numbers(design, cases, window) | control_limits | price_numbers(study, data, choice, variables)
    if label in _IN_FULL:
        numbers |= linkage_numbers(design, design.speed_card.top_speed)
        numbers |= flutter_numbers(design, control_limits, numbers.get("servo_speed_kmh"))
    body = design_body(design) if label in _IN_FULL else None
    # panels that fly today are held back by no assumption, whatever the pack weighs
    cautious = None if design.keeps_panels else _cautious_speed(label, numbers)
    drag, outline, all_numbers = drag_breakdown(design), design_outline(design), DesignNumbers(**numbers)
    return Design(
        label=label,
        numbers=all_numbers,
        choices=choices_at_edge(design.choice),
        variables=variables_at_edge(design.variables),
        active_limits=[state.name for state in states if state.active] if active is None else active,
        limits=states,
        flags=[
            *(stability_flags(design) if label in _IN_FULL else ()),
            *advice_flags(all_numbers),
            *design_flags(design),
            *gear_flags(outline),
            *check_flags(checks, all_numbers.failure_load_factor),
        ],
        outline=outline,
        curves=_curves(design, control),
        masses_g=_masses(design),
        drag_breakdown=drag,
        drag_cm2={row.part: row.cm2 for row in drag.parts},
        watts=_watts(design, design.losses_at(design.cruise_speed)),
        full_throttle_watts=_watts(design, design.losses_at_full_throttle(design.speed_card.top_speed)),
        structure=cases,
        load_test=load_test_plan(design),
        structure_checks=checks,
        cutting=cutting(design, all_numbers, outline, body) if body and label in _TO_BUILD else None,
        pilot_card=pilot_card(design, cautious) if label in _IN_FULL else None,
        mission=simulate_mission(design) if label in _IN_FULL else None,
        body=body,
        balance=balance_of(design, window) if label in _IN_FULL else None,
    )


def _cautious_speed(label: str, numbers: dict[str, Any]) -> float | None:
    """Return the advised maximum speed with weak film and foam of a wing that never flew. [m/s]

    The stock wing flies already: an assumption holds it back from nothing.
    """
    weak = numbers.get("advised_speed_weak_kmh")
    return None if label == "stock" or weak is None else from_edge("advised_speed_weak_kmh", weak)


def limit_states(design: EvaluatedDesign, limits: Iterable[Limit]) -> list[LimitState]:
    """Return the state of each limit of a design."""
    outputs, speeds = design.evaluation.by_name(), _Speeds(design)
    return [_limit_state(limit, outputs[limit.output], speeds) for limit in limits]


def _limit_state(limit: Limit, output: Any, speeds: _Speeds) -> LimitState:
    """Return the state of one limit at its worst element. If its declaration names two speeds, these are reported."""
    margins = limit.margin(output)
    worst = int(np.argmin(margins))
    margin = float(margins[worst])
    pair = limit.declared.speeds
    if pair:
        value, bound = (in_unit(speeds.named(name), "km/h") for name in pair)
        unit, side = "km/h", limit.declared.side
    else:
        quantity = limit.declared.quantity
        value = quantity.in_unit(float(np.atleast_1d(limit.elements(output))[worst]))
        bound, unit = quantity.in_unit(limit.bound), quantity.unit
        side = "at least" if limit.sign > 0 else "at most"
    return LimitState(
        name=limit.name,
        words=limit.words,
        value=value,
        bound=bound,
        unit=unit,
        margin=margin,
        active=margin < ACTIVE_BELOW,
        met=margin > MET_ABOVE,
        side=side,
        origin=limit.origin,
        whose=limit.whose,
    )


class _Speeds:
    """The speeds used to report limits, by the names in `quantities.limits.SpeedPair`. Each is computed when asked."""

    def __init__(self, design: EvaluatedDesign):
        self._design = design
        self._known: dict[str, float] = {}

    def named(self, name: str) -> float:
        """Return one speed. [m/s]"""
        if name not in self._known:
            self._known[name] = self._computed(name)
        return self._known[name]

    def _computed(self, name: str) -> float:
        design = self._design
        if name == "cruise":
            return float(design.evaluation.power.range / design.evaluation.power.endurance)
        if name == "stall ahead":
            return design.stall_ahead.speed
        if name == "slowest flight":
            return design.data.flight.slowest_speed
        if name == "full speed":
            return design.data.power.full_speed
        card = design.speed_card
        return {"least cruise": card.least_cruise, "top": card.top_speed}[name]


def _masses(design: EvaluatedDesign) -> dict[str, float]:
    """Return masses by name. [g] Each set of rods has the builder's name, and each listed part its own entry."""
    study, laid = design.study, design.data.layout
    masses: dict[str, float] = {}
    parts = fixed_parts(study, laid.pack_bay is not None)
    for name, value in zip(layout.mass_item_names(laid), design.shape.mass_items.tolist(), strict=True):
        if name == "listed parts":
            masses |= {part_name: float(lump.mass) for part_name, lump in parts.items()}
        elif name == "movable equipment":
            masses |= {thing.name: thing.mass for thing in study.equipment if thing.may_move}
        elif name.startswith("rods "):
            masses[f"rods, {study.rods[int(name.split()[1]) - 1].name}"] = value
        else:
            masses[name] = value
    grams = {name: in_unit(value, "g") for name, value in masses.items()}
    return {name: round(value, 2) for name, value in grams.items() if value > 0.005}


def _watts(design: EvaluatedDesign, losses: drive_train.Losses) -> dict[str, float]:
    """Return how the power of the cells divides, by the words of a report. [W]"""
    names = {
        "thrust": "moving the wing",
        "propeller": "propeller",
        "motor": "motor",
        "controller": "controller",
        "built": "drive as built",
        "other": "equipment",
    }
    battery = design.powertrain.pack
    wires = battery.wiring_resistance / pack.pack_resistance(battery)  # wiring share of the pack's resistance
    watts = {words: float(getattr(losses, name)[0]) for name, words in names.items()}
    heat = float(losses.pack[0])
    watts |= {"heat in the cells": heat * (1 - wires), "heat in the wires": heat * wires}
    return {words: round(value, 3) for words, value in watts.items()}


def speed_curves(design: EvaluatedDesign) -> dict[str, Any]:
    """Return the curves over speed that follow from the speed card, in the units of `results.flight.Curves`."""
    columns = design.speed_card.columns
    return at_edge(
        speed_kmh=design.speed_card.speed,
        drag_n=columns["drag"],
        power_w=columns["power"],
        range_km=columns["range"],
        endurance_min=columns["endurance"],
        **radius_numbers(design.study, columns["radius"]),
        usual_flight_min=columns["usual_time"],
        wh_per_km=columns["energy_per_metre"],
        mah_per_km=columns["charge_per_metre"],
        current_a=columns["current"],
        throttle_pct=columns["throttle"],
        elevon_deg=columns["elevon"],
        elevon_mm=design.elevon_chord * np.sin(columns["elevon"]),
    )


def curve_points(curves: dict[str, Any]) -> Curves:
    """Return curves as the lists of a result."""
    return Curves(**{name: np.round(np.asarray(value, float), 5).tolist() for name, value in curves.items()})


def _curves(design: EvaluatedDesign, control: ControlCurves) -> Curves:
    """Return the curves over speed and over the half span, for figures."""
    mesh = design.solution.mesh
    trimmed, beam = design.evaluation.flow.trimmed, design.evaluation.structure.beam
    lift = trimmed.lift_coefficient[CRUISE]
    curves = speed_curves(design) | at_edge(
        roll_control=control.roll[0],
        roll_control_weak=control.roll[1],
        pitch_control=control.pitch[0],
        pitch_control_weak=control.pitch[1],
        station_mm=mesh.middle[: mesh.n_wing, 1],
        lift_n_per_m=trimmed.dynamic_pressure[CRUISE] * lift * mesh.chord[: mesh.n_wing],
        section_lift=lift,
        section_lift_limit=design.evaluation.section.stall_margin[CRUISE] + lift,
        edge_mm=design.wings.half.beam.station_y,
        bending_rigidity_nm2=beam.bending_rigidity,
        bending_moment_nm=beam.bending_moment[PULL_UP],
        utilisation=beam.utilisation[PULL_UP].max(axis=0),
        deflection_mm=beam.deflection[PULL_UP],
    )
    return curve_points(curves)
