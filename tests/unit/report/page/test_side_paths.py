"""The wing from the side as SVG paths: parts at their places, everything within the frame."""

import re

from helpers.invented.invented_look import look_at

from tradestudy.report.page.side_paths import SIDE_PARTS, side_frame, side_paths
from tradestudy.results.body import Body


def numbers(path):
    """Return the points of a path of straight lines, as (x, z) with z down."""
    values = list(map(float, re.findall(r"-?\d+\.\d+", path)))
    return list(zip(values[::2], values[1::2], strict=True))


def test_parts_lie_where_the_outline_has_them():
    look = look_at()
    paths = side_paths(look.body, look.numbers.cg_mm)
    assert tuple(paths) == SIDE_PARTS
    pack, shown = look.outline.pack, [x for x, _ in numbers(paths["side-pack"])]
    assert abs(min(shown) - (pack.x_mm - 0.5 * pack.length_mm)) < 0.06
    assert abs(max(shown) - (pack.x_mm + 0.5 * pack.length_mm)) < 0.06
    assert {x for x, _ in numbers(paths["side-mark"])} == {171.0}


def test_up_is_up_on_the_screen():
    shown = numbers(side_paths(look_at().body, None)["side-lids"])
    assert min(z for _, z in shown) == -15.0  # the top of a lid; a screen counts downwards


def test_frame_holds_the_skin():
    body = look_at().body
    left, top, wide, tall = map(float, side_frame([body]).split())
    for x, z in numbers(side_paths(body, None)["side-skin"]):
        assert left <= x <= left + wide and top <= z <= top + tall


def test_nothing_is_drawn_without_a_skin():
    assert set(side_paths(Body(), 171.0).values()) == {""}
    assert side_frame([Body()]) == "0 0 100 30"
