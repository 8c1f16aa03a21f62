"""What must fit between the values of a study: sizes within sizes, ends in order, parts within weights.

Each rule takes the tables it speaks of, by name, and yields (place, sentence); it is left out when
one of those tables has faults of its own. A sentence continues after the key it stands at.
"""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

from tradestudy.quantities import from_si
from tradestudy.study.line_numbers import Place
from tradestudy.study.referenced_files.airfoil_files import airfoil_fault
from tradestudy.study.schema.search import SCHEME_OF, ChoicesTable, FlyTable, LimitsTable, StretchTable
from tradestudy.study.schema.wing import (
    TRACED,
    UNKNOWN,
    BayTable,
    ElevonTable,
    JoinerTable,
    RodTable,
    StockTable,
    TracedSectionTable,
)
from tradestudy.study.value_text import mm

from . import equipment, flight, load_test, power, structure, surfaces
from .structure import thickness_at

Broken = Iterator[tuple[Place, str]]

SLACK = 1e-6  # m, rad: text in inches and text in millimetres may differ in the last digit
SMALLEST_TIP = 0.02  # m; the least foam tip chord the study may ask for
BALANCE_RANGE = (-0.1, 0.35)  # of the mean aerodynamic chord; the neutral point lies at 20 to 27 % of it


def broken_rules(tables: dict[str, Any], folder: Path, given: dict[str, Any]) -> list[tuple[Place, str]]:
    """Return every broken rule among the tables that were read.

    ``folder`` is where the study stands, ``given`` its tables before anything was filled in.
    """
    known = {**tables, "folder": folder, "given": given}
    broken: list[tuple[Place, str]] = []
    for rule in (
        *RULES,
        *structure.RULES,
        *surfaces.RULES,
        *power.RULES,
        *equipment.RULES,
        *load_test.RULES,
        *flight.RULES,
    ):
        names = inspect.signature(rule).parameters
        if all(name in known for name in names):
            broken += rule(**{name: known[name] for name in names})
    return broken


def planform_fits(stock: StockTable) -> Broken:
    """The panel tapers outward and has a width."""
    if stock.tip_chord > stock.root_chord + SLACK:
        yield (
            ("stock", "tip_chord"),
            (f"is {mm(stock.tip_chord)}, wider than stock.root_chord ({mm(stock.root_chord)}). Are the two swapped?"),
        )
    if stock.centre_width >= stock.span - SLACK:
        yield (
            ("stock", "centre_width"),
            (f"is {mm(stock.centre_width)}; it must be less than stock.span ({mm(stock.span)})."),
        )
    if stock.root_thickness > 0.3 * stock.root_chord:
        yield (
            ("stock", "root_thickness"),
            (f"is {mm(stock.root_thickness)}, more than 30 % of stock.root_chord ({mm(stock.root_chord)})."),
        )


def airfoil_exists(stock: StockTable, folder: Path) -> Broken:
    """The airfoil can be found."""
    fault = airfoil_fault(stock.airfoil, folder)
    if fault:
        yield ("stock", "airfoil"), str(fault)


def tip_section_fits(stock: StockTable, elevon: ElevonTable, folder: Path) -> Broken:
    """The tip's airfoil can be found; its thickness leaves a section."""
    if stock.tip_airfoil in (UNKNOWN, TRACED):
        yield (
            ("stock", "tip_airfoil"),
            (f'is "{stock.tip_airfoil}"; a name or a coordinate file is wanted. Leave it out for the root\'s airfoil.'),
        )
    elif stock.tip_airfoil is not None:
        fault = airfoil_fault(stock.tip_airfoil, folder)
        if fault:
            yield ("stock", "tip_airfoil"), str(fault)
    if stock.tip_thickness is None:
        return
    if stock.tip_thickness > 0.3 * stock.tip_chord:
        yield (
            ("stock", "tip_thickness"),
            (f"is {mm(stock.tip_thickness)}, more than 30 % of stock.tip_chord ({mm(stock.tip_chord)})."),
        )
    if stock.tip_thickness <= elevon.thickness:
        yield (
            ("stock", "tip_thickness"),
            (f"is {mm(stock.tip_thickness)}; the elevon alone is elevon.thickness ({mm(elevon.thickness)})."),
        )


