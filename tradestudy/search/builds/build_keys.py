"""All builds of a study: each set of parts with a number of rod lengths, and those that keep the stock panels.

The rods of a wing are bought in whole lengths, so their price rises in steps with the span. A build is a set of parts
and the longest span at which its rods still cost the same. Wings of a build then have one price of rods, and the rest
of the price is smooth.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.search.search_space import SearchSpace, choice_fault
from tradestudy.search.search_task import Level, VariableValues
from tradestudy.search.single_changes import stock_shape, ways_to_lay

_SPANS = 25  # spans at which the price of rods is computed
_HALVINGS = 12  # how often the step between two of them is halved, to less than 0.1 mm of span


@dataclass(frozen=True)
class Build:
    """A set of parts, and what else holds for all its wings.

    ``longest`` is the greatest span [m], or None without a bound. ``rods`` is the price of the rods up to that span.
    ``keeps_panels`` says that its wings have the panels of the stock wing.
    """

    choice: Choice
    longest: float | None = None
    rods: float = 0.0
    keeps_panels: bool = False

    @property
    def span_levels(self) -> tuple[Level, ...]:
        """The limit on the span as a level of a search."""
        return () if self.longest is None else (("span", self.longest),)


def new_builds(space: SearchSpace, choices: list[Choice]) -> list[Build]:
    """Return the builds with new panels of each choice, one for each price of the rods."""
    known: dict[tuple, list[tuple[float | None, float]]] = {}
    builds = []
    for choice in choices:
        key = choice.scheme, choice.rod_diameter, choice.rod_pairs
        if key not in known:
            known[key] = rod_steps(space, choice)
        builds += [Build(choice, longest, price) for longest, price in known[key]]
    return builds


def kept_builds(space: SearchSpace) -> list[Build]:
    """Return the builds that keep the panels of the stock wing, with each pack, propeller and motor of the study.

    The stock wing is the first.
    """
    if stock_shape(space) is None:
        return []
    stock, found = space.anchor.choice, [space.anchor.choice]
    for each in space.choices:
        parts = {
            name: getattr(each, name) for name in ("motor", "propeller", "throttle_cap", "pack", "series", "parallel")
        }
        made = replace(stock, **parts)
        laid = [made] if made.pack_key == stock.pack_key else ways_to_lay(space, made)
        found += [one for one in laid if one not in found and not choice_fault(space, one)]
    return [Build(choice, keeps_panels=True) for choice in found]


def held_variables(space: SearchSpace, build: Build) -> VariableValues | None:
    """Return the variables that a build holds, or None if all are free."""
    return stock_shape(space) if build.keeps_panels else None


def rod_steps(space: SearchSpace, choice: Choice) -> list[tuple[float | None, float]]:
    """Return (longest span [m], price of all rods up to it) for each price of the rods, shortest span first.

    The last one has no bound, shown as None. Where sweep or tip chord are free, the price at a span is that of the
    dearest of their ends.
    """
    price, bounds = space.build_price(choice), space.bounds_of(choice)
    near = space.anchor.variables
    ends = [sorted(set(bounds[name])) for name in ("sweep", "tip_chord")]

    def rods(extension: float) -> float:
        shapes = (
            {"extension": extension, "sweep": sweep, "washout": near["washout"], "tip_chord": chord}
            for sweep, chord in itertools.product(*ends)
        )
        return max(price.rods(shape) for shape in shapes)

    places = np.linspace(*bounds["extension"], _SPANS).tolist()
    prices = np.maximum.accumulate([rods(place) for place in places]).tolist()
    stock_span = space.anchor.data.layout.stock.span
    steps: list[tuple[float | None, float]] = []
    for (low, cheap), (high, dear) in itertools.pairwise(zip(places, prices, strict=True)):
        if dear <= cheap:
            continue
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            low, high = (middle, high) if rods(middle) <= cheap else (low, middle)
        steps.append((float(stock_span + 2 * low), cheap))
    return [*steps, (None, prices[-1])]
