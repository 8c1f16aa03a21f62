"""The whole aircraft, evaluated: shape -> flow -> section -> structure -> balance -> power. The one place for it.

Any number of designs and conditions go the same way, one design among them: every field of `Designs` has batch axes
(...) that broadcast, and one design has none. Only the lattice is solved wing by wing, once for designs that share a
wing. The doors of `aircraft.components` lead OpenMDAO to the same stages, for searches that want slopes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.flight import balance, control, layout, level_drag, power, strength, trimmed_flight
from tradestudy.physics.flight.records import fields_by_name
from tradestudy.quantities.variables import VARIABLES

from .choices import Choice
from .model_data import ModelData

N_LEVEL = len(trimmed_flight.LEVEL_CONDITIONS)
WING_SHAPE = ("extension", "sweep", "washout")  # what shapes a lattice
BOUGHT = ("rod_diameter", "rod_pairs", "series", "parallel")


class Designs(NamedTuple):
    """What makes a design, or many side by side; every field (...), broadcasting."""

    extension: Any  # of either half of the stock wing [m]
    sweep: Any  # [rad]
    washout: Any  # [rad]
    static_margin: Any  # of the mean aerodynamic chord [-]
    cruise_speed: Any  # not a number before it is chosen [m/s]
    equipment_position: Any  # behind the nose datum [m]
    rod_diameter: Any  # of the first set [m]
    rod_pairs: Any  # of the first set, in each half wing [-]
    series: Any  # cells [-]
    parallel: Any  # cells [-]

    @property
    def wing(self) -> strength.WingChoice:
        """What shapes the half wing."""
        return strength.WingChoice(self.extension, self.sweep, self.washout, self.rod_diameter, self.rod_pairs)


def one_design(choice: Choice, variables: dict[str, float]) -> Designs:
    """Return one design (no axes) from its choice and its variables by name, SI."""
    moved = {name: np.float64(variables.get(name, np.nan)) for name in VARIABLES}
    return Designs(**moved, **{name: np.float64(getattr(choice, name)) for name in BOUGHT})


def many_designs(choices: Sequence[Choice], variables: Sequence[dict[str, float]]) -> Designs:
    """Return designs side by side, every field (n,), from a choice and variables (SI) for each."""
    one_by_one = [one_design(*each) for each in zip(choices, variables, strict=True)]
    return Designs(*(np.array(column) for column in zip(*one_by_one, strict=True)))


@dataclass(frozen=True)
class Wings:
    """What no speed and no balance point changes about designs: outline, weights, lattice, beam, drive."""

    data: ModelData
    designs: Designs  # their cruise speed and static margin are not used
    shape: layout.DesignShape
    solution: trimmed_flight.UnitSolution  # with strips

    @cached_property
    def half(self) -> strength.HalfWing:
        """Half of each wing as a beam, with its masses."""
        return strength.half_wing(self.data.strength, self.designs.wing)

    @cached_property
    def powertrain(self) -> Any:
        """The drive_train.Powertrain with the chosen cells."""
        return power.chosen_powertrain(self.data.power, self.designs.series, self.designs.parallel)


class Evaluation(NamedTuple):
    """Everything that the model tells of designs, stage by stage; batch axes (...) are those of the designs."""

    shape: layout.DesignShape
    flow: control.DesignFlow
    section: level_drag.LevelDrag
    structure: strength.DesignStructure
    balance: balance.DesignBalance
    power: power.DesignPower

    def by_name(self) -> dict[str, Any]:
        """Return what limits and objectives ask for by name, as name -> (...) or (..., n), SI; no two share a name."""
        held = self.structure._asdict()
        del held["beam"]
        stages = (self.shape, self.flow, self.section, self.balance, self.power)
        found = {name: value for stage in stages for name, value in fields_by_name(stage).items()} | held
        if self.power.usual_time is None:
            del found["usual_time"]
        return found


def wings_of(data: ModelData, designs: Designs) -> Wings:
    """Return designs' Wings (...): every distinct wing is solved once."""
    shape = layout.design_shape(
        data.layout,
        designs.extension,
        designs.sweep,
        designs.washout,
        designs.rod_diameter,
        designs.rod_pairs,
        designs.series,
        designs.parallel,
        designs.equipment_position,
    )
    return Wings(data, designs, shape, _solved(data, designs))


