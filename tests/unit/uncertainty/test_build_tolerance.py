"""The wing as it may come out of the shop: closed forms, and the Godwit moved by the errors of its build."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.workshop.as_built import BuildErrors, as_built, roll_trim
from tradestudy.study.schema.built import BAND_END, BuildToleranceTable
from tradestudy.study.schema.key_types import DefaultUsed
from tradestudy.uncertainty import build_tolerance
from tradestudy.uncertainty.build_tolerance import TABLE, as_built_result, shop_inputs, shortfall, wing_as_drawn
from tradestudy.uncertainty.range_band import drawn
from tradestudy.uncertainty.variants import (
    DesignVariants,
    Input,
    InputVariants,
    fixed_design,
    flown_design,
    numbers_of,
    outputs_of,
)

DEGREE = np.pi / 180
PARTS = Choice(series=4, parallel=3, rod_diameter=0.003, rod_pairs=2, propeller="10x6")
STRETCHED = {"extension": 0.08, "washout": 3 * DEGREE, "sweep": 24 * DEGREE, "tip_chord": 0.16, "static_margin": 0.06,
    "cruise_speed": 15.0, "equipment_position": 0.228}  # fmt: skip


@pytest.fixture(scope="module")
def wing(godwit_study, godwit_anchor):
    return wing_as_drawn(godwit_study, fixed_design(godwit_study, godwit_anchor, PARTS, STRETCHED))


@pytest.fixture(scope="module")
def nominal(wing):
    return wing.numbers(BuildErrors())


def moved(nominal, limit, by):
    return nominal._replace(margins=nominal.margins | {limit: nominal.margins[limit] + by})


def shop(nominal, limit, by, name="washout"):
    used = DefaultUsed(f"{TABLE}.{name}", "0", "", "-1 deg", "+1 deg", "", (TABLE, name))
    sides = {(TABLE, name): "-1 deg"}, {(TABLE, name): "1 deg"}
    return InputVariants(Input(used, sides, "shop"), (moved(nominal, limit, -by), moved(nominal, limit, by)))


@pytest.mark.parametrize("margin", [0.0, 0.03, -0.05, 0.12])
def test_a_linear_limit_is_met_as_often_as_the_normal_distribution_says(nominal, margin):
    """Check the share that meets a limit against Phi(margin / sigma). The tolerance holds nine of ten wings."""
    own = nominal._replace(margins={"climb": margin})
    found = drawn(DesignVariants(own, [shop(own, "climb", 0.1)]))
    assert found.all_met == pytest.approx(norm.cdf(margin / (0.1 / BAND_END)), abs=2e-3)


def test_two_tolerances_add_as_their_variances(nominal):
    own = nominal._replace(margins={"climb": 0.05})
    found = drawn(DesignVariants(own, [shop(own, "climb", 0.03), shop(own, "climb", 0.04, "sweep")]))
    assert found.all_met == pytest.approx(norm.cdf(0.05 / (0.05 / BAND_END)), abs=5e-3)


def test_a_wing_without_errors_is_its_design(wing, nominal):
    assert as_built(wing.drawn, BuildErrors()) is wing.drawn
    zero = wing.study.build_tolerance.model_copy(update=dict.fromkeys(BuildToleranceTable.model_fields, 0.0))
    exact = replace(wing, study=replace(wing.study, build_tolerance=zero))
    assert exact.tolerances == {} and shop_inputs(exact) == []
    found = drawn(DesignVariants(nominal, []))
    assert np.array_equal(found.margins, np.broadcast_to(list(nominal.margins.values()), found.margins.shape))


def test_errors_move_what_a_builder_measures(wing):
    """Check that each error appears in the wing as measured, and that the balance mark stays where it is set."""
    own = wing.drawn
    mark = numbers(wing, BuildErrors())["centre_of_gravity"]
    swept = as_built(own, BuildErrors(sweep=0.3 * DEGREE))
    panel = own.solution.wing.semi_span - own.data.layout.stock.panel_start
    back = np.tan(STRETCHED["sweep"] + 0.3 * DEGREE) * panel
    assert swept.solution.wing.leading_edge[-1] == pytest.approx(back, rel=1e-12)
    assert as_built(own, BuildErrors(washout=0.5 * DEGREE)).solution.wing.twist[-1] == pytest.approx(-3.5 * DEGREE)
    cut = as_built(own, BuildErrors(core_chord=-0.001)).solution.wing
    assert cut.foam_chord[[0, -1]] == pytest.approx(own.solution.wing.foam_chord[[0, -1]] - 0.001)
    heavy = as_built(own, BuildErrors(weight=0.03))
    assert float(heavy.shape.all_up_mass) == pytest.approx(1.03 * float(own.shape.all_up_mass), rel=1e-12)
    for errors in (BuildErrors(sweep=0.3 * DEGREE), BuildErrors(core_chord=0.001), BuildErrors(washout=0.01)):
        assert numbers(wing, errors)["centre_of_gravity"] == pytest.approx(mark, abs=1e-9)
    assert numbers(wing, BuildErrors(balance=0.002))["centre_of_gravity"] == pytest.approx(mark + 0.002, abs=1e-9)
    assert swept.static_margin > own.static_margin  # the neutral point moves aft, the mark stays


def numbers(wing, errors):
    return flown_design(wing.study, replace(wing.design, errors=errors), wing.drawn).evaluation.by_name()


def test_deeper_slots_weaken_and_a_rod_never_stands_proud(wing):
    deeper, own, shallower = (
        numbers(wing, BuildErrors(rod_depth=by))["failure_load_factor"][0] for by in (0.001, 0.0, -0.1)
    )
    flush = as_built(wing.drawn, BuildErrors(rod_depth=-0.1)).data.strength.rods.slot_depth
    assert deeper < own <= shallower and flush[0] == pytest.approx(PARTS.rod_diameter)


def test_kept_panels_have_no_errors_of_their_shape(godwit_study, godwit_anchor):
    stock = godwit_anchor.variables | {"extension": 0.0}
    kept = wing_as_drawn(godwit_study, fixed_design(godwit_study, godwit_anchor, godwit_anchor.choice, stock))
    assert set(kept.tolerances) == {"balance", "weight"}


def test_a_twist_that_grows_along_the_span_rolls_as_a_roll_rate_does(wing):
    """Check the lattice's response to antisymmetric twist: incidence p y / V is a roll rate, on a wing without fins."""
    volume, mesh = wing.drawn.air.roll_volume, wing.drawn.solution.mesh
    station = mesh.middle[: mesh.n_wing, 1]
    assert abs(volume[2:] @ station) == pytest.approx(abs(volume[0]), rel=0.03)  # fins carry the rest
    trim = roll_trim(wing.drawn, 0.4 * DEGREE)
    assert trim == pytest.approx(2 * roll_trim(wing.drawn, 0.2 * DEGREE)) and 0.05 * DEGREE < trim < 0.6 * DEGREE


