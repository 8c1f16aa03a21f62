"""Control left when the wing twists, the flutter band of a design, and its advised never-exceed speed.

Flutter is an estimate with a wide band: never a clearance and never a limit of the search. If the study describes the
servos, the advised speed is also limited by the speed up to which they hold full elevon. If it gives the fastest speed
flown by the stock wing, the band starts above that.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.anchor.calibration import stock_choice
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.evaluation import pack_places
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.aircraft.shape.gear_items import movable_range
from tradestudy.physics.aeroelastic import (
    divergence_reversal,
    elastic_wing,
    flutter,
    never_exceed,
    vibration,
    wing_flutter,
)
from tradestudy.physics.aeroelastic.wing_flutter import VibratingWing
from tradestudy.physics.body import straight_rods
from tradestudy.physics.flight import control as soft_wing
from tradestudy.physics.flight import layout, room, strength
from tradestudy.physics.geometry import planform
from tradestudy.physics.weights import mass
from tradestudy.quantities import at_edge, from_edge
from tradestudy.results.numbers import DesignNumbers

REASONS = {
    "roll control lost": "roll control fades",
    "twist-off": "it twists off",
    "flutter, low end of its band": "it may flutter",
    "servo torque": "the servos no longer hold full elevon",
}
_BODY_RADIUS = 0.08  # radius of gyration in pitch of the masses at the middle [m]; common practice, no source


def flutter_numbers(
    design: EvaluatedDesign, control_limits: dict[str, float | None], servo_speed: float | None = None
) -> dict[str, Any]:
    """Return frequencies [Hz], flutter band [km/h], the advised speed and its reason, named as in `DesignNumbers`.

    ``control_limits`` are `ControlCurves.numbers` [km/h]. ``servo_speed`` [km/h] is None if unknown. A result of None
    means that no such speed exists. The advised speed is for nominal materials, since several weak materials at once
    would limit a proven wing to little more than its cruise. The speed for weak materials is returned as well.
    """
    study, weak = design.study, design.weak_strength[0]
    likely, band = _flutter(design, weak, float(design.evaluation.flow.trimmed.centre_of_gravity))
    if study.fly.fastest_flown is not None:
        _, stock_band = _flutter(_stock_wing(design), weak, study.stock.balance_from_nose)
        band = flutter.band_after_flight(band, stock_band.likely, study.fly.fastest_flown)
    torque = None if servo_speed is None else from_edge("servo_speed_kmh", servo_speed)
    advice, cautious = (
        never_exceed.never_exceed(
            _speed(control_limits[f"roll_reversal{bond}_kmh"]), _speed(control_limits["twist_off_kmh"]), speed, torque
        )
        for bond, speed in (("", band.likely), ("_weak", band.low))
    )
    flown = study.fly.fastest_flown or 0.0 if is_stock_wing(design) else 0.0  # the stock wing itself has done that much
    # on these wings bending and twist are coupled: take the two lowest frequencies of either
    slow, quick = vibration.natural_frequencies(vibration.clamped_modes(likely.sections))[:2]
    numbers = at_edge(
        natural_frequency_hz=slow / (2 * np.pi),
        second_natural_frequency_hz=quick / (2 * np.pi),
        flutter_low_kmh=band.low,
        flutter_kmh=band.likely,
        flutter_high_kmh=band.high,
        advised_speed_kmh=max(advice.speed, flown),
        advised_speed_weak_kmh=max(cautious.speed, flown),
    )
    return {name: round(float(value), 2) if np.isfinite(value) else None for name, value in numbers.items()} | {
        "advised_speed_why": REASONS[advice.reasons[0].reason] if np.isfinite(advice.speed) else ""
    }


def advice_flags(numbers: DesignNumbers) -> list[str]:
    """Return a sentence if the cruise of a wing is faster than its advised maximum speed.

    The search knows no flutter, so it may end at such a wing. Its range is then one that nobody should fly for.
    """
    advised, cruise = numbers.advised_speed_kmh, numbers.cruise_speed_kmh
    if advised is None or advised >= cruise:
        return []
    return [
        f"its cruise at {cruise:.0f} km/h is faster than its advised maximum speed of {advised:.0f} km/h, above which "
        f"{numbers.advised_speed_why}: do not count on that range. A joiner, rods across the centre, more rods or "
        "tougher film stiffen it; fly.fastest_flown counts what the stock wing has shown"
    ]


def _stock_wing(design: EvaluatedDesign) -> SpeedSweep:
    """Return the stock wing, with the data of the design."""
    stock = design.data.layout.stock
    variables = {
        "extension": 0.0,
        "sweep": stock.sweep,
        "washout": stock.washout,
        "tip_chord": stock.tip_chord,
        "static_margin": 0.0,
        "equipment_position": movable_range(design.study)[0],
    }
    return SpeedSweep(design.data, stock_choice(design.study), variables)


def is_stock_wing(design: EvaluatedDesign) -> bool:
    """Return whether a design is the stock wing, as heavy and as large as it was flown.

    A search that finds nothing better ends within rounding of it.
    """
    return design.keeps_panels and design.choice == stock_choice(design.study)


def _flutter(
    wing: SpeedSweep, weak: strength.StrengthData, centre_of_gravity: float
) -> tuple[VibratingWing, flutter.FlutterBand]:
    """Return the vibrating half wing with nominal materials, and its flutter band."""
    strips = _strip_inertia(wing)
    likely, weakest = (_vibrating(wing, half, strips) for half in (wing.wings.half, wing.half_wing_of(weak)))
    tip_mass, tip_x = float(wing.wings.half.tip_mass), float(wing.wings.half.tip_mass_x)
    wing_mass = float(strips.mass.sum()) + tip_mass
    wing_moment = float(strips.mass @ strips.x) + tip_mass * tip_x
    half_mass = 0.5 * float(wing.shape.all_up_mass)
    rest = half_mass - wing_mass
    body = wing_flutter.HalfBody(rest, (half_mass * centre_of_gravity - wing_moment) / rest, _BODY_RADIUS)
    return likely, wing_flutter.wing_flutter(likely, weakest, body, wing.data.flight.air_density).speed


def _speed(kmh: float | None) -> float:
    return np.inf if kmh is None else from_edge("speed_kmh", kmh)


def _strip_inertia(sweep: SpeedSweep):
    """Return the masses of the half wing and their places, strip by strip."""
    wing, laid = sweep.solution.wing, sweep.data.layout
    beam, middle, *_ = sweep.wings.half
    edge, foam, elevon = planform.interpolated(wing, (wing.leading_edge, wing.foam_chord, wing.elevon_chord), middle)
    share = mass.section_share(wing, laid.materials, middle)
    others = [*_rod_layers(sweep, middle), *_cut_layers(sweep, np.asarray(beam.station_y))]
    return wing_flutter.strip_inertia(laid.materials, np.diff(beam.station_y), edge, foam, elevon, share, others)


def _rod_layers(sweep: SpeedSweep, middle: np.ndarray) -> list[mass.Strip]:
    """Return the rods in strips with these middles [m], less the foam that they displace."""
    wing, laid, choice = sweep.solution.wing, sweep.data.layout, sweep.choice
    layers = []
    for rods in layout.chosen_rods(laid, choice.rod_diameter, choice.rod_pairs):
        line = layout.rod_line(laid, wing, rods)
        linear = rods.mass_per_length - laid.materials.foam_density * rods.displaced_area
        for one in (line, layout.transverse_line(rods, line)):
            if one is not None:
                here = (middle > one.inner_y) & (middle < one.outer_y)
                along = here * linear / straight_rods.cosine(one)  # mass per span
                layers.append(mass.Strip(along, straight_rods.x_at(one, middle), 0.0 * middle))
    return layers


def _cut_layers(sweep: SpeedSweep, station: np.ndarray) -> list[mass.Strip]:
    """Return the foam cut out of strips between these stations [m], as layers of negative mass."""
    wing, laid = sweep.solution.wing, sweep.data.layout
    one, density = np.ones(len(station) - 1), laid.materials.foam_density
    extension = wing.semi_span - laid.stock.semi_span
    boxes = room.cut_boxes(laid, float(pack_places(sweep.wings)))
    spans = [
        (max(box.from_centre - 0.5 * box.width, 0.0), box.from_centre + 0.5 * box.width, 0.5 * box.volume)
        + (box.place, box.length)
        for box in boxes
    ]
    for pocket, (y, x) in zip(laid.cuts.pockets, layout.pocket_places(laid, wing, extension), strict=True):
        spans.append((float(y) - 1e-3, float(y) + 1e-3, pocket.volume, float(x), 0.0))
    layers = []
    for start, end, volume, place, length in spans:
        covered = np.clip(station[1:], start, end) - np.clip(station[:-1], start, end)
        per_length = -density * volume / max(end - start, 1e-9) * covered / np.diff(station)
        layers.append(mass.Strip(per_length, place * one, length / 12**0.5 * one))
    return layers


def _vibrating(sweep: SpeedSweep, half: strength.HalfWing, strips) -> VibratingWing:
    wing, beam = sweep.solution.wing, half.beam
    edge, chord = planform.interpolated(wing, (wing.leading_edge, wing.chord), beam.station_y)
    slope = float(sweep.solution.unit.lift_area[1] / sweep.solution.areas.area)
    axis = (beam.axis_x[-1] - beam.axis_x[0]) / (beam.station_y[-1] - beam.station_y[0])
    return wing_flutter.vibrating_wing(
        beam,
        edge,
        chord,
        half.strip_y,
        strips,
        half.tip_mass,
        half.tip_mass_x,
        lift_share=slope / (2 * np.pi * np.cos(np.arctan(axis))),
    )


_COVERING_SHARES = (1.0, soft_wing.LOOSE_BOND)  # shares of the covering's stiffness: nominal and weak bond, at least


class ControlCurves(NamedTuple):
    """Share of control left over airspeed [-], of shape (2, n_speed): nominal bond, then weak bond.

    ``numbers`` holds critical speeds [km/h], None if there is none.
    """

    roll: np.ndarray
    pitch: np.ndarray
    numbers: dict[str, float | None]


def control_curves(sweep: SpeedSweep, speed: np.ndarray) -> ControlCurves:
    """Return the share of a rigid wing's control left at airspeeds (n_speed,) [m/s], and the critical speeds."""
    data, air = sweep.data.flight, sweep.air
    least = sweep.data.strength.least_covering  # the stock wing flies with no less
    shares = [max(share, least) for share in _COVERING_SHARES]
    soft = elastic_wing.compliances(shares, *sweep.wings.half)
    pressure = 0.5 * data.air_density * speed**2
    left = [divergence_reversal.elastic_effects(air, one, pressure) for one in soft]
    ends = [divergence_reversal.critical_speeds(air, one, data.air_density) for one in soft]
    numbers: dict[str, Any] = {}
    for name, one, end in zip(("", "_weak"), soft, ends, strict=True):
        numbers[f"control_speed{name}_kmh"] = soft_wing.roll_control_speed(data, air, one)
        numbers[f"roll_reversal{name}_kmh"] = end.roll_reversal
    numbers["pitch_reversal_kmh"], numbers["twist_off_kmh"] = ends[0].pitch_reversal, ends[0].twist_off
    return ControlCurves(
        np.array([one.roll_effectiveness for one in left]),
        np.array([one.pitch_effectiveness for one in left]),
        at_edge(**{name: value if np.isfinite(value) else None for name, value in numbers.items()}),
    )
