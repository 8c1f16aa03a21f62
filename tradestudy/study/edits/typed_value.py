"""Values of keys from text that a person typed, or from Python, as a study file writes them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Any

from tradestudy.quantities import UNITS
from tradestudy.study.schema.key_types import KeyType


class SI(float):
    """A number in SI units (m, kg, s, A, W, rad, shares of 1), which a key with a unit accepts without one.

    >>> ts.edit(study, {"stock.span": ts.SI(1.3)})
    """


def file_value(kind: KeyType, value: Any) -> Any:
    """Return a value as a study file writes it, for a key of type ``kind``.

    Text is read as a person types it on a command line: ``3 W``, ``0.25``, ``true``, ``2, 3`` or ``[2, 3]``. One value
    for a key that takes two ends is both of them. Numbers, flags and lists stay as they are, and `SI` numbers get the
    unit of the key.

    Raises
    ------
    ValueError
        The value is not allowed. Its sentence lacks the key with which it starts.
    """
    plain = _plain(kind, value)
    tried = list(_readings(kind.form, plain)) if isinstance(plain, str) else [plain]
    for each in tried:
        try:
            kind.read(each)
        except ValueError:
            continue
        return each
    kind.read(tried[0])  # raises the error of the most likely reading
    return tried[0]


def _plain(kind: KeyType, value: Any) -> Any:
    """Return a value without types of other libraries, and with the unit of the key instead of `SI`."""
    if isinstance(value, SI):
        return with_si_unit(kind, float(value))
    if isinstance(value, tuple | list):
        return [_plain(kind, each) for each in value]
    if isinstance(value, bool | int | float | str):
        return value
    return value.item() if callable(getattr(value, "item", None)) else value


def with_si_unit(kind: KeyType, number: float) -> str | float:
    """Return an SI number as a study file writes it for a key of this type."""
    units = UNITS.get(kind.kind.rpartition(", ")[2], {})
    unit = next((name for name, (factor, offset) in units.items() if name and (factor, offset) == (1, 0)), None)
    if unit is not None:
        return f"{number!r} {unit}"
    unit = next(filter(None, units), None)
    if unit is None:
        return number
    factor, offset = units[unit]
    return f"{number / factor - offset!r} {unit}"


def _readings(form: dict[str, Any], text: str) -> Iterator[Any]:
    """Yield the values that a text may stand for, the most likely one first. ``form`` is a JSON Schema."""
    if "anyOf" in form:
        readings = [list(_readings(each, text)) for each in form["anyOf"]]
        yield from (reading[0] for reading in readings)
        return
    unquoted = _as_toml(text)
    quoted = isinstance(unquoted, str)
    kind = form.get("type")
    if quoted:
        yield unquoted
    elif kind in ("number", "integer", "boolean"):
        if isinstance(unquoted, bool | int | float):
            yield unquoted
    elif kind == "array":
        yield from _list_readings(form, text)
    yield text.strip()


def _list_readings(form: dict[str, Any], text: str) -> Iterator[list[Any]]:
    """Yield the lists that a text may stand for."""
    whole = _as_toml(text)
    if isinstance(whole, list):
        yield whole
    inner = re.fullmatch(r"\s*\[(.*)\]\s*", text, re.DOTALL)
    parts = [part.strip() for part in (inner[1] if inner else text).split(",")]
    items = [next(_readings(form.get("items", {}), part)) for part in parts if part]
    if len(items) == 1 and form.get("minItems") == form.get("maxItems") == 2:
        yield items * 2
    yield items


def _as_toml(text: str) -> Any:
    """Return the TOML value that a text writes, or None if it writes none."""
    try:
        return tomllib.loads(f"value = {text.strip()}")["value"] if "\n" not in text else None
    except ValueError:
        return None
