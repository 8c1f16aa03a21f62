"""Verdicts on handling: every branch describes its numbers, and warns only where it should."""

from dataclasses import replace

import pytest
from helpers.invented.invented_result import sample_result
from helpers.invented.invented_wing import design

from tradestudy.report.words.structure import TAKE_CARE
from tradestudy.report.words.verdicts import HANDLING_NOTE, verdicts
from tradestudy.results.design import LimitState

ROWS = (
    "Elevons in cruise",
    "Up-elevon at the stall",
    "Balance window",
    "Stability in pitch",
    "Yaw stiffness (turns into the wind)",
    "Roll rate, full stick in cruise",
    "Speed with 0.4 of roll control left",
    "Wagging (yaw and roll swing)",
    "A bank left alone",
    "Where the stall begins",
)


def judged(what, before=None, **now):
    """Return the verdict on one row of a 1480 mm wing compared with a stock wing, with some numbers changed."""
    stock, wing = design("stock", 1160.0), design()
    stock = replace(stock, numbers=replace(stock.numbers, **at_ten_metres_a_second(before or {})))
    wing = replace(wing, numbers=replace(wing.numbers, **at_ten_metres_a_second(now)))
    return next(row for row in verdicts(sample_result(stock=stock, recommended=wing)) if row.what == what)


def at_ten_metres_a_second(numbers):
    """Set both wings to one speed, so that roll per second and per metre are proportional."""
    rate = numbers.get("roll_rate_deg_s")
    return numbers if rate is None else {"roll_deg_per_m": rate / 10} | numbers


def test_roll_is_judged_at_equal_speed():
    """Check that a wing that rolls less per second only because it flies slower gets no warning."""
    row = judged(ROWS[5], {"roll_rate_deg_s": 200.0}, roll_rate_deg_s=150.0, roll_deg_per_m=20.0)
    assert row.words == "Rolls as fast as today."


@pytest.mark.parametrize(
    ("name", "what", "key"), [("yaw_stiffness", 4, "yaw_stiffness"), ("roll_per_metre", 5, "roll_deg_per_m")]
)
def test_the_required_share_is_that_of_the_study(name, what, key):
    """Check that if the search requires 0.5 of the stock wing's, 0.6 gives no warning and 0.45 does."""
    stock, wing = design("stock", 1160.0), design()
    held = LimitState(name, "", 0.0, 0.5 * getattr(stock.numbers, key), "", 0.1, False, True, "at least")
    for share, warns in ((0.6, False), (0.45, True)):
        now = replace(wing, numbers=replace(wing.numbers, **{key: share * getattr(stock.numbers, key)}), limits=[held])
        assert verdicts(sample_result(stock=stock, recommended=now))[what].warns == warns


def test_every_row_is_there_once_in_order():
    assert tuple(row.what for row in verdicts(sample_result())) == ROWS


def test_nothing_stretched_nothing_to_judge():
    assert verdicts(sample_result(best=None, recommended=None)) == []


