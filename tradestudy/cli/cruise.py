"""``tradestudy cruise``: the speed card for the transmitter, power by use, the mission, and a comparison of parts."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Annotated, Any

import typer

from tradestudy.quantities import exactly
from tradestudy.report.words import flight_tables as tables
from tradestudy.report.words.gains import advice_words, is_as_today
from tradestudy.report.words.phrases import gain_text
from tradestudy.report.words.pilot_card import card_lines, is_withheld, longest_words
from tradestudy.report.words.purpose import measure
from tradestudy.report.words.violated_limits import violation_lines, warning_words

from . import folders, output, result_tables, session
from .options import Anyway, AsJson, Everything, FittedFile, OutFolder, study_keys, wing_options
from .study_request import StudyRequest
from .terminal import print_table, say, show

if TYPE_CHECKING:
    from tradestudy.commands.study_session import StudySession
    from tradestudy.results.design import Design
    from tradestudy.results.flight import Curves
    from tradestudy.results.result import Result

_COLUMNS = {
    "speed_kmh": ("km/h", 0),
    "range_km": ("range km", 1),
    "radius_km": ("out, home km", 1),
    "usual_flight_min": ("usual min", 0),
    "endurance_min": ("min", 0),
    "current_a": ("hold A", 2),
    "mah_per_km": ("mAh /km", 1),
    "wh_per_km": ("Wh /km", 2),
    "power_w": ("W", 1),
    "throttle_pct": ("thr %", 0),
    "elevon_deg": ("elevon deg", 1),
    "elevon_mm": ("elevon mm", 1),
}
_STEP_KMH = 4.0

_InMiles = Annotated[bool, typer.Option("--mph", help="Speeds on the card in mph, distances in miles.")]
_AllSpeeds = Annotated[
    bool, typer.Option("--speeds", help="Add a table of all speeds, and the drag of the wings, part by part.")
]
_Compare = Annotated[
    bool, typer.Option("--parts", help="Compare the study's propellers, motors and packs on this wing.")
]


@study_keys
@partial(wing_options, leave_out=("cruise_speed",))
def cruise(
    study: StudyRequest,
    as_json: AsJson = False,
    out: OutFolder = None,
    mph: _InMiles = False,
    speeds: _AllSpeeds = False,
    parts: _Compare = False,
    everything: Everything = False,
    anyway: Anyway = False,
    fitted: FittedFile = None,
    requested: Any = None,
) -> None:
    """Print the speed card for the transmitter, of the recommended and the stock wing; mission and power by use."""
    from tradestudy.commands.python import wings

    def compute(opened: StudySession) -> Result:
        result = wings.cruise(opened, requested, parts)
        return in_miles(result) if mph else result

    result = session.compute_design("cruise", study, out, fitted, compute, anyway)
    if as_json:
        _print_document(result, anyway)
    else:
        _print(result, anyway, parts, speeds, study, everything)
    folders.refuse_violations(result, anyway, "speed card", study)


def _print(result: Result, anyway: bool, parts: bool, speeds: bool, study: StudyRequest, everything: bool) -> None:
    for line in advice_words(result):
        say(f"{line}\n")
    wings = _wings(result)
    _print_cards(result, wings if everything or is_withheld(wings[0], anyway) else wings[:1], anyway)
    say(f"{result.which_wing}\n" if everything or parts or speeds else result.which_wing)
    if everything:
        _print_watts(result)
        _print_mission(result)
    if parts:
        _print_compared(result)
    if speeds:
        _print_speeds(result)
    for design in wings if everything else []:
        for line in design.flags:
            say(f"Note, {design.label} wing: {line}.")
    output.say_end("", "the card of the stock wing, the mission, and where the power goes", everything)


def in_miles(result: Result) -> Result:
    """Return a copy of a result with its speed cards in mph and miles."""

    def converted(design: Design | None) -> Any:
        if design is None or not design.pilot_card:
            return design
        return replace(design, pilot_card=replace(design.pilot_card, unit="mph"))

    return replace(result, stock=converted(result.stock), best=converted(result.best))


def _wings(result: Result) -> list[Design]:
    if result.best and is_as_today(result.best, result.stock):
        return [result.best]
    return [design for design in (result.best, result.stock) if design]


def _print_cards(result: Result, wings: list[Design], anyway: bool) -> None:
    for design in wings:
        if is_withheld(design, anyway):
            say(f"The {design.label} wing has no card: it breaks a limit, as explained at the end.")
            show()
            continue
        lines = card_lines(result, design, anyway)
        if lines:
            show("\n".join(lines) + "\n")
        say(
            longest_words(design)
            if lines
            else f"The {design.label} wing has no card: it cannot cruise to the end of "
            "its charge at any speed that is no slower than fly.cruise_at_least."
        )
        show()


def _print_watts(result: Result) -> None:
    for design in _wings(result):
        print_table(tables.WATT_HEADS, tables.watt_rows(design))
        say(tables.watt_words(result, design))
        show()


def _print_mission(result: Result) -> None:
    for design in _wings(result):
        if design.mission:
            print_table([f"mission, {design.label}", *tables.MISSION_HEADS[1:]], tables.mission_rows(design))
            say(tables.mission_words(design))
            show()
    if any(design.mission for design in _wings(result)):
        say(tables.MISSION_NOTE)
        show()


def _print_compared(result: Result) -> None:
    print_table(tables.part_heads(result), tables.part_rows(result))
    for line in (*tables.part_names(result), *tables.part_words(result), tables.PART_NOTE):
        say(line)
    show()


def _print_speeds(result: Result) -> None:
    objective = measure(result)
    for design in exactly(_wings(result)):
        numbers = design.numbers
        if warning := warning_words(design):
            say(warning)
        say(
            f"{design.label}: span {numbers.span_mm:.0f} mm, {numbers.auw_g:.0f} g; stalls at "
            f"{numbers.stall_speed_kmh:.0f} km/h, top speed {numbers.top_speed_kmh:.0f} km/h; {objective.best} at "
            f"{numbers.cruise_speed_kmh:.0f} km/h: {gain_text(getattr(numbers, objective.key))} {objective.unit}"
        )
        rows = [
            tuple(f"{row[name]:.{places}f}" for name, (_, places) in _COLUMNS.items())
            for row in exactly(speed_rows(design.curves))
        ]
        print_table([head for head, _ in _COLUMNS.values()], rows)
        show()
    result_tables.print_drag(result)
    show()
    purposes = exactly(result.purposes)
    farthest = purposes.farthest_out_km
    cap = "" if farthest is None else f" ({farthest:g} km at most)"
    say(
        f"Range in still air, out and home at one airspeed in wind of {purposes.wind_ms:g} m/s{cap}, a usual flight "
        f"with {purposes.full_throttle_share_pct:g} % at full throttle; all down to the reserve. Throttle as it "
        "stands at the end of the flight."
    )
    show()


def _print_document(result: Result, anyway: bool) -> None:
    output.print_document(
        result,
        wing=result.which_wing,
        compared=result.compared,
        cards=[
            {
                "label": design.label,
                "best_speed_kmh": design.numbers.cruise_speed_kmh,
                "stall_speed_kmh": design.numbers.stall_speed_kmh,
                "top_speed_kmh": design.numbers.top_speed_kmh,
                "breaks": violation_lines(design),
                "pilot_card": None if is_withheld(design, anyway) else design.pilot_card,
                "lines": card_lines(result, design, anyway),
                "watts": design.watts,
                "full_throttle_watts": design.full_throttle_watts,
                "mission": design.mission,
                "drag_breakdown": design.drag_breakdown,
                "rows": speed_rows(design.curves),
                "flags": design.flags,
            }
            for design in (result.stock, result.best)
            if design
        ],
    )


def speed_rows(curves: Curves) -> list[dict[str, float]]:
    """Return the curves at round speeds, interpolated linearly between their points."""
    import numpy as np

    speed = np.asarray(curves.speed_kmh)
    speeds = np.arange(np.ceil(speed[0] / _STEP_KMH) * _STEP_KMH, speed[-1] + 1e-9, _STEP_KMH)
    columns = {name: np.interp(speeds, speed, getattr(curves, name)) for name in _COLUMNS}
    return [{name: round(float(values[index]), 4) for name, values in columns.items()} for index in range(len(speeds))]
