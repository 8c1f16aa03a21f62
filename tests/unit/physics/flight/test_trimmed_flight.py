"""The flight conditions of a design: speeds, loads, gusts; batches against single designs."""

from types import SimpleNamespace

import numpy as np
import pytest

from tradestudy.physics.air import GRAVITY
from tradestudy.physics.flight import trimmed_flight
from tradestudy.physics.sections import polar
from tradestudy.physics.structure import loads

DESIGN = {
    "extension": 0.2,
    "sweep": 0.45,
    "washout": 0.04,
    "all_up_mass": 1.4,
    "static_margin": 0.08,
    "cruise_speed": 15.0,
}
SCHEMES = ("scaled", "plug", "tip")
CONDITIONS = trimmed_flight.LEVEL_CONDITIONS + trimmed_flight.LOAD_CONDITIONS


def trimmed(data, **changes):
    given = {name: np.asarray(value) for name, value in (DESIGN | changes).items()}
    solution = trimmed_flight.unit_solution(data, *(given.pop(name) for name in ("extension", "sweep", "washout")))
    return trimmed_flight.trim_conditions(data, solution, **given)


def condition(name):
    return CONDITIONS.index(name)


def test_a_gust_adds_what_its_formula_says_up_to_the_stall_at_its_reynolds_number(monkeypatch):
    """Check a strong gust at 15 m/s and a weak one at 24 m/s, on a mean chord of 0.25 m: Re 250 000 and 400 000.

    The section's greatest lift is 1.2 at the first. Nine tenths of it over a lift of 0.4 are 2.7 g, so 1.7 are added.
    """
    asked = []

    def limits(table, log_reynolds, deflection, slopes):
        asked.append(np.exp(log_reynolds))
        return np.array([[1.2, 1.1]]), np.array([[-0.8, -0.8]])

    monkeypatch.setattr(trimmed_flight, "lift_limits", limits)
    data = SimpleNamespace(
        table=SimpleNamespace(mean=None),
        kinematic_viscosity=1.5e-5,
        air_density=1.2,
        gust_cruise=20,
        gust_full_speed=1.5,
    )
    areas = SimpleNamespace(mean_aerodynamic_chord=np.array(0.25), area=np.array(0.36), span=np.array(1.5))
    speed, lift = np.array([15.0, 24.0]), np.array([0.4, 0.16])
    added = trimmed_flight.gust_increments(data, areas, np.array(4.5), np.array(5.0), lift, speed)
    assert asked[0] == pytest.approx([250e3, 400e3])
    equivalent = 24.0 * np.sqrt(1.2 / 1.225)
    weak = loads.gust_increment(1.5, equivalent, 5.0, 0.36 / 1.5, 4.5, 1.2)
    assert 0.5 < weak < 2.0  # far from the stall, at 1.1 x 0.9 / 0.16 = 6.2 g
    assert added == pytest.approx([1.7, weak], abs=0.005)


def test_speeds(godwit, godwit_anchor):
    data = godwit("scaled").flight
    speed = dict(zip(CONDITIONS, trimmed_flight.condition_speeds(data, np.asarray(15.0)), strict=True))
    full = data.never_exceed_speed / 1.2
    assert speed["cruise"] == speed["gust_cruise"] == 15.0
    assert speed["slow"] == pytest.approx(15.0 / 1.5)
    # launch is at 45 km/h, but the stall limit of 1.12 times the stock wing's is slower and replaces it
    assert speed["slowest"] == pytest.approx(1.12 * godwit_anchor.reference.stall_speed)
    for name in ("full_speed", "pull_up", "push_over", "gust_full_speed"):
        assert speed[name] == pytest.approx(full)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_every_condition_carries_its_load(godwit, scheme):
    """Check that strip lift of both halves is weight times load factor. Fins carry no lift."""
    state = trimmed(godwit(scheme).flight)
    lift = 2 * state.strip_lift.sum(axis=-1)
    assert lift == pytest.approx(1.4 * GRAVITY * state.load_factor[4:], rel=1e-9)
    strips = state.strip_area * state.lift_coefficient
    level = 2 * strips.sum(axis=-1) * state.dynamic_pressure[:4]
    # the section lift uses the middle chord of a strip instead of its exact area: error of order 1/N^2 with N = 12
    # strips
    assert level == pytest.approx(1.4 * GRAVITY * np.ones(4), rel=0.01)


def test_load_factors(godwit):
    data = godwit("scaled").flight
    state = trimmed(data)
    factor = dict(zip(CONDITIONS, state.load_factor, strict=True))
    assert [factor[name] for name in trimmed_flight.LEVEL_CONDITIONS] == [1, 1, 1, 1]
    assert (factor["pull_up"], factor["push_over"]) == (4.0, -1.5)
    # gust by the formula tested in test_pratt_1954.py, before it is capped by stall
    wing = trimmed_flight.unit_solution(data, np.asarray(0.2), np.asarray(0.45), np.asarray(0.04))
    areas = wing[1]
    demanded = 1 + loads.gust_increment(
        data.gust_full_speed,
        data.never_exceed_speed / 1.2 * np.sqrt(data.air_density / 1.225),
        1.4 / areas.area,
        areas.area / areas.span,
        state.lift_slope,
        data.air_density,
    )
    assert 1 < factor["gust_full_speed"] <= demanded * (1 + 1e-5)  # the cap is rounded: 1e-6 of it
    # far from stall the rounded cap has little effect
    assert factor["gust_full_speed"] == pytest.approx(demanded, rel=0.03)
    assert 1 < factor["gust_cruise"]


