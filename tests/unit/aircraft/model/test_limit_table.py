"""Every limit: the quantity it uses, its bound and side, and the rating or key that sets it.

The Turnstone has no two equal ratings, and every bound is computed here from its file. So a limit that uses a wrong
rating, element or side is noticed.
"""

from dataclasses import replace

import numpy as np
import pytest

from tradestudy.aircraft.model.designs import many_designs
from tradestudy.aircraft.model.evaluation import evaluate
from tradestudy.aircraft.model.limit_bounds import limits_of
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.search.search_space import search_space, starting_points

DEGREE = np.pi / 180
CRUISE = 14.0  # m/s
FULL = 128 / 3.6 / 1.2  # m/s; never-exceed speed over 1.2
LAUNCH = 9.46 / 1.1  # m/s; the launch speed over 1.1, below 1.17 times the stall of the stock wing
PACK_LENGTH = 2 * 0.065 + 0.010  # m; two rows of 18650 cells and their strips
BAY_FRONT, BAY_BACK = 0.046 + 0.001, 0.046 + 0.157 - 0.001  # m; the belly bay less 1 mm of room at each end
MIDDLE = 0.5 * (BAY_FRONT + BAY_BACK)  # m; where a pack stays that is longer than the bay
FRONT, BACK = BAY_FRONT + 0.5 * PACK_LENGTH, BAY_BACK - 0.5 * PACK_LENGTH
# Numbers of the stock wing set by hand where limits depend on it: two utilisations above the safety factor of 1.5, one
# of them above breaking.
STOCK = {
    "fin_volume": 0.0131,
    "yaw_stiffness": 0.0242,
    "roll_per_metre": 0.352,
    "servo_load": 0.12,
    "twist_off_share": 0.61,
    "utilisation": np.array([0.71, 0.42, 0.93, 1.24]),
}

# name: output, its conditions, bound [SI], scale, side (+1 at least, -1 at most), origin of the bound
TABLE = {
    "up_elevon": ("elevon", "cruise", -7.5 * DEGREE, 0.1, +1, "the study"),
    "down_elevon": ("elevon", "cruise", 7.5 * DEGREE, 0.1, -1, "the study"),
    "cruise_over_stall": ("stall_margin", "slow", 0.0, 1.0, +1, "common practice"),
    "slowest_flight": ("stall_margin", "slowest", 0.0, 1.0, +1, "fly.launch_speed over 1.1, common practice"),
    "tips_left": ("tips_left", None, 0.031, 0.1, +1, "the study"),
    "failure_load_factor": ("failure_load_factor", "pull_up", 5.3, 5.3, +1, "the study"),
    "tip_deflection": ("deflection_share", "pull_up", 0.029, 0.029, -1, "the study"),
    "climb": ("climb_speed", None, 2.6, 5.0, +1, "the study"),
    "full_speed": ("surplus_thrust", None, 0.0, 0.5, -1, "never-exceed speed over 1.2"),
    "end_throttle": ("end_throttle", None, 0.93, 1.0, -1, "full throttle is all there is"),
    "cell_current": ("end_current", None, 38.0, 38.0, -1, "pack.maximum_current"),
    "cell_voltage": ("end_voltage", None, 3 * 2.9, 9.0, +1, "pack.cut_off"),
    "full_throttle_motor": ("full_throttle_motor_current", None, 23.0, 23.0, -1, "motor.maximum_current"),
    "full_throttle_controller": ("full_throttle_motor_current", None, 34.0, 34.0, -1, "controller.maximum_current"),
    "full_throttle_cells": ("full_throttle_current", None, 38.0, 38.0, -1, "pack.maximum_current"),
    "strength_pull_up": ("utilisation", "pull_up", 0.71, 0.71, -1, "what the stock wing uses"),
    "strength_push_over": ("utilisation", "push_over", 1 / 1.5, 1 / 1.5, -1, "safety factor of 1.5"),
    "strength_gust_cruise": ("utilisation", "gust_cruise", 0.93, 0.93, -1, "what the stock wing uses"),
    "strength_gust_full_speed": ("utilisation", "gust_full_speed", 1.0, 1.0, -1, "what the stock wing uses"),
    "fin_volume": ("fin_volume", None, 0.86 * 0.0131, 0.0131, +1, "0.86 of the stock wing's"),
    "roll_control": ("roll_control", None, 0.4, 1.0, +1, "0.83 of the stock wing's speed"),
    "pitch_control": ("pitch_control", None, 0.4, 1.0, +1, "0.83 of the stock wing's speed"),
    "twist_off_share": ("twist_off_share", None, 0.61, 1.0, -1, "the stock wing"),
    "servo_torque": ("servo_load", None, 0.19, 0.19, -1, "linkage.servo_torque"),
    "yaw_stiffness": ("yaw_stiffness", None, 0.77 * 0.0242, 0.0242, +1, "0.77 of the stock wing's"),
    "roll_per_metre": ("roll_per_metre", None, 0.71 * 0.352, 0.352, +1, "0.71 of the stock wing's"),
    "flying_weight": ("all_up_mass", None, 1.63, 1.63, -1, "the study"),
    "fits_section": ("clearance", None, 0.0, 0.01, +1, "the section"),
    "rods_clear": ("rod_room", None, 0.0, 0.01, +1, "the bays"),
    "tip_room": ("tip_room", None, 0.0, 0.01, +1, "the tips"),
    "pack_forward": ("pack_position", None, FRONT, 0.05, +1, "the bay belly"),
    "pack_aft": ("pack_position", None, BACK, 0.05, -1, "the bay belly"),
}


