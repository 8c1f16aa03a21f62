"""The main numbers of a design in the units shown to the user: the fields of `results.numbers.DesignNumbers`."""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.aircraft.balance.handling import cruise_handling, handling_numbers
from tradestudy.aircraft.balance.window import BalanceWindow
from tradestudy.aircraft.model.evaluated_design import SAME_LENGTH, EvaluatedDesign
from tradestudy.aircraft.model.limit_bounds import CRUISE, PULL_UP
from tradestudy.aircraft.workshop.gear_list import side_numbers
from tradestudy.physics.flight import rod_sets
from tradestudy.physics.structure.wing_beam import SAFETY_FACTOR
from tradestudy.quantities import at_edge, rounded
from tradestudy.results.structure import StructureCase
from tradestudy.study.schema.study import Study

from .drive import drive_numbers
from .launch import launch_numbers


def design_numbers(design: EvaluatedDesign, cases: list[StructureCase], window: BalanceWindow) -> dict[str, Any]:
    """Return the numbers that every reported design has.

    ``cases`` comes from `structure_checks.load_cases`, and ``window`` from `balance.window`.
    """
    numbers = {
        **at_edge(
            **_geometry(design),
            **_marks(design),
            **_window(design, window),
            **side_numbers(design),
            **_flight(design),
            **_power(design),
        ),
        **launch_numbers(design),
        **_strength(cases[PULL_UP]),
        **drive_numbers(design),
        **handling_numbers(cruise_handling(design)),
    }
    return rounded(numbers, 4)


def flight_numbers(design: EvaluatedDesign) -> dict[str, Any]:
    """Return the numbers of `design_numbers` that tell how a design flies and what it draws."""
    return rounded(at_edge(**_flight(design), **_power(design)), 4)


def moving_numbers(design: EvaluatedDesign, flies: bool = True) -> dict[str, Any]:
    """Return the numbers of `design_numbers` that need neither handling, balance window nor weak materials.

    A design that never ``flies`` has neither stall nor top speed.
    """
    breaks = float(design.evaluation.structure.beam.failure_load_factor[PULL_UP])
    flight = _flight(design) if flies else _cruise(design) | dict.fromkeys(("stall_speed_kmh", "top_speed_kmh"))
    numbers = at_edge(**_geometry(design), **_marks(design), **flight, **_power(design), failure_load_factor=breaks)
    return rounded(numbers, 4)


def _geometry(design: EvaluatedDesign) -> dict[str, Any]:
    wing, shape, laid = design.solution.wing, design.shape, design.data.layout
    start = wing.pieces.count("centre")
    run, rise = wing.leading_edge[-1] - wing.leading_edge[start], wing.station[-1] - wing.station[start]
    mass, area = float(shape.all_up_mass), float(shape.area)
    tip = -2 if wing.station[-1] - wing.station[-2] < SAME_LENGTH else -1  # the twist of a piece without length is none
    return {
        "span_mm": laid.stock.span + 2 * design.variables["extension"],
        "sweep_deg": np.arctan2(run, rise),
        "set_back_mm": float(shape.set_back),
        "washout_deg": -wing.twist[..., tip],
        "tip_chord_mm": float(wing.foam_chord[-1]),
        "area_dm2": area,
        "auw_g": mass,
        "wing_loading_g_dm2": mass / area,
        "fin_volume": float(design.evaluation.balance.fin_volume),
        "rod_length_mm": float(rod_sets.longest_rod(laid, wing)),
    }


def _marks(design: EvaluatedDesign) -> dict[str, Any]:
    trimmed = design.evaluation.flow.trimmed
    mark, neutral = float(trimmed.centre_of_gravity), float(trimmed.neutral_point)
    return {
        "cg_mm": mark,
        "cg_from_trailing_edge_mm": float(design.solution.wing.chord[0]) - mark,
        "neutral_point_mm": neutral,
        "static_margin_pct": (neutral - mark) / float(design.solution.areas.mean_aerodynamic_chord),
        "pack_position_mm": float(design.evaluation.balance.pack_position),
        "clearance_mm": _least_room(design),
    }


