"""Everything of one wing that a bench needs and a drawing from above does not show."""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.aircraft.assessment.pocket_checks import moved
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.model_data import ModelData
from tradestudy.aircraft.model.speed_sweep import SpeedSweep
from tradestudy.physics.flight import layout, trimmed_flight
from tradestudy.physics.geometry import fins as fins_of
from tradestudy.physics.geometry import planform
from tradestudy.physics.structure import local_failure
from tradestudy.physics.weights import mass
from tradestudy.quantities import at_edge, in_unit, rounded
from tradestudy.results.cutting import (
    BayCut,
    Cutting,
    ElevonStock,
    FinSheet,
    Mark,
    Piece,
    PocketCut,
    RodSet,
    RodStock,
    Station,
    Throws,
)
from tradestudy.results.numbers import DesignNumbers
from tradestudy.results.outline import Outline
from tradestudy.study.schema.study import Study

from .shopping import lengths_to_buy, rod_pieces
from .template_sections import cores, end_sections, jig, told

DOWN_SHARE = 0.5  # of the up-travel, at full stick down; common practice, no source


def cutting(
    study: Study,
    data: ModelData,
    choice: Choice,
    flown: SpeedSweep,
    variables: dict[str, float],
    numbers: DesignNumbers,
    drawn: Outline,
) -> Cutting:
    """Return what to cut, lay and set for one design, of which ``numbers`` and the outline ``drawn`` are known."""
    wing, stock = flown.solution.wing, data.layout.stock
    added, trailing_edge = float(variables["extension"]), float(wing.chord[0])
    ends = end_sections(study, data, choice, wing)
    return Cutting(
        scheme=data.layout.scheme,
        keep=data.layout.keep,
        joint_mm=_joint(data, added),
        stock_sweep_deg=round(in_unit(float(stock.sweep), "deg"), 4),
        stock_washout_deg=round(in_unit(float(stock.washout), "deg"), 4),
        **_mm(added_mm=added, stock_set_back_mm=stock.tip_set_back, root_trailing_edge_mm=trailing_edge),
        marks=_marks(numbers, in_unit(trailing_edge, "mm")),
        gear=_gear(drawn, in_unit(trailing_edge, "mm")),
        foam=study.foam.material,
        covering=study.covering.material,
        sections=ends,
        cores=cores(data, wing, ends, in_unit(added, "mm")),
        jig=jig(ends),
        stations=_stations(wing),
        rods=_rods(study, data, choice, wing),
        lengths=_lengths(study, data, choice, wing),
        elevon=ElevonStock(
            material=study.elevon.material,
            **_mm(
                thickness_mm=study.elevon.thickness,
                inner_end_mm=wing.elevon_inner_end,
                outer_end_mm=wing.elevon_outer_end,
            ),
        ),
        throws=_throws(study, stock),
        fins=[_fin(one, sheet) for one, sheet in zip(flown.solution.fins, study.fin, strict=True)],
        pockets=[_pocket(data, wing, one, variables["extension"]) for one in study.pocket],
        bays=[
            BayCut(
                name=bay.name,
                through=bay.through,
                **_mm(from_nose_mm=bay.from_nose, length_mm=bay.length, width_mm=bay.width, depth_mm=bay.depth),
            )
            for bay in study.bay
        ],
    )


def _mm(**lengths: Any) -> dict[str, float]:
    """Return lengths [m] at the edge, to three places."""
    return {name: told(float(value)) for name, value in at_edge(**lengths).items()}


def _joint(data: ModelData, added: float) -> float | None:
    """Where the stock wing is cut, from its own centre line; None where the panel is cut anew. [mm]"""
    stock = data.layout.stock
    places = {"plug": stock.panel_start, "tip": stock.semi_span}
    if added <= 0 or data.layout.scheme not in places:
        return None
    return _mm(joint_mm=places[data.layout.scheme])["joint_mm"]


def _marks(numbers: DesignNumbers, trailing_edge: float) -> list[Mark]:
    """Where it balances and where it may, from both datums."""
    places = {
        "balance mark": numbers.cg_mm,
        "window, front end": numbers.cg_front_mm,
        "window, back end": numbers.cg_back_mm,
    }
    return [Mark(name, told(place), told(trailing_edge - place)) for name, place in places.items()]


def _gear(drawn: Outline, trailing_edge: float) -> list[Mark]:
    """Where pack, motor and equipment sit, by their middles, from both datums."""
    places = [("pack", drawn.pack.x_mm)] if drawn.pack else []
    places += [(thing.name, thing.x_mm) for thing in drawn.equipment]
    return [Mark(name, told(place), told(trailing_edge - place)) for name, place in places]


def _stations(wing: planform.Planform) -> list[Station]:
    """Outline at every place where an edge kinks and where elevons end."""
    ends = (float(wing.elevon_inner_end), float(wing.elevon_outer_end))
    kept = [y for index, y in enumerate(wing.station.tolist()) if index == 0 or y - wing.station[index - 1] > 1e-3]
    where = np.array(sorted({round(y, 9) for y in (*kept, *ends) if y <= float(wing.station[-1])}))
    values = planform.interpolated(wing, (wing.leading_edge, wing.foam_chord, wing.elevon_chord, wing.height), where)
    return [
        Station(
            **_mm(
                station_mm=y,
                leading_edge_mm=edge,
                hinge_mm=edge + foam,
                trailing_edge_mm=edge + foam + elevon,
                foam_chord_mm=foam,
                elevon_chord_mm=elevon,
                height_mm=height,
                leading_edge_ahead_mm=wing.chord[0] - edge,
                trailing_edge_behind_mm=edge + foam + elevon - wing.chord[0],
            )
        )
        for y, edge, foam, elevon, height in zip(where, *values, strict=True)
    ]


