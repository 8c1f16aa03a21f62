"""Calibration of the model against the stock wing, which is the reference for every stretched wing.

The calibration sets six quantities and reports each:

- mass that is in no list of parts, placed to match weight and balance;
- a pitching-moment offset that matches the elevon in cruise (`trim_calibration`);
- factors on what a built wing loses, from one known flight (`drag_calibration`);
- factors on the stiffness in bending and in torsion, from a load test (`stiffness_calibration`);
- a factor on the strength, if the model breaks under loads that the stock wing carries (`strength_calibration`).

All factors stay the same for every stretched wing. The mass grows with surface and joints by stated shares, see
`physics.weights.unlisted`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tradestudy.aircraft.model.choices import Choice, study_with_choice
from tradestudy.aircraft.model.limit_bounds import CRUISE, PULL_UP, StockReference, least_control_speed, slowest_speed
from tradestudy.aircraft.model.model_data import ModelData, model_data
from tradestudy.aircraft.model.speed_sweep import NeverFlies, SpeedSweep, best_speed, best_speed_near
from tradestudy.aircraft.shape.gear_items import movable_range
from tradestudy.physics.aeroelastic import elastic_wing
from tradestudy.physics.flight import control as soft_wing
from tradestudy.physics.flight import layout, trimmed_flight
from tradestudy.physics.flight.built_wing import CLEAN, BuiltFactors
from tradestudy.physics.structure.wing_beam import SAFETY_FACTOR
from tradestudy.physics.weights import mass
from tradestudy.physics.weights.pack_dimensions import pack_mass
from tradestudy.physics.weights.unlisted import NOTHING_UNLISTED, UnlistedMass, split_unlisted
from tradestudy.quantities import with_unit
from tradestudy.results.inputs import CalibrationRow
from tradestudy.study.fault_lines import contradiction
from tradestudy.study.schema.study import Study

from .calibration_table import calibration_rows, not_measured, stiffness_not_measured, stiffness_rows
from .drag_calibration import (
    SPEED_SLACK,
    DragCalibration,
    check_known_flight,
    drag_calibration,
    with_flown_parts,
)
from .flown_limits import FlownLimits, flown_limits, with_flown_limits
from .stiffness_calibration import StiffnessCalibration, stiffness_calibration, with_stiffness_factors
from .strength_calibration import strength_calibration, with_strength_factor
from .trim_calibration import MOST_OFFSET, TrimCalibration, trim_calibration, with_moment_and_losses

_MOST_UNLISTED = 0.35  # share of the flying weight; more unlisted mass than this gets a flag


@dataclass(frozen=True)
class Anchor:
    """The calibrated model of the stock wing, and its reference values."""

    unlisted: UnlistedMass
    reference: StockReference
    choice: Choice
    variables: dict[str, float]
    data: ModelData
    flags: tuple[str, ...]
    moment_offset: float  # offset added to the section's moment coefficient [-]
    factors: BuiltFactors  # on what the wing loses as built, over those of the study, from a known flight [-]
    stiffness_factors: tuple[float, float]  # factors on the stiffness in bending and in torsion [-]
    strength_factor: float  # factor on the strength of every part [-]
    flown: FlownLimits  # bounds on weak materials from what the stock wing is known to do
    calibration: tuple[CalibrationRow, ...]  # rows of measured and modelled values
    not_measured: tuple[str, ...]  # sentences on what was not measured or cannot be distinguished


def stock_choice(study: Study) -> Choice:
    """Return the choice (set of parts) of the stock wing."""
    rods = study.rods[0] if study.rods else None
    return Choice(
        study.pack.series,
        study.pack.parallel,
        rods.diameter if rods else 0.001,
        rods.pairs if rods else 0,
        study.propeller.size,
    )


def _as_stock(data: ModelData) -> ModelData:
    """Return the model's data for the stock wing with its own fins.

    The stretch scheme is not changed, so stock and stretched wings have the same strips and the same mesh error.
    """
    return _with_layout(data, data.layout._replace(keep="set_back", fins_rule="keep"))


def _with_layout(data: ModelData, laid: layout.LayoutData) -> ModelData:
    flight = data.flight._replace(layout=laid)
    return replace(data, level=data.level._replace(flight=flight), strength=data.strength._replace(layout=laid))


def _unlisted_mass(study: Study, data: ModelData) -> UnlistedMass:
    """Return the flying weight minus all listed parts, placed to match the measured balance.

    If it is a little below zero, the scale and the list differ by their own errors: it is kept as it is, and does not
    grow. Raises StudyContradicted if the listed parts weigh more than the wing.
    """
    choice = stock_choice(study)
    stock = data.layout.stock
    zero = np.zeros(())
    drawn = layout.StretchedWing(
        data.layout,
        layout.WingChoice(zero, zero + stock.sweep, zero + stock.washout, choice.rod_diameter, choice.rod_pairs),
    )
    parts = layout.design_lumps(drawn, movable_range(study)[0])
    pack = pack_mass(data.layout.cell_mass, choice.series * choice.parallel)
    share, second = data.layout.second_pack
    packs = mass.Lump(pack, pack * ((1 - share) * study.pack.from_nose + second))
    listed = mass.total_lump([*parts.lumps.values(), packs])
    weight, balance = study.stock.flying_weight, study.stock.balance_from_nose
    missing = weight - float(listed.mass)
    if missing < -0.005 * weight:
        raise contradiction(
            study,
            ("stock", "flying_weight"),
            f"is {with_unit(weight, 'g')}, but foam, covering, rods and listed parts come to "
            f"{with_unit(float(listed.mass), 'g')}. Weigh the wing again, or take parts off the list.",
        )
    in_stock = mass.Lump(missing, weight * balance - float(listed.moment))
    surface, joints = (mass.Lump(float(one.mass), float(one.moment)) for one in parts.glued)
    return split_unlisted(in_stock, surface, joints, study.stock.not_listed_by_area, study.stock.not_listed_by_joints)


@dataclass(frozen=True)
class CalibratedWing:
    """The stock wing with the model calibrated by its measurements."""

    unlisted: UnlistedMass
    choice: Choice
    variables: dict[str, float]  # all except the cruise speed
    trim: TrimCalibration
    drag: DragCalibration | None
    load: StiffnessCalibration | None
    speed_sweep: SpeedSweep

    @property
    def moment_offset(self) -> float:
        """Offset added to the section's moment coefficient. [-]"""
        return self.trim.offset

    @property
    def factors(self) -> BuiltFactors:
        """Factors on what the wing loses as built, over those of the study, from a known flight. [-]"""
        return self.drag.factors if self.drag else CLEAN

    @property
    def stiffness_factors(self) -> tuple[float, float]:
        """Factors on the stiffness in bending and in torsion. [-]"""
        return self.load.factors if self.load else (1.0, 1.0)

    @property
    def strength_factor(self) -> float:
        """Factor on the strength: 1, because no measurement of a fit depends on it. [-]"""
        return 1.0

    @property
    def flown(self) -> FlownLimits:
        """Bounds on weak materials: none, because no measurement of a fit depends on them."""
        return FlownLimits()


