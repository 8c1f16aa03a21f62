"""What the live page shows of a look: the words and numbers of the report, differences, limits, pinned wings."""

from dataclasses import replace

import pytest
from helpers.invented.invented_look import controls_of, look_at
from helpers.invented.invented_wing import made

from tradestudy.page_server.after_release import bands_answer
from tradestudy.page_server.shown import controls_shown, drawing_frame, found_answer, look_answer
from tradestudy.page_server.speed_curve import advised_end, speed_axis, speed_curve
from tradestudy.quantities import printed_in
from tradestudy.report.page.wing_view import frame_of
from tradestudy.report.words.phrases import NUMBER_WORDS, number_text
from tradestudy.results.flight import Curves
from tradestudy.results.look.look import LookBand
from tradestudy.results.look.sliders import FoundWings

BAND = {"number": "range_km", "low": 60.2, "high": 99.6, "about": True}


@pytest.fixture(scope="module")
def controls():
    return controls_of()


def entries(answer):
    return {each["key"]: each for each in answer["strip"]}


def test_strip_has_the_numbers_of_the_report_and_the_difference_from_the_stock_wing(controls):
    look = look_at(1480.0, weight=1560.4, distance=81.3, bands=[BAND])
    shown = entries(look_answer(controls, look))
    assert (shown["purpose"]["head"], shown["purpose"]["value"], shown["purpose"]["unit"]) == ("Range", "81", "km")
    assert shown["purpose"]["less"] == "about 60 to 100"
    for key in ("auw_g", "cruise_current_a", "stall_speed_kmh", "cg_mm"):
        unit, digits = NUMBER_WORDS[key][1:]
        assert (shown[key]["value"], shown[key]["unit"]) == (number_text(getattr(look.numbers, key), digits), unit)
    assert shown["auw_g"]["change"] == "no change"  # 1560.4 against 1560.0, both shown as 1560


def test_differences_are_of_the_numbers_as_shown_and_from_the_first_pinned_wing(controls):
    look, heavy, light = look_at(weight=1560.6), look_at(weight=1600.4), look_at(weight=1500.0)
    assert entries(look_answer(controls, look, [heavy, light]))["auw_g"]["change"] == "−39 g"  # 1561 - 1600
    assert entries(look_answer(controls, look, [light, heavy]))["auw_g"]["change"] == "+61 g"
    assert "wing A" in look_answer(controls, look, [heavy])["fields"]["basis"]
    assert "the stock wing" in look_answer(controls, look)["fields"]["basis"]


def test_worst_limit_is_named_with_its_amount_and_who_asks(controls):
    answer = look_answer(controls, look_at(broken=True))
    worst = entries(answer)["worst"]
    assert (worst["state"], worst["value"]) == ("broken", "Pack as far forward as it can lie")
    assert worst["less"] == "57 mm, at least 59 mm"
    first = answer["limits"]["first"][0]
    assert first["standing"] == "broken" and first["whose"].startswith("asked by: you (the study); ")
    assert first["whose"].endswith("what helps: a bay 2 mm longer at that end, or other equipment moved the other way")
    met = look_answer(controls, look_at())["limits"]["first"][0]
    assert "what helps" not in met["whose"]
    assert answer["fields"]["stopping"].startswith("Do not build this wing: it breaks a limit: pack as far forward")


@pytest.mark.parametrize(
    "value, bound, unit, words, left",
    [
        (5.13, 5.0, "%", "5.1 %, at least 5 %", "0.1 % left"),
        (0.472, 0.4, "", "0.5, at least 0.4", "0.07 left"),
        (30.04, 27.25, "km/h", "30 km/h, at least 27 km/h", "3 km/h left"),
        (2.0004, 2.0, "m/s", "2 m/s, at least 2 m/s", "0.0004 m/s left"),
    ],
)
def test_a_limit_that_is_met_tells_what_is_left(controls, value, bound, unit, words, left):
    look = look_at()
    state = replace(look.limits[0], value=value, bound=bound, unit=unit, active=False, met=True)
    row = look_answer(controls, replace(look, limits=[state]))["limits"]["first"][0]
    assert (row["figure"], row["standing"]) == (words, left)


