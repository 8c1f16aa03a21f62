"""One wing on one day: today's air and pack change what they must, and nothing where today is as the study says."""

import math
from dataclasses import replace

import pytest

from tradestudy.aircraft.assessment.pilot_card import pilot_card
from tradestudy.aircraft.day.day_numbers import (
    TENTH,
    alarm_voltage,
    charge_doubt,
    charge_in_the_cold,
    day_numbers,
    pack_doubt,
    resistance_doubt,
)
from tradestudy.aircraft.day.today import PackToday, Today, old_pack, wing_today
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.physics import air
from tradestudy.physics.propulsion import cold_and_age, pack
from tradestudy.quantities import from_edge

WIND = 4.0
COLD = 275.15


@pytest.fixture(scope="module")
def stock(godwit_study, godwit_anchor):
    return EvaluatedDesign(godwit_study, godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables)


@pytest.fixture(scope="module")
def usual(stock):
    return day_numbers(stock, Today(WIND))


@pytest.fixture(scope="module")
def cold(stock):
    return day_numbers(stock, Today(WIND, COLD))


def test_a_day_as_in_the_study_is_the_speed_card(stock, usual, godwit_study):
    windy = replace(godwit_study, card=godwit_study.card.model_copy(update={"winds": (WIND,)}))
    assert usual.card == pilot_card(EvaluatedDesign(windy, stock.data, stock.choice, stock.variables))
    assert usual.reserve == godwit_study.fly.reserve
    given = Today(WIND, godwit_study.fly.temperature)
    warm = replace(given, temperature=godwit_study.pack.temperature)
    assert pack_doubt(stock, Today(WIND), usual.card) == 0 == charge_doubt(stock, warm)


def test_cold_air_and_a_cold_pack(stock, usual, cold, godwit_study):
    wing = wing_today(stock, Today(WIND, COLD))
    assert wing.data.power.air_density == pytest.approx(float(air.density(godwit_study.fly.altitude, COLD)))
    assert wing.data.flight.air_density == wing.data.power.air_density
    times = cold_and_age.cold_factor(COLD) / cold_and_age.cold_factor(godwit_study.pack.temperature)
    assert wing.powertrain.pack.cell_resistance == pytest.approx(times * stock.powertrain.pack.cell_resistance)
    # denser air stalls slower, by the root of its density
    assert cold.card.stall_kmh < usual.card.stall_kmh
    assert cold.out_of_reach > usual.out_of_reach
    assert cold.reserve - usual.reserve == pytest.approx(cold.out_of_reach - usual.out_of_reach, abs=2e-3)
    assert cold.full_throttle_ends > usual.full_throttle_ends
    assert cold.card.turns[0].full_km < usual.card.turns[0].full_km


def test_a_study_in_the_cold_gives_the_same_chain(stock, cold, godwit_study, godwit_anchor):
    """The same wing by a study whose own air and pack are cold: air, propeller and cells come from its tables."""
    from tradestudy.aircraft.model.model_data import model_data

    fly = godwit_study.fly.model_copy(update={"temperature": COLD, "reserve": cold.reserve})
    card = godwit_study.card.model_copy(update={"winds": (WIND,)})
    table = godwit_study.pack.model_copy(update={"temperature": COLD})
    study = replace(godwit_study, fly=fly, pack=table, card=card)
    fresh, known = model_data(study, godwit_anchor.unlisted), godwit_anchor.data
    flight = known.flight._replace(
        air_density=fresh.flight.air_density, kinematic_viscosity=fresh.flight.kinematic_viscosity
    )
    data = replace(known, level=known.level._replace(flight=flight), power=fresh.power)
    other = pilot_card(EvaluatedDesign(study, data, stock.choice, stock.variables))
    for one, two in zip(cold.card.legs, other.legs, strict=True):
        theirs = two.speed_kmh, two.hold_a, two.full_km
        assert (one.speed_kmh, one.hold_a, one.full_km) == pytest.approx(theirs, rel=1e-4)
    assert cold.card.turns[0].full_mah == pytest.approx(other.turns[0].full_mah, rel=1e-4)


def test_an_old_pack_has_less_charge_and_more_resistance(stock, godwit_study, usual):
    old = old_pack(godwit_study)
    numbers = day_numbers(stock, Today(WIND, pack=old))
    assert numbers.capacity == pytest.approx(0.8 * usual.capacity) and old.resistance == pytest.approx(2.0)
    assert numbers.card.turns[0].full_km < 0.8 * usual.card.turns[0].full_km
    worn = godwit_study.pack.model_copy(update={"health": 0.8})
    again = old_pack(replace(godwit_study, pack=worn))
    assert again.charge == again.resistance == 1
    assert pack_doubt(stock, Today(WIND, pack=old), numbers.card) > old.charge_spread


def test_factors_of_flights_reach_the_chain(stock, usual):
    more = day_numbers(stock, Today(WIND), {"drive_power": 1.1})
    assert more.card.hold_a > 1.07 * usual.card.hold_a
    assert day_numbers(stock, Today(WIND), {"drag": 1.2}).card.hold_a > usual.card.hold_a
    less = day_numbers(stock, Today(WIND), {"pack_capacity": 0.9, "pack_resistance": 1.5})
    assert less.capacity == pytest.approx(0.9 * usual.capacity)
    assert less.end_resistance > 1.4 * usual.end_resistance


def test_the_alarm_in_volts_is_early(stock, usual):
    amps, cells = from_edge("hold_a", usual.card.hold_a), stock.powertrain.pack
    resting = float(pack.open_circuit_voltage(cells, usual.reserve))
    alarm = alarm_voltage(usual, resting, amps, 0.2)
    assert alarm > resting - usual.end_resistance * amps
    # a pack with as little resistance as one in ten has still the reserve when it rings
    good = wing_today(stock, Today(WIND), resistance=math.exp(-TENTH * 0.2)).powertrain.pack
    assert alarm >= resting - float(pack.pack_resistance(good, usual.reserve)) * amps - 0.01
    assert alarm_voltage(usual, resting, 1000.0, 0.0) > usual.least_voltage


def test_doubt_of_the_cold_grows_with_the_cold(stock):
    falls = [charge_doubt(stock, Today(WIND, kelvin)) for kelvin in (293.15, 283.15, 263.15)]
    assert falls[0] == 0 < falls[1] < falls[2]
    assert charge_doubt(stock, Today(WIND, 263.15, PackToday(charge_spread=0.07))) > falls[2]
    ohms = [resistance_doubt(stock, Today(WIND, kelvin, PackToday(resistance_spread=0.1))) for kelvin in (None, 263.15)]
    assert ohms[0] == 0.1 < ohms[1]
    # one in ten loses more than the band of the measured cells
    usual, spread = charge_in_the_cold(stock, Today(WIND, 273.15)), charge_doubt(stock, Today(WIND, 273.15))
    assert usual * math.exp(-TENTH * spread) == pytest.approx(math.exp(-20 * cold_and_age.COLD_CHARGE))
    assert charge_in_the_cold(stock, Today(WIND)) == charge_in_the_cold(stock, Today(WIND, 300.0)) == 1
