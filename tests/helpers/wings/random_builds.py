"""Random designs of all builds of a study that meet every limit, and which of them beat a point of a front."""

import numpy as np

from tradestudy.aircraft.model.designs import many_designs
from tradestudy.aircraft.model.evaluation import evaluate
from tradestudy.aircraft.model.limit_bounds import MET_ABOVE
from tradestudy.search.builds.build_keys import held_variables

_AT_ONCE = 250  # designs in one batch
_NEAR = 0.02  # share of the box; spread of designs round those of the front


def random_feasible(space, builds, line, count, random):
    """Return [range in m, mass in kg, price] of those of about ``count`` random designs that meet every limit (n, 3).

    Each build has its share. Half of its designs lie anywhere between the bounds of the variables. The others lie near
    those of its designs that are on the front ``line``, if there are any. New panels have the price of new panels, also
    where their shape is within half a millimetre of the stock panels.
    """
    found = []
    for build in builds:
        choice, held = build.choice, held_variables(space, build) or {}
        bounds = space.bounds_of(choice)
        names = [name for name in bounds if name not in held]
        low, high = np.array([bounds[name] for name in names]).T
        near = [[one.variables[name] for name in names] for one in line if one.choice == choice] or [low]
        wanted = max(2, round(count / len(builds)))
        anywhere = low + (high - low) * random.random((wanted // 2, len(names)))
        around = np.array(near)[random.integers(0, len(near), wanted - wanted // 2)]
        spread = _NEAR * random.random((len(around), 1)) ** 2 * (high - low)  # many of them are very near
        around = np.clip(around + random.normal(0, 1, around.shape) * spread, low, high)
        rows = [held | dict(zip(names, row, strict=True)) for row in np.vstack([anywhere, around]).tolist()]
        for start in range(0, len(rows), _AT_ONCE):
            found += _feasible(space, build, rows[start : start + _AT_ONCE])
    return np.array(found).reshape(-1, 3)


def _feasible(space, build, rows):
    choice = build.choice
    outputs = evaluate(space.data(choice), many_designs([choice] * len(rows), rows), usual=False).by_name()
    whole_price, limits = space.build_price(choice), space.limits(choice)

    def price(row):
        kept = build.keeps_panels
        return whole_price.changed_parts if kept else float(whole_price.without_rods(row)) + whole_price.rods(row)

    def value(name, index):
        whole = np.asarray(outputs[name])
        return whole[index] if whole.ndim and len(whole) == len(rows) else whole

    return [
        (float(value("range", index)), float(value("all_up_mass", index)), price(row))
        for index, row in enumerate(rows)
        if all(limit.margin(value(limit.output, index)).min() > MET_ABOVE for limit in limits)
    ]


def beaten(line, found, tolerance=1e-4):
    """Return the number of points of a front (range, mass, price) that a random design beats.

    It is at least as good in all three, and in one of them better by more than the share ``tolerance``.
    """
    values = np.array([(-one.traded["range"], one.all_up_mass, one.traded["price"]) for one in line])
    others = found * [-1, 1, 1]
    size = tolerance * np.maximum(np.abs(values), 1.0)
    as_good = (others[:, None] <= values[None] + 0.1 * size).all(-1)
    better = (others[:, None] < values[None] - size).any(-1)
    return int((as_good & better).any(0).sum())
