"""Exact derivatives of every OpenMDAO component against finite differences, inside the range that a search visits.

The components compute derivatives by complex steps, by tangents of the lattice, and by interpolation tables that return
their derivatives. They are compared here with fourth-order central differences of the values. With steps of 1e-3 of the
input, the differences have truncation and rounding errors near 1e-12. So the tolerance of 1e-6 of the largest
derivative by an input only allows for iterations that are not fully converged (propeller speed, pack voltage).
"""

from functools import cache

import numpy as np
import openmdao.api as om
import pytest

from tradestudy.aircraft.components.aircraft import Aircraft
from tradestudy.aircraft.components.balance import Balance
from tradestudy.aircraft.components.flow import Flow
from tradestudy.aircraft.components.half_wings import HalfWings
from tradestudy.aircraft.components.launch import FirstStallSpeed, Launch
from tradestudy.aircraft.components.power import Power
from tradestudy.aircraft.components.room import RoomLeft
from tradestudy.aircraft.components.section import Section
from tradestudy.aircraft.components.servo import ServoLoads
from tradestudy.aircraft.components.shape import Shape
from tradestudy.aircraft.components.structure import Structure
from tradestudy.aircraft.components.tip_stall import LiftLeftAtTips
from tradestudy.physics.flight import layout
from tradestudy.physics.flight.control import ServoData
from tradestudy.physics.flight.launch import LaunchData

TOLERANCE = 1e-6  # as a share of the largest derivative of an output by one input; the docstring above says why
# rounding error of a difference, as a share of the largest value of the output over the size of the input
NOISE = 1e-9
STEP = 1e-3  # step as a share of the size of the input
# The skin is straight between points 4 mm apart. Sweep moves them over a box by 0.1 mm within a step of 1e-3, so one of
# the places may cross a point, where the slope changes. A step of 1e-5 moves them by 1 um; clearance is linear there.
SHORT_STEP = 1e-5
SEEDS = (1, 2, 3)
THROW = LaunchData(speed=None, height=1.8, angle=0.26, delay=0.4)
SERVO = ServoData(up_travel=0.35, arm_over_horn=0.7)
SCHEMES = ("scaled", "plug", "tip")
CUT_TO_PACK = "scaled, bay cut to the pack"
# every scheme and rule, and three designs of the one that searches use most
DESIGNS = [
    *(("scaled", seed) for seed in SEEDS),
    ("plug", 2),
    ("tip", 3),
    ("scaled, set-back kept", 1),
    (CUT_TO_PACK, 2),
]
# An input may be near zero. Its size is then the value given here, and the step is a thousandth of it.
TYPICAL = {"extension": 0.1, "washout": 0.05, "sweep": 0.4, "strip_deflection": 0.1}
# Sizes of inputs of interpolation tables. Steps must be small, as third derivatives jump at knots and the drag
# correction bends within 0.15 in ln Re. The value of a logarithm is not a suitable size.
OWN_SIZE = {
    "log_reynolds": 0.1,
    "lift_coefficient": 0.05,
    "strip_deflection": 0.02,
    "stall_margin": 0.05,
    "approach_log_reynolds": 0.1,
    "approach_lift": 0.05,
    "approach_deflection": 0.02,
}


def design(seed):
    """Return one random design inside the ranges of the Godwit study, in SI units."""
    random = np.random.default_rng(seed)
    low_high = {
        "extension": (0.02, 0.35),
        "sweep": np.radians([16, 32]),
        "washout": np.radians([0, 5]),
        "tip_chord": (0.13, 0.19),
        "static_margin": (0.05, 0.12),
        "cruise_speed": (12.5, 20.0),
        "equipment_position": (0.15, 0.215),
        "rod_diameter": (0.003, 0.004),
        "rod_pairs": (1, 2),
        "parallel": (1, 3),
        "series": (3, 5),
    }
    return {name: random.uniform(*limits) for name, limits in low_high.items()}


def problem_of(model):
    problem = om.Problem(reports=False)
    problem.options["group_by_pre_opt_post"] = False  # the same setting as in search.problem
    problem.model = model
    problem.setup(mode="fwd", check=False)
    problem.final_setup()
    return problem


@pytest.fixture(scope="module")
def flying(godwit):
    """Return a function for the complete aircraft problem, run at one random design: ``flying(scheme, seed)``."""

    @cache
    def run(scheme, seed):
        data = godwit(scheme)
        problem = problem_of(
            Aircraft(
                flight=data.flight,
                level=data.level,
                strength=data.strength,
                power=data.power,
                launch=THROW,
                servo=SERVO,
            )
        )
        for name, value in design(seed).items():
            problem.set_val(name, value)
        problem.run_model()
        return problem

    return run


def alone(door, aircraft):
    """Return a problem with one component, and the names of its inputs and outputs.

    The component is named door. Its inputs have the values that they have in the problem ``aircraft``.
    """
    group = om.Group()
    group.add_subsystem("door", door, promotes=["*"])
    problem = problem_of(group)
    inputs = [name.split(".")[-1] for name, _ in problem.model.list_inputs(out_stream=None)]
    outputs = [name.split(".")[-1] for name, _ in door.list_outputs(out_stream=None)]
    for name in inputs:
        problem.set_val(name, aircraft.get_val(name))
    return problem, inputs, outputs