def test_five_limits_come_first_and_none_is_left_out(controls):
    look = look_at()
    many = replace(look, limits=[replace(look.limits[0], words=f"limit {index}") for index in range(8)])
    shown = look_answer(controls, many)["limits"]
    words = [each["words"] for part in ("first", "others") for each in shown[part]]
    assert len(shown["first"]) == 5 and words == [f"Limit {index}" for index in range(8)]


def test_many_broken_limits_are_counted_and_three_are_named(controls):
    look = look_at()
    states = [replace(look.limits[0], words=f"limit {index}", met=False) for index in range(5)]
    words = look_answer(controls, replace(look, limits=states))["fields"]["stopping"]
    assert words == "Do not build this wing: it breaks 5 limits: limit 0, limit 1, limit 2 and 2 more."


def test_numbers_at_the_medians_are_called_a_first_estimate(controls):
    assert "a first estimate" in look_answer(controls, replace(look_at(), expected=False))["fields"]["basis"]
    assert "a first estimate" not in look_answer(controls, look_at())["fields"]["basis"]


def test_sliders_stand_where_the_wing_is_and_the_wing_can_be_sent_back(controls):
    look = look_at(1480.0)
    answer = look_answer(controls, look)
    assert answer["sliders"]["span_mm"] == 1480.0 and answer["boxes"]["span_mm"] == "1480"
    assert answer["boxes"]["sweep_deg"] == "24.70"
    assert answer["wing"]["variables"]["static_margin_pct"] == look.variables.static_margin_pct
    assert answer["wing"]["choice"]["propeller"] == "10x7"
    replaced = {slider["key"]: slider["replaces"] for slider in controls_shown(controls)["sliders"]}
    assert replaced["span_mm"] == "extension_mm" and replaced["pack_position_mm"] == "static_margin_pct"


def test_pinned_wings_stand_side_by_side(controls):
    pins = look_answer(controls, look_at(1480.0), [look_at(1600.0), look_at(1700.0)])["pins"]
    assert [column["name"] for column in pins["columns"]] == ["This wing", "A", "B"]
    rows = {row["head"]: row["cells"] for row in pins["rows"]}
    assert rows["Span [mm]"] == ["1480", "1600", "1700"]
    assert all(len(row["cells"]) == 3 for row in pins["rows"])


def test_found_wings_are_rows_that_can_be_put_on_the_sliders():
    look = look_at(1500.0)
    found = made(
        FoundWings,
        {
            "kind": "best",
            "study_id": "x",
            "wings": [{"name": "a wing", "label": "best", "look": look}],
            "sentence": "One wing.",
            "stopped": False,
        },
    )
    answer = found_answer(found)
    assert answer["message"] == "One wing." and answer["shown"][0]["cells"][:3] == ["best", "81", "1500"]
    assert answer["shown"][0]["wing"]["variables"]["extension_mm"] == look.variables.extension_mm


def test_new_bands_lose_their_about(controls):
    band = LookBand("range_km", 60.2, 99.6, False)
    assert bands_answer(controls, [band]) == {"bands": {"purpose-less": "60 to 100"}}


def test_every_wing_of_the_sliders_fits_into_the_drawing(controls):
    frame, widest = drawing_frame(controls), frame_of([look_at(1750.0, sweep_back=305.0 * 1750 / 1300)])
    assert frame.half >= widest.half - 0.5 and frame.length >= widest.length - 0.5


def test_curve_has_its_cruise_at_the_value_of_the_wing(controls):
    look = look_at(1480.0)
    curve = speed_curve(controls.stock, look, None)
    low, high = speed_axis(controls.stock)
    at = 1000 * (look.numbers.cruise_speed_kmh - low) / (high - low)
    assert curve["paths"]["at"].startswith(f"M{at:.0f} 1000V")
    here = next(label for label in curve["labels"] if label["look"] == "here")
    assert here["text"] == "57 km/h" and here["left"] == pytest.approx(0.1 * at, abs=0.01)


def test_advised_speed_has_a_line_and_its_words_or_neither(controls):
    assert advised_end(controls.stock, None) == {"path": "", "labels": []}
    known = advised_end(controls.stock, 94.0)
    assert known["labels"][0]["text"] == "advised highest 94" and known["path"].startswith("M")


