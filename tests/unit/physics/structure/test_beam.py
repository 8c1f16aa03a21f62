"""Cantilever beams against closed forms and quadrature, with and without core shear, sweep and a kink."""

import numpy as np
import pytest
from scipy.integrate import quad

from tradestudy.physics.structure.beam import beam_shape, beam_strips
from tradestudy.physics.structure.loads import cosine_and_sine, wing_loads

LENGTH, RIGIDITY, LOAD = 0.75, 60.0, 20.0


def cantilever(
    edges, strip_force, rigidity, compliance=0.0, torsional_rigidity=1e9, sweep=0.0, axis_x=None, lift_x=None
):
    """Return loads and shape of a weightless half wing under given strip forces."""
    axis_x = np.zeros_like(edges) if axis_x is None else axis_x
    lift_x = np.zeros(edges.size - 1) if lift_x is None else lift_x
    direction, massless = cosine_and_sine(sweep), np.zeros(edges.size - 1)
    loads = wing_loads(edges, axis_x, direction, strip_force[None], np.ones(1), massless, lift_x, lift_x)
    one = np.ones_like(edges)
    shape = beam_shape(beam_strips(edges, sweep, rigidity * one, torsional_rigidity * one), compliance, *loads)
    return loads, shape


def strip_integral(function, edges):
    """Return the integral of a load per metre over each strip."""
    return np.array([quad(function, a, b)[0] for a, b in zip(edges[:-1], edges[1:], strict=True)])


def test_even_load_on_an_even_beam_is_exact_with_any_strips():
    edges = LENGTH * np.array([0.0, 0.13, 0.5, 0.9, 1.0])
    loads, shape = cantilever(edges, LOAD * np.diff(edges) / LENGTH, RIGIDITY)
    per_metre = LOAD / LENGTH
    exact = {
        "w L^4 / 8 EI": (shape.deflection, 17.5781e-3, per_metre * LENGTH**4 / (8 * RIGIDITY)),
        "w L^3 / 6 EI": (shape.roll, np.radians(1.79049), per_metre * LENGTH**3 / (6 * RIGIDITY)),
    }
    for name, (computed, number, formula) in exact.items():
        np.testing.assert_allclose(computed[0, -1], formula, rtol=1e-12, err_msg=name)  # Simpson's rule is exact
        np.testing.assert_allclose(computed[0, -1], number, rtol=5e-6, err_msg=name)  # tolerance: six digits
    np.testing.assert_allclose(loads.bending_moment[0, 0], 7.5, rtol=1e-12)
    y = edges
    along = per_metre * y**2 * (6 * LENGTH**2 - 4 * LENGTH * y + y**2) / (24 * RIGIDITY)
    np.testing.assert_allclose(shape.deflection[0], along, rtol=1e-12)


def test_load_at_the_tip():
    # one thin strip replaces a point load: its middle is 0.05 % of the span inboard of the tip
    edges = LENGTH * np.concatenate([np.linspace(0.0, 0.999, 10), [1.0]])
    force = np.zeros(10)
    force[-1] = LOAD
    loads, shape = cantilever(edges, force, RIGIDITY)
    np.testing.assert_allclose(loads.bending_moment[0, 0], 15.0, rtol=6e-4)
    np.testing.assert_allclose(shape.deflection[0, -1], LOAD * LENGTH**3 / (3 * RIGIDITY), rtol=1e-3)
    np.testing.assert_allclose(shape.deflection[0, -1], 46.8750e-3, rtol=1e-3)
    np.testing.assert_allclose(np.degrees(shape.roll[0, -1]), 5.37148, rtol=1.1e-3)


