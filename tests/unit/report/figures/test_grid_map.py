"""Pictures of invented grids: what is drawn equals the numbers, and limits close the regions where they are broken."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from helpers.invented.invented_grid import (
    LARGE,
    SMALL,
    SPANS,
    SWEEPS,
    broken_at,
    invented_grid,
    invented_lines,
    range_at,
)
from matplotlib.collections import PolyCollection
from matplotlib.contour import ContourSet
from matplotlib.text import Text

from tradestudy.report.figures import style
from tradestudy.report.figures.maps.grid_legend import OTHER_LIMITS, limit_looks
from tradestudy.report.figures.maps.grid_map import grid_map
from tradestudy.report.page.map_page import grid_page

WIDTHS = pytest.mark.parametrize("width", [style.WIDTH, style.PHONE_WIDTH])


@pytest.fixture(scope="module")
def found():
    return invented_grid()


@pytest.fixture(scope="module")
def axes(found):
    return grid_map(found).axes[0]


def legend_words(figure):
    return [text.get_text().replace("\n", " ").replace("\N{NO-BREAK SPACE}", " ") for text in figure.legends[0].texts]


def test_each_cell_is_shaded_by_the_limit_that_closes_it(found, axes):
    """Check that the cells of each limit are exactly the designs that break it, and that the legend names it."""
    drawn = {
        each.get_gid().removeprefix("limit "): {tuple(path.vertices[:4].mean(axis=0)) for path in each.get_paths()}
        for each in axes.collections
        if isinstance(each, PolyCollection) and each.get_gid()
    }
    want = {}
    for span in SPANS:
        for sweep in SWEEPS:
            if words := broken_at(span, sweep):
                want.setdefault(words, set()).add((span, sweep))
    assert drawn == want and len(want) == 4
    looks = limit_looks(found)
    assert len({look.hatch for look in looks.values()}) == len({look.fill for look in looks.values()}) == 4
    assert {f"closed by: {words}" for words in want} <= set(legend_words(axes.figure))


def test_contours_are_those_of_the_range_and_stay_inside(axes):
    drawn = [each for each in axes.collections if isinstance(each, ContourSet)]
    count = 0
    for lines in drawn:
        for level, path in zip(lines.levels, lines.get_paths(), strict=True):
            assert {x < 1475 for x, _ in path.vertices} != {True, False}  # none joins wings with different parts
            for span, sweep in path.vertices:
                cell = min(SPANS, key=lambda one: abs(one - span)), min(SWEEPS, key=lambda one: abs(one - sweep))
                assert not broken_at(*cell)
                # linear between designs: off by at most a quarter of the curvature over a step
                assert range_at(span, sweep) == pytest.approx(level, abs=0.45)
                count += 1
    assert count > 40
    assert {text.get_text() for text in axes.texts} & {f"{level:g}" for lines in drawn for level in lines.levels}


def test_marks_and_parts_are_at_their_places(found, axes):
    marks = {line.get_gid(): line.get_xydata()[0] for line in axes.lines if line.get_gid() in ("best", "stock")}
    assert tuple(marks["best"]) == tuple(found.best.values) and tuple(marks["stock"]) == (1300.0, 22.0)
    star = next(line for line in axes.lines if line.get_gid() == "recommended")
    assert tuple(star.get_xydata()[0]) == (1460.0, 24.3)
    parts = {tuple(line.get_xdata()) for line in axes.lines if line.get_gid() == "parts"}
    assert parts == {(1475.0, 1475.0)}  # one border, between 1450 and 1500 mm
    letters = {text.get_text(): text.get_position()[0] for text in axes.texts if text.get_text() in ("A", "B")}
    assert letters["A"] > 1475 > letters["B"]  # A is the better one
    words = legend_words(axes.figure)
    low, high = (f(one.gain for one in found.points if one.met and one.parts == LARGE) for f in (min, max))
    assert f"built with {LARGE}: {low:.0f} to {high:.0f} km" in words
    assert any(each.startswith(f"built with {SMALL}: ") for each in words)
    assert f"best design of the map, {found.best.gain:.0f} km" in words and "recommended wing, 152 km" in words
    elsewhere = replace(found, recommended=found.recommended._replace(values=[2100.0, 24.0]))
    figure = grid_map(elsewhere)
    assert not [line for line in figure.axes[0].lines if line.get_gid() == "recommended"]
    assert not [words for words in legend_words(figure) if "recommended" in words]


def test_many_limits_share_the_last_look(found):
    named = [
        one._replace(limit_words=f"limit {place % 9}") if not one.met else one for place, one in enumerate(found.points)
    ]
    many = replace(found, points=named)
    assert len(set(limit_looks(many).values())) == 6
    assert f"closed by: {OTHER_LIMITS}" in legend_words(grid_map(many))


def test_lines_show_the_numbers_and_end_at_the_limit():
    lines = invented_lines()
    (axes,) = grid_map(lines).axes
    for place, count in enumerate((2, 3, 4)):
        mine = [one for one in lines.points if one.values[1] == count]
        name = f"cells in parallel {count}"
        drawn = {line.get_gid(): line for line in axes.lines}
        np.testing.assert_allclose(drawn[f"all {name}"].get_xydata(), [(one.values[0], one.gain) for one in mine])
        met = drawn[f"met {name}"].get_ydata()
        assert [not np.isnan(value) for value in met] == [one.met for one in mine]
        ends = sorted(line.get_xdata()[0] for line in axes.lines if line.get_gid() == f"ends {name}")
        assert ends == [1350.0] * (place == 2) + [1550.0 + 50 * count]
    assert {"ends here: stall speed", "ends here: bend of the tips in a pull-up"} <= set(legend_words(axes.figure))


def test_three_axes_give_a_panel_for_each_value_and_one_axis_a_curve(found):
    third = replace(invented_lines().axes[1], values=[2, 3])
    points = [one._replace(values=[*one.values, count]) for one in found.points for count in third.values]
    stock = found.stock._replace(values=[*found.stock.values, 2])
    whole = replace(found, axes=[*found.axes, third], points=points, stock=stock, recommended=None)
    assert len(grid_map(whole).axes) == 2
    mine = [one._replace(values=one.values[:1]) for one in found.points if one.values[1] == 24.0]
    stock = found.stock._replace(values=[1300.0])
    (axes,) = grid_map(replace(found, axes=found.axes[:1], points=mine, stock=stock, recommended=None)).axes
    drawn = next(line for line in axes.lines if line.get_gid() == "all").get_xydata()
    np.testing.assert_allclose(drawn, [(one.values[0], one.gain) for one in mine])


@WIDTHS
@pytest.mark.parametrize("made", [invented_grid, invented_lines])
def test_no_word_is_cut_off_or_covers_another(made, width):
    figure = grid_map(made(), width)
    figure.canvas.draw()
    renderer = figure.canvas.get_renderer()
    words = [each for each in figure.findobj(Text) if each.get_visible() and each.get_text().strip()]
    ticks = {text for axes in figure.axes for text in (*axes.get_xticklabels(), *axes.get_yticklabels())}
    boxes = []
    for text in words:
        box = Text.get_window_extent(text, renderer)
        if text in ticks and not any(axes.bbox.padded(60).overlaps(box) for axes in figure.axes):
            continue
        boxes.append((text.get_text(), box, text in ticks))
    for name, box, is_tick in boxes:
        inside = figure.bbox.x0 <= box.x0 and box.x1 <= figure.bbox.x1 and figure.bbox.y0 <= box.y0
        assert is_tick or inside, name
    for (one, box, _), (name, other, _) in combinations([each for each in boxes if not each[2]], 2):
        across = min(box.x1, other.x1) - max(box.x0, other.x0)
        up = min(box.y1, other.y1) - max(box.y0, other.y0)
        assert across < 2 or up < 2, f"{one!r} covers {name!r}"


def test_the_page_has_both_pictures_and_the_best_first(found):
    page = grid_page(found)
    assert page.count("data:image/svg+xml;base64,") == 2 and 'media="(max-width: 40rem)"' in page
    assert f"The best of them has 160 km at span 1600 mm, leading-edge sweep 24 deg, built with {SMALL}." in page
    assert page.index("<td>1600</td>") < page.index("<td>1550</td>")


def test_which_parts_win_is_counted_where_every_limit_is_met(found):
    met = [(span, sweep) for span in SPANS for sweep in SWEEPS if not broken_at(span, sweep)]
    built = {point.parts for point in found.points if point.met}
    rows = found.winning_parts()
    assert built == {LARGE, SMALL} and len(rows) == 2
    counts = [sum(point.met and point.parts == parts for point in found.points) for parts in (LARGE, SMALL)]
    assert {row.partition(": at ")[0] for row in rows} == built
    assert sorted(int(row.partition(": at ")[2].split()[0]) for row in rows) == sorted(counts)
    assert all(f" of {len(met)}, " in row and row.endswith(" km") for row in rows) and sum(counts) == len(met)
    assert rows[0].startswith(LARGE if counts[0] > counts[1] else SMALL)
    assert invented_lines().winning_parts() == []  # packs are an axis
    assert "Which parts win where every limit is met" in grid_page(found)
