"""At what speed a design may flutter, and how fast it had better not be flown: told for the wings a person builds.

Estimates with a wide band, never a clearance and never a limit of the search. Where the study tells of the servos,
what they hold bounds the advice too; where it tells how fast the stock wing has flown, the band starts above it.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.anchor.calibration import stock_choice
from tradestudy.aircraft.model.model_data import movable_range
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.aeroelastic import (
    divergence_reversal,
    elastic_wing,
    flutter,
    never_exceed,
    vibration,
    wing_flutter,
)
from tradestudy.physics.aeroelastic.wing_flutter import VibratingWing
from tradestudy.physics.flight import control as soft_wing
from tradestudy.physics.flight import layout, strength
from tradestudy.physics.geometry import planform
from tradestudy.physics.weights import mass
from tradestudy.quantities import at_edge, from_edge
from tradestudy.study.schema.study import Study

REASONS = {
    "roll control lost": "roll control fades",
    "twist-off": "it twists off",
    "flutter, low end of its band": "it may flutter",
    "servo torque": "the servos no longer hold full elevon",
}
BODY_RADIUS = 0.08  # of gyration in pitch of what sits at the middle [m]; common practice, no source


def flutter_numbers(
    study: Study,
    flown: SpeedSweep,
    weak: strength.StrengthData,
    centre_of_gravity: float,
    held: dict[str, float | None],
    servo_speed: float | None = None,
) -> dict[str, Any]:
    """Return frequencies [Hz], flutter band [km/h], the speed not to exceed and what sets it, as `result.KEYS`.

    ``weak``: the structure with weak materials; ``held``: `control.Control.numbers` [km/h]; ``servo_speed`` [km/h],
    where known. None stands for a speed that was not found. The advice is that of the likely wing, with the one of
    weak materials beside: stacked on each other, weak materials bound a proven wing to little more than its cruise.
    """
    likely, band = _flutter(flown, weak, centre_of_gravity)
    if study.fly.fastest_flown is not None:
        _, today = _flutter(_stock(study, flown), weak, study.stock.balance_from_nose)
        band = flutter.band_after_flight(band, today.likely, study.fly.fastest_flown)
    torque = None if servo_speed is None else from_edge("servo_speed_kmh", servo_speed)
    advice, cautious = (
        never_exceed.never_exceed(
            _speed(held[f"roll_reversal{bond}_kmh"]), _speed(held["twist_off_kmh"]), speed, torque
        )
        for bond, speed in (("", band.likely), ("_weak", band.low))
    )
    # bending and twist swing together on these wings: the two lowest, whatever they are made of
    slow, quick = vibration.natural_frequencies(vibration.clamped_modes(likely.sections))[:2]
    numbers = at_edge(
        natural_frequency_hz=slow / (2 * np.pi),
        second_natural_frequency_hz=quick / (2 * np.pi),
        flutter_low_kmh=band.low,
        flutter_kmh=band.likely,
        flutter_high_kmh=band.high,
        advised_speed_kmh=advice.speed,
        advised_speed_weak_kmh=cautious.speed,
    )
    return {name: round(float(value), 2) if np.isfinite(value) else None for name, value in numbers.items()} | {
        "advised_speed_why": REASONS[advice.reasons[0].reason] if np.isfinite(advice.speed) else ""
    }


def _stock(study: Study, flown: SpeedSweep) -> SpeedSweep:
    """The wing as it flies today, by the same data as the design's."""
    stock = flown.data.layout.stock
    return SpeedSweep(
        flown.data,
        stock_choice(study),
        {
            "extension": 0.0,
            "sweep": stock.sweep,
            "washout": stock.washout,
            "static_margin": 0.0,
            "equipment_position": movable_range(study)[0],
        },
    )


def _flutter(
    flown: SpeedSweep, weak: strength.StrengthData, centre_of_gravity: float
) -> tuple[VibratingWing, flutter.FlutterBand]:
    """The likely half wing as it swings, and when it flutters."""
    likely, weakest = (_swinging(flown, beam) for beam in (flown.built, flown.built_as(weak)))
    half = 0.5 * float(flown.shape.all_up_mass)
    wing_mass, wing_moment = _half_wing(flown)
    rest = half - wing_mass
    body = wing_flutter.HalfBody(rest, (half * centre_of_gravity - wing_moment) / rest, BODY_RADIUS)
    return likely, wing_flutter.wing_flutter(likely, weakest, body, flown.data.flight.air_density).speed