PEAK = 2 * LOAD / LENGTH
ELLIPTIC_PEAK = 4 * LOAD / (np.pi * LENGTH)
LOADS = {  # load per metre, tip deflection [mm], tip slope [deg], root moment [N m], from the closed forms
    "triangular, greatest at the root": (lambda y: PEAK * (1 - y / LENGTH), 9.37500, 0.89525, 5.0000),
    "triangular, greatest at the tip": (lambda y: PEAK * y / LENGTH, 25.7813, 2.68574, 10.0000),
    "elliptic": (
        lambda y: ELLIPTIC_PEAK * np.sqrt(max(1 - (y / LENGTH) ** 2, 0.0)),
        13.5992,
        1.34287,
        6.3662,
    ),
}


@pytest.mark.parametrize("name", LOADS)
def test_uneven_loads_on_an_even_beam(name):
    function, deflection, slope, moment = LOADS[name]
    edges = 0.5 * LENGTH * (1 - np.cos(np.linspace(0, np.pi, 61)))  # 60 strips, cosine spacing
    loads, shape = cantilever(edges, strip_integral(function, edges), RIGIDITY)
    # the load is even over each strip: second order, (pi/60)^2/6 = 0.05 %; tolerance 0.1 % for equilibrium
    np.testing.assert_allclose(loads.bending_moment[0, 0], moment, rtol=1e-3)
    np.testing.assert_allclose(1e3 * shape.deflection[0, -1], deflection, rtol=1e-3)
    np.testing.assert_allclose(np.degrees(shape.roll[0, -1]), slope, rtol=1e-3)


def test_strip_width_error_is_second_order():
    function = LOADS["triangular, greatest at the tip"][0]
    exact = 11 * PEAK * LENGTH**4 / (120 * RIGIDITY)
    errors = []
    for count in (10, 20):
        edges = np.linspace(0, LENGTH, count + 1)
        errors.append(cantilever(edges, strip_integral(function, edges), RIGIDITY)[1].deflection[0, -1] / exact - 1)
    assert 3.8 < errors[0] / errors[1] < 4.2  # half the strip width quarters the error


# Tapered beams: tip deflection EI0/(W L^3), chord 1 - (1 - taper) eta, EI by the chord ratio to a power. Quadrature and
# 40 finite elements agree on these six digits.
TAPERED = {  # (taper, power): even load, load as the chord, elliptic load
    (0.4, 1): (0.144126, 0.114429, 0.110127),
    (0.4, 2): (0.169057, 0.133034, 0.127249),
    (0.4, 3): (0.202358, 0.157592, 0.149561),
    (0.4, 4): (0.248035, 0.190850, 0.179328),
    (0.5, 1): (0.140186, 0.117861, 0.107408),
    (0.5, 2): (0.158883, 0.132920, 0.120374),
    (0.5, 3): (0.182234, 0.151608, 0.136282),
    (0.5, 4): (0.211844, 0.175146, 0.156064),
}


@pytest.mark.parametrize("taper, power", TAPERED)
def test_tapered_beams(taper, power):
    edges = 0.5 * (1 - np.cos(np.linspace(0, np.pi, 41)))

    def chord(eta):
        return 1 - (1 - taper) * eta

    laws = (
        lambda eta: 1.0,
        lambda eta: 2 * chord(eta) / (1 + taper),
        lambda eta: 4 / np.pi * np.sqrt(max(1 - eta**2, 0.0)),
    )
    for law, tip in zip(laws, TAPERED[taper, power], strict=True):
        loads, shape = cantilever(edges, strip_integral(law, edges), chord(edges) ** power)
        # second order in 40 strips: measured below 0.12 %
        np.testing.assert_allclose(shape.deflection[0, -1], tip, rtol=1.5e-3)
        if law is laws[1]:
            root = {0.4: 0.428571, 0.5: 0.444444}[taper]
            np.testing.assert_allclose(loads.bending_moment[0, 0], root, rtol=1e-3)