def differences(problem, name, index, outputs, share_of_size):
    """Return fourth-order central differences of every output by one element of an input, and the size of the input."""
    value = np.array(problem.get_val(name))
    size = OWN_SIZE.get(name) or max(np.abs(value).max(), TYPICAL.get(name, 0.0))
    step = share_of_size * size

    def at(share):
        moved = value.copy()
        moved.flat[index] += share * step
        problem.set_val(name, moved)
        problem.run_model()
        return {output: np.array(problem.get_val(output)).ravel() for output in outputs}

    near_up, near_down, far_up, far_down = at(1), at(-1), at(2), at(-2)
    problem.set_val(name, value)
    slope = {
        output: (8 * (near_up[output] - near_down[output]) - (far_up[output] - far_down[output])) / (12 * step)
        for output in outputs
    }
    return slope, size


def check(problem, inputs, outputs, step=STEP):
    problem.run_model()
    exact = problem.compute_totals(of=outputs, wrt=inputs)
    largest = {output: np.abs(problem.get_val(output)).max() for output in outputs}
    for name in inputs:
        for index in range(problem.get_val(name).size):
            found, size = differences(problem, name, index, outputs, step)
            for output in outputs:
                column = np.asarray(exact[output, name]).reshape(found[output].size, -1)[:, index]
                allowed = TOLERANCE * np.abs(found[output]).max() + NOISE * largest[output] / size
                worst = np.abs(column - found[output]).max()
                assert worst <= allowed, f"d({output})/d({name}[{index}]): {worst:g} off, {allowed:g} allowed"


@pytest.mark.parametrize(("scheme", "seed"), DESIGNS)
def test_shape(flying, godwit, scheme, seed):
    check(*alone(Shape(data=godwit(scheme).layout), flying(scheme, seed)))


@pytest.mark.parametrize(("scheme", "seed"), DESIGNS)
def test_flow(flying, godwit, scheme, seed):
    problem, inputs, outputs = alone(
        Flow(data=godwit(scheme).flight, half_wings=HalfWings(godwit(scheme).strength)), flying(scheme, seed)
    )
    # Where two eigenvalues meet, its derivative goes to infinity, and differences fail. Where they are apart, another
    # test of divergence compares it.
    outputs.remove("twist_off_share")
    check(problem, inputs, outputs)


@pytest.mark.parametrize("seed", SEEDS)
def test_section(flying, godwit, seed):
    data = godwit("scaled")
    check(*alone(Section(data=data.level, n_strip=layout.strip_count(data.layout)), flying("scaled", seed)))


@pytest.mark.parametrize(("scheme", "seed"), list(zip(SCHEMES, SEEDS, strict=True)))
def test_lift_left_at_the_tips(flying, godwit, scheme, seed):
    # the least among strips is a sharp bend, so differences need short steps
    check(*alone(LiftLeftAtTips(data=godwit(scheme).level), flying(scheme, seed)), SHORT_STEP)


@pytest.mark.parametrize(("scheme", "seed"), list(zip(SCHEMES, SEEDS, strict=True)))
def test_servos(flying, godwit, scheme, seed):
    check(*alone(ServoLoads(flight=godwit(scheme).flight, servo=SERVO), flying(scheme, seed)))


@pytest.mark.parametrize(("scheme", "seed"), list(zip(SCHEMES, SEEDS, strict=True)))
def test_structure(flying, godwit, scheme, seed):
    data = godwit(scheme)
    check(
        *alone(
            Structure(half_wings=HalfWings(data.strength), n_strip=layout.strip_count(data.layout)),
            flying(scheme, seed),
        )
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_balance(flying, seed):
    check(*alone(Balance(), flying("scaled", seed)))


@pytest.mark.parametrize(("scheme", "seed"), [*DESIGNS, *((CUT_TO_PACK, seed) for seed in SEEDS)])
def test_room(flying, godwit, scheme, seed):
    check(*alone(RoomLeft(data=godwit(scheme).layout), flying(scheme, seed)), SHORT_STEP)


@pytest.mark.parametrize("seed", SEEDS)
def test_power(flying, godwit, seed):
    check(*alone(Power(data=godwit("scaled").power), flying("scaled", seed)))


@pytest.mark.parametrize("seed", SEEDS)
def test_launch(flying, godwit, seed):
    flight = godwit("scaled").flight
    check(*alone(FirstStallSpeed(flight=flight), flying("scaled", seed)))
    check(*alone(Launch(data=THROW, flight=flight), flying("scaled", seed)))


@pytest.mark.parametrize(("scheme", "seed"), list(zip(SCHEMES, SEEDS, strict=True)))
def test_totals_of_the_whole_aircraft(flying, scheme, seed):
    problem = flying(scheme, seed)
    check(
        problem,
        ["extension", "sweep", "washout", "tip_chord", "static_margin", "cruise_speed", "equipment_position"],
        [
            "range",
            "elevon",
            "stall_margin",
            "utilisation",
            "pack_position",
            "fin_volume",
            "yaw_stiffness",
            "roll_per_metre",
            "roll_control",
            "pitch_control",
            "launch_height_left",
            "tips_left",
            "stall_speed",
            "servo_load",
            *(["tip_room"] if scheme == "scaled" else []),
        ],
    )
