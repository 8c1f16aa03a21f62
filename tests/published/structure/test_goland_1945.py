"""Flutter of a uniform cantilever wing: M. Goland, J. Applied Mechanics 12 (1945) A197, corrected by Goland and Luke,
J. Applied Mechanics 15 (1948) 13.

The published flutter point is about 137 m/s at 70 rad/s. For more digits, the differential equation of the beam with
Theodorsen's unsteady lift was solved for this project by transfer matrices. It gives 136.996 m/s and 70.027 rad/s (with
US customary data 136.85 and 70.00), and the natural frequencies. Straight wings of 0.25 m chord with rods, film and
foam, which are also tested below, were solved in the same way.
"""

import numpy as np
import pytest
from helpers.references.strip_divergence import divergence_speed

from tradestudy.physics.aeroelastic.flutter import SectionAxis, flutter_points
from tradestudy.physics.aeroelastic.vibration import BeamSections, clamped_modes, natural_frequencies

DENSITY = 1.225


def uniform(length, half_chord, bending, torsion, mass, offset, radius, stations=25):
    ones = np.ones(stations)
    return BeamSections(
        np.linspace(0.0, length, stations),
        bending * ones,
        torsion * ones,
        0.0 * ones,
        mass * ones,
        offset * ones,
        radius * ones,
    )


def goland(**changes):
    b = 0.9144
    values = {"bending": 9.773e6, "torsion": 0.9876e6, "mass": 35.717, "inertia": 8.642} | changes
    offset = 0.2 * b
    radius = np.sqrt(values["inertia"] / values["mass"] - offset**2)  # the published inertia is about the elastic axis
    return uniform(6.096, b, values["bending"], values["torsion"], values["mass"], offset, radius)


def goland_point(sections, n_mode=6, lift_share=1.0):
    return flutter_points(clamped_modes(sections, n_mode), SectionAxis(0.9144, -0.34, 0.0, lift_share), DENSITY)[0]


def test_flutter():
    found = goland_point(goland())
    assert found.speed == pytest.approx(137.0, rel=5e-3)  # tolerance: published to three digits
    assert found.speed == pytest.approx(136.996, rel=1e-3)  # 24 elements are 0.02 % high, with second-order convergence
    assert found.frequency == pytest.approx(70.027, rel=1e-3)


def test_the_same_in_feet_and_slugs():
    slug_per_foot, foot = 14.5939 / 0.3048, 0.3048
    pound_foot_squared = 4.44822 * foot**2
    us = uniform(
        20 * foot,
        3 * foot,
        23.66e6 * pound_foot_squared,
        2.387e6 * pound_foot_squared,
        0.746 * slug_per_foot,
        0.447 / 0.746 * foot,
        np.sqrt(1.943 / 0.746 - (0.447 / 0.746) ** 2) * foot,
    )
    found = goland_point(us)
    assert found.speed == pytest.approx(136.85, rel=1e-3)
    assert found.frequency == pytest.approx(70.00, rel=1e-3)


def test_two_modes_nearly_tell_it_all():
    # tolerance 0.5 %: these modes are coupled; 136.85 was found with one pure bending and one pure torsion mode
    assert goland_point(goland(), 2).speed == pytest.approx(136.85, rel=5e-3)


def test_frequencies():
    motion = clamped_modes(goland())
    # 24 elements of second order have an error of 0.1 % in the fourth frequency; tolerance 0.2 %
    np.testing.assert_allclose(natural_frequencies(motion)[:4], [48.155, 95.719, 243.77, 347.61], rtol=2e-3)
    bending, torsion = motion.bending_share[0], motion.bending_share[1]
    assert bending > 0.9 and torsion < 0.1
    pure = goland()._replace(mass_offset=np.zeros(25), mass_radius=np.full(25, np.sqrt(8.642 / 35.717)))
    np.testing.assert_allclose(
        natural_frequencies(clamped_modes(pure))[:4], [49.492, 87.108, 261.32, 310.16], rtol=2e-3
    )


def test_divergence():
    # Closed form (pi/2)^2 GJ/(e c a L^2) to five digits, as in test_hodges_2002.py. Six modes are 0.01 % off.
    assert divergence_speed(clamped_modes(goland(), 8), SectionAxis(0.9144, -0.34), DENSITY) == pytest.approx(
        252.35, rel=1e-3
    )


def test_tip_loss_raises_it_towards_the_lifting_surface():
    """Compare with unsteady lifting surfaces, which give 164 to 170 m/s (literature, from memory).

    Tip loss reduces the lift slope by the factor A/(A + 2), with aspect ratio A.
    """
    found = goland_point(goland(), lift_share=6.667 / 8.667).speed
    assert 150.0 < found < 170.0


# EI 69.4 and GJ 9.81 N m2, 0.30 kg/m, radius of gyration 0.24 chord, length 0.75 m, chord 0.25 m.
# Columns: elastic axis and centre of mass as shares of the chord, flutter speed [m/s].
MODEL_WINGS = [
    (0.311, 0.35, 58.8),
    (0.311, 0.38, 40.3),
    (0.311, 0.42, 32.8),
    (0.365, 0.38, 56.6),
    (0.365, 0.42, 35.6),
    (0.365, 0.50, 26.4),
]


@pytest.mark.parametrize("place, centre, speed", MODEL_WINGS)
def test_wing_of_a_foam_model(place, centre, speed):
    sections = uniform(0.75, 0.125, 69.4, 9.81, 0.30, (centre - place) * 0.25, 0.06)
    motion = clamped_modes(sections)
    assert flutter_points(motion, SectionAxis(0.125, 2 * place - 1), DENSITY)[0].speed == pytest.approx(
        speed, rel=3e-3
    )  # tolerance: three digits
    bending, torsion = natural_frequencies(motion)[:2] / (2 * np.pi)
    assert 14.4 < bending < 15.2 and 31.5 < torsion < 33.0  # uncoupled, as computed: 15.1 and 29 to 31 Hz


@pytest.mark.parametrize(
    "place, torsion, speeds",
    [
        (0.3113, 9.81, [54.0]),
        (0.3007, 0.965, [18.6, 20.3, 21.4, 22.9, 25.0]),
        (0.365, 9.81, [39.4, 54.8, 74.3]),
        (0.365, 0.965, [12.4, 13.1, 13.6, 14.3, 15.2]),
    ],
)
def test_divergence_of_swept_model_wings(place, torsion, speeds):
    """Compare with strip theory and an exact beam at sweeps of 0, 15, 20, 25 and 30 degrees.

    The tolerance of 0.5 % is for three digits and eight modes.
    """
    for sweep, speed in zip(np.radians([0, 15, 20, 25, 30]), speeds, strict=False):
        cosine = np.cos(sweep)
        sections = uniform(0.75 / cosine, 0.125 * cosine, 69.4, torsion, 0.3 * cosine, 0.02, 0.06 * cosine)
        axis = SectionAxis(0.125 * cosine, 2 * place - 1, sweep)
        assert divergence_speed(clamped_modes(sections, 8), axis, DENSITY) == pytest.approx(speed, rel=5e-3)
