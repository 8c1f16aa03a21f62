"""The card of the day says what `cruise` says where the day is as in the study, and errs on the early side."""

import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest
from helpers.invented.invented_draws import LOW, OVER, invented_draws

from tradestudy.aircraft.assessment.full_design import assess_design
from tradestudy.aircraft.day.day_numbers import TENTH
from tradestudy.aircraft.day.today import PackToday
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.commands.logbook.card import RequestedDay, day_card, today_of
from tradestudy.commands.logbook.flown_wing import DayLogbook, FlownWing, flown_wing, last_wing, pack_today
from tradestudy.errors import CommandError
from tradestudy.study.logbook.read_logbook import Logbook, read_logbook
from tradestudy.uncertainty.expected import _wing_as_expected, field_shares
from tradestudy.uncertainty.fit.least_squares import priors

EMPTY = DayLogbook(Logbook(Path("godwit.logbook.csv")), None, [])


@pytest.fixture(scope="module")
def session(godwit_study, godwit_anchor):
    """Return what the card needs of an open session."""
    return SimpleNamespace(study=godwit_study, anchor=godwit_anchor)


def made(session, **day):
    requested = RequestedDay(**day)
    today = today_of(session.study, requested, pack_today(session, EMPTY, requested.pack))
    return day_card(session, flown_wing(session, EMPTY, "stock"), today, invented_draws())


@pytest.fixture(scope="module")
def usual(session):
    return made(session, wind="15 km/h")


def test_card_and_cruise_say_the_same(session, usual, godwit_study, godwit_anchor):
    anchor = godwit_anchor
    stock = assess_design(godwit_study, anchor.data, anchor.choice, anchor.variables, "stock")
    draws = invented_draws()
    low, middle, _ = draws.percentiles.radius_by_charge_km
    turns = draws.over_medians["radius_by_charge_km"] * low / middle
    cruise = _wing_as_expected(stock, field_shares(draws.over_medians), turns, None).pilot_card
    legs = [leg for leg in cruise.legs if leg.wind_kmh == 15]
    for mine, theirs in zip(usual.legs, legs, strict=True):
        assert mine.direction == theirs.direction
        assert (mine.speed_kmh, mine.hold_a) == pytest.approx((theirs.speed_kmh, theirs.hold_a), rel=1e-4)
    turn = next(turn for turn in cruise.turns if turn.wind_kmh == 15)
    assert usual.turn_km == pytest.approx(turn.full_km, rel=1e-4)
    assert usual.turn_expected_km == pytest.approx(turn.full_km / LOW, rel=1e-4)
    assert usual.turn_mah < turn.full_mah and usual.alarm_mah < cruise.capacity_mah - cruise.reserve_mah
    assert usual.home_pct == cruise.home_pct
    assert usual.legs[0].hold_a / OVER**-1 == pytest.approx(
        next(leg for leg in stock.pilot_card.legs if leg.wind_kmh == 15).hold_a, rel=1e-4
    )


def test_the_card_names_the_pack_that_its_wing_carries(session, usual, godwit_study, godwit_anchor):
    anchor = godwit_anchor
    more = replace(anchor.choice, parallel=anchor.choice.parallel + 1)
    larger = FlownWing("larger", EvaluatedDesign(godwit_study, anchor.data, more, anchor.variables))
    card = day_card(session, larger, today_of(session.study, RequestedDay(), PackToday()), invented_draws())
    cells, row = godwit_study.pack, "{}S{}P {}".format
    assert usual.pack == row(cells.series, cells.parallel, cells.cell)
    assert card.pack == row(cells.series, cells.parallel + 1, cells.cell)
    assert card.capacity_mah > usual.capacity_mah
    # 25 A a cell by the catalogue, two and three side by side
    assert "at most 50 A from this pack" in usual.notes[-1] and "at most 75 A from this pack" in card.notes[-1]


def test_the_alarm_of_a_cell_is_that_of_the_pack_to_a_hundredth_of_a_volt(session, usual):
    assert 0.0 <= round(session.study.pack.series * usual.alarm_cell_v - usual.alarm_v, 6) < 4 * 0.01


