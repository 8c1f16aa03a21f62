"""Tables as CSV: every number of the Result under a name that includes its unit."""

import csv
from dataclasses import replace
from io import StringIO

import pytest
from helpers.invented.invented_result import broken_bench, sample_result
from helpers.invented.invented_wing import design

from tradestudy.quantities import printed_in
from tradestudy.report.tables import TABLES, save_tables
from tradestudy.report.words import flight_tables
from tradestudy.results.club import Purchase
from tradestudy.results.numbers import KEYS


@pytest.fixture(scope="module")
def sample():
    return sample_result()


def rows_of(text):
    return list(csv.DictReader(StringIO(text)))


@pytest.mark.parametrize(("name", "field"), [("span_trade", "span_trade"), ("weight_range", "front")])
def test_designs_have_keys_choices_and_active_limits(sample, name, field):
    rows, designs = rows_of(TABLES[name](sample)), getattr(sample, field)
    assert len(rows) == len(designs)
    assert list(rows[0]) == [
        "label", *KEYS, "series", "parallel", "rod_diameter_mm", "rod_pairs", "propeller",
        "active_limits", "what_stops_it",
    ]  # fmt: skip
    for row, entry in zip(rows, designs, strict=True):
        for key in ("span_mm", "auw_g", "range_km", "cg_mm", "mah_per_km"):
            assert float(row[key]) == getattr(entry.numbers, key)
        assert row["first_failure"] == entry.numbers.first_failure
        assert int(row["parallel"]) == entry.choices.parallel
        assert row["active_limits"] == "; ".join(entry.active_limits)
    if name == "span_trade":
        assert rows[-1]["active_limits"] == "tip_deflection; failure_load_factor; largest_span"
        assert rows[-1]["what_stops_it"].startswith("bend of the tips in a pull-up; load factor at which")


def test_wings_table_has_every_wing(sample):
    rows = rows_of(TABLES["wings"](sample))
    labels = ["stock", "stretched", "best", "one pack less", "pack only", "span only"]
    assert [row["label"] for row in rows] == labels
    assert float(rows[0]["range_km"]) == 41.0


def test_speed_card_has_a_row_for_each_speed_of_each_wing(sample):
    rows = rows_of(TABLES["speed_card"](sample))
    assert [row["wing"] for row in rows] == ["stock"] * 40 + ["stretched"] * 40
    curves = sample.recommended.curves
    for key in ("speed_kmh", "power_w", "range_km", "elevon_deg"):
        assert [float(row[key]) for row in rows[40:]] == getattr(curves, key)
    assert {row["breaks"] for row in rows} == {""}
    breaks = [row["breaks"] for row in rows_of(TABLES["speed_card"](broken_bench()))]
    assert breaks == [""] * 40 + ["climb at full throttle; pack as far forward as it can lie"] * 40


@pytest.mark.parametrize(
    ("name", "group", "unit"),
    [("masses", "masses_g", "g"), ("drag", "drag_cm2", "cm2"), ("watts", "watts", "w")],
)
def test_parts_stand_side_by_side(sample, name, group, unit):
    rows = rows_of(TABLES[name](sample))
    for wing, entry in (("stock", sample.stock), ("stretched", sample.recommended)):
        parts = getattr(entry, group)
        assert {row["part"]: float(row[f"{wing}_{unit}"]) for row in rows} == parts


def test_drag_table_has_counts_shares_and_bands(sample):
    rows = {row["part"]: row for row in rows_of(TABLES["drag"](sample))}
    whip, section = rows["antenna whip"], rows["wing sections"]
    whole = sum(sample.recommended.drag_cm2.values())
    assert whip["stretched_count"] == "2" and section["stretched_low_cm2"] == ""
    assert float(whip["stretched_share_pct"]) == pytest.approx(100 * 4.4 / whole)
    assert (float(whip["stock_low_cm2"]), float(whip["stock_high_cm2"])) == pytest.approx((0.7 * 4.4, 1.5 * 4.4))


def test_drag_table_of_a_result_kept_from_before_has_the_areas_alone(sample):
    plain = [replace(wing, drag_breakdown={}) for wing in (sample.stock, sample.recommended)]
    text = TABLES["drag"](replace(sample, stock=plain[0], recommended=plain[1]))
    assert text.splitlines()[0] == "part,stock_cm2,stretched_cm2"
    assert flight_tables.drag_rows(replace(sample, stock=plain[0], recommended=plain[1])) == []