def calibrated_wing(study: Study, speed: float | None = None) -> CalibratedWing:
    """Return the stock wing calibrated by weight, balance, load test, trim and known flight.

    ``speed`` [m/s] is an estimate of the best cruise speed. It saves a wide search. Raises StudyContradicted if the
    measurements contradict the physics.
    """
    listed = _as_stock(model_data(study, NOTHING_UNLISTED))
    unlisted = _unlisted_mass(study, listed)
    data = _with_layout(listed, listed.layout._replace(unlisted=unlisted))
    choice, variables = stock_choice(study), _stock_variables(study, data)
    # the fitted factors of a study already include its known flight and load test
    known = None if study.fitted else study.known_flight
    load = None if study.fitted else stiffness_calibration(study, data.strength, choice, variables)
    if load:
        data = replace(data, strength=with_stiffness_factors(data.strength, load.factors))
    trimmed = study.stock.up_elevon is not None
    plain = SpeedSweep(data, choice, variables)
    if known:  # three times the tolerance if the trim is still to be calibrated
        check_known_flight(study, known, plain, (3 if trimmed else 1) * SPEED_SLACK)
    trim, balanced = trim_calibration(study, plain, speed)
    drag = None
    if known:
        if trimmed:
            check_known_flight(study, known, balanced)
        drag = drag_calibration(study, known, balanced)
    losses = drag.factors if drag else CLEAN
    sweep = balanced.with_losses(with_moment_and_losses(data, trim.offset, losses))
    return CalibratedWing(unlisted, choice, variables, trim, drag, load, sweep)


