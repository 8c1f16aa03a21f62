"""Table rows and sentences on the register of a club. ``found`` is the document of the command."""

from __future__ import annotations

from typing import Any

BUILD_HEADS = ["member", "wing", "weight g", "balance mm", "load test", "flights", "charge / expected"]
TYPE_HEADS = ["factor on", "before", "of the type", "9 in 10", "next wing", "9 in 10"]
_UNLIKE = 2.0  # percent; a member whose flights are less likely than this is named; judgement
_NOT = "-"


def build_rows(found: dict[str, Any]) -> list[tuple[str, ...]]:
    """Return one row for each built wing, with the columns of BUILD_HEADS: as weighed, and as designed in brackets."""
    return [
        (
            member["study"],
            build["wing"],
            _pair(build["weight_g"], build["designed_weight_g"]),
            _pair(build["balance_mm"], build["designed_balance_mm"]),
            build["load_tested"] or _NOT,
            str(build["flights"]),
            _NOT if build["charge_over_expected"] is None else f"{build['charge_over_expected']:.2f}",
        )
        for member in found["members"]
        for build in member["builds"]
    ]


def _pair(measured: float | None, designed: float) -> str:
    return f"{_NOT} ({designed:.0f})" if measured is None else f"{measured:.0f} ({designed:.0f})"


def factor_rows(found: dict[str, Any]) -> list[tuple[str, ...]]:
    """Return one row for each factor, with the columns of TYPE_HEADS."""
    return [
        (
            row["words"],
            _band(row["before_band"]),
            f"{row['type']:.3f}",
            _band(row["type_band"]),
            f"{row['next']:.3f}",
            _band(row["next_band"]),
        )
        for row in found["factors"]
    ]


def _band(ends: list[float]) -> str:
    return f"{ends[0]:.2f}-{ends[1]:.2f}"


def register_lines(found: dict[str, Any]) -> list[str]:
    """Return sentences on the next builder's band, on members unlike the others, and on what is missing."""
    ahead, now = found["next"]["range_km"]["before"], found["next"]["range_km"]["after"]
    width = {name: band["high"] - band["low"] for name, band in (("before", ahead), ("after", now))}
    whose = found["next"]["study"] if found["next"]["is_named"] else f"the next wing like {found['next']['study']}"
    narrower = 100.0 * (1.0 - width["after"] / width["before"]) if width["before"] else 0.0
    lines = [
        f"Range of {whose}: {now['middle']:.0f} km, eight in ten such wings {now['low']:.0f} to {now['high']:.0f} km. "
        f"Without the club it is {ahead['middle']:.0f} km, {ahead['low']:.0f} to {ahead['high']:.0f} km: "
        f"the band is {narrower:.0f} % narrower."
    ]
    lines += [f"{note}." for note in found["notes"]]
    for member in found["members"]:
        if member["unlike_pct"] < _UNLIKE:
            lines.append(
                f"{member['study']} is unlike the others: flights so far apart come {member['unlike_pct']:.1f} times "
                "in a hundred. Look for a mistake in its book or study, or a fault of the wing."
            )
        if member["set_aside"]:
            lines.append(f"{member['study']}: {member['set_aside']} flights are set aside.")
        for build in member["builds"]:
            if build["wing"] != "stock" and build["flights"] and not build["load_tested"]:
                lines.append(
                    f"{member['study']}, {build['wing']} flies without a load test in the file of built wings "
                    "(load_tested = a date). Load test first."
                )
    return lines
