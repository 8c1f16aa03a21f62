"""What the steps of the work need besides cores, rods, film, sheet, glue and drive, with amounts from the wing.

What each needs is common practice without a source, unless a number of the study says otherwise.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tradestudy.quantities import from_edge
from tradestudy.results.body import BodySolid
from tradestudy.results.cutting import Cutting
from tradestudy.results.design import Design
from tradestudy.study.schema.study import Study

_COMMON = "common practice, no source"
_SPARE = 60.0  # mm more of a lead at each end
_MARGIN = 20.0  # mm of template board round a section
_LEAST_TIP_WEIGHT = 0.5  # g; a smaller weight for the lighter tip is not mentioned, here and on the sheet
_BLOCK = 40.0  # mm, width of a block of the jig


class SmallPart(NamedTuple):
    """A row of the shopping list: the kind of the part, what it is, words on one, and how many."""

    kind: str
    what: str
    each: str
    amount: float
    unit: str


def small_parts(study: Study, design: Design) -> list[SmallPart]:
    """Return what one wing needs besides its large parts."""
    solids = design.body.solids if design.body else []
    rows = [*_closures(design, solids), *_boards(study, solids), *_splices(design.cut)]
    rows += [*_servos(study), *_linkage(study, design.cut), *_leads(study, design.cut), *_bench(design)]
    if not any(solid.kind == "slot" for solid in solids):
        rows.append(
            SmallPart("linkage", "motor mount", f"3 mm plywood, 30 mm deep in the foam ({_COMMON})", 1, "pieces")
        )
    return rows


def _is_mirrored(solid: BodySolid) -> bool:
    """Return whether a part of the right half has a mirror image in the left half."""
    return not solid.single and min(point[1] for point in solid.vertices_mm) >= 0.0


def _closures(design: Design, solids: list[BodySolid]) -> list[SmallPart]:
    """Return what keeps lids shut: magnets for each, and a hook for one that stands in the air stream."""
    lids = [(solid.name.removeprefix("lid "), 1 + _is_mirrored(solid)) for solid in solids if solid.kind == "lid"]
    if not lids:
        return []
    count = 2 * sum(each for _, each in lids)
    rows = [SmallPart("lids", "magnets for lids, or tape", f"two for each lid ({_COMMON})", count, "pieces")]
    raised = {bay.name for bay in design.cut.bays if bay.raised_lid_mm}
    if hooked := [(name, each) for name, each in lids if name in raised]:
        words = f"plywood or sheet, 15 mm under the skin, for {', '.join(name for name, _ in hooked)} ({_COMMON})"
        rows.append(SmallPart("lids", "hooks for raised lids", words, sum(each for _, each in hooked), "pieces"))
    return rows


def _boards(study: Study, solids: list[BodySolid]) -> list[SmallPart]:
    """Return the boards of bays. Those of one material are one row."""
    found: dict[str, list[str]] = {}
    for solid in solids:
        if solid.kind == "board":
            bay = next((each for each in study.bay if each.name in solid.name), None)
            long, wide, high = (float(side) for side in np.ptp(np.array(solid.vertices_mm), axis=0))
            material = bay.divider_material if bay else "balsa"
            size = f"{wide:.0f} x {high:.0f} mm, {long:g} mm thick"
            found.setdefault(material, []).extend([size] * (1 + _is_mirrored(solid)))
    return [
        SmallPart("sheet", f"boards of bays, {material}", "; ".join(dict.fromkeys(sizes)), len(sizes), "pieces")
        for material, sizes in found.items()
    ]


def _splices(cut: Cutting) -> list[SmallPart]:
    """Return the sleeves of rods that are made longer by them."""
    rows = []
    for rod in cut.rods:
        each = rod.each_half * 2 * len(rod.splices_at_mm) if rod.splice == "sleeve" else 0
        each += rod.each_half if rod.at_centre == "sleeve" else 0
        if each:
            words = f"tube over {rod.diameter_mm:g} mm rods, {rod.splice_mm:.0f} mm long"
            rows.append(SmallPart("linkage", f"sleeves for rods {rod.name}", words, each, "pieces"))
    return rows


def _servos(study: Study) -> list[SmallPart]:
    """Return the servos that a study does not list, unless it says that they are owned."""
    listed = any("servo" in thing.name.lower() for thing in study.all_equipment)
    if listed or "servos" in (study.shopping.owned or ()):
        return []
    return [
        SmallPart("linkage", "servos for the elevons", "the study lists none: choose them by its linkage", 2, "pieces")
    ]


def _linkage(study: Study, cut: Cutting) -> list[SmallPart]:
    """Return push rods, horns, and screws or tape of motor and fins."""
    lengths = {f"{row.rod_mm:.0f} mm" for row in cut.linkage}
    words = f"about {', '.join(sorted(lengths))}, with an end to adjust" if lengths else "with an end to adjust"
    horns = {f"{row.horn_mm:g} mm from hinge line to hole" for row in cut.linkage}
    pairs = max(len(cut.linkage), 1)
    rows = [
        SmallPart("linkage", "push rods", f"{words} ({_COMMON})", 2 * pairs, "pieces"),
        SmallPart("linkage", "elevon horns", "; ".join(sorted(horns)) or "as the servos need", 2 * pairs, "pieces"),
        SmallPart("linkage", "motor screws", f"with thread locker ({_COMMON})", 4, "pieces"),
    ]
    if cut.fins:
        words = f"two for each fin, or tape ({_COMMON})"
        rows.append(SmallPart("linkage", "fin screws", words, 4 * len(cut.fins), "pieces"))
    return rows


def _leads(study: Study, cut: Cutting) -> list[SmallPart]:
    """Return leads from servos to the middle, and the lead that joins packs in parallel."""
    rows = [
        SmallPart(
            "leads",
            "servo leads",
            f"from {pocket.name} to the middle, {pocket.middle_mm + 2 * _SPARE:.0f} mm ({_COMMON})",
            2,
            "pieces",
        )
        for pocket in cut.pockets
        if "servo" in pocket.name.lower()
    ]
    packs = study.pack.packs or 1
    if packs > 1 or study.pack.second_bay:
        words = f"joins {max(packs, 2)} packs in parallel, for the full current ({_COMMON})"
        rows.append(SmallPart("leads", "parallel lead", words, 1, "pieces"))
    return [
        *rows,
        SmallPart("leads", "connectors", f"for pack and controller, for the full current ({_COMMON})", 1, "pairs"),
    ]


def _bench(design: Design) -> list[SmallPart]:
    """Return what is used up on the bench: boards of templates and jig, filler, tape."""
    cut = design.cut
    cores = [core for core in cut.cores if core.new]
    twice = {core.inner for core in cores if core.inner == core.outer}  # one for each end of the same core
    used = {name: 1 + (name in twice) for core in cores for name in (core.inner, core.outer)}
    rows = []
    if used:
        area = sum(
            used[section.name] * (section.foam_chord_mm + 2 * _MARGIN) * (section.foam_thickness_mm + 2 * _MARGIN)
            for section in cut.sections
            if section.name in used
        )
        words = f"plywood or laminate, 2 mm, for {sum(used.values())} templates ({_COMMON})"
        rows.append(SmallPart("bench", "template board", words, float(from_edge("mm", 1.0) ** 2 * area), "m²"))
    if not cut.beds_kept:
        words = (
            f"any stiff board, {_BLOCK:.0f} mm wide and up to {max(row.hinge_block_mm for row in cut.jig):.0f} mm high"
        )
        rows.append(SmallPart("bench", "jig blocks", words, 4 * len(cut.jig), "pieces"))
    if cut.rods:
        rows.append(SmallPart("bench", "light filler", f"for slots, or foam strips ({_COMMON})", 1, "tubs"))
    words = f"strong tape, pins, fine paper, gloves, mask ({_COMMON})"
    rows.append(SmallPart("bench", "tape, pins and paper", words, 1, "sets"))
    grams = design.numbers.tip_weight_g or 0.0
    if grams >= _LEAST_TIP_WEIGHT:
        rows.append(SmallPart("bench", "lead for the light tip", "as the sheet Balance and throws says", grams, "g"))
    return rows
