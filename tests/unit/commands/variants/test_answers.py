"""Answers to rows: in their order, each computed once, refused rows with their reason, and equal to those of a grid."""

import contextlib
import csv
import io
from types import SimpleNamespace

import pytest
from helpers.places import GODWIT

import tradestudy as ts
from tradestudy.__main__ import main
from tradestudy.cli import session
from tradestudy.cli.variants import add_whole
from tradestudy.commands import design_grid
from tradestudy.commands.grid_points.rows import empty_row
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.commands.study_session import StudySession
from tradestudy.commands.variants import answers
from tradestudy.commands.variants.variant_table import VariantTable
from tradestudy.search.engines.processes import InProcess
from tradestudy.search.engines.record import Record


def table(folder, lines, study):
    file = folder / "table.csv"
    file.write_text("\n".join(lines), encoding="utf-8")
    return VariantTable(file, study)


@pytest.fixture()
def invented(monkeypatch, godwit_study):
    """Patch the model away: the range of a wing is its span in metres, and each task is noted."""
    done = []

    def rows(space, task):
        done.append(task)
        return [empty_row("x", "x") | {"range_km": values.get("span", 0.0)} for values in task.wings]

    def chunked(session, wings):
        return {}, [([place], values) for place, values in enumerate(wings)]

    monkeypatch.setattr(answers, "task_answers", rows)
    monkeypatch.setattr(answers, "chunked", chunked)
    monkeypatch.setattr(answers, "_KEYS_AT_ONCE", 4)
    # a batch is its one wing here
    monkeypatch.setattr(
        answers, "VariantsTask", lambda chunk, study, wings, search: Task(study, wings or [chunk or {}])
    )
    return done


class Task(SimpleNamespace):
    def __init__(self, study, wings):
        super().__init__(study=study, wings=wings, key=(study.text if study else "", wings))


def test_rows_come_in_order_and_what_is_known_is_not_computed_again(tmp_path, godwit_study, invented):
    lines = ["span,fly.wind", "1.3 m,", "1.4 m,3 m/s", "1.5 m,90 m/s", "1.6 m,3 m/s", "nonsense,", "1.7 m,4 m/s"]
    source, record = table(tmp_path, lines, godwit_study), Record(tmp_path / "record.sqlite", "study")

    def opened(engine):
        return SimpleNamespace(study=godwit_study, engine=engine, record=record, report_progress=lambda words: None)

    class Stopped(InProcess):
        count = 0

        def submit(self, function, item):
            self.count += 1
            if self.count == 3:
                raise KeyboardInterrupt
            return super().submit(function, item)

    with pytest.raises(KeyboardInterrupt):
        answers.answer_all(opened(Stopped()), source, False, lambda rows: None)
    found, before = [], len(invented)
    answers.answer_all(opened(InProcess()), source, False, found.extend)
    assert [row["span"] for row, _ in found] == ["1.3 m", "1.4 m", "1.5 m", "1.6 m", "nonsense", "1.7 m"]
    assert [answer["range_km"] for _, answer in found] == [1.3, 1.4, None, 1.6, None, 1.7]
    assert "fly.wind" in found[2][1]["limit_words"] and "span" in found[4][1]["limit_words"]
    computed = [values["span"] for task in invented for values in task.wings]
    assert sorted(computed) == [1.3, 1.4, 1.6, 1.7] and before == 2  # these two were kept
    assert any(len(task.wings) == 2 for task in invented)  # rows with the same keys share a study
    record.close()