# every rule that is not the builder's own
WHOSE = {
    **dict.fromkeys(("cruise_over_stall", "strength_push_over"), "practice"),
    **dict.fromkeys(
        ("strength_pull_up", "strength_gust_cruise", "strength_gust_full_speed", "twist_off_share"), "your stock wing"
    ),
    **dict.fromkeys(
        (
            "cell_current",
            "cell_voltage",
            "full_throttle_motor",
            "full_throttle_controller",
            "full_throttle_cells",
            "servo_torque",
        ),
        "the maker",
    ),
    **dict.fromkeys(
        ("end_throttle", "fits_section", "rods_clear", "tip_room", "pack_forward", "pack_aft"), "the room there is"
    ),
}


@pytest.fixture(scope="module")
def space(turnstone_space, turnstone_anchor):
    """Return the Turnstone, with numbers of its stock wing set by hand."""
    reference = replace(turnstone_anchor.reference, **STOCK)
    return replace(turnstone_space, anchor=replace(turnstone_anchor, reference=reference), _data={}, _models={})


@pytest.fixture(scope="module")
def design(space):
    """Return one stretched wing."""
    return starting_points(space)[0] | {"cruise_speed": CRUISE, "extension": 0.11}


@pytest.fixture(scope="module")
def outputs(space, design):
    """Return the outputs of that wing that limits use, as arrays, plus dynamic pressure and load factor by
    condition."""
    model = space.model(space.anchor.choice)
    model.run(space.anchor.choice, design)
    names = {output for output, *_ in TABLE.values()} | {"dynamic_pressure", "load_factor"}
    return {name: np.atleast_1d(model.value(name)) for name in names}