def test_drag_rows_end_with_the_listed_parts_and_the_total(sample):
    heads, rows = flight_tables.drag_heads(sample), flight_tables.drag_rows(sample)
    assert heads == [
        "drag in cruise by part",
        "stock cm²",
        "%",
        "stretched cm²",
        "%",
        "band cm²",
        "how it is calculated",
    ]
    assert {len(row) for row in rows} == {len(heads)}
    told = {row[0]: row[1:] for row in rows}
    assert rows[0][0] == "wing sections" and [row[0] for row in rows[-2:]] == [
        flight_tables.LISTED_PARTS,
        flight_tables.TOTAL,
    ]
    whole = sum(sample.recommended.drag_cm2.values())
    # nose 8, mount 5, whips 4.4, horns 3, edge 1.6: 22.0, by 0.8 and 1.3 to its ends
    assert told[flight_tables.LISTED_PARTS][2:5] == ("22.0", f"{100 * 22 / whole:.1f}", "17.6 to 28.6")
    assert told["2 × antenna whip"][2:5] == ("4.4", f"{100 * 4.4 / whole:.1f}", "3.1 to 6.6")
    assert told[flight_tables.TOTAL][2:] == (f"{whole:.1f}", "100.0", "", "")


def test_glide_names_the_propeller_that_it_includes(sample):
    first, second = flight_tables.glide_words(sample)
    assert first == (
        "The stock wing at 62 km/h: lift over drag 12.3; glide ratio with the motor off 8.4 to 1, with more drag area: "
        "stopped propeller 42.7 cm²."
    )
    assert second.startswith("The stretched wing at 57 km/h")
    free = [
        replace(wing, drag_breakdown=replace(wing.drag_breakdown, glide_parts=[]))
        for wing in (sample.stock, sample.recommended)
    ]
    without = flight_tables.glide_words(replace(sample, stock=free[0], recommended=free[1]))
    assert without[0] == "The stock wing at 62 km/h: lift over drag 12.3."
    assert "windmilling propeller under [[drag_item]]" in without[2]


def test_part_of_one_wing_only_is_nothing_in_the_other():
    light = design("stock", 1160.0, 1010.0, 41.0, 1)
    del light.masses_g["joiner"]
    rows = rows_of(TABLES["masses"](sample_result(stock=light)))
    joiner = next(row for row in rows if row["part"] == "joiner")
    assert (joiner["stock_g"], joiner["stretched_g"]) == ("0.0", "32.0")


def test_limits_and_structure(sample):
    rows = rows_of(TABLES["limits"](sample))
    stretched = [row for row in rows if row["wing"] == "stretched"]
    assert [row["name"] for row in stretched] == ["pack_forward", "slowest_flight", "climb"]
    assert [row["active"] for row in stretched] == ["yes", "yes", "no"]
    assert (stretched[2]["value"], stretched[2]["bound"], stretched[2]["unit"]) == ("3.4", "2.0", "m/s")
    rows = rows_of(TABLES["structure"](sample))
    assert len(rows) == 8
    assert rows[4]["wing"] == "stretched" and rows[4]["condition"] == "pull_up"
    assert float(rows[4]["weak_failure_load_factor"]) == 0.7 * 6.2


def test_words_of_a_study_cannot_start_a_formula():
    heavy = design("stock", 1160.0, 1010.0, 41.0, 1)
    heavy.masses_g['=HYPERLINK("x")'] = 3.0
    rows = rows_of(TABLES["masses"](sample_result(stock=heavy)))
    assert rows[-1]["part"] == '\'=HYPERLINK("x")'
    assert all(row["elevon_deg"] == "-2.4" for row in rows_of(TABLES["wings"](sample_result())))


def test_saved_tables_are_complete_and_empty_ones_are_not_written(sample, tmp_path):
    files = save_tables(replace(sample, builds=sample.front), tmp_path / "all")
    assert [file.name for file in files] == [f"{name}.csv" for name in TABLES]
    assert sorted(file.name for file in (tmp_path / "all").iterdir()) == sorted(file.name for file in files)
    assert (tmp_path / "all" / "masses.csv").read_text(encoding="utf-8") == TABLES["masses"](sample)
    bare = design("stock", 1160.0, 1010.0, 41.0, 1, (), 62.0, full=False)
    lists = ("span_trade", "front", "steps", "club", "club_spans", "shopping", "compared")
    nothing = {"best": None, "recommended": None, **dict.fromkeys(lists, [])}
    files = save_tables(sample_result(stock=bare, alternatives=[], **nothing), tmp_path / "few")
    assert [file.name for file in files] == ["wings.csv", "limits.csv"]


def test_pieces_to_cut_are_in_the_unit_of_their_column_and_names_of_prices_stay(sample):
    """18.39 in of rod are 467.1 mm: an inch has 25.4 mm."""
    rod = Purchase("rod", "", 2, 1, 2, "lengths", cuts_mm=[[467.106, 254.0], [50.8]], which="22 mm")
    result = replace(sample, shopping=[rod])
    (row,) = rows_of(TABLES["shopping"](result))
    assert (row["cuts_mm"], row["which"]) == ("[467.106, 254.0]; [50.8]", "22 mm")
    with printed_in("imperial"):
        (row,) = rows_of(TABLES["shopping"](result))
    assert (row["cuts_in"], row["which"]) == ("[18.39, 10.0]; [2.0]", "22 mm")
