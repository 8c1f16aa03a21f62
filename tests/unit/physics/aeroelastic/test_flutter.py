"""Flutter of swept and free wings: limits that do not depend on numbers, the band, the complete wing."""

import numpy as np
import pytest
from helpers.wings.typical_section import layers_by_hand, materials

from tradestudy.physics.aeroelastic import flutter
from tradestudy.physics.aeroelastic import wing_flutter as module
from tradestudy.physics.aeroelastic.flutter import (
    FlutterBand,
    SectionAxis,
    air_forces,
    band_after_flight,
    flutter_band,
    flutter_points,
)
from tradestudy.physics.aeroelastic.vibration import BeamSections, clamped_modes, free_modes, natural_frequencies
from tradestudy.physics.aeroelastic.wing_flutter import HalfBody, strip_inertia, vibrating_wing, wing_flutter
from tradestudy.physics.structure.wing_beam import WingBeam
from tradestudy.physics.weights.mass import Strip

DENSITY, HALF_SPAN, CHORD = 1.225, 0.75, 0.25


def wing(sweep, bending, torsion, place=0.30, centre=0.30):
    """Return a uniform wing of 0.30 kg per metre. Elastic axis and centre of mass are shares of the chord."""
    cosine, ones = np.cos(sweep), np.ones(21)
    sections = BeamSections(
        np.linspace(0, HALF_SPAN / cosine, 21),
        bending * ones,
        torsion * ones,
        0 * ones,
        0.3 * cosine * ones,
        (centre - place) * CHORD * cosine * ones,
        0.06 * cosine * ones,
    )
    return sections, SectionAxis(0.5 * CHORD * cosine, 2 * place - 1, sweep)


def both(sweep, bending, torsion, body, **places):
    sections, axis = wing(sweep, bending, torsion, **places)
    clamped = clamped_modes(sections, 4)
    free = free_modes(clamped, sections, places.get("place", 0.30) * CHORD, sweep, *body)
    return flutter_points(clamped, axis, DENSITY)[0], flutter_points(free, axis, DENSITY)[0], clamped, free


def test_slow_motion_of_a_rigid_wing_is_steady_flight():
    """Check that at vanishing frequency, pitch gives the lift q S 2 pi cos(sweep) per radian at the quarter chord.

    This is simple sweep theory.
    """
    sweep, place = np.radians(25.0), 0.35
    sections, axis = wing(sweep, 60.0, 9.81, place)
    clamped = clamped_modes(sections, 2)
    free = free_modes(clamped, sections, place * CHORD, sweep, 0.5, 0.2, 0.08)
    k, omega = 1e-5, 1.0
    force = air_forces(free, axis, DENSITY, k)[0] * omega**2
    speed = omega * axis.half_chord / (k * np.cos(sweep))
    lift = 0.5 * DENSITY * speed**2 * CHORD * HALF_SPAN * 2 * np.pi * np.cos(sweep)
    quarter = 0.5 * HALF_SPAN * np.tan(sweep) + 0.25 * CHORD  # mean distance of the quarter chord behind the nose datum
    # tolerance 1e-4: k ln k of Theodorsen's function, and pitch rate
    assert force[0, 1].real == pytest.approx(lift, rel=2e-4)
    # sections square to the axis have a quarter chord that differs from the streamwise one by at most chord x sin^2
    assert force[1, 1].real == pytest.approx(-lift * quarter, rel=0.03)
    assert abs(force[0, 0]) < 1e-3 * lift  # a change of height alone gives no lift


def test_a_heavy_body_gives_the_clamped_modes():
    for places in ({}, {"centre": 0.42}):
        clamped, free, *_ = both(np.radians(25.0), 20.0, 30.0, (1e6, 0.2, 30.0), **places)
        assert free.speed == pytest.approx(clamped.speed, rel=1e-6)
        assert free.frequency == pytest.approx(clamped.frequency, rel=1e-6)