def trace_can_be_used(stock: StockTable, traced_section: TracedSectionTable | None) -> Broken:
    """A traced section is asked for where there is one, and its three rows belong together."""
    if traced_section is None:
        if stock.airfoil == TRACED:
            yield ("stock", "airfoil"), f'is "{TRACED}", but there is no [traced_section].'
        return
    if stock.airfoil != TRACED:
        yield ("traced_section",), f'stands there, but stock.airfoil is "{stock.airfoil}"; leave one of the two out.'
    counts = {key: len(getattr(traced_section, key)) for key in ("station", "above", "below")}
    for key in ("above", "below"):
        if counts[key] != counts["station"]:
            yield ("traced_section", key), f"has {counts[key]} heights for {counts['station']} stations."
    for index, (first, second) in enumerate(pairwise(traced_section.station), start=1):
        if second <= first:
            yield ("traced_section", "station", index), f"is {mm(second)}, not behind the one before ({mm(first)})."
    if traced_section.station[-1] > traced_section.chord + SLACK:
        yield (
            ("traced_section", "station"),
            (f"ends at {mm(traced_section.station[-1])}, behind traced_section.chord ({mm(traced_section.chord)})."),
        )
    for index, (above, below) in enumerate(zip(traced_section.above, traced_section.below, strict=False)):
        if above + below < -SLACK:
            yield ("traced_section", "below", index), f"is {mm(below)}: the bottom lies above the top there."


def balance_is_flyable(stock: StockTable, elevon: ElevonTable) -> Broken:
    """The balance mark lies on the mean aerodynamic chord, not far before or behind it."""
    if stock.centre_width >= stock.span or stock.tip_chord > stock.root_chord:
        return  # said already; the mean chord would mean nothing
    chord, leading_edge = mean_chord(stock, elevon)
    low, high = (leading_edge + share * chord for share in BALANCE_RANGE)
    if not low <= stock.balance_from_nose <= high:
        share = 100 * (stock.balance_from_nose - leading_edge) / chord
        yield (
            ("stock", "balance_from_nose"),
            (
                f"is {mm(stock.balance_from_nose)}, at {share:.0f} % of the mean chord; "
                f"a wing of this outline flies with {mm(low)} to {mm(high)} at the very most. "
                "It is measured from the root leading edge."
            ),
        )


def mean_chord(stock: StockTable, elevon: ElevonTable) -> tuple[float, float]:
    """Return the mean aerodynamic chord of foam and elevon, and where its leading edge lies. [m]"""
    root, tip = stock.root_chord + elevon.root_chord, stock.tip_chord + elevon.tip_chord
    centre = 0.5 * stock.centre_width
    panel = 0.5 * stock.span - centre
    panel_area, centre_area = 0.5 * (root + tip) * panel, root * centre
    squares = panel * (root * root + root * tip + tip * tip) / 3 + root * root * centre
    moment = stock.tip_set_back * panel * (root + 2 * tip) / 6
    area = panel_area + centre_area
    return squares / area, moment / area


