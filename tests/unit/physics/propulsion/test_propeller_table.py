"""The propeller table: fit, smoothness at joints, behaviour outside its rows, messages."""

import numpy as np
import pytest

from tradestudy.errors import CatalogueError
from tradestudy.physics.propulsion.propeller_table import outside_data, propeller_coefficients, table_from_rows

RPM = 2 * np.pi / 60


def _thrust(advance_ratio, rpm):
    return (0.11 - 0.04 * advance_ratio - 0.14 * advance_ratio**2) * (rpm / 6000) ** 0.05


def _power(advance_ratio, rpm):
    return (0.045 + 0.02 * advance_ratio - 0.075 * advance_ratio**2) * (rpm / 6000) ** -0.06


def _rows(speeds=(4000.0, 6000.0, 8000.0), last=0.8, first=0.0):
    advance_ratio, rpm = (grid.ravel() for grid in np.meshgrid(np.linspace(first, last, 25), speeds))
    return advance_ratio, _thrust(advance_ratio, rpm), _power(advance_ratio, rpm), rpm * RPM


@pytest.fixture
def table():
    return table_from_rows(0.2286, *_rows())


def test_gives_back_a_smooth_propeller(table):
    """Check also between rows: quadratics in J are not changed by smoothing, and the power law in rpm costs 1e-5."""
    advance_ratio, rpm = np.meshgrid(np.linspace(0, 0.8, 57), [4000.0, 4700.0, 6500.0, 8000.0])
    thrust, power = propeller_coefficients(table, advance_ratio, rpm * RPM)
    assert thrust == pytest.approx(_thrust(advance_ratio, rpm), abs=3e-5)
    assert power == pytest.approx(_power(advance_ratio, rpm), abs=3e-5)
    assert table.zero_thrust_advance_ratio == pytest.approx(0.7549, abs=0.002)  # root; grid 0.002


def test_order_of_rows_does_not_matter(table):
    shuffled = np.random.default_rng(3).permutation(75)
    other = table_from_rows(0.2286, *(column[shuffled] for column in _rows()))
    at = np.linspace(0, 1, 30)
    expected = np.array(propeller_coefficients(table, at, 500.0))
    assert propeller_coefficients(other, at, 500.0) == pytest.approx(expected, abs=1e-12)


def test_noise_is_smoothed():
    """Check that with scatter of 1 % of the static value the curve has a smaller error."""
    advance_ratio, thrust, power, _ = _rows((6000.0,))
    noise = np.random.default_rng(1).normal(0, 0.001, 25)
    table = table_from_rows(0.2286, advance_ratio, thrust + noise, power)
    ours, _ = propeller_coefficients(table, advance_ratio, 1.0)
    assert np.sqrt(np.mean((ours - thrust) ** 2)) < 0.0009  # the noise itself is 0.001


@pytest.mark.parametrize("speeds", [(6000.0,), (5000.0, 7000.0), (4000.0, 6000.0, 9000.0)])
def test_continues_outside_the_rows(speeds):
    """Check that thrust keeps falling and power is positive, at any J and speed."""
    table = table_from_rows(0.2286, *_rows(speeds, last=0.6))
    advance_ratio = np.linspace(0.55, 6, 2000)[:, None]
    thrust, power = propeller_coefficients(table, advance_ratio, np.array([10.0, 3000.0, 6000.0, 30000.0]) * RPM)
    assert (np.diff(thrust, axis=0) < 0).all()
    assert (power > 0).all()


@pytest.mark.parametrize("first, last, joint", [(0.0, 0.6, 0.6), (0.15, 0.6, 0.15)])
def test_joint_is_c2(first, last, joint):
    """Compare value, first and second derivative from left and right."""
    table = table_from_rows(0.2286, *_rows(first=first, last=last))
    step = 1e-4
    for which in (0, 1):

        def curve(at, which=which):
            return propeller_coefficients(table, at, 600.0)[which]

        left = [curve(joint - k * step) for k in range(3)]
        right = [curve(joint + k * step) for k in range(3)]
        assert left[0] == right[0]
        assert (left[0] - left[1]) / step == pytest.approx((right[1] - right[0]) / step, abs=2e-4)
        bends = [(side[0] - 2 * side[1] + side[2]) / step**2 for side in (left, right)]
        assert bends[0] == pytest.approx(bends[1], abs=0.02)  # third derivative x step is below 0.01