def anchor_of(study: Study, speed: float | None = None) -> Anchor:
    """Return the anchor of a study. Raises StudyContradicted if the measurements contradict the physics.

    ``speed`` [m/s] has the same meaning as in `calibrated_wing`.
    """
    try:
        wing = calibrated_wing(study, speed)
        stall = wing.speed_sweep.stall().speed
    except NeverFlies as error:
        raise contradiction(
            study,
            ("stock",),
            "does not fly: the model finds no speed without a stall somewhere. Measure stock.washout, stock.up_elevon, "
            "stock.flying_weight and stock.balance_from_nose again.",
        ) from error
    sweep, trim, drag, load = wing.speed_sweep, wing.trim, wing.drag, wing.load
    cruise_speed, purpose = trim.speed, study.fly.purpose
    if study.known_flight:
        cruise_speed = best_speed_near(sweep, purpose, speed) if speed else best_speed(sweep, purpose)
    _refuse_too_little_thrust(study, sweep, cruise_speed)
    strong = strength_calibration(study, sweep.cruising_at(cruise_speed))
    if strong:
        sweep = SpeedSweep(with_strength_factor(sweep.data, strong.factor), wing.choice, wing.variables)
    flown = flown_limits(study, sweep.cruising_at(cruise_speed))
    sweep = SpeedSweep(with_flown_limits(sweep.data, flown), wing.choice, wing.variables)
    reference = stock_reference(sweep.cruising_at(cruise_speed), stall)
    return Anchor(
        unlisted=wing.unlisted,
        reference=reference,
        choice=wing.choice,
        variables=wing.variables | {"cruise_speed": cruise_speed},
        data=_with_limit_speeds(sweep.data, slowest_speed(study, reference)[0], least_control_speed(study, reference)),
        flags=(
            *_mass_flags(study, wing.unlisted.in_stock),
            *(drag.flags if drag else ()),
            *_trim_flags(trim),
            *(load.flags if load else ()),
            *(strong.flags if strong else ()),
            *_strength_flags(reference),
        ),
        moment_offset=wing.moment_offset,
        factors=wing.factors,
        stiffness_factors=wing.stiffness_factors,
        strength_factor=strong.factor if strong else 1.0,
        flown=flown,
        calibration=(
            *calibration_rows(study, wing.unlisted.in_stock, trim, drag, sweep),
            *stiffness_rows(load),
            *((strong.row(),) if strong else ()),
        ),
        not_measured=(*not_measured(study, trim, drag), *(() if study.fitted else stiffness_not_measured(load))),
    )


def _refuse_too_little_thrust(study: Study, stock: SpeedSweep, speed: float) -> None:
    """Raise StudyContradicted if full throttle does not hold the stock wing in level flight near its cruise [m/s]."""
    slow = speed / (1 + SPEED_SLACK)
    if stock.surplus_thrust(slow)[0] < 0:
        thrust, drag = float(stock.full_throttle(slow).shaft.thrust[0]), float(stock.drag(slow)[0])
        raise contradiction(
            study,
            ("motor",),
            f"cannot keep the stock wing in the air: at {with_unit(slow, 'km/h')} full throttle gives "
            f"{with_unit(thrust, 'N', 1)} and the drag is {with_unit(drag, 'N', 1)}. Check motor.speed_constant, "
            "motor.resistance, motor_test, propeller.size and pack.series.",
        )


def stock_reference(stock: SpeedSweep, stall: float) -> StockReference:
    """Return the reference values of the stock wing.

    ``stock`` is at its cruise speed; ``stall`` is the stall speed [m/s].
    """
    flow, structure, thrown = stock.evaluation.flow, stock.evaluation.structure, stock.evaluation.launch
    servo = stock.evaluation.servo
    return StockReference(
        static_margin=stock.variables["static_margin"],
        elevon=float(flow.trimmed.elevon[CRUISE]),
        stall_speed=stall,
        failure_load_factor=float(structure.failure_load_factor[PULL_UP]),
        utilisation=structure.utilisation,
        fin_volume=float(stock.evaluation.balance.fin_volume),
        yaw_stiffness=float(flow.lateral.yaw_stiffness),
        roll_per_metre=float(flow.lateral.roll_per_metre),
        twist_off_share=float(flow.twist_effects.twist_off_share),
        servo_load=None if servo is None else float(servo.servo_load.max()),
        tips_left=float(stock.evaluation.stall.tips_left),
        launch_height_left=None if thrown is None else float(thrown.launch_height_left),
        control_speed=soft_wing.roll_control_speed(
            stock.data.flight, stock.air, elastic_wing.compliance(*stock.wings.half)
        ),
    )


