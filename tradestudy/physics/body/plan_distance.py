"""Distances between things seen from above: boxes with sides along the axes, and straight lines.

x is the distance behind the nose datum, and y that to the right of the centre line. Heights are left out, so the true
distance is no smaller. In shapes, ``...`` means any batch axes, which broadcast.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np


class PlanBox(NamedTuple):
    """A box seen from above; a place without size has a length and width of 0. Fields are (...) in [m]."""

    x: Any  # its middle behind the nose datum
    y: Any  # its middle right of the centre line
    length: Any  # fore and aft
    width: Any  # from left to right


class PlanSegment(NamedTuple):
    """A straight rod or lead seen from above. Fields are (...) in [m]."""

    x0: Any
    y0: Any
    x1: Any
    y1: Any
    radius: Any


def boxes_apart(one: PlanBox, other: PlanBox) -> Any:
    """Return the distance (...) from edge to edge of two boxes, 0 if they meet. Geometry, no source needed. [m]

    >>> round(float(boxes_apart(PlanBox(0.1, 0.0, 0.02, 0.02), PlanBox(0.15, 0.06, 0.02, 0.04))), 6)
    0.042426
    """
    along = np.abs(one.x - other.x) - 0.5 * (one.length + other.length)
    across = np.abs(one.y - other.y) - 0.5 * (one.width + other.width)
    return np.hypot(np.maximum(along, 0.0), np.maximum(across, 0.0))


def box_to_segment(box: PlanBox, line: PlanSegment) -> Any:
    """Return the distance (...) from the edge of a box to that of a rod, 0 if they meet. Geometry, no source. [m]

    An axis that does not cross the box is nearest to it at one of its ends, or at a corner of the box.

    >>> round(float(box_to_segment(PlanBox(0.1, 0.0, 0.0, 0.0), PlanSegment(0.0, 0.03, 1.0, 0.03, 0.002))), 6)
    0.028
    """
    half = 0.5 * np.asarray(box.length), 0.5 * np.asarray(box.width)
    ends = [
        np.hypot(
            np.maximum(np.abs(x - box.x) - half[0], 0.0),
            np.maximum(np.abs(y - box.y) - half[1], 0.0),
        )
        for x, y in ((line.x0, line.y0), (line.x1, line.y1))
    ]
    corners = [
        _point_to_axis(box.x + along * half[0], box.y + across * half[1], line)
        for along in (-1.0, 1.0)
        for across in (-1.0, 1.0)
    ]
    nearest = np.minimum.reduce(np.broadcast_arrays(*ends, *corners))
    return np.where(_axis_crosses(box, line), 0.0, np.maximum(nearest - line.radius, 0.0))


def _point_to_axis(x: Any, y: Any, line: PlanSegment) -> Any:
    run, out = np.asarray(line.x1 - line.x0), np.asarray(line.y1 - line.y0)
    share = ((x - line.x0) * run + (y - line.y0) * out) / np.maximum(run * run + out * out, 1e-18)
    share = np.clip(share, 0.0, 1.0)
    return np.hypot(x - line.x0 - share * run, y - line.y0 - share * out)


def _axis_crosses(box: PlanBox, line: PlanSegment) -> Any:
    """Return whether the axis of a rod passes through a box: the part of it within both pairs of walls is not empty."""
    start, end = np.asarray(0.0), np.asarray(1.0)
    for first, last, middle, size in ((line.x0, line.x1, box.x, box.length), (line.y0, line.y1, box.y, box.width)):
        step = np.asarray(last - first, float)
        flat = np.abs(step) < 1e-12
        safe = np.where(flat, 1.0, step)
        walls = [(middle + side * size - first) / safe for side in (-0.5, 0.5)]
        low, high = np.minimum(*walls), np.maximum(*walls)
        within = np.abs(first - middle) <= 0.5 * np.asarray(size)
        start = np.maximum(start, np.where(flat, np.where(within, 0.0, np.inf), low))
        end = np.minimum(end, np.where(flat, np.where(within, 1.0, -np.inf), high))
    return start <= end
