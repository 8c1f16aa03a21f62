"""Changes in a whole logbook: the drift of an invented wing is found and carried into today's need."""

import math
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from helpers.places import STUDIES

from tradestudy.aircraft.anchor.full_throttle_defaults import with_full_throttle_defaults
from tradestudy.study.logbook.flights import Flight
from tradestudy.study.reader import read_study
from tradestudy.uncertainty.fit.least_squares import by_name
from tradestudy.uncertainty.logbook.changes import (
    drifts_of,
    missing_share,
    need_series,
    pack_of_logbook,
    sorted_flights,
)
from tradestudy.uncertainty.logbook.flown_wings import FlownWings

COUNT = 25


@pytest.fixture(scope="module")
def wings():
    return FlownWings(with_full_throttle_defaults(read_study(STUDIES / "lapwing.toml")), {})


def flown(wings, growth, scatter=0.06, seed=4):
    """Return flights of 30 minutes whose charge grows against the model by ``growth`` up to the last."""
    random = np.random.default_rng(seed)
    days = [date(2026, 4, 1) + timedelta(days=2 * place) for place in range(COUNT)]
    plain = [
        Flight(id=f"f{place}", date=day, wing="stock", pack="", time=1800.0, charge=9000.0, full_throttle=0.1)
        for place, day in enumerate(days)
    ]
    fit = wings.fit([])
    usual = np.broadcast_to(wings.flights_of("stock", plain).charges(by_name(fit.names, fit.mean)), COUNT)
    way = np.log1p(growth) * np.arange(COUNT) / (COUNT - 1) + scatter * random.standard_normal(COUNT)
    return [
        replace(one, charge=float(charge * math.exp(off))) for one, charge, off in zip(plain, usual, way, strict=True)
    ]


def test_the_drift_of_a_wing_is_found_and_no_other(wings):
    same, more = flown(wings, 0.0), flown(wings, 0.6)
    (quiet,) = drifts_of(wings, wings.fit(same), same, "stock", "")
    assert quiet.what == "need" and not quiet.change.is_seen and missing_share(quiet) == 0
    (loud,) = drifts_of(wings, wings.fit(more), more, "stock", "")
    assert loud.change.is_seen and loud.readings == COUNT
    assert loud.change.low < math.log(1.6) < loud.change.high
    # the fit holds the mean of the flights, and today is half of the creep above it
    assert 0.3 * math.log(1.6) < missing_share(loud) < 0.9 * math.log(1.6)
    assert drifts_of(wings, wings.fit(same), same[:2], "stock", "") == []


def test_need_is_over_what_the_fit_expects(wings):
    flights = flown(wings, 0.0, scatter=0.0)
    series = need_series(wings, wings.fit(flights), flights, "stock")
    assert np.allclose(series.value, series.value[0], atol=1e-6) and abs(series.value[0]) < 0.02
    assert need_series(wings, wings.fit([]), flights, "long") is None


def test_flights_are_taken_by_date():
    def one(name, day):
        return Flight(id=name, date=day, wing="stock", pack="", time=1.0)

    listed = [one("b", date(2026, 5, 2)), one("c", None), one("a", date(2026, 5, 1)), one("d", date(2026, 5, 2))]
    assert [each.id for each in sorted_flights(listed)] == ["a", "b", "c", "d"]


def test_a_pack_is_as_its_flights_found_it(wings):
    study, cells = wings.stock.study, wings.stock.train.pack
    assert pack_of_logbook(study, cells, [], "old").charge == pytest.approx(0.8 / study.pack.health)
    capacity = float(cells.parallel * cells.cell_capacity)
    much = Flight(id="m", date=None, wing="stock", pack="old", time=3000.0, charge=0.95 * capacity)
    held = pack_of_logbook(study, cells, [much], "old")
    assert held.charge == pytest.approx(0.95 * 0.98) and "no source" in held.source
    series = int(cells.series)
    rest = replace(much, charge=0.45 * capacity, note=f"(rested {3.5286 * series:.2f} V)")
    found = pack_of_logbook(study, cells, [rest] * 1 + [replace(rest, id=f"r{k}") for k in range(5)], "old")
    assert found.charge == pytest.approx(0.6, abs=0.06)  # half of the charge is left in cells at 3.53 V at a quarter
    assert "6 readings of its charge" in found.source and found.charge_spread < 0.07