def test_body_freedom_flutter_of_a_light_soft_tailless_wing():
    """Check a swept tailless wing, stiff in torsion and soft in bending, with a light body of small inertia.

    Its pitching couples with bending far below the flutter speed of the clamped wing, as on the X-56A and the SB-13
    (literature, qualitative only).
    """
    clamped, free, fixed, free_modes_ = both(np.radians(25.0), 20.0, 1000.0, (0.3, 0.2, 0.03))
    assert free.speed < 0.1 * clamped.speed
    assert free.frequency < natural_frequencies(free_modes_)[0]  # below the frequency of free bending where it starts
    stiff = both(np.radians(25.0), 80.0, 4000.0, (0.3, 0.2, 0.03))
    # with all stiffness fourfold every speed doubles and the reduced frequency stays (dimensional analysis)
    for before, after in ((clamped, stiff[0]), (free, stiff[1])):
        assert after.speed == pytest.approx(2 * before.speed, rel=1e-6)
        assert after.reduced_frequency == pytest.approx(before.reduced_frequency, rel=1e-6)
    heavier = both(np.radians(25.0), 20.0, 1000.0, (0.6, 0.2, 0.10))[1]
    assert heavier.speed > free.speed  # more pitch inertia reduces body-freedom flutter


def test_branches_that_cross_go_straight_on():
    """Check two straight branches of eigenvalues whose values come in any order at each step."""
    rising, falling = 1.0 + 0.1 * np.arange(5) + 0.02j, 1.35 - 0.1 * np.arange(5) + 0.01j
    mixed = np.stack([rising, falling], axis=1)
    mixed[[1, 3, 4]] = mixed[[1, 3, 4], ::-1]
    assert flutter._branches(mixed).T.tolist() == [rising.tolist(), falling.tolist()]


def test_flutter_point_is_a_root_of_the_determinant():
    sections, axis = wing(np.radians(20.0), 60.0, 9.81, centre=0.42)
    motion = clamped_modes(sections, 4)
    for damping in (0.0, 0.05):
        result = flutter_points(motion, axis, DENSITY, (damping,))[0]
        total = result.frequency**2 * (motion.mass + air_forces(motion, axis, DENSITY, result.reduced_frequency)[0])
        values = np.linalg.eigvals(np.linalg.solve((1 + 1j * damping) * motion.stiffness, total))
        assert np.min(np.abs(values - 1)) < 1e-7  # tolerance: the search is accurate to 1e-10 in ln k
    assert result.speed > flutter_points(motion, axis, DENSITY)[0].speed  # damping raises the speed


def test_mass_on_or_ahead_of_the_axis_of_a_clamped_wing_does_not_flutter():
    sections, axis = wing(0.0, 60.0, 9.81, place=0.30, centre=0.24)
    result = flutter_points(clamped_modes(sections, 2), axis, DENSITY)[0]
    assert result.speed == np.inf and np.isnan(result.frequency)


def test_band_adds_ratios_as_the_root_of_squares():
    band = flutter_band(30.0, {"stiffness": (20.0, 33.0), "damping": (27.0, 36.0), "mass": (31.0, 32.0)})
    low = 30.0 * np.exp(-np.hypot(np.log(1.5), np.log(30 / 27)))
    high = 30.0 * np.exp(np.sqrt(np.log(1.1) ** 2 + np.log(1.2) ** 2 + np.log(32 / 30) ** 2))
    assert band[:3] == pytest.approx((low, 30.0, high), rel=1e-12)
    assert band.reason == "stiffness"
    assert flutter_band(30.0, {"stiffness": (20.0, np.inf), "mass": (35.0,)})[:3] == pytest.approx((20.0, 30.0, np.inf))
    assert flutter_band(np.inf, {"a": (np.inf, 40.0), "b": (50.0,)}) == (40.0, np.inf, np.inf, "a")


def test_flown_speed_of_the_stock_wing_limits_the_band():
    band = FlutterBand(15.0, 30.0, 40.0, "stiffness")
    # Stock wing: nominal 36 m/s, flown 27 m/s, which is three quarters. So this wing has three quarters of 30 m/s.
    assert band_after_flight(band, 36.0, 27.0) == (22.5, 30.0, 40.0, "flown by the stock wing")
    assert band_after_flight(band, 36.0, 17.9) == band  # gives no new information
    assert band_after_flight(band, 36.0, 45.0)[:3] == pytest.approx((37.5, 37.5, 40.0), rel=1e-12)
    assert band_after_flight(band, np.inf, 45.0) == band
    only_low = FlutterBand(40.0, np.inf, np.inf, "stiffness")  # a flight proves no wing free of flutter at any speed
    assert band_after_flight(only_low, 36.0, 45.0) == only_low


MATERIALS = materials(0.068, 2.03, 30.0, 0.055, 150.0, 0.006)


