"""The rods of one wing: the pieces, and the lengths sold from which they are cut."""

from __future__ import annotations

from typing import Any

from tradestudy.aircraft.model.choices import Choice
from tradestudy.physics.flight import layout
from tradestudy.physics.geometry import planform
from tradestudy.quantities import in_unit
from tradestudy.study.schema.study import Study

from .stock_lengths import CutPlan, lengths_to_buy


def rod_pieces(
    study: Study, laid: layout.LayoutData, wing: planform.Planform, choice: Choice
) -> dict[tuple[str, float], Any]:
    """Return the rods and joiner of one wing as a dict.

    It maps (material, diameter [m]) to a list of (purpose, length [m]).
    """
    kinds: dict[tuple[str, float], list[tuple[str, float]]] = {}
    chosen = layout.chosen_rods(laid, choice.rod_diameter, choice.rod_pairs)
    for rod, rods in zip(study.rods, chosen, strict=True):
        run, diameter, pairs, _ = rods
        line = layout.rod_line(laid, wing, rods)
        across = layout.transverse_line(rods, line)
        each = int(run.rods_per_place) * int(pairs)  # rods in one half wing
        cut = [(rod.name, 2.0 * float(line.length))] * each
        if rod.at_centre != "whole":
            cut = [(rod.name, float(line.length))] * (2 * each)
        if across:
            cut += [(f"{rod.name}, across", 2.0 * float(across.length))] * each
        tube = f", tube, {in_unit(diameter * run.bore, 'mm'):.3g} mm inside" if run.bore else ""
        kinds.setdefault((rod.material + tube, diameter), []).extend(cut)
    if study.joiner:
        joiner = study.joiner
        inside = joiner.inside_diameter
        tube = f", tube, {in_unit(inside, 'mm'):.3g} mm inside" if inside else ""
        kinds.setdefault((joiner.material + tube, joiner.diameter), []).append(("joiner", joiner.length))
    return {kind: pieces for kind, pieces in kinds.items() if pieces}


def rod_plans(study: Study, pieces: dict[tuple[str, float], Any]) -> dict[tuple[str, float], CutPlan]:
    """Return how to cut each kind of rod from the lengths sold, for ``pieces`` as of `rod_pieces`."""
    sold, saw_cut = study.stretch.rod_length_sold, study.shopping.saw_cut
    return {kind: lengths_to_buy([length for _, length in cut], sold, saw_cut) for kind, cut in pieces.items()}