def test_a_row_has_the_numbers_of_a_grid(tmp_path, godwit_study, monkeypatch, capsys):
    file, opened = tmp_path / "table.csv", StudySession(godwit_study, "test")
    file.write_text("span,cruise_speed\n1300,\n1400,54\n1000,\n", encoding="utf-8")
    monkeypatch.setattr(session, "open_session", lambda *given, **more: contextlib.nullcontext(opened))
    assert main(["variants", str(GODWIT), "--file", str(file), "--out", str(tmp_path)]) == 0
    printed = capsys.readouterr().out
    assert all(len(line) <= 80 for line in printed.splitlines() if str(tmp_path) not in line)
    said = " ".join(printed.split())
    assert " of 3 variants meet every limit." in said and "1 is refused; the table says why." in said
    rows = list(csv.DictReader((tmp_path / "variants.csv").read_text(encoding="utf-8").splitlines()))
    for row, axes in zip(rows, ({"span": [1.3]}, {"span": [1.4], "cruise_speed": [15.0]}), strict=False):
        (point,) = design_grid.grid(opened, axes, RequestedWing(), at_best=False).points
        # tolerance: the last printed digits, which may depend on the size of a batch
        assert float(row["range_km"]) == pytest.approx(point.range_km, abs=2e-5)
        assert float(row["auw_g"]) == pytest.approx(point.auw_g, abs=2e-3)
        assert row["nearest_limit"] == point.limit_words and (row["meets_every_limit"] == "yes") == point.met
    assert "stock span is 1300 mm" in rows[2]["refused"] and rows[2]["range_km"] == ""
    assert main(["variants", str(GODWIT), "--file", str(file), "--out", str(tmp_path), "--units", "imperial"]) == 0
    miles = list(csv.DictReader((tmp_path / "variants.csv").read_text(encoding="utf-8").splitlines()))
    for row, same in zip(rows[:2], miles, strict=False):  # a mile has 1.609344 km, an ounce 28.349523 g
        assert float(same["range_mi"]) == pytest.approx(float(row["range_km"]) / 1.609344, abs=1e-4)
        assert float(same["auw_oz"]) == pytest.approx(float(row["auw_g"]) / 28.349523125, abs=1e-4)
    assert "stock span is 51.18 in" in miles[2]["refused"] and miles[0]["span"] == "1300"
    given = [{"span": 1300}, {"span": "1400 mm", "cruise-speed": 54}, {"span": 1000, "cruise_speed": None}]
    made = ts.variants(opened, given)
    for row, same in zip(rows, made.rows, strict=True):
        assert f"{same['range_km'] or ''}" == row["range_km"] and same["refused"][:9] == row["refused"][:9]
        assert same["limit"] == row["nearest_limit"]
    assert made.rows[1]["cruise_speed"] == "54" and len(made.to_dataframe()) == 3
    assert len(made.met) == sum(row["meets_every_limit"] == "yes" for row in rows)
    opened.close()


class NearlyFull(io.BytesIO):
    """A file without a buffer on a disk with little room: it takes what fits, and only then refuses."""

    def write(self, content):
        if not (room := min(len(content), 10 - self.tell())):
            raise OSError(28, "No space left on device")
        return super().write(content[:room])


def test_rows_are_written_whole_or_not_at_all_and_a_full_disk_is_noticed():
    file = NearlyFull()
    add_whole(file, b"a,b\n1,2\n")
    with pytest.raises(OSError, match="No space left"):
        add_whole(file, b"3,4\n")
    assert file.getvalue() == b"a,b\n1,2\n"


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({}, "Give either rows or sample="),
        ({"rows": [], "sample": {}}, "Give either rows or sample="),
        ({"rows": []}, "0 rows are given"),
        ({"rows": [{"spann": 1}]}, "Did you mean span"),
        ({"sample": {"span": "1400:1300 mm"}}, "the lowest value is above the highest"),
    ],
)
def test_from_python_wrong_rows_are_refused(godwit_study, given, words):
    with pytest.raises(ts.TradestudyError, match=words):
        ts.variants(StudySession(godwit_study, "test"), **given)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ([], "Give either --file TABLE.csv or --sample N"),
        (["--sample", "5"], "No input is given. A sample looks like"),
        (["--file", "{}", "span=1:2"], "span=1:2 goes with --sample"),
        (["--file", "{}"], "variants.csv is the file that would be written"),
    ],
)
def test_wrong_options_are_refused_and_write_nothing(tmp_path, capsys, more, words):
    file = tmp_path / "variants.csv"
    file.write_text("span\n1300\n", encoding="utf-8")
    given = [each.format(file) for each in more]
    assert main(["variants", str(GODWIT), *given, "--out", str(tmp_path)]) == 2
    assert words in " ".join(capsys.readouterr().err.split()) and file.read_text(encoding="utf-8") == "span\n1300\n"
