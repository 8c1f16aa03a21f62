"""The axes of a grid from text: ``span=1240:1740:20``, ``parallel=2,3,4``, ``fly.wind=0:8:2``. No model is loaded."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from tradestudy.errors import CommandError, near_match
from tradestudy.quantities.design_inputs import COUNT_INPUTS, PROPELLER_INPUT, QUANTITY_INPUTS
from tradestudy.study.edits.key_axis import AXIS_FORM, KeyAxis, key_axis, numbers_and_unit, refuse_twice
from tradestudy.study.schema.key_types import propeller_lengths
from tradestudy.study.schema.study import Study

_MOST_AXES = 3


def read_axes(words: list[str], read: Callable[[], Study] | None = None) -> dict[str, Any]:
    """Return a dict of axis -> values (SI), or `KeyAxis` for a key of the study.

    Each word is ``name=first:last:step`` or ``name=a,b,c``. ``read`` returns the study; it is called only if a name is
    that of a key. Raises CommandError.
    """
    axes: dict[str, str | Sequence[Any]] = {}
    for each in words:
        name, equals, text = each.partition("=")
        name = name.strip() if "." in name else name.strip().replace("-", "_")
        if not equals or not text.strip():
            raise CommandError(f'"{each}" is no axis. {AXIS_FORM}.')
        if name in axes:
            raise CommandError(f"{name} is given twice.")
        axes[name] = text.strip()
    return checked_axes(axes, read)


def checked_axes(axes: Mapping[str, str | Sequence[Any]], read: Callable[[], Study] | None = None) -> dict[str, Any]:
    """Return the axes like `read_axes`, from texts or lists of values by name."""
    known = [*QUANTITY_INPUTS, *COUNT_INPUTS, PROPELLER_INPUT]
    values: dict[str, Any] = {}
    for name, given in axes.items():
        if read is not None and "." in name:
            values[name] = key_axis(read(), name, given)
        elif name not in known:
            raise CommandError(
                f"{name} cannot be an axis.{near_match(name, known)} Axes: {', '.join(known)}, or a key of the study "
                "such as fly.wind."
            )
        else:
            values[name] = _values(name, given if isinstance(given, str) else ",".join(map(str, given)))
    if keyed := [axis for axis in values.values() if isinstance(axis, KeyAxis)]:
        assert read is not None
        refuse_twice(read(), keyed)
    if not 1 <= len(values) <= _MOST_AXES:
        raise CommandError(f"A grid has one, two or three axes, not {len(values)}.")
    return values


def _each_with_unit(text: str) -> list[str]:
    """Return the values of ``1120 mm,1160 mm``, each of which has a unit, or an empty list for any other text.

    >>> _each_with_unit("1120 mm, 46 in"), _each_with_unit("1120,1160 mm")
    (['1120 mm', '46 in'], [])
    """
    parts = [part.strip() for part in text.split(",")]
    return parts if len(parts) > 1 and all(part[-1:].isalpha() or part[-1:] == "%" for part in parts) else []


def _values(name: str, text: str) -> list[Any]:
    """Return the values (SI) of one variable. Raise CommandError if they cannot be read."""
    if name == PROPELLER_INPUT:
        sizes = [size.strip() for size in text.split(",")]
        for size in sizes:
            try:
                propeller_lengths(size)
            except ValueError as error:
                raise CommandError(f"propeller={text}: {error}") from None
        return sizes
    typed = _each_with_unit(text) if name in QUANTITY_INPUTS else []
    numbers, unit = ([], "") if typed else numbers_and_unit(name, text)
    if name in COUNT_INPUTS:
        least, most = COUNT_INPUTS[name].least, COUNT_INPUTS[name].most
        if any(number != int(number) or not least <= number <= most for number in numbers):
            raise CommandError(f"{name}={text}: give whole numbers from {least} to {most}.")
        return [int(number) for number in numbers]
    known = QUANTITY_INPUTS[name]
    try:
        words = typed or [f"{number!r} {unit or known.unit}" for number in numbers]
        values = sorted({known.read(each) for each in words})
    except ValueError as error:
        raise CommandError(f"{name}={text}: {error}.") from None
    if not all(map(known.allows, values)):
        raise CommandError(f"{name}={text} is beyond what these wings can be.")
    return values
