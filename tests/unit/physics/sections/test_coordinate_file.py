"""Coordinate files: both orders of points, and error messages with their row."""

import importlib.util
import math
from pathlib import Path

import pytest

from tradestudy.physics.sections.coordinate_file import read_outline

X = [0.5 * (1 + math.cos(math.pi * k / 20)) for k in range(21)]  # from the trailing edge to the nose


def height(x):
    return 0.3 * math.sqrt(x) * (1 - x)


TOP = [(x, height(x)) for x in X]
BOTTOM = [(x, -0.4 * height(x)) for x in reversed(X)]
ROUND = [*TOP, *BOTTOM[1:]]


def text(points, title="My section"):
    return f"{title}\n" + "\n".join(f" {x:.6f}  {z:.6f}" for x, z in points) + "\n"


def close(result):
    return [pytest.approx(point, abs=1e-6) for point in result]


@pytest.mark.parametrize(
    "written",
    [
        text(ROUND),
        text(ROUND, ""),
        text(ROUND).replace("  ", ", "),
        text(ROUND).replace("\n", "\r\n"),
        text(ROUND) + "drawn in March, thickness 12.3 %\nhttp nothing\n",
        text(ROUND, "title\n21. 20."),
    ],
    ids=["plain", "no title", "commas", "line ends", "remarks below", "counts above"],
)
def test_once_round_the_section(written):
    assert read_outline(written) == close(ROUND)


def test_both_surfaces_from_the_nose():
    written = text(list(reversed(TOP)), "My section\n21. 21.") + "\n" + text(BOTTOM, "")
    assert read_outline(written) == close(ROUND)


def test_reversed_order_keeps_its_points():
    assert read_outline(text(list(reversed(ROUND)))) == close(list(reversed(ROUND)))


def test_a_bottom_that_ends_before_the_top_is_read():
    """Check a trailing edge cut off slantwise: the top ends at 0.97 of the chord and the bottom at 0.96."""
    slanting = [(0.97, height(0.97)), *(point for point in ROUND if point[0] < 0.95), (0.96, -0.4 * height(0.96))]
    assert read_outline(text(slanting)) == close(slanting)


def replaced(place, point):
    return [*ROUND[:place], point, *ROUND[place + 1 :]]


@pytest.mark.parametrize(
    ("written", "sentence"),
    [
        (text(ROUND[:3]), "holds 3 rows of two numbers; 12 or more are needed"),
        ("", "holds 0 rows of two numbers; 12 or more are needed"),
        (text([(240 * x, 240 * z) for x, z in ROUND]), "has x from 0 to 240; 0 to 1 is needed, per unit chord"),
        (text(replaced(5, ROUND[4])), "gives the same point twice, in row 7; take one out"),
        (
            text(ROUND).replace(f"{ROUND[5][0]:.6f}  {ROUND[5][1]:.6f}", "nan 0.1"),
            "holds nan 0.1 in row 7, which is no point",
        ),
        (
            text(ROUND).replace(f"{ROUND[5][0]:.6f}  {ROUND[5][1]:.6f}", "0.8 0.1 0.2"),
            "holds 3 numbers in row 7; two are needed, x and z",
        ),
        (
            text(ROUND).replace(f"{ROUND[5][0]:.6f}  {ROUND[5][1]:.6f}", "0.8 o.1"),
            'has "0.8 o.1" in row 7; two numbers are needed',
        ),
        (
            text([*ROUND[:4], ROUND[5], ROUND[4], *ROUND[6:]]),
            f"turns back in row 7 (x {ROUND[4][0]:.6g} after {ROUND[5][0]:.6g}); give the points in order, from the "
            "trailing edge over the nose and back",
        ),
        (text(TOP), "covers one surface only; both are needed"),
        (
            text([(1.0, 0.03), *ROUND[1:-1], (1.0, -0.02)]),
            "is open at the trailing edge by 5.0 % of the chord; 2 % at most",
        ),
        (text([(x, 0.0) for x, _ in ROUND]), "is 0 % thick; 1 to 90 % of the chord is possible"),
        (text([(x, 9 * z) for x, z in ROUND]), "is 145 % thick; 1 to 90 % of the chord is possible"),
        (
            text([(x, z + 0.2 if 0.3 < x < 0.6 else z) for x, z in ROUND]),
            f"has a step in row 11: z goes from {TOP[8][1]:.6f} to {TOP[9][1] + 0.2:.6f} at x = {X[9]:g}",
        ),
        (
            text([(x, math.sin(9 * x) * z) for x, z in ROUND]),
            "crosses itself: at x = 0.5 the bottom lies above the top",
        ),
    ],
    ids=[
        "three points",
        "empty",
        "millimetres",
        "twice",
        "nan",
        "three columns",
        "a letter",
        "order",
        "one surface",
        "open",
        "flat",
        "thicker than long",
        "step",
        "crossed",
    ],
)
def test_faults_in_sentences(written, sentence):
    with pytest.raises(ValueError) as raised:
        read_outline(written)
    assert str(raised.value) == sentence


def shifted(by):
    return [(x + by, 0.2 * z) for x, z in ROUND]  # thin, so that its nose is no step


def thick(share):
    whole = max(1.4 * height(x) for x in X)
    return [(x, z * share / whole) for x, z in ROUND]


def open_by(gap):
    return [(1.0, 0.5 * gap), *ROUND[1:-1], (1.0, -0.5 * gap)]


@pytest.mark.parametrize(
    ("within", "beyond"),
    [
        (shifted(0.05), shifted(0.051)),
        (shifted(-0.05), shifted(-0.051)),
        (open_by(0.02), open_by(0.021)),
        (thick(0.0101), thick(0.0099)),
        ([ROUND[0], *ROUND[1::4], ROUND[-1]], [ROUND[0], *ROUND[4::4]]),
    ],
    ids=["aft", "ahead", "open", "thin", "12 or 11 points"],
)
def test_files_are_read_up_to_the_bounds_that_are_told(within, beyond):
    assert read_outline(text(within)) == close(within)
    with pytest.raises(ValueError, match="needed|possible|at most"):
        read_outline(text(beyond))


def test_nearly_every_file_of_an_open_database_is_read():
    """Check that the airfoil database of aerosandbox is read: 2000 files by many authors.

    The few refused ones are open by more than 2 % at the trailing edge, or have errors in the middle.
    """
    folder = Path(importlib.util.find_spec("aerosandbox").submodule_search_locations[0])
    files = sorted((folder / "geometry" / "airfoil" / "airfoil_database").glob("*.dat"))
    refused = {}
    for file in files:
        try:
            read_outline(file.read_text(encoding="utf-8", errors="replace"))
        except ValueError as error:
            refused[file.name] = str(error)
    assert len(files) > 1000
    assert len(refused) < 0.01 * len(files)
    assert all("open at the trailing edge" in said or "two numbers are needed" in said for said in refused.values())
