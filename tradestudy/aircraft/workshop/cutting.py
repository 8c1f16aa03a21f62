"""Everything of one wing that a bench needs and a drawing from above does not show, as `Design.cutting` tells it."""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.aircraft.assessment.pocket_checks import moved
from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.model_data import ModelData
from tradestudy.aircraft.model.speed_sweep import FlownDesign
from tradestudy.physics.flight import layout, trimmed_flight
from tradestudy.physics.geometry import fins as fins_of
from tradestudy.physics.geometry import planform
from tradestudy.physics.structure import local_failure
from tradestudy.physics.weights import mass
from tradestudy.study.schema.study import Study

from .shopping import lengths_to_buy, rod_pieces
from .template_sections import cores, end_sections, jig

DOWN_SHARE = 0.5  # of the up-travel, at full stick down; common practice, no source

Row = dict[str, Any]


def cutting(study: Study, data: ModelData, choice: Choice, flown: FlownDesign, variables: dict[str, float],
            numbers: dict[str, Any], drawn: dict[str, Any]) -> Row:
    """Return what to cut, lay and set for one design, of which ``numbers`` and the outline ``drawn`` are known."""
    wing, stock = flown.solution.wing, data.layout.stock
    added = 1e3 * float(variables["extension"])
    ends, trailing_edge = end_sections(study, data, choice, wing), 1e3 * float(wing.chord[0])
    return {
        "scheme": data.layout.scheme, "keep": data.layout.keep, "added_mm": _mm(added), "joint_mm": _joint(data, added),
        "stock_sweep_deg": round(float(np.degrees(stock.sweep)), 4),
        "stock_set_back_mm": _mm(1e3 * stock.tip_set_back),
        "stock_washout_deg": round(float(np.degrees(stock.washout)), 4),
        "root_trailing_edge_mm": _mm(trailing_edge), "marks": _marks(numbers, trailing_edge),
        "gear": _gear(drawn, trailing_edge),
        "foam": study.foam.material, "covering": study.covering.material, "sections": ends,
        "cores": cores(data, wing, ends, added), "jig": jig(wing, ends),
        "stations": _stations(wing), "rods": _rods(study, data, choice, wing),
        "lengths": _lengths(study, data, choice, wing),
        "elevon": {"thickness_mm": _mm(1e3 * study.elevon.thickness), "material": study.elevon.material,
                   "inner_end_mm": _mm(1e3 * wing.elevon_inner_end), "outer_end_mm": _mm(1e3 * wing.elevon_outer_end)},
        "throws": _throws(study, stock), "fins": [_fin(one, told) for one, told in zip(
            flown.solution.fins, study.fin, strict=True)],
        "pockets": [_pocket(study, data, wing, one, variables["extension"]) for one in study.pocket],
        "bays": [{"name": bay.name, "from_nose_mm": _mm(1e3 * bay.from_nose), "length_mm": _mm(1e3 * bay.length),
                  "width_mm": _mm(1e3 * bay.width), "depth_mm": _mm(1e3 * bay.depth), "through": bay.through}
                 for bay in study.bay]}


def _mm(value: Any) -> float:
    return round(float(value), 3) + 0.0  # no minus before nothing


def _joint(data: ModelData, added: float) -> float | None:
    """Where the stock wing is cut, from its own centre line; None where the panel is cut anew. [mm]"""
    stock = data.layout.stock
    places = {"plug": stock.panel_start, "tip": stock.semi_span}
    return _mm(1e3 * places[data.layout.scheme]) if added > 0 and data.layout.scheme in places else None


def _marks(numbers: dict[str, Any], trailing_edge: float) -> list[Row]:
    """Where it balances and where it may, from both datums."""
    told = {"balance mark": "cg_mm", "window, front end": "cg_front_mm", "window, back end": "cg_back_mm"}
    return [{"name": name, "behind_nose_mm": _mm(numbers[key]), "ahead_mm": _mm(trailing_edge - numbers[key])}
            for name, key in told.items() if numbers.get(key) is not None]


def _gear(drawn: dict[str, Any], trailing_edge: float) -> list[Row]:
    """Where pack, motor and equipment sit, by their middles, from both datums."""
    places = [("pack", drawn["pack"]["x_mm"]), *((thing["name"], thing["x_mm"]) for thing in drawn["equipment"])]
    return [{"name": name, "behind_nose_mm": _mm(place), "ahead_mm": _mm(trailing_edge - place)}
            for name, place in places]


def _stations(wing: planform.Planform) -> list[Row]:
    """Outline at every place where an edge kinks and where elevons end."""
    ends = (float(wing.elevon_inner_end), float(wing.elevon_outer_end))
    kept = [y for index, y in enumerate(wing.station.tolist()) if index == 0 or y - wing.station[index - 1] > 1e-3]
    where = np.array(sorted({round(y, 9) for y in (*kept, *ends) if y <= float(wing.station[-1])}))
    values = planform.interpolated(wing, (wing.leading_edge, wing.foam_chord, wing.elevon_chord, wing.height), where)
    return [{"station_mm": _mm(1e3 * y), "leading_edge_mm": _mm(1e3 * edge), "hinge_mm": _mm(1e3 * (edge + foam)),
             "trailing_edge_mm": _mm(1e3 * (edge + foam + elevon)), "foam_chord_mm": _mm(1e3 * foam),
             "elevon_chord_mm": _mm(1e3 * elevon), "height_mm": _mm(1e3 * height),
             "leading_edge_ahead_mm": _mm(1e3 * (wing.chord[0] - edge)),
             "trailing_edge_behind_mm": _mm(1e3 * (edge + foam + elevon - wing.chord[0]))}
            for y, edge, foam, elevon, height in zip(where, *values, strict=True)]


