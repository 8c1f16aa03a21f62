"""Invented wings with known ("hidden") factors, flown by invented pilots who note their flights carelessly.

Each flight is simulated in steps, by its own way of flying: straight legs, turns, gusts, climbs, and level bursts at
full throttle. What the pilot notes is rounded, guessed or left out. Nothing here calls the model of mixed flights.
"""

from typing import NamedTuple

import numpy as np

from tradestudy.physics.propulsion import drive_train, pack
from tradestudy.study.logbook.flights import Flight
from tradestudy.uncertainty.fit.least_squares import priors

_STEPS = 12  # parts of a flight; speeds and charge are constant in each
_NOTED_SHARES = np.array([0.0, 0.05, 0.1, 0.15, 0.2, 0.25, 1 / 3, 0.5, 2 / 3])  # what pilots say


class Pilot(NamedTuple):
    """How one pilot flies and guesses, in all flights."""

    speed: float  # usual speed over the best speed
    shares: float  # guessed share of full throttle over the true one
    turns: float  # share of the time in turns
    climbs: float  # share of full throttle that is a climb at cruise speed; the rest is level
    charger: float  # shown charge over the true one
    notes_distance: bool
    notes_wind: bool


def hidden_factors(wing, random):
    """Return factors of a wing drawn from the priors of a fit."""
    return {name: float(np.exp(off * random.standard_normal())) for name, off in priors(wing.study).items()}


def invented_pilot(random):
    """Return a Pilot. Medians and scatter are those of common practice, as in ``aircraft.anchor.mixed_flight``."""
    return Pilot(
        speed=1.15 * np.exp(0.10 * random.standard_normal()),
        shares=np.exp(0.15 * random.standard_normal()),
        turns=float(random.uniform(0.1, 0.4)),
        climbs=float(random.uniform(0.2, 0.8)),
        charger=np.exp(0.015 * random.standard_normal()),
        notes_distance=bool(random.random() < 0.4),
        notes_wind=bool(random.random() < 0.5),
    )


def flown(wing, factors, pilot, random, name="stock"):
    """Return the Flight that a pilot notes after one flight of a wing with hidden factors."""
    train = wing.powertrain(factors)
    capacity = float(pack.pack_capacity(train.pack))
    best, top = wing.best_cruise_speed, wing.speed_sweep.top_speed(wing.best_cruise_speed)
    speed = best * pilot.speed * float(np.exp(0.08 * random.standard_normal()))
    share = float(np.clip(random.choice([0.0, 0.05, 0.15, 0.3]) * np.exp(0.3 * random.standard_normal()), 0.0, 0.6))
    wind = float(random.gamma(2.0, 1.5))
    bank = np.radians(random.uniform(28, 48))
    heavier = 1 + pilot.turns * (1 / np.cos(bank) ** 2 - 1)  # drag due to lift over that of straight flight
    # air that rises or sinks by 0.08 m/s through a flight changes the drag of a wing that sinks by 1 m/s by 8 %
    gusty = 1 + 0.008 * wind * random.uniform(0, 2) + 0.08 * random.standard_normal()

    def drag(at):
        return wing.drag_at({**factors, "induced": factors["induced"] * heavier}, np.asarray(at))

    cruising = drive_train.shaft_demand(train, speed, max(gusty, 0.8) * drag(speed), wing.density)

    def currents(left):
        burst = [
            drive_train.full_throttle(train, at, wing.density, left, wing.avionics).pack_current
            for at in (speed, 0.92 * top)
        ]
        full = pilot.climbs * burst[0] + (1 - pilot.climbs) * burst[1]
        return float(drive_train.operating_point(train, cruising, left, wing.avionics).pack_current), float(full)

    used_share = random.uniform(0.35, 0.85)
    launch = random.uniform(8, 25)
    level, full = currents(0.6)
    time = used_share * capacity / ((1 - share) * level + share * full)
    used = launch * full
    for _ in range(_STEPS):
        level, full = currents(max(1 - used / capacity, 0.05))
        used += time / _STEPS * ((1 - share) * level + share * full)
    fast = share * (1 - pilot.climbs)
    air_speed = (1 - fast) * speed + fast * 0.92 * top
    ground = air_speed - wind**2 / air_speed  # out and back along the wind
    return _noted(pilot, random, name, time + launch, used, share + launch / time, ground * time, wind)


def _noted(pilot, random, name, time, used, share, distance, wind):
    """Return what the pilot writes down."""
    minutes = round(time / 60 * np.exp(0.015 * random.standard_normal()))
    if random.random() < 0.25:
        minutes = 5 * max(round(minutes / 5), 1)
    shown = used / 3.6 * pilot.charger * np.exp(0.01 * random.standard_normal())
    step = random.choice([10, 50, 100])
    guess = share * pilot.shares * np.exp(0.2 * random.standard_normal())
    said = float(_NOTED_SHARES[abs(_NOTED_SHARES - guess).argmin()])
    return Flight(
        id="",
        date=None,
        wing=name,
        pack="",
        time=60.0 * max(minutes, 3),
        charge=3.6 * float(step * max(round(shown / step), 1)),
        distance=1e3 * max(round(distance / 1e3 * np.exp(0.02 * random.standard_normal())), 1)
        if pilot.notes_distance
        else None,
        full_throttle=said if random.random() < 0.8 else None,
        wind=float(round(wind * np.exp(0.25 * random.standard_normal()))) if pilot.notes_wind else None,
    )


class Season(NamedTuple):
    """One hidden wing after some flights: the ends of its band, its middle, and its true range [m]."""

    low: float
    middle: float
    high: float
    true: float
    set_aside: int

    @property
    def holds(self):
        """Whether the band holds the truth."""
        return self.low <= self.true <= self.high


def season(wings, seed, stages=(1, 3, 10)):
    """Return a dict of number of flights -> Season, for one hidden stock wing and one pilot."""
    from tradestudy.uncertainty.fit.mixed_flight import WingFactors

    random = np.random.default_rng([20260517, seed])
    stock = wings.stock
    factors, pilot = hidden_factors(stock, random), invented_pilot(random)
    true = stock.range_of(factors)
    flights = [flown(stock, factors, pilot, random) for _ in range(max(stages))]
    found = {}
    for count in (0, *stages):
        kept, aside = wings.believed(flights[:count])
        band = wings.range_band(wings.fit(kept), stock, WingFactors())
        found[count] = Season(band.low, band.middle, band.high, true, len(aside))
    return found
