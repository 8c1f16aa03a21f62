"""What a wing loses as built is in search, bands and fit alike, and a known flight narrows it."""

import tomllib
from dataclasses import replace

import numpy as np
import pytest
from helpers.wings.laid_wings import high_brick

from tradestudy.aircraft.anchor.calibration import anchor_of, calibrated_wing, stock_choice
from tradestudy.aircraft.anchor.drag_calibration import FLIGHT_SPREAD, factor_spreads, with_flown_parts
from tradestudy.aircraft.model.choices import study_with_choice
from tradestudy.aircraft.model.model_data import cruise_drag_items
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.flight.built_wing import BuiltFactors
from tradestudy.quantities import split_quantity
from tradestudy.study.reader import read_study, study_from_tables
from tradestudy.study.schema.fitted import fitted_table
from tradestudy.study.schema.measured import WeighedTable
from tradestudy.uncertainty import inputs_with_bands, variants
from tradestudy.uncertainty.built_inputs import built_inputs, flight_inputs, new_motor_inputs, raised_lid_inputs
from tradestudy.uncertainty.fit.factored_wing import ONES, FitWing
from tradestudy.uncertainty.fit.fit_result import overlay
from tradestudy.uncertainty.fit.hand_readings import weight_readings
from tradestudy.uncertainty.fit.least_squares import fit_factors, priors
from tradestudy.uncertainty.fitted_inputs import fitted_directions

KEYS = ("section_drag_factor", "wake_drag_factor", "drive_power_factor")
FITTED = dict(zip(KEYS, ("drag", "induced", "drive_power"), strict=True))
SPEED = 15.0  # m/s
WIDTH_BEFORE = 0.1524  # standard deviation of ln(range) by the losses and the propeller of the Godwit


@pytest.fixture(scope="module")
def held(godwit_study, godwit_anchor):
    """Return the stock wing as a fixed design."""
    return variants.fixed_design(godwit_study, godwit_anchor, godwit_anchor.choice, godwit_anchor.variables)


def with_built(study, **values):
    return replace(study, built=study.built.model_copy(update=values))


@pytest.mark.parametrize("key", KEYS)
def test_each_loss_shortens_the_range_of_search_bands_and_fit_by_the_same_share(godwit_study, godwit_anchor, held, key):
    """Check a tenth more of one loss: the model of the search, the variants of the bands, and the factored wing.

    All three are compared at one speed. The bands are at their own best speed, which is flat: 0.3 %.
    """
    more = with_built(godwit_study, **{key: 1.1 * getattr(godwit_study.built, key)})
    ranges = [
        SpeedSweep(anchor.data, anchor.choice, anchor.variables).power_at(SPEED).range[0]
        for anchor in (godwit_anchor, anchor_of(more))
    ]
    share = ranges[1] / ranges[0]
    assert 0.9 < share < 0.99
    wing = FitWing(godwit_study)
    air = wing.air(SPEED)
    fitted = [wing.cruise(factors, air).range[0] for factors in (ONES, {**ONES, FITTED[key]: 1.1})]
    assert fitted[1] / fitted[0] == pytest.approx(share, rel=1e-9)
    place = ("built", key)
    one = next(
        one for one in inputs_with_bands.inputs_of(godwit_study, godwit_anchor, held.choice) if one.used.place == place
    )
    numbers = variants.variant_numbers(more, held).key_numbers.range
    nominal = variants.variant_numbers(godwit_study, held).key_numbers.range
    assert numbers / nominal == pytest.approx(share, rel=3e-3 if key == "drive_power_factor" else 0.03)
    low, high = (next(iter(side.values())) for side in one.sides)
    assert low < getattr(godwit_study.built, key) < high


def test_bands_and_fit_have_the_same_spreads(godwit_study, godwit_anchor):
    """Check that the ends of each band are 1.645 of the fit's standard deviations from the value in use."""
    spreads = priors(godwit_study)
    for (_, sides), key in zip(built_inputs(godwit_study, godwit_anchor.choice), KEYS, strict=True):
        low, high = (next(iter(side.values())) for side in sides)
        assert np.log(high / low) / 2 / 1.64485 == pytest.approx(spreads[FITTED[key]], rel=1e-3)  # four places


def test_a_held_factor_has_no_band(godwit_study, godwit_anchor):
    held = with_built(godwit_study, wake_drag_spread=0.0)
    assert [used.place[1] for used, _ in built_inputs(held, godwit_anchor.choice)] == [KEYS[0], KEYS[2]]


