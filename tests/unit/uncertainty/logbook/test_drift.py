"""Drift over flights: no alarm from noise however often one looks, and what is surely seen is seen."""

import importlib.util

import numpy as np
import pytest
from helpers.places import ROOT
from scipy.stats import multivariate_t
from scipy.stats import t as student

from tradestudy.uncertainty.logbook import drift
from tradestudy.uncertainty.logbook.drift import ALARM, NEED, PACK_CHARGE, PACK_RESISTANCE, Series, change_of

spec = importlib.util.spec_from_file_location("drift_bench", ROOT / "tests" / "bench" / "truth" / "drift.py")
bench = importlib.util.module_from_spec(spec)
spec.loader.exec_module(bench)


def series(values, spread=0.1, **more):
    return Series(np.arange(1, len(values) + 1), np.asarray(values, float), np.full(len(values), spread), **more)


@pytest.mark.parametrize(("noise", "freedom"), [(0.1, None), (0.2, None), (0.1, 4)])
def test_noise_alone_hardly_ever_raises_an_alarm(noise, freedom):
    """300 logbooks of 30 flights without a change, looked at after each flight; twice the stated scatter, and tails."""
    share, _ = bench.ever_reported(30, 300, noise, NEED, freedom=freedom)
    assert share <= 1.5 * ALARM


def test_repeated_looks_at_a_plain_test_would_not_do():
    """The same noise by the usual t-test of a slope at the same level, after each flight: many false alarms."""
    random = np.random.default_rng(1)
    values, false = 0.1 * random.standard_normal((30, 300)), np.zeros(300, bool)
    for count in range(4, 31):
        place = np.arange(count) - (count - 1) / 2
        slope = place @ values[:count] / (place @ place)
        left = values[:count] - values[:count].mean(0) - place[:, None] * slope
        width = np.sqrt((left**2).sum(0) / (count - 2) / (place @ place))
        false |= slope / width > student.ppf(1 - ALARM, count - 2)
    assert false.mean() > 4 * ALARM


@pytest.mark.parametrize(("awaited", "sign"), [(NEED, 1), (PACK_CHARGE, -1), (PACK_RESISTANCE, 1)])
def test_a_change_is_seen_in_its_direction_only(awaited, sign, random):
    noise = 0.05 * random.standard_normal(30)
    creep = sign * 0.5 * np.arange(30) / 29
    seen, other = (change_of(series(noise + side * creep, 0.05), awaited) for side in (1, -1))
    assert seen.is_seen and seen.low < sign * 0.5 < seen.high and seen.since is None
    assert not other.is_seen


def test_a_step_is_dated_and_sized(random):
    values = 0.05 * random.standard_normal(24)
    values[12:] += 0.4
    found = change_of(series(values, 0.05), NEED)
    assert found.is_seen and found.since == 13 and found.low < 0.4 < found.high
    assert not change_of(series(values[:13], 0.05), NEED).is_seen  # one flight alone may be an outlier


def test_what_is_surely_seen_is_seen(random):
    flat = 0.1 * random.standard_normal(25)
    found = change_of(series(flat), NEED)
    share, _ = bench.ever_reported(25, 300, 0.1, NEED, creep=found.surely_seen * 1.1)
    half, _ = bench.ever_reported(25, 300, 0.1, NEED, creep=0.4 * found.surely_seen)
    assert share > 0.8 and half < 0.5
    assert change_of(series(flat[:4]), NEED).surely_seen is None
    more = change_of(series(0.1 * random.standard_normal(50)), NEED)
    assert more.surely_seen < found.surely_seen


def test_a_trend_with_temperature_is_no_drift(random):
    cold = 288.15 - np.linspace(0, 20, 30)  # an autumn
    values = 0.02 * random.standard_normal(30) + 0.004 * (288.15 - cold)
    blind, told = (change_of(series(values, 0.03, temperature=kelvin), NEED) for kelvin in (None, cold))
    assert told.evidence < blind.evidence


def test_evidence_is_the_ratio_of_two_likelihoods(random):
    """Both likelihoods by another library: multivariate t with the covariance of level, scatter and change."""
    values, flight = 0.1 * random.standard_normal(6) + 0.05, np.array([1, 2, 4, 5, 8, 9])
    model = drift._Model(Series(flight, values, np.full(6, 0.1)), NEED)
    ratios, *_ = model.of(values[:, None])
    none = np.diag(np.full(6, 0.01)) + drift._LEVEL**2
    for column, variance, ratio in zip(model.columns.T, model.variances, ratios[:, 0], strict=True):
        both = none + variance * np.outer(column, column)
        logs = [multivariate_t(shape=shape, df=drift._TRUST).logpdf(values) for shape in (both, none)]
        # both directions together: the half that is awaited has twice the share of its chance
        size = variance * (column @ np.linalg.inv(both) @ values)
        assert np.exp(logs[0] - logs[1]) <= ratio if size > 0 else ratio < np.exp(logs[0] - logs[1])


def test_series_that_cannot_be_are_refused():
    with pytest.raises(ValueError, match="rise"):
        change_of(Series(np.array([1, 1, 2]), np.zeros(3), np.ones(3)), NEED)
    assert change_of(series([0.0, 0.1]), NEED) is None
