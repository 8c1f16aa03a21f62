"""Rules for the stretch, the speeds and the weight limit."""

from __future__ import annotations

from tradestudy.quantities import from_si
from tradestudy.study.schema.search import SCHEME_OF, ChoicesTable, FlyTable, LimitsTable, StretchTable
from tradestudy.study.schema.wing import StockTable
from tradestudy.study.value_text import mm

from .shared import LENGTH_TOLERANCE, Faults

_SMALLEST_TIP = 0.02  # m; smallest foam chord at the tip of a stretched wing
_SPAN_TOLERANCE = 1e-4  # m; a tenth of a millimetre, since a span in inches (52 in is 1320.8 mm) may be rounded
_HOT_WIRE = "new cores cut with a hot wire (stretch.can_cut_cores = true)"


def _stretch_is_possible(stock: StockTable, stretch: StretchTable, choices: ChoicesTable) -> Faults:
    """Yield an error if the span does not grow, the builder cannot make the wing, or a key has no effect."""
    low, high = stretch.span
    if low < stock.span - _SPAN_TOLERANCE:
        yield ("stretch", "span", 0), f"is {mm(low)}, below stock.span ({mm(stock.span)}); the span can only grow."
    if high - low < _SPAN_TOLERANCE:
        yield ("stretch", "span"), f"starts and ends at {mm(low)}, so there is nothing to choose."
    if stretch.scheme == "scaled" and not stretch.can_cut_cores:
        yield (
            ("stretch", "scheme"),
            f'is "scaled", which needs {_HOT_WIRE}. Without a hot wire, use "plug" or "tip".',
        )
    tried = {stretch.scheme, *(choices.scheme or ())}
    if "scaled" in tried - {stretch.scheme} and not stretch.can_cut_cores:
        yield ("choices", "scheme"), f'names "scaled", which needs {_HOT_WIRE}.'
    if stretch.washout and tried == {"plug"}:
        yield ("stretch", "washout"), 'is free, but scheme "plug" keeps the stock washout. Leave it out.'
    elif stretch.washout and "tip" in tried and not stretch.can_cut_cores:
        yield ("stretch", "washout"), f"is free, but a twisted piece needs {_HOT_WIRE}. Leave it out."
    for key, scheme in SCHEME_OF.items():
        if key in stretch.model_fields_set and scheme not in tried:
            yield (
                ("stretch", key),
                f'has no effect with scheme "{stretch.scheme}"; it is for scheme "{scheme}" only. Leave it out.',
            )


def _tip_stays_wide(stock: StockTable, stretch: StretchTable, choices: ChoicesTable) -> Faults:
    """Yield an error if the taper of a panel that is continued outward leaves too small a tip chord."""
    panel = 0.5 * (stock.span - stock.centre_width)
    if "tip" not in (stretch.scheme, *(choices.scheme or ())) or stretch.added_taper != "continue" or panel <= 0:
        return
    added = 0.5 * (stretch.span[1] - stock.span)
    tip = stock.tip_chord - (stock.root_chord - stock.tip_chord) * added / panel
    if tip < _SMALLEST_TIP:
        widest = stock.span + 2 * panel * (stock.tip_chord - _SMALLEST_TIP) / (stock.root_chord - stock.tip_chord)
        yield (
            ("stretch", "span", 1),
            f"is {mm(stretch.span[1])}; carried on that far, the tip chord falls below {mm(_SMALLEST_TIP)}. "
            f'Give at most {mm(widest)}, or write added_taper = "constant".',
        )


def _tip_chord_is_possible(stock: StockTable, stretch: StretchTable) -> Faults:
    """Yield an error if the tip chord to try exceeds the root chord."""
    if stretch.tip_chord and stretch.tip_chord[1] > stock.root_chord + LENGTH_TOLERANCE:
        yield (
            ("stretch", "tip_chord"),
            f"goes up to {mm(stretch.tip_chord[1])}, wider than stock.root_chord ({mm(stock.root_chord)}).",
        )


def _speeds_are_in_order(fly: FlyTable) -> Faults:
    """Yield an error if the never-exceed speed is not well above the launch speed, or is below the fastest flight."""
    never = from_si(fly.never_exceed_speed, "km/h", "speed")
    if fly.launch_speed is not None and fly.never_exceed_speed <= 1.2 * fly.launch_speed:
        launch = from_si(fly.launch_speed, "km/h", "speed")
        yield (
            ("fly", "never_exceed_speed"),
            f"is {never:.0f} km/h; it must be well above fly.launch_speed ({launch:.0f} km/h): "
            f"{1.2 * launch:.0f} km/h or more.",
        )
    if fly.least_cruise_speed >= fly.never_exceed_speed / 1.3:
        yield (
            ("fly", "cruise_at_least"),
            f"is {from_si(fly.least_cruise_speed, 'km/h', 'speed'):.0f} km/h; it must be well below "
            f"fly.never_exceed_speed ({never:.0f} km/h): under {never / 1.3:.0f} km/h.",
        )
    if fly.fastest_flown is not None and fly.fastest_flown > fly.never_exceed_speed:
        yield (
            ("fly", "fastest_flown"),
            f"is {from_si(fly.fastest_flown, 'km/h', 'speed'):.0f} km/h, above fly.never_exceed_speed "
            f"({never:.0f} km/h); no flight may be faster than that.",
        )


def _weights_are_in_order(stock: StockTable, limits: LimitsTable) -> Faults:
    """Yield an error if the weight limit is below the weight of the stock wing."""
    if limits.flying_weight is not None and limits.flying_weight < stock.flying_weight:
        yield (
            ("limits", "flying_weight"),
            f"is {limits.flying_weight * 1e3:.0f} g, below the stock wing's own {stock.flying_weight * 1e3:.0f} g.",
        )


STRETCH_CHECKS = (
    _stretch_is_possible,
    _tip_stays_wide,
    _tip_chord_is_possible,
    _speeds_are_in_order,
    _weights_are_in_order,
)
