"""Correct the rows of a log, step by step; every step returns sentences on what it changed."""

from __future__ import annotations

import numpy as np

from tradestudy.physics.flight_log.track import SPIKE_WINDOW, is_spike
from tradestudy.study.schema.flight_log import LOGGED_QUANTITIES

from .parse_rows import counted, on_lines

_RESTART = 60.0  # s by which time falls back, and stays back, when a logger starts again
_FORWARD = 4 * 3600.0  # s by which time jumps ahead when a clock is set
_STAYS = 20  # rows that it stays back for
_SHARED = 0.3  # share of rows with the time of the row before; above it the clock is coarse, and no row a duplicate
_GAP = 3.0  # s without a row, and five usual steps: reported as a gap
_FROZEN = 5.0  # s in which a moving receiver repeats one position to the last digit
_FROZEN_COURSE = 15.0  # s of one speed and course to the last digit, where no position is logged
_MOVING = 3.0  # m/s

Channels = dict[str, np.ndarray]


def in_order(time: np.ndarray, lines: np.ndarray) -> tuple[np.ndarray, np.ndarray, list[str]]:
    """Return the rows to keep, in order of time (m,), their rising times (m,) [s], and what was corrected."""
    notes: list[str] = []
    kept = np.flatnonzero(np.isfinite(time))
    if len(kept) < len(time):
        notes.append(
            f"{counted(len(time) - len(kept), 'row')} {on_lines(lines[~np.isfinite(time)].tolist())} without a time; "
            "left out."
        )
    usual = float(np.median(np.abs(np.diff(time[kept])))) if len(kept) > 1 else 0.0
    astray = is_spike(time[kept], max(_RESTART, 3 * usual))
    if astray.any():
        notes.append(f"The time {on_lines(lines[kept[astray]].tolist())} is far from its neighbours; left out.")
        kept = kept[~astray]
    kept = _longest_part(time, kept, lines, notes)
    times = _spread(time[kept], notes)
    late = times < np.maximum.accumulate(times) if len(times) else np.zeros(0, dtype=bool)
    if late.any():
        notes.append(
            f"{counted(int(late.sum()), 'row')} {on_lines(lines[kept[late]].tolist())} out of order; sorted by time."
        )
        order = np.argsort(times, kind="stable")
        kept, times = kept[order], times[order]
    doubled = np.concatenate([[False], np.diff(times) <= 0]) if len(times) else np.zeros(0, dtype=bool)
    if doubled.any():
        notes.append(
            f"{counted(int(doubled.sum()), 'row')} {on_lines(sorted(lines[kept[doubled]].tolist()))} with the time of "
            "another row; the first is kept."
        )
        kept, times = kept[~doubled], times[~doubled]
    return kept, times, [*notes, *_gaps(times, lines[kept])]


def _longest_part(time: np.ndarray, kept: np.ndarray, lines: np.ndarray, notes: list[str]) -> np.ndarray:
    """Return the rows of the longest part between two starts of the logger."""
    times = time[kept]
    starts = [0]
    step = np.diff(times)
    for place in np.flatnonzero((step < -_RESTART) | (step > _FORWARD)) + 1:
        if step[place - 1] > 0 or np.all(times[place : place + _STAYS] < times[place - 1] - _RESTART / 2):
            starts.append(int(place))
    if len(starts) == 1:
        return kept
    ends = [*starts[1:], len(kept)]
    best = int(np.argmax(np.subtract(ends, starts)))
    first, last = kept[starts[best]], kept[ends[best] - 1]
    notes.append(
        f"Time starts again {on_lines([int(lines[kept[start]]) for start in starts[1:]])}; the longest part is "
        f"read, lines {lines[first]} to {lines[last]}. To use every part, save each as a file of its own."
    )
    return kept[starts[best] : ends[best]]