def rods_fit(stock: StockTable, rods: tuple[RodTable, ...]) -> Broken:
    """Rods end on the wing, and a top and a bottom slot leave foam between them at the thinnest place."""
    semi_span = 0.5 * stock.span
    for index, rod in enumerate(rods):
        if rod.outer_end > semi_span + SLACK:
            yield (
                ("rods", index, "outer_end"),
                (f"is {mm(rod.outer_end)}, beyond the tip: half of stock.span is {mm(semi_span)}."),
            )
        if rod.inner_end >= rod.outer_end:
            yield (
                ("rods", index, "inner_end"),
                (f"is {mm(rod.inner_end)}; it must be less than its outer_end ({mm(rod.outer_end)})."),
            )
        if rod.crosses_centre and rod.inner_end > SLACK:
            yield (
                ("rods", index, "crosses_centre"),
                (f"is true, but its inner_end is {mm(rod.inner_end)}; a rod that crosses the centre starts at 0 mm."),
            )
        if rod.surface != "middle" and rod.diameter > rod.slot_depth + SLACK:
            yield (
                ("rods", index, "diameter"),
                (f"is {mm(rod.diameter)}, but its slot is only {mm(rod.slot_depth)} deep (slot_depth)."),
            )
        here = thickness_at(stock, min(rod.outer_end, semi_span))
        if rod.surface == "both" and 2 * max(rod.slot_depth, rod.diameter) >= here:
            yield (
                ("rods", index, "slot_depth"),
                (
                    f"is {mm(rod.slot_depth)}: a top and a bottom slot do not fit into "
                    f"the {mm(here)} of foam at the rod's outer end."
                ),
            )
        elif rod.surface != "both" and rod.diameter >= here:
            yield (
                ("rods", index, "diameter"),
                (f"is {mm(rod.diameter)}; there are {mm(here)} of foam at the rod's outer end."),
            )


def rod_choices_fit(stock: StockTable, choices: ChoicesTable, rods: tuple[RodTable, ...]) -> Broken:
    """No rod diameter on trial is too thick for the tip or for the slot of the first rods."""
    thinnest = thickness_at(stock, 0.5 * stock.span)
    for index, diameter in enumerate(choices.rod_diameter or ()):
        if 2 * diameter >= thinnest:
            yield (
                ("choices", "rod_diameter", index),
                (f"is {mm(diameter)}: a top and a bottom rod do not fit into the {mm(thinnest)} of the tip."),
            )
        elif rods and diameter > rods[0].slot_depth + SLACK:
            yield (
                ("choices", "rod_diameter", index),
                (f"is {mm(diameter)}, but rods[1].slot_depth is only {mm(rods[0].slot_depth)}."),
            )


def joiner_fits(stock: StockTable, joiner: JoinerTable | None) -> Broken:
    """The joiner lies inside the wing."""
    if joiner is None:
        return
    if joiner.length > stock.span + SLACK:
        yield ("joiner", "length"), f"is {mm(joiner.length)}, longer than stock.span ({mm(stock.span)})."
    if joiner.diameter >= stock.root_thickness:
        yield (
            ("joiner", "diameter"),
            (f"is {mm(joiner.diameter)}; the section is only stock.root_thickness ({mm(stock.root_thickness)}) thick."),
        )


def bays_fit(stock: StockTable, bay: tuple[BayTable, ...]) -> Broken:
    """Bays lie inside the centre section."""
    for index, one in enumerate(bay):
        if one.from_nose + one.length > stock.root_chord + SLACK:
            yield (
                ("bay", index, "length"),
                (
                    f"is {mm(one.length)}: the bay would end {mm(one.from_nose + one.length)} from the nose, "
                    f"behind the foam (stock.root_chord, {mm(stock.root_chord)})."
                ),
            )
        if one.depth > stock.root_thickness + SLACK:
            yield (
                ("bay", index, "depth"),
                (f"is {mm(one.depth)}, deeper than stock.root_thickness ({mm(stock.root_thickness)})."),
            )


def names_differ(bay: tuple[BayTable, ...], rods: tuple[RodTable, ...]) -> Broken:
    """Two bays, or two sets of rods, do not share a name."""
    tables: tuple[tuple[str, tuple[Any, ...]], ...] = (("bay", bay), ("rods", rods))
    for table, items in tables:
        for (_, first), (index, second) in combinations(enumerate(items), 2):
            if first.name == second.name:
                yield (table, index, "name"), f'is "{second.name}" a second time; names tell them apart.'


