"""What a flight log gives, in sentences."""

from __future__ import annotations

from typing import Any

from tradestudy.quantities import format_in_unit


def log_lines(document: dict[str, Any]) -> list[str]:
    """Return how much of a log can be used, and what was corrected in it, for a document of the command ``log``."""
    used, count = sum(one["used"] for one in document["segments"]), len(document["segments"])
    return [
        f"{used} of {count} steady stretches can be compared with the model. {document['log']} holds "
        f"{format_in_unit(document['lasts_s'], 'min', 1)} minutes in {document['rows']} rows.",
        *document["notes"],
    ]
