"""The centre of a wing from the side, cut along the centre line, as SVG paths: x behind the nose, z up."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from tradestudy.report.body_views import FlatShape, parts_on_centre, section_along
from tradestudy.results.body import Body

# path -> kinds of parts that it draws; a path stands before those that it lies under
_DRAWN = {
    "side-bays": ("bay", "pocket", "slot", "channel"),
    "side-lids": ("lid", "board"),
    "side-pack": ("pack",),
    "side-joiner": ("joiner",),
    "side-rods": ("rod",),
}
SIDE_PARTS = ("side-skin", *_DRAWN, "side-gear", "side-mark")
_MARGIN = 6.0  # mm round the drawing
_MARK = 7.0  # mm that the balance mark reaches beyond the skin


def side_paths(body: Body, balance_mm: float | None) -> dict[str, str]:
    """Return the SVG path of each part in `SIDE_PARTS`. All are empty without a skin."""
    if not body.skin:
        return dict.fromkeys(SIDE_PARTS, "")
    upper, lower = section_along(body, 0.0)
    shapes = parts_on_centre(body)
    known = {kind for kinds in _DRAWN.values() for kind in kinds}
    paths = {"side-skin": _closed(np.concatenate([upper, lower[::-1]]))}
    paths |= {name: _outlines(shape for shape in shapes if shape.kind in kinds) for name, kinds in _DRAWN.items()}
    paths["side-gear"] = _outlines(shape for shape in shapes if shape.kind not in known)
    top, bottom = float(upper[:, 1].max()) + _MARK, float(lower[:, 1].min()) - _MARK
    paths["side-mark"] = "" if balance_mm is None else f"M{balance_mm:.1f} {-top:.1f}L{balance_mm:.1f} {-bottom:.1f}"
    return paths


def side_frame(bodies: Iterable[Body]) -> str:
    """Return left, top, width and height of a drawing that holds all these bodies, as SVG needs them."""
    skins = [points for body in bodies if body.skin for points in section_along(body, 0.0)]
    if not skins:
        return "0 0 100 30"
    points = np.concatenate(skins)
    (left, low), (right, high) = points.min(0) - _MARGIN, points.max(0) + _MARGIN
    return f"{left:.0f} {-high - _MARK:.0f} {right - left:.0f} {high - low + 2 * _MARK:.0f}"


def _outlines(shapes: Iterable[FlatShape]) -> str:
    return "".join(_closed(shape.points) for shape in shapes)


def _closed(points: np.ndarray) -> str:
    return "M" + "L".join(f"{x:.1f} {-z:.1f}" for x, z in points) + "Z"
