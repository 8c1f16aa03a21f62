"""What stays in the panels of a wing that has flown, if a piece is added to them, and what is then needed new."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.report.body_slots import Slot, slots_of
from tradestudy.report.body_views import corners
from tradestudy.report.words.phrases import Rows, comma_list, number_text, rod_as_sold
from tradestudy.results.body import BodySolid
from tradestudy.results.cutting import Core, RodSet, SectionTemplate
from tradestudy.results.design import Design

_SAME = 0.5  # mm; parts whose sizes differ by less are the same part
_FILM_OVER = 12.0  # mm that new film reaches over the old one; common practice, no source
_PLURALS = {"elevon": "elevons with their hinges", "fin": "fins", "pocket": "pockets", "bay": "bays with their lids",
            "joiner": "the joiner"}  # fmt: skip
HAVE_IT = " Panels that have flown have it already."


class KeptParts(NamedTuple):
    """What of the stock wing stays: sets of rods by name, rods across by the name of their set, and kinds of parts."""

    rods: tuple[str, ...]
    across: tuple[str, ...]
    kinds: tuple[str, ...]


NONE_KEPT = KeptParts((), (), ())


def kept_parts(design: Design, stock: Design) -> KeptParts:
    """Return what stays in the panels of the stock wing: parts of the same size that no cut goes through.

    ``design`` is the wing to build. Without a piece added to the stock panels nothing stays.
    """
    joint = design.cut.joint_mm
    if joint is None or design.body is None or stock.body is None:
        return NONE_KEPT
    own, old = _by_kind(design.body.solids), _by_kind(stock.body.solids)

    def stays(kind: str, start: str = "") -> bool:
        new, was = (
            {solid.name: solid for solid in solids.get(kind, ()) if f"{solid.name} ".startswith(start)}
            for solids in (own, old)
        )
        return bool(new) and new.keys() == was.keys() and all(_same(new[name], was[name], joint) for name in new)

    sets = design.cut.rods if _same_rods(design, stock) else []
    return KeptParts(
        tuple(rod.name for rod in sets if stays("rod", f"rod {rod.name} ")),
        tuple(rod.name for rod in sets if stays("rod", f"rod across {rod.name} ")),
        tuple(kind for kind in ("elevon", "fin", "pocket", "joiner", "bay") if stays(kind)),
    )


def _by_kind(solids: list[BodySolid]) -> dict[str, list[BodySolid]]:
    found: dict[str, list[BodySolid]] = {}
    for solid in solids:
        found.setdefault(solid.kind, []).append(solid)
    return found


def _same_rods(design: Design, stock: Design) -> bool:
    mine, own = design.choices, stock.choices
    return (mine.rod_diameter_mm, mine.rod_pairs) == (own.rod_diameter_mm, own.rod_pairs)


def _same(new: BodySolid, old: BodySolid, joint: float) -> bool:
    """Return whether a part is as it was, and whether the cut at ``joint`` [mm] goes past it."""
    low, high = (point(corners(old), axis=0) for point in (np.min, np.max))
    cut = any(low[1] + _SAME < side * joint < high[1] - _SAME for side in (1.0, -1.0))
    return not cut and bool(np.abs(np.ptp(corners(new), axis=0) - (high - low)).max() < _SAME)


def kept_slots(design: Design, kept: KeptParts) -> list[str]:
    """Return the numbers of the slots that are in the stock panels already, with their rods."""
    return [slot.number for slot in slots_of(design) if is_kept(slot, kept)]


def is_kept(slot: Slot, kept: KeptParts) -> bool:
    """Return whether a slot is in the stock panels already, with its rod."""
    return slot.rods is not None and slot.rods.name in (kept.across if slot.across else kept.rods)


def kept_rod_words(rod: RodSet, across: bool, kept: KeptParts) -> str:
    """Return words for the table of rods if rods are in the stock panels already, or no words."""
    return "; in panels that have flown already" if rod.name in (kept.across if across else kept.rods) else ""


def stay_words(design: Design, kept: KeptParts) -> list[str]:
    """Return sentences on what stays in panels that have flown, and what is then new."""
    if kept == NONE_KEPT:
        return []
    stay = [f"rods {comma_list(_slot_names(design, kept))}"] if kept_slots(design, kept) else []
    stay += [_PLURALS[kind] for kind in kept.kinds if kind in _PLURALS]
    lines = [
        f"Panels that have flown keep these as they are: {comma_list([*stay, 'film away from joints and new slots'])}. "
        "Leave out the steps for them, and their rows in the lists. Bare cores need them all."
    ]
    lines.append(f"New on panels that have flown: {'; '.join(_new_parts(design, kept))}.")
    if other := [rod for rod in design.cut.rods if rod.each_half and rod.name not in kept.rods]:
        sleeves = comma_list(list(dict.fromkeys(f"{number_text(rod.splice_mm)} mm" for rod in other)))
        lines.append(
            f"Old rods {comma_list([rod.name for rod in other])} come out of the panels before the new ones go in. If "
            f"they are only too short, a sleeve of {sleeves} and a piece of rod at their end will do."
        )
    return lines


def _slot_names(design: Design, kept: KeptParts) -> list[str]:
    return [f"{slot.number} {slot.name}" for slot in slots_of(design) if is_kept(slot, kept)]


def _new_parts(design: Design, kept: KeptParts) -> list[str]:
    """Return words for every part and amount that is needed besides the stock panels."""
    cut = design.cut
    found = [f"foam {number_text(sum(core.litres for core in cut.cores if core.new), 1)} litres"]
    old = {*kept.rods, *(f"{name}, across" for name in kept.across), *(("joiner",) if "joiner" in kept.kinds else ())}
    found += [
        f"{number_text(piece.count)} of {number_text(piece.length_mm)} mm {piece.name}, {stock.material} "
        f"{rod_as_sold(stock.diameter_mm)}"
        for stock in cut.lengths
        for piece in stock.pieces
        if piece.name not in old
    ]
    found += [_PLURALS[kind] for kind in ("elevon", "fin", "bay") if kind not in kept.kinds and _has(design, kind)]
    return found + [f"film {pieces} of {size} mm over the {where}" for where, pieces, size in patch_rows(design, kept)]


def _has(design: Design, kind: str) -> bool:
    return design.body is not None and any(solid.kind == kind for solid in design.body.solids)


def patch_rows(design: Design, kept: KeptParts) -> Rows:
    """Return where film is patched on panels that have flown, how many pieces, and their size [mm].

    Each new piece of foam has one above and one below, which reach over the old film at its joints.
    """
    if kept == NONE_KEPT:
        return []
    ends = {section.name: section for section in design.cut.sections}
    return [
        (core.name, number_text(2 * core.count), " x ".join(map(number_text, _patch(core, ends))))
        for core in design.cut.cores
        if core.new
    ]


def _patch(core: Core, ends: dict[str, SectionTemplate]) -> tuple[float, float]:
    """Return length along the span and width along the chord of the film over one side of a core. [mm]"""
    inner, outer = ends[core.inner], ends[core.outer]
    arc = max(_longer_side(section) for section in (inner, outer))
    along = float(np.hypot(core.width_mm, core.set_back_mm))
    return float(np.ceil(along + 2 * _FILM_OVER)), float(np.ceil(arc + 2 * _FILM_OVER))


def _longer_side(section: SectionTemplate) -> float:
    """Return the length of the longer of the two surfaces of a section. [mm]"""
    points = np.column_stack([section.x_mm, section.z_mm])
    steps, nose = np.hypot(*np.diff(points, axis=0).T), len(points) // 2
    return float(max(steps[:nose].sum(), steps[nose:].sum()))
