"""What flights have measured: an input that was part of their fit does not move the stock wing's power once more."""

from dataclasses import replace

import pytest
from helpers.wings import greenshank

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.study.reader import read_study
from tradestudy.study.schema.fitted import FACTOR_NAMES
from tradestudy.uncertainty import variants
from tradestudy.uncertainty.measured_drain import held_to_drain, measured_drain

INPUTS = (
    {("equipment", 0, "power"): "4 W"},  # 3.5 W more
    {("motor", "mass"): "70 g"},  # a lighter motor of that size has more resistance
    {("covering", "finish"): "bare"},
)


@pytest.fixture(scope="module")
def wings(tmp_path_factory):
    """Return the Greenshank without and with factors of flights: study, tables, anchor and its stock wing as design."""
    folder = tmp_path_factory.mktemp("drain")
    path, factors = greenshank.written(folder), folder / "fitted.toml"
    known = dict.fromkeys(FACTOR_NAMES, 1.0) | {"drag": 1.2}
    factors.write_text("\n".join(["[fitted]", *(f"{name} = {value}" for name, value in known.items()), ""]))
    found = []
    for study in (read_study(path), read_study(path, factors)):
        anchor = anchor_of(study)
        design = variants.fixed_design(study, anchor, anchor.choice, anchor.variables)
        found.append((study, variants.given_tables(study), anchor, design))
    return found


def change(wing, side):
    """Return the change of the range with another value, as a share."""
    study, tables, _, design = wing
    nominal = variants.variant_numbers(study, design).key_numbers.range
    return variants.possible_variant(study, tables, side, design).key_numbers.range / nominal - 1


@pytest.mark.parametrize("side", INPUTS, ids=lambda side: next(iter(side))[0])
def test_an_input_moves_the_range_only_where_no_flight_was_fitted(wings, side):
    plain, fitted = wings
    assert abs(change(plain, side)) > 0.008
    # tolerance: the best speed, which moves a little
    assert abs(change(fitted, side)) < 0.15 * abs(change(plain, side))


def test_factors_and_the_pilots_decisions_are_not_held(wings):
    _, fitted = wings
    for side in ({("fitted", "drag"): 1.3}, {("fly", "altitude"): "1500 m"}):
        held = replace(fitted[3], drain=None)
        assert change(fitted, side) == pytest.approx(change((*fitted[:3], held), side), rel=1e-12) != 0


def test_the_drive_makes_up_for_what_the_equipment_draws(wings):
    """Check the watts by hand: with all else equal, drive and equipment together draw what was measured."""
    study, _, anchor, design = wings[1]
    stock = SpeedSweep(anchor.data, anchor.choice, anchor.variables)
    drain, equipment = measured_drain(study, stock, anchor.choice, design.stock_speed), 1.5
    assert equipment == pytest.approx(float(anchor.data.power.avionics_power))
    share = held_to_drain(anchor.data, stock, drain + 6.0, design.stock_speed).power.powertrain.drive_power_factor
    own = anchor.data.power.powertrain.drive_power_factor
    assert share / own == pytest.approx(1 + 6.0 / (drain - equipment), rel=1e-9)
    assert held_to_drain(anchor.data, stock, 1.0, design.stock_speed) is anchor.data  # less than the equipment draws


def test_another_motor_was_not_measured(wings):
    study, _, anchor, design = wings[1]
    stock = SpeedSweep(anchor.data, anchor.choice, anchor.variables)
    assert measured_drain(study, stock, replace(anchor.choice, motor="other"), design.stock_speed) is None
    assert measured_drain(wings[0][0], stock, anchor.choice, design.stock_speed) is None  # no fit
