"""What a study leaves open of the wing itself: elevon, fins, foam, covering, rods, bay."""

from __future__ import annotations

import math
from typing import Any

from tradestudy.physics.weights import pack_dimensions
from tradestudy.study.schema.power import scaled_cell
from tradestudy.study.schema.wing import TRACED, UNKNOWN

from .rule_types import COMMON_PRACTICE, Assumption, MissingInput, PartialStudy, Rule, assumed_length, restated

SLOT_ROOM = 0.008  # m; foam left above and below a bay together, covering and floor; common practice
NOSE_WALL = 0.015  # m; foam and camera ahead of the bay; common practice
CORNER_WALL = 0.005  # m; foam left ahead of the corners of a bay
SIDE_ROOM = 0.006  # m; beside the pack


def name(bench: PartialStudy, _: int) -> Assumption:
    """The file's own name"""
    letters = "".join(letter if letter.isalnum() or letter in " -_" else "-" for letter in bench.stem)
    return Assumption(letters.strip(" -_")[:60] or "study", "the file's own name")


def washout(bench: PartialStudy, _: int) -> Assumption:
    """2 deg"""
    return Assumption(
        "2 deg", COMMON_PRACTICE, "0 deg", "4 deg", "where the tips stall, elevon in cruise, a little range"
    )


def airfoil(bench: PartialStudy, _: int) -> Assumption:
    """The traced section if there is one, else a generic reflexed section of the measured thickness"""
    if bench.has("traced_section"):
        return restated(TRACED)
    return Assumption(
        UNKNOWN,
        "generic reflexed section of the measured thickness",
        "mh60",
        "e184",
        "range, stall speed, elevon in cruise",
    )


def airfoil_covers(bench: PartialStudy, _: int) -> Assumption:
    """whole"""
    return Assumption("whole", COMMON_PRACTICE, "foam", "whole", "foam weight, stiffness, drag of the elevon's step")


def _of_outline(bench: PartialStudy, point: int, column: int) -> Assumption | None:
    """A number of the elevon's outline, if it has one. Raises Unknown where that cannot be read."""
    if not bench.has("elevon", "outline"):
        return None
    bench.value("elevon", "outline")
    return restated(bench.whole["elevon"]["outline"][point][column])


def _elevon_chord(bench: PartialStudy, point: int) -> Assumption:
    found = _of_outline(bench, point, 1)
    if found is None:
        bench.value("stock", "elevon_chord")
        found = restated(bench.whole["stock"]["elevon_chord"])
    return found


def elevon_root_chord(bench: PartialStudy, _: int) -> Assumption:
    """Of the first point of elevon.outline, else stock.elevon_chord"""
    return _elevon_chord(bench, 0)


def elevon_tip_chord(bench: PartialStudy, _: int) -> Assumption:
    """Of the last point of elevon.outline, else stock.elevon_chord"""
    return _elevon_chord(bench, -1)


def elevon_inner_end(bench: PartialStudy, _: int) -> Assumption:
    """The first point of elevon.outline, else 6 % of the span from the centre line"""
    found = _of_outline(bench, 0, 0)
    if found is not None:
        return found
    span, centre = bench.value("stock", "span"), bench.value("stock", "centre_width")
    return assumed_length(
        max(0.06 * span, 0.5 * centre),
        0.5 * centre,
        max(0.14 * span, 0.5 * centre),
        "elevon throw, elevon weight, a little range",
    )


def elevon_outer_end(bench: PartialStudy, _: int) -> Assumption:
    """The last point of elevon.outline, else 96 % of the half span"""
    found = _of_outline(bench, -1, 0)
    if found is not None:
        return found
    half = 0.5 * bench.value("stock", "span")
    return assumed_length(0.96 * half, 0.75 * half, half, "elevon throw, elevon weight, a little range")


def elevon_thickness(bench: PartialStudy, _: int) -> Assumption:
    """6 mm, or a quarter of the root thickness where that is less"""
    thickest = bench.value("stock", "root_thickness")
    middle = min(0.006, 0.25 * thickest)
    return assumed_length(middle, 0.5 * middle, min(1.6 * middle, 0.4 * thickest), "elevon weight")


