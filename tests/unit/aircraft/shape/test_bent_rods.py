"""Rods that the skin bends: refused in the stock wing, with millimetres, and not where they run along the span."""

from dataclasses import replace

import pytest

from tradestudy.aircraft.shape.bent_rods import least_radius
from tradestudy.aircraft.shape.stock_fit import refuse_what_does_not_fit
from tradestudy.errors import StudyFileError


def with_rod(study, **keys):
    return replace(study, rods=(study.rods[0].model_copy(update=keys),))


def test_rods_along_the_span_are_straight_enough(godwit_study):
    refuse_what_does_not_fit(replace(godwit_study, bay=(), joiner=None))


def test_a_thick_rod_across_the_nose_is_refused(godwit_study):
    """Check 8 mm carbon from 10 % to 60 % of a short way: its least radius is 2.2 m, by E d / (0.6 strength)."""
    leaning = {"inner_end": 0.05, "outer_end": 0.2, "chord_fraction": 0.04, "tip_chord_fraction": 0.5}
    rod = with_rod(godwit_study, material="carbon", diameter=0.008, **leaning).rods[0]
    assert least_radius(rod, 0.008) == pytest.approx(130e9 * 0.008 / (0.6 * 800e6), rel=1e-12)
    bare = replace(godwit_study, bay=(), joiner=None)
    with pytest.raises(
        StudyFileError, match=r"rods\[1\].chord_fraction: the skin bends the rods to a radius of \d+ mm"
    ):
        refuse_what_does_not_fit(with_rod(bare, material="carbon", diameter=0.008, **leaning))
    refuse_what_does_not_fit(with_rod(bare, material="carbon", diameter=0.008, surface="middle", **leaning))
