"""Grids of designs: each point equals the design requested alone, with any task engine; record, search and map."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from edited import edited

from tradestudy.commands import design_grid
from tradestudy.commands.key_grid import study_grid
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import CommandError
from tradestudy.report.figures.grid_map import grid_map
from tradestudy.report.tables import grid_table
from tradestudy.results.grid_result import GridPoint, GridStock, grid_from_json
from tradestudy.search import parallel
from tradestudy.search.engines.processes import LocalProcesses
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
    return design_grid.grid(work, AXES, WANTED)


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
        assert design_grid.grid(work, AXES, WANTED) == found
    finally:
        work.engine, space.record = before
        space.engine = work.engine
        pool.close()
    assert [(a.variables, a.gain, a.evaluations) for a in there] == [(a.variables, a.gain, a.evaluations) for a in here]
    for mine, other in zip(there, here, strict=True):
        assert all(np.array_equal(mine.margins[name], other.margins[name]) for name in other.margins)


def test_known_chunks_are_not_computed_again(work, found, monkeypatch):
    monkeypatch.setattr(design_grid, "chunk_rows", lambda *any_: pytest.fail("worked out again"))
    assert design_grid.grid(work, AXES, WANTED) == found


def test_best_is_no_worse_than_as_stock_and_fixed_where_requested(work):
    axes = {"span": [1.45, 1.5]}
    plain = design_grid.grid(work, axes, replace(WANTED, parallel=3, static_margin=0.08, rod_diameter=0.004))
    best = design_grid.grid(work, axes, RequestedWing(static_margin=0.08), at_best=True)
    for one, other in zip(plain.points, best.points, strict=True):
        assert other.met and (not one.met or other.range_km > one.range_km - 1e-3)
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


# --- table and map -----------------------------------------------------------------------------------------


def test_written_and_read_back_is_the_same(found):
    again = grid_from_json(found.to_json())
    assert again == found and grid_from_json(again.to_json()) == found
    heads, *rows = grid_table(found).splitlines()
    assert heads == ("span_mm,parallel,sweep_deg,cruise_speed_kmh,range_km,auw_g,met,limit,limit_words,margin")
    assert len(rows) == len(found.points) == 18
    assert rows[0].startswith(f"1300.0,2,20.0,{found.points[0].cruise_speed_kmh}")


def flat(found, axes, points):
    """Return a grid of two axes or one with invented points."""
    return replace(
        found,
        axes=axes,
        points=points,
        stock=GridStock([1250.0, 22.0][: len(axes)], 1.0, 1.0, 1.0),
    )


def test_map_names_each_region_and_marks_the_best(found):
    """Check a map whose range grows along both axes. Beyond 1450 mm the tip bends, below 20 deg it stalls.

    It is an invented map of 8 x 8.
    """
    span, sweep = (
        replace(found.axes[index], values=values)
        for index, values in ((0, [1250.0 + 50 * n for n in range(8)]), (2, [16.0 + 2 * n for n in range(8)]))
    )
    points = []
    for one in span.values:
        for other in sweep.values:
            words = "tip deflection" if one > 1460 else "stall" if other < 19 else ""
            points.append(
                GridPoint(
                    values=[one, other],
                    cruise_speed_kmh=50.0,
                    range_km=one / 10 + other,
                    gain=one / 10 + other,
                    auw_g=1500.0,
                    met=not words,
                    limit=words,
                    limit_words=words or "climb",
                    margin=-0.1 if words else 0.1,
                )
            )
    axes = grid_map(flat(found, [span, sweep], points)).axes[0]
    said = [text.get_text().strip() for text in axes.texts]
    assert "tip deflection" in said and "stall" in said and "climb" not in said
    assert "best 175 km" in said  # 145 + 30
    best = next(line for line in axes.lines if line.get_gid() == "best")
    assert list(best.get_xydata()[0]) == [1450.0, 30.0]
    edge = np.concatenate([line.get_xydata() for line in axes.lines if line.get_gid() == "met"])
    assert set(edge[:, 0][edge[:, 0] > 1460]) == {1475.0}  # between 1450 and 1500
    assert edge[:, 1].min() == 19.0
    place = next(text.get_position() for text in axes.texts if text.get_text() == "tip deflection")
    assert place[0] > 1475


def test_map_over_three_axes_has_a_panel_for_each_value_and_over_one_is_a_curve(found):
    assert len(grid_map(found).axes) == 2
    points = [point._replace(values=point.values[:1]) for point in found.points if point.values[1:] == [3, 20.0]]
    (axes,) = grid_map(flat(found, found.axes[:1], points)).axes
    drawn = next(line for line in axes.lines if line.get_gid() == "all").get_xydata()
    np.testing.assert_allclose(drawn, [(point.values[0], point.range_km) for point in points])


def test_a_grid_over_keys_keeps_the_order_of_its_axes(work, godwit_study, monkeypatch):
    def rows(space, task):
        power = task.study.all_equipment[0].power
        return [design_grid.empty_row("left_out", f"{span:g} m, {power:g} W") for span in task.axes["span"]]

    monkeypatch.setattr(study_grid, "variant_rows", rows)
    axes = {"span": [1.3, 1.4, 1.5], "equipment.camera.power": key_axis(godwit_study, "equipment.camera.power", "0,9")}
    found = study_grid.study_grid(work, axes, WANTED)
    words = [point.limit_words for point in found.points]
    assert words == ["1.3 m, 0 W", "1.3 m, 9 W", "1.4 m, 0 W", "1.4 m, 9 W", "1.5 m, 0 W", "1.5 m, 9 W"]
    assert [point.values for point in found.points[:2]] == [[1300.0, 0.0], [1300.0, 9.0]]
    assert found.stock.values == [1300.0, 6.0] and [axis.unit for axis in found.axes] == ["mm", "W"]
    assert "its weight (1840 g) and balance stay as measured" in found.others
    assert grid_from_json(found.to_json()) == found
    monkeypatch.setattr(study_grid, "variant_rows", lambda *any_: pytest.fail("worked out again"))
    assert study_grid.study_grid(work, axes, WANTED) == found


def test_a_study_of_a_grid_is_that_of_a_file_with_these_values(tmp_path, godwit_study, work):
    path = tmp_path / "godwit.toml"
    path.write_text(edited(godwit_study.text, ('climb = "2 m/s"', 'climb = "9 m/s"')), encoding="utf-8")
    by_hand = StudySession(read_study(path), "by hand")
    expected = design_grid.grid(by_hand, {"span": [1.4]}, WANTED)
    axes = {"limits.climb": key_axis(godwit_study, "limits.climb", ["9 m/s"]), "span": [1.4]}
    found = study_grid.study_grid(work, axes, WANTED)
    assert found.points[0][1:] == expected.points[0][1:]
    assert found.points[0].limit == "climb" and not found.points[0].met
    nothing = {"stock.tip_chord": key_axis(godwit_study, "stock.tip_chord", ["500 mm"])}  # wider than the root
    assert "wider than stock.root_chord" in study_grid.study_grid(work, nothing, WANTED).points[0].limit_words


def test_a_long_grid_says_how_long_it_would_take(work):
    axes = {"span": [1.3 + 0.001 * step for step in range(100)]}
    with pytest.raises(CommandError, match=r"takes about .* more: 48 of 100 designs took .*Give --yes to go on"):
        design_grid.grid(work, axes, WANTED, longest=1e-9)
    design_grid.refuse_long(1, 100, 60.0, 4, 10.0, "designs")  # three of four workers have not told yet
    with pytest.raises(CommandError, match="about 3 hours more"):
        design_grid.refuse_long(4, 100, 480.0, 4, 900.0, "designs")


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
    ],
)
def test_values_of_a_key_along_an_axis(godwit_study, key, text, values, shown, unit):
    axis = key_axis(godwit_study, key, text)
    assert (axis.values, axis.shown, axis.unit) == (values, pytest.approx(shown) if unit else shown, unit)
