"""All inputs varied at once: statistics of many random draws of one design, against sums by hand."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.invented.invented_result import sample_result
from scipy.stats import norm

from tradestudy.report.words.input_effects import spread_lines
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.uncertainty.range_band import BAND_END, MODELS, SPREAD_QUANTITIES, margins_of, spread
from tradestudy.uncertainty.variants import DesignVariants, Input, InputVariants, KeyNumbers, VariantNumbers

MORE = {"auw_g": 1500.0, "cruise_speed_kmh": 50.0, "cruise_current_a": 3.0, "endurance_min": 120.0,
    "radius_by_charge_km": 45.0, "turn_back_min": 60.0, "usual_flight_min": 90.0, "stall_speed_kmh": 30.0,
    "top_speed_kmh": 110.0}  # fmt: skip


def look(range_km=100.0, margin=0.0, scatter=0.0):
    return VariantNumbers(KeyNumbers(1e3 * range_km, 0.15, 0.1, 6.0), MORE, {"one": margin, "two": 0.2}, scatter)


def one(key, low, high, values=("1 mm", "3 mm")):
    place = tuple(key.split("."))
    return InputVariants(
        Input(DefaultUsed(key, "2 mm", "", *values, place=place), ({place: values[0]}, {place: values[1]}), "assumed"),
        (low, high),
    )


def test_one_input_alone_gives_its_own_distribution_and_none_lies_beyond_its_ends():
    found = spread(DesignVariants(look(), [one("stock.span", look(90.0), look(110.0))]))
    low, middle, high = found.percentiles["range_km"]
    # P10 is at 1.2816 of 1.6449 of the way to an end, along the parabola in the logarithm
    off = norm.ppf(0.9) / BAND_END
    up = 0.5 * off * (off + 1) * np.log(1.1) + 0.5 * off * (off - 1) * np.log(0.9)
    assert high == pytest.approx(100 * np.exp(up), rel=1e-3) and middle == pytest.approx(100.0, rel=1e-3)
    assert 90 < low < high < 110
    assert found.matters == [("stock.span", pytest.approx(1.0))]


def test_models_scatter_as_a_logarithm():
    found = spread(DesignVariants(look(scatter=0.1), []))
    low, middle, high = found.percentiles["range_km"]
    assert (low, high) == (
        pytest.approx(100 * np.exp(-0.1 * norm.ppf(0.9)), rel=3e-3),
        pytest.approx(100 * np.exp(0.1 * norm.ppf(0.9)), rel=3e-3),
    )
    assert found.percentiles["cruise_current_a"].high == pytest.approx(3 * np.exp(0.1 * norm.ppf(0.9)), rel=3e-3)
    assert found.percentiles["auw_g"] == (1500.0, 1500.0, 1500.0) and found.matters == [(MODELS, 1.0)]


def test_variances_add_and_are_shared_out():
    twice = [one("stock.span", look(98.0), look(102.04)), one("stock.root_chord", look(96.0), look(104.17))]
    found = spread(DesignVariants(look(), twice))
    # nearly 0.02 and 0.04 in the logarithm: 1 to 4
    assert dict(found.matters) == {
        "stock.root_chord": pytest.approx(0.8, abs=0.02),
        "stock.span": pytest.approx(0.2, abs=0.02),
    }


def test_a_limit_at_its_bound_is_met_in_half_of_the_draws():
    found = spread(DesignVariants(look(), [one("foam.density", look(margin=-0.1), look(margin=0.1))]))
    assert found.holds["one"] == pytest.approx(0.5, abs=0.01) and found.holds["two"] == 1.0
    # linear: a tenth of the draws are short by 1.2816 / 1.6449 of the end
    assert found.falls["one"] == pytest.approx(0.1 * norm.ppf(0.9) / BAND_END, rel=0.01)
    assert found.falls["two"] == 0.0
    surer = spread(DesignVariants(look(), [one("foam.density", look(margin=-0.1), look(margin=0.1))]), chance=0.99)
    assert surer.falls["one"] == pytest.approx(0.1)  # one in a hundred is at the end itself


def test_words_are_drawn_one_two_one():
    found = spread(
        DesignVariants(look(), [one("foam.material", look(margin=-0.1), look(margin=0.1), ("EPP 20", "XPS 30"))])
    )
    assert found.holds["one"] == pytest.approx(0.75, abs=0.01)


def test_what_the_pilot_says_stays_and_an_end_that_cannot_be_moves_nothing():
    found = spread(
        DesignVariants(look(), [one("fly.reserve", look(50.0), look(150.0)), one("stock.span", None, look(110.0))])
    )
    low, middle, high = found.percentiles["range_km"]
    # the parabola through zero at the low end dips by an eighth of what the high end adds
    assert low > 98 and high < 110
    assert [key for key, _ in found.matters] == ["stock.span"]


def test_reported_and_in_words():
    told = spread(
        DesignVariants(look(scatter=0.1), [one("foam.density", look(margin=-0.1), look(margin=0.1))])
    ).reported()
    assert set(vars(told.percentiles)) == set(SPREAD_QUANTITIES)
    lines = spread_lines(replace(sample_result(), spread=told))
    assert "100 km to expect; one wing in ten flies less than 88 km, and one in ten more than 114 km" in lines[0]
    assert lines[2].endswith(f"{MODELS} 100 %.") and "meet them: one, 50 of 100." in lines[3]
    assert spread_lines(sample_result()) == []


def test_a_variant_that_lacks_a_limit_keeps_its_margin_as_assumed():
    """Check rods that run over a bay in a variant of the stock wing: there they may, so that limit is none."""
    nominal = VariantNumbers(KeyNumbers(100e3, 0.2, 0.1, 6.0), {}, {"strength": 0.3, "rods_clear": 0.1}, 0.0)
    lacking = nominal._replace(margins={"strength": 0.2})
    assert margins_of(lacking, nominal).tolist() == [0.2, 0.1]
