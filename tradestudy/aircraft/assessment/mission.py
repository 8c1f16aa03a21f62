"""The study's mission flown part by part on one charge: time, distance, energy and mAh of each part, and the rest.

Every part is steady: climbs and dashes begin and end instantly. Energy gained on a descent is not counted, and a
landing uses no charge.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.endurance import cruise_range
from tradestudy.physics.endurance import ground_speed as winds
from tradestudy.physics.propulsion import drive_train, pack
from tradestudy.quantities import at_edge, in_unit, rounded
from tradestudy.results.flight import Mission, MissionPartResult

from .pilot_card import FEWEST, flyable, flyable_speeds

_Part = Any  # a part of the mission; the rules of the study ensure that each kind has its keys
PIECES = 4  # time steps of a part at full throttle; the current falls with the charge and is evaluated at mid-step
_DASH_SPEEDS = 40  # speeds between stall and top speed at which full throttle is evaluated


class _PartFlight(NamedTuple):
    """One part of the mission in flight, SI. ``fault`` says why it ended early."""

    airspeed: float
    ground_speed: float
    time: float
    distance: float  # over the ground; zero except for legs
    energy: float  # taken from the pack's connector
    charge_left: float  # state of charge at its end
    voltage: float  # pack voltage under load at its end
    throttle: float  # throttle at its end
    fault: str = ""


class _CannotFlyError(Exception):
    """Error: a part of the mission cannot be started."""


class _Flight:
    """A design during its mission, with the data that every part needs."""

    def __init__(self, design: EvaluatedDesign):
        self.design, self.card = design, design.speed_card
        self.data, self.train = design.data.power, design.powertrain
        self.capacity = float(pack.pack_capacity(self.train.pack))
        self.weight = float(design.shape.all_up_mass) * GRAVITY
        self.speeds = flyable_speeds(self.card)
        self.endurance = self.card.at("endurance", self.speeds)

    def shaft(self, speed: float, more_thrust: float = 0.0) -> drive_train.ShaftPoint:
        """Return the state of propeller and motor in level flight. ``more_thrust`` [N] is added for a climb."""
        return self.design.shaft_at(speed, self.card.at("drag", np.atleast_1d(speed)) + more_thrust)

    def part(self, part: _Part, start: float) -> _PartFlight:
        """Return one part in flight, from the state of charge ``start``. Raises _CannotFlyError."""
        if part.kind in ("launch", "dash"):
            return self._full_throttle(part, start)
        if part.kind == "leg":
            return self._leg(part, start)
        if part.kind == "climb":
            speed = part.airspeed or self.design.cruise_speed
            return self._steady(part, speed, part.height / part.rate, start, 0.0, self.weight * part.rate / speed)
        speed = part.airspeed or float(self.speeds[np.argmax(self.endurance)])
        return self._steady(part, speed, part.time, start, 0.0)

    def _leg(self, part: _Part, start: float) -> _PartFlight:
        wind = self.design.study.fly.wind if part.wind is None else part.wind
        angle = part.wind_from or 0.0
        if part.airspeed is None:
            speed = float(winds.best_airspeeds(self.speeds, self.endurance, wind, angle)[0])
        else:
            speed = part.airspeed
        ground = float(winds.ground_speed(speed, wind, angle))
        if ground <= 0:
            raise _CannotFlyError(
                f"a wind of {in_unit(wind, 'km/h'):.0f} km/h leaves it no progress along that track "
                f"at {in_unit(speed, 'km/h'):.0f} km/h through the air"
            )
        return self._steady(part, speed, part.distance / ground, start, ground)

    def _steady(
        self, part: _Part, speed: float, time: float, start: float, ground: float, more_thrust: float = 0.0
    ) -> _PartFlight:
        """Return a part at one speed that ends after ``time``, or earlier when the reserve is reached."""
        card, other, reserve = self.card, self.data.avionics_power, self.data.reserve
        if not card.stall_speed < speed <= card.top_speed:
            slow, fast = (in_unit(each, "km/h") for each in (card.stall_speed, card.top_speed))
            raise _CannotFlyError(
                f"{in_unit(speed, 'km/h'):.0f} km/h is not between its stall at {slow:.0f} and "
                f"its top speed of {fast:.0f} km/h"
            )
        shaft = self.shaft(speed, more_thrust)
        first = drive_train.operating_point(self.train, shaft, start, other)
        if not self._gives(first):
            raise _CannotFlyError(
                f"it needs {in_unit(first.throttle[0], '%'):.0f} % of the throttle that the pack can then feed"
            )
        longest, fault = float(cruise_range.cruise_time(self.train, shaft, reserve, other, start)[0]), ""
        if time > longest:
            end, fault = reserve, _reserve_reached(part, longest, time, ground)
            time = longest
        else:
            end = float(cruise_range.charge_after(self.train, shaft, time, other, start)[0])
        last = drive_train.operating_point(self.train, shaft, end, other)
        if not self._gives(last) and not fault:
            fault = f"towards its end it needs {in_unit(last.throttle[0], '%'):.0f} % of the throttle there is"
        used = cruise_range.steady_cruise(self.train, shaft, end, other, start)
        energy = float((used.energy_per_metre * used.range)[0]) if end < start else 0.0
        return _PartFlight(
            speed, ground, time, ground * time, energy, end, float(last.pack_voltage[0]), float(last.throttle[0]), fault
        )

    @staticmethod
    def _gives(point: drive_train.OperatingPoint) -> bool:
        return float(point.throttle[0]) <= 1 and float(point.power_reserve[0]) > 0

    def _full_throttle(self, part: _Part, start: float) -> _PartFlight:
        """Return a part at full throttle: a launch at launch speed, or a dash in level flight."""
        piece, charge, energy = part.time / PIECES, start, 0.0
        for done in np.arange(PIECES):
            current = float(self.design.full_throttle(self._full_speed(part, charge), charge).pack_current[0])
            middle = charge - 0.5 * piece * current / self.capacity
            speed = self._full_speed(part, middle)
            point = self.design.full_throttle(speed, middle)
            charge -= piece * float(point.pack_current[0]) / self.capacity
            energy += piece * float(point.pack_current[0] * point.pack_voltage[0])
            if charge < self.data.reserve:
                return _PartFlight(
                    speed,
                    0.0,
                    piece * (done + 1),
                    0.0,
                    energy,
                    charge,
                    float(point.pack_voltage[0]),
                    1.0,
                    _reserve_reached(part, piece * (done + 1), part.time, 0.0),
                )
        return _PartFlight(
            speed,
            0.0,
            part.time,
            0.0,
            energy,
            charge,
            float(self.design.full_throttle(speed, charge).pack_voltage[0]),
            1.0,
        )

    def _full_speed(self, part: _Part, charge: float) -> float:
        if part.kind == "launch":
            return float(self.design.data.flight.slowest_speed)
        speed = np.linspace(self.card.speed[0], self.card.speed[-1], _DASH_SPEEDS)
        surplus = self.design.full_throttle(speed, charge).shaft.thrust - self.card.at("drag", speed)
        return float(np.interp(0.0, -surplus, speed))  # near the crossing, thrust falls and drag rises with speed


def _reserve_reached(part: _Part, time: float, total: float, ground: float) -> str:
    """Return a sentence on when the reserve is reached: after which distance of a leg, or after which time otherwise.

    ``time`` and ``total`` are the times flown and planned [s], ``ground`` is the ground speed [m/s].
    """
    if part.kind == "leg":
        done, distance, short = (in_unit(way, "km") for way in (ground * time, part.distance, ground * (total - time)))
        return f"the reserve is reached after {done:.1f} of {distance:.1f} km, {short:.1f} km short"
    return f"the reserve is reached after {in_unit(time, 'min'):.1f} of {in_unit(total, 'min'):.1f} minutes"


def simulate_mission(design: EvaluatedDesign) -> Mission | None:
    """Return the study's mission flown by one design, or None if the study has none."""
    parts = design.study.mission
    if not parts:
        return None
    flight = _Flight(design)
    charge, rows, ends = 1.0, [], ""
    total = dict.fromkeys(("time_min", "km", "wh", "mah"), 0.0)
    can_cruise = flyable(flight.card).sum() >= FEWEST
    if not can_cruise:
        ends = "at no speed well above its stall is its thrust enough until the reserve is reached"
    for index, part in enumerate(parts if can_cruise else ()):
        try:
            one = flight.part(part, charge)
        except _CannotFlyError as error:
            ends = f"{part.title} (part {index + 1}) cannot be flown: {error}"
            break
        leg, used = part.kind == "leg", (charge - one.charge_left) * flight.capacity
        summed = {"time_min": one.time, "km": one.distance if leg else None, "wh": one.energy, "mah": used}
        rows.append(
            MissionPartResult(
                name=part.title,
                kind=part.kind,
                **rounded(
                    at_edge(
                        airspeed_kmh=one.airspeed,
                        ground_kmh=one.ground_speed if leg else None,
                        **summed,
                        mean_a=used / one.time,
                        end_v=one.voltage,
                        end_throttle_pct=one.throttle,
                        charge_left_pct=one.charge_left,
                    ),
                    5,
                ),
            )
        )
        total = {name: value + (summed[name] or 0.0) for name, value in total.items()}
        charge = one.charge_left
        if one.fault:
            ends = f"{part.title} (part {index + 1}): {one.fault}"
            break
    reserve = flight.data.reserve
    left = None
    if charge > reserve and not ends:
        left = cruise_range.steady_cruise(
            flight.train, flight.shaft(design.cruise_speed), reserve, flight.data.avionics_power, charge
        )
    return Mission(
        parts=rows,
        parts_requested=len(parts),
        end_reason=ends,
        **rounded(
            at_edge(
                **total,
                reserve_pct=reserve,
                left_mah=max(charge - reserve, 0.0) * flight.capacity,
                left_km=float(left.range[0]) if left else 0.0,
                left_min=float(left.endurance[0]) if left else 0.0,
            ),
            5,
        ),
    )