def test_inches_and_ounces_throughout_while_sliders_keep_their_numbers(controls):
    look = look_at(1480.0, distance=81.0, bands=[BAND])
    with printed_in("imperial"):
        answer, shown = look_answer(controls, look, [look_at(1600.0)]), controls_shown(controls)
    strip = entries(answer)
    # 81 km / 1.609344 and 1480 mm / 25.4, both by definition of mile and inch
    assert (strip["purpose"]["value"], strip["purpose"]["unit"]) == ("50", "miles")
    assert strip["purpose"]["less"] == "about 37 to 62"
    assert strip["auw_g"]["less"] == "58.27 in span"
    assert answer["spoken"]["span_mm"] == "58.27 in" and answer["boxes"]["span_mm"] == "1480"
    rows = {row["head"]: row["cells"] for row in answer["pins"]["rows"]}
    assert rows["Span [in]"] == ["58.27", "62.99"]
    assert "airspeed [mph]" in [label["text"] for label in answer["curve"]["labels"]]
    assert shown["sliders"][0]["stock_text"] == "51.18 in" and shown["sliders"][0]["high"] == 1750.0
    steps = {slider["key"]: slider["step"] for slider in shown["sliders"]}
    # 0.2 in for 5 mm, 0.05 in for 1 mm, 0.2 mph for 0.5 km/h; degrees stay
    assert steps["span_mm"] == pytest.approx(0.2 * 25.4) and steps["pack_position_mm"] == pytest.approx(0.05 * 25.4)
    assert steps["cruise_speed_kmh"] == pytest.approx(0.2 * 1.609344) and steps["sweep_deg"] == 0.25
    assert [slider["step"] for slider in controls_shown(controls)["sliders"]] == [5.0, 0.25, 0.1, 1.0, 0.5]
    near = replace(look, limits=[replace(look.limits[0], value=5.13, bound=5.0, unit="%")])
    with printed_in("imperial"):
        assert look_answer(controls, near)["limits"]["first"][0]["figure"] == "5.1 %, at least 5 %"
    metric = [text for text in str(answer).split() if text in ("km,", "km/h,", "g,", "mm,")]
    assert metric == []


def test_a_rule_in_words_is_a_hint_and_never_a_value_that_could_be_sent(controls):
    (wind,) = controls.study_keys
    rule = "by weight for a throw (27 km/h at 2 kg)"
    speed = replace(wind, key="fly.launch_speed", value=rule, given=False, number=None, unit="km/h")
    launch = replace(speed, key="fly.launch", value="hand if it can be thrown", unit="", options=["hand", "bungee"])
    assumed = replace(wind, value="4 m/s", given=False)
    made = replace(controls, study_keys=[speed, launch, assumed, replace(launch, value="bungee", given=True)])
    with printed_in("imperial"):
        shown = controls_shown(made)["keys"]
    assert [key["value"] for key in shown] == ["", "", "4 m/s", "bungee"]
    assert [key["hint"] for key in shown[:2]] == [
        "By weight for a throw (17 mph at 4.4 lb)",
        "Hand if it can be thrown",
    ]


def test_a_wing_that_cannot_fly_says_why_and_has_no_curve(controls):
    words = "it stalls at every speed that the motor reaches"
    look = look_at()
    numbers = replace(look.numbers, stall_speed_kmh=None, top_speed_kmh=None)
    grounded = replace(look, cannot_fly=words, numbers=numbers, curves=Curves(), all_met=False)
    answer = look_answer(controls, grounded)
    assert answer["fields"]["stopping"] == answer["fields"]["curve-words"] == words.capitalize()
    assert entries(answer)["stall_speed_kmh"]["value"] == "–" and answer["curve"]["paths"]["line"] == ""
    assert words.capitalize() in answer["said"]


def test_the_box_of_a_slider_that_cannot_move_tells_of_the_wing(controls):
    """An added tip piece carries the taper on, so the tip of the wing is not that of the stock panel."""
    look = look_at()
    look = replace(
        look, variables=replace(look.variables, washout_deg=2.0), numbers=replace(look.numbers, washout_deg=2.5)
    )
    held = [replace(each, fixed_why="held") if each.key == "washout_deg" else each for each in controls.sliders]
    assert look_answer(controls, look)["boxes"]["washout_deg"] == "2.0"
    assert look_answer(replace(controls, sliders=held), look)["boxes"]["washout_deg"] == "2.5"
