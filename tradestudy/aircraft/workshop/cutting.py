"""What to cut, place and set for one design, in addition to the drawing from above."""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np

from tradestudy.aircraft.body.assembly import design_skin
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.physics.body import skin
from tradestudy.physics.flight import layout, trimmed_flight
from tradestudy.physics.geometry import fins as fins_of
from tradestudy.physics.geometry import planform
from tradestudy.physics.structure import local_failure
from tradestudy.quantities import at_edge, in_unit, rounded
from tradestudy.results.body import Body
from tradestudy.results.cutting import (
    BayCut,
    Core,
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

from .build_checks import build_checks
from .joints import area_of_one_side, film_pieces, glue_joints, linkage_places
from .outline import edges_from_above
from .rod_stock import rod_pieces, rod_plans
from .template_sections import core_pieces, end_sections, jig, rounded_mm

_DOWN_SHARE = 0.5  # full down-travel over up-travel; common practice, no source


def cutting(design: EvaluatedDesign, numbers: DesignNumbers, outline: Outline, body: Body) -> Cutting:
    """Return what to cut, place, glue and set for one design, of which the other arguments are results."""
    study, laid, solution = design.study, design.data.layout, design.solution
    wing, stock = solution.wing, laid.stock
    added, trailing_edge = float(design.variables["extension"]), float(wing.chord[0])
    ends = end_sections(design)
    cores, rods = core_pieces(laid, ends, in_unit(added, "mm"), design.keeps_panels), _rods(design)
    stations = _stations(design_skin(design), wing)
    beds_kept = all(core.new or core.count == 1 for core in cores)
    pockets = [_pocket(laid, wing, one, added) for one in study.pocket]
    fins = [_fin(one, sheet) for one, sheet in zip(solution.fins, study.fin, strict=True)]
    return Cutting(
        scheme=laid.scheme,
        keep=laid.keep,
        joint_mm=_joint(laid, cores),
        stock_sweep_deg=round(in_unit(float(stock.sweep), "deg"), 4),
        stock_washout_deg=round(in_unit(float(stock.washout), "deg"), 4),
        **_mm(
            added_mm=added,
            stock_set_back_mm=stock.tip_set_back,
            stock_tip_chord_mm=stock.tip_chord,
            root_trailing_edge_mm=trailing_edge,
        ),
        marks=_marks(numbers, in_unit(trailing_edge, "mm")),
        gear=_equipment(outline, in_unit(trailing_edge, "mm")),
        foam=study.foam.material,
        covering=study.covering.material,
        sections=ends,
        cores=cores,
        panels_kept=design.keeps_panels,
        beds_kept=beds_kept,
        jig=jig(ends, on_blocks=not beds_kept),
        stations=stations,
        rods=rods,
        lengths=_lengths(design),
        elevon=ElevonStock(
            material=study.elevon.material,
            **_mm(
                thickness_mm=study.elevon.thickness,
                inner_end_mm=wing.elevon_inner_end,
                outer_end_mm=wing.elevon_outer_end,
            ),
        ),
        throws=_throws(study, design.elevon_chord),
        fins=fins,
        pockets=pockets,
        glue=glue_joints(design, body, ends, cores, rods, fins),
        film=film_pieces(ends, stations, (_in_mm(wing.elevon_inner_end), _in_mm(wing.elevon_outer_end))),
        linkage=linkage_places(study, pockets, stations),
        side_area_cm2=area_of_one_side(stations),
        checks=build_checks(design, numbers, ends, rods),
        bays=[
            BayCut(
                name=bay.name,
                through=bay.through,
                **_mm(
                    from_nose_mm=bay.from_nose,
                    length_mm=bay.length,
                    width_mm=bay.width,
                    depth_mm=bay.depth,
                    from_centre_mm=bay.from_centre or 0.0,
                    raised_lid_mm=bay.raised_lid or 0.0,
                ),
            )
            for bay in study.bay
        ],
    )


def _mm(**lengths: Any) -> dict[str, float]:
    """Return lengths [m] in the units shown to the user, rounded to three decimal places."""
    return {name: rounded_mm(float(value)) for name, value in at_edge(**lengths).items()}


def _in_mm(length: Any) -> float:
    return float(in_unit(float(length), "mm"))


def _joint(laid: layout.LayoutData, cores: list[Core]) -> float | None:
    """Return where the stock wing is cut, from its centre line, or None if no piece is added to its panels. [mm]"""
    stock = laid.stock
    places = {"plug": stock.panel_start, "tip": stock.semi_span}
    if laid.scheme not in places or not any(core.new for core in cores):
        return None
    return _mm(joint_mm=places[laid.scheme])["joint_mm"]


def _marks(numbers: DesignNumbers, trailing_edge: float) -> list[Mark]:
    """Return the balance mark, the first flight and the ends of the window, from both datums. An empty one has none."""
    places = {"balance mark": numbers.cg_mm}
    if numbers.first_flight_cg_mm is not None:
        places["first flight"] = numbers.first_flight_cg_mm
    if numbers.cg_front_mm <= numbers.cg_back_mm:
        places |= {"window, front end": numbers.cg_front_mm, "window, back end": numbers.cg_back_mm}
    return [Mark(name, *_both_datums(place, trailing_edge)) for name, place in places.items()]


def _equipment(outline: Outline, trailing_edge: float) -> list[Mark]:
    """Return the centres of pack, motor and equipment, from both datums."""
    marks = []
    for name, pack in zip(("pack", "pack 2"), outline.packs, strict=False):
        side = "both" if pack.from_centre_mm else ""
        marks.append(Mark(name, *_both_datums(pack.x_mm, trailing_edge), rounded_mm(pack.from_centre_mm), side))
    for thing in outline.equipment:
        places = _both_datums(thing.x_mm, trailing_edge)
        marks.append(Mark(thing.name, *places, rounded_mm(thing.from_centre_mm), thing.side))
    return marks


def _both_datums(place: float, trailing_edge: float) -> tuple[float, float]:
    return rounded_mm(place), rounded_mm(trailing_edge - place)


def _stations(outer: skin.Skin, wing: planform.Planform) -> list[Station]:
    """Return the outline at every station where an edge changes direction or an elevon ends.

    The edges are those of the skin, turned by its twist. The chords lie along the turned section.
    """
    ends = (float(wing.elevon_inner_end), float(wing.elevon_outer_end))
    kept = [y for index, y in enumerate(wing.station.tolist()) if index == 0 or y - wing.station[index - 1] > 1e-3]
    where = np.array(sorted({round(y, 9) for y in (*kept, *ends) if y <= float(wing.station[-1])}))
    values = planform.interpolated(wing, (wing.foam_chord, wing.elevon_chord, wing.height), where)
    edges = edges_from_above(outer, where)
    root = float(edges[2][0])
    return [
        Station(
            **_mm(
                station_mm=y,
                leading_edge_mm=edge,
                hinge_mm=hinge,
                trailing_edge_mm=back,
                foam_chord_mm=foam,
                elevon_chord_mm=elevon,
                height_mm=height,
                leading_edge_ahead_mm=root - edge,
                trailing_edge_behind_mm=back - root,
            )
        )
        for y, edge, hinge, back, foam, elevon, height in zip(where, *edges, *values, strict=True)
    ]


def _rods(design: EvaluatedDesign) -> list[RodSet]:
    """Return every set of rods in one half wing with its ends, length, slot depth and splices."""
    study, laid, choice, wing = design.study, design.data.layout, design.choice, design.solution.wing
    rows = []
    chosen = layout.chosen_rods(laid, choice.rod_diameter, choice.rod_pairs)
    for rod, rods in zip(study.rods, chosen, strict=True):
        run, diameter, pairs, _ = rods
        line = layout.rod_line(laid, wing, rods)
        across = layout.transverse_line(rods, line)
        splices = local_failure.splice_places(
            float(line.inner_y), float(line.outer_y), float(line.length), study.stretch.rod_length_sold
        )
        splice = rod.splice_length or local_failure.USUAL_SPLICE_LENGTH * diameter
        rows.append(
            RodSet(
                name=rod.name,
                material=rod.material,
                pairs=int(pairs),
                surface=rod.surface,
                each_half=int(pairs * run.rods_per_place),
                at_centre=rod.at_centre,
                splice=rod.splice,
                behind_nose_mm=_each_mm([line.inner_x, line.outer_x]),
                splices_at_mm=_each_mm(splices),
                **_mm(
                    diameter_mm=diameter,
                    length_mm=line.length,
                    from_mm=line.inner_y,
                    to_mm=line.outer_y,
                    slot_depth_mm=rod.slot_depth,
                    splice_mm=splice,
                    across_mm=2.0 * across.length if across else 0.0,
                    lap_mm=rods.lap,
                ),
            )
        )
    return rows


def _each_mm(lengths: Any) -> list[float]:
    return [rounded_mm(in_unit(float(length), "mm")) for length in lengths]


def _lengths(design: EvaluatedDesign) -> list[RodStock]:
    """Return every kind of rod with its pieces, and how they are cut from the lengths sold."""
    sold, rows = design.study.stretch.rod_length_sold, []
    kinds = rod_pieces(design.study, design.data.layout, design.solution.wing, design.choice)
    plans = rod_plans(design.study, kinds)
    for (material, diameter), pieces in kinds.items():
        bought = plans[material, diameter].lengths
        rows.append(
            RodStock(
                material=material,
                pieces=[
                    Piece(name=name, count=count, **_mm(length_mm=length))
                    for (name, length), count in Counter(pieces).items()
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


def _throws(study: Study, chord: float) -> Throws:
    """Return the elevon throws at full stick, measured at the trailing edge for the elevon's mean ``chord`` [m]."""
    up = float(study.elevon.up_travel)
    angles = {"up": up, "down": _DOWN_SHARE * up, "roll": float(trimmed_flight.FULL_ELEVON)}
    thrown = at_edge(
        **{
            f"{name}_{unit}": value
            for name, angle in angles.items()
            for unit, value in (("deg", angle), ("mm", chord * float(np.sin(angle))))
        }
    )
    return Throws(**_mm(elevon_chord_mm=chord), **rounded(thrown, 4))


def _fin(fin: fins_of.SheetFin, sheet: Any) -> FinSheet:
    """Return the flat outline of one fin.

    x is the distance behind the leading edge of its foot. z is the distance along the fin from its foot.
    """
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


def _pocket(laid: layout.LayoutData, wing: planform.Planform, pocket: Any, extension: float) -> PocketCut:
    middle = float(layout.pocket_station(laid, pocket.from_centre, extension))
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