def test_times_follow_from_distance_and_ground_speed(usual):
    out, home = (60 * usual.turn_km / leg.ground_kmh for leg in usual.legs)
    assert usual.turn_min == pytest.approx(out, rel=1e-4) and usual.land_min == pytest.approx(out + home, rel=1e-4)


def test_cold_age_and_wind_bring_every_alarm_forward(session, usual):
    cold = made(session, wind="15 km/h", temperature="-5 C")
    old = made(session, wind="15 km/h", temperature="-5 C", pack="old")
    windy = made(session, wind="30 km/h", temperature="-5 C", pack="old")
    for less, more in ((cold, usual), (old, cold)):
        assert less.turn_km < more.turn_km and less.alarm_mah < more.alarm_mah
        assert less.turn_mah < more.turn_mah and less.near_min < more.near_min
    assert windy.turn_km < old.turn_km and windy.alarm_mah == old.alarm_mah
    assert cold.alarm_v > cold.least_cell_v * 4 and old.reserve_pct > cold.reserve_pct > usual.reserve_pct
    assert any("times the resistance" in note for note in cold.notes)
    assert "worn out" in old.pack and "no source" in old.pack
    assert all("Limits of the cells" in each.notes[-1] for each in (usual, cold, old))


def test_alarm_and_turn_are_those_of_the_weak_pack_in_ten(session, usual):
    """One cell in ten loses 0.65 % of its charge for each kelvin of cold, and the pack's own doubt comes on top."""
    own = priors(session.study)["pack_capacity"]
    cold = made(session, wind="15 km/h", temperature="0 C")
    for card, lost in ((usual, 0.0), (cold, 20 * 0.0065)):
        weak = card.capacity_mah * math.exp(-math.hypot(TENTH * own, lost))
        # with the reserve of a pack that one in ten by resistance has
        assert card.alarm_mah <= (1 - card.reserve_pct / 100) * weak
    usual_loss = math.exp(-20 * 0.0025)
    assert cold.turn_km / cold.turn_expected_km < LOW * usual_loss
    worse = made(session, wind="15 km/h", temperature="0 C", pack="old")
    weak = worse.capacity_mah * usual_loss * math.exp(-TENTH * math.hypot(own, math.hypot(0.07, 20 * 0.004 / TENTH)))
    assert worse.alarm_mah < (1 - worse.reserve_pct / 100) * weak - 50


def test_against_too_much_wind_there_is_no_turn(session):
    lost = made(session, wind="25 m/s", temperature="2 C")
    assert lost.turn_km is lost.turn_mah is lost.land_min is None and lost.near_min > 0 and lost.alarm_mah > 0


@pytest.mark.parametrize(
    ("day", "words"),
    [
        ({"wind": "fast"}, '--wind "fast"'),
        ({"wind": "40 m/s"}, "0 m/s to 25 m/s is allowed"),
        ({"wind": "4 C"}, "m/s, km/h"),
        ({"temperature": "-40 C"}, "-20 C to 60 C is allowed"),
        ({"pack": "od"}, "old"),
    ],
)
def test_a_wrong_day_is_refused_in_words(session, day, words):
    with pytest.raises(CommandError, match=None) as caught:
        pack_today(session, EMPTY, RequestedDay(**day).pack)
    assert words in str(caught.value)


def test_an_unknown_wing_is_refused_with_those_known(session):
    with pytest.raises(CommandError) as caught:
        flown_wing(session, EMPTY, "stok")
    assert "Known: stock" in str(caught.value)


def test_the_wing_that_flew_last_is_taken(tmp_path):
    path = tmp_path / "godwit.toml"
    assert last_wing(read_logbook(path)) == "stock"
    (tmp_path / "godwit.wings.toml").write_text("[wing.long]\nchoice = {}\nvariables = {}\n", encoding="utf-8")
    (tmp_path / "godwit.logbook.csv").write_text(
        "date,wing,minutes\n2026-05-02,long,30\n2026-05-01,stock,30\n", encoding="utf-8"
    )
    assert last_wing(read_logbook(path)) == "long"