def evaluate(data: ModelData, designs: Designs, wings: Wings | None = None, usual: bool = True) -> Evaluation:
    """Return the Evaluation of designs (...), from their ``wings`` where those are at hand.

    Without ``usual`` the usual flight is not timed, which costs two solutions at full throttle.
    """
    wings = wings or wings_of(data, designs)
    shape, speed = wings.shape, designs.cruise_speed
    flow = control.design_flow(data.flight, wings.solution, wings.half, shape.all_up_mass, designs.static_margin, speed)
    trimmed = flow.trimmed
    strips = level_drag.strip_state(
        data.level, trimmed.lift_coefficient, trimmed.log_reynolds, trimmed.strip_deflection
    )
    section = level_drag.level_drag(
        data.level, strips, trimmed.strip_area, trimmed.induced_drag_area, _other_drag_area(data, shape, speed)
    )
    structure = strength.design_structure(data.strength, wings.half, designs.extension, _forces(flow))
    balanced = balance.design_balance(
        trimmed.centre_of_gravity,
        shape.all_up_mass,
        shape.moment_without_pack,
        shape.pack_mass,
        shape.fin_side_area,
        shape.fin_quarter_chord,
        shape.area,
        shape.span,
    )
    powered = power.design_power(
        data.power, speed, section.drag_area, shape.all_up_mass, designs.series, designs.parallel, usual=usual
    )
    return Evaluation(shape, flow, section, structure, balanced, powered)


def structure_with(
    structure: strength.StrengthData, designs: Designs, flow: control.DesignFlow
) -> strength.DesignStructure:
    """Return the Structure of evaluated designs, were they built as ``structure`` says: of weak materials, say."""
    return strength.wing_structure(structure, designs.wing, _forces(flow))


class LevelFlight(NamedTuple):
    """Level flight, or a steady turn, at one speed for each design, or one design at many speeds; every field (...)."""

    speed: Any  # [m/s]
    elevon: Any  # [rad]
    alpha: Any  # [rad]
    centre_of_gravity: Any  # behind the nose datum [m]
    dynamic_pressure: Any  # [Pa]
    lift_coefficient: Any  # of every strip (..., n_strip) [-]
    log_reynolds: Any  # its natural logarithm (..., n_strip) [-]
    strip_deflection: Any  # of the elevon, over the strip's whole width (..., n_strip) [rad]
    stall_margin: Any  # section lift left to the largest (..., n_strip) [-]
    slow_stall_margin: Any  # the same, as much slower than cruise as flight may be (..., n_strip); None if not asked
    profile: Any  # drag over dynamic pressure of the sections [m^2]
    induced: Any  # of lift [m^2]
    other: Any  # of fins, middle and listed parts [m^2]

    @property
    def drag(self) -> Any:
        """Of the whole aircraft (...). [N]"""
        return self.dynamic_pressure * (self.profile + self.induced + self.other)


