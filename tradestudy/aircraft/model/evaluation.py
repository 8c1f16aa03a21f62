"""The chain of stages that evaluates designs. Read this module first: it is the table of contents of the physics.

    stage         what it computes                                  in `physics.flight`
    1. shape      outline, areas, weights                           layout
    2. flow       lattice, trim, strip lift, handling, twist        trimmed_flight, control
    3. section    section drag, stall margins, total drag           level_drag, tip_stall
    4. structure  loads, utilisation, deflection                    strength
    5. balance    place of the pack, fin volume, room inside        balance, room
    6. power      range, flight time, climb, currents               power
    7. launch     height after a throw by hand                      launch

`evaluate` runs the seven stages once, in this order, without iteration. `level_flight` and `cruise_power` run those
stages that a speed changes, for tables over speed.

One design and many designs use the same functions. A shape (...) means any batch axes, which broadcast; a single design
has none. Only the vortex lattice is solved wing by wing, once for all designs that share a wing. A complex batch is one
design with a step along each of its directions: the imaginary parts of all results are exact slopes (`slopes.Model`).
The components of `aircraft.components` connect OpenMDAO to the same stages, for users with a driver of their own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.aero import trim
from tradestudy.physics.flight import (
    balance,
    control,
    launch,
    layout,
    level_drag,
    power,
    room,
    strength,
    tip_stall,
    trimmed_flight,
)
from tradestudy.physics.flight.records import fields_by_name
from tradestudy.physics.weights import mass

from .designs import WING_SHAPE, Designs
from .model_data import ModelData

_WINGS_AT_ONCE = 64  # wings whose lattices are solved in one batch; each takes a third of a megabyte


class Evaluation(NamedTuple):
    """Every output of the model, stage by stage. Its arrays have the batch axes of the designs."""

    shape: layout.DesignShape
    flow: control.DesignFlow
    section: level_drag.LevelDrag
    stall: tip_stall.TipStall
    structure: strength.DesignStructure
    balance: balance.DesignBalance
    room: room.Room
    power: power.DesignPower
    servo: control.ServoLoad | None  # None if the study has no linkage
    launch: launch.DesignLaunch | None  # None if the study launches it in another way than by hand

    def by_name(self) -> dict[str, Any]:
        """Return the outputs that limits and objectives refer to, by their unique names.

        Values are SI, of shape (...) or (..., n).
        """
        outputs = self.structure._asdict()
        del outputs["beam"]
        stages = (self.shape, self.flow, self.section, self.stall, self.balance, self.room, self.power)
        for stage in stages:
            outputs |= fields_by_name(stage)
        for optional in (self.servo, self.launch):
            if optional is not None:
                outputs |= fields_by_name(optional)
        for name in ("usual_time", "clearance", "pack_clearance", "rod_room", "tip_room"):
            if outputs[name] is None:
                del outputs[name]
        return outputs


def evaluate(data: ModelData, designs: Designs, wings: Wings | None = None, usual: bool = True) -> Evaluation:
    """Return the Evaluation of designs (...). If ``wings`` is given, the lattice is not solved again.

    Without ``usual``, the duration of the usual flight (cruise with a share of full throttle) is not computed. This
    saves two solutions at full throttle.
    """
    wings = wings or wings_of(data, designs)
    shape, speed = wings.shape, designs.cruise_speed
    flow = control.design_flow(data.flight, wings.solution, wings.half, shape.all_up_mass, designs.static_margin, speed)
    trimmed = flow.trimmed
    section = level_drag.level_drag(
        data.level,
        level_drag.strip_state(
            data.level, trimmed.lift_coefficient, trimmed.log_reynolds, trimmed.strip_deflection, slopes=False
        ),
        trimmed.strip_area,
        trimmed.induced_drag_area,
        _other_drag_area(data, shape, speed),
    )
    stall = tip_stall.tip_stall(
        data.level,
        tip_stall.tip_shares(wings.drawn.outline, wings.solution.mesh),
        trimmed.strip_area,
        flow.approach,
    )
    structure = strength.design_structure(data.strength, wings.half, designs.extension, _strip_forces(flow))
    balanced = balance.design_balance(
        trimmed.centre_of_gravity,
        shape.all_up_mass,
        shape.moment_without_pack,
        shape.sliding_mass,
        shape.fin_side_area,
        shape.fin_quarter_chord,
        shape.area,
        shape.span,
    )
    powered = power.design_power(
        data.power, speed, section.drag_area, shape.all_up_mass, designs.series, designs.parallel, usual=usual
    )
    inside = room.room(wings.drawn, balanced.pack_position, designs.equipment_position, data.tip_lack)
    servo = None
    if data.servo:
        hinged = control.hinged_elevon(wings.solution.wing, wings.solution.mesh, wings.solution.coverage)
        servo = control.servo_load(data.flight, data.servo, hinged, trimmed.lift_coefficient, trimmed.elevon)
    found = Evaluation(shape, flow, section, stall, structure, balanced, inside, powered, servo, None)
    return found._replace(launch=thrown(data, found)) if data.launch else found


def thrown(data: ModelData, found: Evaluation, speed: float | None = None) -> launch.DesignLaunch:
    """Return the DesignLaunch of evaluated designs, thrown at a ``speed`` [m/s] or at that of the data."""
    assert data.launch is not None
    trimmed, section = found.flow.trimmed, found.section
    stall = launch.first_stall(data.flight.slowest_speed, trimmed.lift_coefficient, section.stall_margin)
    return launch.design_launch(
        data.launch._replace(speed=speed) if speed else data.launch,
        data.flight,
        found.shape.all_up_mass,
        section.drag_area,
        trimmed.induced_drag_area,
        stall.first_stall_speed,
        found.power.launch_thrust,
    )


# --- parts of a design that depend on neither speed nor balance point ---------------------------------------


@dataclass(frozen=True)
class Wings:
    """Results for designs that depend on neither speed nor balance point: outline, weights, lattice, beam, drive."""

    data: ModelData
    designs: Designs  # cruise speed and static margin are not used here
    drawn: layout.StretchedWing
    shape: layout.DesignShape
    solution: trimmed_flight.UnitSolution  # includes the strips

    @cached_property
    def half(self) -> strength.HalfWing:
        """Each half wing as a beam, with its masses."""
        return strength.drawn_half_wing(self.data.strength, self.drawn)

    @cached_property
    def powertrain(self) -> Any:
        """The Powertrain with the cells of each design."""
        return power.chosen_powertrain(self.data.power, self.designs.series, self.designs.parallel)


def wings_of(data: ModelData, designs: Designs) -> Wings:
    """Return the Wings (...) of designs. Each distinct wing is solved once."""
    drawn = layout.StretchedWing(data.layout, designs.wing)
    shape = layout.shape_of(drawn, designs.series, designs.parallel, designs.equipment_position)
    return Wings(data, designs, drawn, shape, _solved(data, drawn))


def reweighed(wings: Wings, data: ModelData, designs: Designs) -> Wings:
    """Return the same wings with the weights of other data and designs (...). The lattice is not solved again.

    ``data`` and ``designs`` differ in nothing that changes the outline.
    """
    drawn = layout.StretchedWing(data.layout, wings.designs.wing)
    shape = layout.shape_of(drawn, designs.series, designs.parallel, designs.equipment_position)
    return replace(wings, data=data, drawn=drawn, shape=shape)


def pack_places(wings: Wings) -> Any:
    """Return the place (...) of the pack that balances each wing at its static margin. [m]

    It depends on no speed.
    """
    shape = wings.shape
    return mass.pack_position(balance_marks(wings), shape.all_up_mass, shape.moment_without_pack, shape.sliding_mass)


def balance_marks(wings: Wings) -> Any:
    """Return the balance mark (...) of each wing at its static margin. [m]"""
    chord = wings.solution.areas.mean_aerodynamic_chord
    return trim.balance_points(wings.solution.unit, chord, wings.designs.static_margin).centre_of_gravity


def margin_of_pack_place(wings: Wings, place: Any) -> Any:
    """Return the static margin (...) at which a pack at ``place`` [m] balances each wing: `pack_places` the other way.

    It is a share of the mean aerodynamic chord. [-]
    """
    shape, solution = wings.shape, wings.solution
    chord = solution.areas.mean_aerodynamic_chord
    neutral = trim.balance_points(solution.unit, chord, 0.0).neutral_point
    mark = (shape.moment_without_pack + shape.sliding_mass * place) / shape.all_up_mass
    return (neutral - mark) / chord


def _solved(data: ModelData, drawn: layout.StretchedWing) -> trimmed_flight.UnitSolution:
    """Return the lattice solutions (...) of wings. Each distinct wing is solved once."""
    if not drawn.outline.semi_span.ndim or np.iscomplexobj(drawn.outline.station):  # all directions of one wing
        return trimmed_flight.solution_of(data.flight, drawn, strips=True)
    outlines = np.stack(np.broadcast_arrays(*(getattr(drawn.choice, name) for name in WING_SHAPE)), axis=-1)
    batch = outlines.shape[:-1]
    distinct, place = np.unique(outlines.reshape(-1, len(WING_SHAPE)), axis=0, return_inverse=True)
    parts = np.array_split(distinct, -(-len(distinct) // _WINGS_AT_ONCE))
    solutions = [
        trimmed_flight.unit_solution(data.flight, **dict(zip(WING_SHAPE, part.T, strict=True)), strips=True)
        for part in parts
    ]
    return _selected(solutions, np.reshape(place, batch))


def _selected(parts: list[Any], place: np.ndarray) -> Any:
    """Return records of equal structure as one record, with the entries ``place`` (...) of their arrays' first axes.

    Values that are not arrays are taken from the first record.
    """
    first = parts[0]
    if isinstance(first, tuple):
        columns = [_selected(list(column), place) for column in zip(*parts, strict=True)]
        return type(first)(*columns) if hasattr(first, "_fields") else tuple(columns)
    return np.concatenate(parts)[place] if isinstance(first, np.ndarray) else first


# --- the same designs with other materials or at other speeds -----------------------------------------------


def structure_with(
    structure: strength.StrengthData, designs: Designs, flow: control.DesignFlow
) -> strength.DesignStructure:
    """Return the structure's results for designs under the same loads, with the materials of ``structure``."""
    return strength.wing_structure(structure, designs.wing, _strip_forces(flow))


