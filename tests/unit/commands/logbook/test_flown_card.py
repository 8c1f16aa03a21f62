"""The card of a wing that has flown: its flights move the numbers, narrow the band, and count the known flight once."""

from datetime import date, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
from helpers.invented.invented_draws import invented_draws
from helpers.places import STUDIES

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.anchor.full_throttle_defaults import with_full_throttle_defaults
from tradestudy.commands.logbook.card import RequestedDay, day_card, today_of
from tradestudy.commands.logbook.flown_wing import DayLogbook, flown_wing, pack_today
from tradestudy.errors import CommandError
from tradestudy.quantities import in_unit
from tradestudy.study.logbook.flights import Flight
from tradestudy.study.logbook.read_logbook import Logbook
from tradestudy.study.reader import read_study
from tradestudy.uncertainty.logbook.flown_wings import FlownWings

DAY = RequestedDay(wind="4 m/s")


@pytest.fixture(scope="module")
def session():
    study = with_full_throttle_defaults(read_study(STUDIES / "lapwing.toml"))
    return SimpleNamespace(study=study, anchor=anchor_of(study), report_progress=print)


@pytest.fixture(scope="module")
def wings(session):
    return FlownWings(session.study, {})


def logbook(wings, times, packs="", count=4):
    """Return a logbook whose flights used ``times`` the charge that is expected of them."""
    flights = []
    for place in range(count):
        day = date(2026, 4, 1) + timedelta(days=place)
        one = Flight(f"f{place}", day, "stock", packs, 2400.0, charge=9000.0, distance=26000.0, full_throttle=0.0)
        (used, _) = wings.expected(wings.fit([]), one)
        flights.append(Flight(**{**vars(one), "charge": times * used.middle}))
    return DayLogbook(Logbook(Path("x.logbook.csv"), flights=tuple(flights)), wings, flights)


def made(session, book, day=DAY):
    today = today_of(session.study, day, pack_today(session, book, day.pack))
    return day_card(session, flown_wing(session, book, "stock", day.pack), today, invented_draws())


@pytest.fixture(scope="module")
def unflown(session):
    return made(session, DayLogbook(Logbook(Path("x.logbook.csv")), None, []))


@pytest.fixture(scope="module")
def usual(session, wings):
    return made(session, logbook(wings, 1.0))


def test_flights_as_expected_change_little_but_the_band(usual, unflown):
    assert usual.flown == usual.flights == 4 and unflown.flown == 0
    # the study's known flight is in the calibration of the one and among the readings of the other, once in each
    assert usual.legs[0].speed_kmh == pytest.approx(unflown.legs[0].speed_kmh, rel=0.02)
    assert usual.legs[0].hold_a == pytest.approx(unflown.legs[0].hold_a, rel=0.06)
    assert usual.turn_km / usual.turn_expected_km > unflown.turn_km / unflown.turn_expected_km
    (drift,) = usual.changes
    assert drift.what == "need" and not drift.seen


def test_a_flight_that_tells_next_to_nothing_changes_next_to_nothing(session, wings, unflown):
    """Check one flight as expected, of unknown share at full throttle, on a wing with a known flight.

    The fit shares the known flight among more factors than the calibration, and alone turns 2 % later.
    """
    one = Flight("f", date(2026, 4, 1), "stock", "", 2400.0, charge=9000.0)
    vague = Flight(**{**vars(one), "charge": wings.expected(wings.fit([]), one)[0].middle})
    card = made(session, DayLogbook(Logbook(Path("x.logbook.csv"), flights=(vague,)), wings, [vague]))
    assert card.turn_km == pytest.approx(unflown.turn_km, rel=0.005)
    assert card.legs[0].hold_a == pytest.approx(unflown.legs[0].hold_a, rel=0.005)


def test_a_wing_that_needs_more_gets_a_shorter_way_out(session, wings, usual):
    more = made(session, logbook(wings, 1.25))
    assert more.legs[0].hold_a > 1.05 * usual.legs[0].hold_a and more.turn_km < 0.95 * usual.turn_km
    assert more.near_min < usual.near_min and more.alarm_mah == usual.alarm_mah


def test_a_pack_that_has_flown_is_known_by_its_name(session, wings):
    book = logbook(wings, 1.0, packs="A")
    card = made(session, book, RequestedDay(wind="4 m/s", pack="A"))
    assert card.pack.startswith("A:")
    assert card.capacity_mah >= in_unit(0.98 * max(one.charge for one in book.believed), "mAh")
    with pytest.raises(CommandError) as caught:
        pack_today(session, book, "B")
    assert "Known: old, A" in str(caught.value)
