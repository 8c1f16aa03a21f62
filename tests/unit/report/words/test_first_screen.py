"""The first screen and the phrases in it: their content and their words."""

from dataclasses import replace

import pytest
from helpers.invented.invented_result import sample_result
from helpers.invented.invented_wing import design
from helpers.readers.page_reader import Reader
from markupsafe import Markup

from tradestudy.quantities.limits import LIMITS
from tradestudy.report.page.page import page
from tradestudy.report.placed import with_places
from tradestudy.report.words.first_screen import first_screen as first_screen_rows
from tradestudy.report.words.gains import step_words, weight_prices
from tradestudy.report.words.phrases import ENERGY_ONLY, MEDIANS_ONLY, comma_list, limit_words, number_text
from tradestudy.report.words.pilot_card import COLUMNS, LINES, card_lines
from tradestudy.results.design import LimitState
from tradestudy.results.inputs import Uncertainty
from tradestudy.results.numbers import BalanceReason, WingBalance
from tradestudy.results.outline import OutlineItem, PackBox


@pytest.fixture(scope="module")
def sample():
    return sample_result()


@pytest.fixture
def without_figures(monkeypatch):
    """Leave out figures, since drawing takes two seconds a page. Words and tables are tested."""
    monkeypatch.setattr("tradestudy.report.figures.all_figures.FIGURES", {})


def answers(result) -> dict[str, str]:
    """Return the first screen as a dict of head -> words."""
    return dict(first_screen_rows(result))


def test_every_row_of_the_first_screen(sample):
    found = answers(sample)
    assert found["Span"].startswith(
        "1480 mm, 160 mm more on each side; any span from 1392 to 1608 mm stays within 2 % of the best range; "
    )
    assert found["Balance mark"].startswith("171 mm behind the nose, 109 mm ahead of the root trailing edge")
    assert found["Hold"] == "about 5.6 A: 57 km/h, 99 mAh/km"
    assert found["How far"].startswith("81 km on one charge; ")
    assert found["How far"].endswith(f". {MEDIANS_ONLY} {ENERGY_ONLY}")
    assert found["Flying weight"] == "1560 g, today 1010 g"
    # along the front 29.3 km are gained for 451 g: 6.5 km for each 100 g; 16.0 of them with the second pack
    assert found["What weight gives"] == (
        "Pack only: +17 km, 58 km at 1320 g. Span only: +14 km, 55 km at 1190 g. All together: +40 km. "
        "Along the weight-range line, from 1120 to 1571 g, each 100 g more gives about 6.5 km; "
        "16 of the 29 km come in one step from 1290 to 1410 g, with 4S2P."
    )
    assert found["What limits it"] == "pack as far forward as it can lie; stall speed against stock"
    assert "Measure first" not in found  # it is not known what to measure first


def test_a_better_speed_below_the_least_cruise_stands_second(sample):
    """Say on card and screen what slower flight gains, and how near to the stall it is."""
    wing = sample.recommended
    slow = replace(wing.pilot_card, slower_kmh=47.2, slower_km=84.4)
    slower = replace(sample, recommended=replace(wing, pilot_card=slow))
    assert answers(slower)["Hold"].endswith("; slower flies further: 47 km/h, 84 km, but 1.27 times the stall")
    plain, lines = (card_lines(each, each.recommended) for each in (sample, slower))
    assert lines[2] == "further at 47 km/h: 84 km, 1.27 times stall"
    assert len(lines) == len(plain) + 1 <= LINES and max(map(len, lines)) <= COLUMNS


def test_a_front_of_two_wings_gains_all_in_one_step(sample):
    """The gain of two wings is one step, whatever its size: no gain for each gram, and a sentence that ends."""
    two = replace(sample, front=[sample.front[0], sample.front[-1]])
    assert answers(two)["What weight gives"].endswith(
        "Along the weight-range line, from 1120 to 1571 g, all 29 km come in one step, with 4S2P."
    )


