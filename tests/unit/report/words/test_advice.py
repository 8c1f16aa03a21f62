"""Whether to build at all: the first words on terminal, page and sheet, and sheets without anything to cut."""

from dataclasses import replace

import pytest
from helpers.invented.invented_result import bench, sample_result

from tradestudy.cli.folders import write_build_sheet
from tradestudy.quantities import in_imperial
from tradestudy.report.body_slots import places_of
from tradestudy.report.build_sheet.kept_words import change_steps
from tradestudy.report.build_sheet.sheet import all_sheets, save_build_sheet
from tradestudy.report.decision_words import decision
from tradestudy.report.page.facts import lead
from tradestudy.report.words.first_screen import first_screen
from tradestudy.report.words.gains import advice_words, best_found_words, is_no_change, named_wing
from tradestudy.report.words.limit_prices import deciding_words
from tradestudy.report.words.pilot_card import cards


@pytest.fixture(scope="module")
def result():
    return bench()


def kept(result, distance=None, **chosen):
    """Return the result with the panels of the stock wing, and parts that differ from its own."""
    stock, wing = result.stock, result.recommended
    choices = replace(stock.choices, **chosen)
    cut = replace(wing.cutting, panels_kept=True)
    own = stock.numbers.range_km if distance is None else distance
    numbers = replace(wing.numbers, span_mm=stock.numbers.span_mm, range_km=own)
    wing = replace(wing, choices=choices, cutting=cut, numbers=numbers)
    best = replace(result.best, numbers=replace(result.best.numbers, range_km=own + 1.2))
    return replace(result, recommended=wing, best=best, rule_costs=[])


def test_a_wing_worth_building_gets_no_such_advice(result):
    assert advice_words(result) == []
    assert "What to do" not in dict(first_screen(result))


def test_a_wing_that_is_best_left_alone_says_so_first(result):
    words = "Leave the wing as it is: new panels gain less than 5 %."
    same = kept(result)
    found = (
        f"With new panels the best wing found has a span of {same.best.numbers.span_mm:.0f} mm and "
        f"{same.best.choices.words}: 1.2 km more."
    )
    assert advice_words(same) == [words]
    assert first_screen(same)[0] == ("What to do", f"{words} {found}")
    assert lead(same)[:2] == [words, found]
    assert deciding_words(same) == []
    screen = dict(first_screen(same))
    assert "What limits it" not in screen and "first flight" not in screen["Balance mark"]


def test_a_wing_left_alone_tells_which_packs_had_no_room(result):
    why = "the 4S6P pack has no room where it balances the wing: laid fore and aft, 3 mm of width are missing"
    left = replace(kept(result), excluded=["4S5P, 1 pair of 2 mm rods: its rods meet", why])
    assert decision(left).limits == [f"Not tried: {why}."]
    assert decision(replace(kept(result, parallel=5), excluded=[why])).limits == []  # it carries another pack
    assert decision(replace(left, excluded=[])).limits == []
    wide = "the 4S4P pack is 172 mm wide and needs 1 mm of room on each side, the nose bay has 92 mm: 82 mm too little"
    assert decision(replace(left, excluded=[wide])).limits == [f"Not tried: {wide}."]


def test_without_a_search_the_least_gain_is_named(result):
    one = replace(kept(result), best=kept(result).recommended, recommended=None)
    assert advice_words(one) == ["Leave the wing as it is: new panels gain less than 5 %."]


def test_every_command_says_the_same_advice_on_one_wing(result):
    """Check a search, one wing alone as in `assess`, and a search whose best wing is another one."""
    same = kept(result)
    alone = replace(same, best=same.recommended, recommended=None)
    told = [decision(each).lines[0] for each in (same, alone, replace(same, best=same.recommended))]
    assert len(set(told)) == 1
    assert best_found_words(alone) == best_found_words(result) == []  # nothing beside it, or the wing is built new
    assert named_wing(same)[0] == named_wing(alone)[0] == told[0]
    assert named_wing(same)[1] == named_wing(alone)[1]
    span = f"{same.recommended.numbers.span_mm:.0f} mm"
    assert named_wing(same)[1].startswith(f"The recommended wing, as in tradestudy run: span {span}, ")


def test_a_gain_is_told_in_one_unit(result):
    """Check that the whole sentence is converted: 0.1 miles on 28 km would mislead."""
    stock = result.stock
    wing = replace(result.recommended, choices=stock.choices)
    wing = replace(wing, numbers=replace(wing.numbers, range_km=1.02 * stock.numbers.range_km))
    (words,) = advice_words(replace(result, recommended=wing))
    miles = stock.numbers.range_km / 1.609344  # by definition of the mile
    assert words.endswith(f"on {stock.numbers.range_km:.0f} km.")
    assert in_imperial(words).endswith(f"on {miles:.0f} miles.")


