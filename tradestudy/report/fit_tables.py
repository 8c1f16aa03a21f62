"""Table rows and sentences about a fit, for the terminal. The argument ``fit`` is the content of fit.json."""

from __future__ import annotations

from typing import Any

READING_HEADS = ["measurement", "unit", "measured", "model", "fitted", "error %", "\N{PLUS-MINUS SIGN} %"]
FACTOR_HEADS = ["factor on", "before", "fitted", "9 in 10 between", ""]
NEXT_HEADS = ["to measure next", "band km", "narrower"]


def reading_table(fit: dict[str, Any]) -> list[tuple[str, ...]]:
    """Return one table row for each reading."""
    return [
        (
            f"{row['kind']}: {row['what']}",
            row["unit"],
            _three_digits(row["measured"]),
            _three_digits(row["before"]),
            _three_digits(row["after"]),
            f"{row['off_after_pct']:+.1f}",
            f"{row['spread_pct']:.1f}",
        )
        for row in fit["readings"]
    ]


def factor_table(fit: dict[str, Any]) -> list[tuple[str, ...]]:
    """Return one table row for each fitted factor."""
    return [
        (
            row["words"],
            f"{row['low_before']:.2f}-{row['high_before']:.2f}",
            f"{row['factor']:.3f}",
            f"{row['low']:.2f}-{row['high']:.2f}",
            "" if row["told"] else "as before",
        )
        for row in fit["factors"]
    ]


def doubt_words(fit: dict[str, Any]) -> list[str]:
    """Return a sentence for each factor that the measurements put outside of its usual range."""
    return [
        f"Hard to believe: {row['words']} is {row['factor']:.2f} times the model's, where {row['low_before']:.2f} to "
        f"{row['high_before']:.2f} is usual. Check what was measured, and what the study says of that part."
        for row in fit["factors"]
        if row["told"] and not row["low_before"] <= row["factor"] <= row["high_before"]
    ]


def next_table(fit: dict[str, Any]) -> list[tuple[str, ...]]:
    """Return one table row for each measurement that could be made next, the most useful first."""
    return [(row["what"], f"{row['band_km']:.1f}", f"{row['shrinks_pct']:.0f} %") for row in fit["next"]]


def range_words(fit: dict[str, Any]) -> list[str]:
    """Return sentences on the range of the stock wing before and after the fit."""
    before, after = fit["range_km"]["before"], fit["range_km"]["after"]
    wider = after["high"] - after["low"] > 1.001 * (before["high"] - before["low"])
    return [
        f"Range of the stock wing in still air with these factors: {after['middle']:.0f} km, range band (eight in ten) "
        f"{after['low']:.0f} to {after['high']:.0f} km. Before: {before['middle']:.0f} km, band "
        f"{before['low']:.0f} to {before['high']:.0f} km.",
        "These bands hold the doubt of the factors alone. With --fitted, run and cruise add what the measurements "
        "leave open. What flights have measured counts once there: their band of this wing is then nearly the same, "
        "else wider.",
        *(["The band is wider than before: the readings contradict the model. Check them."] if wider else []),
    ]


def next_words(fit: dict[str, Any]) -> str:
    """Return a sentence on what to measure next."""
    best = fit["next"][0]
    if best["shrinks_pct"] < 1:
        return "None of these would make the range band narrower by 1 %."
    return (
        f"Measure next: {best['what']}. The range band becomes {best['shrinks_pct']:.0f} % "
        f"narrower, with readings accurate to {best['noise']}."
    )


def _three_digits(value: float) -> str:
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.3g}"