def _spread(times: np.ndarray, notes: list[str]) -> np.ndarray:
    """Return times where rows with one time are spread evenly up to the next, if the clock is coarse."""
    if len(times) < 3 or np.mean(np.diff(times) == 0) < _SHARED:
        return times
    first = np.flatnonzero(np.concatenate([[True], np.diff(times) != 0]))
    many = np.diff(np.concatenate([first, [len(times)]]))
    step = np.diff(times[first])
    usual = float(np.median(step[step > 0])) if (step > 0).any() else 0.0
    if usual == 0.0:
        return times  # one time throughout: reported later, since no row is left
    length = np.clip(np.concatenate([step, [usual]]), 0.0, usual)
    within = np.arange(len(times)) - np.repeat(first, many)
    notes.append(
        f"The clock of the log moves in steps of {usual:g} s with {np.median(many):.0f} rows each; rows are "
        "spread evenly over each step."
    )
    return times + within * np.repeat(length / many, many)


def _gaps(times: np.ndarray, lines: np.ndarray) -> list[str]:
    if len(times) < 3:
        return []
    step = np.diff(times)
    gaps = np.flatnonzero(step > max(_GAP, 5 * float(np.median(step))))
    if not gaps.size:
        return []
    longest = gaps[np.argmax(step[gaps])]
    return [
        f"{counted(len(gaps), 'gap')} in time; the longest, {step[longest]:.0f} s, ends on line "
        f"{lines[longest + 1]}. No segment crosses a gap."
    ]


def without_impossible(channels: Channels, lines: np.ndarray) -> list[str]:
    """Remove, in place, values that are impossible for a small wing, and the position 0, 0 of a missing fix."""
    notes = []
    for name, values in channels.items():
        logged = LOGGED_QUANTITIES[name]
        wrong = (values < logged.least) | (values > logged.most)
        if wrong.any():
            notes.append(
                f"{name}: {counted(int(wrong.sum()), 'value')} {on_lines(lines[wrong].tolist())} impossible for a "
                "small wing; left out."
            )
            values[wrong] = np.nan
    if "latitude" in channels and "longitude" in channels:
        none = (channels["latitude"] == 0) & (channels["longitude"] == 0)
        if none.any():
            notes.append(f"Position 0, 0 {on_lines(lines[none].tolist())}: no fix; left out.")
            channels["latitude"][none] = channels["longitude"][none] = np.nan
    return notes


def without_spikes(channels: Channels, lines: np.ndarray) -> list[str]:
    """Remove, in place, single samples far from the running median of their neighbours (`track.is_spike`)."""
    notes = []
    for name, values in channels.items():
        floor = LOGGED_QUANTITIES[name].spike
        known = np.flatnonzero(np.isfinite(values))
        if not np.isfinite(floor) or len(known) < SPIKE_WINDOW:
            continue
        wrong = known[is_spike(values[known], floor)]
        if wrong.size:
            notes.append(
                f"{name}: {counted(len(wrong), 'spike')} {on_lines(lines[wrong].tolist())} "
                f"left out (far from the median of {SPIKE_WINDOW} neighbours)."
            )
            values[wrong] = np.nan
    return notes


def without_frozen_fixes(channels: Channels, time: np.ndarray, lines: np.ndarray) -> list[str]:
    """Remove, in place, values that a receiver without fix repeats to the last digit while the wing moves."""
    places = [channels[name] for name in ("north", "east") if name in channels]
    speed = channels.get("ground_speed")
    longest = _FROZEN
    if not places:
        places, longest = [channels[name] for name in ("ground_speed", "course") if name in channels], _FROZEN_COURSE
    if not places or speed is None:
        return []
    known = np.flatnonzero(np.all(np.isfinite(places), axis=0))
    if len(known) < 2:
        return []
    moved = np.any([np.diff(values[known]) != 0 for values in places], axis=0)
    first = np.flatnonzero(np.concatenate([[True], moved]))
    ends = np.concatenate([first[1:], [len(known)]])
    times, speeds = time[known], speed[known]
    frozen = [
        (start, end)
        for start, end in zip(first.tolist(), ends.tolist(), strict=True)
        if times[end - 1] - times[start] > longest and np.nanmax(speeds[start:end], initial=0.0) > _MOVING
    ]
    if not frozen:
        return []
    for start, end in frozen:
        for name in ("north", "east", "ground_speed", "course"):
            if name in channels:
                channels[name][known[start] : known[end - 1] + 1] = np.nan
    duration = sum(times[end - 1] - times[start] for start, end in frozen)
    return [
        f"The receiver repeats its last fix for {duration:.0f} s "
        f"{on_lines([int(lines[known[start]]) for start, _ in frozen])} while the wing moves; left out."
    ]
