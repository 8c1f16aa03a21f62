"""Packs beside the centre line, one behind the other and under a raised lid: drawn and described where they are."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.invented.invented_result import sample_result
from helpers.wings.laid_wings import one_behind_the_other, two_bricks
from helpers.wings.plover import written

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.assessment.full_design import assess_design
from tradestudy.report.bench_tables import body_part_rows
from tradestudy.report.build_sheet.body_drawings import pack_section_drawing, side_view_drawing
from tradestudy.report.figures.pack_section import pack_section
from tradestudy.report.figures.side_view import side_view
from tradestudy.report.figures.wing_plan import planform
from tradestudy.report.page.wing_view import frame_of, paths_of
from tradestudy.report.work_order import openings
from tradestudy.report.work_order.order import work_steps
from tradestudy.study.reader import read_study

RAISED = 'depth = "26 mm"\ndivider', 'depth = "35 mm"\nraised_lid = "9 mm"\ndivider'


def design_of(path):
    """Return the stock wing of a study in full."""
    study = read_study(path)
    anchor = anchor_of(study)
    return assess_design(study, anchor.data, anchor.choice, anchor.variables, "stretched")


@pytest.fixture(scope="module")
def halves(tmp_path_factory):
    """Return a wing with a brick in each half, its bay 45 mm from the centre line."""
    return design_of(two_bricks(tmp_path_factory.mktemp("halves")))


@pytest.fixture(scope="module")
def in_line(tmp_path_factory):
    """Return a wing with a brick in each of two bays, one behind the other."""
    return design_of(one_behind_the_other(tmp_path_factory.mktemp("line")))


@pytest.fixture(scope="module")
def raised(tmp_path_factory):
    """Return a wing whose pack lies under a lid raised by 9 mm."""
    return design_of(written(tmp_path_factory.mktemp("high"), RAISED))


def result_with(design):
    return replace(sample_result(), stock=design, best=None, recommended=None, span_trade=[])


def middles(figure, gid):
    """Return the middle across the wing of every rectangle of a name in a figure. [mm]"""
    found = [each for each in figure.findobj() if each.get_gid() == gid]
    return sorted(round(one.get_x() + 0.5 * one.get_width(), 2) for one in found)


def steps_of(design):
    return " ".join(line for _, lines in work_steps(design) for line in lines)


def test_both_halves_are_drawn_in_the_plan_and_on_the_page(halves):
    figure = planform(result_with(halves))
    assert middles(figure, "pack") == middles(figure, "bay main") == [-45.0, 45.0]
    paths = paths_of(halves, frame_of([halves]))
    lefts = {part: sorted(float(box.split(" ")[0]) for box in paths[part].split("M")[1:]) for part in ("pack", "bays")}
    assert lefts["pack"] == pytest.approx([-67.0, 23.0], abs=0.06)
    assert lefts["bays"] == pytest.approx([-68.25, -30.0, 21.75], abs=0.06)  # between them the other bay


def test_packs_beside_the_centre_line_are_seen_from_side_and_front(halves):
    words = {each.get_text() for each in side_view(result_with(halves)).findobj() if hasattr(each, "get_text")}
    assert [each for each in words if each.startswith("pack ") and each.endswith("25 mm high, 45 mm out")]
    words = {each.get_text() for each in pack_section(result_with(halves)).findobj() if hasattr(each, "get_text")}
    assert " pack 44 mm wide, 25 mm high, 45 mm from the centre line " in words
    packs = [stroke.points for stroke in pack_section_drawing(halves).shapes if stroke.layer == "pack"]
    assert sorted(round(float(points[:, 0].mean()), 1) for points in packs) == [-45.0, 45.0]
    notes = side_view_drawing(halves).notes
    assert any("in each half wing, 45 from the centre line" in note for note in notes)


def test_the_sheet_says_where_both_halves_lie(halves):
    mark = halves.cut.gear[0]
    assert (mark.name, mark.from_centre_mm, mark.side) == ("pack", 45.0, "both")
    for part in ("Bay main", "Lid main", "Put in the pack"):
        assert f"{part}, one in each half wing, its middle 45.0 mm from the centre line: " in steps_of(halves)


def test_the_second_pack_is_drawn_behind_the_first(in_line):
    first, second = in_line.outline.packs
    assert second.x_mm - first.x_mm == pytest.approx(89.0, abs=0.01)
    assert [mark.name for mark in in_line.cut.gear[:2]] == ["pack", "pack 2"]
    assert middles(planform(result_with(in_line)), "pack") == [0.0, 0.0]
    assert steps_of(in_line).count("Put in the pack") == 2


def test_a_raised_lid_is_drawn_and_kept_shut(raised):
    bay = next(one for one in raised.cut.bays if one.name == "main")
    assert bay.raised_lid_mm == 9.0
    steps = steps_of(raised)
    (over_skin,) = [
        row[5].split(" above")[0].removeprefix("up to ") for row in body_part_rows(raised) if row[0] == "lid main"
    ]
    assert 7.0 < float(over_skin) < 9.01  # as the table has it, at most as the study lets it
    for words in (
        f"stands {over_skin} mm above the skin",
        "Once the rods are in and sanded",
        "a hook at the front",
        "magnets or by tape",
    ):
        assert words in steps
    (row,) = [row for row in body_part_rows(raised) if row[0] == "bay main"]
    assert row[4].endswith(f"x {bay.depth_mm:.1f}") and "above the skin" in row[5]
    assert f"{bay.depth_mm:.1f} mm high under its lid" in steps
    drawing = side_view_drawing(raised)
    (bay_note,) = [part for note in drawing.notes for part in note.split("; ") if part.startswith("bay main")]
    assert bay_note.endswith(f"{bay.depth_mm:.0f} mm high")
    lid = next(stroke.points for stroke in drawing.shapes if stroke.layer == "lids")
    skin = next(stroke.points for stroke in drawing.shapes if stroke.layer == "skin")
    over = lid[:, 1].max() - np.interp(lid[:, 0], *skin[: len(skin) // 2].T)
    assert 7.0 < over.max() < 9.01


def test_one_slot_is_told_as_one(halves, monkeypatch):
    whole = openings.slots_of(halves)
    assert f"Slots S1 to {whole[-1].number}, by the tables" in steps_of(halves) and len(whole) > 1
    monkeypatch.setattr(openings, "slots_of", lambda design: whole[:1])
    assert "Slot S1, by the tables" in steps_of(halves)
