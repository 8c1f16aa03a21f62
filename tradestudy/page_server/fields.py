"""The values of a request: a JSON object whose fields have the expected types."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, NoReturn

from tradestudy.errors import CommandError

_LONGEST = 200  # characters of a text, unless a field may be longer


class Fields:
    """The fields of one request. Each method returns one of them, or raises CommandError."""

    def __init__(self, body: bytes):
        """Read a JSON object. Numbers are finite, and text is text of people."""
        try:
            document = json.loads(body, parse_constant=_refuse)
            json.dumps(document, ensure_ascii=False).encode("utf-8")  # half a character cannot be written to any file
        except (ValueError, RecursionError):
            raise CommandError("A request is a JSON object.") from None
        if not isinstance(document, dict):
            raise CommandError("A request is a JSON object.")
        self._values: Mapping[str, Any] = document

    def text(self, name: str, otherwise: str | None = None, longest: int = _LONGEST) -> str:
        """Return a text. It may be left out if there is a value ``otherwise``."""
        value = self._values.get(name, otherwise)
        if not isinstance(value, str) or len(value) > longest:
            raise CommandError(f"The field {name} is a text of at most {longest} characters.")
        return value

    def maybe_text(self, name: str) -> str | None:
        """Return a text, or None if it is left out, null or empty."""
        return None if self._values.get(name) in (None, "") else self.text(name)

    def flag(self, name: str) -> bool:
        """Return true or false; false if it is left out."""
        value = self._values.get(name, False)
        if not isinstance(value, bool):
            raise CommandError(f"The field {name} is true or false.")
        return value

    def whole(self, name: str) -> int:
        """Return a whole number; 0 if it is left out."""
        value = self._values.get(name, 0)
        if isinstance(value, bool) or not isinstance(value, int) or abs(value) > 2**53:
            raise CommandError(f"The field {name} is a whole number.")
        return value

    def mapping(self, name: str) -> dict[str, Any]:
        """Return an object; an empty one if it is left out."""
        value = self._values.get(name, {})
        if not isinstance(value, dict):
            raise CommandError(f"The field {name} is an object.")
        return value

    def maybe_mapping(self, name: str) -> dict[str, Any] | None:
        """Return an object, or None if it is left out or null."""
        return None if self._values.get(name) is None else self.mapping(name)

    def texts(self, name: str) -> dict[str, str]:
        """Return an object whose values are texts."""
        value = self.mapping(name)
        if not all(isinstance(each, str) and len(each) <= _LONGEST for each in value.values()):
            raise CommandError(f"The field {name} is an object of texts of at most {_LONGEST} characters.")
        return value

    def mappings(self, name: str, most: int) -> list[dict[str, Any]]:
        """Return a list of at most ``most`` objects; an empty one if it is left out."""
        value = self._values.get(name, [])
        if not isinstance(value, list) or len(value) > most or not all(isinstance(each, dict) for each in value):
            raise CommandError(f"The field {name} is a list of at most {most} objects.")
        return value


def _refuse(word: str) -> NoReturn:
    raise ValueError(word)