@pytest.mark.parametrize(("aside", "heavy", "light"), [(4.26, "right", "left"), (-4.26, "left", "right")])
def test_a_weight_for_the_lighter_tip(sample, aside, heavy, light):
    numbers = replace(sample.recommended.numbers, side_balance_mm=aside, tip_weight_g=9.7)
    found = answers(replace(sample, recommended=replace(sample.recommended, numbers=numbers)))["Balance mark"]
    assert found.endswith(f"; 4.3 mm to the {heavy}: 10 g in the {light} tip bring it to the middle")


def test_first_screen_has_window_band_and_what_to_measure(sample):
    wing = sample.recommended
    moved = replace(wing, numbers=replace(wing.numbers, cg_mm=171.4, cg_front_mm=168.2, cg_back_mm=174.7, auw_g=1563.2))
    stock = replace(sample.stock, numbers=replace(sample.stock.numbers, cg_mm=158.0))
    off = Uncertainty(
        range_km=9.4,
        balance_mm=1.0,
        pack_mm=1.0,
        failure_load_factor=0.1,
        measure_first="tip_set_back: 2 mm move the mark by 1 mm",
        strength_first="",
    )
    found = answers(replace(sample, recommended=moved, stock=stock, uncertainty=off))
    assert found["Balance mark"].endswith(
        "balance window 168 to 175 mm behind the nose, 132 to 99 mm ahead of the root trailing edge; first flight at "
        "166 mm behind the nose, 114 mm ahead of the root trailing edge; 13 mm further back than today"
    )
    assert found["How far"].startswith("81 km on one charge; ")
    assert found["Flying weight"].startswith("1563 g, today")
    assert found["Measure first"] == "tip_set_back: 2 mm move the mark by 1 mm"


def test_first_screen_names_what_moves_and_where_to(sample):
    def placed(wing, pack, radio):
        bay = OutlineItem("nose", x_mm=20.0, length_mm=200.0, width_mm=90.0, mass_g=0.0)
        gear = [
            OutlineItem(name, x_mm=place, mass_g=grams, length_mm=0.0, width_mm=0.0)
            for name, place, grams in (("radio", radio, 40.0), ("motor", 260.0, 90.0))
        ]
        return replace(
            wing,
            outline=replace(
                wing.outline, bays=[bay], equipment=gear, pack=PackBox(x_mm=pack, length_mm=80.0, width_mm=70.0)
            ),
        )

    found = answers(
        replace(sample, stock=placed(sample.stock, 80.0, 150.0), recommended=placed(sample.recommended, 120.4, 231.0))
    )
    assert found["Equipment"] == (
        "pack: middle 120 mm behind the nose, in the bay nose (today 80 mm); "
        "radio: middle 231 mm behind the nose (today 150 mm)"
    )
    still = answers(
        replace(sample, stock=placed(sample.stock, 80.0, 150.0), recommended=placed(sample.recommended, 80.6, 150.0))
    )
    assert still["Equipment"] == "pack: middle 81 mm behind the nose, in the bay nose; all else stays in place"
    wing, box = placed(sample.recommended, 80.0, 150.0), PackBox(x_mm=81.0, length_mm=80.0, width_mm=40.0)
    apart = replace(wing, outline=replace(wing.outline, pack=replace(box, from_centre_mm=45.0)))
    words = answers(replace(sample, recommended=apart))["Equipment"]
    assert "half of it in each half wing, 45 mm from the centre line" in words
    both = replace(wing, outline=replace(wing.outline, second_pack=replace(box, x_mm=180.0)))
    assert "its second half: middle 180 mm behind the nose" in answers(replace(sample, recommended=both))["Equipment"]


@pytest.mark.usefixtures("without_figures")
def test_stock_span_inside_the_flat_band_is_mentioned(sample):
    wide = replace(sample, band=replace(sample.band, low_mm=1090.0))
    words = Reader(page(wide)).words
    assert "more span gains little" in words and "<span" not in words


def test_step_that_breaks_a_limit_is_reported():
    broken = LimitState("climb", "climb at full throttle", 1.1, 2.0, "m/s", -0.18, False, False)
    step = design("pack only", 1160.0, 1320.0, 58.0, 2, (), full=False)
    step.limits[:] = [broken]
    words = answers(sample_result(steps=[step]))["What weight gives"]
    assert "Pack only: +17 km, 58 km at 1320 g, but it breaks the limit on climb at full throttle." in words