@pytest.fixture(scope="module")
def flown(godwit_study, godwit_anchor):
    """Return the Godwit with one flight, as long as its model predicts: (study, tables)."""
    stock = SpeedSweep(godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables)
    cruise, distance = stock.power_at(SPEED), 60e3
    charge = distance * float(cruise.charge_per_metre[0])
    tables = variants.given_tables(godwit_study)
    tables["known_flight"] = {
        "distance": "60 km",
        "time": f"{distance / SPEED / 60:.4f} min",
        "charge_used": f"{charge / 3.6:.2f} mAh",
    }
    return study_from_tables(tables, godwit_study.path, godwit_study.text), tables


def band(study, tables, held):
    """Return the standard deviation of ln(range) from the losses, the flight, and the scatter of the propeller."""
    nominal = variants.variant_numbers(study, held)
    total = nominal.scatter**2
    for used, sides in (*built_inputs(study, held.choice), *flight_inputs(study, held.choice)):
        each = variants.input_variants(study, tables, held, variants.Input(used, sides, "assumed"), nominal)
        low, high = (np.log(side.key_numbers.range / nominal.key_numbers.range) for side in each.sides)
        total += ((high - low) / 2 / 1.64485) ** 2
    return np.sqrt(total)


def test_a_flight_narrows_the_band_as_the_textbook_says(godwit_study, flown, held):
    """Compare with the posterior of one measurement of the range at that speed: 1/v = 1/p + 1/m, within a tenth.

    The best speed differs a little from that of the flight, so its losses weigh a little otherwise.
    """
    before = band(godwit_study, variants.given_tables(godwit_study), held)
    after = band(*flown, held)
    assert before == pytest.approx(WIDTH_BEFORE, rel=0.02)
    assert after < 0.6 * before
    assert after == pytest.approx((before**-2 + FLIGHT_SPREAD**-2) ** -0.5, rel=0.10)


def test_a_weight_of_bare_foam_does_not_widen_the_band(godwit_study, held):
    """Check that the losses and the propeller of a fit without any flight scatter as before it.

    Weighing tells nothing about them, so priors of the fit and bands of the study must be the same.
    """
    wing = FitWing(godwit_study)
    weighed = WeighedTable.model_construct(bare_halves=1.05 * wing.masses["foam"], covered_halves=None)
    fitted = fit_factors(wing, list(weight_readings(wing, weighed)))
    tables = variants.given_tables(godwit_study)
    before = band(godwit_study, tables, held)
    tables |= tomllib.loads(overlay(wing, fitted, "a scale", godwit_study.text))
    study = study_from_tables(tables, godwit_study.path, godwit_study.text)
    nominal, total = variants.variant_numbers(study, held), 0.0
    for used, sides in fitted_directions(study):
        if used.place[1] in ("drag", "induced", "drive_power", "propeller_power"):
            each = variants.input_variants(study, tables, held, variants.Input(used, sides, "fitted"), nominal)
            low, high = (np.log(side.key_numbers.range / nominal.key_numbers.range) for side in each.sides)
            total += ((high - low) / 2 / 1.64485) ** 2
    assert nominal.scatter == 0.0  # the propeller is a factor of the fit
    assert 0.9 * before < np.sqrt(total) <= 1.002 * before


@pytest.mark.parametrize("deviations", [-2, 2])
def test_a_flight_that_surprises_still_narrows_the_band_or_is_flagged(flown, held, deviations):
    """Check the band in kilometres after a flight with two standard deviations less or more charge than expected.

    The band goes with the range, so a long flight widens it again; the model flags what is further off.
    """
    study, tables = flown
    before = variants.variant_numbers(study, held).key_numbers.range * WIDTH_BEFORE
    charge = study.known_flight.charge_used * np.exp(deviations * np.hypot(WIDTH_BEFORE, FLIGHT_SPREAD))
    tables = variants.put(tables, ("known_flight", "charge_used"), f"{charge / 3.6:.2f} mAh")
    surprised = study_from_tables(tables, study.path, study.text)
    after = band(surprised, tables, held) * variants.variant_numbers(surprised, held).key_numbers.range
    assert after < 0.8 * before
    tables = variants.put(tables, ("known_flight", "charge_used"), f"{charge * np.exp(deviations * 0.1) / 3.6:.2f} mAh")
    further = anchor_of(study_from_tables(tables, study.path, study.text))
    assert any("hard to believe" in flag for flag in further.flags)


def test_a_flight_says_less_of_a_wing_with_another_propeller(flown, held):
    """Check that the scatter of both propellers is in the band of a wing whose propeller has not flown."""
    study, tables = flown
    other = replace(held, choice=replace(held.choice, propeller="11x6"))
    same, changed = band(study, tables, held), band(study, tables, other)
    assert 1.2 * same < changed < np.hypot(same, 2 * 0.08)
    assert factor_spreads(study).drive_power == pytest.approx(np.hypot(0.09, 0.08))


