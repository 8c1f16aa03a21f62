"""What a fit reports, as rows and sentences for the terminal; ``fit`` is the content of fit.json."""

from __future__ import annotations

from typing import Any

READING_HEADS = ["measured", "unit", "read", "model", "fitted", "off %", "\N{PLUS-MINUS SIGN} %"]
FACTOR_HEADS = ["times the model", "before", "fitted", "9 of 10 lie", ""]
NEXT_HEADS = ["to measure next", "band km", "narrower"]


def reading_table(fit: dict[str, Any]) -> list[tuple[str, ...]]:
    """Return a row for each reading."""
    return [
        (
            f"{row['kind']}: {row['what']}",
            row["unit"],
            _three(row["measured"]),
            _three(row["before"]),
            _three(row["after"]),
            f"{row['off_after_pct']:+.1f}",
            f"{row['spread_pct']:.1f}",
        )
        for row in fit["readings"]
    ]


def factor_table(fit: dict[str, Any]) -> list[tuple[str, ...]]:
    """Return a row for each factor."""
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


def next_table(fit: dict[str, Any]) -> list[tuple[str, ...]]:
    """Return a row for each measurement that could come next, the best first."""
    return [(row["what"], f"{row['band_km']:.1f}", f"{row['shrinks_pct']:.0f} %") for row in fit["next"]]


def range_words(fit: dict[str, Any]) -> list[str]:
    """Return the range of the stock wing before and after, in sentences."""
    before, after = fit["range_km"]["before"], fit["range_km"]["after"]
    return [
        f"Range of the stock wing in still air, by these factors: {after['middle']:.0f} km, eight of ten between "
        f"{after['low']:.0f} and {after['high']:.0f} km; before, {before['middle']:.0f} km, between "
        f"{before['low']:.0f} and {before['high']:.0f} km."
    ]


def next_words(fit: dict[str, Any]) -> str:
    """Return what to measure next, in a sentence."""
    best = fit["next"][0]
    if best["shrinks_pct"] < 1:
        return "None of these would make the range band narrower by a hundredth."
    return (
        f"Measure next: {best['what']}; the band of the range, eight of ten, gets {best['shrinks_pct']:.0f} % "
        f"narrower, with readings taken to {best['noise']}."
    )


def _three(value: float) -> str:
    return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.3g}"