def test_what_a_single_change_needs_is_told_with_numbers():
    """Tell the value of a broken limit in units that a person knows, and a change that is none."""
    stall = LimitState("slowest_flight", "stall speed", 41.2, 38.0, "km/h", -0.18, False, False, "at most")
    step = design("pack only", 1160.0, 1320.0, 58.0, 2, (), full=False)
    step.limits[:] = [stall]
    stock = sample_result().stock
    none = replace(step, label="span only", choices=stock.choices)
    none = replace(none, numbers=replace(none.numbers, span_mm=stock.numbers.span_mm), limits=[])
    words = answers(sample_result(steps=[step, none]))["What weight gives"]
    assert "but it breaks the limit on stall speed (41.2 km/h, at most 38.0). Span only: no gain within" in words


def what_gives(pack, span=50.0, broken=()):
    """Return the words on what weight gives; the stock wing flies 41 km and the stretched one 81."""
    alone = design("pack only", 1160.0, 1320.0, pack, 2, (), full=False)
    alone.limits[:] = list(broken)
    longer = design("span only", 1480.0, 1190.0, span, 1, (), full=False)
    return answers(sample_result(steps=[alone, longer]))["What weight gives"]


def test_the_change_that_brings_most_of_the_gain_is_named_first():
    stall = LimitState("slowest_flight", "stall speed", 41.2, 38.0, "km/h", -0.18, False, False, "at most")
    assert what_gives(79.0, broken=[stall]).startswith(
        "The pack brings the gain, and a longer span carries it. At the stock span it would break the limit: stall "
        "speed. Pack only: +38 km, "
    )
    # 80 of 81 km with the stock span: the longer span is not worth its work
    assert what_gives(80.0).startswith(
        "The pack brings the gain, and the stock span carries it: leave the span as it is. Pack only: "
    )
    assert what_gives(76.0).startswith("The pack brings the gain, at the stock span too. Pack only: ")
    assert what_gives(50.0, span=78.0).startswith("The longer span brings most of the gain, with today's pack too. ")
    assert what_gives(58.0, span=55.0).startswith("Pack only: ")


def test_panels_that_miss_a_limit_by_a_hair_are_kept():
    """Check a miss of 0.04 km/h, that of 0.6 mm beside it, and one that two builds of a plan show."""
    stall = LimitState("slowest_flight", "stall speed", 38.04, 38.0, "km/h", -0.001, False, False, "at most")
    pack = LimitState("pack_aft", "pack as far back", 158.6, 158.0, "mm", -0.001, False, False, "at most")
    words = what_gives(80.5, broken=[stall, pack])
    assert (
        words.startswith("The pack brings the gain, at the stock span. With it today's panels miss the limits: ")
        and "differ: you may keep them instead, and allow that little more" in words
        and " more (limits.stall_speed_ratio and the bay's length)." in words
    )
    assert "(38.04 km/h, at most 38.00)" in words  # in digits that differ
    far = replace(stall, value=39.2)
    assert "you may keep them" not in what_gives(80.5, broken=[far, pack])
    assert "you may keep them" not in what_gives(75.0, broken=[stall, pack])  # new panels gain more


def test_no_longer_span_is_named_where_there_is_none():
    stall = LimitState("slowest_flight", "stall speed", 41.2, 38.0, "km/h", -0.18, False, False, "at most")
    alone = design("pack only", 1160.0, 1320.0, 79.0, 2, (), full=False)
    alone.limits[:] = [stall]
    whole = sample_result(steps=[alone])
    same = replace(whole.recommended.numbers, span_mm=whole.stock.numbers.span_mm + 0.4)
    whole = replace(whole, recommended=replace(whole.recommended, numbers=same))
    assert step_words(whole)[0] == (
        "The pack brings the gain, at the stock span. Panels or balance must change with it: in the stock wing the "
        "pack breaks the limit: stall speed."
    )


