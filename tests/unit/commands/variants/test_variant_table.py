"""Rows of variants: read from a table, or drawn so that every part of every range has one row."""

import os

import numpy as np
import pytest

from tradestudy.commands.variants.variant_table import VariantSample, VariantTable, wing_values
from tradestudy.errors import CommandError


def table(folder, text, study):
    file = folder / "table.csv"
    file.write_bytes(text.encode("utf-8"))
    return VariantTable(file, study)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_a_table_is_read_with_any_separator_and_without_empty_cells(tmp_path, godwit_study, separator):
    text = "\ufeffspan, fly.wind\r\n1300 mm,3 m/s\r\n,\r\n52 in,\r\n".replace(",", separator)
    found = table(tmp_path, text, godwit_study)
    assert (found.columns, found.count) == (["span", "fly.wind"], 2)
    assert list(found.rows()) == [{"span": "1300 mm", "fly.wind": "3 m/s"}, {"span": "52 in"}]
    assert found.empty == 1


def test_only_empty_rows_between_others_count_as_left_out(tmp_path, godwit_study):
    found = table(tmp_path, "span\n1300 mm\n\n \n1400 mm\n\n\n", godwit_study)
    assert (found.count, found.empty) == (2, 2)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty; its first line names the columns"),
        ("sapn\n1300 mm\n", 'table.csv: "sapn" cannot be a column. Did you mean span?'),
        ("fly.wnd\n3 m/s\n", "fly.wnd cannot be a column: "),
        ("span,span\n1,2\n", "a column is given twice"),
        ("span\n1300,3\n", "line 2: 2 cells, where the first line names 1"),
        ("span\n", "has 0 rows; 1 to 1000000 are allowed"),
        ("span\n\0\n" + "x" * 140_000, "table.csv cannot be read"),
    ],
)
def test_a_wrong_table_is_refused_before_any_work(tmp_path, godwit_study, text, words):
    with pytest.raises(CommandError) as refused:
        table(tmp_path, text, godwit_study)
    assert words.removeprefix("table.csv: ") in str(refused.value)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="Windows has no named pipes in folders")
def test_what_never_ends_is_no_table(tmp_path, godwit_study):
    os.mkfifo(tmp_path / "table.csv")
    with pytest.raises(CommandError, match="no file but a pipe or a device"):
        VariantTable(tmp_path / "table.csv", godwit_study)
    with pytest.raises(CommandError, match="is a folder; give a table of variants"):
        VariantTable(tmp_path, godwit_study)


def test_a_number_without_a_unit_has_that_of_the_option():
    assert wing_values({"span": "1300", "fly.wind": "3 m/s", "parallel": "3"}) == {"span": 1.3, "parallel": 3}
    with pytest.raises(CommandError, match="parallel"):
        wing_values({"parallel": "2.5"})


def test_a_sample_has_one_row_in_each_part_of_each_range(godwit_study):
    words = ["span=1240:1740", "fly.wind=0:6", "parallel=2:4", "propeller=10x6,11x6"]
    sample = VariantSample(words, godwit_study, 12, 3)
    rows = list(sample.rows())
    assert (
        rows
        == list(VariantSample(words, godwit_study, 12, 3).rows())
        != list(VariantSample(words, godwit_study, 12, 4).rows())
    )
    spans = np.array([float(row["span"].removesuffix(" mm")) for row in rows])
    assert sorted(np.floor((spans - 1240) / (500 / 12)).astype(int)) == list(range(12))
    winds = np.array([float(row["fly.wind"].removesuffix(" m/s")) for row in rows])
    assert sorted(np.floor(winds / 0.5).astype(int)) == list(range(12))
    assert sorted(row["parallel"] for row in rows) == ["2"] * 4 + ["3"] * 4 + ["4"] * 4
    assert sorted(row["propeller"] for row in rows) == ["10x6"] * 6 + ["11x6"] * 6


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("span", "is no input of a sample"),
        ("span=1740:1240", "the lowest value is above the highest"),
        ("span=1240:1740:20", "cannot be read"),
        ("span=1240:99999", "beyond what these wings can be"),
        ("fly.wind=0:90", "fly.wind"),
        ("propeller=10by6", "propeller"),
    ],
)
def test_a_wrong_input_of_a_sample_is_refused(godwit_study, word, said):
    with pytest.raises(CommandError, match=said):
        VariantSample([word], godwit_study, 4, 1)
