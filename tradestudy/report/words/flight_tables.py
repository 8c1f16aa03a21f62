"""Tables of what is flown: where every watt goes, the mission part by part, propellers, motors and packs compared."""

from __future__ import annotations

from typing import Any

from tradestudy.results.result import Design, Result

from .limits_and_answer import figure_of, listed, stretched
from .pilot_card import cards, longest_words, no_card, refused
from .purpose import measure

Rows = list[tuple[str, ...]]

WATT_HEADS = ["watts out of the cells", "cruise W", "%", "flat out W", "%"]
MISSION_HEADS = ["part", "air km/h", "min", "km", "Wh", "mAh", "A", "V", "left %"]
PART_HEADS = ["parts", "", "km/h", "A", "top\nkm/h", "pull\n/wt", "full\nA", "W/kg", "g/dm²", "goes first"]
PART_NOTE = (
    "Every combination flies the same wing at the same static margin; a propeller is taken to weigh what the one on "
    "the wing does. Pull over weight, full amps and W/kg are of a standing full throttle on a full pack; what goes "
    "first is told with the share of its maker's limit that is used then."
)
MISSION_NOTE = (
    "Each part begins and ends at once, on the charge that those before it have left; km are over the ground, of legs "
    "alone; volts are loaded, at the end of a part. What a climb gives back on the way down is not counted."
)


def watt_rows(design: Design) -> Rows:
    """Return where the watts go at cruise and flat out, most at cruise first, with the whole below; or nothing."""
    cruise, flat_out = design.watts, design.watts_flat_out
    if not cruise or not flat_out:
        return []
    whole = sum(cruise.values()), sum(flat_out.values())

    def row(name: str, *watts: float) -> tuple[str, ...]:
        return (name, *(text for value, total in zip(watts, whole, strict=True)
                        for text in (figure_of(value, 1), figure_of(100 * value / total))))

    parts = sorted(cruise, key=lambda part: -cruise[part])
    return [*(row(part, cruise[part], flat_out.get(part, 0.0)) for part in parts), row("whole", *whole)]


def watt_words(result: Result, design: Design) -> str:
    """Return at which speeds the watts are told."""
    numbers = design.numbers
    wing = "stock" if design is result.stock else "stretched"
    return (f"The {wing} wing: cruise at {figure_of(numbers['cruise_speed_kmh'])} km/h in the middle of the flight, "
            f"flat out level at {figure_of(numbers['top_speed_kmh'])} km/h on a full pack.")


def mission_rows(design: Design) -> Rows:
    """Return the parts of the mission that were flown, and the sum; nothing without a mission."""
    told = design.mission
    if not told:
        return []
    rows = [(row["name"], figure_of(row["airspeed_kmh"]), figure_of(row["minutes"], 1), _or_empty(row["km"]),
             figure_of(row["wh"], 1), figure_of(row["mah"]), figure_of(row["mean_a"], 1), figure_of(row["end_v"], 1),
             figure_of(row["charge_left_pct"])) for row in told["parts"]]
    return [*rows, ("together", "", figure_of(told["minutes"], 1), figure_of(told["km"], 1), figure_of(told["wh"], 1),
                    figure_of(told["mah"]), "", "", "")]


def mission_words(design: Design) -> str:
    """Return what is left after the mission, or where it runs out; empty without a mission."""
    told = design.mission
    if not told:
        return ""
    if told["ends"]:
        flown = len(told["parts"])
        return (f"This mission cannot be flown. {told['ends'][:1].upper()}{told['ends'][1:]}. "
                f"{flown} of {told['asked']} parts were begun.")
    return (f"Above the reserve of {figure_of(told['reserve_pct'])} % it leaves {figure_of(told['left_mah'])} mAh: "
            f"{figure_of(told['left_km'])} km or {figure_of(told['left_min'])} minutes more in cruise, still air.")


def part_heads(result: Result) -> list[str]:
    """Return the heads of the table of parts compared."""
    known = measure(result)
    return [head or f"{known.axis}\n{known.unit}" for head in PART_HEADS]


def part_names(result: Result) -> list[str]:
    """Return which motor each letter stands for, and which pack each figure; nothing where none were compared."""
    if not result.compared:
        return []
    return ["Motors: " + ", ".join(f"{letter} {name}" for name, letter in _letters(result).items()) + ".",
            "Packs: " + ", ".join(f"{number} {name}" for name, number in _numbers(result).items()) + "."]


