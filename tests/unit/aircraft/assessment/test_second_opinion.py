"""The second opinion by another library's lattice: agreement, and notes where an error is planted in one of the two."""

from dataclasses import replace

import pytest
from helpers.invented.invented_wing import design

from tradestudy.aircraft.assessment.second_opinion import second_opinion, second_opinion_flags
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.report.second_opinion_words import opinion_rows, opinion_words


@pytest.fixture(scope="module")
def flat(godwit, godwit_anchor):
    """Return a stretched Godwit without fins, a flat wing."""
    variables = godwit_anchor.variables | {"extension": 0.12}
    return SpeedSweep(godwit("plug", fins=()), godwit_anchor.choice, variables)


def planted(sweep, **changes):
    """Return the same wing, whose own lattice has other unit loads."""
    solution = sweep.solution
    unit = solution.unit._replace(**changes)
    wings = replace(sweep.wings, solution=solution._replace(unit=unit))
    return SpeedSweep(sweep.data, sweep.choice, sweep.variables, wings)


def test_a_flat_wing_agrees_within_the_published_bound(flat):
    """Check lift slope and neutral point within 1 %, as in tests/published/air/test_lattice_planforms.py.

    A flat wing cannot have less drag from the wake than an elliptic loading, for either lattice: 1 % for the mesh.
    """
    opinion = second_opinion(flat)
    assert abs(opinion.neutral_point_off_pct) < 1.0
    assert abs(opinion.lift_slope_off_pct) < 1.0
    assert abs(opinion.lift_off_pct) < 1.0
    assert abs(opinion.wake_drag_off_pct) < 2.0
    assert max(opinion.span_efficiency, opinion.span_efficiency_other) < 1.01
    assert opinion.differs == [] == second_opinion_flags(opinion)


def test_fins_are_in_both(godwit_anchor, flat):
    """Check that tip fins save drag from the wake in both: by more than the two differ."""
    finned = SpeedSweep(godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables)
    opinion = second_opinion(finned)
    assert opinion.differs == []
    assert min(opinion.span_efficiency, opinion.span_efficiency_other) > 1.1


def test_a_shifted_neutral_point_becomes_a_note(flat):
    """Plant 3 % of the mean chord in the neutral point of the own lattice."""
    unit, chord = flat.solution.unit, flat.solution.areas.mean_aerodynamic_chord
    opinion = second_opinion(planted(flat, moment_volume=unit.moment_volume - 0.03 * chord * unit.lift_area))
    assert opinion.differs == ["neutral_point"]
    assert opinion.neutral_point_off_pct == pytest.approx(-3.0, abs=0.3)
    (note,) = second_opinion_flags(opinion)
    assert "neutral point" in note
    assert "-3." in note or "-2.9" in note


def test_a_wrong_wake_becomes_a_note(flat):
    """Plant a tenth in the drag from the wake of the own lattice."""
    opinion = second_opinion(planted(flat, drag_area_matrix=1.1 * flat.solution.unit.drag_area_matrix))
    assert opinion.differs == ["wake_drag"]
    assert "drag from the wake" in second_opinion_flags(opinion)[0]


def test_a_piece_without_width_is_no_hole(flat, godwit, godwit_anchor):
    """Check the scheme that adds a tip, at a tenth of a millimetre: the other lattice is singular on such strips."""
    variables = godwit_anchor.variables | {"extension": 1e-4}
    opinion = second_opinion(SpeedSweep(godwit("tip", fins=()), godwit_anchor.choice, variables))
    assert opinion.differs == []


def test_a_plug_without_length_leaves_no_gap_between_the_halves(godwit, godwit_anchor):
    """Check a wing without centre piece whose best span is its own: a gap of 0.2 mm cost the other lattice 5 % lift."""
    stock = godwit_anchor.data.layout.stock._replace(centre_width=0.0)
    data = godwit("plug", fins=(), stock=stock)
    opinion = second_opinion(SpeedSweep(data, godwit_anchor.choice, godwit_anchor.variables))
    assert opinion.differs == []


def test_words_say_what_differs_and_what_is_shared(flat):
    opinion = second_opinion(flat)
    words = opinion_words(replace(design(), second_opinion=opinion))
    assert "the two agree" in words[0]
    assert "alone" in words[1]
    off = replace(opinion, differs=["wake_drag"], wake_drag_off_pct=-7.2)
    wing = replace(design(), second_opinion=off)
    assert "7.2 % less drag" in opinion_words(wing)[0]
    assert "do not agree" in opinion_words(wing)[0]
    assert [len(texts) for _, _, texts in opinion_rows(wing)] == [4] * 4
    silent = replace(design(), second_opinion=None)
    assert opinion_words(silent) == [] == opinion_rows(silent)
