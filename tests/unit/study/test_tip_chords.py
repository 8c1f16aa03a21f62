"""Tip chords that a search tries: by default, as the study gives them, and where the scheme keeps the stock core."""

from dataclasses import replace

import pytest

from tradestudy.errors import StudyFileError
from tradestudy.study.reader import read_study
from tradestudy.study.tip_chords import tip_chords


def chords(study, stretch=(), **stock):
    """Return the tip chords [mm] of a study with other values of [stretch] and [stock]."""
    made = replace(
        study,
        stretch=study.stretch.model_copy(update=dict(stretch)),
        stock=study.stock.model_copy(update=stock),
    )
    return tuple(1e3 * chord for chord in tip_chords(made))


@pytest.mark.parametrize(
    ("root", "tip", "expected"),
    [
        (328, 172, (129, 189.2)),  # three quarters and eleven tenths
        (328, 130, (328 / 3, 143)),  # a third of the root
        (220, 98, (80, 107.8)),  # the least that a wire cuts
        (220, 70, (70, 77)),  # a stock wing below all of them
        (180, 175, (131.25, 180)),  # no wider than the root
    ],
)
def test_default(godwit_study, root, tip, expected):
    assert chords(godwit_study, root_chord=1e-3 * root, tip_chord=1e-3 * tip) == pytest.approx(expected)


def test_given_and_held(godwit_study):
    assert chords(godwit_study, {"tip_chord": (0.15, 0.2)}) == pytest.approx((150, 200))
    for scheme in ("plug", "tip"):
        assert chords(godwit_study, {"scheme": scheme, "tip_chord": (0.15, 0.2)}) == pytest.approx((172, 172))


def written(tmp_path, godwit_study, line):
    path = tmp_path / "wing.toml"
    path.write_text(godwit_study.text.replace("[stretch]\n", f"[stretch]\n{line}\n"), encoding="utf-8")
    for name in ("airfoils", "propellers"):  # files that the study names
        if (godwit_study.path.parent / name).is_dir() and not (tmp_path / name).exists():
            (tmp_path / name).symlink_to(godwit_study.path.parent / name)
    return path


def test_one_value_holds_and_two_are_a_range(tmp_path, godwit_study):
    for line, expected in (
        ('tip_chord = "165 mm"', (0.165, 0.165)),
        ('tip_chord = ["150 mm", "18 cm"]', (0.15, 0.18)),
    ):
        assert tip_chords(read_study(written(tmp_path, godwit_study, line))) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ('tip_chord = ["150 mm", "340 mm"]', "goes up to 340 mm, wider than stock.root_chord (328 mm)."),
        ('tip_chord = ["190 mm", "150 mm"]', 'runs from "190 mm" down to "150 mm"; write the smaller first.'),
    ],
)
def test_what_cannot_be(tmp_path, godwit_study, line, words):
    with pytest.raises(StudyFileError) as told:
        read_study(written(tmp_path, godwit_study, line))
    assert f"stretch.tip_chord {words}" in str(told.value)
