"""Total drag from its parts, and its derivatives strip by strip."""

import numpy as np
import pytest

from tradestudy.physics.aero import viscous_drag
from tradestudy.physics.flight import level_drag
from tradestudy.physics.sections import polar

LIFT = np.linspace(0.1, 0.7, 8).reshape(4, 2)
REYNOLDS = np.log(np.linspace(1.2e5, 3e5, 8)).reshape(4, 2)
ANGLE = np.radians(np.linspace(-8, 2, 8)).reshape(4, 2)


def test_strip_state_is_the_tables(godwit):
    data = godwit("scaled").level
    state = level_drag.strip_state(data, LIFT, REYNOLDS, ANGLE)
    section, margin = state.section_drag, state.stall_margin
    assert section == pytest.approx(polar.profile_drag(data.flight.table, LIFT, REYNOLDS, ANGLE))
    highest = polar.lift_limits(data.flight.table, REYNOLDS, ANGLE)[0]
    assert margin[0] == pytest.approx(highest[0] - LIFT)
    assert margin[1] == pytest.approx(-np.ones((4, 2)))


def test_parts_add(godwit):
    """Check drag as 2 x sum of strips, induced, fins, middle and list. The factor acts on all except induced."""
    data = godwit("scaled").level
    factor = data._replace(drag_factor=1.2)
    other = level_drag.other_drag_area(data, *map(np.asarray, (0.3, 0.03, 0.12, 15.0)))
    cruise = viscous_drag.fin_drag_area(0.03, 0.12, 15.0, data.flight.kinematic_viscosity)
    assert other[0] == pytest.approx(cruise + 0.3e-3 + data.parts_drag_area, rel=1e-12)
    assert other[1] > other[0]  # slower: more friction relative to dynamic pressure
    strips, area, induced = (
        level_drag.StripState(np.full((4, 4, 2), 0.012), np.full((4, 4, 2), 0.3)),
        np.array([0.05, 0.04]),
        np.array([2e-3, 3e-3, 3e-3, 1e-3]),
    )
    drag = level_drag.level_drag(data, strips, area, induced, other)
    total = drag.drag_area
    assert drag.section_drag.shape == drag.stall_margin.shape == (4, 2) and drag.other_drag_area is other
    assert total == pytest.approx(2 * 0.012 * 0.09 + induced + other, rel=1e-12)
    scaled_other = level_drag.other_drag_area(factor, *map(np.asarray, (0.3, 0.03, 0.12, 15.0)))
    scaled = level_drag.level_drag(factor, strips, area, induced, scaled_other).drag_area
    assert scaled - induced == pytest.approx(1.2 * (total - induced), rel=1e-12)


def test_listed_parts_are_the_catalogues(godwit, godwit_study):
    # By hand, in cm2: nose 8, whips of 1.8 with the drag curve's 0.92 (Re 1330, chart from memory), horns 1.5, edges
    # 0.8, mount 5; each rounded to 0.03.
    areas = {
        "open camera nose": 8.0,
        "antenna whip": 1.8 * 0.92,
        "servo horn and rod": 1.5,
        "hatch edge": 0.79,
        "motor mount": 5.0,
    }
    listed = {
        "open camera nose": 1,
        "antenna whip": 2,
        "servo horn and rod": 2,
        "hatch edge": 2,
        "motor mount": 1,
    }
    total = sum(areas[kind] * count for kind, count in listed.items())
    # six of them rounded to 0.03
    assert godwit("scaled").level.parts_drag_area == pytest.approx(1e-4 * total, abs=0.15e-4)
    assert {item.kind: item.count for item in godwit_study.drag_item} == listed