@pytest.mark.parametrize(
    ("what", "before", "now", "words"),
    [
        (0, {"elevon_deg": -2.4}, {"elevon_deg": -2.2}, "Elevons in cruise as today."),
        (0, {"elevon_deg": -2.4}, {"elevon_deg": -4.0}, "Needs 1.6 deg more up-elevon in cruise than today."),
        (0, {"elevon_deg": -4.0}, {"elevon_deg": -2.4}, "Needs 1.6 deg less up-elevon in cruise than today."),
        (
            1,
            {},
            {"stall_elevon_deg": -9.2, "up_travel_deg": 20.0},
            "54 % of the throw is left at the stall for the flare.",
        ),
        (
            2,
            {},
            {"cg_mm": 171.0, "cg_front_mm": 148.0, "cg_back_mm": 181.0},
            "Good: the balance can move 23 mm ahead of the mark (then a stall at launch speed) and 10 mm behind it "
            "(then a static margin of 4.0 %, below which such wings oscillate in pitch).",
        ),
        (3, {"static_margin_pct": 6.8}, {"static_margin_pct": 7.0}, "As stable in pitch as today."),
        (
            3,
            {"static_margin_pct": 6.8},
            {"static_margin_pct": 9.0},
            "More stable in pitch: margin 9.0 % of the mean chord against 6.8.",
        ),
        (
            3,
            {"static_margin_pct": 9.0},
            {"static_margin_pct": 6.8},
            "More sensitive in pitch: margin 6.8 % of the mean chord against 9.0.",
        ),
        (4, {"yaw_stiffness": 0.030}, {"yaw_stiffness": 0.0295}, "As stable in yaw as today."),
        (4, {"yaw_stiffness": 0.030}, {"yaw_stiffness": 0.0249}, "Weaker in yaw: 0.83 of today's."),
        (4, {"yaw_stiffness": 0.030}, {"yaw_stiffness": 0.036}, "Stronger in yaw: 1.20 of today's."),
        (
            4,
            {"yaw_stiffness": -0.001},
            {"yaw_stiffness": 0.01},
            "Turns back into the wind, which the stock wing does not.",
        ),
        (
            5,
            {"roll_rate_deg_s": 269.0},
            {"roll_rate_deg_s": 210.0},
            "Rolls slower: 210 deg/s against 269, at equal speed 22 % less.",
        ),
        (5, {"roll_rate_deg_s": 200.0}, {"roll_rate_deg_s": 209.0}, "Rolls as fast as today."),
        (5, {"roll_rate_deg_s": 200.0}, {"roll_rate_deg_s": 230.0}, "Rolls faster: 230 deg/s against 200."),
        (
            6,
            {"control_speed_kmh": 150.0},
            {"control_speed_kmh": 146.0, "top_speed_kmh": 112.0},
            "Keeps its roll control up to top speed, as today.",
        ),
        (
            6,
            {"control_speed_kmh": 150.0},
            {"control_speed_kmh": 120.0, "top_speed_kmh": 112.0},
            "Keeps its roll control up to top speed: 0.4 of it is left at 120 km/h.",
        ),
        (7, {"dutch_roll_damping": 0.12}, {"dutch_roll_damping": 0.125}, "Wagging as today, and it dies out."),
        (7, {"dutch_roll_damping": 0.12}, {"dutch_roll_damping": 0.2}, "Wagging dies out sooner than today."),
        (7, {"dutch_roll_damping": 0.2}, {"dutch_roll_damping": 0.12}, "Wagging dies out later than today."),
        (
            7,
            {},
            {"dutch_roll_damping": 1.0, "dutch_roll_period_s": None},
            "Does not wag: a disturbance dies out without swinging.",
        ),
        (8, {}, {"spiral_time_s": 8.0}, "Left alone it levels its wings by itself."),
        (8, {}, {"spiral_time_s": None}, "Left alone it keeps its bank."),
        (
            8,
            {},
            {"spiral_time_s": -18.2},
            "Left alone it slowly tightens its turn: a bank doubles in 18 s, easy to fly.",
        ),
        (
            9,
            {},
            {"stall_starts_at_mm": 0.49 * 740},
            "The stall begins in the inner half: the tips and most of the elevons still work.",
        ),
        (
            9,
            {"tips_left_pct": 2.0},
            {"tips_left_pct": 2.4},
            "As today or better, but the tips stall soon after, with 2 % of their lift left: keep speed in turns.",
        ),
        (
            9,
            {},
            {"stall_starts_at_mm": 0.69 * 740},
            "The stall begins in the outer half: one wing may drop, so keep speed in turns.",
        ),
    ],
)
def test_harmless_handling_has_no_warning(what, before, now, words):
    row = judged(ROWS[what], before, **now)
    assert row.words == words and not row.warns