def test_a_shortfall_in_km_h_is_that_of_the_stall_speed(wing):
    """Check a heavy wing's lack of stall margin, told as a speed, against its own stall speed."""
    heavy = flown_design(wing.study, replace(wing.design, errors=BuildErrors(weight=0.20)), wing.drawn)
    limit = next(one for one in wing.limits if one.name == "slowest_flight")
    made = numbers_of(wing.study, wing.design, *outputs_of(heavy, wing.reference)).margins["slowest_flight"]
    short, unit = shortfall(heavy, limit, -made)
    over = heavy.stall(heavy.margin_ahead).speed - heavy.data.flight.slowest_speed
    assert unit == "km/h" and made < 0 and short == pytest.approx(3.6 * over, rel=0.05)
    weight = next((one for one in wing.limits if one.name == "flying_weight"), None)
    if weight:
        assert shortfall(heavy, weight, 0.01) == (pytest.approx(10 * weight.bound, rel=1e-3), "g")


def test_sums_of_effects_agree_with_wings_evaluated_as_drawn(wing, nominal):
    """Check the sums that give the shares against true evaluations of a few sampled wings."""
    inputs = shop_inputs(wing)
    names = [one.input.used.place[-1] for one in inputs]
    random = np.random.default_rng(3)
    for places in random.normal(size=(4, len(names))) / BAND_END:
        true = wing.numbers(
            BuildErrors(**dict(zip(names, places * list(map(wing.tolerances.get, names)), strict=True)))
        )
        for limit, own in nominal.margins.items():
            summed = own
            for one, place in zip(inputs, places, strict=True):
                low, high = (side.margins[limit] - own for side in one.sides)
                summed += 0.5 * place * (place - 1) * low + 0.5 * place * (place + 1) * high
            most = max(abs(side.margins[limit] - own) for one in inputs for side in one.sides)
            assert summed == pytest.approx(true.margins[limit], abs=0.15 * most + 1e-3), limit


