"""The dark variant of figures: no colour is forgotten, and words stay legible on both papers."""

import re

import pytest
from invented_result import sample_result

from tradestudy.report.figures import style
from tradestudy.report.figures.all_figures import draw_all
from tradestudy.report.figures.dark import DARK, with_dark_variant

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
