"""Distances from above: by hand, and against the nearest of many points."""

import numpy as np
import pytest

from tradestudy.physics.body.plan_distance import PlanBox, PlanSegment, box_to_segment, boxes_apart

BOX = PlanBox(0.200, 0.100, 0.040, 0.020)  # 180 to 220 mm behind the nose, 90 to 110 mm to the right


@pytest.mark.parametrize(
    ("other", "distance"),
    [
        (PlanBox(0.300, 0.100, 0.0, 0.0), 0.080),  # straight aft of it: 300 - 220
        (PlanBox(0.200, -0.100, 0.040, 0.020), 0.180),  # its mirror image: from 90 right to 90 left
        (PlanBox(0.250, 0.160, 0.0, 0.020), 0.050),  # 30 aft and 40 outward: 3, 4, 5
        (PlanBox(0.210, 0.120, 0.040, 0.040), 0.0),  # they overlap
    ],
)
def test_boxes_by_hand(other, distance):
    assert boxes_apart(BOX, other) == pytest.approx(distance, abs=1e-12)
    assert boxes_apart(other, BOX) == pytest.approx(distance, abs=1e-12)


@pytest.mark.parametrize(
    ("line", "distance"),
    [
        # along the flight direction, 20 mm outward of it, less its radius
        (PlanSegment(0.0, 0.130, 1.0, 0.130, 0.003), 0.017),
        (PlanSegment(0.0, 0.100, 1.0, 0.100, 0.003), 0.0),  # through it, with both ends far away
        (PlanSegment(0.250, 0.150, 0.400, 0.300, 0.0), 0.050),  # its end is nearest: 30 aft and 40 outward
        # at 45 degrees past the corner (220, 90): the line x - y = 150 mm passes it at (150 - 130) / sqrt 2
        (PlanSegment(0.150, 0.0, 0.450, 0.300, 0.0), 0.020 / np.sqrt(2)),
    ],
)
def test_rods_by_hand(line, distance):
    assert box_to_segment(BOX, line) == pytest.approx(distance, abs=1e-12)


def test_many_against_the_nearest_of_many_points():
    random = np.random.default_rng(5)
    for _ in range(60):
        box = PlanBox(*random.uniform(0, 0.3, 2), *random.uniform(0, 0.1, 2))
        line = PlanSegment(*random.uniform(-0.1, 0.4, 4), 0.0)
        share = np.linspace(0, 1, 4001)
        x, y = line.x0 + share * (line.x1 - line.x0), line.y0 + share * (line.y1 - line.y0)
        away = np.hypot(
            np.maximum(np.abs(x - box.x) - 0.5 * box.length, 0), np.maximum(np.abs(y - box.y) - 0.5 * box.width, 0)
        )
        assert box_to_segment(box, line) == pytest.approx(away.min(), abs=2e-4)


def test_a_row_of_places_at_once():
    moved = BOX._replace(y=BOX.y + np.array([0.0, 0.010, 0.040]))
    rod = PlanSegment(0.0, 0.130, 1.0, 0.130, 0.0)
    assert box_to_segment(moved, rod) == pytest.approx([0.020, 0.010, 0.0])