def _speed(kmh: float | None) -> float:
    return np.inf if kmh is None else from_edge("speed_kmh", kmh)


def _strips(flown: SpeedSweep):
    """Strip middles, and the masses of half a wing where each gram sits."""
    wing, laid, choice = flown.solution.wing, flown.data.layout, flown.choice
    beam, middle, *_ = flown.built
    edge, foam, elevon = planform.interpolated(wing, (wing.leading_edge, wing.foam_chord, wing.elevon_chord), middle)
    linear, moment = np.zeros_like(middle), np.zeros_like(middle)
    for run, _, _, per_length in layout.chosen_rods(laid, choice.rod_diameter, choice.rod_pairs):
        here = (middle > run.inner_end) & (middle < layout.rod_outer_end(run, laid.stock, wing))
        place = edge + run.fraction_at(middle, layout.rod_outer_end(run, laid.stock, wing)) * foam
        along = here * per_length * np.hypot(1.0, np.gradient(place, middle))  # rods lie along the sweep
        linear, moment = linear + along, moment + along * place
    rod_x = np.where(linear > 0, moment / np.where(linear > 0, linear, 1.0), 0.0)
    return middle, wing_flutter.strip_inertia(
        laid.materials,
        np.diff(beam.station_y),
        edge,
        foam,
        elevon,
        linear,
        rod_x,
        mass.section_share(wing, laid.materials, middle),
    )


def _half_wing(flown: SpeedSweep) -> tuple[float, float]:
    """Mass [kg] of half a wing with its fins, and its moment about the nose datum [kg m]."""
    _, strips = _strips(flown)
    tip_mass, tip_x = (float(value) for value in flown.built[4:6])
    return float(strips.mass.sum()) + tip_mass, float(strips.mass @ strips.x) + tip_mass * tip_x


def _swinging(flown: SpeedSweep, built) -> VibratingWing:
    wing = flown.solution.wing
    middle, strips = _strips(flown)
    beam, tip_mass, tip_x = built[0], built[4], built[5]
    edge, chord = planform.interpolated(wing, (wing.leading_edge, wing.chord), beam.station_y)
    slope = float(flown.solution.unit.lift_area[1] / flown.solution.areas.area)
    axis = (beam.axis_x[-1] - beam.axis_x[0]) / (beam.station_y[-1] - beam.station_y[0])
    return wing_flutter.vibrating_wing(
        beam, edge, chord, middle, strips, tip_mass, tip_x, lift_share=slope / (2 * np.pi * np.cos(np.arctan(axis)))
    )


SHARES = (1.0, soft_wing.LOOSE_BOND)  # of what the covering carries: nominal and weak


class Control(NamedTuple):
    """Curves over airspeed [-], nominal then weak bond: (2, n_speed); and where things end [km/h], None where never."""

    roll: np.ndarray
    pitch: np.ndarray
    numbers: dict[str, float | None]

    @property
    def rounded(self) -> dict[str, float | None]:
        """The numbers to a hundredth of a km/h."""
        return {name: None if value is None else round(value, 2) for name, value in self.numbers.items()}


def control(flown: SpeedSweep, speed: np.ndarray) -> Control:
    """Return what is left of the stiff wing's control at airspeeds (n_speed,) [m/s], and where it ends."""
    data, air = flown.data.flight, flown.solution.air
    soft = elastic_wing.compliances(SHARES, *flown.built)
    pressure = 0.5 * data.air_density * speed**2
    left = [divergence_reversal.elastic_effects(air, one, pressure) for one in soft]
    ends = [divergence_reversal.critical_speeds(air, one, data.air_density) for one in soft]
    numbers: dict[str, Any] = {}
    for name, one, end in zip(("", "_weak"), soft, ends, strict=True):
        numbers[f"control_speed{name}_kmh"] = soft_wing.roll_control_speed(data, air, one)
        numbers[f"roll_reversal{name}_kmh"] = end.roll_reversal
    numbers["pitch_reversal_kmh"], numbers["twist_off_kmh"] = ends[0].pitch_reversal, ends[0].twist_off
    return Control(
        np.array([one.roll_effectiveness for one in left]),
        np.array([one.pitch_effectiveness for one in left]),
        at_edge(**{name: value if np.isfinite(value) else None for name, value in numbers.items()}),
    )