def _letters(result: Result) -> dict[str, str]:
    return {name: chr(ord("A") + index) for index, name in enumerate(_named(result, "motor"))}


def _numbers(result: Result) -> dict[str, str]:
    return {name: str(index) for index, name in enumerate(_named(result, "pack"), start=1)}


def _named(result: Result, kind: str) -> list[str]:
    """Every motor or pack once, the wing's own first."""
    own_first = sorted(result.compared, key=lambda row: not row["own"])
    return list(dict.fromkeys(row[kind] for row in own_first))


def part_rows(result: Result) -> Rows:
    """Return one row for each combination of parts, best first; what breaks something stands below, marked."""
    rows = []
    for row in result.compared:
        told = ("* " if row["breaks"] else "") + _called(result, row) + (" own" if row["own"] else "")
        if row["gain"] is None:
            rows.append((told, *[""] * (len(PART_HEADS) - 1)))
            continue
        rows.append((told, figure_of(row["gain"], 1), figure_of(row["speed_kmh"]), figure_of(row["hold_a"], 1),
                     figure_of(row["top_speed_kmh"]), figure_of(row["thrust_to_weight"], 2),
                     figure_of(row["full_throttle_current_a"]), figure_of(row["w_per_kg"]),
                     figure_of(row["wing_loading_g_dm2"], 1),
                     f"{row['first_rating']} {figure_of(row['first_rating_pct'])}%"))
    return rows


def part_words(result: Result) -> list[str]:
    """Return which parts serve the study's purpose best and by how much, then why each marked row is marked."""
    known, lines = measure(result), []
    sound = [row for row in result.compared if not row["breaks"]]
    own = next((row for row in result.compared if row["own"]), None)
    if not result.compared:
        return []
    if not sound:
        lines.append("No combination of these parts keeps to every limit.")
    elif sound[0]["own"]:
        more = f", by {_more(sound[0], sound[1])} over the next" if len(sound) > 1 else ""
        lines.append(f"What the wing has {known.best}{more}.")
    else:
        lines.append(f"{_called(result, sound[0])} {known.best}: {figure_of(sound[0]['gain'], 1)} {known.unit}"
                     + (f", {_more(sound[0], own)} more than what the wing has." if own and own["gain"] else "."))
    reasons: dict[str, list[str]] = {}
    for row in result.compared:
        if row["breaks"]:
            reasons.setdefault("; ".join(row["breaks"]), []).append(_called(result, row))
    return [*lines, *(f"* {listed(called)}: {reason}." for reason, called in reasons.items())]


def _called(result: Result, row: dict[str, Any]) -> str:
    """A combination in short, such as 10x6 A1."""
    return f"{row['propeller']} {_letters(result)[row['motor']]}{_numbers(result)[row['pack']]}"


def _more(best: dict[str, Any], other: dict[str, Any]) -> str:
    return f"{figure_of(100 * (best['gain'] / other['gain'] - 1), 1)} %"


def flight_pieces(result: Result, anyway: bool = False) -> dict[str, Any]:
    """Return all of it as the page's template asks for it; ``anyway`` as in `pilot_card.card_text`."""
    wings = told_wings(result)
    return {
        "cards": cards(result, anyway), "no_card": no_card(result, anyway),
        "longest": [(name, longest_words(design)) for name, design in wings
                    if design.pilot_card and not refused(design, anyway)],
        "watts": [(name, watt_rows(design), watt_words(result, design)) for name, design in wings if watt_rows(design)],
        "watt_heads": WATT_HEADS,
        "missions": [(name, mission_rows(design), mission_words(design), bool(design.mission["ends"]))
                     for name, design in wings if design.mission],
        "mission_heads": MISSION_HEADS, "mission_note": MISSION_NOTE,
        "compared": part_rows(result), "compared_heads": part_heads(result), "compared_note": PART_NOTE,
        "compared_words": [*part_names(result), *part_words(result)],
    }  # fmt: skip


def _or_empty(value: float | None) -> str:
    return "" if value is None else figure_of(value, 1)


def told_wings(result: Result) -> list[tuple[str, Design]]:
    """Return the wings that are told in full, the stretched one first."""
    both = [("Stretched", stretched(result)), ("Stock", result.stock)]
    return [(name, design) for name, design in both if design is not None]
