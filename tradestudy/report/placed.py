"""Numbers that carry their place in summary.json, and sentences made from them.

The place of a number is its path in that file. The same sentences appear on the terminal as plain text and on the page
as markup. `with_places` returns a Result whose numbers carry their places. From such numbers `fill` and `join` return
markup: each number is in an element with the place as ``data-key``, and all other text is escaped. From ordinary
numbers they return plain text. A number calculated from several others carries no place.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, is_dataclass, replace
from typing import Any

from markupsafe import Markup, escape

from tradestudy.quantities import ExactFloat, exact


class Placed:
    """The common base of floats and whole numbers with a place. A multiple of such a number keeps its place."""

    place: str
    times: float = 1  # the number shown divided by the number stored at the place

    def __html__(self) -> str:
        return mark_up(self, str(self._bare()))

    def __html_format__(self, form: str) -> str:
        return mark_up(self, format(self._bare(), form))

    def _bare(self) -> Any:
        """Return the number without its place."""
        return int(self) if isinstance(self, int) else float(self)  # type: ignore[arg-type]

    def _scaled(self, factor: Any) -> Any:
        if isinstance(factor, Placed):
            return self._bare() * factor._bare()
        if type(factor) in (int, float):
            return PlacedFloat.at(factor * self._bare(), self.place, factor * self.times)
        return self._bare() * factor

    __mul__ = __rmul__ = _scaled

    def __truediv__(self, factor: Any) -> Any:
        if isinstance(factor, Placed):
            return self._bare() / factor._bare()
        if type(factor) in (int, float):
            return PlacedFloat.at(self._bare() / factor, self.place, self.times / factor)
        return self._bare() / factor

    def __add__(self, other: Any) -> Any:
        # unit conversions add 0 where a unit has no offset: the place is kept
        return self if type(other) in (int, float) and other == 0 else self._bare() + other

    __radd__ = __add__

    def __sub__(self, other: Any) -> Any:
        return self if type(other) in (int, float) and other == 0 else self._bare() - other

    def __neg__(self) -> Any:
        return self._scaled(-1)

    def __abs__(self) -> Any:
        return self._scaled(-1) if self._bare() < 0 else self


class PlacedFloat(Placed, float):
    """A float with its place in summary.json."""

    @classmethod
    def at(cls, value: float, place: str, times: float = 1) -> PlacedFloat:
        """Return a float with its place."""
        number = cls(value)
        number.place, number.times = place, times
        return number


class PlacedInt(Placed, int):
    """A whole number with its place in summary.json."""

    @classmethod
    def at(cls, value: int, place: str) -> PlacedInt:
        """Return a whole number with its place."""
        number = cls(value)
        number.place = place
        return number


def mark_up(value: Any, text: str) -> str:
    """Return the text of a number, as markup if the number has a place."""
    text = exact(value, text)
    if not isinstance(value, Placed):
        return text
    attributes = {
        "key": value.place,
        "times": f"{value.times:g}" if value.times != 1 else None,
    }
    shown = (Markup(' data-{}="{}"').format(name, each) for name, each in attributes.items() if each is not None)
    return Markup("<span{}>{}</span>").format(Markup("").join(shown), text)


def fill(words: str, *figures: Any) -> str:
    """Return ``words`` with its braces replaced by numbers and texts, as `str.format` does."""
    figures = tuple(ExactFloat(each) if _is_plain_float(each) else each for each in figures)
    if any(hasattr(each, "__html__") for each in figures):
        return Markup(escape(words)).format(*figures)
    return words.format(*figures)


def _is_plain_float(value: Any) -> bool:
    return isinstance(value, float) and not isinstance(value, Placed)


def join(between: str, parts: Iterable[str]) -> str:
    """Return the parts joined by the separator ``between``, as `str.join` does."""
    parts = list(parts)
    if any(isinstance(part, Markup) for part in parts):
        return Markup(escape(between)).join(parts)
    return between.join(parts)


def plain_text(words: str) -> str:
    """Return the words without markup."""
    return words.striptags() if isinstance(words, Markup) else words


def with_places(value: Any, place: str = "") -> Any:
    """Return a Result, or a part of one, whose numbers carry their places.

    A place is a JSON Pointer: names are separated by "/". Within a name, "/" is written "~1" and "~" is written "~0".
    """
    if is_dataclass(value) and not isinstance(value, type):
        inner = {each.name: with_places(getattr(value, each.name), _below(place, each.name)) for each in fields(value)}
        return replace(value, **inner)
    if isinstance(value, dict):
        return {name: with_places(each, _below(place, name)) for name, each in value.items()}
    if isinstance(value, list):
        return [with_places(each, _below(place, index)) for index, each in enumerate(value)]
    if isinstance(value, float):
        return PlacedFloat.at(value, place)
    if isinstance(value, int) and not isinstance(value, bool):
        return PlacedInt.at(value, place)
    return value


def _below(place: str, name: Any) -> str:
    own = str(name).replace("~", "~0").replace("/", "~1")
    return f"{place}/{own}" if place else own
