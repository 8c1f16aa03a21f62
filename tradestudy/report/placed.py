"""Numbers that know where in summary.json they stand, and words about them: text in a terminal, markup on the page.

`with_places` returns a Result whose numbers carry their place. `said` and `joined` put words together from figures:
where one has a place they give markup, in which the figure stands in an element with its place as ``data-key`` and all
else is escaped; of plain numbers they give plain text. What is reckoned from several numbers carries no place.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, is_dataclass, replace
from typing import Any

from markupsafe import Markup, escape


class Placed:
    """What both kinds of number with a place share; multiplied by a plain factor they keep it."""

    place: str
    times: float = 1  # what is shown over what stands there

    def __html__(self) -> str:
        return mark_up(self, str(self._bare()))

    def __html_format__(self, form: str) -> str:
        return mark_up(self, format(self._bare(), form))

    def _bare(self) -> Any:
        """Return the number alone."""
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
        return self if type(other) in (int, float) and other == 0 else self._bare() + other  # units without an offset

    __radd__ = __add__

    def __sub__(self, other: Any) -> Any:
        return self if type(other) in (int, float) and other == 0 else self._bare() - other

    def __neg__(self) -> Any:
        return self._scaled(-1)

    def __abs__(self) -> Any:
        return self._scaled(-1) if self._bare() < 0 else self


class PlacedFloat(Placed, float):
    """A float with its place."""

    @classmethod
    def at(cls, value: float, place: str, times: float = 1) -> PlacedFloat:
        """Return a number with its place."""
        made = cls(value)
        made.place, made.times = place, times
        return made


class PlacedInt(Placed, int):
    """A whole number with its place."""

    @classmethod
    def at(cls, value: int, place: str) -> PlacedInt:
        """Return a whole number with its place."""
        made = cls(value)
        made.place = place
        return made


def mark_up(value: Any, text: str, step: float | None = None) -> str:
    """Return the text of a figure, as markup with its place where the number has one.

    ``step`` is what it was rounded to, where that is coarser than its last digit.
    """
    if not isinstance(value, Placed):
        return text
    more = {"times": value.times if value.times != 1 else None, "step": step}
    told = [("key", value.place), *((name, f"{each:g}") for name, each in more.items() if each is not None)]
    attributes = Markup("").join(Markup(' data-{}="{}"').format(name, words) for name, words in told)
    return Markup("<span{}>{}</span>").format(attributes, text)


def fill(words: str, *figures: Any) -> str:
    """Return ``words`` with figures and texts put into its braces, as `str.format` does."""
    if any(hasattr(each, "__html__") for each in figures):
        return Markup(escape(words)).format(*figures)
    return words.format(*figures)


def join(between: str, parts: Iterable[str]) -> str:
    """Return parts one after the other, with words between."""
    parts = list(parts)
    if any(isinstance(part, Markup) for part in parts):
        return Markup(escape(between)).join(parts)
    return between.join(parts)


def plain_text(words: str) -> str:
    """Return words as text alone."""
    return words.striptags() if isinstance(words, Markup) else words


def with_places(value: Any, place: str = "") -> Any:
    """Return a Result, or a part of one, whose numbers have places; these are parted by "/", "~1" is a "/" in a name."""
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{each.name: with_places(getattr(value, each.name), _below(place, each.name))
                                 for each in fields(value)})  # fmt: skip
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
