"""Texts in inches and ounces: every number with a metric unit is replaced by its imperial value.

Texts are converted, and not numbers, so that whatever is printed follows one setting. Values that stand as they are
sold keep their sizes: a text within straight double quotes, a file name, and "35 mm class".
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from .units import from_si, to_si

METRIC, IMPERIAL = "metric", "imperial"
SYSTEMS = (METRIC, IMPERIAL)

# metric unit as it is printed -> (its kind, its name in UNITS, imperial unit, that one's name, more decimals)
_PAIRS: dict[str, tuple[str, str, str, str, int]] = {
    "mm": ("length", "mm", "in", "in", 2),
    "cm": ("length", "cm", "in", "in", 1),
    "m": ("length", "m", "ft", "ft", 0),
    "km": ("distance", "km", "miles", "mi", 0),
    "g": ("mass", "g", "oz", "oz", 1),
    "kg": ("mass", "kg", "lb", "lb", 1),
    "km/h": ("speed", "km/h", "mph", "mph", 0),
    "m/s": ("speed", "m/s", "ft/s", "ft/s", 0),
    "C": ("temperature", "C", "F", "F", 0),
    "cm²": ("area", "cm2", "sq in", "in2", 1),
    "cm2": ("area", "cm2", "sq in", "in2", 1),
    "dm²": ("area", "dm2", "sq in", "in2", 0),
    "dm2": ("area", "dm2", "sq in", "in2", 0),
    "g/dm²": ("areal_mass", "g/dm2", "oz/sq ft", "oz/ft2", 1),
    "g/m2": ("areal_mass", "g/m2", "oz/sq yd", "oz/yd2", 2),
    "N m": ("moment", "N m", "in lb", "lb in", 0),
    "N cm": ("moment", "N cm", "oz in", "oz in", 0),
    "g cm": ("mass_moment", "g cm", "oz in", "oz in", 2),
    "Wh/km": ("energy_per_distance", "Wh/km", "Wh/mile", "Wh/mi", 0),
    "mAh/km": ("charge_per_distance", "mAh/km", "mAh/mile", "mAh/mi", 0),
    "deg/m": ("angle_per_length", "deg/m", "deg/ft", "deg/ft", 1),
}
_MINUS = "\N{MINUS SIGN}"
_NUMBER = rf"[-+{_MINUS}±]?\d+(?:\.\d+)?"
_BETWEEN = (
    r"(?: ?(?:to|and|or|/|–|-|x|×) ?| (?:to about|instead of|against) |, (?:today|first|window|at most|at least) )"
)
_UNIT = "|".join(re.escape(unit) for unit in sorted(_PAIRS, key=len, reverse=True))
# numbers that share the unit after the last of them: "151 to 163 mm", "4 / 6 mm", "38 x 26 x 9 mm"
_CHAIN = re.compile(
    rf"(?<![\w.,\[])({_NUMBER}(?:{_BETWEEN}{_NUMBER})*)( |\N{{NO-BREAK SPACE}}|)({_UNIT})(?![\w²³/]|-\w| class)"
)
_HEAD = re.compile(rf"(\[| |^)({_UNIT})(\]?)$")
_ROW_HEAD = re.compile(rf"\[({_UNIT})\]")
_TRADE = re.compile(r'"[^"]*"|\bmotor \d+ mm|\b\d+ x \d+(?:\.\d+)? mm rod pairs?\b|\S*[/\\]\S+\.\w+')
_WIND = re.compile(r"wind[^.;]*$|wind", re.IGNORECASE)


def in_imperial(text: str) -> str:
    """Return a text whose lengths, weights, distances and speeds are in imperial units. Trade sizes stay."""
    parts, end = [], 0
    for kept in _TRADE.finditer(text):
        parts += [_converted(text[end : kept.start()]), kept.group()]
        end = kept.end()
    return "".join([*parts, _converted(text[end:])])


def imperial_table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> tuple[list[str], list[list[str]]]:
    """Return heads and rows of a table in imperial units. The unit of bare numbers stands in a head or before them."""
    units = [_unit_of_head(head) for head in heads]
    body = []
    for row in rows:
        own = next(iter(_ROW_HEAD.findall(row[0])), "") if row else ""
        body.append(
            [
                _bare(cell, own if own and place else unit) if (own and place) or unit else in_imperial(cell)
                for place, (cell, unit) in enumerate(zip(row, units, strict=True))
            ]
        )
        if own:
            body[-1][0] = in_imperial(_ROW_HEAD.sub(f"[{_PAIRS[own][2]}]", row[0]))
    return [_head(head, unit) for head, unit in zip(heads, units, strict=True)], body


def _unit_of_head(head: str) -> str:
    found = _HEAD.search(head)
    return found[2] if found and (found[1] != "" or found[2] == head) else ""


def _head(head: str, unit: str) -> str:
    return _HEAD.sub(rf"\g<1>{_PAIRS[unit][2]}\g<3>", head) if unit else in_imperial(head)


def _bare(cell: str, unit: str) -> str:
    """Return a cell of bare numbers in ``unit``, converted; other texts are converted by the units within them."""
    if re.fullmatch(rf"{_NUMBER}(?:{_BETWEEN}{_NUMBER})*|\({_NUMBER}\)", cell.strip()):
        return re.sub(_NUMBER, lambda found: _number(found[0], unit), cell)
    return in_imperial(cell)


def _converted(text: str) -> str:
    def one(found: re.Match[str]) -> str:
        numbers, blank, unit = found.groups()
        windy = unit == "m/s" and _WIND.search(text[max(0, found.start() - 40) : found.end() + 12])
        name = "mph" if windy else _PAIRS[unit][2]
        return re.sub(_NUMBER, lambda each: _number(each[0], unit, name), numbers) + (blank or " ") + name

    return _CHAIN.sub(one, text)


def _number(written: str, unit: str, name: str = "") -> str:
    """Return one number, written in ``unit``, in its imperial unit, with digits that say as much."""
    kind, known, _, other, more = _PAIRS[unit]
    if name == "mph":
        other = "mph"
    sign = written[0] if written[0] in f"-+{_MINUS}±" else ""
    size = float(written.removeprefix(sign)) if sign else float(written)
    negative = sign in ("-", _MINUS)
    decimals = len(written.partition(".")[2])
    if unit == "C":
        value = from_si(to_si(-size if negative else size, known, kind), other, kind)
        sign = ("-" if sign == "-" else _MINUS) if value < 0 else ""
        value = abs(value)
    else:
        value = from_si(to_si(size, known, kind), other, kind)
    digits = max(0, min(decimals + more, 3 if value < 1 else 2 if value < 100 else 1))
    return f"{sign}{value:.{digits}f}"