def _window(design: EvaluatedDesign, window: BalanceWindow) -> dict[str, Any]:
    edge, first = float(design.solution.wing.chord[0]), window.first_flight
    return {
        "cg_front_mm": window.front.place,
        "cg_front_from_trailing_edge_mm": edge - window.front.place,
        "cg_front_why": window.front.why,
        "cg_back_mm": window.back.place,
        "cg_back_from_trailing_edge_mm": edge - window.back.place,
        "cg_back_why": window.back.why,
        "first_flight_cg_mm": first,
        "first_flight_cg_from_trailing_edge_mm": None if first is None else edge - first,
    }


def _least_room(design: EvaluatedDesign) -> float | None:
    """Return the least room round joiner and bays, also one that moves with the pack, or None without any. [m]"""
    outputs = design.evaluation.by_name()
    rooms = [outputs[name] for name in ("clearance", "pack_clearance") if outputs.get(name) is not None]
    return min((float(np.min(room)) for room in rooms), default=None)


def _cruise(design: EvaluatedDesign) -> dict[str, Any]:
    elevon = float(design.evaluation.flow.trimmed.elevon[CRUISE])
    return {
        "elevon_deg": elevon,
        "elevon_mm": design.elevon_chord * np.sin(elevon),
        "cruise_speed_kmh": design.cruise_speed,
    }


def _flight(design: EvaluatedDesign) -> dict[str, Any]:
    card, flow, elevon_chord = design.speed_card, design.evaluation.flow, design.elevon_chord
    return _cruise(design) | {
        "stall_speed_kmh": card.stall_speed,
        "stall_starts_at_mm": card.stall.station,
        "tips_left_pct": float(design.evaluation.stall.tips_left),
        "trimmed_lift_max": card.stall.lift_coefficient,
        "up_travel_deg": design.study.elevon.up_travel,
        "stall_elevon_deg": card.stall.elevon,
        "stall_elevon_mm": elevon_chord * np.sin(card.stall.elevon),
        "top_speed_kmh": card.top_speed,
        "roll_deg_per_m": float(flow.lateral.roll_per_metre),
    }


def _power(design: EvaluatedDesign) -> dict[str, Any]:
    study, choice, power = design.study, design.choice, design.evaluation.power
    open_volts = float(np.mean(design.data.power.powertrain.pack.curve.voltage))
    return {
        "range_km": float(power.range),
        **radius_numbers(study, float(power.radius)),
        "charge_left_pct": design.charge_left(design.cruise_speed, study.fly.farthest_out),
        "usual_flight_min": float(power.usual_time),
        "endurance_min": float(power.endurance),
        "wh_per_km": float(power.energy_per_metre),
        "mah_per_km": float(power.charge_per_metre),
        "cruise_current_a": float(power.mean_current),
        "end_current_a": float(power.end_current),
        "full_throttle_current_a": float(power.full_throttle_current),
        "full_throttle_voltage_v": float(design.full_throttle(0.0).pack_voltage[0]),
        "climb_ms": float(power.climb_speed),
        "thrust_to_weight": float(power.thrust_to_weight),
        "pack_energy_wh": choice.series * choice.parallel * study.pack.cell_numbers["capacity"] * open_volts,
    }


def _strength(pull_up: StructureCase) -> dict[str, Any]:
    breaks = pull_up.failure_load_factor
    return {
        "failure_load_factor": breaks,
        "first_failure": pull_up.mode,
        "limit_load_factor": None if breaks is None else breaks / SAFETY_FACTOR,
        "first_failure_at_mm": pull_up.at_mm,
        "tip_deflection_mm": pull_up.tip_deflection_mm,
    }


def radius_numbers(study: Study, radius: Any) -> dict[str, Any]:
    """Return the radius limited by the charge alone, and limited by the study's farthest point too. [m]

    Neither is below zero. ``radius`` [m] may have any batch shape.
    """
    by_charge = np.maximum(radius, 0.0)
    farthest = np.inf if study.fly.farthest_out is None else study.fly.farthest_out
    return {"radius_km": np.minimum(by_charge, farthest), "radius_by_charge_km": by_charge}
