"""Tie the model to the wing that flies, and make what it does the yardstick for the rest.

Visible factors: mass not listed, placed to match weight and balance; a pitching-moment offset, to match the elevon in
cruise; a factor on section and parts drag, from one known flight; factors on the stiffness in bending and in torsion,
from a load test. All of them stay as the wing is stretched.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tradestudy.aircraft.model.choices import Choice, study_with_choice
from tradestudy.aircraft.model.limit_bounds import CRUISE, PULL_UP, StockReference, least_control_speed, slowest_speed
from tradestudy.aircraft.model.model_data import ModelData, model_data, movable_range
from tradestudy.aircraft.model.speed_sweep import NeverFlies, SpeedSweep, best_speed, best_speed_near
from tradestudy.errors import RunFailed
from tradestudy.physics.aeroelastic import elastic_wing
from tradestudy.physics.flight import control as soft_wing
from tradestudy.physics.flight import layout, trimmed_flight
from tradestudy.physics.structure.wing_beam import SAFETY_FACTOR
from tradestudy.physics.weights import mass
from tradestudy.physics.weights.pack_dimensions import pack_mass
from tradestudy.quantities import with_unit
from tradestudy.results.inputs import CalibrationRow
from tradestudy.study.schema.study import Study

from .calibration_table import TrimCalibration, calibration_rows, load_rows, not_measured, stiffness_not_measured
from .drag_calibration import SPEED_SLACK, DragCalibration, check_known_flight, drag_calibration, known_flight_speed
from .stiffness_calibration import StiffnessCalibration, stiffness_calibration, with_stiffness_factors

MOST_UNLISTED = 0.35  # of the flying weight; more than this and the list of parts cannot be trusted: a flag
SURELY_FLOWN = 2.0  # load factor that every launch and turn asks for; common practice, no source
MOST_ELEVON = np.radians(25)  # in cruise; further and the elevon stalls; common practice, no source
MOST_OFFSET = 0.03  # of the moment coefficient: worth about 4 deg of elevon on a common wing; more gets a flag
TRIM_ROUNDS = 2  # of best speed and offset in turn, each as good as still with the other: speeds agree to 0.1 km/h


@dataclass(frozen=True)
class Anchor:
    """The stock wing as the model sees it once it agrees with what was measured."""

    unlisted: mass.Lump
    reference: StockReference
    choice: Choice
    variables: dict[str, float]
    data: ModelData
    flags: tuple[str, ...]
    moment_offset: float  # added to the section's moment coefficient [-]
    drag_factor: float  # on section and parts drag [-]
    stiffness_factors: tuple[float, float]  # on the stiffness in bending and in torsion [-]
    calibration: tuple[CalibrationRow, ...]  # measured against modelled
    not_measured: tuple[str, ...]  # what was not measured or cannot be told apart


def stock_choice(study: Study) -> Choice:
    """Return what the stock wing flies with today."""
    rods = study.rods[0] if study.rods else None
    return Choice(
        study.pack.series,
        study.pack.parallel,
        rods.diameter if rods else 0.001,
        rods.pairs if rods else 0,
        study.propeller.size,
    )


def _as_stock(data: ModelData) -> ModelData:
    """The model's data for the wing as it is: fins kept. The scheme stays, so that stock and stretched wing share
    their strips and what a mesh does to one it does to the other."""
    laid = data.layout._replace(keep="set_back", fins_rule="keep")
    flown = data.flight._replace(layout=laid)
    return replace(data, level=data.level._replace(flight=flown), strength=data.strength._replace(layout=laid))


def unlisted_mass(study: Study, data: ModelData) -> mass.Lump:
    """Return the mass that the scale finds and the list of parts does not, placed to match the balance.

    Raises RunFailed when the listed parts weigh more than the wing does.
    """
    choice = stock_choice(study)
    stock = data.layout.stock
    zero = np.zeros(())
    found, *_ = layout.design_lumps(
        data.layout,
        zero,
        zero + stock.sweep,
        zero + stock.washout,
        choice.rod_diameter,
        choice.rod_pairs,
        movable_range(study)[0],
    )
    pack = pack_mass(data.layout.cell_mass, choice.series * choice.parallel)
    listed = mass.total_lump([*found.values(), mass.Lump(pack, pack * study.pack.from_nose)])
    weight, balance = study.stock.flying_weight, study.stock.balance_from_nose
    missing = weight - float(listed.mass)
    if missing < -0.005 * weight:
        raise RunFailed(
            f"{study.path}: foam, covering, rods and listed parts come to {with_unit(float(listed.mass), 'g')}, but "
            f"stock.flying_weight says {with_unit(weight, 'g')}. Weigh the wing again, or take parts off the list."
        )
    return mass.Lump(missing, weight * balance - float(listed.moment))


@dataclass(frozen=True)
class CalibratedWing:
    """The stock wing with the model tied to what was measured of it."""

    unlisted: mass.Lump
    choice: Choice
    variables: dict[str, float]  # all but the cruise speed
    trim: TrimCalibration
    drag: DragCalibration | None
    load: StiffnessCalibration | None
    speed_sweep: SpeedSweep

    @property
    def drag_factor(self) -> float:
        """On section and parts drag [-]."""
        return float(self.speed_sweep.data.level.drag_factor)

    @property
    def stiffness_factors(self) -> tuple[float, float]:
        """On the stiffness in bending and in torsion [-]."""
        return self.load.factors if self.load else (1.0, 1.0)


def calibrated_wing(study: Study, speed: float | None = None) -> CalibratedWing:
    """Return the stock wing tied to weight, balance, load test, trim and known flight.

    ``speed`` [m/s] is where the best cruise speed likely lies, which saves looking far for it. Raises RunFailed where
    the measured wing contradicts the physics.
    """
    unlisted = unlisted_mass(study, _as_stock(model_data(study, mass.Lump(0.0, 0.0))))
    own = _as_stock(model_data(study, unlisted))
    choice, variables, known = stock_choice(study), _stock_variables(study, own), study.known_flight
    if study.fitted:  # it has taken up what flight and load test say
        trim = _trim_calibration(study, own, choice, variables, speed)
        flown = SpeedSweep(_tied(own, trim.offset, study.fitted.drag), choice, variables)
        return CalibratedWing(unlisted, choice, variables, trim, None, None, flown)
    load = stiffness_calibration(study, own.strength, choice, variables)
    if load:
        own = replace(own, strength=with_stiffness_factors(own.strength, load.factors))
    trimmed = study.stock.up_elevon is not None
    if known:  # far off first where a trim follows: at a speed that cannot be flown it would say nothing
        check_known_flight(study, known, SpeedSweep(own, choice, variables), (3 if trimmed else 1) * SPEED_SLACK)
    trim = _trim_calibration(study, own, choice, variables, speed)
    data, drag = _tied(own, trim.offset, 1.0), None
    if known:
        balanced = SpeedSweep(data, choice, variables)
        if trimmed:
            check_known_flight(study, known, balanced)
        drag = drag_calibration(known, balanced)
        data = _tied(own, trim.offset, drag.factor)
    return CalibratedWing(unlisted, choice, variables, trim, drag, load, SpeedSweep(data, choice, variables))


def anchor_of(study: Study, speed: float | None = None) -> Anchor:
    """Return the anchor of a study. Raises RunFailed where the measured wing contradicts the physics.

    ``speed`` [m/s] as for `calibrated_wing`.
    """
    try:
        wing = calibrated_wing(study, speed)
        stall = wing.speed_sweep.stall().speed
    except NeverFlies as error:
        raise RunFailed(
            f"{study.path}: the model finds no speed at which the stock wing flies without stalling somewhere. Measure "
            "stock.washout, stock.up_elevon, stock.flying_weight and stock.balance_from_nose again."
        ) from error
    unlisted, choice, variables, trim, drag, load, flown = (
        getattr(wing, name) for name in ("unlisted", "choice", "variables", "trim", "drag", "load", "speed_sweep")
    )
    variables["cruise_speed"] = trim.speed
    if study.known_flight:
        purpose = study.fly.purpose
        variables["cruise_speed"] = best_speed_near(flown, purpose, speed) if speed else best_speed(flown, purpose)
    reference = stock_reference(flown.cruising_at(variables["cruise_speed"]), stall)
    data = _held_at(flown.data, slowest_speed(study, reference)[0], least_control_speed(study, reference))
    flags = (
        *_mass_flags(study, unlisted),
        *_tie_flags(trim, drag),
        *(load.flags if load else ()),
        *_strength_flags(reference),
    )
    return Anchor(
        unlisted,
        reference,
        choice,
        variables,
        data,
        flags,
        trim.offset,
        wing.drag_factor,
        wing.stiffness_factors,
        (*calibration_rows(study, unlisted, trim, drag, flown), *load_rows(load)),
        (*not_measured(study, trim, drag), *(() if study.fitted else stiffness_not_measured(load))),
    )


def _tied(data: ModelData, moment_offset: float, drag_factor: float) -> ModelData:
    """Return a model's data with the section's moment shifted and section and parts drag scaled."""
    flown = data.flight
    camber = flown.camber._replace(moment_coefficient=flown.camber.moment_coefficient + moment_offset)
    return replace(data, level=data.level._replace(flight=flown._replace(camber=camber), drag_factor=drag_factor))


def _trim_calibration(
    study: Study, own: ModelData, choice: Choice, variables: dict[str, float], likely: float | None = None
) -> TrimCalibration:
    """Return the moment offset at which the stock wing trims with the elevon that was measured.

    At the speed of the known flight, else at the one that serves the study's purpose best (near ``likely``
    [m/s] if that is known). Elevon is linear in the offset, so two evaluations tell it. Raises RunFailed for an elevon
    that no wing cruises with.
    """
    measured, known = study.stock.up_elevon, study.known_flight
    chord = own.layout.stock.elevon_chord
    if measured is not None and abs(measured) > chord * np.sin(MOST_ELEVON):
        raise RunFailed(
            f"{study.path}: stock.up_elevon says {with_unit(measured, 'mm', 1)} at an elevon {with_unit(chord, 'mm')} "
            f"deep, more than {with_unit(MOST_ELEVON, 'deg')}: no wing cruises so. Measure it at the trailing edge, "
            "from the section's own line."
        )

    def elevon(offset: float, speed: float) -> float:
        return float(SpeedSweep(_tied(own, offset, 1.0), choice, variables).level(speed).elevon[0])

    given = known_flight_speed(known) if known else likely if measured is None else None
    offset, speed = 0.0, given or 0.0
    for _ in range(1 if given or measured is None else TRIM_ROUNDS):
        if not given:
            flown = SpeedSweep(_tied(own, offset, 1.0), choice, variables)
            speed = (
                best_speed_near(flown, study.fly.purpose, likely) if likely else best_speed(flown, study.fly.purpose)
            )
        if measured is not None:
            at_none, at_most = elevon(0.0, speed), elevon(MOST_OFFSET, speed)
            offset = MOST_OFFSET * (-np.arcsin(measured / chord) - at_none) / (at_most - at_none)
    before, after = elevon(0.0, speed), elevon(offset, speed)
    if abs(after) > MOST_ELEVON:
        raise RunFailed(
            f"{study.path}: to cruise at {with_unit(speed, 'km/h')} the stock wing would need "
            f"{with_unit(abs(after), 'deg')} of {'up' if after < 0 else 'down'}-elevon, and no wing cruises with "
            f"more than {with_unit(MOST_ELEVON, 'deg')}. Measure stock.washout and stock.balance_from_nose again, "
            "check stock.airfoil, or say in stock.up_elevon what the wing flies with."
        )
    return TrimCalibration(float(offset), speed, *(-chord * float(np.sin(angle)) for angle in (before, after)))


def stock_reference(flown: SpeedSweep, stall: float) -> StockReference:
    """Return the yardstick that a stock wing in cruise is, which stalls at ``stall`` [m/s]."""
    data = flown.data
    flow, structure = flown.evaluation.flow, flown.evaluation.structure
    return StockReference(
        static_margin=flown.variables["static_margin"],
        elevon=float(flow.trimmed.elevon[CRUISE]),
        stall_speed=stall,
        failure_load_factor=float(structure.failure_load_factor[PULL_UP]),
        utilisation=structure.utilisation,
        deflection_share=float(structure.deflection_share[PULL_UP]),
        fin_volume=float(flown.evaluation.balance.fin_volume),
        yaw_stiffness=float(flow.lateral.yaw_stiffness),
        roll_per_metre=float(flow.lateral.roll_per_metre),
        twist_off_share=float(flow.twist_effects.twist_off_share),
        control_speed=soft_wing.roll_control_speed(
            data.flight, flown.solution.air, elastic_wing.compliance(*flown.wings.half)
        ),
    )


def _mass_flags(study: Study, unlisted: mass.Lump) -> list[str]:
    flags = []
    if unlisted.mass > MOST_UNLISTED * study.stock.flying_weight:
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


def _tie_flags(trim: TrimCalibration, drag: DragCalibration | None) -> list[str]:
    flags = list(drag.flags) if drag else []
    if abs(trim.offset) > MOST_OFFSET:
        flags.append(
            f"the measured trim asks for a pitching moment {trim.offset:+.3f} off the section's own: check "
            "stock.up_elevon, stock.washout and stock.balance_from_nose"
        )
    return flags


def _strength_flags(reference: StockReference) -> list[str]:
    flags = []
    if reference.failure_load_factor < SURELY_FLOWN:
        flags.append(
            f"by these numbers the stock wing breaks at {reference.failure_load_factor:.1f} g, which it has "
            "surely flown: its centre is stronger than assumed (floor, hatch, joiner, rods not listed). "
            "Compare load factors of two wings, do not trust them by themselves"
        )
    for name, used in zip(trimmed_flight.LOAD_CONDITIONS, reference.utilisation, strict=True):
        if used > 1 / SAFETY_FACTOR:
            flags.append(
                f"by these numbers the stock wing uses {with_unit(used, '%')} of its strength in the "
                f"{name.replace('_', ' ')}, where a safety factor of 1.5 asks for 67 %: the stretched wing is "
                + (
                    "held to 100 %, which the stock wing itself does not keep"
                    if used > 1
                    else "held to no more than that"
                )
            )
    return flags


def _stock_variables(study: Study, data: ModelData) -> dict[str, float]:
    """The stock wing's variables but its cruise speed, which is not known before the model is tied."""
    stock = data.layout.stock
    zero = np.zeros(())
    found = trimmed_flight.unit_solution(data.flight, zero, zero + stock.sweep, zero + stock.washout)
    neutral = float(-found.unit.moment_volume[1] / found.unit.lift_area[1])
    chord = float(found.areas.mean_aerodynamic_chord)
    margin = (neutral - study.stock.balance_from_nose) / chord
    if margin <= 0:
        raise RunFailed(
            f"{study.path}: the stock wing balances at {with_unit(study.stock.balance_from_nose, 'mm')}, which is "
            f"behind its neutral point at {with_unit(neutral, 'mm')}. A wing that flies cannot do that: measure "
            "stock.balance_from_nose, stock.tip_set_back and the chords again."
        )
    return {
        "extension": 0.0,
        "sweep": float(stock.sweep),
        "washout": stock.washout,
        "static_margin": margin,
        "equipment_position": movable_range(study)[0],
    }


