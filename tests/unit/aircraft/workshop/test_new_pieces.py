"""Foam and trailing strip that a build buys: for a plug or an added tip, what the wing has more than the stock wing."""

import numpy as np
import pytest
from helpers.wings.fitting_wings import PLAIN, RICH, light_design, read_tables

from tradestudy.aircraft.workshop.build_price import material_amounts, new_cores
from tradestudy.physics.geometry import planform
from tradestudy.physics.weights import mass

ADDED = 0.085  # [m]


def whole(design):
    """Return foam [m3] and trailing strips [m2] of a whole wing."""
    wing, laid = design.solution.wing, design.data.layout
    station, weight = mass.gauss_stations(wing)
    (strip,) = planform.interpolated(wing, (wing.elevon_chord,), station)
    foam = mass.bare_wing(wing, laid.materials).lumps["foam"].mass / laid.materials.foam_density
    return float(foam), float(2 * (strip * weight).sum())


@pytest.mark.parametrize("tables", [PLAIN, RICH], ids=["fins at the tips", "fins in the panels"])
@pytest.mark.parametrize("scheme", ["plug", "tip", "scaled"])
def test_new_pieces_are_the_difference_to_the_stock_wing(tmp_path, scheme, tables):
    stretch = {"scheme": scheme, "span": ["1250 mm", "1600 mm"]}
    study = read_tables(tables | {"stretch": tables["stretch"] | stretch}, tmp_path)
    stock, longer = light_design(study), light_design(study, ADDED)
    kept = (0.0, 0.0) if scheme == "scaled" else whole(stock)
    wanted = [both - own for both, own in zip(whole(longer), kept, strict=True)]
    found = new_cores(longer.data.layout, longer.solution.wing)
    assert [float(one) for one in found] == pytest.approx(wanted, rel=2e-3)  # pieces of 0.1 mm stand at the joints
    amounts = material_amounts(study, longer.data.layout, longer.solution.wing)
    assert amounts["foam", "EPP 30"] == pytest.approx(1e3 * wanted[0], rel=2e-3)


@pytest.mark.parametrize("scheme", ["plug", "tip"])
def test_the_price_keeps_its_slope(tmp_path, scheme):
    """Check the complex step against a difference: both pieces are straight, so foam grows evenly at the root."""
    study = read_tables(PLAIN | {"stretch": PLAIN["stretch"] | {"scheme": scheme}}, tmp_path)

    def foam(added):
        design = light_design(study, added)
        return new_cores(design.data.layout, design.solution.wing)[0]

    step = 1e-4
    slope = (foam(ADDED + step) - foam(ADDED - step)) / (2 * step)
    assert np.imag(foam(ADDED + 1e-20j)) / 1e-20 == pytest.approx(float(np.real(slope)), rel=1e-5)
