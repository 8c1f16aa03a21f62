"""Weights and their places, by hand and by quadrature."""

import numpy as np
import pytest
from helpers.wings.typical_section import layers_by_hand, materials
from helpers.wings.wings import outline

from tradestudy.physics.body.straight_rods import straight_rod
from tradestudy.physics.geometry.fins import SheetFin
from tradestudy.physics.weights import mass

MATERIALS = materials(0.068, 2.03, 25.0, 0.055, 150.0, 0.006)
ROUNDING = 1e-12
BLOCK = outline([0, 0.75], [0, 0], [0.25, 0.25])


def test_reference_wing_foam_and_film():
    """Compare a NACA 0010 wing of 250 mm chord and 1.5 m span: section 4255.5 mm2 x 1.5 m = 6383 cm3.

    It has 160 g of foam at 25 kg/m3 and 0.761 m2 of film. This is geometry times density, with a tolerance of 0.5 % for
    its digits.
    """
    result = mass.bare_wing(BLOCK, materials(4255.5e-6 / 0.25**2, 2.0293, *MATERIALS[1:5])).lumps
    assert result["foam"].mass == pytest.approx(0.160, rel=5e-3)
    assert result["covering"].mass == pytest.approx(0.761 * 0.055 * mass.COVERING_OVERLAP, rel=5e-3)
    assert result["elevons"].mass == pytest.approx(0.0, abs=ROUNDING)


def test_bare_wing_by_quadrature():
    """Compare mass and first moment of a tapered, swept, cranked wing with a fine midpoint sum."""
    wing = outline([0, 0.1, 0.6], [0, 0, 0.25], [0.28, 0.28, 0.18], elevon_chord=[0.045, 0.045, 0.03])
    station = (np.arange(60000) + 0.5) * 1e-5
    edge, foam, elevon = (
        np.interp(station, wing.station, value) for value in (wing.leading_edge, wing.foam_chord, wing.elevon_chord)
    )
    per_length = layers_by_hand(MATERIALS, foam, elevon)
    result = mass.bare_wing(wing, MATERIALS).lumps
    for name, (density, behind, _) in per_length.items():
        place = edge + behind
        # midpoint sum of 60 000 pieces
        assert result[name].mass == pytest.approx(2e-5 * density.sum(), rel=1e-8)
        assert result[name].moment == pytest.approx(2e-5 * (density * place).sum(), rel=1e-8)


def test_rod():
    """Check a rod by hand: mass by length, place at the mean of its ends. It runs straight on in the centre."""
    wing = outline([0, 0.1, 0.6], [0, 0, 0.25], [0.28, 0.28, 0.18])
    result = mass.rod_lump(0.03, [straight_rod(wing, 0.3, 0.3, np.asarray(0.0), np.asarray(0.5))])
    start, outer = 0.3 * 0.28, 0.2 + 0.3 * 0.20
    inner = start - 0.1 * (outer - start) / 0.4
    assert result.mass == pytest.approx(2 * 0.03 * np.hypot(0.5, outer - inner), rel=ROUNDING)
    assert result.moment / result.mass == pytest.approx(0.5 * (inner + outer), rel=ROUNDING)


def test_fins():
    fin = SheetFin(0.13, 0.15, 0.09, 0.06, 0.02, areal_mass=0.55)
    result = mass.fin_lump(fin, outline([0, 0.5], [0, 0.3], [0.2, 0.2]))
    assert result.mass == pytest.approx(2 * 0.55 * 0.12 * 0.13, rel=ROUNDING)
    # mid-height is 30 mm aft with a mean chord of 120 mm: its middle is 90 mm behind the fin's edge
    assert result.moment / result.mass == pytest.approx(0.3 + 0.02 + 0.03 + 0.06, rel=ROUNDING)


def test_wiring_and_total():
    wiring = mass.wiring_growth(0.2, 0.19)
    assert wiring.mass == pytest.approx(2 * 0.2 * mass.WIRING_PER_METRE, rel=ROUNDING)
    total = mass.total_lump([wiring, mass.Lump(0.5, 0.05)])
    assert total.mass == pytest.approx(wiring.mass + 0.5, rel=ROUNDING)
    assert total.moment == pytest.approx(wiring.mass * 0.19 + 0.05, rel=ROUNDING)


def test_pack_position_balances():
    # put the pack there and weigh again
    where = mass.pack_position(0.145, 1.4, 0.16, 0.6)
    assert (0.16 + 0.6 * where) / 1.4 == pytest.approx(0.145, rel=ROUNDING)