def stretched_data(study: Study, anchor: Anchor, choice: Choice, slowest: float) -> ModelData:
    """Return the stretched wing's data for one choice's make, the slowest-flight speed put in place of launch.

    What ties the model to the stock wing comes along: mass, moment offset, drag and stiffness factors.
    """
    return calibrated_data(
        study, anchor, anchor.moment_offset, choice, slowest, least_control_speed(study, anchor.reference)
    )


def calibrated_data(
    study: Study,
    ties: Anchor | CalibratedWing,
    moment_offset: float,
    choice: Choice,
    slowest: float,
    control: float | None = None,
) -> ModelData:
    """Return the stretched wing's data as `stretched_data` does, from what ties the model to the stock wing."""
    data = _tied(
        model_data(study_with_choice(study, choice), ties.unlisted, choice.propeller), moment_offset, ties.drag_factor
    )
    data = replace(data, strength=with_stiffness_factors(data.strength, ties.stiffness_factors))
    return _held_at(data, slowest, control or data.flight.never_exceed_speed)


def _held_at(data: ModelData, slowest: float, control: float) -> ModelData:
    """Return a model's data with the speeds [m/s] at which nothing may stall, and up to which elevons must answer."""
    flown = data.flight._replace(launch_speed=slowest, control_speed=control)
    return replace(data, level=data.level._replace(flight=flown))
