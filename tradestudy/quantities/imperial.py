"""Texts in inches and ounces: every number with a metric unit is replaced by its imperial value.

Texts are converted, and not numbers, so that whatever is printed follows one setting. Values that stand as they are
sold keep their sizes: a text within straight double quotes, a file name, and "35 mm class".

A number may carry its value before it was rounded, in characters that nobody sees (`hidden`). It is then converted from
that value, and so is rounded once. Tags of markup may stand anywhere between numbers, units and words.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from .units import from_si, to_si, unit_of_name

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
    "g/m²": ("areal_mass", "g/m2", "oz/sq yd", "oz/yd2", 2),
    "kg/m3": ("density", "kg/m3", "lb/cu ft", "lb/ft3", 1),
    "kg/m³": ("density", "kg/m3", "lb/cu ft", "lb/ft3", 1),
    "m²": ("area", "m2", "sq ft", "ft2", 0),
    "m2": ("area", "m2", "sq ft", "ft2", 0),
    "N m²": ("flexural_rigidity", "N m2", "lb ft²", "lb ft2", 0),
    "N m2": ("flexural_rigidity", "N m2", "lb ft²", "lb ft2", 0),
    "m² a litre": ("area_per_volume", "m2/litre", "sq ft a quart", "ft2/qt", 0),
    "litres": ("volume", "litre", "cu in", "in3", 0),
    "cm³": ("volume", "cm3", "fl oz", "fl oz", 1),
    "for each km gained": ("number_per_distance", "per km", "for each mile gained", "per mi", 0),
    "Each km gained": ("number_per_distance", "per km", "Each mile gained", "per mi", 0),
    "W/kg": ("power_per_mass", "W/kg", "W/lb", "W/lb", 0),
    "N": ("force", "N", "lb", "lb", 1),
    "N/m": ("force_per_length", "N/m", "lb/ft", "lb/ft", 1),
    "N m": ("moment", "N m", "in lb", "lb in", 0),
    "N cm": ("moment", "N cm", "oz in", "oz in", 0),
    "g cm": ("mass_moment", "g cm", "oz in", "oz in", 2),
    "Wh/km": ("energy_per_distance", "Wh/km", "Wh/mile", "Wh/mi", 0),
    "mAh/km": ("charge_per_distance", "mAh/km", "mAh/mile", "mAh/mi", 0),
    "deg/m": ("angle_per_length", "deg/m", "deg/ft", "deg/ft", 1),
}
_FIRST_DIGIT, _FIRST_TAG = 0xF0000, 0x100000  # private characters: of an exact value, and for tags of markup
_EXACT, _TAGS = "[\U000f0000-\U000fffff]", "[\U00100000-\U0010fffd]"
_SOLD = "\U000ffffd"  # stands before a size under which a part is sold, which is not converted
_HIDDEN = re.compile(f"{_EXACT}|{_TAGS}")
_MINUS = "\N{MINUS SIGN}"
_BLANK = r"[ \u00a0]"
_SIGN = rf"[-+{_MINUS}±]"
_NUMBER = rf"(?:{_SIGN}{_TAGS}*)?\d+(?:\.\d+)?"  # a tag may stand between a sign and its number
_WHOLE = rf"{_NUMBER}{_EXACT}*"
_BETWEEN = (
    rf"(?:{_BLANK}?(?:to|and|or|/|–|-|x|×|\((?=[^)]* to )) ?| (?:to about|instead of|of the|against|\(today) |, |"
    r"\)?, (?:today|first|window|at most|at least) |\) (?:to|and|or) )"
)
_UNIT = "|".join(re.escape(unit) for unit in sorted(_PAIRS, key=len, reverse=True))
# numbers that share the unit after the last of them: "151 to 163 mm", "4 / 6 mm", "38 x 26 x 9 mm", "60 (41 to 80) km"
_CHAIN = re.compile(
    rf"(?<![\w.,\[{_SOLD}])({_WHOLE}(?:{_TAGS}*{_BETWEEN}{_TAGS}*{_WHOLE})*)"
    rf"({_TAGS}*\)?)({_BLANK}|)({_TAGS}*)({_UNIT})(?![\w²³/]|-\w| class)"
    # a band in brackets after the unit, as in "35 km/h (33 to 36)" or "35 km/h (33 to 36 in eight of ten)"
    rf"((?:{_TAGS}*{_BLANK}\({_TAGS}*{_WHOLE}{_TAGS}*(?: to |-|–){_TAGS}*{_WHOLE}{_TAGS}*(?: in eight of ten)?\))?)"
)
_TWO_IN_BRACKETS = re.compile(rf"\[({_UNIT}), ({_UNIT})\]")
_EACH = re.compile(rf"({_SIGN}?)({_TAGS}*)(\d+(?:\.\d+)?)({_EXACT}*)")
# a number that carries its value and is followed by no unit
_DIMENSION = re.compile(
    rf"(?<![\w.,{_SOLD}])({_SIGN}?\d+(?:\.\d+)?)({_EXACT}+)"
    rf"(?!{_EXACT}|{_TAGS}*{_BLANK}?{_TAGS}*(?:[%°A-Z]|deg\b|times\b|min\b|(?:{_UNIT})(?![\w²³/])))"
)
_HEAD = re.compile(rf"(\[(?=[^\]]*\]$)|\s(?!.*\]$)|^)({_UNIT})(\]?)$")
_IN_BRACKETS = re.compile(rf"\[({_UNIT})\]")
_TRADE = re.compile(
    r'"[^"]*"|\bmotor \d+ mm|\bpairs? of[ \u00a0]\d+(?:\.\d+)?[ \u00a0]mm rods\b|\brods of [\d.]+ mm|'
    r"\b\d+(?:\.\d+)?x\d+(?:\.\d+)?\b|\b(?:\d+ to )?\d+ mm, \d+(?: to \d+)? rpm/V|^\d+ mm(?=: )|^[\d.]+ mm thick|"
    r"\bsheet [\d.]+ mm|"
    r"\b(?:rod, )?(?!(?:mm|scaled)\b)[a-z]+, [\d.]+ mm$|\brod, [^,;]+, [\d.]+ mm|[\d.]+ mm inside(?:, [\d.]+ mm\b)?|"
    r"[^\s<>]*[/\\][^\s<>]+\.\w+"
)
_WIND = re.compile(r"wind[^.;]*$|wind", re.IGNORECASE)
_WORDS = (
    (re.compile(r"\bper km\b"), "per mile"),
    (re.compile(r"\bto the whole centimetre\b"), "in steps of 0.4 in"),
    (re.compile(r"\bW/kg\b"), "W/lb"),
    (re.compile(r"\bkilometre"), "mile"),
    (re.compile(r"\b(each|per|a) metre\b"), r"\1 foot"),
    (re.compile("\u201cBy mm\u201d"), "\u201cBy in\u201d"),
    (re.compile(r"\bmillimetre"), "inch"),
    (re.compile(r"\ball in mm\b"), "all in inches"),
    (re.compile(r"\bin mm\b"), "in inches"),
)
_MARKUP_TAG = re.compile("<[^>]*>")


def hidden(value: float) -> str:
    """Return characters that nobody sees, which hold a value. They stand behind the number that shows it rounded."""
    return "".join(chr(_FIRST_DIGIT + ord(sign)) for sign in repr(float(value)))


def as_sold(size: str) -> str:
    """Return the size under which a part is sold, so marked that it is not converted."""
    return _SOLD + size


def dimensions_in_imperial(text: str) -> str:
    """Return the words of a drawing. Its numbers without a unit are in mm, if they carry their value."""
    return without_hidden(_dimensions(_outside_trade_sizes(text), "mm"))


def _dimensions(text: str, unit: str) -> str:
    return _DIMENSION.sub(lambda found: _number(found[1], found[2], unit), text)


def without_hidden(text: str) -> str:
    """Return a text without what `hidden` added. Markup stays markup."""
    return type(text)(_HIDDEN.sub("", text)) if _HIDDEN.search(text) else text


def in_imperial(text: str) -> str:
    """Return a text or markup whose lengths, weights, distances and speeds are in imperial units. Trade sizes stay."""
    if not hasattr(text, "__html__"):
        return without_hidden(_outside_trade_sizes(text))
    tags: list[str] = []

    def held(found: re.Match[str]) -> str:
        tags.append(found.group())
        return chr(_FIRST_TAG + len(tags) - 1)

    words = _outside_trade_sizes(_MARKUP_TAG.sub(held, str(text)).replace("&#34;", '"'), "\N{NO-BREAK SPACE}")
    words = re.sub(_EXACT, "", words).replace('"', "&#34;")
    return type(text)(re.sub(_TAGS, lambda found: tags[ord(found.group()) - _FIRST_TAG], words))


def _outside_trade_sizes(text: str, blank: str = " ") -> str:
    parts, end = [], 0
    for kept in _TRADE.finditer(text):
        parts += [_converted(text[end : kept.start()], blank), kept.group()]
        end = kept.end()
    return "".join([*parts, _converted(text[end:], blank)])


def imperial_table(
    heads: Sequence[str], rows: Sequence[Sequence[str]], unit: str = ""
) -> tuple[list[str], list[list[str]]]:
    """Return heads and rows of a table in imperial units.

    The unit of bare numbers stands in a head, in brackets before them in their row, or in a cell of its own. ``unit``
    is that of bare numbers for which the table names none.
    """
    units = [_unit_of_head(head) for head in heads]
    body = []
    for row in rows:
        own = next(iter(_IN_BRACKETS.findall(_visible(row[0]))), "") if row else ""
        own = own or ("Each km gained" if row and "of each kilometre gained" in _visible(row[0]) else "")
        own = own or next((_visible(cell) for cell in row[1:] if _visible(cell) in _PAIRS), "")
        named = [(own if place and own else units[place]) or unit for place in range(len(row))]
        body.append([_cell(row[at], each, at > 0, _name(each, heads[at])) for at, each in enumerate(named)])
    return [_head(head, each, unit) for head, each in zip(heads, units, strict=True)], body


def _visible(text: str) -> str:
    """Return the words of a text or of markup, without what nobody sees."""
    words = _MARKUP_TAG.sub("", str(text)) if hasattr(text, "__html__") else text
    return _HIDDEN.sub("", words).strip()


def _unit_of_head(head: str) -> str:
    head = _visible(head)
    found = _HEAD.search(head)
    if found and (found[1] != "" or found[2] == head):
        return found[2]
    return next(iter(_IN_BRACKETS.findall(head)), "")


def _head(head: str, unit: str, others: str = "") -> str:
    if not unit:
        return in_imperial(type(head)(_dimensions(str(head), others)) if others else head)
    if _IN_BRACKETS.search(str(head)):
        return in_imperial(head)
    return type(head)(_HEAD.sub(rf"\g<1>{_name(unit, head)}\g<3>", str(head)))


def _name(unit: str, words: str) -> str:
    """Return the imperial name of ``unit``, empty without one. ``words`` say what it measures: wind is in mph."""
    if unit == "m/s" and _WIND.search(words):
        return "mph"
    return _PAIRS[unit][2] if unit in _PAIRS else ""


def _cell(cell: str, unit: str, may_be_unit: bool, name: str) -> str:
    """Return a cell of bare numbers in ``unit``, converted to the unit ``name``; other texts by the units in them."""
    words = _visible(cell)
    if words in _PAIRS and may_be_unit:
        return type(cell)(str(cell).replace(words, _PAIRS[words][2]))
    bare = rf"(?:at (?:least|most) )?\(?{_NUMBER}\)?(?:(?:{_BETWEEN}| \+ ){_NUMBER}\)?)*"
    if unit not in _PAIRS:
        return in_imperial(cell)
    if not re.fullmatch(bare, words):
        return in_imperial(type(cell)(_dimensions(str(cell), unit)))
    pieces = re.split(r"(<[^>]*>)", str(cell)) if hasattr(cell, "__html__") else [str(cell)]
    return type(cell)("".join(piece if piece.startswith("<") else _all_numbers(piece, unit, name) for piece in pieces))


def _all_numbers(text: str, unit: str, name: str = "") -> str:
    def one(found: re.Match[str]) -> str:
        sign, tags, digits, exact = found.groups()
        if not tags:
            return _number(sign + digits, exact, unit, name)
        words = _number(sign + digits, exact, unit, name)
        start = len(words) - len(words.lstrip(f"-+{_MINUS}±"))
        return words[:start] + tags + words[start:]

    return _EACH.sub(one, text)


def _converted(text: str, blank: str) -> str:
    def one(found: re.Match[str]) -> str:
        numbers, tags, gap, more, unit, band = found.groups()
        name = _name(unit, text[max(0, found.start() - 40) : found.end() + 12])
        band = _all_numbers(band, unit, name)
        return _all_numbers(numbers, unit, name) + tags + (gap and blank or " ") + more + name + band

    text = _IN_BRACKETS.sub(lambda found: f"[{_name(found[1], found.string[: found.start()])}]", _CHAIN.sub(one, text))
    text = _TWO_IN_BRACKETS.sub(lambda found: f"[{_PAIRS[found[1]][2]}, {_PAIRS[found[2]][2]}]", text)
    for pattern, words in _WORDS:
        text = pattern.sub(words, text)
    return text


def _number(written: str, exact: str, unit: str, name: str = "") -> str:
    """Return one number, written in ``unit``, in its imperial unit, with digits that say as much."""
    kind, known, _, other, more = _PAIRS[unit]
    if name == "mph":
        other = "mph"
    sign = written[0] if written[0] in f"-+{_MINUS}±" else ""
    size = float(written.removeprefix(sign))
    decimals = len(written.partition(".")[2])
    if exact:
        unrounded = float("".join(chr(ord(each) - _FIRST_DIGIT) for each in exact))
        # the sign that is written is the writer's choice, as in "3 mm up"
        size = unrounded if unit == "C" else abs(unrounded)
    elif unit == "C" and sign in ("-", _MINUS):
        size = -size
    value = from_si(to_si(size, known, kind), other, kind)
    if unit == "C":
        sign, value = (sign if sign == "-" else _MINUS) if value < 0 else "", abs(value)
    digits = max(0, min(decimals + more, 3 if value < 1 else 2 if value < 100 else 1))
    text = f"{value:.{digits}f}"
    return text if float(text) == 0 and sign != "±" else sign + text


class ImperialScale(NamedTuple):
    """An axis or a column in imperial units: its name, and functions that convert numbers or arrays there and back."""

    name: str
    there: Callable[[Any], Any]
    back: Callable[[Any], Any]


def imperial_axis(label: str) -> ImperialScale | None:
    """Return the scale of an axis whose label has a metric unit in its first brackets, or None if it has none."""
    words, _, rest = label.partition("[")
    unit = rest.partition("]")[0]
    return _scale(in_imperial(label), unit, _name(unit, words)) if unit in _PAIRS else None


def _scale(name: str, unit: str, shown: str = "") -> ImperialScale:
    kind, known, _, other, _ = _PAIRS[unit]
    other = "mph" if shown == "mph" else other
    return ImperialScale(
        name,
        lambda value: from_si(to_si(value, known, kind), other, kind),
        lambda value: from_si(to_si(value, other, kind), known, kind),
    )


# end of a column's name -> end in imperial units
_COLUMN_ENDS = {
    "mm": "in", "m": "ft", "km": "mi", "g": "oz", "kg": "lb", "dm2": "in2", "cm2": "in2", "g_dm2": "oz_ft2",
    "kmh": "mph", "ms": "fps", "c": "f", "n": "lb", "n_per_m": "lb_ft", "nm": "in_lb", "ncm": "oz_in", "gcm": "oz_in",
    "wh_per_km": "wh_per_mi", "mah_per_km": "mah_per_mi", "deg_per_m": "deg_per_ft",
}  # fmt: skip
_END_UNITS = {"dm2": "dm²", "cm2": "cm²", "g_dm2": "g/dm²", "kmh": "km/h", "ms": "m/s", "c": "C", "n": "N"} | {
    "n_per_m": "N/m", "nm": "N m", "ncm": "N cm", "gcm": "g cm", "wh_per_km": "Wh/km", "mah_per_km": "mAh/km",
    "deg_per_m": "deg/m",
}  # fmt: skip


def imperial_column(name: str) -> ImperialScale | None:
    """Return the scale of a column whose name ends in a metric unit, such as ``span_mm``, or None for another one."""
    if name == "price_per_km_gained":
        return _scale("price_per_mi_gained", "Each km gained")
    if unit_of_name(name)[0] == "number":
        return None
    words = name.split("_")
    for first in range(len(words)):
        end = "_".join(words[first:])
        if end in _COLUMN_ENDS:
            unit = _END_UNITS.get(end, end)
            shown = _name(unit, name)
            ending = shown if shown == "mph" else _COLUMN_ENDS[end]
            return _scale("_".join([*words[:first], ending]), unit, shown)
    return None