def test_gust_is_capped_where_the_wing_would_stall(godwit):
    data = godwit("scaled").flight._replace(gust_cruise=15.0)
    state = trimmed(data)
    wing = trimmed_flight.unit_solution(data, np.asarray(0.2), np.asarray(0.45), np.asarray(0.04))[1]
    reynolds = np.log(15.0 * wing.mean_aerodynamic_chord / data.kinematic_viscosity)
    # sections differ along the span: the mean of what the strips can carry
    highest = polar.lift_limits(data.table, reynolds, 0.0)[0][0].mean()
    stalled = 0.5 * data.air_density * 15.0**2 * wing.area * highest / (1.4 * GRAVITY)
    assert state.load_factor[condition("gust_cruise")] <= stalled


def test_thrust_line_above_the_wing_pitches_down(godwit):
    data = godwit("scaled").flight
    level, high = trimmed(data), trimmed(data._replace(thrust_line_height=0.03))
    assert high.elevon[0] < level.elevon[0]  # more up-elevon
    # "20 mm and a third of drag wrong move the elevon by less than a tenth of a degree"
    wing = trimmed_flight.unit_solution(data, np.asarray(0.2), np.asarray(0.45), np.asarray(0.04))[1]
    shift = trimmed(data._replace(thrust_line_height=0.02)).elevon[0] - level.elevon[0]
    assert wing.aspect_ratio > 4
    assert abs(np.degrees(shift)) / 3 < 0.1


@pytest.mark.parametrize("scheme", SCHEMES)
def test_complex_batch_carries_the_plain_answer(godwit, scheme):
    data = godwit(scheme).flight
    plain = trimmed(data)
    batch = trimmed(
        data,
        **{
            name: np.full(3, value) + 1e-30j * (np.arange(3) == k)
            for k, (name, value) in enumerate(list(DESIGN.items())[:3])
        },
        **{name: np.full(3, DESIGN[name]) + 0j for name in list(DESIGN)[3:]},
    )
    for name, value in plain._asdict().items():
        for direction in np.broadcast_to(getattr(batch, name), (3, *np.shape(value))):
            assert direction.real == pytest.approx(value, rel=1e-9, abs=1e-12), name


def test_many_speeds_from_one_lattice(godwit):
    data = godwit("scaled").flight
    shape = (np.asarray(0.2), np.asarray(0.45), np.asarray(0.04))
    speeds = np.array([12.0, 15.0, 19.0])
    many = trimmed_flight.trim_conditions(
        data, trimmed_flight.unit_solution(data, *shape), np.asarray(1.4), np.asarray(0.08), speeds
    )
    for index, speed in enumerate(speeds):
        one = trimmed(data, cruise_speed=speed)
        for name in ("elevon", "lift_coefficient", "induced_drag_area", "strip_lift", "load_factor"):
            assert getattr(many, name)[index] == pytest.approx(getattr(one, name), rel=1e-9), name


def test_elevon_deflects_only_the_strips_it_covers(godwit):
    data = godwit("scaled").flight
    state = trimmed(data)
    wing, _, _, mesh, *_ = trimmed_flight.unit_solution(data, np.asarray(0.2), np.asarray(0.45), np.asarray(0.04))
    deflection = state.strip_deflection[0]
    outside = mesh.outer_edge[: mesh.n_wing, 1] < wing.elevon_inner_end
    assert np.all(deflection[outside] == 0)
    inside = (mesh.inner_edge[: mesh.n_wing, 1] > wing.elevon_inner_end) & (
        mesh.outer_edge[: mesh.n_wing, 1] < wing.elevon_outer_end
    )
    assert deflection[inside] == pytest.approx(np.full(inside.sum(), state.elevon[0]), rel=1e-9)


def test_sweeping_a_wing_moves_the_neutral_point_aft(godwit):
    # one degree of sweep is some 6 mm of balance on such wings, by geometry: tan of a degree times the MAC's station
    data = godwit("scaled").flight
    before, after = (trimmed(data, sweep=0.45 + turn).neutral_point for turn in (0.0, np.radians(1.0)))
    _, areas, _, mesh, *_ = trimmed_flight.unit_solution(data, np.asarray(0.2), np.asarray(0.45), np.asarray(0.04))
    station = areas.span / 6 * (1 + 2 * 0.18 / 0.28) / (1 + 0.18 / 0.28)
    shift = station * (np.tan(0.45 + np.radians(1.0)) - np.tan(0.45))
    # effect of the centre piece, and of lift moving outward with sweep
    assert after - before == pytest.approx(shift, rel=0.15)


def test_the_slowest_flight_is_that_with_the_balance_ahead_of_its_mark(godwit):
    """Compare with the same wing balanced 6 mm further forward; no other condition changes."""
    own = godwit("scaled").flight
    data, at_mark = own._replace(balance_room=0.006), own._replace(balance_room=0.0)
    solution = trimmed_flight.unit_solution(own, *(np.asarray(value) for value in (0.2, 0.45, 0.04)))
    chord, launch = float(solution.areas.mean_aerodynamic_chord), CONDITIONS.index("slowest")

    def state(flight, margin):
        return trimmed_flight.trim_conditions(flight, solution, np.asarray(1.4), margin, np.asarray(15.0))

    roomy, plain, ahead = state(data, 0.08), state(at_mark, 0.08), state(at_mark, 0.08 + 0.006 / chord)
    assert roomy.elevon[launch] == pytest.approx(float(ahead.elevon[launch]), rel=1e-9)
    assert roomy.elevon[launch] < plain.elevon[launch] - 1e-3
    assert roomy.lift_coefficient[launch] == pytest.approx(ahead.lift_coefficient[launch], rel=1e-9)
    assert np.delete(roomy.elevon, launch) == pytest.approx(np.delete(plain.elevon, launch), rel=1e-12)
