"""Texts in inches and ounces: numbers that are converted by hand, and sizes that stay as they are sold."""

import re

import pytest

from tradestudy.quantities import exact, exactly, imperial_table, in_imperial, printed, printed_in, trade_size
from tradestudy.quantities.imperial import imperial_axis, imperial_column

# by hand: 25.4 mm an inch, 28.3495 g an ounce, 1.609344 km a mile
CASES = [
    ("a span of 1460 mm: 80 mm more on each side", "a span of 57.48 in: 3.15 in more on each side"),
    ("It weighs 2511 g (today 1840 g)", "It weighs 88.6 oz (today 64.9 oz)"),
    ("eight in ten fly 131 to 204 km", "eight in ten fly 81 to 127 miles"),
    ("stalls at 35 km/h, in wind of 4 m/s", "stalls at 22 mph, in wind of 9 mph"),
    ("climbs 3.9 m/s", "climbs 12.8 ft/s"),
    ("flies 91.0 km (75.0 to 110.5 in eight of ten)", "flies 56.5 miles (46.6 to 68.7 in eight of ten)"),
    ("used 3405 mAh (2351 to 4932 in eight of ten)", "used 3405 mAh (2351 to 4932 in eight of ten)"),
    ("97 mAh/km (1.48 Wh/km)", "156 mAh/mile (2.38 Wh/mile)"),
    ("30 C to 110 C, \N{MINUS SIGN}5 C", "86 F to 230 F, 23 F"),
    ("balance 191, first 189, window 186 to 191 mm", "balance 7.52, first 7.44, window 7.32 to 7.52 in"),
    ("\N{MINUS SIGN}1.7 mm", "\N{MINUS SIGN}0.067 in"),
    ("38 x 26 x 9 mm", "1.50 x 1.02 x 0.35 in"),
    ("34.0 cm²", "5.27 sq in"),
]
AS_SOLD = [
    "2 pairs of 1/8 in rods",
    "propeller 10x6",
    "rod, carbon tube, 8 mm inside, 10 mm",
    "4S4P, 2 pairs of 3 mm rods, 10x6 propeller",
    "35 mm class, 640 rpm/V",
    "motor 28 mm, 820 rpm/V",
    'longest = "1750 mm"',
    "5.3 A, 14.8 V, 0.6 W, 12 min, 90 %, 4 deg, 2 Wh",
    "results/wing_1300 mm/report.html",
]


@pytest.mark.parametrize(("metric", "imperial"), CASES)
def test_numbers_are_converted_with_digits_that_say_as_much(metric, imperial):
    assert in_imperial(metric) == imperial


@pytest.mark.parametrize("text", AS_SOLD)
def test_what_has_a_trade_size_or_no_imperial_unit_stays(text):
    assert in_imperial(text) == text


def test_bare_numbers_of_a_table_follow_the_unit_of_their_head_or_of_their_row():
    assert imperial_table(
        ["span mm", "weight g", "built with"],
        [["1300", "2130", "4S3P, 2 pairs of 3 mm rods"], ["\N{EN DASH}", "0", ""]],
    ) == (
        ["span in", "weight oz", "built with"],
        [["51.18", "75.1", "4S3P, 2 pairs of 3 mm rods"], ["\N{EN DASH}", "0.0", ""]],
    )
    rows = [["Out in wind of 4 m/s [km]", "43.1"], ["Share [%]", "5"], ["Why", "a stall at 35 km/h"]]
    assert imperial_table(["", "stock"], rows) == (
        ["", "stock"],
        [["Out in wind of 9 mph [miles]", "26.8"], ["Share [%]", "5"], ["Why", "a stall at 22 mph"]],
    )


@pytest.mark.parametrize(
    ("millimetres", "sold"), [(3.175, "1/8 in"), (4.0, "4 mm"), (6.35, "1/4 in"), (5.5, "5.5 mm"), (2.3, "2.3 mm")]
)
def test_a_rod_is_named_by_the_size_under_which_it_is_sold(millimetres, sold):
    assert trade_size(millimetres / 1000) == sold


def test_a_number_is_converted_from_its_unrounded_value():
    """1549.6 mm is 61.01 in, but 1550 mm would be 61.02 in. A temperature has an offset."""
    with printed_in("imperial"):
        assert printed(exact(1549.6, "1550") + " mm") == "61.01 in"
        assert printed(f"{exactly(20.4):.0f} C") == "69 F"
        assert printed(exact(20.4, f"{exactly(20.4):.0f}") + " C") == "69 F"  # it carries its value once
        assert printed({"all": ["2 g", 3]}) == {"all": ["0.1 oz", 3]}
    assert exact(1549.6, "1550") == "1550" and printed("2 g") == "2 g"


def test_an_axis_is_scaled_by_the_unit_of_its_own():
    assert imperial_axis("leading-edge sweep [deg]; contours: range [km]") is None
    scale = imperial_axis("span [mm], faint where a limit is broken")
    assert scale.name == "span [in], faint where a limit is broken"
    assert scale.there(1300.0) == pytest.approx(51.1811, abs=1e-4) and scale.back(2.0) == pytest.approx(50.8)
    assert imperial_column("span_mm").name == "span_in" and imperial_column("series") is None


def test_wind_is_in_mph_wherever_it_stands():
    """A sentence, a table, an axis and a column of one grid: 4 m/s over 0.44704 m/s (exact) is 8.948 mph."""
    assert in_imperial("fly.wind 4 m/s") == "fly.wind 9 mph"
    heads, rows = imperial_table(["fly.wind m/s", "climb m/s"], [["4", "4"], ["12.5", "3"]])
    assert (heads, rows) == (["fly.wind mph", "climb ft/s"], [["9", "13"], ["28.0", "10"]])
    for scale, name in ((imperial_axis("fly.wind [m/s]"), "fly.wind [mph]"), (imperial_column("wind_ms"), "wind_mph")):
        assert scale.name == name and scale.there(4.0) == pytest.approx(8.9477, abs=1e-4)
    assert imperial_axis("climb [m/s], faint in wind").name == "climb [ft/s], faint in wind"
    assert imperial_column("climb_ms").name == "climb_fps"


def test_no_metric_unit_is_left():
    left = re.compile(r"\d (?:mm|cm|km|g|kg|km/h|m/s)(?![\w/])")
    assert [text for text, _ in CASES if left.search(in_imperial(text))] == []
