"""The rod's line that rules use against that of the model, in the stock wing."""

import numpy as np
import pytest

from tradestudy.aircraft.model.model_data import stock_wing
from tradestudy.physics.body import straight_rods
from tradestudy.physics.geometry.stretch_schemes import stock_planform
from tradestudy.study.consistency.stock_geometry import stock_rod


@pytest.mark.parametrize(
    "ends",
    [
        {"inner_end": 0.0, "outer_end": 0.55},
        {"inner_end": 0.02, "outer_end": 0.4, "tip_chord_fraction": 0.45},
        {"inner_end": 0.1, "outer_end": 0.4},
        {"inner_end": 0.0, "outer_end": 0.03},
        {"inner_end": 0.0, "outer_end": 0.3, "chord_fraction": 0.9, "tip_chord_fraction": 0.2},
    ],
)
def test_rules_use_the_line_that_the_model_uses(godwit_study, ends):
    """Check rods from the centre, from the centre piece, on the panel, and on the centre piece alone."""
    rod = godwit_study.rods[0].model_copy(update=ends)
    outline = stock_planform(stock_wing(godwit_study))
    tip = rod.tip_chord_fraction or rod.chord_fraction
    line = straight_rods.straight_rod(
        outline, rod.chord_fraction, tip, np.asarray(rod.inner_end), np.asarray(rod.outer_end)
    )
    plain = stock_rod(godwit_study.stock, rod)
    assert plain.length == pytest.approx(float(line.length), rel=1e-12)
    y = np.array([rod.inner_end, 0.025, rod.outer_end])
    assert [plain.x_at(one) for one in y] == pytest.approx(straight_rods.x_at(line, y), rel=1e-9)
    across = straight_rods.transverse_rod(line, rod.diameter, 0.05)
    assert plain.across_x(rod.diameter) == pytest.approx(float(across.inner_x), rel=1e-12)
    assert plain.lap_end(0.05) == pytest.approx(float(across.outer_y), rel=1e-12)
