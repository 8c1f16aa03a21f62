"""Grids of designs: each point equals the design requested alone, with any task engine; record, search and map."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from helpers.edited import edited
from helpers.wings.half_way import half_way

from tradestudy.commands import design_grid
from tradestudy.commands.assess import Shares
from tradestudy.commands.grid_points.rows import empty_row
from tradestudy.commands.grid_points.searched import refuse_long
from tradestudy.commands.key_grid import study_grid
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import CommandError
from tradestudy.report.figures.maps.grid_map import grid_map
from tradestudy.report.tables import grid_table
from tradestudy.results.grid_result import grid_from_json
from tradestudy.search import parallel
from tradestudy.search.engines.local_processes import LocalProcesses
from tradestudy.search.search_space import starting_points
from tradestudy.search.search_task import SearchTask
from tradestudy.study.edits.key_axis import key_axis
from tradestudy.study.reader import read_study

AXES = {"span": [1.3, 1.35, 1.5], "parallel": [2, 3, 5], "sweep": [math.radians(20), math.radians(26)]}
WANTED = RequestedWing(rod_pairs=2, washout=math.radians(2))


@pytest.fixture(scope="module")
def work(godwit_study):
    """Return the Godwit study with one option for every part that is bought."""
    lists = godwit_study.choices.model_copy(
        update={"parallel": (3,), "rod_pairs": (2,), "rod_diameter": (0.004,), "propeller": ("10x6",)}
    )
    return StudySession(replace(godwit_study, choices=lists), "tradestudy grid test")


@pytest.fixture(scope="module")
def found(work):
    return design_grid.grid(work, AXES, WANTED, at_best=False)


def test_every_point_is_the_design_by_hand(work, found):
    assert [point.values for point in found.points[:3]] == [[1300.0, 2, 20.0], [1300.0, 2, 26.0], [1300.0, 3, 20.0]]
    for index in (3, 8):
        point = found.points[index]
        span, parallel, sweep = point.values
        design = work.requested_design(replace(WANTED, span=1e-3 * span, parallel=parallel, sweep=math.radians(sweep)))
        # both stop within some mm/s of a flat maximum, where range changes by less than a part in 1e5
        assert point.range_km == pytest.approx(design.numbers.range_km, rel=1e-5)
        assert point.auw_g == pytest.approx(design.numbers.auw_g, abs=0.01)
        assert point.cruise_speed_kmh == pytest.approx(design.numbers.cruise_speed_kmh, abs=0.02)
        broken = [state for state in design.limits if not state.met]
        assert point.met == (not broken)
        worst = min(design.limits, key=lambda state: state.margin)
        assert point.margin == pytest.approx(worst.margin, abs=2e-3) and point.limit == worst.name


def test_pack_that_fits_no_bay_is_reported(found):
    five = [point for point in found.points if point.values[1] == 5]
    assert all(not point.met and point.limit == "pack_bay" and "the nose bay" in point.limit_words for point in five)


def test_pool_and_this_process_agree_to_the_last_bit(work, found):
    space, pool = work.space, LocalProcesses(2)

    tasks = [SearchTask("least_violation", space.choices[0], [start]) for start in starting_points(space)]
    here = parallel.run_tasks(space, tasks)
    work.engine, space.engine, before = pool, pool, (work.engine, space.record)
    space.record = None
    try:
        pool.send_shared_data(space.for_workers())
        there = parallel.run_tasks(space, tasks)
        work.record._known.clear()
        assert design_grid.grid(work, AXES, WANTED, at_best=False) == found
    finally:
        work.engine, space.record = before
        space.engine = work.engine
        pool.close()
    assert [(a.variables, a.gain, a.evaluations) for a in there] == [(a.variables, a.gain, a.evaluations) for a in here]
    for mine, other in zip(there, here, strict=True):
        assert all(np.array_equal(mine.margins[name], other.margins[name]) for name in other.margins)


def test_known_chunks_are_not_computed_again(work, found, monkeypatch):
    monkeypatch.setattr(design_grid, "chunk_rows", lambda *any_: pytest.fail("worked out again"))
    assert design_grid.grid(work, AXES, WANTED, at_best=False) == found


@pytest.mark.thorough
def test_best_is_no_worse_than_as_stock_and_fixed_where_requested(work, monkeypatch):
    axes = {"span": [1.45, 1.5]}
    plain = design_grid.grid(work, axes, replace(WANTED, parallel=3, static_margin=0.08, rod_diameter=0.004), False)
    monkeypatch.setattr(design_grid, "recommended_wing", half_way)
    monkeypatch.setattr(design_grid, "expected_shares", lambda session, wing: Shares(0.9, 0.9))
    best = design_grid.grid(work, axes, RequestedWing(static_margin=0.08))
    for one, other in zip(plain.points, best.points, strict=True):
        assert other.met and (not one.met or other.range_km > 0.9 * one.range_km - 1e-3)
        assert other.parts == work.ranked()[0].choice.words
        assert other.shape["span_mm"] == pytest.approx(other.values[0]) and other.shape["static_margin_pct"] == 8.0
    assert best.stock.range_km == pytest.approx(0.9 * plain.stock.range_km, rel=1e-6)
    answer = next(asked for asked in map(json.loads, work.record._known) if asked[0] == "solve" and asked[3])
    assert set(answer[3]) == {"extension", "static_margin"} and answer[3]["static_margin"] == 0.08


def test_what_cannot_vary_is_refused(work):
    with pytest.raises(CommandError, match="span=900: the stock span is 1300 mm"):
        design_grid.grid(work, {"span": [0.9, 1.2]}, WANTED)
    with pytest.raises(CommandError, match="This grid has 1000000 designs; 200000 are the most"):
        design_grid.grid(work, {"span": [1.2] * 1000, "sweep": [0.4] * 1000}, WANTED)
    fixed = work.study.stretch.model_copy(update={"sweep": None})
    held = StudySession.__new__(StudySession)
    held.__dict__ |= work.__dict__ | {"study": replace(work.study, stretch=fixed)}
    with pytest.raises(CommandError, match="sweep cannot be an axis: .* Give stretch.sweep a range there"):
        design_grid.grid(held, {"sweep": [0.3, 0.4]}, WANTED)


# --- table -----------------------------------------------------------------------------------------


def test_written_and_read_back_is_the_same(found):
    again = grid_from_json(found.to_json())
    assert again == found and grid_from_json(again.to_json()) == found
    heads, *rows = grid_table(found).splitlines()
    assert heads == (
        "span_mm,parallel,sweep_deg,cruise_speed_kmh,range_km,auw_g,met,limit,limit_words,margin,parts,washout_deg,"
        "tip_chord_mm,static_margin_pct"
    )
    assert len(rows) == len(found.points) == 18
    assert rows[0].startswith(f"1300.0,2,20.0,{found.points[0].cruise_speed_kmh}")


def test_a_grid_over_keys_keeps_the_order_of_its_axes(work, godwit_study, monkeypatch):
    def rows(space, task):
        power = task.study.all_equipment[0].power
        return [empty_row("left_out", f"{span:g} m, {power:g} W") for span in task.axes["span"]]

    monkeypatch.setattr(study_grid, "variant_rows", rows)
    axes = {"span": [1.3, 1.4, 1.5], "equipment.camera.power": key_axis(godwit_study, "equipment.camera.power", "0,9")}
    found = study_grid.study_grid(work, axes, WANTED, at_best=False)
    words = [point.limit_words for point in found.points]
    assert words == ["1.3 m, 0 W", "1.3 m, 9 W", "1.4 m, 0 W", "1.4 m, 9 W", "1.5 m, 0 W", "1.5 m, 9 W"]
    assert [point.values for point in found.points[:2]] == [[1300.0, 0.0], [1300.0, 9.0]]
    assert found.stock.values == [1300.0, 6.0] and [axis.unit for axis in found.axes] == ["mm", "W"]
    assert "its weight (1840 g) and balance stay as measured" in found.others
    assert grid_from_json(found.to_json()) == found
    monkeypatch.setattr(study_grid, "variant_rows", lambda *any_: pytest.fail("worked out again"))
    assert study_grid.study_grid(work, axes, WANTED, at_best=False) == found


def test_a_study_of_a_grid_is_that_of_a_file_with_these_values(tmp_path, godwit_study, work):
    path = tmp_path / "godwit.toml"
    path.write_text(edited(godwit_study.text, ('climb = "2 m/s"', 'climb = "9 m/s"')), encoding="utf-8")
    by_hand = StudySession(read_study(path), "by hand")
    expected = design_grid.grid(by_hand, {"span": [1.4]}, WANTED, at_best=False)
    axes = {"limits.climb": key_axis(godwit_study, "limits.climb", ["9 m/s"]), "span": [1.4]}
    found = study_grid.study_grid(work, axes, WANTED, at_best=False)
    assert found.points[0][1:] == expected.points[0][1:]
    assert found.points[0].limit == "climb" and not found.points[0].met
    nothing = {"stock.tip_chord": key_axis(godwit_study, "stock.tip_chord", ["500 mm"])}  # wider than the root
    assert (
        "wider than stock.root_chord"
        in study_grid.study_grid(work, nothing, WANTED, at_best=False).points[0].limit_words
    )


def test_a_long_grid_says_how_long_it_would_take(work):
    axes = {"span": [1.3 + 0.001 * step for step in range(100)]}
    with pytest.raises(CommandError, match=r"takes about .* more: 50 of 100 designs took .*Give --yes to go on"):
        design_grid.grid(work, axes, WANTED, at_best=False, longest=1e-9)
    refuse_long(1, 100, 60.0, 4, 10.0, "designs")  # three of four workers have not told yet
    with pytest.raises(CommandError, match="about 3 hours more"):
        refuse_long(4, 100, 480.0, 4, 900.0, "designs")


@pytest.mark.parametrize(
    "key, text, values, shown, unit",
    [
        ("equipment.camera.power", "0:10:5", ["0.0 W", "5.0 W", "10.0 W"], [0.0, 5.0, 10.0], "W"),
        ("fly.wind", "0:20:10 km/h", ["0.0 km/h", "10.0 km/h", "20.0 km/h"], [0.0, 10.0, 20.0], "km/h"),
        ("stretch.washout", "1,2", [["1.0 deg"] * 2, ["2.0 deg"] * 2], [1.0, 2.0], "deg"),
        ("fly.purpose", "distance,out_and_home", ["distance", "out_and_home"], ["distance", "out_and_home"], ""),
        ("choices.parallel", "2,3", [[2], [3]], [2, 3], ""),
        ("fly.pull_up", "3,4.5", [3, 4.5], [3.0, 4.5], ""),
        ("covering.adhesive", "10,20 g/m2", ["10.0 g/m2", "20.0 g/m2"], [10.0, 20.0], "g/m2"),
        ("pack.health", "80 %, 100 %", ["80 %", "100 %"], [80.0, 100.0], "%"),
    ],
)
def test_values_of_a_key_along_an_axis(godwit_study, key, text, values, shown, unit):
    axis = key_axis(godwit_study, key, text)
    assert (axis.values, axis.shown, axis.unit) == (values, pytest.approx(shown) if unit else shown, unit)


def test_a_grid_over_a_key_that_the_study_leaves_out_is_drawn(work):
    axes = {"limits.tips_left": key_axis(work.study, "limits.tips_left", "4 %,6 %")}
    assert axes["limits.tips_left"].stock is None
    result = study_grid.study_grid(work, axes, WANTED, at_best=False)
    assert {point.values[0]: point.met for point in result.points}.keys() == {4.0, 6.0}
    assert "stock wing" not in "".join(text.get_text() for text in grid_map(result).legends[0].get_texts())


@pytest.mark.parametrize(
    "count, sizes", [(1, [1]), (96, [96]), (97, [48, 49]), (288, [72] * 4), (1600, [88] * 2 + [89] * 16)]
)
def test_batches_are_even_in_size_and_number(count, sizes):
    found = design_grid.batches(list(range(count)))
    assert sorted(map(len, found)) == sorted(sizes)
    assert [member for batch in found for member in batch] == list(range(count))
