"""Scaling, speed and superposition of the lattice, on random wings by hypothesis."""

import numpy as np
import pytest
from helpers.wings.wings import FLAT, answer, outline
from hypothesis import given, settings
from hypothesis import strategies as st

from tradestudy.physics.aero import lattice, trim
from tradestudy.physics.flight import trimmed_flight
from tradestudy.physics.geometry.fins import SheetFin
from tradestudy.physics.geometry.mesh import half_wing_mesh

# relative to the largest value of its kind: linear systems of some hundred unknowns, condition number about 1e3
ROUNDING = 1e-10
FEW = settings(max_examples=25, deadline=None, derandomize=True, database=None)


def number(low, high):
    return st.floats(low, high)


SHAPE = st.fixed_dictionaries(
    {
        "centre": number(0.02, 0.2),
        "span": number(0.4, 1.0),
        "set_back": number(-0.1, 0.5),
        "root": number(0.15, 0.4),
        "taper": number(0.3, 1.0),
        "rise": number(-0.05, 0.1),
        "twist": number(-0.1, 0.1),
        "hinge": number(0.1, 0.35),
        "fin": st.booleans(),
    }
)
CAMBER = st.builds(lattice.SectionCamber, number(-0.2, 0.4), number(-0.1, 0.05), number(-0.2, 0.2), number(-0.05, 0.05))


def built(shape, scale=1.0, twist=None):
    """Return outline and fin of a random wing, with all lengths times ``scale``, and another twist [rad] if given."""
    s = scale
    chord = s * shape["root"] * np.array([1, 1, shape["taper"]])
    tip = shape["centre"] + shape["span"]
    wing = outline(
        s * np.array([0, shape["centre"], tip]),
        s * np.array([0, 0, shape["set_back"]]),
        chord,
        twist=[0, 0, shape["twist"] if twist is None else twist],
        height=s * np.array([0, 0, shape["rise"]]),
        elevon_chord=shape["hinge"] * chord,
        elevon=(s * (shape["centre"] + 0.1), s * 0.95 * tip),
    )
    fin = SheetFin(*(s * np.asarray(length) for length in (0.13, 0.15, 0.09, 0.06, 0.02)))
    return wing, fin if shape["fin"] else None


def close(found, wanted):
    found, wanted = np.asarray(found), np.asarray(wanted)
    return found == pytest.approx(wanted, abs=ROUNDING * np.abs(wanted).max())


@FEW
@given(SHAPE, CAMBER, number(0.05, 20.0))
def test_size(shape, camber, scale):
    """Check that with lengths times s, circulation grows as s, areas s^2, moments s^3, and by pitch rate one power
    more."""
    small, large = (answer(*built(shape, s), camber=camber).unit for s in (1.0, scale))
    rate = np.array([1, 1, 1, scale])
    for field, power in (
        ("strip_circulation", 1),
        ("strip_lift", 2),
        ("lift_area", 2),
        ("strip_moment", 3),
        ("moment_volume", 3),
    ):
        for column in range(4):
            assert close(
                getattr(large, field)[..., column] / (scale**power * rate[column]), getattr(small, field)[..., column]
            )
    assert close(large.drag_area_matrix / (scale**2 * rate[:, None] * rate), small.drag_area_matrix)


@FEW
@given(SHAPE, CAMBER, number(0.05, 20.0), number(0.1, 10.0))
def test_speed_and_size_in_trim(shape, camber, scale, faster):
    """Check that with weight proportional to speed squared times area, angles stay.

    Forces then scale as weight, at 1 g.
    """

    def flown(size, speed):
        wing = answer(*built(shape, size), camber=camber)
        centre = trim.balance_points(wing.unit, wing.areas.mean_aerodynamic_chord, 0.08).centre_of_gravity
        pressure = np.array([0.6125 * speed**2])
        weight = np.asarray(0.4 * pressure[0] * wing.areas.area)
        inputs = trim.TrimInputs(centre, weight, pressure, np.ones(1), np.array([speed]), 0.8)
        state = trim.rigid_trim(wing.unit, inputs)
        return state, trim.strip_forces(wing.unit.strip_lift, state.amplitude, pressure)

    (here, force), (there, grown) = flown(1.0, 12.0), flown(scale, 12.0 * faster)
    # two unknowns from a small difference (the margin) have a condition number of some hundred
    tight = {"rel": 1e-8, "abs": 1e-8}
    assert there.alpha == pytest.approx(here.alpha, **tight)
    assert there.elevon == pytest.approx(here.elevon, **tight)
    assert grown / (faster**2 * scale**2) == pytest.approx(force, rel=1e-8, abs=1e-8 * np.abs(force).max())


@FEW
@given(SHAPE, CAMBER, CAMBER, number(-0.1, 0.1), number(-0.1, 0.1))
def test_right_hand_sides_add(shape, camber, more, twist, further):
    """Check that right-hand sides add: twist and camber of two wings of the same outline give those of a third."""
    both = lattice.SectionCamber(*(a + b for a, b in zip(camber, more, strict=True)))
    first, second, third = (
        answer(*built(shape, twist=angle), camber=section)
        for angle, section in ((twist, camber), (further, more), (twist + further, both))
    )
    assert third.circulation[..., 0] == pytest.approx(
        first.circulation[..., 0] + second.circulation[..., 0], abs=ROUNDING
    )  # in metres, for chords near 0.2 m
    assert close(third.circulation[..., 1:], first.circulation[..., 1:])


@FEW
@given(SHAPE, st.lists(number(-1.0, 1.0), min_size=4, max_size=4))
def test_columns_add(shape, weights):
    """Check that circulations add: a sum of the four right-hand sides has the same sum of the four solutions."""
    wing, fin = built(shape)
    found = answer(wing, fin)
    mesh = half_wing_mesh(wing, (fin,) if fin else ())
    own, image = lattice.normalwash(mesh)
    sides = lattice.symmetric_downwash(mesh, trimmed_flight.strip_angles(wing, mesh), FLAT)
    alone = np.linalg.solve(own + image, -sides @ weights)
    assert found.circulation.reshape(-1, 4) @ weights == pytest.approx(alone, abs=ROUNDING)


@FEW
@given(SHAPE)
def test_place_does_not_matter(shape):
    """Check that a wing moved aft by a length keeps lift and drag, and that its neutral point moves with it."""
    wing, fin = built(shape)
    here, there = answer(wing, fin), answer(wing._replace(leading_edge=wing.leading_edge + 0.7), fin)
    assert close(there.unit.lift_area[:3], here.unit.lift_area[:3])
    assert close(there.unit.drag_area_matrix[:3, :3], here.unit.drag_area_matrix[:3, :3])
    assert there.neutral_point == pytest.approx(here.neutral_point + 0.7, rel=1e-9)