def elevon_material(bench: PartialStudy, _: int) -> Assumption:
    """balsa"""
    return Assumption("balsa", COMMON_PRACTICE, "corrugated sheet 3 mm", "balsa", "elevon weight")


def fins_are_assumed(bench: PartialStudy) -> bool:
    """Fins are assumed where elevon and fins are told in short; a study with [elevon] and no [[fin]] has none."""
    try:
        return bench.value("stock", "fin_height") > 0
    except MissingInput:
        return not bench.has("stock", "fin_height") and bench.has("stock", "elevon_chord")


def fin_height(bench: PartialStudy, _: int) -> Assumption:
    """stock.fin_height, else 11 % of the span"""
    if bench.has("stock", "fin_height"):
        bench.value("stock", "fin_height")
        return restated(bench.whole["stock"]["fin_height"])
    span = bench.value("stock", "span")
    return assumed_length(0.11 * span, 0.06 * span, 0.17 * span, "yaw stiffness, weight, range")


def _tip(bench: PartialStudy) -> float:
    chord = bench.value("elevon", "tip_chord") if bench.has("elevon", "tip_chord") else 0.0
    return bench.value("stock", "tip_chord") + chord


def fin_root_chord(bench: PartialStudy, _: int) -> Assumption:
    """85 % of the tip chord"""
    return assumed_length(0.85 * _tip(bench), 0.65 * _tip(bench), 1.1 * _tip(bench), "yaw stiffness, weight, range")


def fin_tip_chord(bench: PartialStudy, index: int) -> Assumption:
    """60 % of the fin's root chord"""
    root = bench.value("fin", "root_chord", index)
    return assumed_length(0.6 * root, 0.4 * root, 0.9 * root, "yaw stiffness, weight")


def fin_set_back(bench: PartialStudy, index: int) -> Assumption:
    """45 % of the fin's height"""
    height = bench.value("fin", "height", index)
    return assumed_length(0.45 * height, 0.0, height, "yaw stiffness, a little balance")


def fin_behind_leading_edge(bench: PartialStudy, _: int) -> Assumption:
    """12 % of the tip chord"""
    return assumed_length(0.12 * _tip(bench), 0.0, 0.4 * _tip(bench), "yaw stiffness, a little balance")


def fin_material(bench: PartialStudy, _: int) -> Assumption:
    """corrugated sheet 3 mm"""
    return Assumption("corrugated sheet 3 mm", COMMON_PRACTICE, "corrugated sheet 2 mm", "balsa", "weight at the tips")


def foam_material(bench: PartialStudy, _: int) -> Assumption:
    """EPP 30"""
    return Assumption("EPP 30", COMMON_PRACTICE, "EPP 20", "EPP 45", "weight of a longer wing, what breaks first, bend")


def covering_material(bench: PartialStudy, _: int) -> Assumption:
    """laminating film 38 um"""
    return Assumption(
        "laminating film 38 um", COMMON_PRACTICE, "OPP film 43 um", "iron-on covering", "weight, twist in flight"
    )


def rod_name(bench: PartialStudy, index: int) -> Assumption:
    """main, numbered where there are several"""
    return restated("main" if index == 0 else f"rods {index + 1}")


def rod_material(bench: PartialStudy, _: int) -> Assumption:
    """glass"""
    return Assumption("glass", COMMON_PRACTICE, "glass", "carbon", "strength, bend, a little weight")


def rod_chord_fraction(bench: PartialStudy, _: int) -> Assumption:
    """0.30 of the foam chord"""
    return Assumption(0.30, COMMON_PRACTICE, 0.22, 0.40, "strength, bend")


def rod_outer_end(bench: PartialStudy, index: int) -> Assumption:
    """92 % of the half span"""
    half = 0.5 * bench.value("stock", "span")
    return assumed_length(0.92 * half, 0.7 * half, half, "where the tips break, rod length")