def level_flight(
    wings: Wings, speed: Any, static_margin: Any, load_factor: Any = 1.0, slow: bool = False
) -> LevelFlight:
    """Return the LevelFlight of wings (...) at speeds (...) [m/s]; ``slow`` asks for ``slow_stall_margin``.

    ``static_margin`` (...) of the mean aerodynamic chord [-]; ``load_factor`` (...) [-] is 1 but in a turn.
    """
    data = wings.data
    trimmed = trimmed_flight.trim_conditions(
        data.flight, wings.solution, wings.shape.all_up_mass * load_factor, static_margin, speed
    )
    here = np.s_[..., : 2 if slow else 1, :]  # cruise, and 1.3 times slower
    strips = level_drag.strip_state(
        data.level, trimmed.lift_coefficient[here], trimmed.log_reynolds[here], trimmed.strip_deflection[here]
    )
    margin = strips.stall_margin[0]
    profile = level_drag.wing_profile_drag_area(data.level, strips.section_drag[0][..., :1, :], trimmed.strip_area)
    return LevelFlight(
        speed=speed,
        elevon=trimmed.elevon[..., 0],
        alpha=trimmed.alpha[..., 0],
        centre_of_gravity=trimmed.centre_of_gravity,
        dynamic_pressure=trimmed.dynamic_pressure[..., 0],
        lift_coefficient=trimmed.lift_coefficient[..., 0, :],
        log_reynolds=trimmed.log_reynolds[..., 0, :],
        strip_deflection=trimmed.strip_deflection[..., 0, :],
        stall_margin=margin[..., 0, :],
        slow_stall_margin=margin[..., 1, :] if slow else None,
        profile=profile[..., 0],
        induced=trimmed.induced_drag_area[..., 0],
        other=_other_drag_area(data, wings.shape, speed)[..., 0],
    )


def cruise_power(wings: Wings, speed: Any, drag: Any) -> power.CruisePower:
    """Return what steady cruise of wings (...) at speeds (...) [m/s] against drags (...) [N] takes and gives."""
    return power.steady_cruise_power(wings.data.power, wings.powertrain, speed, drag)


def usual_time(wings: Wings, cruise: power.CruisePower) -> Any:
    """Return the time (...) of a usual flight that cruises so. [s]"""
    return power.usual_time_in_cruise(wings.data.power, wings.powertrain, cruise.shaft)


def cruise_gain(wings: Wings, output: str, cruise: power.CruisePower) -> Any:
    """Return the ``output`` that a purpose wants most of, of steady cruise (...): range [m], radius [m] or time [s]."""
    if output == "usual_time":
        return usual_time(wings, cruise)
    return {"range": cruise.cruise.range, "radius": cruise.radius}[output]


def _forces(flow: control.DesignFlow) -> strength.StripForces:
    trimmed = flow.trimmed
    return strength.StripForces(trimmed.load_factor[..., N_LEVEL:], trimmed.strip_lift, trimmed.strip_moment)


def _other_drag_area(data: ModelData, shape: layout.DesignShape, speed: Any) -> Any:
    return level_drag.other_drag_area(data.level, shape.area, shape.fin_area, shape.fin_mean_chord, speed)


def _solved(data: ModelData, designs: Designs) -> trimmed_flight.UnitSolution:
    """Return the solutions of designs' wings (...), each distinct one solved once; without axes, the only one."""
    outlines = np.stack(np.broadcast_arrays(*(getattr(designs, name) for name in WING_SHAPE)), axis=-1)
    distinct, place = np.unique(outlines.reshape(-1, len(WING_SHAPE)), axis=0, return_inverse=True)
    solved = [
        trimmed_flight.unit_solution(data.flight, extension, sweep, washout, strips=True)
        for extension, sweep, washout in distinct
    ]
    batch = outlines.shape[:-1]
    return _stacked([solved[index] for index in np.ravel(place)], batch) if batch else solved[0]


def _stacked(parts: list[Any], batch: tuple[int, ...]) -> Any:
    """Lay equal structures of arrays side by side along new first axes; what is no number is the same in all."""
    first = parts[0]
    if isinstance(first, tuple):
        columns = [_stacked(list(column), batch) for column in zip(*parts, strict=True)]
        return type(first)(*columns) if hasattr(first, "_fields") else tuple(columns)
    if isinstance(first, (np.ndarray, float)):
        return np.stack([np.asarray(part) for part in parts]).reshape(*batch, *np.shape(first))
    return first
