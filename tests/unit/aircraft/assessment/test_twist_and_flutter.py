"""Control that is left as the wing twists, the flutter band, and the advised speed of one design."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.invented.invented_numbers import numbers_of

from tradestudy.aircraft.assessment import twist_and_flutter
from tradestudy.aircraft.assessment.twist_and_flutter import advice_flags, control_curves
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.aeroelastic import divergence_reversal, elastic_wing
from tradestudy.physics.flight import control as soft_wing
from tradestudy.results.numbers import DesignNumbers

SPEED = np.linspace(10.0, 40.0, 31)


@pytest.fixture(scope="module")
def sweep(godwit_anchor):
    return SpeedSweep(godwit_anchor.data, godwit_anchor.choice, godwit_anchor.variables)


def with_bond(sweep, share):
    """Return the same wing with the film bond multiplied by a factor."""
    structure = sweep.data.strength
    covering = structure.covering._replace(bond=share * structure.covering.bond)
    data = replace(sweep.data, strength=structure._replace(covering=covering))
    return SpeedSweep(data, sweep.choice, sweep.variables | {"equipment_position": 0.0})


def test_control_falls_with_speed_and_a_loose_film_leaves_less(sweep):
    found = control_curves(sweep, SPEED)
    assert np.all(np.diff(found.roll, axis=-1) < 0) and np.all(np.diff(found.pitch, axis=-1) < 0)
    assert np.all(found.roll[1] < found.roll[0]) and np.all(found.pitch[1] < found.pitch[0])
    # at walking speed nothing twists: the loss is proportional to speed squared
    slow = control_curves(sweep, np.array([0.1, 1.0, 2.0]))
    lost = 1 - slow.roll[0]
    assert lost[0] < 1e-3 and lost[2] / lost[1] == pytest.approx(4.0, rel=0.02)


def test_critical_speeds_agree_with_the_curves(sweep):
    numbers = control_curves(sweep, SPEED).numbers
    at = np.array([numbers["control_speed_kmh"], numbers["roll_reversal_kmh"]]) / 3.6
    there = control_curves(sweep, at)
    # the curve is straight between speeds 1 m/s apart: tolerance a thousandth
    assert there.roll[0] == pytest.approx([soft_wing.LEAST_CONTROL_SHARE, 0.0], abs=2e-3)
    assert numbers["roll_reversal_weak_kmh"] < numbers["roll_reversal_kmh"] < numbers["pitch_reversal_kmh"]


def test_loose_film_is_a_wing_built_with_less_bond(sweep):
    loose = control_curves(with_bond(sweep, soft_wing.LOOSE_BOND), SPEED)
    assert control_curves(sweep, SPEED).roll[1] == pytest.approx(loose.roll[0], rel=1e-9)


def test_the_search_sees_the_same_control(sweep, godwit_anchor):
    values = soft_wing.twist_effects(sweep.data.flight, sweep.solution, sweep.wings.half)
    speed = sweep.data.flight.control_speed
    # the limit is 0.8 of the speed at which the stock wing has 0.4 left
    assert speed == pytest.approx(0.8 * godwit_anchor.reference.control_speed)
    left = divergence_reversal.elastic_effects(
        sweep.solution.air,
        elastic_wing.compliance(*sweep.wings.half),
        0.5 * sweep.data.flight.air_density * np.array([speed]) ** 2,
    )
    assert values.roll_control == pytest.approx(float(left.roll_effectiveness[0]))
    assert values.pitch_control == pytest.approx(float(left.pitch_effectiveness[0]))
    assert 0.4 < values.roll_control < 1
    # feedback grows with speed squared and is 1 at the twist-off speed; digits of the result
    twist_off = control_curves(sweep, SPEED).numbers["twist_off_kmh"]
    assert values.twist_off_share == pytest.approx((138 / twist_off) ** 2, rel=1e-3)


def flutter(study, wing):
    design = EvaluatedDesign(study, wing.data, wing.choice, wing.variables, wing.wings)
    return twist_and_flutter.flutter_numbers(design, control_curves(wing, SPEED).numbers)


@pytest.fixture(scope="module")
def numbers(godwit_study, sweep):
    return flutter(godwit_study, sweep)


def test_strips_weigh_what_the_wing_does(sweep):
    """Compare strip masses of foam, covering, elevons and rods of both halves with the list of weights."""
    strips = twist_and_flutter._strip_inertia(sweep)
    items, width = sweep.shape.mass_items, np.diff(sweep.wings.half.beam.station_y)
    sets = twist_and_flutter._rod_layers(sweep, sweep.wings.half.strip_y)
    rods = 2 * sum(float(layer[0] @ width) for layer in sets)  # less foam of 30 kg/m3 that the glass displaces
    # rods end in the middle of a strip or at its edge: 10 of 610 mm
    net = (1 - 30 / 2000) * float(items[3:5].sum())
    assert rods == pytest.approx(net, rel=10 / 610)
    # foam, covering, elevons and cut-outs: strips take the chord in their middle, 0.1 %
    assert 2 * strips.mass.sum() - rods == pytest.approx(float(items[:5].sum()) - net, rel=1e-3)


def test_flutter_band_and_advice_are_in_order(numbers):
    assert numbers["flutter_low_kmh"] < numbers["flutter_kmh"] < numbers["flutter_high_kmh"]
    assert numbers["advised_speed_weak_kmh"] < numbers["advised_speed_kmh"]
    # CS-VLA: critical speed over 1.2 / 0.9, whichever comes first
    assert numbers["advised_speed_kmh"] <= 0.75 * numbers["flutter_kmh"] + 0.01
    assert numbers["advised_speed_why"] in twist_and_flutter.REASONS.values()


def test_better_bond_twists_faster_and_flutters_later(godwit_study, sweep, numbers):
    firm = with_bond(sweep, 1.4)
    better = flutter(godwit_study, firm)
    assert (
        better["second_natural_frequency_hz"] > numbers["second_natural_frequency_hz"]
        and better["flutter_kmh"] > numbers["flutter_kmh"]
    )
    # film adds little to bending stiffness
    assert better["natural_frequency_hz"] == pytest.approx(numbers["natural_frequency_hz"], rel=0.05)


def test_a_tip_that_is_not_there_yet_changes_nothing(godwit_study, godwit, sweep, numbers):
    """Check that the scheme "tip" without extension changes nothing. It ends the wing in a piece of 0.1 mm.

    This piece is cut into strips of micrometres.
    """
    other = SpeedSweep(godwit("tip"), sweep.choice, sweep.variables | {"equipment_position": 0.0})
    found = flutter(godwit_study, other)
    for name in (
        "natural_frequency_hz",
        "second_natural_frequency_hz",
        "flutter_kmh",
    ):  # the same strips; the tip is 0.1 mm farther out
        assert found[name] == pytest.approx(numbers[name], rel=5e-3)


def test_measured_stiffness_moves_the_speeds_by_its_root(sweep):
    """Check that bending and torsion k times as stiff, including film, multiply all speeds by sqrt(k)."""
    structure = sweep.data.strength._replace(bending_factor=0.5, torsion_factor=0.5)
    soft = SpeedSweep(
        replace(sweep.data, strength=structure), sweep.choice, sweep.variables | {"equipment_position": 0.0}
    )
    before, after = control_curves(sweep, SPEED).numbers, control_curves(soft, SPEED).numbers
    for name in ("roll_reversal_kmh", "roll_reversal_weak_kmh", "pitch_reversal_kmh"):
        assert after[name] == pytest.approx(np.sqrt(0.5) * before[name], rel=1e-9)


def test_a_cruise_above_the_advised_speed_is_said():
    """The search knows no flutter: it ended at a wing whose cruise is faster than its own advice."""
    wing = DesignNumbers(**numbers_of(2200.0, 5390.0, 195.0, 5, 60.0, 520.0))
    fast = replace(wing, advised_speed_kmh=55.0, advised_speed_why="it may flutter")
    said = "its cruise at 60 km/h is faster than its advised maximum speed of 55 km/h, above which it may flutter"
    assert [flag.startswith(said) for flag in advice_flags(fast)] == [True]
    for advised in (61.0, None):
        assert advice_flags(replace(wing, advised_speed_kmh=advised)) == []
