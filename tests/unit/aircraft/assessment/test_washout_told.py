"""The washout that is told of a wing with a piece at each tip."""

import pytest

from tradestudy.aircraft.assessment.design_numbers import moving_numbers
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign


@pytest.mark.parametrize(("piece", "washout"), [(0.0, 1.5), (1e-4, 1.5), (0.1, 5.0)])
def test_a_tip_piece_without_length_has_no_twist_of_its_own(piece, washout, godwit, godwit_study, godwit_anchor):
    """Check that a wing without a piece has the washout of the stock wing, and one with a piece that of the piece."""
    stock = godwit_anchor.variables
    assert godwit_study.stock.washout == pytest.approx(0.0261799, abs=1e-6)  # 1.5 deg
    variables = stock | {"extension": piece, "washout": 0.0872665}
    design = EvaluatedDesign(godwit_study, godwit("tip"), godwit_anchor.choice, variables)
    assert moving_numbers(design)["washout_deg"] == pytest.approx(washout, abs=1e-3)