def test_the_answer_names_the_tolerance_that_matters(wing, nominal, monkeypatch):
    """Check shares, the tolerance that matters and its half on one invented limit that a single tolerance moves."""
    own = nominal._replace(margins={"climb": 0.05})
    monkeypatch.setattr(
        build_tolerance,
        "shop_inputs",
        lambda wing, share=1.0: [shop(own, "climb", 0.1 * share), shop(own, "climb", 0.0, "sweep")],
    )
    found = as_built_result(wing.study, wing.design, DesignVariants(own, []))
    assert found.matters_most == "washout" and found.held_to == "0.25 deg"
    assert found.met_pct == pytest.approx(100 * norm.cdf(0.5 * BAND_END), abs=0.2)
    assert found.held_met_pct == pytest.approx(100 * norm.cdf(BAND_END), abs=0.2)
    (limit,) = found.limits
    assert limit.matters == "washout" and limit.matters_pct == 100.0 and limit.met_inputs_pct == 100.0
    lacks = 0.1 * norm.ppf(0.9) / BAND_END - 0.05
    assert limit.short == pytest.approx(5.0 * lacks, rel=0.02) and limit.unit == "m/s"  # the scale of climb is 5 m/s


def test_the_checks_of_the_sheet_are_the_geometry_of_the_wing(wing, godwit_study):
    """Check that the bands on the sheet are those of the wing with its errors at the ends of the tolerances."""
    from tradestudy.aircraft.workshop.build_checks import _set_back, _twist
    from tradestudy.aircraft.workshop.template_sections import end_sections

    table = godwit_study.build_tolerance
    whole = EvaluatedDesign(wing.study, wing.drawn.data, PARTS, STRETCHED, wing.drawn.wings)
    for side in ("low", "high"):
        sign = -1 if side == "low" else 1
        built = as_built(wing.drawn, BuildErrors(sweep=sign * table.sweep))
        (check, _) = _set_back(whole)
        assert getattr(check, side) == pytest.approx(1e3 * built.solution.wing.leading_edge[-1], abs=1e-3)
        built = as_built(wing.drawn, BuildErrors(washout=sign * table.washout)).solution.wing
        tip, *_ = _twist(whole, end_sections(whole)[-1])
        raised = 1e3 * built.foam_chord[-1] * np.sin(-built.twist[-1])
        assert getattr(tip, side) == pytest.approx(raised, abs=2e-3)


def test_a_band_on_the_sheet_leaves_neither_the_balance_window_nor_the_weight_allowed(wing):
    """Check the bands of balance and weight where window and limit are narrower than the tolerances."""
    from types import SimpleNamespace

    from tradestudy.aircraft.workshop.build_checks import _balance_and_weight

    study = wing.study
    limited = replace(study, limits=study.limits.model_copy(update={"flying_weight": 1.51}))
    numbers = SimpleNamespace(cg_mm=171.0, cg_front_mm=170.0, cg_back_mm=180.0, auw_g=1500.0)
    balance, weight = _balance_and_weight(SimpleNamespace(study=limited), numbers)
    assert (balance.low, balance.high) == (170.0, 173.0)
    assert (weight.low, weight.high) == (1455.0, 1510.0)
