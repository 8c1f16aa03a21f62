"""Numbers that know where in summary.json they stand, so that the page can say it of every figure it shows.

`with_places` returns a Result whose numbers carry their place. Written as text they put it beside the figure, in signs
that no letter uses; `marked_up` turns those into markup, `plain` takes them out. What is reckoned from several numbers
carries no place.
"""

from __future__ import annotations

import html
import re
from abc import abstractmethod
from dataclasses import fields, is_dataclass, replace
from typing import Any

START, MIDDLE, END = "\ue000", "\ue001", "\ue002"  # around a place and its figure
SHIFT = 0xF0000  # from a sign of a place to its hidden double
LAST_SIGN = 0xFFFD  # that has one
_HIDDEN = re.compile(f"{START}([^{MIDDLE}]*){MIDDLE}([^{END}]*){END}")
_OURS = re.compile(f"[{START}{MIDDLE}{END}{chr(SHIFT)}-\U0010ffff]")
_LONE = "\N{REPLACEMENT CHARACTER}"


class _Placed:
    """What both kinds of traced number share."""

    place: str
    times: float

    def __format__(self, form: str) -> str:
        return as_told(self, format(self._bare(), form))

    def __str__(self) -> str:
        return as_told(self, str(self._bare()))

    @abstractmethod
    def _bare(self) -> Any:
        """Return the number alone."""

    def _scaled(self, factor: Any) -> Any:
        if isinstance(factor, _Placed):
            return self._bare() * factor._bare()
        if type(factor) in (int, float):
            return TracedFloat.at(factor * self._bare(), self.place, factor * self.times)
        return self._bare() * factor

    __mul__ = __rmul__ = _scaled

    def __truediv__(self, factor: Any) -> Any:
        if isinstance(factor, _Placed):
            return self._bare() / factor._bare()
        if type(factor) in (int, float):
            return TracedFloat.at(self._bare() / factor, self.place, self.times / factor)
        return self._bare() / factor

    def __sub__(self, other: Any) -> Any:
        return self if type(other) in (int, float) and other == 0 else self._bare() - other  # units without an offset

    def __neg__(self) -> Any:
        return self._scaled(-1)

    def __abs__(self) -> Any:
        return self._scaled(-1) if self._bare() < 0 else self


class TracedFloat(_Placed, float):
    """A float with its place, which shows ``times`` the number that stands there."""

    @classmethod
    def at(cls, value: float, place: str, times: float = 1) -> TracedFloat:
        """Return a number with its place."""
        made = cls(value)
        made.place, made.times = place, times
        return made

    def _bare(self) -> float:
        return float(self)


class TracedInt(_Placed, int):
    """A whole number with its place."""

    times = 1

    @classmethod
    def at(cls, value: int, place: str) -> TracedInt:
        """Return a whole number with its place."""
        made = cls(value)
        made.place = place
        return made

    def _bare(self) -> int:
        return int(self)


def as_told(value: Any, figure: str, step: float | None = None) -> str:
    """Return a figure with the place of the number it was made from; ``step`` is what it was rounded to, if coarse."""
    if not isinstance(value, _Placed) or any(ord(sign) > LAST_SIGN for sign in value.place):
        return figure
    more = {"times": value.times if value.times != 1 else None, "step": step}
    told = [value.place, *(f"{name}={each:g}" for name, each in more.items() if each is not None)]
    hidden = "".join(chr(SHIFT + ord(sign)) for sign in "\n".join(told))
    return f"{START}{hidden}{MIDDLE}{figure}{END}"


def plain(words: str) -> str:
    """Return words without places."""
    return _HIDDEN.sub(r"\2", words)


def marked_up(text: str) -> str:
    """Return the text of a page in which every traced figure stands in an element with its place as ``data-key``."""
    return _HIDDEN.sub(_element, text)


def _place_of(hidden: str) -> dict[str, str]:
    place, *more = "".join(chr(ord(sign) - SHIFT) for sign in hidden).split("\n")
    return {"key": place} | {name: value for name, _, value in (each.partition("=") for each in more)}


def _element(found: re.Match[str]) -> str:
    told = "".join(f' data-{name}="{html.escape(value)}"' for name, value in _place_of(found[1]).items())
    return f"<span{told}>{found[2]}</span>"


def pieces(words: str) -> list[Any]:
    """Return words as a list of texts and of [figure, {its data attributes}], for a script to put together."""
    found: list[Any] = []
    end = 0
    for match in _HIDDEN.finditer(words):
        found += [words[end: match.start()], [match[2], _place_of(match[1])]]
        end = match.end()
    return [piece for piece in [*found, words[end:]] if piece]


def with_places(value: Any, place: str = "") -> Any:
    """Return a Result, or a part of one, with traced numbers; places are parted by "/", "~1" is a "/" in a name."""
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{each.name: with_places(getattr(value, each.name), _below(place, each.name))
                                 for each in fields(value)})  # fmt: skip
    if isinstance(value, dict):
        return {name: with_places(each, _below(place, name)) for name, each in value.items()}
    if isinstance(value, list | tuple):
        return type(value)(with_places(each, _below(place, index)) for index, each in enumerate(value))
    if isinstance(value, str):
        return _OURS.sub(_LONE, value)
    if isinstance(value, float):
        return TracedFloat.at(value, place)
    if isinstance(value, int) and not isinstance(value, bool):
        return TracedInt.at(value, place)
    return value


def _below(place: str, name: Any) -> str:
    own = str(name).replace("~", "~0").replace("/", "~1").replace("\n", " ")
    return f"{place}/{own}" if place else own
