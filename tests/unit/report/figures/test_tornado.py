"""What moves the range most: bars, their order, signs and marks, against invented effects."""

from dataclasses import replace
from itertools import combinations

import pytest
from helpers.invented.invented_draws import invented_draws
from helpers.invented.invented_result import sample_result
from helpers.readers.figure_reader import artist, legible

from tradestudy.report.figures import style
from tradestudy.report.figures.tornado import tornado
from tradestudy.report.words.input_effects import bar_words, effect_bars
from tradestudy.results.inputs import AsBuilt, InputEffect, ToleranceEffect
from tradestudy.results.trade import Flip, Flips

MINUS = "\N{MINUS SIGN}"


def effect(key, low, high, **more):
    numbers = {"range_km": [low, high], "balance_mm": [0, 0], "pack_mm": [0, 0], "failure_load_factor": [0, 0]}
    return InputEffect(key=key, value="1 W", band="0 W to 3 W", moves="", kind="assumed", score=1.0, **numbers, **more)


def flip(name, end):
    return Flip(name, "input", "", False, "", None, [], None, "", None, None, None, "", False, band_end=end)


SHOP = AsBuilt(
    60, 70, None, None, [-2, 2], [ToleranceEffect("weight", "3 %", [5.0, -4.0], 70)], [], "", "", None, 0, 0, 9
)


@pytest.fixture(scope="module")
def result():
    """Return an invented result: one input with both ends worse, one with an end that cannot be, and the shop's."""
    effects = [
        effect("motor.resistance", 2.0, -3.0),
        effect("equipment[1].power", 0.0, -8.0, name="camera"),
        effect("stock.up_elevon", -1.0, -2.0),
        effect("pack.health", None, 1.5),
        effect("stock.span", 0.01, -0.01),
    ]
    found = replace(sample_result(), input_effects=effects, as_built=SHOP, spread=invented_draws())
    return replace(found, flips=Flips([flip("motor.resistance", "high"), flip("stock.span", "low")], 40, 0))


def test_bars_are_sorted_signed_and_in_km_from_the_headline(result):
    whole = result.recommended.numbers.range_km
    bars = effect_bars(result)
    assert [bar.key for bar in bars] == [
        "equipment[1].power (camera)", "build_tolerance.weight", "motor.resistance", "stock.up_elevon", "pack.health",
    ]  # fmt: skip
    assert bars[1].changes == pytest.approx((0.05 * whole, -0.04 * whole)) and bars[-1].changes == (None, 1.5)
    assert [bar.flips for bar in bars] == [(), (), ("high",), (), ()]


def test_the_figure_draws_each_end_from_the_range_to_expect(result):
    figure = tornado(result)
    ends = {("motor.resistance", "low"): 2.0, ("motor.resistance", "high"): -3.0, ("stock.up_elevon", "low"): -1.0}
    for (key, end), change in ends.items():
        bar = artist(figure, f"{key} {end}")
        assert bar.get_x() + bar.get_width() == pytest.approx(change) or bar.get_x() == pytest.approx(change)
        assert abs(bar.get_width()) == pytest.approx(abs(change))
    assert artist(figure, "flip motor.resistance high").get_xdata() == [-3.0]
    assert not [each for each in figure.findobj() if str(each.get_gid()).startswith("flip equipment")]
    low, middle, high = result.spread.percentiles.range_km
    band = artist(figure, "band of the range").get_extents().transformed(figure.axes[0].transData.inverted())
    assert (band.x0, band.x1) == pytest.approx((low - middle, high - middle), rel=1e-3)


@pytest.mark.parametrize("width", [style.WIDTH, style.PHONE_WIDTH])
def test_no_word_is_clipped_or_covers_another(result, width):
    for (words, box), (other_words, other) in combinations(legible(tornado(result, width)), 2):
        across, up = min(box.x1, other.x1) - max(box.x0, other.x0), min(box.y1, other.y1) - max(box.y0, other.y0)
        assert across < 2 or up < 3, f"{words!r} covers {other_words!r}"  # extents include room for descenders


def test_the_caption_tells_the_finding(result):
    said = " ".join(bar_words(result))
    assert f"equipment[1].power (camera) by {MINUS}8.0 km" in said and f"motor.resistance by +2.0 or {MINUS}3.0" in said
    assert "diamonds in the figure): motor.resistance at its high end." in said
    assert "No input changes" in " ".join(bar_words(replace(result, flips=Flips([], 40, 0))))
    assert "tradestudy flips" in " ".join(bar_words(replace(result, flips=None)))
    assert bar_words(replace(result, input_effects=[])) == [] and tornado(replace(result, input_effects=[])) is None
