"""Outside size of packs by ruler, and the ways to lay cells, counted apart from the project."""

import itertools

import numpy as np
import pytest

from tradestudy.physics.weights.pack_layouts import (
    POINTING,
    PackLayout,
    PackPiece,
    laid_size,
    layout_from_text,
    layouts,
)

CELL = PackPiece((0.0705, 0.0215, 0.0215), True)  # a round cell
POUCH = PackPiece((0.100, 0.033, 0.0073), True)
BRICK = PackPiece((0.138, 0.044, 0.033), False)  # common practice, no source


@pytest.mark.parametrize(
    ("layout", "piece", "size"),
    [
        (PackLayout(1, 4, 1), CELL, (0.0805, 0.088, 0.0235)),
        (PackLayout(2, 4, 1), CELL, (0.151, 0.088, 0.0235)),
        (PackLayout(1, 4, 2), CELL, (0.0805, 0.088, 0.045)),
        (PackLayout(1, 1, 3), POUCH, (0.110, 0.035, 0.0239)),
        (PackLayout(4, 2, 1, "across"), CELL, (0.088, 0.151, 0.0235)),
        # on end: 70.5 mm of cell and 4 mm of strips and wrap, 65 to 75 mm by common practice
        (PackLayout(2, 4, 1, "on end"), CELL, (0.045, 0.088, 0.0745)),
        (PackLayout(1, 2, 1), BRICK, (0.138, 0.088, 0.033)),
        (PackLayout(1, 2, 1, "fore and aft on edge"), BRICK, (0.138, 0.066, 0.044)),
        (PackLayout(2, 1, 1, "across on edge"), BRICK, (0.066, 0.138, 0.044)),
        (PackLayout(1, 1, 2, "on end, turned"), BRICK, (0.044, 0.033, 0.276)),
    ],
)
def test_size_by_ruler(layout, piece, size):
    assert laid_size(layout, piece) == pytest.approx(size)


def test_text_is_read_back():
    for one in layouts(6, BRICK):
        assert layout_from_text(one.text) == one


@pytest.mark.parametrize("count", [1, 2, 5, 7, 8, 12])
@pytest.mark.parametrize("piece", [CELL, BRICK, POUCH], ids=["round", "brick", "pouch"])
def test_every_smallest_box_is_found(count, piece):
    """Compare with a search of all boxes: none that holds the pieces is smaller in every direction than all ways."""
    ways = [laid_size(one, piece) for one in layouts(count, piece)]
    assert len(set(ways)) == len(ways)
    directions = set(itertools.permutations(range(3)))
    for numbers in itertools.product(range(1, count + 1), range(1, count + 1), range(1, 4)):
        if numbers[0] * numbers[1] * numbers[2] < count:
            continue
        for sides in directions:
            box = [number * piece.size[side] for number, side in zip(numbers, sides, strict=True)]
            # each direction needs at most 10 mm for terminals and wrap
            room = 0.010 * piece.wrapped + 1e-9
            assert any(all(a <= b + room for a, b in zip(way, box, strict=True)) for way in ways)


@pytest.mark.parametrize("count", [5, 8, 12])
def test_no_row_or_layer_could_be_left_out(count):
    for one in layouts(count, CELL):
        numbers = (one.along, one.across, one.high)
        for axis in range(3):
            less = list(numbers)
            less[axis] -= 1
            assert less[0] * less[1] * less[2] < count <= numbers[0] * numbers[1] * numbers[2]


def test_words_of_different_ways_differ_and_have_no_commas():
    """Check that a list of choices, which are joined by commas, can be taken apart again."""
    words = [one.words for one in layouts(6, BRICK)]
    assert len(set(words)) == len(words) and not any("," in each for each in words)
    assert PackLayout(6, 2, 1, "across").words == "laid across: in 6 rows of 2"
    assert PackLayout(1, 8, 1).words == "laid 8 side by side"
    assert PackLayout(3, 1, 2, "across").words == "laid across: 3 one behind the other in 2 layers"
    assert PackLayout(1, 1, 3, "across").words == "laid across: 3 on top of each other"


def test_pouch_cells_stay_the_brick_that_they_are_sold_as():
    """Check the turns of one brick of three cells, and that two of them lie in whole bricks, with no place empty."""
    brick = POUCH._replace(stack=3)
    # 100 x 33 x 21.9 mm of cells can be turned six ways
    assert {one.text for one in layouts(3, brick)} == {
        "1 x 1 x 3 fore and aft",
        "1 x 1 x 3 across",
        "1 x 3 x 1 fore and aft on edge",
        "3 x 1 x 1 across on edge",
        "3 x 1 x 1 on end",
        "1 x 3 x 1 on end, turned",
    }
    for one in layouts(6, brick):
        numbers = one.along, one.across, one.high
        assert np.prod(numbers) == 6 and numbers[POINTING[one.pointing].index(2)] % 3 == 0
    assert any(one.text == "1 x 2 x 3 fore and aft" for one in layouts(6, brick))
    flat = {one.text for one in layouts(4, POUCH._replace(stack=4))}  # higher than three layers
    assert "1 x 1 x 4 fore and aft" in flat