@pytest.fixture(scope="module")
def places(space, outputs):
    """Return the index of each condition among the eight, identified by its speed and load factor."""
    speed = np.sqrt(2 * outputs["dynamic_pressure"] / space.data(space.anchor.choice).flight.air_density)
    load = outputs["load_factor"]
    steady = np.abs(load - 1) < 1e-12
    found = {
        "cruise": steady & np.isclose(speed, CRUISE),
        "slow": steady & np.isclose(speed, CRUISE / 1.5),
        "slowest": steady & np.isclose(speed, LAUNCH),
        "full_speed": steady & np.isclose(speed, FULL),
        "pull_up": np.isclose(load, 4.4) & np.isclose(speed, FULL),
        "push_over": np.isclose(load, -1.7) & np.isclose(speed, FULL),
        "gust_cruise": (load > 1.05) & np.isclose(speed, CRUISE),
        "gust_full_speed": (load > 1.05) & ~np.isclose(load, 4.4) & np.isclose(speed, FULL),
    }
    assert all(where.sum() == 1 for where in found.values()) and sum(found.values()).tolist() == [1] * 8
    return {name: int(np.flatnonzero(where)[0]) for name, where in found.items()}


def elements(value, condition, places):
    """Return the elements of an output that belong to a condition: of all eight, the first four, or the last four."""
    if condition is None:
        return value
    rows = {8: 0, 4: 4 * (condition in ("pull_up", "push_over", "gust_cruise", "gust_full_speed"))}[len(value)]
    return np.atleast_1d(value[places[condition] - rows])


def limits(study, reference, choice, space):
    return {
        limit.name: limit for limit in limits_of(study, reference, choice, space.data(space.anchor.choice).strip_count)
    }


def test_these_are_all(space):
    assert [limit.name for limit in space.limits(space.anchor.choice)] == list(TABLE)


@pytest.mark.parametrize("name", TABLE)
def test_margin_at_a_given_design(space, outputs, places, name):
    output, condition, bound, scale, side, origin = TABLE[name]
    limit = next(limit for limit in space.limits(space.anchor.choice) if limit.name == name)
    value = outputs[output]
    expected = side * (elements(value, condition, places) - bound) / scale
    np.testing.assert_allclose(limit.margin(value), expected, rtol=1e-12, atol=1e-14)
    assert (limit.output, limit.bound, limit.scale) == (output, pytest.approx(bound), pytest.approx(scale))
    # arbitrary weights, with no two elements equal, so that a wrong element is noticed
    slope = np.cos(np.arange(value.size)).reshape(value.shape)
    np.testing.assert_allclose(limit.margin_slope(slope.reshape(-1)), side * elements(slope, condition, places) / scale)
    assert limit.origin == origin
    assert limit.whose == WHOSE.get(name, "you")


def test_search_report_and_grid_give_the_same_margins(space, design, outputs):
    """Compare margins as computed for the search, for a report, and for many designs at once."""
    choice, data = space.anchor.choice, space.data(space.anchor.choice)
    single = SpeedSweep(data, choice, design).evaluation.by_name()
    other = design | {"extension": 0.04, "cruise_speed": 16.0}
    many = evaluate(data, many_designs([choice, choice], [other, design])).by_name()
    for limit in space.limits(choice):
        expected = limit.margin(outputs[limit.output])
        for value in (single[limit.output], many[limit.output][1]):
            np.testing.assert_allclose(limit.margin(value), expected, rtol=1e-9, atol=1e-11, err_msg=limit.name)
        assert not np.allclose(limit.margin(many[limit.output][0]), expected, rtol=1e-9) or limit.name in (
            "full_throttle_motor",
            "full_throttle_controller",
            "full_throttle_cells",
        ), limit.name


# --- which key moves which limit ---------------------------------------------------------------------------

MOVES = {
    ("motor", "maximum_current"): {"full_throttle_motor"},
    ("controller", "maximum_current"): {"full_throttle_controller"},
    ("controller", "throttle_cap"): {"end_throttle"},
    ("pack", "maximum_current"): {"cell_current", "full_throttle_cells"},
    ("pack", "connector_current"): set(),
    ("pack", "cut_off"): {"cell_voltage"},
    ("linkage", "servo_torque"): {"servo_torque"},
    ("limits", "up_elevon"): {"up_elevon", "down_elevon"},
    ("limits", "failure_load_factor"): {"failure_load_factor"},
    ("limits", "tip_deflection"): {"tip_deflection"},
    ("limits", "tips_left"): {"tips_left"},
    ("limits", "climb"): {"climb"},
    ("limits", "flying_weight"): {"flying_weight"},
    ("limits", "fin_volume_share"): {"fin_volume"},
    ("limits", "yaw_stiffness_share"): {"yaw_stiffness"},
    ("limits", "roll_rate_share"): {"roll_per_metre"},
    ("limits", "control_speed_share"): {"roll_control", "pitch_control"},  # the speed is in their words
    ("limits", "stall_speed_ratio"): set(),  # no effect: the launch speed is below it
}


