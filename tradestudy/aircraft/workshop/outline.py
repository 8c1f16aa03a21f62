"""The lists of points from which a report draws one design (right half) [mm]."""

from __future__ import annotations

import numpy as np

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.pack_fit import pack_box
from tradestudy.physics.body.straight_rods import PlanLine, each_line
from tradestudy.physics.flight import layout
from tradestudy.physics.geometry import fins as fins_of
from tradestudy.physics.geometry import planform
from tradestudy.quantities import at_edge, in_unit
from tradestudy.results.outline import FinEdge, FinOutline, MeanChord, Outline, OutlineItem, PackBox, RodLine
from tradestudy.study.schema.study import Study


def design_outline(design: EvaluatedDesign) -> Outline:
    """Return the lists of points of one design."""
    study, solution = design.study, design.solution
    wing, areas, fins = solution.wing, solution.areas, solution.fins
    edge_y, front = wing.station, wing.leading_edge
    back = front + wing.chord
    length, width, _ = pack_box(study, design.choice)
    return Outline(
        x_mm=_mm(np.concatenate([front, back[::-1], front[:1]])),
        y_mm=_mm(np.concatenate([edge_y, edge_y[::-1], edge_y[:1]])),
        **_elevon(wing),
        stock_part_y_mm=_stock_part(wing),
        rods=_rods(design.data.layout, wing, design.choice),
        bays=[
            OutlineItem(bay.name, **at_edge(x_mm=bay.from_nose, length_mm=bay.length, width_mm=bay.width, mass_g=0.0))
            for bay in study.bay
        ],
        equipment=_equipment(study, design.variables),
        pack=PackBox(**at_edge(x_mm=float(design.evaluation.balance.pack_position), length_mm=length, width_mm=width)),
        mean_chord=MeanChord(
            **at_edge(
                x_mm=float(areas.mean_aerodynamic_chord_leading_edge),
                y_mm=_mean_chord_y(wing),
                length_mm=float(areas.mean_aerodynamic_chord),
            )
        ),
        fins=[_fin(wing, fin) for fin in fins],
    )


def _fin(wing, fin) -> FinOutline:
    """Return a fin seen from above: its foot and its top and bottom edges, turned by its toe angle."""
    station = float(wing.station[..., fin.stands_on])
    start = float(wing.leading_edge[..., fin.stands_on] + fin.behind_leading_edge)

    def edge(front: float, chord: float, y: float) -> dict[str, list[float]]:
        inward = 0.5 * chord * np.sin(fin.toe)
        return {"x_mm": _mm([front, front + chord]), "y_mm": _mm([y - inward, y + inward])}

    ends = [
        FinEdge(
            **edge(
                start + float(part.set_back),
                float(part.tip_chord),
                station + part.direction * float(part.length) * np.sin(fin.cant),
            )
        )
        for part in fins_of.fin_parts(fin)
        if part.length > 0
    ]
    height, below = _mm([fin.height, fin.depth_below])
    return FinOutline(**edge(start, float(fin.root_chord), station), height_mm=height, depth_below_mm=below, ends=ends)


def _mm(values) -> list[float]:
    return [round(in_unit(float(value), "mm"), 3) for value in values]


def _at(wing, where, *values):
    return planform.interpolated(wing, values, np.asarray(where, float))


def _elevon(wing) -> dict[str, list[float]]:
    inner, outer = float(wing.elevon_inner_end), float(wing.elevon_outer_end)
    where = np.array([inner, *[y for y in wing.station.tolist() if inner < y < outer], outer])
    edge, foam, elevon = _at(wing, where, wing.leading_edge, wing.foam_chord, wing.elevon_chord)
    hinge, back = edge + foam, edge + foam + elevon
    return {
        "elevon_x_mm": _mm(np.concatenate([hinge, back[::-1], hinge[:1]])),
        "elevon_y_mm": _mm(np.concatenate([where, where[::-1], where[:1]])),
    }


def _stock_part(wing) -> list[float]:
    start, end = float(wing.stock_part_start), float(wing.stock_part_end)
    return _mm([start, end]) if end > start else []


def _rods(laid: layout.LayoutData, wing, choice) -> list[RodLine]:
    """Return the line of each pair, and the right half of each rod across the centre, set by set."""
    lines = []
    for rods in layout.chosen_rods(laid, choice.rod_diameter, choice.rod_pairs):
        for line in layout.pair_lines(laid, wing, rods):
            lines += _plan_lines(line) if line is not None else []
    return lines


def _plan_lines(lines: PlanLine) -> list[RodLine]:
    return [RodLine(*_mm(line)) for line in each_line(lines)]


def _equipment(study: Study, variables: dict[str, float]) -> list[OutlineItem]:
    listed = [
        ("motor", study.motor.mass, study.motor.from_nose),
        ("controller", study.controller.mass, study.controller.from_nose),
    ]
    for thing in study.equipment:
        place = variables["equipment_position"] if thing.may_move else thing.from_nose
        listed.append((thing.name, thing.mass, place))
    return [
        OutlineItem(name, length_mm=0.0, width_mm=0.0, **at_edge(mass_g=weight, x_mm=place))
        for name, weight, place in listed
    ]


def _mean_chord_y(wing) -> float:
    """Return the span station of the mean chord: (2 / S) * integral of c(y) * y dy over a half wing. [m]

    S is the wing area, c the chord, y the station.
    """
    y, chord = wing.station, wing.chord
    width = np.diff(y)
    first = width * (2 * chord[:-1] * y[:-1] + chord[:-1] * y[1:] + chord[1:] * y[:-1] + 2 * chord[1:] * y[1:]) / 6
    return float(first.sum() / (0.5 * (chord[:-1] + chord[1:]) * width).sum())
