"""Half wings that components share: each choice has its own, and the same choice is not computed twice."""

import numpy as np
import pytest

from tradestudy.aircraft.components.half_wings import HalfWings
from tradestudy.physics.flight import strength

CHOICE = strength.WingChoice(extension=0.1, sweep=0.4, washout=0.03, rod_diameter=0.003, rod_pairs=1.5, tip_chord=0.16)


@pytest.fixture(scope="module")
def data(godwit_anchor):
    return godwit_anchor.data.strength


def test_a_change_of_any_value_gives_another_half_wing(data):
    shared = HalfWings(data)
    for name, value in CHOICE._asdict().items():
        for choice in (CHOICE, CHOICE._replace(**{name: 1.05 * value})):
            expected = strength.half_wing(data, choice)
            assert np.array_equal(shared.of(choice).beam.bending_rigidity, expected.beam.bending_rigidity)
            assert np.array_equal(shared.of(choice).mass_x, expected.mass_x)


def test_rows_of_a_batch_keep_their_order(data):
    rows = np.array([0.2, 0.1, 0.2 + 1e-30j, 0.1])
    half = HalfWings(data).of(CHOICE._replace(extension=rows))
    for row, extension in enumerate(rows):
        alone = strength.half_wing(data, CHOICE._replace(extension=extension)).beam.bending_rigidity
        assert half.beam.bending_rigidity[row].real == pytest.approx(alone.real, rel=1e-12)
        assert half.beam.bending_rigidity[row].imag == pytest.approx(alone.imag, rel=1e-9, abs=1e-40)


def test_the_same_choices_are_not_computed_twice(data, monkeypatch):
    asked = []
    compute = strength.half_wing
    monkeypatch.setattr(strength, "half_wing", lambda *given: asked.append(given) or compute(*given))
    shared = HalfWings(data)
    steps = 1e-30j * np.eye(7)
    each = CHOICE._make(value + step for value, step in zip(CHOICE, steps, strict=False))
    shared.of(each)
    shared.of(CHOICE._make(value[::-1] for value in each))  # the same directions in another order
    assert len(asked) == 1
    assert len(asked[0][1].extension) == 7  # the two rows without a step are one
