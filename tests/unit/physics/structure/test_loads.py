"""Equilibrium of half a wing, and load factors that are limited by the stall."""

import numpy as np

from tradestudy.physics.structure.loads import (
    CAP_ROUNDING,
    GRAVITY,
    capped_load_factor,
    cosine_and_sine,
    gust_increment,
    wing_loads,
)

EDGES = np.array([0.0, 0.1, 0.25, 0.45, 0.6])
MIDDLE = 0.5 * (EDGES[1:] + EDGES[:-1])


def test_loads_equal_the_sum_of_moments_of_every_force_outboard():
    random = np.random.default_rng(3)
    lift, moment = random.normal(4.0, 1.0, (2, 4)), random.normal(0.0, 0.05, (2, 4))
    mass, lift_x, mass_x = (
        random.uniform(0.02, 0.06, 4),
        random.uniform(0.0, 0.3, 4),
        random.uniform(0.0, 0.3, 4),
    )
    factor, sweep, axis_x = np.array([4.0, -1.5]), np.full(5, 0.4), 0.08 + np.tan(0.4) * EDGES
    loads = wing_loads(EDGES, axis_x, cosine_and_sine(sweep), lift, factor, mass, lift_x, mass_x, moment, 0.02, 0.33)
    direction = np.array([np.sin(0.4), np.cos(0.4), 0.0])
    for condition in range(2):
        for station in range(5):
            here = np.array([axis_x[station], EDGES[station], 0.0])
            force, torque = np.zeros(3), np.zeros(3)
            for strip in range(station, 4):
                for size, x in (
                    (lift[condition, strip], lift_x[strip]),
                    (-factor[condition] * GRAVITY * mass[strip], mass_x[strip]),
                ):
                    one = np.array([0.0, 0.0, size])
                    force += one
                    torque += np.cross([x - here[0], MIDDLE[strip] - here[1], 0.0], one)
                # x aft, y right, z up: a vector along +y is nose up
                torque += np.array([0.0, moment[condition, strip], 0.0])
            fin = np.array([0.0, 0.0, -factor[condition] * GRAVITY * 0.02])
            force += fin
            torque += np.cross([0.33 - here[0], EDGES[-1] - here[1], 0.0], fin)
            np.testing.assert_allclose(loads.shear[condition, station], force[2], rtol=1e-11, atol=1e-12)
            twisting = torque @ direction
            bending = torque @ np.array([direction[1], -direction[0], 0.0])
            np.testing.assert_allclose(loads.torsion[condition, station], twisting, rtol=1e-10, atol=1e-12)
            np.testing.assert_allclose(loads.bending_moment[condition, station], bending, rtol=1e-10, atol=1e-12)


def test_lift_that_carries_its_own_weight_loads_nothing():
    mass = np.array([0.05, 0.04, 0.03, 0.02])
    factor = np.array([1.0, 4.0])
    lift = factor[:, None] * GRAVITY * mass
    loads = wing_loads(EDGES, 0.3 * EDGES, cosine_and_sine(0.3), lift, factor, mass, 0.3 * MIDDLE, 0.3 * MIDDLE)
    for load in loads:
        np.testing.assert_allclose(load, 0.0, atol=1e-14)


def test_a_gust_cannot_lift_more_than_the_stall_allows():
    demanded = 1.0 + np.array([1.0, -1.0]) * gust_increment(7.62, 20.0, 6.0, 0.25, 4.5, 1.225)
    highest = 0.5 * 1.225 * 20.0**2 * 0.7 / (GRAVITY * 6.0)  # that of a lift coefficient of 0.7
    limited = capped_load_factor(demanded, highest, -0.6 * highest)
    np.testing.assert_allclose(demanded, [4.905, -2.905], rtol=1e-3)  # 1 +- 3.905
    np.testing.assert_allclose(limited, [highest, -0.6 * highest], atol=0.003)  # CAP_ROUNDING^2 / 4 / distance
    assert limited[0] < highest
    meet = capped_load_factor(highest, highest, -2.0)
    np.testing.assert_allclose(meet, highest - 0.5 * CAP_ROUNDING, atol=0.003)
    np.testing.assert_allclose(capped_load_factor(1.0, 4.0, -2.0), 1.0, atol=2e-3)
