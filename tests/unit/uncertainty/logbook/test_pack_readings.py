"""What remarks say of a pack: the truth of invented packs comes back, with the scatter that is stated."""

import math
from datetime import date, timedelta

import numpy as np
import pytest

from tradestudy.physics.propulsion import cold_and_age, pack
from tradestudy.study.logbook.flights import Flight
from tradestudy.uncertainty.logbook.pack_readings import (
    _CELL_READING,
    PackReadings,
    PackState,
    charge_left,
    charge_now,
    charge_readings,
    loaded_voltage_and_current,
    resistance_now,
    resistance_readings,
    rested_voltage,
)

CELLS = pack.Pack(pack.LITHIUM_ION, 4.0, 2.0, 18000.0, 0.048)
ROOM = 293.15


def flight(number, note="", **more):
    day = date(2026, 4, 1) + timedelta(days=number)
    return Flight(id=f"f{number}", date=day, wing="stock", pack="A", time=2000.0, note=note, **more)


def flown(number, held, ohms, used, kelvin, random=None):
    """Return the note of a flight with a pack that holds a share of the study's charge, and has more resistance."""
    charge = held * float(pack.pack_capacity(CELLS))
    left = 1 - used
    cold = cold_and_age.cold_factor(kelvin) / cold_and_age.cold_factor(ROOM)
    cells = CELLS._replace(
        cell_capacity=held * CELLS.cell_capacity, cell_resistance=ohms * cold * CELLS.cell_resistance
    )
    rest = float(pack.open_circuit_voltage(cells, left))
    loaded = rest - 12.0 * float(pack.pack_resistance(cells, left))
    off = [0.0, 0.0] if random is None else (4 * _CELL_READING * random.standard_normal(2)).tolist()
    note = f"34 min (rested {rest + off[0]:.3f} V, {loaded + off[1]:.3f} V at 12 A)"
    return flight(number, note, charge=used * charge, temperature=kelvin)


@pytest.mark.parametrize(
    ("note", "rest", "load"),
    [
        ("34 min, 5100 mAh (rested 14.6 V)", 14.6, None),
        ("(resting at 14,62 V, 13.9 V at 12 A)", 14.62, (13.9, 12.0)),
        ("(Rest 3.7 V)", 3.7, None),
        ("landed at 14 V, gusty", None, None),
        ("wind 4 m/s, 13.9 V at 12.5 A", None, (13.9, 12.5)),
    ],
)
def test_remarks_are_read(note, rest, load):
    assert rested_voltage(flight(1, note)) == rest and loaded_voltage_and_current(flight(1, note)) == load


@pytest.mark.parametrize(("held", "ohms", "kelvin"), [(1.0, 1.0, ROOM), (0.8, 1.9, ROOM), (0.9, 1.3, 275.15)])
def test_the_truth_comes_back(held, ohms, kelvin):
    flights = [flown(1, held, ohms, 0.6, kelvin)]
    assert math.exp(charge_readings(CELLS, flights).value[0]) == pytest.approx(held, rel=2e-3)
    assert math.exp(resistance_readings(CELLS, flights, ROOM).value[0]) == pytest.approx(ohms, rel=0.01)


def test_short_flights_and_impossible_voltages_say_nothing():
    assert not len(charge_readings(CELLS, [flown(1, 1.0, 1.0, 0.2, ROOM)]).value)
    assert charge_left(CELLS, 30.0) is None and charge_left(CELLS, 5.0) is None
    silent = [flight(1, "34 min", charge=15000.0), flight(2, "(rested 14.6 V)"), flight(3, "(rested 99 V)", charge=1e4)]
    assert not len(charge_readings(CELLS, silent).value) and not len(resistance_readings(CELLS, silent, ROOM).value)


def test_the_stated_scatter_is_the_true_one(random):
    flights = [flown(number, 1.0, 1.0, 0.6, ROOM, random) for number in range(1, 201)]
    for readings in (charge_readings(CELLS, flights), resistance_readings(CELLS, flights, ROOM)):
        assert 0.6 < float(np.std(readings.value / readings.spread)) < 1.1


def test_one_reading_is_weighed_against_what_was_known_in_closed_form():
    """Check the mean weighted by inverse squares (Gauss), for a reading of the last flight, the first of all."""
    reading = PackReadings(np.array([1.0]), np.array([-0.10]), np.array([0.02]))
    now = charge_now(reading, PackState(0.0, 0.03), 1)
    assert now.value == pytest.approx(-0.10 * 0.02**-2 / (0.02**-2 + 0.03**-2), rel=1e-9)
    assert now.spread == pytest.approx((0.02**-2 + 0.03**-2) ** -0.5, rel=1e-9)


def test_a_pack_that_fades_is_followed(random):
    held = np.linspace(1.0, 0.8, 40)
    flights = [flown(number, share, 1.0, 0.6, ROOM, random) for number, share in enumerate(held, start=1)]
    now = charge_now(charge_readings(CELLS, flights), PackState(0.0, 0.1), 40)
    assert abs(now.value - math.log(0.8)) < 3 * now.spread < 0.12
    few = charge_now(charge_readings(CELLS, flights[:1]), PackState(0.0, 0.1), 1)
    assert few.spread > now.spread
    later = charge_now(charge_readings(CELLS, flights), PackState(0.0, 0.1), 140)
    assert later.spread > now.spread and later.value < now.value
    ohms = resistance_now(resistance_readings(CELLS, flights, ROOM), PackState(0.0, 0.2), 40)
    assert abs(ohms.value) < 3 * ohms.spread