@pytest.mark.parametrize(
    ("what", "before", "now", "words"),
    [
        (0, {}, {"elevon_deg": -8.5}, "8.5 deg up in cruise leaves little"),
        (0, {}, {"elevon_deg": 8.5}, "8.5 deg down in cruise leaves little"),
        (0, {}, {"elevon_deg": 1.0}, "it cruises with the elevons down"),
        (1, {}, {"stall_elevon_deg": -17.5, "up_travel_deg": 20.0}, "88 % of the throw is used at the stall"),
        (1, {}, {"stall_elevon_deg": -20.5, "up_travel_deg": 20.0}, "full up-elevon does not bring it to the stall"),
        (2, {}, {"cg_mm": 147.0, "cg_front_mm": 148.0}, "the balance mark is ahead of the balance window"),
        (2, {}, {"cg_mm": 182.0, "cg_back_mm": 181.0}, "the balance mark is behind the balance window"),
        (
            2,
            {},
            {"cg_mm": 178.0, "cg_front_mm": 177.1, "cg_back_mm": 181.0},
            "a narrow window: the balance can move 1 mm",
        ),
        (2, {}, {"cg_front_mm": 181.1, "cg_back_mm": 181.0}, "no balance window: a stall at launch speed in front"),
        (3, {}, {"static_margin_pct": 3.5}, "very sensitive in pitch; margin 3.5 % of the mean chord against 6.8."),
        (3, {}, {"static_margin_pct": -1.0}, "unstable in pitch"),
        (3, {}, {"short_period_damping": -0.1}, "its quick pitch oscillation grows by itself"),
        (4, {"yaw_stiffness": 0.030}, {"yaw_stiffness": 0.0237}, "weaker in yaw, 0.79 of today's and below 0.8"),
        (4, {}, {"yaw_stiffness": -0.001}, "it does not turn back into the wind"),
        (
            5,
            {"roll_rate_deg_s": 200.0},
            {"roll_rate_deg_s": 138.0},
            "rolls much slower: 138 deg/s against 200, at equal speed 31 % less.",
        ),
        (5, {}, {"roll_rate_deg_s": -5.0}, "the elevons do not roll it"),
        (
            6,
            {},
            {"control_speed_kmh": 100.0, "top_speed_kmh": 112.0},
            "above 100 km/h less than 0.4 of its roll control",
        ),
        (
            6,
            {},
            {"roll_reversal_kmh": 108.0, "top_speed_kmh": 112.0},
            "the elevons twist the wing: no roll control",
        ),
        (7, {}, {"dutch_roll_damping": 0.05}, "wagging lasts long in rough air, damping 0.05"),
        (7, {}, {"dutch_roll_damping": -0.02}, "its wagging grows by itself"),
        (8, {}, {"spiral_time_s": -3.0}, "left alone it rolls into a turn quickly: a bank doubles in 3.0 s."),
        (
            9,
            {"tips_left_pct": 9.0},
            {"tips_left_pct": 3.0},
            "the tips stall soon after, with 3 % of their lift left against 9",
        ),
        (9, {}, {"stall_starts_at_mm": 0.71 * 740}, "the tips stall first"),
    ],
)
def test_dangerous_handling_has_a_warning(what, before, now, words):
    row = judged(ROWS[what], before, **now)
    assert row.warns and row.words.startswith(TAKE_CARE + words)


def test_both_wings_are_shown_with_their_units():
    assert judged(ROWS[0], {"elevon_deg": 1.0, "elevon_mm": 0.7})[1:3] == (
        "1.0 deg down (0.7 mm)",
        "2.4 deg up (1.6 mm)",
    )
    row = judged(ROWS[8], {"spiral_time_s": 5.0}, spiral_time_s=-12.04)
    assert (row.stock, row.stretched) == ("halves in 5.0 s", "doubles in 12.0 s")
    assert judged(ROWS[8], spiral_time_s=None).stretched == "constant"
    row = judged(ROWS[7], {"dutch_roll_damping": 1.0, "dutch_roll_period_s": None}, dutch_roll_damping=0.125)
    assert (row.stock, row.stretched) == ("damping 1.00", "damping 0.12, period 1.1 s")
    assert judged(ROWS[9], stall_starts_at_mm=370.0).stretched == "370 mm out, 9.0 % of lift left at the tips"


def test_no_jargon():
    said = " ".join(" ".join(row[:4]) for row in verdicts(sample_result())) + HANDLING_NOTE
    for term in ("dutch", "spiral", "phugoid", "short period", "Cn", "Cl", "derivative", "eigen"):
        assert term not in said