def rod_slot_depth(bench: PartialStudy, index: int) -> Assumption:
    """5 mm, or the rod's own diameter where that is more"""
    diameter = bench.value("rods", "diameter", index)
    middle = max(0.005, diameter)
    low, high = max(0.0035, diameter), middle + 0.002
    return Assumption(
        f"{1e3 * middle:g} mm", COMMON_PRACTICE, f"{1e3 * low:g} mm", f"{1e3 * high:g} mm", "strength, bend"
    )


def rod_crosses_centre(bench: PartialStudy, index: int) -> Assumption:
    """true where the rod starts on the centre line"""
    starts = bench.value("rods", "inner_end", index) < 1e-4
    return Assumption(
        starts, "its inner_end", False if starts else None, starts if starts else None, "strength of the centre"
    )


def bay_name(bench: PartialStudy, index: int) -> Assumption:
    """nose, numbered where there are several"""
    return restated("nose" if index == 0 else f"bay {index + 1}")


def bay_from_nose(bench: PartialStudy, _: int) -> Assumption:
    """15 mm, or where the leading edge lies at the corners of the stock pack and 5 mm"""
    front = nose_wall(bench)
    return assumed_length(
        front, max(front - 0.015, 0.005), front + 0.030, "where the pack can sit", "common practice: foam ahead of it"
    )


def nose_wall(bench: PartialStudy) -> float:
    """Return where a bay may begin: behind the leading edge at the corners of cells in series side by side. [m]"""
    span, centre, back = (bench.value("stock", key) for key in ("span", "centre_width", "tip_set_back"))
    half = 0.5 * (pack_dimensions.WRAP + SIDE_ROOM + _stock_width(bench))
    return max(NOSE_WALL, CORNER_WALL + back * max(half - 0.5 * centre, 0.0) / (0.5 * (span - centre)))


def _stock_width(bench: PartialStudy) -> float:
    """Width of the cells that lie side by side where nothing makes the pack wider. [m]"""
    cell = own_cell(bench)
    across = math.ceil(bench.value("pack", "series") / bench.value("pack", "cells_high"))
    return across * cell["width"]


def packs_to_hold(bench: PartialStudy) -> list[tuple[float, float, float]]:
    """Return outside sizes [m] of the stock pack and of every pack on trial. Raises Unknown."""
    series, stock = bench.value("pack", "series"), bench.value("pack", "parallel")
    trial = bench.value("choices", "parallel") if bench.has("choices", "parallel") else (stock,)
    cell = own_cell(bench)
    across, high, room = bench.value("pack", "cells_across"), bench.value("pack", "cells_high"), pack_room(bench)
    return [
        pack_dimensions.pack_outside_size(
            cell["length"],
            cell["width"],
            cell["thickness"],
            series * parallel,
            pack_dimensions.least_cells_across(cell["length"], series * parallel, across, high, room),
            high,
        )
        for parallel in (stock, *trial)
    ]


def pack_room(bench: PartialStudy) -> float:
    """Return the longest pack that goes behind the nose and can still be slid to set the balance. [m]"""
    return bench.value("stock", "root_chord") - nose_wall(bench) - pack_dimensions.PLAY


def own_cell(bench: PartialStudy) -> dict[str, Any]:
    """Return the cell of the stock pack, made to fit its capacity. Raises Unknown."""
    pack = bench.whole["pack"]
    try:
        capacity = bench.value("pack", "capacity") if "capacity" in pack else None
        return scaled_cell(
            bench.value("pack", "cell"), bench.value("pack", "series"), bench.value("pack", "parallel"), capacity, None
        )
    except (TypeError, KeyError):
        raise MissingInput from None


def bay_length(bench: PartialStudy, index: int) -> Assumption:
    """Long enough for the longest pack on trial and 40 mm to slide it, within the foam"""
    room = bench.value("stock", "root_chord") - bench.value("bay", "from_nose", index)
    sizes = packs_to_hold(bench)
    wanted = max(size[0] for size in sizes) + pack_dimensions.PLAY
    return assumed_length(
        min(wanted, room),
        min(sizes[0][0] + 0.010, room),
        room,
        "where the pack can sit, strength of the centre",
        "the packs on trial",
    )


