"""Words and table rows about each club member's wing and the shopping list."""

from __future__ import annotations

from collections import Counter

from tradestudy.report.placed import fill, join
from tradestudy.results.club import ClubWing
from tradestudy.results.result import Result

from .phrases import number_text

# columns of the table: head, unit, decimals, key; the balance mark is the same for all wings and is not a column
_COLUMNS = (
    ("Weight", "g", 0, "auw_g"),
    ("Pack, middle", "mm", 0, "pack_mm"),
    ("Up-elevon", "mm", 1, "up_elevon_mm"),
    ("Cruise", "km/h", 0, "cruise_speed_kmh"),
    ("Hold", "A", 1, "cruise_current_a"),
    ("Range", "km", 0, "range_km"),
    ("Out and home", "km", 0, "radius_km"),
    ("Usual flight", "min", 0, "usual_flight_min"),
    ("Stall", "km/h", 0, "stall_speed_kmh"),
    ("Climb", "m/s", 1, "climb_ms"),
)
# shorter heads for the terminal: key -> head
_SHORT_COLUMNS = {
    "auw_g": "weight g",
    "cg_mm": "balance mm",
    "pack_mm": "pack mm",
    "cruise_current_a": "hold A",
    "range_km": "range km",
    "radius_km": "out and home km",
}


def club_heads(short: bool = False) -> list[str]:
    """Return the column heads of the table of members' wings."""
    if short:
        return ["set", *_SHORT_COLUMNS.values(), "breaks"]
    return ["Set", *(fill("{} [{}]", head, unit) for head, unit, _, _ in _COLUMNS), "Breaks"]


def club_rows(result: Result, short: bool = False) -> list[tuple[str, ...]]:
    """Return one row for each set of equipment, with the columns of `club_heads`."""
    decimals_of = {key: decimals for _, _, decimals, key in _COLUMNS} | {"cg_mm": 0}
    columns = [(key, decimals_of[key]) for key in (_SHORT_COLUMNS if short else [column[-1] for column in _COLUMNS])]
    return [
        (
            _set_words(row),
            *(number_text(getattr(row, key), decimals) for key, decimals in columns),
            join(", ", row.violated_limits) or "nothing",
        )
        for row in result.club
    ]


def _set_words(row: ClubWing) -> str:
    flown = " (in use today)" if row.flown_today else ""
    if row.members == 1:
        return row.set + flown
    return fill("{}\N{NO-BREAK SPACE}\N{MULTIPLICATION SIGN}\N{NO-BREAK SPACE}{}{}", row.set, row.members, flown)


def mark_words(result: Result) -> str:
    """Return a sentence on the balance mark of all members' wings, measured from both ends of the root chord."""
    if not result.club:
        return ""
    ahead, behind = (number_text(getattr(result.club[0], key)) for key in ("cg_mm", "cg_from_trailing_edge_mm"))
    return fill(
        "The balance mark of all is {} mm behind the nose, {} mm ahead of the root trailing edge.", ahead, behind
    )


def balance_lines(result: Result) -> list[str]:
    """Return a sentence for each member's wing on how it reaches the balance mark."""
    lines = [fill("{}: {}.", row.set, row.balance) for row in result.club]
    heavier = any(row.ballast_g for row in result.club)
    return [*lines, "Ballast is not included in the weights above."] if heavier else lines


SHOPPING_HEADS = ("Part", "Each", "One wing", "All wings", "Unit")


def shopping_rows(result: Result) -> list[tuple[str, ...]]:
    """Return one row for each item to buy, with the columns of SHOPPING_HEADS."""
    return [
        (row.what, row.description, _amount(row.count_per_wing, row.unit), _amount(row.total, row.unit), row.unit)
        for row in result.shopping
        if not row.owned
    ]


def cutting_lines(result: Result) -> list[str]:
    """Return a sentence for each kind of rod on how to cut those of all wings. There are none for one wing alone."""
    lines = []
    for row in result.shopping:
        if row.cuts_mm and row.wings > 1 and not row.owned:
            cuts = Counter(join(" + ", [number_text(float(piece)) for piece in cut]) for cut in row.cuts_mm)
            ways = join(", ", [fill("{} x ({})", count, cut) for cut, count in cuts.items()])
            apart = number_text(row.count_per_wing * row.wings)
            fewer = (
                fill(", {} if each wing is cut by itself", apart) if row.total < row.count_per_wing * row.wings else ""
            )
            proven = ", and no way needs fewer" if row.is_fewest else ""
            lines.append(fill("{}: {} lengths{}{}: {} mm.", row.what, number_text(row.total), fewer, proven, ways))
    return lines


def owned_words(result: Result) -> str:
    """Return a sentence on what is not on the list since it is owned, or an empty one."""
    owned = [row.what for row in result.shopping if row.owned]
    return fill("Not on the list, since the study says that it is owned: {}.", join("; ", owned)) if owned else ""


def _amount(value: float, unit: str) -> str:
    return number_text(value, 3 if unit == "m²" else 1 if unit == "litres" else 0)


def wings_to_build(result: Result) -> int:
    """Return the number of wings that the shopping list is for."""
    return max((row.wings for row in result.shopping), default=1)