def _mass_flags(study: Study, unlisted: mass.Lump) -> list[str]:
    flags = []
    if unlisted.mass > _MOST_UNLISTED * study.stock.flying_weight:
        flags.append(f"{with_unit(unlisted.mass, 'g')} of the stock wing is not on the list of parts")
    if unlisted.mass > 1e-4:
        place = unlisted.moment / unlisted.mass
        length = study.stock.root_chord + study.elevon.root_chord
        if not -0.3 * length < place < 1.5 * length and unlisted.mass > 0.01 * study.stock.flying_weight:
            flags.append(
                f"the {with_unit(unlisted.mass, 'g')} not listed would have to sit {with_unit(place, 'mm')} "
                "from the nose to match the balance: check the places of the heavy parts"
            )
    return flags


def _trim_flags(trim: TrimCalibration) -> list[str]:
    if abs(trim.offset) <= MOST_OFFSET:
        return []
    return [
        f"the measured trim asks for a pitching moment {trim.offset:+.3f} off the section's own: check "
        "stock.up_elevon, stock.washout and stock.balance_from_nose"
    ]


def _strength_flags(reference: StockReference) -> list[str]:
    flags = []
    for name, used in zip(trimmed_flight.LOAD_CONDITIONS, reference.utilisation, strict=True):
        if used > 1 / SAFETY_FACTOR:
            flags.append(
                f"by these numbers the stock wing uses {with_unit(used, '%')} of its strength in the "
                f"{name.replace('_', ' ')}, where a safety factor of 1.5 asks for 67 %: the stretched wing is "
                + ("limited to 100 %, which the stock wing itself exceeds" if used > 1 else "limited to that")
            )
    return flags


def _stock_variables(study: Study, data: ModelData) -> dict[str, float]:
    """Return the stock wing's variables without its cruise speed, which is known only after calibration."""
    stock = data.layout.stock
    zero = np.zeros(())
    solution = trimmed_flight.unit_solution(data.flight, zero, zero + stock.sweep, zero + stock.washout)
    neutral = float(-solution.unit.moment_volume[1] / solution.unit.lift_area[1])
    chord = float(solution.areas.mean_aerodynamic_chord)
    margin = (neutral - study.stock.balance_from_nose) / chord
    if margin <= 0:
        raise contradiction(
            study,
            ("stock", study.stock.balance_key),
            f"puts the balance {with_unit(study.stock.balance_from_nose, 'mm')} behind the nose, and the wing "
            f"behind its neutral point at {with_unit(neutral, 'mm')}. A wing that flies cannot do that: measure the "
            "balance, stock.tip_set_back and the chords again.",
        )
    return {
        "extension": 0.0,
        "sweep": float(stock.sweep),
        "washout": stock.washout,
        "tip_chord": stock.tip_chord,
        "static_margin": margin,
        "equipment_position": movable_range(study)[0],
    }


def stretched_data(study: Study, anchor: Anchor, choice: Choice, slowest: float) -> ModelData:
    """Return the model's data of stretched wings for one choice, with all factors of the calibration.

    ``slowest`` is the speed at which no strip may stall. [m/s]
    """
    return calibrated_data(study, anchor, choice, slowest, least_control_speed(study, anchor.reference))


def calibrated_data(
    study: Study, calibration: Anchor | CalibratedWing, choice: Choice, slowest: float, control_speed: float
) -> ModelData:
    """Return the same data as `stretched_data`.

    ``control_speed`` [m/s] is the speed up to which elevons must keep control.
    """
    made = study_with_choice(study, choice)
    data = model_data(made, calibration.unlisted, choice.propeller, bay_follows=bool(choice.layout))
    factors = with_flown_parts(study, calibration.factors, choice)
    data = with_moment_and_losses(data, calibration.moment_offset, factors)
    data = replace(data, strength=with_stiffness_factors(data.strength, calibration.stiffness_factors))
    data = with_flown_limits(with_strength_factor(data, calibration.strength_factor), calibration.flown)
    return _with_limit_speeds(data, slowest, control_speed)


def _with_limit_speeds(data: ModelData, slowest: float, control_speed: float) -> ModelData:
    """Return a model's data with the two speeds [m/s] that limits use.

    No strip may stall at ``slowest``, and elevons must keep control up to ``control_speed``.
    """
    flight = data.flight._replace(slowest_speed=slowest, control_speed=control_speed)
    return replace(data, level=data.level._replace(flight=flight))
