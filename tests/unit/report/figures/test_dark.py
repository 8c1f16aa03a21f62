"""The dark variant of figures: no colour is forgotten, and words stay legible on both papers."""

import re

import pytest
from helpers.invented.invented_grid import invented_grid, invented_lines
from helpers.invented.invented_result import sample_result

from tradestudy.report.figures import style
from tradestudy.report.figures.all_figures import as_bytes, draw_all
from tradestudy.report.figures.dark import DARK, with_dark_variant
from tradestudy.report.figures.maps import grid_legend
from tradestudy.report.figures.maps.grid_map import grid_map

_COLOUR = re.compile(rb"(?:fill|stroke): (#[0-9a-f]{6})")


def contrast(one, other):
    """Return the contrast of two colours (WCAG 2.1, definition of relative luminance and of contrast ratio)."""

    def luminance(colour):
        parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
        linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    dim, bright = sorted((luminance(one), luminance(other)))
    return (bright + 0.05) / (dim + 0.05)


def test_every_colour_of_every_figure_has_a_dark_one():
    for name, (_, svg, _) in draw_all(sample_result()).items():
        used = {each.decode() for each in _COLOUR.findall(svg)}
        assert used <= set(DARK), name
        dark = with_dark_variant(svg).decode()
        for colour in used:
            assert f': {colour}"]' in dark, (name, colour)
        assert dark.count("<style>@media (prefers-color-scheme: dark)") == 1


@pytest.mark.parametrize(
    "words", [style.INK, style.QUIET, style.STOCK_LINE, style.STRETCHED_LINE, style.MARK, style.LIMIT, style.WARNING]
)
def test_words_are_legible_on_both_papers(words):
    least = 4.5  # WCAG 2.1, success criterion 1.4.3
    assert contrast(words, style.PAPER) >= least
    assert contrast(DARK[words], DARK[style.PAPER]) >= least


def test_contrast_of_black_on_white_is_that_of_the_standard():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("grid", [invented_grid(), invented_lines()], ids=["map", "lines"])
def test_every_colour_of_a_grid_has_a_dark_one(grid):
    svg = as_bytes(grid_map(grid), "svg")
    used = {each.decode() for each in _COLOUR.findall(svg)}
    assert len(used) > 5 and used <= set(DARK)
    # the shades of a map are a picture, whose lightness is turned
    assert (b"invert(1) hue-rotate(180deg)" in with_dark_variant(svg)) == (b"<image " in svg)


def test_every_look_of_a_limit_has_a_dark_one_that_is_seen_on_its_fill():
    for look in (*grid_legend._LOOKS, grid_legend._OTHER):
        assert contrast(DARK[look.dark], DARK[look.fill]) > 3.0  # WCAG 2.1, 1.4.11, for parts of a picture
        assert contrast(DARK[style.INK], DARK[look.fill]) > 4.5  # words on it