def test_core_shear_adds_root_moment_over_shear_stiffness():
    edges = 0.5 * LENGTH * (1 - np.cos(np.linspace(0, np.pi, 41)))
    force = strip_integral(LOADS["elliptic"][0], edges)
    loads, plain = cantilever(edges, force, RIGIDITY)
    _, sheared = cantilever(edges, force, RIGIDITY, compliance=np.full(41, 1 / 640.0))
    added = sheared.deflection[0, -1] - plain.deflection[0, -1]
    np.testing.assert_allclose(added, loads.bending_moment[0, 0] / 640.0, rtol=1e-12)  # the integral of V is M
    np.testing.assert_allclose(sheared.twist, plain.twist, atol=1e-15)  # shear turns no section


def test_twist_of_an_evenly_twisted_bar():
    edges = np.linspace(0, LENGTH, 8)
    force = LOAD * np.diff(edges) / LENGTH
    loads, shape = cantilever(edges, force, 1e9, torsional_rigidity=9.81, lift_x=np.full(7, -0.02))
    torque = LOAD * 0.02  # lift ahead of the axis turns the nose up
    np.testing.assert_allclose(loads.torsion[0, 0], torque, rtol=1e-12)
    # T falls linearly to zero: t L^2 / 2 GJ = T0 L / 2 GJ, for which trapezoids are exact
    np.testing.assert_allclose(shape.twist[0, -1], torque * LENGTH / (2 * 9.81), rtol=1e-12)


def test_sweep_lengthens_the_beam_and_bending_reduces_incidence_at_the_tip():
    sweep = np.radians(25.0)
    edges = np.linspace(0, LENGTH, 13)
    axis_x = np.tan(sweep) * edges
    middle = 0.5 * (axis_x[1:] + axis_x[:-1])
    force = LOAD * np.diff(edges) / LENGTH
    loads, shape = cantilever(edges, force, RIGIDITY, sweep=sweep, axis_x=axis_x, lift_x=middle)
    along = LENGTH / np.cos(sweep)
    np.testing.assert_allclose(loads.bending_moment[0, 0], LOAD * along / 2, rtol=1e-12)
    np.testing.assert_allclose(loads.torsion, 0.0, atol=1e-12)  # every force is on the axis
    np.testing.assert_allclose(shape.deflection[0, -1], LOAD * along**3 / (8 * RIGIDITY), rtol=1e-12)
    slope = LOAD * along**2 / (6 * RIGIDITY)
    np.testing.assert_allclose(shape.roll[0, -1], np.cos(sweep) * slope, rtol=1e-12)
    np.testing.assert_allclose(shape.twist[0, -1], -np.sin(sweep) * slope, rtol=1e-12)
    assert shape.twist[0, -1] < 0.0


def test_a_rigid_turn_at_a_kink_keeps_its_plane():
    # all the bending is in a short unswept root piece: outboard of it the wing must stay a flat, tilted plane
    edges = np.array([0.0, 0.1, 0.100001, 0.4, 0.7])
    sweep = np.array([0.0, 0.0, 0.5, 0.5, 0.5])
    rigidity = np.array([2.0, 2.0, 1e12, 1e12, 1e12])
    axis_x = np.concatenate([[0.0, 0.0], np.tan(0.5) * (edges[2:] - 0.1)])
    middle = 0.5 * (axis_x[1:] + axis_x[:-1])
    _, shape = cantilever(
        edges,
        np.array([0.0, 0.0, 1.0, 1.0]),
        rigidity,
        sweep=sweep,
        axis_x=axis_x,
        lift_x=middle,
        torsional_rigidity=1e12,
    )
    outboard = shape.deflection[0, 2:]
    roll = (outboard[2] - outboard[0]) / 0.599999
    np.testing.assert_allclose(outboard[1] - outboard[0], roll * 0.299999, rtol=1e-6)
    # it is the roll at the end of the root piece, whatever the sweep of the axis outboard of it
    np.testing.assert_allclose(roll, shape.roll[0, 1], rtol=2e-3)  # the thin strip turns a little more
    np.testing.assert_allclose(shape.twist[0], 0.0, atol=1e-6)