def laid_wing(stiffness=1.0):
    edges = np.linspace(0, 0.6, 19)
    ones, chord = np.ones(19), 0.25 - 0.1 * edges / 0.6
    edge_x = 0.35 * edges
    beam = WingBeam(
        station_y=edges,
        axis_sweep=0.33,
        bending_rigidity=60.0 * ones * stiffness,
        torsional_rigidity=6.0 * ones * stiffness,
        shear_compliance=ones / 1000.0,
        elastic_axis=0.3 * ones,
        axis_x=edge_x + 0.25 * chord,
        unit_utilisation=np.zeros((1, 19)),
    )
    middle = 0.5 * (edges[1:] + edges[:-1])
    total = np.interp(middle, edges, chord)
    strips = strip_inertia(
        MATERIALS,
        np.diff(edges),
        np.interp(middle, edges, edge_x),
        0.8 * total,
        0.2 * total,
        others=[Strip(0.028 + 0 * total, np.interp(middle, edges, edge_x) + 0.24 * total, 0 * total)],
    )
    return vibrating_wing(beam, edge_x, chord, middle, strips, 0.01, 0.36, 0.05), strips


def test_strip_inertia_by_hand():
    rods = Strip(*(np.array([value]) for value in (0.028, 0.36, 0.0)))
    chords = np.array([0.3]), np.array([0.2]), np.array([0.04])
    result = strip_inertia(MATERIALS, np.array([0.1]), *chords, others=[rods])
    layers = layers_by_hand(MATERIALS, 0.2, 0.04)
    parts = [(m, 0.3 + x, r) for m, x, r in layers.values()] + [(0.028, 0.36, 0.0)]
    total = sum(part[0] for part in parts)
    centre = sum(m * x for m, x, _ in parts) / total
    spread = sum(m * ((x - centre) ** 2 + r**2) for m, x, r in parts) / total
    for value, expected in zip(result, (0.1 * total, centre, np.sqrt(spread)), strict=True):
        assert value[0] == pytest.approx(expected, rel=1e-12)


def test_a_wing_is_laid_out_along_its_axis():
    laid, strips = laid_wing()
    sections = laid.sections
    run = np.diff(sections.axis_station)
    mass = (run * 0.5 * (sections.mass_per_length[1:] + sections.mass_per_length[:-1])).sum()
    assert mass == pytest.approx(strips.mass.sum(), rel=1e-12)  # no mass is lost
    rise = 0.35 * 0.6 - 0.25 * 0.1  # the axis is at a quarter of a tapering chord
    assert np.tan(laid.sweep) == pytest.approx(rise / 0.6, rel=1e-12)
    np.testing.assert_allclose(laid.axis_place, -0.5, atol=1e-12)  # quarter chord
    np.testing.assert_allclose(laid.half_chord[[0, -1]], np.array([0.125, 0.075]) * np.cos(laid.sweep), rtol=1e-12)
    assert np.all(sections.mass_offset[1:-1] > 0.0)  # the additional mass is behind the axis


def test_total_wing():
    likely, weak = laid_wing()[0], laid_wing(0.4)[0]
    body = HalfBody(0.55, 0.14, 0.08)
    result = wing_flutter(likely, weak, body, DENSITY)
    assert result.speed.low < result.speed.likely < result.speed.high
    assert result.speed.reason == "stiffness of foam, film and bond"
    assert 0.0 < result.first.bending < result.first.torsion
    assert result.free[0] > result.first.bending  # the light body moves, so the free wing oscillates faster
    # For the wing at weak stiffness, the nominal speed is proportional to the root of stiffness. Core shear, 1000 N,
    # stays.
    again = wing_flutter(weak, weak, body, DENSITY).speed
    assert again.likely == pytest.approx(result.speed.likely * np.sqrt(0.4), rel=0.10)
    assert result.speed.low < again.likely  # the band contains the weak wing with some room
    assert result.speed.low > again.low
    # With tip loss the wing is faster, and so is the nominal speed. The full lift slope becomes part of the band.
    lossy = wing_flutter(likely._replace(lift_share=0.7), weak._replace(lift_share=0.7), body, DENSITY).speed
    assert lossy.likely > result.speed.likely


def test_shifted_mass_lies_farther_aft_by_a_share_of_the_chord():
    laid = laid_wing()[0]
    moved = module._shifted(laid, 0.02).sections.mass_offset - laid.sections.mass_offset
    np.testing.assert_allclose(moved, 0.02 * 2 * laid.half_chord, rtol=1e-12)