def test_a_flight_says_nothing_of_another_motors_drive(godwit_study, flown, held):
    """Check that the drive's own doubt is back in full, and that its draws leave what the flight says of the drag."""
    study, tables = flown
    other = replace(held, choice=replace(held.choice, motor="slower winding"))
    assert with_flown_parts(study, BuiltFactors(1.2, 1.1, 1.3), other.choice) == (1.2, 1.1, 1.0)
    assert variants.model_scatter(study, other.choice) == pytest.approx(0.08)
    sides = next(sides for used, sides in built_inputs(study, other.choice) if used.place[1] == KEYS[2])
    nominal = calibrated_wing(study, held.stock_speed).factors
    for side in sides:
        raw = tables
        for place, value in side.items():
            raw = variants.put(raw, place, value)
        drawn = calibrated_wing(study_from_tables(raw, study.path, study.text), held.stock_speed).factors
        # tolerance: equipment takes its share of the charge by the voltage of mid-flight
        assert (drawn.section_drag, drawn.wake_drag) == pytest.approx(
            (nominal.section_drag, nominal.wake_drag), rel=3e-3
        )
    low, high = (side["built", KEYS[2]] for side in sides)
    assert np.log(high / low) / 2 / 1.64485 == pytest.approx(0.09, rel=1e-3)


def test_an_error_of_the_drive_that_flew_is_an_error_of_the_flight(flown, held):
    """Check the ends of the flight for the same drive, another propeller and another motor, by charge per distance."""
    study, _ = flown
    for parts, sources in (({}, []), ({"propeller": "11x6"}, [0.08]), ({"motor": "slower winding"}, [0.08, 0.09])):
        _, (low, high) = next(flight_inputs(study, replace(held.choice, **parts)))
        lengths = [split_quantity(side["known_flight", "distance"])[0] for side in (low, high)]
        off = np.log(lengths[0] / lengths[1]) / 2 / 1.64485
        assert off == pytest.approx(np.linalg.norm([FLIGHT_SPREAD, *sources]), rel=1e-3)


def test_what_a_class_says_of_another_motor_is_in_doubt(godwit_study, held):
    """Check the resistance and the no-load current that the study does not state: x0.6 and x1.6, as on the wing."""
    other = replace(held.choice, motor="slower winding")
    found = {
        used.key: [next(iter(side.values())) for side in sides] for used, sides in new_motor_inputs(godwit_study, other)
    }
    assert list(found) == ["motor_choice[1].resistance", "motor_choice[1].no_load_current"]
    for low, high in found.values():
        assert split_quantity(high)[0] / split_quantity(low)[0] == pytest.approx(1.6 / 0.6, rel=0.02)
    assert not list(new_motor_inputs(godwit_study, held.choice))


def test_fitted_factors_of_the_drive_stay_with_its_parts(godwit_study, held):
    fitted = replace(godwit_study, fitted=fitted_table({"drive_power": 1.2, "propeller_power": 1.1, "drag": 1.3}))
    for parts, left in (
        ({}, (1.2, 1.1)),
        ({"propeller": "11x6"}, (1.2, 1.0)),
        ({"motor": "slower winding"}, (1.0, 1.1)),
    ):
        made = study_with_choice(fitted, replace(held.choice, **parts)).fitted
        assert (made.drive_power, made.propeller_power, made.drag) == (*left, 1.3)


def test_the_drag_of_a_lid_that_only_the_design_raises_is_in_doubt(tmp_path):
    """Check a bay cut to a brick: both ends reach the drag of the design, and no other wing."""
    study = read_study(high_brick(tmp_path))
    flush = replace(stock_choice(study), pack="brick", series=4, parallel=1, layout="1 x 1 x 1 fore and aft")
    raised = replace(flush, raised_lid=0.006)
    assert not list(raised_lid_inputs(study, flush))
    ((used, ends),) = raised_lid_inputs(study, raised)
    assert used.key == "bay[1].raised_lid_drag_area"
    areas = [float(split_quantity(text)[0]) * 1e-4 for text in (used.low, used.value, used.high)]
    assert areas[0] < 0.8 * areas[1] and 1.2 * areas[1] < areas[2]

    def drag(varied, choice):
        return sum(item.number * item.drag_area for item in cruise_drag_items(study_with_choice(varied, choice)))

    bare = drag(study, flush)
    assert drag(study, raised) - bare == pytest.approx(areas[1], rel=1e-4)
    for end, area in zip(ends, (areas[0], areas[2]), strict=True):
        ((place, value),) = end.items()
        varied = study_from_tables(variants.put(tomllib.loads(study.text), place, value), study.path, study.text)
        assert drag(varied, raised) - bare == pytest.approx(area, rel=1e-4)
        assert drag(varied, flush) == bare and drag(varied, stock_choice(varied)) == drag(study, stock_choice(study))
