"""Every quantity once: units here, what is told of a wing, what may be traded, what is free, what must hold beside."""

from .units import (
    ENDINGS,
    INCH,
    LOGGED_UNITS,
    UNITS,
    at_edge,
    figure,
    from_edge,
    from_si,
    in_unit,
    kind_of_unit,
    parse_quantity,
    short,
    split_quantity,
    to_si,
    unit_of_name,
    with_unit,
)

__all__ = [
    "ENDINGS",
    "INCH",
    "LOGGED_UNITS",
    "UNITS",
    "at_edge",
    "figure",
    "from_edge",
    "from_si",
    "in_unit",
    "kind_of_unit",
    "parse_quantity",
    "short",
    "split_quantity",
    "to_si",
    "unit_of_name",
    "with_unit",
]
