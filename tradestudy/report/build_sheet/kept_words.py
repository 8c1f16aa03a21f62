"""The words of the sheet of a wing that keeps its panels: what to change on it, or how to fly it as it is.

A step is common practice without a source.
"""

from __future__ import annotations

from tradestudy.report.body_slots import PartPlace, places_of
from tradestudy.report.placed import plain_text
from tradestudy.report.words.gains import advice_words, changed_parts
from tradestudy.report.words.phrases import cruise_words, design_number, measure_first_words, number_text
from tradestudy.report.work_order.lids import lid_steps
from tradestudy.results.design import Design
from tradestudy.results.result import Result

_ROOM = 1.0  # mm on each side of a pack
_SAME_SIZE = 0.5  # mm; a smaller difference of a bay cannot be cut
NOTHING_CUT = (
    "No foam is cut, no rod is laid and no film is ironed on for this. So there are no templates and no full-size plan."
)


def kept_title(result: Result, design: Design) -> str:
    """Return the title of the first sheet."""
    return "Change these parts only" if changed_parts(design, result.stock) else "Leave the wing as it is"


def as_it_is_words(result: Result, design: Design) -> list[str]:
    """Return sentences on whether anything is worth building, and on how to fly the wing as it is."""
    lines = [plain_text(line) for line in advice_words(result)]
    if changed_parts(design, result.stock):
        return lines
    lines += [NOTHING_CUT, plain_text(cruise_words(result))]
    if first := measure_first_words(result):
        lines.append(first)
    return lines


def change_steps(result: Result, design: Design) -> list[str]:
    """Return the steps that change a wing whose panels stay, or none if nothing changes."""
    chosen, own = design.choices, result.stock.choices
    steps = []
    if (chosen.series, chosen.parallel, chosen.pack) != (own.series, own.parallel, own.pack):
        steps += _pack_steps(result, design)
    if chosen.propeller != own.propeller:
        steps.append(f"Propeller {chosen.propeller}: balance it, and turn it by hand: clear of elevons and leads.")
    if chosen.motor != own.motor:
        steps.append(f"Motor {chosen.motor}: screws locked, thrust line as it was, its sense of turning checked.")
    if chosen.throttle_cap_pct is not None and chosen.throttle_cap_pct != own.throttle_cap_pct:
        steps.append(f"Limit the throttle in the transmitter to {number_text(chosen.throttle_cap_pct)} %.")
    if steps:
        steps.append(
            f"Weigh it ready to fly: {design_number(design, 'auw_g')} g expected, "
            f"{design_number(result.stock, 'auw_g')} g today."
        )
    return steps


def _pack_steps(result: Result, design: Design) -> list[str]:
    places = places_of(design.body)
    steps = []
    for pack in (place for place in places if place.kind == "pack"):
        length, width, height = (number_text(side, 1) for side in pack.size)
        steps.append(
            f"{pack.name.capitalize()}: {design.choices.series}S{design.choices.parallel}P, {length} mm long, {width} "
            f"mm wide and {height} mm high, {number_text(design.masses_g.get('pack'))} g in all. Its middle lies "
            f"{number_text(pack.middle[0], 1)} mm behind the nose."
        )
        room = " x ".join(number_text(side + 2 * _ROOM, 1) for side in pack.size)
        steps.append(
            f"Measure your bay before you buy: this pack needs {room} mm, and room for plug and leads behind it."
        )
    new_bays = [place for place in places if place.kind == "bay" and not _as_today(place, result.stock)]
    for bay in new_bays:
        length, width, height = (number_text(side, 1) for side in bay.size)
        steps.append(
            f"{bay.name.capitalize()}: {length} mm long, {width} mm wide and {height} mm high under its lid, its front "
            f"wall {number_text(bay.low[0], 1)} mm behind the nose. Close with foam what is left of the old one, and "
            "put film over it. Cut back rods that then end in the bay."
        )
    return steps + (lid_steps(design) if new_bays else [])


def _as_today(bay: PartPlace, stock: Design) -> bool:
    """Return whether the stock wing has a bay of the same size at the same place."""
    return any(
        abs(old.x_mm - bay.low[0]) < _SAME_SIZE
        and abs(old.length_mm - bay.size[0]) < _SAME_SIZE
        and abs(old.width_mm - bay.size[1]) < _SAME_SIZE
        for old in stock.outline.bays
        if old.name == bay.name.removeprefix("bay ")
    )
