"""Cards of hidden wings and packs in the cold: ``python card.py [hidden] [temperature in C] [pack or -] [wind]``.

Each hidden wing needs a power by chance, as wide as the draws of its card say. Its pack has a charge and a resistance
by chance, and its cells suffer from the cold by chance, as `aircraft/day` and `cold_and_age` state. Printed is the
share of hidden wings that come home with their reserve from the turn of the card, and that of alarms in time.

Two pilots fly each wing. One knows it and flies its best speed each way. The other holds the amps of the card, whatever
speed they give, and turns by distance, time or charge, whichever comes first.
"""

import math
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))
from types import SimpleNamespace  # noqa: E402

from helpers.invented.invented_draws import LOW, OVER, invented_draws  # noqa: E402
from helpers.places import GODWIT  # noqa: E402

from tradestudy.aircraft.anchor.calibration import anchor_of  # noqa: E402
from tradestudy.aircraft.day.day_numbers import TENTH, day_numbers  # noqa: E402
from tradestudy.aircraft.day.today import PackToday, Today, wing_today  # noqa: E402
from tradestudy.commands.logbook.card import RequestedDay, day_card, today_of  # noqa: E402
from tradestudy.commands.logbook.flown_wing import DayLogbook, flown_wing, pack_today  # noqa: E402
from tradestudy.physics.propulsion import cold_and_age, pack  # noqa: E402
from tradestudy.quantities import from_edge, in_unit  # noqa: E402
from tradestudy.study.logbook.read_logbook import Logbook  # noqa: E402
from tradestudy.study.reader import read_study  # noqa: E402
from tradestudy.study.schema.built import BAND_END  # noqa: E402
from tradestudy.uncertainty.fit.least_squares import priors  # noqa: E402


def brings_home(made, card):
    """Return whether a pilot who holds the amps of a card comes home with the reserve of the wing ``made``."""
    speeds, wind = (
        np.linspace(made.speed_card.speed[0], made.speed_card.speed[-1], 2000),
        from_edge("wind_kmh", card.wind_kmh),
    )
    amps = made.speed_card.at("current", speeds)
    fastest = slice(int(np.argmin(amps)), None)  # a pilot flies on the fast side of the least current
    held = [from_edge("hold_a", leg.hold_a) for leg in (card.legs[0], card.legs[-1])]
    out, home = (float(np.interp(each, amps[fastest], speeds[fastest])) for each in held)
    out, home = out - wind, home + wind
    if out <= 0:
        return True  # it makes no headway, so it is over the field
    minutes, charge = from_edge("turn_min", card.turn_min), from_edge("turn_mah", card.turn_mah)
    distance = min(from_edge("full_km", card.turn_km), out * minutes, out * charge / held[0])
    cells, reserve = made.powertrain.pack, float(made.data.power.reserve)
    used = held[0] * distance / out + held[1] * distance / home
    return used <= (1 - reserve) * float(pack.pack_capacity(cells))


def main(count, celsius, name, wind):
    study = read_study(GODWIT)
    session = SimpleNamespace(study=study, anchor=anchor_of(study), report_progress=print)
    empty = DayLogbook(Logbook(Path("none.csv")), None, [])
    day = RequestedDay(wind=wind, temperature=f"{celsius} C", pack=name)
    today, wing = today_of(study, day, pack_today(session, empty, name)), flown_wing(session, empty, "stock")
    card = day_card(session, wing, today, invented_draws())
    random, own, before = np.random.default_rng(7), today.pack, priors(study)
    low, high = np.log(cold_and_age.ACTIVATIONS)
    home, held, charge_in_time, volts_in_time = [], [], [], []
    for _ in range(count):
        power = math.exp(-math.log(OVER) + math.log(1 / LOW) / TENTH * random.standard_normal())
        activation = math.exp(0.5 * (low + high) + 0.5 * (high - low) / BAND_END * random.standard_normal())
        lost = cold_and_age.COLD_CHARGE * max(0.0, 20.0 - celsius) / BAND_END * abs(random.standard_normal())
        charge = math.exp(own.charge_spread * random.standard_normal() - lost)
        ohms = math.exp(own.resistance_spread * random.standard_normal())
        plain = {"drive_power": power}
        if not name:  # the pack of the study: its own doubt is in the draws, and sets the alarms
            charge *= math.exp(before["pack_capacity"] * random.standard_normal())
            ohms *= math.exp(before["pack_resistance"] * random.standard_normal())
        true = Today(today.wind, today.temperature, PackToday("", own.charge * charge, own.resistance * ohms))
        numbers = day_numbers(wing.design, true, plain)
        made = wing_today(wing.design, true, plain, activation=activation)
        home.append((numbers.card.turns[0].full_km or 0.0) >= card.turn_km)
        held.append(brings_home(made, card))
        cells, reserve = made.powertrain.pack, float(made.data.power.reserve)
        charge_in_time.append(in_unit((1 - reserve) * float(pack.pack_capacity(cells)), "mAh") >= card.alarm_mah)
        amps = from_edge("hold_a", numbers.card.legs[-1].hold_a)
        volts = float(pack.open_circuit_voltage(cells, reserve) - pack.pack_resistance(cells, reserve) * amps)
        volts_in_time.append(volts <= card.alarm_v)
    print(f"{count} hidden wings at {celsius:g} C, wind {wind}, pack {name or 'of the study'}: turn "
          f"{card.turn_km:.1f} km, alarms {card.alarm_mah:.0f} mAh and {card.alarm_v:.1f} V")  # fmt: skip
    for words, met in (
        ("home", home),
        ("home by the amps of the card", held),
        ("charge in time", charge_in_time),
        ("volts in time", volts_in_time),
    ):
        print(f"  {words}: {np.mean(met):.0%}")


if __name__ == "__main__":
    given = sys.argv[1:]
    count, celsius, name, wind = (*given, *("100", "2", "", "4 m/s")[len(given) :])
    main(int(count), float(celsius), name.strip("-"), wind)