def moved(before, after):
    """Return the names of limits that differ."""
    assert set(before) == set(after)
    return {name for name in before if before[name] != after[name]}


@pytest.mark.parametrize(("table", "key"), MOVES)
def test_a_key_moves_its_own_limits_alone(space, table, key):
    study, reference, choice = space.study, space.anchor.reference, space.anchor.choice
    own = getattr(study, table)
    other = replace(study, **{table: own.model_copy(update={key: 1.03 * getattr(own, key)})})
    assert moved(limits(study, reference, choice, space), limits(other, reference, choice, space)) == MOVES[table, key]


@pytest.mark.parametrize(
    ("key", "names"),
    [("from_nose", {"pack_forward", "pack_aft"}), ("length", {"pack_aft"}), ("width", set()), ("depth", set())],
)
def test_the_pack_slides_in_its_own_bay(space, key, names):
    """Check that the pack slides in its own bay: the other bay, which is first in the file, moves nothing."""
    study, reference, choice = space.study, space.anchor.reference, space.anchor.choice
    before = limits(study, reference, choice, space)
    for index, expected in ((0, set()), (1, names)):
        bays = list(study.bay)
        bays[index] = bays[index].model_copy(update={key: getattr(bays[index], key) + 0.003})
        assert moved(before, limits(replace(study, bay=tuple(bays)), reference, choice, space)) == expected


# numbers of the stock wing, where the study requires nothing -> the limits that they set
YARDSTICK = {
    # up, 2 deg more than the stock wing, and no more than 8 deg
    "elevon": (-0.081, {"up_elevon": -(0.081 + 2 * DEGREE), "down_elevon": 0.081}),
    "failure_load_factor": (8.6, {"failure_load_factor": 0.8 * 8.6}),
    "tips_left": (0.034, {"tips_left": 0.034}),
    "fin_volume": (0.015, {"fin_volume": 0.86 * 0.015}),
    "yaw_stiffness": (0.031, {"yaw_stiffness": 0.77 * 0.031}),
    "roll_per_metre": (0.41, {"roll_per_metre": 0.71 * 0.41}),
    "twist_off_share": (0.66, {"twist_off_share": 0.66}),
    "servo_load": (0.21, {"servo_torque": 0.21}),
    "utilisation": (
        np.array([0.75, 0.81, 0.87, 0.95]),
        {
            "strength_pull_up": 0.75,
            "strength_push_over": 0.81,
            "strength_gust_cruise": 0.87,
            "strength_gust_full_speed": 0.95,
        },
    ),
}


@pytest.mark.parametrize("name", YARDSTICK)
def test_what_is_left_out_is_set_by_the_stock_wing(space, name):
    study = replace(
        space.study,
        limits=space.study.limits.model_copy(
            update=dict.fromkeys(("up_elevon", "failure_load_factor", "tip_deflection", "tips_left", "flying_weight"))
        ),
    )
    value, bounds = YARDSTICK[name]
    choice = space.anchor.choice
    before = limits(study, space.anchor.reference, choice, space)
    after = limits(study, replace(space.anchor.reference, **{name: value}), choice, space)
    assert "flying_weight" not in before
    assert moved(before, after) == set(bounds)
    for limit, bound in bounds.items():
        assert after[limit].bound == pytest.approx(bound, rel=1e-12)


# --- which part's rating -----------------------------------------------------------------------------------

