"""Correction of the rows of a log. Every step returns sentences that say what it changed.

Arrays have shape (n,) with one value for each row. A value that is removed becomes NaN.
"""

from __future__ import annotations

import numpy as np

from tradestudy.physics.flight_log.track import SPIKE_WINDOW, is_spike
from tradestudy.study.schema.flight_log import LOGGED_QUANTITIES

from .parse_rows import counted, on_lines

_RESTART = 60.0  # s; a larger step back in time is a restart of the logger
_FORWARD = 4 * 3600.0  # s; a larger step ahead in time means that the clock was set
_STAYS = 20  # number of rows after a restart that must all be earlier than the row before it
_SHARED = 0.3  # if a larger share of rows repeats the time of the row before, the clock moves in coarse steps
_GAP = 3.0  # s; a gap is longer than this and longer than five usual steps
_FROZEN = 5.0  # s; if a moving wing has exactly the same position for longer, the position is wrong
_FROZEN_COURSE = 15.0  # s; the same limit for speed and course, in a log without position
_MOVING = 3.0  # m/s; above this ground speed the wing moves

Channels = dict[str, np.ndarray]


def without_copies(channels: Channels, lines: np.ndarray) -> tuple[Channels, np.ndarray, list[str]]:
    """Return channels and lines without rows that repeat the row before in time and every value: they prove nothing."""
    values = np.array(list(channels.values()))
    same = (values[:, 1:] == values[:, :-1]) | (np.isnan(values[:, 1:]) & np.isnan(values[:, :-1]))
    copies = np.concatenate([[False], same.all(axis=0) & np.isfinite(channels["time"][1:])])
    if not copies.any():
        return channels, lines, []
    which = f"{counted(int(copies.sum()), 'row')} {on_lines(lines[copies].tolist())}"
    left = {name: one[~copies] for name, one in channels.items()}
    return left, lines[~copies], [f"{which} the same as the row before; left out."]


def in_order(time: np.ndarray, lines: np.ndarray) -> tuple[np.ndarray, np.ndarray, list[str]]:
    """Return the indices of the rows to keep (m,), their times (m,) [s], and sentences about corrections.

    The rows are in order of time, and the times rise strictly.
    """
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
    """Return the indices of the rows in the longest part between two starts of the logger."""
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
    """Return the times of the rows. If the clock is coarse, rows with the same time are spread over the clock step."""
    if len(times) < 3 or np.mean(np.diff(times) == 0) < _SHARED:
        return times
    first = np.flatnonzero(np.concatenate([[True], np.diff(times) != 0]))
    many = np.diff(np.concatenate([first, [len(times)]]))
    step = np.diff(times[first])
    usual = float(np.median(step[step > 0])) if (step > 0).any() else 0.0
    if usual == 0.0:
        return times  # all rows have the same time; a later step reports this, since no row is left
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
    """Remove values that are impossible for a small wing, and the position 0, 0 that means a missing fix.

    The arrays in ``channels`` are changed.
    """
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
    """Remove single values that are far from the running median of their neighbours (`track.is_spike`).

    The arrays in ``channels`` are changed.
    """
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


def without_speeds_of_no_fix(channels: Channels, lines: np.ndarray) -> list[str]:
    """Remove the speed 0, and its course, in rows without a position: a receiver writes it while it has no fix.

    A row with a speed is kept, since many loggers write positions less often. The arrays in ``channels`` are changed.
    """
    speed, position = channels.get("ground_speed"), channels.get("north")
    if speed is None or position is None:
        return []
    none = ~np.isfinite(position) & (speed == 0.0)
    if not none.any():
        return []
    for name in ("ground_speed", "course"):
        if name in channels:
            channels[name][none] = np.nan
    return [f"ground_speed: 0 without a position {on_lines(lines[none].tolist())}: no fix; left out."]


def without_frozen_fixes(channels: Channels, time: np.ndarray, lines: np.ndarray) -> list[str]:
    """Remove values that a satellite receiver without fix repeats exactly while the wing moves.

    The arrays in ``channels`` are changed.
    """
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
