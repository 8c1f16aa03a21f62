"""What one change gives by itself: another pack alone, another propeller and motor alone, a longer span alone."""

from __future__ import annotations

from dataclasses import replace

from tradestudy.aircraft.model.choices import Choice

from .optimum import closest_to_feasible, solve
from .search_space import SearchSpace
from .search_task import SearchResult, merit

PACK, DRIVE, SPAN = "pack only", "propeller and motor only", "span only"


def single_changes(space: SearchSpace, ranked: list[SearchResult]) -> list[tuple[str, SearchResult]]:
    """Return the stock wing with one change, each under the name of the change.

    ``ranked`` holds the result of every choice, best first. The pack is that of the best result, at the stock span. The
    propeller and motor are the best of those to choose from, at the stock span. The span is the best with the stock
    wing's pack, propeller and motor. A change that the best wing does not have is left out. Where the pack alone breaks
    limits, its wing is the one that breaks them least.
    """
    best, changes = ranked[0].choice, []
    if best.pack_key != space.anchor.choice.pack_key:
        changes += [(PACK, each) for each in _pack_only(space, best)]
    if _drive(best) != _drive(space.anchor.choice):
        changes += [(DRIVE, each) for each in _drive_only(space)]
    if changes:
        changes += [(SPAN, each) for each in _span_only(space, ranked)]
    return changes


def _pack_only(space: SearchSpace, best: Choice) -> list[SearchResult]:
    fixed, stock = _stock_shape(space), space.anchor.choice
    if fixed is None:
        return []
    pack, series, parallel = best.pack_key
    choice = replace(stock, pack=pack, series=series, parallel=parallel)
    packed = solve(space, choice, [space.anchor.variables], fixed)
    return [packed if packed.feasible else closest_to_feasible(space, packed, fixed)]


def _drive_only(space: SearchSpace) -> list[SearchResult]:
    """Return the best result among all propellers and motors, or nothing if none meets the limits."""
    fixed, stock = _stock_shape(space), space.anchor.choice
    if fixed is None:
        return []
    drives = dict.fromkeys(_drive(choice) for choice in space.choices if choice.series == stock.series)
    choices = [replace(stock, motor=motor, propeller=size, throttle_cap=cap) for motor, size, cap in drives]
    found = max((solve(space, each, [space.anchor.variables], fixed) for each in choices), key=merit, default=None)
    return [found] if found is not None and found.feasible else []


def _span_only(space: SearchSpace, ranked: list[SearchResult]) -> list[SearchResult]:
    stock = space.anchor.choice
    alike = (each for each in ranked if each.choice.pack_key == stock.pack_key and each.feasible)
    own = [each for each in alike if _drive(each.choice) == _drive(stock)]
    return own[:1]


def _drive(choice: Choice) -> tuple[str, str, float | None]:
    return choice.motor, choice.propeller, choice.throttle_cap


def _stock_shape(space: SearchSpace) -> dict[str, float] | None:
    """Return the stock wing's shape as fixed variables, or None if the study's bounds leave it out."""
    fixed = {"extension": 0.0} | {name: space.anchor.variables[name] for name in ("sweep", "washout", "tip_chord")}
    if space.study.stretch.scheme == "tip":
        del fixed["washout"]  # the washout of the added piece is meaningless without that piece
    inside = all(space.bounds[name][0] <= value <= space.bounds[name][1] for name, value in fixed.items())
    return fixed if inside else None