def test_parts_to_change_are_named_with_their_gain(result):
    own = result.stock.numbers.range_km
    changed = kept(result, own + 12.0, parallel=result.stock.choices.parallel + 1, propeller="9x7")
    (words,) = advice_words(changed)
    pack = f"{changed.stock.choices.series}S{changed.stock.choices.parallel + 1}P"
    assert words == (
        f"Keep the panels, and change only the pack ({pack}) and the propeller (9x7): +12 km. More is not worth it: "
        "new panels gain less than 5 %."
    )


def test_new_panels_that_gain_little_are_advised_against(result):
    """Check both sides of a twentieth of the range, for a wing of the stock wing's parts."""
    stock = result.stock
    for gain, advised in ((0.04, True), (0.06, False)):
        reach = stock.numbers.range_km * (1 + gain)
        wing = replace(result.recommended, choices=stock.choices)
        wing = replace(wing, numbers=replace(wing.numbers, range_km=reach))
        found = advice_words(replace(result, recommended=wing))
        assert [words.startswith("Leave the wing as it is, unless") for words in found] == [True] * advised


def test_a_search_for_the_best_wing_at_the_stock_span_says_where_kept_panels_are_tried(result):
    """Check both sides of a millimetre of span."""
    for longer, said in ((0.0, True), (2.0, False)):
        wing = replace(result.recommended, label="best", choices=replace(result.stock.choices, parallel=3))
        wing = replace(wing, numbers=replace(wing.numbers, span_mm=result.stock.numbers.span_mm + longer))
        found = advice_words(replace(result, best=wing, recommended=None))
        assert found == ["The span stays. Whether the panels that fly today will do, tradestudy run tells."] * said


def test_a_conflict_or_a_broken_limit_comes_before_such_advice(result):
    same = kept(result)
    assert advice_words(replace(same, conflict=["no"])) == []
    broken = [replace(state, met=False) for state in same.recommended.limits]
    assert advice_words(replace(same, recommended=replace(same.recommended, limits=broken))) == []


def test_the_sheet_of_a_wing_left_alone_has_nothing_to_cut(result, tmp_path):
    sheets = all_sheets(kept(result), "a4")
    assert sheets[0].title.startswith("Leave the wing as it is") and len(sheets) <= 3
    assert not any(word in sheet.title for sheet in sheets for word in ("Cut", "Work order", "First flights", "Load"))
    files = [path.name for path in save_build_sheet(kept(result), tmp_path)]
    assert files[0] == "build_sheet.pdf" and not (tmp_path / "templates").exists()


def test_the_sheet_of_another_pack_has_what_a_heavier_wing_needs(result):
    titles = [sheet.title for sheet in all_sheets(kept(result, 60.0, parallel=3), "a4")]
    assert titles[0].startswith("Change these parts only")
    assert any(title.startswith("Load test") for title in titles)
    assert any(title.startswith("First flights") for title in titles)
    assert not any("Work order" in title or "emplates" in title for title in titles)


def test_another_pack_is_told_with_the_room_it_needs(result):
    """Check 1 mm on each side of the pack of the drawn body."""
    changed = kept(result, 60.0, parallel=3)
    wing = changed.recommended
    (pack,) = (place for place in places_of(wing.body) if place.kind == "pack")
    steps = change_steps(changed, wing)
    needed = " x ".join(f"{side + 2:.1f}" for side in pack.size)
    assert steps[0].startswith("Pack: ") and f"Its middle lies {pack.middle[0]:.1f} mm behind the nose." in steps[0]
    assert f"this pack needs {needed} mm" in steps[1]
    assert f"{changed.stock.numbers.auw_g:.0f} g today" in steps[-1]
    assert change_steps(kept(result), kept(result).recommended) == []


def test_equal_wings_have_one_card(result):
    """Check the stock wing itself, and one with another pack, which has a card beside that of the stock wing."""
    names = [[text.name for _, text in cards(each)] for each in (kept(result), kept(result, 60.0, parallel=3))]
    assert len(names[0]) == 1 and " stock, " in names[0][0]
    assert len(names[1]) == 2 and " stretched, " in names[1][0]


def test_a_result_without_data_for_building_is_told_as_before():
    assert advice_words(sample_result()) == []


@pytest.mark.thorough
def test_a_wing_that_keeps_its_panels_has_no_acceptance_form(result, tmp_path):
    for each, form in ((kept(result), False), (result, True)):
        names = [path.name for path in write_build_sheet(each, tmp_path)]
        assert names[0] == "build_sheet.pdf" and ("acceptance.pdf" in names) is form


def test_a_single_change_that_changes_nothing_is_known(result):
    """Check the stock parts at the stock span, then with more span, then with another pack."""
    stock = result.stock
    longer = replace(stock, numbers=replace(stock.numbers, span_mm=stock.numbers.span_mm + 20))
    other = replace(stock, choices=replace(stock.choices, parallel=stock.choices.parallel + 1))
    assert [is_no_change(each, stock) for each in (stock, longer, other)] == [True, False, False]