def stretch_is_possible(stock: StockTable, stretch: StretchTable, choices: ChoicesTable) -> Broken:
    """The span grows, and only what the builder can make is free."""
    low, high = stretch.span
    if low < stock.span - 1e-4:  # a tenth of a millimetre: 52 in is 1320.8 mm
        yield ("stretch", "span", 0), (f"is {mm(low)}, below stock.span ({mm(stock.span)}); a stretch does not shrink.")
    if high - low < 1e-4:
        yield ("stretch", "span"), f"starts and ends at {mm(low)}; nothing is left to choose."
    hot_wire = "new cores cut with a hot wire (stretch.can_cut_cores = true)"
    if stretch.scheme == "scaled" and not stretch.can_cut_cores:
        yield ("stretch", "scheme"), f'is "scaled", which needs {hot_wire}. Without, use "plug" or "tip".'
    tried = {stretch.scheme, *(choices.scheme or ())}
    if "scaled" in tried - {stretch.scheme} and not stretch.can_cut_cores:
        yield ("choices", "scheme"), f'names "scaled", which needs {hot_wire}.'
    if stretch.washout and tried == {"plug"}:
        yield ("stretch", "washout"), 'is free, but scheme "plug" keeps the stock washout. Leave it out.'
    elif stretch.washout and "tip" in tried and not stretch.can_cut_cores:
        yield ("stretch", "washout"), f"is free, but a twisted piece needs {hot_wire}. Leave it out."
    for key, scheme in SCHEME_OF.items():
        if key in stretch.model_fields_set and scheme not in tried:
            yield ("stretch", key), f'says nothing for scheme "{stretch.scheme}"; it is for "{scheme}" alone.'


def tip_stays_wide(stock: StockTable, stretch: StretchTable, choices: ChoicesTable) -> Broken:
    """A panel carried on outward does not taper to nothing."""
    panel = 0.5 * (stock.span - stock.centre_width)
    if "tip" not in (stretch.scheme, *(choices.scheme or ())) or stretch.tip_chord != "continue" or panel <= 0:
        return
    added = 0.5 * (stretch.span[1] - stock.span)
    tip = stock.tip_chord - (stock.root_chord - stock.tip_chord) * added / panel
    if tip < SMALLEST_TIP:
        widest = stock.span + 2 * panel * (stock.tip_chord - SMALLEST_TIP) / (stock.root_chord - stock.tip_chord)
        yield (
            ("stretch", "span", 1),
            (
                f"is {mm(stretch.span[1])}; carried on that far the tip chord falls below "
                f'{mm(SMALLEST_TIP)}. At most {mm(widest)} will do, or tip_chord = "constant".'
            ),
        )


def speeds_are_in_order(fly: FlyTable) -> Broken:
    """The never-exceed speed lies above the launch."""
    if fly.launch_speed is not None and fly.never_exceed_speed <= 1.2 * fly.launch_speed:
        launch = from_si(fly.launch_speed, "km/h", "speed")
        found = from_si(fly.never_exceed_speed, "km/h", "speed")
        yield (
            ("fly", "never_exceed_speed"),
            (
                f"is {found:.0f} km/h; it must be well above fly.launch_speed ({launch:.0f} km/h): "
                f"{1.2 * launch:.0f} km/h or more."
            ),
        )


def weights_are_in_order(stock: StockTable, limits: LimitsTable) -> Broken:
    """The heaviest allowed wing is not lighter than the stock wing."""
    if limits.flying_weight is not None and limits.flying_weight < stock.flying_weight:
        yield (
            ("limits", "flying_weight"),
            (f"is {limits.flying_weight * 1e3:.0f} g, below the stock wing's own {stock.flying_weight * 1e3:.0f} g."),
        )


RULES = (
    planform_fits,
    airfoil_exists,
    tip_section_fits,
    trace_can_be_used,
    balance_is_flyable,
    rods_fit,
    rod_choices_fit,
    joiner_fits,
    bays_fit,
    names_differ,
    stretch_is_possible,
    tip_stays_wide,
    speeds_are_in_order,
    weights_are_in_order,
)