# the part that is used, and the bounds that then differ from the table above
CHOSEN = {
    "a row of cells less": (
        {"parallel": 1},
        {
            "cell_current": 19.0,
            "full_throttle_cells": 19.0,
            "pack_forward": BAY_FRONT + 0.5 * 0.075,
            "pack_aft": BAY_BACK - 0.5 * 0.075,
        },
    ),
    "a row of cells more": (
        {"parallel": 3},
        {
            "cell_current": 57.0,
            "full_throttle_cells": 57.0,
            "pack_forward": MIDDLE,
            "pack_aft": MIDDLE,
        },
    ),
    "a cell more in series": (
        {"series": 4},
        {"cell_voltage": 4 * 2.9, "pack_forward": MIDDLE, "pack_aft": MIDDLE},
    ),
    "another pack": (
        {"pack": "flat", "series": 4, "parallel": 3},
        {
            "cell_current": 52.0,
            "full_throttle_cells": 52.0,
            "cell_voltage": 4 * 3.3,
            "pack_forward": MIDDLE,
            "pack_aft": MIDDLE,
        },
    ),
    "another motor": ({"motor": "wide"}, {"full_throttle_motor": 29.0}),
    "another cap": ({"throttle_cap": 0.71}, {"end_throttle": 0.71}),
    "other rods": ({"rod_diameter": 0.002, "rod_pairs": 2}, {}),
    "another propeller": ({"propeller": "8x6"}, {}),
}


@pytest.mark.parametrize("words", CHOSEN)
def test_ratings_are_those_of_what_is_chosen(space, words):
    changed, bounds = CHOSEN[words]
    found = limits(space.study, space.anchor.reference, replace(space.anchor.choice, **changed), space)
    for name, (_, _, own, *_) in TABLE.items():
        assert found[name].bound == pytest.approx(bounds.get(name, own), rel=1e-9), name


def test_a_cut_off_passes_to_another_pack_of_its_chemistry_alone(space):
    """Check that a cut-off of 2.9 V per cell, given for lithium-ion, is not used for a pouch that needs 3.3 V."""
    for pack, bound in (("broad", 4 * 2.9), ("flat", 4 * 3.3)):
        choice = replace(space.anchor.choice, pack=pack, series=4)
        assert limits(space.study, space.anchor.reference, choice, space)["cell_voltage"].bound == pytest.approx(bound)


def test_without_a_pack_s_own_rating_the_cells_count(space):
    """Check that without ratings of the pack, those of the cells apply: 20 A and 2.5 V each, from the catalogue."""
    bare = replace(space.study, pack=space.study.pack.model_copy(update={"maximum_current": None, "cut_off": None}))
    for parallel in (2, 3):
        found = limits(bare, space.anchor.reference, replace(space.anchor.choice, parallel=parallel), space)
        assert found["cell_current"].bound == found["full_throttle_cells"].bound == 20.0 * parallel
        assert found["cell_voltage"].bound == pytest.approx(2.5 * 3)


@pytest.mark.parametrize(
    ("table", "rating", "words"),
    [
        ("motor", "maximum_current", "motor current at full throttle"),
        ("controller", "maximum_current", "controller current at full throttle"),
        ("pack", "maximum_current", "cell current at full throttle"),
    ],
)
def test_a_drive_above_a_rating_is_excluded_for_it(turnstone_study, turnstone_anchor, table, rating, words):
    """Check that a drive above a rating of 5 A is excluded for this reason. If none is left, all stay.

    The search then shows by how much they miss.
    """
    own = getattr(turnstone_study, table).model_copy(update={rating: 5.0})
    lists = turnstone_study.choices.model_copy(update={"parallel": None, "propeller": ("8x5",)})
    found = search_space(replace(turnstone_study, **{table: own}, choices=lists), turnstone_anchor)
    assert len(found.excluded) == 1
    assert f"8x5 on 3S2P: {words} is " in found.excluded[0] and found.excluded[0].endswith("the rating 5.0 A")