def _rods(study: Study, data: ModelData, choice: Choice, wing: planform.Planform) -> list[RodSet]:
    """Every set of rods as it lies in one half wing: where it starts and ends, how long, how deep, where spliced."""
    rows = []
    chosen = layout.chosen_rods(data.layout, choice.rod_diameter, choice.rod_pairs)
    for rod, (run, diameter, pairs, _) in zip(study.rods, chosen, strict=True):
        outer = float(layout.rod_outer_end(run, data.layout.stock, wing))
        length, place = mass.rod_length(wing, np.asarray(run.inner_end), np.asarray(outer), run.fractions)
        splices = local_failure.splice_places(run.inner_end, outer, float(length), study.stretch.rod_length_sold)
        splice = rod.splice_length or local_failure.USUAL_SPLICE_LENGTH * diameter
        rows.append(
            RodSet(
                name=rod.name,
                material=rod.material,
                pairs=int(pairs),
                surface=rod.surface,
                each_half=int(pairs * run.rods_per_place),
                crosses_centre=rod.crosses_centre,
                splice=rod.splice,
                behind_nose_mm=_each_mm(np.atleast_1d(place)),
                splices_at_mm=_each_mm(splices),
                **_mm(
                    diameter_mm=diameter,
                    length_mm=length,
                    from_mm=run.inner_end,
                    to_mm=outer,
                    slot_depth_mm=rod.slot_depth,
                    splice_mm=splice,
                ),
            )
        )
    return rows


def _each_mm(lengths: Any) -> list[float]:
    return [told(in_unit(float(length), "mm")) for length in lengths]


def _lengths(study: Study, data: ModelData, choice: Choice, wing: planform.Planform) -> list[RodStock]:
    """Every kind of rod with the pieces asked for and the lengths sold that they are cut from."""
    sold, rows = study.stretch.rod_length_sold, []
    for (material, diameter), pieces in rod_pieces(study, data.layout, wing, choice).items():
        bought = lengths_to_buy([length for _, length in pieces], sold)
        counts: dict[tuple[str, float], int] = {}
        for name, length in pieces:
            counts[name, length] = counts.get((name, length), 0) + 1
        rows.append(
            RodStock(
                material=material,
                pieces=[
                    Piece(name=name, count=count, **_mm(length_mm=length)) for (name, length), count in counts.items()
                ],
                cuts_mm=[_each_mm(cut) for cut in bought],
                **_mm(
                    diameter_mm=diameter,
                    sold_mm=sold,
                    waste_mm=len(bought) * sold - sum(length for _, length in pieces),
                ),
            )
        )
    return rows


def _throws(study: Study, stock: planform.StockWing) -> Throws:
    """Full stick at the trailing edge, by the mean chord of the elevon; roll as the model has it, down half of up."""
    chord = float(stock.elevon_chord)
    up = float(study.elevon.up_travel)
    angles = {"up": up, "down": DOWN_SHARE * up, "roll": float(trimmed_flight.FULL_ELEVON)}
    thrown = at_edge(
        **{
            f"{name}_{unit}": value
            for name, angle in angles.items()
            for unit, value in (("deg", angle), ("mm", chord * float(np.sin(angle))))
        }
    )
    return Throws(**_mm(elevon_chord_mm=chord), **rounded(thrown, 4))


def _fin(fin: fins_of.SheetFin, sheet: Any) -> FinSheet:
    """Flat outline of one fin: x behind its foot's leading edge, z along the fin; the foot runs along z = 0."""
    above, below = fins_of.fin_parts(fin)
    start, foot = float(fin.behind_leading_edge), float(fin.root_chord)
    points = [(0.0, 0.0)]
    if float(above.length) > 0:
        back = float(above.set_back)
        points += [(back, float(above.length)), (back + float(above.tip_chord), float(above.length))]
    points.append((foot, 0.0))
    if float(below.length) > 0:
        back = float(below.set_back)
        points += [(back + float(below.tip_chord), -float(below.length)), (back, -float(below.length))]
    place = None if fin.from_centre is None else _mm(from_centre_mm=fin.from_centre)["from_centre_mm"]
    angles = at_edge(cant_deg=float(fin.cant), toe_deg=float(fin.toe))
    return FinSheet(
        from_centre_mm=place,
        material=sheet.material,
        **_mm(behind_leading_edge_mm=start, foot_mm=foot),
        **rounded(angles, 3),
        x_mm=_each_mm(x for x, _ in points),
        z_mm=_each_mm(z for _, z in points),
    )


def _pocket(data: ModelData, wing: planform.Planform, pocket: Any, extension: float) -> PocketCut:
    middle = float(moved(data.layout, pocket.from_centre, extension))
    edge = float(planform.interpolated(wing, (wing.leading_edge,), np.array([middle]))[0][0])
    return PocketCut(
        name=pocket.name,
        side=pocket.side,
        **_mm(
            middle_mm=middle,
            along_mm=pocket.along_span,
            behind_leading_edge_mm=pocket.from_leading_edge,
            behind_nose_mm=edge + pocket.from_leading_edge,
            length_mm=pocket.length,
            depth_mm=pocket.depth,
        ),
    )
