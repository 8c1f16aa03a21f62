"""What the live page shows a moment after a slider is let go: handling, flutter, balance window, mission and bands."""

from __future__ import annotations

from collections.abc import Sequence

from tradestudy.quantities import printed
from tradestudy.report.words.flight_tables import mission_words
from tradestudy.report.words.phrases import NUMBER_WORDS, band_words, number_text
from tradestudy.report.words.purpose import measure_of_number
from tradestudy.results.look.look import AfterRelease, LookBand
from tradestudy.results.look.sliders import Controls
from tradestudy.results.numbers import DesignNumbers

from .speed_curve import advised_end
from .strip import PURPOSE, Shown, printed_band, printed_pair, purpose_band

# key of a number -> key of the text that says more about it; the words are those of the report's table
_ROWS = {
    "advised_speed_kmh": "advised_speed_why",
    "top_speed_kmh": "",
    "roll_rate_deg_s": "",
    "dutch_roll_damping": "",
    "stall_elevon_mm": "",
    "tip_deflection_mm": "",
    "limit_load_factor": "first_failure",
    "climb_ms": "",
}


def after_answer(controls: Controls, after: AfterRelease) -> Shown:
    """Return what the page shows when a slider was let go."""
    return {
        "rows": [_window(after.numbers), _flutter(after.numbers), *_rows(after.numbers), *_mission(after)],
        "flags": printed(after.flags),
        "words": "Worked out for this wing. A flutter speed is an estimate, never a clearance.",
        "advised": advised_end(controls.stock, after.numbers.advised_speed_kmh),
    }


def bands_answer(controls: Controls, bands: Sequence[LookBand]) -> Shown:
    """Return what the page shows when the bands of a wing were worked out anew."""
    return {"bands": {f"{PURPOSE}-less": purpose_band(bands, measure_of_number(controls.purpose).key)}}


def _row(head: str, value: str, unit: str, less: str = "") -> Shown:
    value, unit = printed_pair(value, unit) if value[:1].isdigit() or value[:1] == "\N{MINUS SIGN}" else (value, unit)
    return {"head": printed(head), "value": value, "unit": unit, "less": printed(less)}


def _rows(numbers: DesignNumbers) -> list[Shown]:
    rows = []
    for key, why in _ROWS.items():
        words, unit, digits = NUMBER_WORDS[key]
        rows.append(_row(words, number_text(getattr(numbers, key), digits), unit, getattr(numbers, why) if why else ""))
    return rows


def _window(numbers: DesignNumbers) -> Shown:
    ends = printed_band(band_words(numbers.cg_front_mm, numbers.cg_back_mm), "cg_front_mm")
    if numbers.cg_back_mm < numbers.cg_front_mm:
        return _row("Balance window", "none", "", f"{numbers.cg_front_why}; {numbers.cg_back_why}")
    first = numbers.first_flight_cg_mm
    less = "" if first is None else f"first flight at {number_text(first)} mm"
    unit = printed_pair(number_text(numbers.cg_front_mm), "mm")[1]
    return {"head": "Balance window", "value": ends, "unit": unit, "less": printed(less)}


def _flutter(numbers: DesignNumbers) -> Shown:
    if numbers.flutter_kmh is None:
        return _row("Flutter, likely", "none found", "")
    band = printed_band(band_words(numbers.flutter_low_kmh, numbers.flutter_high_kmh), "flutter_kmh")
    return _row("Flutter, likely", number_text(numbers.flutter_kmh), "km/h", band)


def _mission(after: AfterRelease) -> list[Shown]:
    if after.mission is None:
        return []
    ends_early = bool(after.mission.end_reason)
    return [_row("Mission", "not completed" if ends_early else "completed", "", mission_words(after))]