def _rods(study: Study, data: ModelData, choice: Choice, wing: planform.Planform) -> list[Row]:
    """Every set of rods as it lies in one half wing: where it starts and ends, how long, how deep, where spliced."""
    rows = []
    chosen = layout.rods_as_chosen(data.layout, choice.rod_diameter, choice.rod_pairs)
    for rod, (run, diameter, pairs, _) in zip(study.rods, chosen, strict=True):
        outer = float(layout.rod_outer_end(run, data.layout.stock, wing))
        length, place = mass.rod_length(wing, np.asarray(run.inner_end), np.asarray(outer), run.fractions)
        splices = local_failure.splice_places(run.inner_end, outer, float(length), study.stretch.rod_length_sold)
        splice = rod.splice_length or local_failure.USUAL_LENGTH * diameter
        rows.append({
            "name": rod.name, "material": rod.material, "diameter_mm": _mm(1e3 * diameter), "pairs": int(pairs),
            "surface": rod.surface, "each_half": int(pairs * run.at_a_place), "length_mm": _mm(1e3 * length),
            "from_mm": _mm(1e3 * run.inner_end), "to_mm": _mm(1e3 * outer),
            "behind_nose_mm": [_mm(1e3 * float(value)) for value in np.atleast_1d(place)],
            "slot_depth_mm": _mm(1e3 * rod.slot_depth), "crosses_centre": rod.crosses_centre, "splice": rod.splice,
            "splice_mm": _mm(1e3 * splice), "splices_at_mm": [_mm(1e3 * y) for y in splices]})
    return rows


def _lengths(study: Study, data: ModelData, choice: Choice, wing: planform.Planform) -> list[Row]:
    """Every kind of rod with the pieces asked for and the lengths sold that they are cut from."""
    sold, rows = study.stretch.rod_length_sold, []
    for (material, diameter), pieces in rod_pieces(study, data.layout, wing, choice).items():
        bought = lengths_to_buy([length for _, length in pieces], sold)
        counts: dict[tuple[str, float], int] = {}
        for name, length in pieces:
            counts[name, length] = counts.get((name, length), 0) + 1
        rows.append({
            "material": material, "diameter_mm": _mm(1e3 * diameter), "sold_mm": _mm(1e3 * sold),
            "pieces": [{"name": name, "length_mm": _mm(1e3 * length), "count": count}
                       for (name, length), count in counts.items()],
            "cuts_mm": [[_mm(1e3 * piece) for piece in cut] for cut in bought],
            "waste_mm": _mm(1e3 * (len(bought) * sold - sum(length for _, length in pieces)))})
    return rows


def _throws(study: Study, stock: planform.StockWing) -> Row:
    """Full stick at the trailing edge, by the mean chord of the elevon; roll as the model has it, down half of up."""
    chord = 1e3 * stock.elevon_chord
    up = float(study.elevon.up_travel)
    angles = {"up": up, "down": DOWN_SHARE * up, "roll": float(trimmed_flight.FULL_ELEVON)}
    return {"elevon_chord_mm": _mm(chord)} | {
        f"{name}_{unit}": round(value, 4) for name, angle in angles.items()
        for unit, value in (("deg", float(np.degrees(angle))), ("mm", chord * float(np.sin(angle))))}


def _fin(fin: fins_of.Fin, told: Any) -> Row:
    """Flat outline of one fin: x behind its foot's leading edge, z along the fin; the foot runs along z = 0."""
    above, below = fins_of.parts(fin)
    start, foot = float(fin.behind_leading_edge), float(fin.root_chord)
    points = [(0.0, 0.0)]
    if float(above.length) > 0:
        back = float(above.set_back)
        points += [(back, float(above.length)), (back + float(above.tip_chord), float(above.length))]
    points.append((foot, 0.0))
    if float(below.length) > 0:
        back = float(below.set_back)
        points += [(back + float(below.tip_chord), -float(below.length)), (back, -float(below.length))]
    place = None if fin.from_centre is None else _mm(1e3 * fin.from_centre)
    return {"from_centre_mm": place, "material": told.material,
            "behind_leading_edge_mm": _mm(1e3 * start), "foot_mm": _mm(1e3 * foot),
            "cant_deg": round(float(np.degrees(fin.cant)), 3), "toe_deg": round(float(np.degrees(fin.toe)), 3),
            "x_mm": [_mm(1e3 * x) for x, _ in points], "z_mm": [_mm(1e3 * z) for _, z in points]}


def _pocket(study: Study, data: ModelData, wing: planform.Planform, pocket: Any, extension: float) -> Row:
    middle = float(moved(data.layout, pocket.from_centre, extension))
    edge = float(planform.interpolated(wing, (wing.leading_edge,), np.array([middle]))[0][0])
    return {"name": pocket.name, "middle_mm": _mm(1e3 * middle), "along_mm": _mm(1e3 * pocket.along_span),
            "behind_leading_edge_mm": _mm(1e3 * pocket.from_leading_edge),
            "behind_nose_mm": _mm(1e3 * (edge + pocket.from_leading_edge)), "length_mm": _mm(1e3 * pocket.length),
            "depth_mm": _mm(1e3 * pocket.depth), "side": pocket.side}
