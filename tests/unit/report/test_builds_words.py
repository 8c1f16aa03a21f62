"""The front of several quantities in words, table, figure and page, from an invented result."""

import csv
from dataclasses import replace
from io import StringIO

import pytest
from helpers.invented.invented_draws import invented_draws
from helpers.invented.invented_result import sample_result

from tradestudy.report.builds_words import (
    CARRYING_RULE,
    carrying_words,
    front_build_heads,
    front_build_rows,
    front_build_words,
)
from tradestudy.report.figures.builds import builds_figure
from tradestudy.report.page.page import page
from tradestudy.report.tables import TABLES
from tradestudy.report.words.phrases import letter_of
from tradestudy.results.trade import BuildsTrade, FrontQuantity

RANGE = FrontQuantity("range_km", "range", "km", 1)
WEIGHT = FrontQuantity("auw_g", "flying weight", "g", -1)
PRICE = FrontQuantity("build_price", "price", "EUR", -1)


def with_builds(count=4, **changed):
    """Return an invented result with builds of 90 km, 80 km ... at 120, 90 ... EUR, the second of which is the knee."""
    sample = sample_result()
    builds = [
        replace(
            wing,
            label="knee" if place == 1 else "build",
            numbers=replace(
                wing.numbers,
                range_km=90.0 - 10 * place,
                auw_g=1700.0 - 100 * place,
                build_price=120.0 - 30 * place,
                price_per_km_gained=2.5 + 0.5 * place,
            ),
        )
        for place, wing in enumerate(sample.span_trade[:count])
    ]
    return replace(
        sample,
        builds=builds,
        builds_traded=BuildsTrade(RANGE, [WEIGHT, PRICE], 1, 124.0),
        currency="EUR",
        **changed,
    )


@pytest.fixture(scope="module")
def result():
    return with_builds()


def test_table_answers_how_far_at_what_weight_for_how_much(result):
    heads = front_build_heads(result)
    rows = [dict(zip(heads, row, strict=True)) for row in front_build_rows(result, list("ABCD"))]
    assert [row["Build"] for row in rows] == ["A", "B, knee", "C", "D"]
    assert [row["Range [km]"] for row in rows] == ["90.0", "80.0", "70.0", "60.0"]
    assert [row["Price [EUR]"] for row in rows] == ["120.00", "90.00", "60.00", "30.00"]
    assert [row["Each km gained"] for row in rows] == ["2.50", "3.00", "3.50", "4.00"]
    assert [row["Flying weight [g]"] for row in rows] == ["1700", "1600", "1500", "1400"]


def test_band_is_that_of_the_proposed_wing_scaled(result):
    """Check it by hand: the ends of invented draws are 0.8 and 1.25 of their middle, so 72 to 112 km of 90 km."""
    drawn = replace(result, spread=invented_draws(0.8))
    column = front_build_heads(drawn).index("8 of 10 [km]")
    assert [row[column] for row in front_build_rows(drawn, list("ABCD"))[:2]] == ["72 to 112", "64 to 100"]
    assert any("scaled to each build" in line for line in front_build_words(drawn))
    assert "8 of 10 [km]" not in front_build_heads(result)
    assert not any("scaled to each build" in line for line in front_build_words(result))


def test_words_tell_the_knee_its_rule_and_what_is_carried(result):
    words = " ".join(front_build_words(result))
    assert "Each carries the same equipment, 124 g." in words
    assert "The knee is at 80.0 km, 1600 g and 90.00 EUR" in words and "greatest sum" in words
    assert "A kilometre is gained most cheaply, at 2.50 EUR" in words
    assert front_build_words(sample_result()) == []


@pytest.mark.thorough
def test_page_holds_the_table_and_the_figure(result):
    text = page(result)
    assert 'id="figure-builds"' in text and "Each km gained" in text
    assert 'data-key="builds/0/numbers/build_price"' in text
    assert 'id="figure-builds"' not in page(replace(result, builds=[], builds_traded=None))


def test_csv_has_a_row_for_each_build(result):
    rows = list(csv.DictReader(StringIO(TABLES["builds"](result))))
    assert [float(row["build_price"]) for row in rows] == [120.0, 90.0, 60.0, 30.0]
    assert TABLES["builds"](sample_result()) is None


def test_figure_names_every_build_and_draws_its_price(result):
    figure = builds_figure(result)
    plane, bars, carries, key = figure.axes
    line = next(line for line in plane.lines if line.get_gid() == "builds")
    assert line.get_xydata().tolist() == [[1700.0 - 100 * place, 90.0 - 10 * place] for place in range(4)]
    assert [bar.get_height() for bar in bars.patches] == [120.0, 90.0, 60.0, 30.0]
    assert [bar.get_height() for bar in carries.patches] == [240.0] * 4
    written = " ".join(text.get_text() for text in key.texts)
    assert all(f"{letter_of(place)}" in written for place in range(4)) and "B (knee): " in written
    assert builds_figure(with_builds(1)) is None and builds_figure(sample_result()) is None


def carrying(wing, most, reach, end="stall speed against stock"):
    return replace(wing, numbers=replace(wing.numbers, most_payload_g=most, loaded_range_km=reach, payload_end=end))


def test_table_answers_carrying_what(result):
    builds = [carrying(wing, 100.0 * place, 70.0 - 5 * place) for place, wing in enumerate(result.builds)]
    builds[3] = carrying(builds[3], None, None)
    shown = replace(result, builds=builds)
    heads = front_build_heads(shown)
    rows = [dict(zip(heads, row, strict=True)) for row in front_build_rows(shown, list("ABCD"))]
    assert [row["Carries [g]"] for row in rows] == ["0", "100", "200", "\N{EN DASH}"]
    assert [row["Range with it [km]"] for row in rows[:3]] == ["70.0", "65.0", "60.0"]
    ends = [row["What ends its payload"] for row in rows]
    assert ends == ["stall speed"] * 3 + ["breaks without any: stall speed"]
    assert CARRYING_RULE in front_build_words(shown) and CARRYING_RULE in page(shown)
    table = list(csv.DictReader(StringIO(TABLES["builds"](shown))))
    assert [row["most_payload_g"] for row in table] == ["0.0", "100.0", "200.0", ""]


def test_the_table_of_the_weight_range_line_says_what_carrying_means_and_its_caption_does_not(result):
    shown = replace(result, builds=[])
    caption, _, table = page(shown).partition('id="figure-weight_range"')[2].partition("These wings as a table")
    assert CARRYING_RULE not in caption and CARRYING_RULE in table


def test_without_that_number_the_table_has_no_such_columns(result):
    none = replace(result, builds=[carrying(wing, None, None, "") for wing in result.builds])
    assert not [head for head in front_build_heads(none) if "arries" in head or "payload" in head]
    assert CARRYING_RULE not in front_build_words(none)


def test_what_the_proposed_wing_carries_is_one_row_of_the_answer(result):
    shown = replace(
        result, recommended=carrying(result.recommended, 21.0, 171.0), stock=carrying(result.stock, 0.0, 41.0, "climb")
    )
    assert carrying_words(shown) == (
        "21 g at the balance mark over 171 km, beyond it stopped by stall speed; the stock wing nothing more: it is "
        "stopped by climb"
    )


def test_figure_draws_what_each_build_carries_only_where_all_are_known(result):
    some = [carrying(result.builds[0], None, None), *result.builds[1:]]
    assert len(builds_figure(result).axes) == 4 and len(builds_figure(replace(result, builds=some)).axes) == 3
