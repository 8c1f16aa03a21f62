"""What one change gives by itself: another pack alone, another propeller and motor alone, a longer span alone.

The best wing that keeps the stock wing's panels is found here too: often new panels are not worth their work.
"""

from __future__ import annotations

from dataclasses import replace

from tradestudy.aircraft.model.choices import Choice

from .optimum import closest_to_feasible, solve
from .search_space import SearchSpace, choice_fault
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


def kept_panels(space: SearchSpace, best: SearchResult, least: float) -> SearchResult | None:
    """Return the feasible wing of the stock wing's panels and rods that changes least, or None if there is none.

    Its gain must be at least ``least``. The stock wing as it balances today comes first, then the stock wing with
    another balance. Wings with the propeller and motor, the pack, or both, of the ``best`` result follow.
    """
    fixed, stock = stock_shape(space), space.anchor.choice
    if fixed is None:
        return None
    pack, series, parallel = best.choice.pack_key
    motor, size, cap = _drive(best.choice)
    drive = replace(stock, motor=motor, propeller=size, throttle_cap=cap)
    packs = [replace(one, pack=pack, series=series, parallel=parallel) for one in (stock, drive)]
    tried = [(stock, fixed | {"static_margin": space.anchor.variables["static_margin"]}), (stock, fixed)]
    tried += [(choice, fixed) for choice in (drive, *(laid for each in packs for laid in ways_to_lay(space, each)))]
    for choice, held in _each_once(tried):
        if not _is_inside(space, held) or (choice != stock and choice_fault(space, choice)):
            continue
        found = solve(space, choice, [space.anchor.variables], held)
        if found.feasible and found.gain >= least:
            return found
    return None


def ways_to_lay(space: SearchSpace, choice: Choice) -> list[Choice]:
    """Return a choice with its pack in the stock wing's bay, then under a raised lid or in bays that are cut to it."""
    tried = [(text, lid) for text, lid in space.ways(choice).tried if text or lid]
    return [choice, *(replace(choice, layout=text, raised_lid=lid) for text, lid in tried)]


def _each_once(tried: list[tuple[Choice, dict[str, float]]]) -> list[tuple[Choice, dict[str, float]]]:
    """Return the wings to try without those that differ from an earlier one in how the stock pack lies."""
    kept: list[tuple[Choice, dict[str, float]]] = []
    own = tried[0][0].pack_key
    for choice, held in tried:
        if choice.pack_key == own and (choice.layout or choice.raised_lid):
            continue
        if (choice, held) not in kept:
            kept.append((choice, held))
    return kept


def _pack_only(space: SearchSpace, best: Choice) -> list[SearchResult]:
    fixed, stock = stock_shape(space), space.anchor.choice
    if fixed is None:
        return []
    pack, series, parallel = best.pack_key
    choice = replace(stock, pack=pack, series=series, parallel=parallel)
    packed = solve(space, choice, [space.anchor.variables], fixed)
    return [packed if packed.feasible else closest_to_feasible(space, packed, fixed)]


def _drive_only(space: SearchSpace) -> list[SearchResult]:
    """Return the best result among all propellers and motors, or nothing if none meets the limits."""
    fixed, stock = stock_shape(space), space.anchor.choice
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


def stock_shape(space: SearchSpace) -> dict[str, float] | None:
    """Return the stock wing's shape as fixed variables, or None if the study's bounds leave it out."""
    fixed = {"extension": 0.0} | {name: space.anchor.variables[name] for name in ("sweep", "washout", "tip_chord")}
    if space.study.stretch.scheme == "tip":
        del fixed["washout"]  # the washout of the added piece is meaningless without that piece
    return fixed if _is_inside(space, fixed) else None


def _is_inside(space: SearchSpace, fixed: dict[str, float]) -> bool:
    return all(space.bounds[name][0] <= value <= space.bounds[name][1] for name, value in fixed.items())