def bay_width(bench: PartialStudy, _: int) -> Assumption:
    """As wide as the widest pack on trial and 6 mm"""
    widest = max(size[1] for size in packs_to_hold(bench)) + SIDE_ROOM
    return assumed_length(widest, widest, 1.5 * widest, "strength of the centre", "the packs on trial")


def bay_depth(bench: PartialStudy, _: int) -> Assumption:
    """The root thickness less 8 mm, no less than the pack needs"""
    thickest = bench.value("stock", "root_thickness")
    pack = max(size[2] for size in packs_to_hold(bench))
    depth = min(max(thickest - SLOT_ROOM, pack + 0.001), thickest)
    return assumed_length(depth, min(pack, depth), thickest, "strength of the centre", "the packs on trial")


def drag_kind(bench: PartialStudy, index: int) -> Assumption:
    """usual odds and ends, where nothing is listed: camera, antennas, horns, hatch, motor mount"""
    if bench.whole["drag_item"][index].keys() - {"drag_area"}:
        raise MissingInput  # a thing is listed but not named
    return restated("usual odds and ends")


def drag_area(bench: PartialStudy, index: int) -> Assumption:
    """20 cm2 for all that is in the wind, where nothing is listed"""
    item = bench.whole["drag_item"][index]
    if item.get("kind") != "usual odds and ends":
        raise MissingInput  # the catalogue knows the others
    return Assumption(
        "20 cm2",
        "camera, antennas, horns, hatch and motor mount of the catalogue of drag_items",
        "8 cm2",
        "45 cm2",
        "range, cruise speed, top speed",
    )


def drag_count(bench: PartialStudy, index: int) -> Assumption:
    """One of the usual odds and ends"""
    if bench.whole["drag_item"][index].get("kind") != "usual odds and ends":
        raise MissingInput
    return restated(1)


def stretch_span(bench: PartialStudy, _: int) -> Assumption:
    """From stock.span to stretch.longest"""
    bench.value("stretch", "longest"), bench.value("stock", "span")
    return restated([bench.whole["stock"]["span"], bench.whole["stretch"]["longest"]])


def can_cut_cores(bench: PartialStudy, _: int) -> Assumption:
    """true for scheme scaled, which needs new cores; else false"""
    scaled = bench.value("stretch", "scheme") == "scaled"
    return Assumption(scaled, "stretch.scheme" if scaled else "the careful reading: only what needs no hot wire")


RULES: dict[str, dict[str, Rule]] = {
    "study": {"name": name},
    "stock": {"washout": washout, "airfoil": airfoil, "airfoil_covers": airfoil_covers},
    "elevon": {
        "root_chord": elevon_root_chord,
        "tip_chord": elevon_tip_chord,
        "inner_end": elevon_inner_end,
        "outer_end": elevon_outer_end,
        "thickness": elevon_thickness,
        "material": elevon_material,
    },
    "fin": {
        "height": fin_height,
        "root_chord": fin_root_chord,
        "tip_chord": fin_tip_chord,
        "set_back": fin_set_back,
        "behind_leading_edge": fin_behind_leading_edge,
        "material": fin_material,
    },
    "foam": {"material": foam_material},
    "covering": {"material": covering_material},
    "rods": {
        "name": rod_name,
        "material": rod_material,
        "chord_fraction": rod_chord_fraction,
        "outer_end": rod_outer_end,
        "slot_depth": rod_slot_depth,
        "crosses_centre": rod_crosses_centre,
    },
    "stretch": {"span": stretch_span, "can_cut_cores": can_cut_cores},
    "drag_item": {"kind": drag_kind, "drag_area": drag_area, "count": drag_count},
}
BAY_RULES: dict[str, Rule] = {
    "name": bay_name,
    "from_nose": bay_from_nose,
    "length": bay_length,
    "width": bay_width,
    "depth": bay_depth,
}
