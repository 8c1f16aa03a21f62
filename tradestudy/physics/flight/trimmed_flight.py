"""Vortex-lattice solution of one design: balance, trim in every flight condition, strip lift and induced drag.

In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.aero import lateral, lattice, trim, wake
from tradestudy.physics.aeroelastic import elastic_wing
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.arrays import stacked, unstacked
from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.fins import SheetFin
from tradestudy.physics.geometry.mesh import Mesh, half_wing_mesh, strip_shares
from tradestudy.physics.sections.polar import SectionTable, lift_limits
from tradestudy.physics.structure.loads import (
    SEA_LEVEL_DENSITY,
    capped_load_factor,
    gust_increment,
)

from . import layout

# Section drag and stall are evaluated in the level conditions, which come first. The others load the structure.
# In "slowest" the balance is ahead of its mark by the room that a builder needs.
LEVEL_CONDITIONS = ("cruise", "slow", "slowest", "full_speed")
LOAD_CONDITIONS = ("pull_up", "push_over", "gust_cruise", "gust_full_speed")
N_LEVEL, N_LOAD = len(LEVEL_CONDITIONS), len(LOAD_CONDITIONS)
_GUSTY = slice(-2, None)  # the last two of all conditions
_AHEAD = np.arange(N_LEVEL + N_LOAD) == LEVEL_CONDITIONS.index("slowest")
TOP_LIFT_SHARE = 0.9  # largest lift of the trimmed wing over that of the section; common practice, no source [-]
# Deflection of each elevon, one up and one down, at full stick in roll: common practice, no source [rad]
FULL_ELEVON = np.radians(15.0)
FULL_SPEED_SHARE = 1 / 1.2  # fastest level flight over never-exceed speed, at most [-]
# Mean section drag affects yaw stiffness and yaw damping. An error of a third changes yaw stiffness by under 1 %.
USUAL_SECTION_DRAG = 0.012  # mean drag coefficient from our own section tables at cruise [-]


class FlightData(NamedTuple):
    """Constants of a study for section, air, speeds and load factors, in SI units."""

    layout: layout.LayoutData
    camber: lattice.SectionCamber
    table: SectionTable  # table of the wing's only section, or of all strips (strip_table)
    elevon_effectiveness: float  # real effect of the elevon over that of thin-airfoil theory [-]
    air_density: float  # [kg/m^3]
    kinematic_viscosity: float  # [m^2/s]
    slowest_speed: float  # slowest flight that is allowed [m/s]
    never_exceed_speed: float  # [m/s]
    control_speed: float  # speed up to which the elevons must remain effective [m/s]
    pull_up: float  # load factor of the pull-up [-]
    push_over: float  # load factor of the push-over [-]
    gust_cruise: float  # gust speed at cruise [m/s]
    gust_full_speed: float  # gust speed at full speed [m/s]
    thrust_line_height: float  # height of the thrust line above the centre of gravity [m]
    cruise_over_stall: float  # lowest cruise speed over that of the slowest trimmed flight [-]
    least_cruise_speed: float  # lowest cruise speed whatever the stall, 0 if there is none [m/s]
    wake_drag_factor: float = 1.0  # drag from the wake as built over that of the clean model [-]
    balance_room: float = 0.0  # how far the balance may lie ahead of its mark [m]


class TrimmedFlight(NamedTuple):
    """A design trimmed in every condition: ``n_level`` LEVEL_CONDITIONS, then ``n_load`` LOAD_CONDITIONS."""

    neutral_point: Any  # distance behind the nose datum (...) [m]
    centre_of_gravity: Any  # distance behind the nose datum (...) [m]
    lift_slope: Any  # slope of the wing's lift coefficient (...) [1/rad]
    alpha: Any  # angle of attack (..., n_condition) [rad]
    elevon: Any  # elevon deflection (..., n_condition) [rad]
    load_factor: Any  # load factor, including the gust (..., n_condition) [-]
    dynamic_pressure: Any  # dynamic pressure (..., n_condition) [Pa]
    lift_coefficient: Any  # lift coefficient of every strip (..., n_level, n_strip) [-]
    log_reynolds: Any  # natural logarithm of its Reynolds number (..., n_level, n_strip) [-]
    strip_deflection: Any  # elevon deflection, mean over the strip's width (..., n_level, n_strip) [rad]
    strip_area: Any  # area of every strip (..., n_strip) [m^2]
    induced_drag_area: Any  # drag due to lift over dynamic pressure (..., n_level) [m^2]
    strip_lift: Any  # lift of every strip (..., n_load, n_strip) [N]
    strip_moment: Any  # moment of every strip about the nose datum (..., n_load, n_strip) [N m]


class LateralHandling(NamedTuple):
    """Lateral handling in level cruise, as constrained in the search. Fields have the shape (...)."""

    yaw_stiffness: Any  # yawing moment coefficient over sideslip [1/rad]
    roll_per_metre: Any  # steady roll rate over airspeed, with the elevons at ``FULL_ELEVON`` [rad/m]


def strip_angles(wing: planform.Planform, mesh: Mesh) -> lattice.StripAngles:
    """Return twist, camber share, hinge place and elevon coverage of every strip.

    This is geometry and needs no source.
    """
    n_wing, chord = mesh.n_wing, wing.chord
    values = stacked([wing.twist, wing.foam_chord, chord, planform.tip_section_chord(wing, chord)])
    twist, foam, chord, tip_part = unstacked(strip_shares(mesh.counts).middle.T @ values)
    angles = np.zeros((5, *mesh.chord.shape), np.result_type(values, mesh.chord))
    of_wing = angles[..., :n_wing]
    of_wing[0], of_wing[1], of_wing[2] = twist, 1.0, foam / chord
    of_wing[3], of_wing[4] = elevon_coverage(wing, mesh), tip_part / chord
    angles[2, ..., n_wing:] = 0.8  # a fin has no elevon: any place of a hinge will do
    return lattice.StripAngles._make(angles)


def strip_tip_shares(laid: layout.LayoutData) -> np.ndarray:
    """Return the share (n_wing,) of the tip section in every wing strip. [-]

    It is the same for all designs of a study. ``laid`` is the LayoutData. This is geometry and needs no source.
    """
    wing = layout.wing_outline(laid, 0.0, laid.stock.sweep, laid.stock.washout)
    mesh = half_wing_mesh(wing)
    return planform.tip_section_share(wing, wing.chord, mesh.middle[..., : mesh.n_wing, 1])


def elevon_coverage(wing: planform.Planform, mesh: Mesh) -> np.ndarray:
    """Return the share (..., n_wing) of each wing strip's width that an elevon covers. [-]

    This is geometry and needs no source.
    """
    inner, outer = mesh.inner_edge[..., : mesh.n_wing, 1], mesh.outer_edge[..., : mesh.n_wing, 1]
    start, stop = wing.elevon_inner_end[..., None], wing.elevon_outer_end[..., None]
    left = np.where(inner.real > start.real, inner, start)
    right = np.where(outer.real < stop.real, outer, stop)
    return np.where(right.real > left.real, right - left, 0.0) / (outer - inner)


class UnitSolution(NamedTuple):
    """A stretched wing and its lattice solution for a unit of every right-hand side.

    The right-hand sides are twist and camber, angle of attack, elevon deflection and rates of rotation.
    """

    wing: planform.Planform
    areas: planform.Areas
    fins: tuple[SheetFin, ...]
    mesh: Mesh
    unit: lattice.UnitLoads
    symmetric: np.ndarray  # panel circulations of symmetric right-hand sides (..., n_strip, n_panel, 4) [m]
    antisymmetric: np.ndarray  # panel circulations of antisymmetric right-hand sides (..., n_strip, n_panel, 6) [m]
    coverage: Any  # share of each wing strip's width that an elevon covers (..., n_wing) [-]
    wash: wake.WakeWash
    strips: lattice.UnitLoads  # ``unit`` of the wing strips, see ``wing_strips``
    air: elastic_wing.AirLoads | None = None  # loads by a unit incidence of each single strip; None if not requested


def unit_solution(
    data: FlightData,
    extension: Any,
    sweep: Any,
    washout: Any,
    refinement: int = 1,
    strips: bool = False,
    tip_chord: Any = None,
) -> UnitSolution:
    """Return the UnitSolution of a stretched wing, as in ``solution_of``.

    ``extension`` and ``tip_chord`` [m], ``sweep`` and ``washout`` [rad] are (...), and ``refinement`` is that of the
    mesh [-]. Without ``tip_chord`` the wing has the stock tip chord.
    """
    choice = layout.WingChoice(extension, sweep, washout, 0.0, 0.0, tip_chord)
    return solution_of(data, layout.StretchedWing(data.layout, choice), refinement, strips)


def solution_of(
    data: FlightData, drawn: layout.StretchedWing, refinement: int = 1, strips: bool = False
) -> UnitSolution:
    """Return the UnitSolution of a StretchedWing, with sources as for ``lattice`` and ``lateral``.

    Complex inputs have one batch axis along which the real part is constant. Imaginary parts are then exact slopes. If
    ``strips`` is true, the result includes ``air``, the loads by a unit incidence of each strip. ``refinement`` is that
    of the mesh [-].
    """
    wing, fins = drawn.outline, drawn.fins
    mesh = half_wing_mesh(wing, fins, refinement)
    angles = strip_angles(wing, mesh)
    influences: lattice.Normalwash | lattice.MovingNormalwash
    if np.iscomplexobj(wing.station):
        influences = lattice.moving_normalwash(mesh)
    else:
        influences = lattice.normalwash(mesh)
    straight, wash = lattice.symmetric_downwash(mesh, angles, data.camber), wake.wake_wash(mesh)
    sideways = lateral.antisymmetric_velocities(mesh, straight)
    alone = lattice.strip_columns(mesh) if strips else None
    symmetric = lattice.panel_circulations(mesh, -straight, 1.0, influences, alone)
    antisymmetric = lattice.panel_circulations(mesh, -sideways, -1.0, influences, alone)
    air = elastic_wing.air_loads(mesh, symmetric, antisymmetric, wash) if strips else None
    symmetric, antisymmetric = symmetric[..., : lattice.N_SYMMETRIC], antisymmetric[..., : lateral.N_ANTISYMMETRIC]
    unit = lattice.rigid_loads(air.unit) if air else lattice.unit_loads(mesh, symmetric, wash)
    return UnitSolution(
        wing=wing,
        areas=drawn.areas,
        fins=fins,
        mesh=mesh,
        coverage=angles.elevon_coverage[..., : mesh.n_wing],
        wash=wash,
        strips=wing_strips(mesh, unit),
        unit=unit,
        symmetric=symmetric,
        antisymmetric=antisymmetric,
        air=air,
    )


def condition_speeds(data: FlightData, cruise_speed: np.ndarray) -> np.ndarray:
    """Return the airspeed (..., n_condition) of every condition, by definition. [m/s]

    ``cruise_speed`` (...) is in [m/s].
    """
    full = data.never_exceed_speed * FULL_SPEED_SHARE
    # by cruise speed, and those of the study
    shares, own = np.array(
        [
            [1, 1 / data.cruise_over_stall, 0, 0, 0, 0, 1, 0],
            [0, 0, data.slowest_speed, full, full, full, 0, full],
        ]
    )
    return cruise_speed[..., None] * shares + own


def least_cruise(data: FlightData, stall_speed: Any) -> Any:
    """Return the lowest cruise speed (...) of wings, by definition. [m/s]

    ``stall_speed`` (...) is in [m/s].
    """
    return np.maximum(data.cruise_over_stall * stall_speed, data.least_cruise_speed)


def thrust_moment_volume(data: FlightData, areas: planform.Areas, lift_coefficient: np.ndarray) -> np.ndarray:
    """Return the nose-up moment of thrust over dynamic pressure (..., n_condition), from a drag estimate. [m^3]

    The drag coefficient is estimated as 0.020 + CL^2 / (0.9 pi A), by judgement. CL is the ``lift_coefficient``
    (..., n_condition) [-] and A the aspect ratio. With a thrust line 20 mm from the centre of gravity, a drag error
    of a third moves the elevon by less than 0.1 degrees.
    """
    drag = 0.020 + lift_coefficient**2 / (0.9 * np.pi * areas.aspect_ratio[..., None])
    return -data.thrust_line_height * drag * areas.area[..., None]


def trim_conditions(
    data: FlightData,
    solution: UnitSolution,
    all_up_mass: np.ndarray,
    static_margin: Any,
    cruise_speed: np.ndarray,
    compliance: elastic_wing.Compliance | None = None,
    first: int | None = None,
) -> TrimmedFlight:
    """Return the TrimmedFlight of a UnitSolution, with statics as in ``trim``. Any number of speeds needs one lattice.

    ``all_up_mass`` [kg], ``static_margin`` over mean aerodynamic chord [-] and ``cruise_speed`` [m/s] are (...). If a
    ``compliance`` is given, the wing twists under its loads, and the solution needs strip loads (``air``). Neutral
    point, centre of gravity and lift slope stay those of the rigid wing. ``first`` is the number [-] of level
    conditions that are computed, without loads; for a rigid wing. None means all conditions.
    """
    areas, mesh, unit = solution.areas, solution.mesh, solution.unit
    balance = trim.balance_points(unit, areas.mean_aerodynamic_chord, static_margin)
    weight = all_up_mass * GRAVITY
    speed = condition_speeds(data, cruise_speed)[..., :first]
    pressure = 0.5 * data.air_density * speed**2
    steady = np.array([1, 1, 1, 1, data.pull_up, data.push_over, 1, 1.0])[:first]
    mean_lift = weight[..., None] * steady / (pressure * areas.area[..., None])
    inputs = trim.TrimInputs(
        centre_of_gravity=balance.centre_of_gravity,
        weight=weight,
        dynamic_pressure=pressure,
        load_factor=steady,
        speed=speed,
        effectiveness=data.elevon_effectiveness,
        thrust_moment_volume=thrust_moment_volume(data, areas, mean_lift),
        ahead=data.balance_room * _AHEAD[:first],
    )
    lift_slope = unit.lift_area[..., lattice.ALPHA] / areas.area
    extra = np.zeros(mean_lift.shape, mean_lift.dtype)
    if first is None:
        loading = all_up_mass / areas.area
        gusty = mean_lift[..., _GUSTY], speed[..., _GUSTY]
        extra[..., _GUSTY] = gust_increments(data, areas, lift_slope, loading, *gusty)
    state: trim.Trim | elastic_wing.FlexibleTrim
    if compliance is None:
        state = trim.rigid_trim(unit, inputs)
        amplitude = state.amplitude
        if first is None:
            amplitude = trim.amplitude_with_gust(state, unit, weight, pressure, extra)
    else:
        assert solution.air is not None, "needs a solution with strips"
        unit = lattice.with_all_drag(mesh, solution.wash, solution.air.unit)
        incidences = elastic_wing.elastic_incidences(elastic_wing.couplings(compliance, solution.air)[0], pressure)
        state = elastic_wing.flexible_trim(unit, incidences, inputs, extra)
        amplitude = state.amplitude
    n_wing = mesh.n_wing
    strips = solution.strips if compliance is None else wing_strips(mesh, unit)
    chord = mesh.chord[..., :n_wing]
    width = mesh.outer_edge[..., :n_wing, 1] - mesh.inner_edge[..., :n_wing, 1]
    level, load = amplitude[..., :N_LEVEL, :], amplitude[..., N_LEVEL:, :]
    return TrimmedFlight(
        neutral_point=balance.neutral_point,
        centre_of_gravity=balance.centre_of_gravity,
        lift_slope=lift_slope,
        alpha=state.alpha,
        elevon=state.elevon,
        load_factor=steady + extra,
        dynamic_pressure=pressure,
        lift_coefficient=trim.strip_lift_coefficients(strips, level, chord),
        log_reynolds=np.log(speed[..., :N_LEVEL, None] * chord[..., None, :] / data.kinematic_viscosity),
        strip_deflection=state.elevon[..., :N_LEVEL, None] * solution.coverage[..., None, :],
        strip_area=0.5 * (mesh.inner_chord + mesh.outer_chord)[..., :n_wing] * width,
        induced_drag_area=data.wake_drag_factor * trim.induced_drag_areas(unit, level),
        strip_lift=trim.strip_forces(strips.strip_lift, load, pressure[..., N_LEVEL:]),
        strip_moment=trim.strip_forces(strips.strip_moment, load, pressure[..., N_LEVEL:]),
    )


def wing_strips(mesh: Mesh, unit: lattice.UnitLoads) -> lattice.UnitLoads:
    """Return the UnitLoads of the wing strips, including the lift of canted fins.

    Lift of a fin is added to the wing strip inboard of its foot. The arm from the foot to that lift is left out. This
    is bookkeeping and needs no source.
    """
    circulation, lift, moment, *total = unit
    carried = (lattice.carried_by_wing(mesh, part) for part in (lift, moment))
    return lattice.UnitLoads(circulation[..., : mesh.n_wing, :], *carried, *total)


def lateral_derivatives(
    data: FlightData,
    solution: UnitSolution,
    alpha: np.ndarray,
    elevon: np.ndarray,
    centre_of_gravity: np.ndarray,
    centre_height: Any = 0.0,
) -> lateral.LateralDerivatives:
    """Return the LateralDerivatives (...) of level cruise, as in ``lateral.derivatives``.

    ``alpha``, ``elevon`` (..., n_condition) [rad] and ``centre_of_gravity`` (...) [m] are those of the TrimmedFlight of
    the same ``solution``. ``centre_height`` (...) is the height of the centre of gravity [m].
    """
    alpha, elevon = alpha[..., 0], elevon[..., 0] * data.elevon_effectiveness
    zero = 0 * alpha
    return lateral.derivatives(
        mesh=solution.mesh,
        areas=solution.areas,
        symmetric=solution.symmetric,
        antisymmetric=solution.antisymmetric,
        amplitude=stacked([1 + zero, alpha, elevon, zero]),
        centre_of_gravity=centre_of_gravity,
        centre_height=centre_height,
        effectiveness=data.elevon_effectiveness,
        profile_drag=USUAL_SECTION_DRAG,
        wash=solution.wash,
    )


def lateral_handling(data: FlightData, solution: UnitSolution, trimmed: TrimmedFlight) -> LateralHandling:
    """Return the LateralHandling (...) of a UnitSolution and its TrimmedFlight, as in ``lateral.roll_per_metre``."""
    derivatives = lateral_derivatives(data, solution, trimmed.alpha, trimmed.elevon, trimmed.centre_of_gravity)
    return LateralHandling(
        yaw_stiffness=derivatives.yaw_sideslip,
        roll_per_metre=lateral.roll_per_metre(derivatives, FULL_ELEVON, solution.areas.span),
    )


def gust_increments(
    data: FlightData,
    areas: planform.Areas,
    lift_slope: np.ndarray,
    wing_loading: np.ndarray,
    mean_lift: np.ndarray,
    speed: np.ndarray,
) -> np.ndarray:
    """Return the load factors (..., 2) that the gusts at cruise and at full speed add. [-]

    ``lift_slope`` (...) is in [1/rad] and ``wing_loading`` (...) in [kg/m^2]. The lift coefficient of level flight
    ``mean_lift`` (..., 2) is in [-] and ``speed`` (..., 2) in [m/s]. The formula is that of ``loads.gust_increment``,
    with its source in ``loads.gust_alleviation``. The result is limited where the wing would stall, with a rounded
    corner.
    """
    reynolds = np.log(speed * areas.mean_aerodynamic_chord[..., None] / data.kinematic_viscosity)
    moving = np.iscomplexobj(reynolds)
    limits = lift_limits(data.table.mean, reynolds.real, np.zeros(reynolds.shape), slopes=moving)
    change = 1j * reynolds.imag if moving else 0.0
    top, bottom = (TOP_LIFT_SHARE * (limit[0] + (limit[1] * change if moving else 0.0)) for limit in limits)
    demanded = 1 + gust_increment(
        gust_speed=np.array([data.gust_cruise, data.gust_full_speed]),
        airspeed=speed * (data.air_density / SEA_LEVEL_DENSITY) ** 0.5,
        wing_loading=wing_loading[..., None],
        mean_chord=(areas.area / areas.span)[..., None],
        lift_slope=lift_slope[..., None],
        density=data.air_density,
    )
    return capped_load_factor(demanded, top / mean_lift, bottom / mean_lift) - 1