def test_a_step_that_breaks_many_limits_lists_the_worst():
    names = ["climb", "fin_volume", "tip_deflection", "end_throttle"]
    step = design("pack only", 1160.0, 1320.0, 58.0, 2, (), full=False)
    step.limits[:] = [
        LimitState(name, LIMITS[name].words, 1.0, 2.0, "", -0.1 * place, False, False)
        for place, name in enumerate(names, start=1)
    ]
    words = answers(sample_result(steps=[step]))["What weight gives"]
    assert (
        "breaks the limits on throttle needed at the end of the flight, bend of the tips in a pull-up and 2 more."
        in words
    )


def test_words_for_limits():
    told = LimitState("slowest_flight", "stall at launch speed", 0.0, 0.0, "", 0.0, True, True)
    wing = design(full=False)
    wing.limits[:] = [told]
    assert limit_words("slowest_flight", wing) == "stall at launch speed"
    assert limit_words("slowest_flight") == "stall speed"
    assert limit_words("largest_span", wing) == "longest span the study allows"
    assert limit_words("some_new_limit") == "some new limit"


def test_small_words():
    assert comma_list(["a"]) == "a" and comma_list(["a", "b", "c"]) == "a, b and c" and comma_list([]) == ""
    assert number_text(-0.04, 1) == "0.0" and number_text(-2.44, 1) == "\N{MINUS SIGN}2.4"
    assert number_text(None) == "–" and number_text("rod") == "rod"
    assert weight_prices(sample_result(front=[])) == []
    light, heavy = (sample_result().front[place] for place in (0, -1))
    no_farther = replace(heavy, numbers=replace(heavy.numbers, range_km=light.numbers.range_km))
    assert weight_prices(sample_result(front=[light, no_farther]))[0] == (
        "Along the weight-range line, from 1120 to 1571 g, more weight gains nothing."
    )


def test_a_window_that_limits_close_is_told_with_the_room_in_flight(sample):
    """Check a window of no width between limits: a builder hears where the wing would fly all the same."""
    ends = [("front", 171.0, True), ("front", 167.2, False), ("back", 171.0, True), ("back", 174.1, False)]
    wing = sample.recommended
    reasons = [BalanceReason(side, "", place, 280.0 - place, limit) for side, place, limit in ends]
    closed = replace(
        wing,
        numbers=replace(wing.numbers, cg_front_mm=171.0, cg_back_mm=171.0),
        balance=WingBalance(0.0, reasons, []),
    )
    said = answers(replace(sample, recommended=closed))["Balance mark"]
    assert "narrow, 0.0 mm, by limits of the study or the stock wing alone; in flight 167 to 174 mm behind" in said
    assert "in flight" not in answers(sample)["Balance mark"]


def test_a_span_like_the_stock_wings_says_that_more_gains_little(sample):
    stock = sample.stock.numbers.span_mm
    near = replace(sample, band=replace(sample.band, low_mm=stock - 1))
    words = "The stock span is in that band: with these parts, more span gains little."
    assert answers(near)["Span"].endswith(words) and words not in answers(sample)["Span"]
    assert f"; the stock wing flies {sample.stock.numbers.range_km:.0f} km; " in answers(sample)["How far"]


def test_a_band_of_one_span_is_no_band(sample):
    """Check a wing whose limits allow no other span: neither "from 1160 to 1160 mm" nor that more span gains little."""
    stock = sample.stock.numbers.span_mm
    one = replace(sample.band, low_mm=stock, high_mm=stock + 0.3)
    said = answers(replace(sample, band=one))["Span"]
    assert "every other span loses more than 2 % or breaks a limit" in said
    assert "any span from" not in said and "gains little" not in said
    wide = answers(replace(sample, band=replace(one, high_mm=stock + 40.0)))["Span"]
    assert "any span from 1160 to 1200 mm stays within 2 %" in wide and "gains little" in wide


def test_no_row_of_a_wing_that_hangs_to_one_side_shows_its_markup(sample):
    """Check every row with numbers that carry their places: text joined without them would be escaped on the page."""
    numbers = replace(sample.recommended.numbers, side_balance_mm=4.26, tip_weight_g=9.7)
    rows = answers(with_places(replace(sample, recommended=replace(sample.recommended, numbers=numbers))))
    assert "tip bring it to the middle" in rows["Balance mark"]
    for head, words in rows.items():
        assert "data-key" not in words or isinstance(words, Markup), head
        assert "&lt;" not in words, head