def test_complex_step_is_the_slope(table):
    """Compare with fourth-order differences at three random points, and outside the rows on both sides; rtol 1e-6."""
    generator = np.random.default_rng(7)
    seeded = zip(generator.uniform(0.1, 0.7, 3), generator.uniform(4500, 7500, 3), strict=True)
    for advance_ratio, rpm in [*seeded, (1.1, 9500.0), (0.5, 3000.0)]:
        for direction in ((1e-3, 0.0), (0.0, 1.0)):

            def at(k, c=(advance_ratio, rpm * RPM), d=direction):
                return np.array(propeller_coefficients(table, c[0] + k * d[0], c[1] + k * d[1]))

            difference = (at(-2) - 8 * at(-1) + 8 * at(1) - at(2)) / 12
            assert at(1e-20j).imag / 1e-20 == pytest.approx(difference, rel=1e-6, abs=1e-11)


def test_flag(table):
    flags = outside_data(table, np.array([0.4, 0.9, 0.4, 0.4]), np.array([6000, 6000, 3000, 9000]) * RPM)
    assert flags.tolist() == [False, True, True, True]
    single = table_from_rows(0.2286, *_rows((6000.0,))[:3])
    assert not outside_data(single, 0.4, 1.0)


def _changed(**changes):
    rows = dict(zip(("advance_ratio", "thrust", "power", "revolutions"), _rows((6000.0,)), strict=True))
    for name, change in changes.items():
        rows[name] = change(rows[name])
    return rows.values()


def _at_last(value):
    return lambda column: np.concatenate([column[:-1], [value]])


@pytest.mark.parametrize(
    "rows, message",
    [
        (
            [column[:5] for column in _rows((6000.0,))],
            "A propeller table needs rows at 6 or more different J; 5 found.",
        ),
        (_changed(thrust=_at_last(np.nan)), "A propeller table holds a J, CT, CP or rpm that is not a usable number."),
        (
            _changed(revolutions=_at_last(0.0)),
            "A propeller table holds a J, CT, CP or rpm that is not a usable number.",
        ),
        (_changed(advance_ratio=lambda column: column - 0.05), "A propeller table holds a negative J (-0.05)."),
        (
            _changed(power=lambda column: column * np.where(np.arange(25) == 12, -1, 1)),
            "At J = 0.4 the propeller table has thrust but no power: CP must be above 0 wherever CT is.",
        ),
        (
            _changed(thrust=lambda column: column[::-1]),
            "CT and CP must both fall at the highest J of a propeller table (0.8).",
        ),
        (_changed(thrust=lambda column: column - 0.2), "The propeller table has no thrust at J = 0."),
    ],
    ids=["few", "nan", "still", "negative", "power", "rising", "brake"],
)
def test_messages(rows, message):
    with pytest.raises(CatalogueError) as caught:
        table_from_rows(0.2286, *rows)
    assert str(caught.value) == message


@pytest.mark.parametrize("rpm", [3500.0, 9000.0])
def test_a_row_at_rest_far_from_the_speeds_in_flight_is_left_out(table, rpm):
    one, places = (0.0, 0.5, 0.4, rpm * RPM), (np.linspace(0.0, 0.9, 5), np.linspace(4000.0, 8000.0, 5) * RPM)
    longer = [np.append(column, value) for column, value in zip(_rows(), one, strict=True)]
    found = propeller_coefficients(table_from_rows(0.2286, *longer), *places)
    np.testing.assert_array_equal(found, propeller_coefficients(table, *places))