class LevelFlight(NamedTuple):
    """Level flight or a steady turn: one speed for each design, or many speeds of one design.

    Each field has shape (...) unless stated otherwise.
    """

    elevon: Any  # elevon deflection, trailing edge down positive [rad]
    centre_of_gravity: Any  # distance behind the nose datum [m]
    dynamic_pressure: Any  # [Pa]
    lift_coefficient: Any  # section lift coefficient of every strip (..., n_strip) [-]
    log_reynolds: Any  # natural logarithm of Reynolds number (..., n_strip) [-]
    strip_deflection: Any  # elevon deflection times the share of the strip it covers (..., n_strip) [rad]
    stall_margin: Any  # largest section lift coefficient minus actual one (..., n_strip) [-]
    slow_stall_margin: Any  # the same at speed over the least multiple of the stall [-]; None unless requested
    profile: Any  # drag of the sections over dynamic pressure [m^2]
    induced: Any  # drag due to lift, over dynamic pressure [m^2]
    other: Any  # drag of fins and listed parts, over dynamic pressure [m^2]

    @property
    def drag(self) -> Any:
        """Drag of the aircraft (...). [N]"""
        return self.dynamic_pressure * (self.profile + self.induced + self.other)


def level_flight(
    wings: Wings, speed: Any, static_margin: Any, load_factor: Any = 1.0, slow: bool = False
) -> LevelFlight:
    """Return the LevelFlight of wings (...) at speeds (...) [m/s].

    If ``slow`` is set, it includes ``slow_stall_margin``.

    ``static_margin`` (...) is a share of the mean aerodynamic chord [-]. ``load_factor`` (...) [-] is 1 except in a
    turn.
    """
    data = wings.data
    trimmed = trimmed_flight.trim_conditions(
        data.flight,
        wings.solution,
        wings.shape.all_up_mass * load_factor,
        static_margin,
        speed,
        first=2 if slow else 1,
    )
    condition = trimmed.lift_coefficient, trimmed.log_reynolds, trimmed.strip_deflection
    lift, reynolds, deflection = (part[..., :1, :] for part in condition)
    strips = level_drag.strip_state(data.level, lift, reynolds, deflection, slopes=False)
    # at the speed over the least multiple of the stall
    slow_margin = level_drag.stall_margin(data.level, *(part[..., 1:2, :] for part in condition)) if slow else None
    profile = level_drag.wing_profile_drag_area(data.level, strips.section_drag[0], trimmed.strip_area)
    return LevelFlight(
        elevon=trimmed.elevon[..., 0],
        centre_of_gravity=trimmed.centre_of_gravity,
        dynamic_pressure=trimmed.dynamic_pressure[..., 0],
        lift_coefficient=trimmed.lift_coefficient[..., 0, :],
        log_reynolds=trimmed.log_reynolds[..., 0, :],
        strip_deflection=trimmed.strip_deflection[..., 0, :],
        stall_margin=strips.stall_margin[0][..., 0, :],
        slow_stall_margin=slow_margin[..., 0, :] if slow_margin is not None else None,
        profile=profile[..., 0],
        induced=trimmed.induced_drag_area[..., 0],
        other=_other_drag_area(data, wings.shape, speed)[..., 0],
    )


class StallState(NamedTuple):
    """Level flight at one speed for each design, or at many speeds of one, as far as its stall is concerned."""

    elevon: Any  # elevon deflection, trailing edge down positive (...) [rad]
    dynamic_pressure: Any  # (...) [Pa]
    stall_margin: Any  # largest section lift coefficient minus actual one (..., n_strip) [-]


def stall_state(wings: Wings, speed: Any, static_margin: Any) -> StallState:
    """Return the StallState of wings (...) at speeds (...) [m/s]. It is that of `level_flight`, without its drag."""
    data = wings.data
    trimmed = trimmed_flight.trim_conditions(
        data.flight, wings.solution, wings.shape.all_up_mass, static_margin, speed, first=1
    )
    condition = trimmed.lift_coefficient, trimmed.log_reynolds, trimmed.strip_deflection
    margin = level_drag.stall_margin(data.level, *condition)
    return StallState(trimmed.elevon[..., 0], trimmed.dynamic_pressure[..., 0], margin[..., 0, :])


def cruise_power(wings: Wings, speed: Any, drag: Any) -> power.CruisePower:
    """Return the CruisePower of wings (...) at speeds (...) [m/s] with drags (...) [N]."""
    return power.steady_cruise_power(wings.data.power, wings.powertrain, speed, drag)


def usual_time(wings: Wings, cruise: power.CruisePower) -> Any:
    """Return the duration (...) of the usual flight with this cruise. [s]"""
    return power.usual_time_in_cruise(wings.data.power, wings.powertrain, cruise.shaft)


def cruise_gain(wings: Wings, output: str, cruise: power.CruisePower) -> Any:
    """Return the output of steady cruise (...) that a purpose maximises: range [m], radius [m] or time [s].

    ``output`` is its name.
    """
    if output == "usual_time":
        return usual_time(wings, cruise)
    return {"range": cruise.cruise.range, "radius": cruise.radius}[output]


def _strip_forces(flow: control.DesignFlow) -> strength.StripForces:
    trimmed = flow.trimmed
    return strength.StripForces(
        trimmed.load_factor[..., trimmed_flight.N_LEVEL :], trimmed.strip_lift, trimmed.strip_moment
    )


def _other_drag_area(data: ModelData, shape: layout.DesignShape, speed: Any) -> Any:
    return level_drag.other_drag_area(data.level, shape.fin_area, shape.fin_mean_chord, speed)
