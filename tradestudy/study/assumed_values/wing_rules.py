"""Rules for the parts of the wing (elevon, fins, foam, covering, rods, drag items) and for the stretch."""

from __future__ import annotations

from tradestudy.physics.body.rod_limits import PAIRS_APART
from tradestudy.study.schema.key_types import JUDGEMENT
from tradestudy.study.schema.rods import USUAL_CHANNEL
from tradestudy.study.schema.wing import TRACED, UNKNOWN

from .rule_types import (
    COMMON_PRACTICE,
    Assumption,
    MissingInput,
    PartialStudy,
    Rule,
    assumed_length,
    constant,
    restated,
)

_UNLISTED_DRAG = "usual odds and ends"
_END_TO_BAY = 0.005  # m; foam between a bay and the end of a rod beside it; judgement
_FROM_THE_CENTRE = ("cross over", "sleeve", "whole")  # values of at_centre whose rods start at the centre line
_ON_CENTRE = 1e-4  # m; a rod that starts nearer to the centre line starts there
_JOINER_REARMOST, _JOINER_PLACE = 0.75, 0.35  # shares of the root chord, see _joiner_from_nose; judgement

_Band = tuple[float, float, float]  # value in use, low end, high end


def _study_name(study: PartialStudy, _: int) -> Assumption:
    """The file's own name"""
    letters = "".join(letter if letter.isalnum() or letter in " -_" else "-" for letter in study.stem)
    return Assumption(letters.strip(" -_")[:60] or "study", "the file's own name")


def _airfoil(study: PartialStudy, _: int) -> Assumption:
    """The traced section if there is one, else a generic reflexed section of the measured thickness"""
    if study.has("traced_section"):
        return restated(TRACED)
    return Assumption(
        UNKNOWN,
        "generic reflexed section of the measured thickness",
        low="mh60",
        high="e184",
        moves="range, stall speed, elevon in cruise",
    )


def _not_listed_by_area(study: PartialStudy, _: int) -> Assumption:
    """0.4; 0.15 without a list of equipment, since most of the weight not listed is then equipment"""
    return _growing_share(study, (0.4, 0.2, 0.6), (0.15, 0.0, 0.4))


def _not_listed_by_joints(study: PartialStudy, _: int) -> Assumption:
    """0.2; 0.08 without a list of equipment"""
    return _growing_share(study, (0.2, 0.05, 0.4), (0.08, 0.0, 0.2))


def _growing_share(study: PartialStudy, listed: _Band, without: _Band) -> Assumption:
    """Return a share of the weight not listed, by whether the study lists its equipment."""
    things = study.tables.get("equipment")
    weighed = isinstance(things, list) and any({"mass", "kind"} & set(one) for one in things if isinstance(one, dict))
    middle, low, high = listed if weighed else without
    return Assumption(middle, JUDGEMENT, low, high, "weight of a longer wing")


def _balance_from_nose(study: PartialStudy, _: int) -> Assumption:
    """Root chord with the elevon or fixed strip, less stock.balance_from_trailing_edge"""
    ahead = study.value("stock", "balance_from_trailing_edge")
    chord = study.value("stock", "root_chord") + study.value("elevon", "root_chord")
    return restated(f"{1e3 * (chord - ahead):.6g} mm")


def _of_outline(study: PartialStudy, point: int, column: int) -> Assumption | None:
    """Return a number from the elevon's outline, or None if it has no outline. Raise MissingInput if it is wrong."""
    if not study.has("elevon", "outline"):
        return None
    return restated(study.written("elevon", "outline")[point][column])


def _elevon_root_chord(study: PartialStudy, _: int) -> Assumption:
    """The chord at the first point of elevon.outline, else stock.elevon_chord"""
    return _of_outline(study, 0, 1) or restated(study.written("stock", "elevon_chord"))


def _elevon_tip_chord(study: PartialStudy, _: int) -> Assumption:
    """The chord at the last point of elevon.outline, else stock.elevon_chord"""
    return _of_outline(study, -1, 1) or restated(study.written("stock", "elevon_chord"))


def _elevon_inner_end(study: PartialStudy, _: int) -> Assumption:
    """The first point of elevon.outline, else 6 % of the span from the centre line"""
    if outline := _of_outline(study, 0, 0):
        return outline
    span, centre = study.value("stock", "span"), study.value("stock", "centre_width")
    return assumed_length(
        max(0.06 * span, 0.5 * centre),
        low=0.5 * centre,
        high=max(0.14 * span, 0.5 * centre),
        moves="elevon throw, elevon weight, a little range",
    )


def _elevon_outer_end(study: PartialStudy, _: int) -> Assumption:
    """The last point of elevon.outline, else 96 % of the half span"""
    if outline := _of_outline(study, -1, 0):
        return outline
    half = 0.5 * study.value("stock", "span")
    return assumed_length(0.96 * half, 0.75 * half, half, "elevon throw, elevon weight, a little range")


def _elevon_thickness(study: PartialStudy, _: int) -> Assumption:
    """6 mm, or a quarter of the root thickness where that is less"""
    thickest = study.value("stock", "root_thickness")
    middle = min(0.006, 0.25 * thickest)
    return assumed_length(middle, 0.5 * middle, min(1.6 * middle, 0.4 * thickest), "elevon weight")


def fins_are_assumed(study: PartialStudy) -> bool:
    """Return whether a fin is assumed if the study has none.

    This is so if stock.fin_height is above 0, or if it is not given and the study has the short form of the elevon.
    """
    try:
        return study.value("stock", "fin_height") > 0
    except MissingInput:
        return not study.has("stock", "fin_height") and study.has("stock", "elevon_chord")


def _fin_height(study: PartialStudy, _: int) -> Assumption:
    """stock.fin_height, else 11 % of the span"""
    if study.has("stock", "fin_height"):
        return restated(study.written("stock", "fin_height"))
    span = study.value("stock", "span")
    return assumed_length(0.11 * span, 0.06 * span, 0.17 * span, "yaw stiffness, weight, range")


def _tip_chord(study: PartialStudy) -> float:
    """Return the tip chord including the elevon. [m]"""
    elevon = study.value("elevon", "tip_chord") if study.has("elevon", "tip_chord") else 0.0
    return study.value("stock", "tip_chord") + elevon


def _foam_chord(study: PartialStudy, station: float) -> float:
    """Return the foam chord at a distance from the centre line. [m]"""
    root, tip = study.value("stock", "root_chord"), study.value("stock", "tip_chord")
    centre, half = 0.5 * study.value("stock", "centre_width"), 0.5 * study.value("stock", "span")
    share = (station - centre) / max(half - centre, 1e-9)
    return root + min(max(share, 0.0), 1.0) * (tip - root)


def _fin_root_chord(study: PartialStudy, _: int) -> Assumption:
    """85 % of the tip chord"""
    tip = _tip_chord(study)
    return assumed_length(0.85 * tip, 0.65 * tip, 1.1 * tip, "yaw stiffness, weight, range")


def _fin_tip_chord(study: PartialStudy, index: int) -> Assumption:
    """60 % of the fin's root chord"""
    root = study.value("fin", "root_chord", index)
    return assumed_length(0.6 * root, 0.4 * root, 0.9 * root, "yaw stiffness, weight")


def _fin_set_back(study: PartialStudy, index: int) -> Assumption:
    """45 % of the fin's height"""
    height = study.value("fin", "height", index)
    return assumed_length(0.45 * height, 0.0, height, "yaw stiffness, a little balance")


def _fin_behind_leading_edge(study: PartialStudy, index: int) -> Assumption:
    """12 % of the tip chord; inboard, so that the fin ends at the hinge line"""
    if "from_centre" in study.tables["fin"][index]:
        # A fin in front of the balance turns the wing away from its course, so builders put it as far back as it goes.
        place = _foam_chord(study, study.value("fin", "from_centre", index)) - study.value("fin", "root_chord", index)
        elevon = study.value("elevon", "root_chord") if study.has("elevon", "root_chord") else 0.0
        place = max(place, 0.0)
        return assumed_length(place, 0.5 * place, place + elevon, "yaw stiffness, a little balance")
    tip = _tip_chord(study)
    return assumed_length(0.12 * tip, 0.0, 0.4 * tip, "yaw stiffness, a little balance")


def _rod_name(study: PartialStudy, index: int) -> Assumption:
    """main, numbered where there are several"""
    return restated("main" if index == 0 else f"rods {index + 1}")


def _rod_chord_fraction(_: PartialStudy, index: int) -> Assumption:
    """0.30 of the foam chord for the first rods; others must state it"""
    if index:
        raise MissingInput
    return Assumption(0.30, COMMON_PRACTICE, 0.22, 0.40, "strength, bend")


def _rod_outer_end(study: PartialStudy, index: int) -> Assumption:
    """92 % of the half span"""
    half = 0.5 * study.value("stock", "span")
    return assumed_length(0.92 * half, 0.7 * half, half, "where the tips break, rod length")


def _rod_slot_depth(study: PartialStudy, index: int) -> Assumption:
    """5 mm, or the rod's own diameter where that is more"""
    diameter = study.value("rods", "diameter", index)
    middle = max(0.005, diameter)
    low, middle_text, high = (f"{1e3 * length:g} mm" for length in (max(0.0035, diameter), middle, middle + 0.002))
    return Assumption(middle_text, COMMON_PRACTICE, low, high, "strength, bend")


def _rod_place(study: PartialStudy, index: int, station: float) -> float:
    """Return how far a straight rod is behind the nose, at this distance from the centre line [m]. [m]"""
    rod = {key: study.value("rods", key, index) for key in ("chord_fraction", "outer_end")}
    tip = study.tables["rods"][index].get("tip_chord_fraction")
    tip_fraction = rod["chord_fraction"] if tip is None else study.value("rods", "tip_chord_fraction", index)
    root, tip_chord, set_back = (study.value("stock", key) for key in ("root_chord", "tip_chord", "tip_set_back"))
    half_span, half_centre = 0.5 * study.value("stock", "span"), 0.5 * study.value("stock", "centre_width")
    inner, outer = rod["chord_fraction"] * root, rod["outer_end"] - half_centre
    if outer <= 0.0 or half_span <= half_centre:
        return inner
    share = outer / (half_span - half_centre)
    slope = (share * set_back + tip_fraction * (root + share * (tip_chord - root)) - inner) / outer
    return inner + slope * max(station - half_centre, 0.0)


def _rod_inner_end(study: PartialStudy, index: int) -> Assumption:
    """the centre line, or 5 mm outside the bay that the rods would run through if at_centre does not need the centre"""
    if study.tables["rods"][index].get("at_centre") in _FROM_THE_CENTRE:
        return Assumption("0 mm", "its at_centre")
    reach = 0.5 * PAIRS_APART * (study.value("rods", "pairs", index) - 1) + _END_TO_BAY
    tables = study.tables.get("bay")
    for bay in range(len(tables)) if isinstance(tables, list) else ():
        front, length, width = (study.value("bay", key, bay) for key in ("from_nose", "length", "width"))
        end = 0.5 * width + _END_TO_BAY
        places = [_rod_place(study, index, station) for station in (0.0, end)]
        if front - reach < max(places) and min(places) < front + length + reach:
            return assumed_length(end, end, end + 0.030, "strength of the centre", "outside the bay")
    return assumed_length(0.0, 0.0, 0.040, "strength of the centre", "common practice: rods start on the centre line")


def _rod_at_centre(study: PartialStudy, index: int) -> Assumption:
    """lap where the rod starts on the centre line, else ends"""
    if study.value("rods", "inner_end", index) > _ON_CENTRE:
        return Assumption("ends", "its inner_end")
    return Assumption("lap", "its inner_end", "ends", "cross over", "strength of the centre")


def _joiner_from_nose(study: PartialStudy, _: int) -> Assumption:
    """10 mm of foam behind a bay that ends ahead of 75 % of the root chord; else 35 % of it, or behind a bay there"""
    chord, diameter = study.value("stock", "root_chord"), study.value("joiner", "diameter")
    channel = study.value("joiner", "channel") if "channel" in study.tables["joiner"] else USUAL_CHANNEL * diameter
    half = 0.5 * max(channel, diameter)
    tables = study.tables.get("bay")
    bays = range(len(tables)) if isinstance(tables, list) else ()
    fronts, lengths = ([study.value("bay", key, bay) for bay in bays] for key in ("from_nose", "length"))
    walls = [front + length for front, length in zip(fronts, lengths, strict=True)]

    def is_free(place: float) -> bool:
        return not any(front - half < place < wall + half for front, wall in zip(fronts, walls, strict=True))

    place = _JOINER_PLACE * chord
    ahead = [wall for wall in walls if wall < _JOINER_REARMOST * chord]
    behind = [wall for wall in walls if is_free(wall + half + 0.010) and wall + 2 * half + 0.010 < chord]
    if not behind or (not ahead and is_free(place)):
        return assumed_length(place, 0.9 * place, 1.15 * place, "balance mark", JUDGEMENT)
    wall = max([wall for wall in behind if wall in ahead] or [min(behind)]) + half
    origin = f"{JUDGEMENT}: foam between the bay and the joiner"
    return assumed_length(wall + 0.010, wall + 0.005, wall + 0.025, "balance mark", origin)


def _drag_kind(study: PartialStudy, index: int) -> Assumption:
    """usual odds and ends, where nothing is listed: camera, antennas, horns, hatch, motor mount"""
    if study.tables["drag_item"][index].keys() - {"drag_area"}:
        raise MissingInput  # an item is listed but has no kind
    return restated(_UNLISTED_DRAG)


def _drag_area(study: PartialStudy, index: int) -> Assumption:
    """20 cm2 for everything in the air stream, where nothing is listed"""
    if study.tables["drag_item"][index].get("kind") != _UNLISTED_DRAG:
        raise MissingInput  # the catalogue has the drag area of all other kinds
    return Assumption(
        "20 cm2",
        "camera, antennas, horns, hatch and motor mount of the catalogue of drag_items",
        low="8 cm2",
        high="45 cm2",
        moves="range, cruise speed, top speed",
    )


def _drag_count(study: PartialStudy, index: int) -> Assumption:
    """1 for the usual odds and ends"""
    _drag_area(study, index)
    return restated(1)


def _stretch_span(study: PartialStudy, _: int) -> Assumption:
    """From stock.span to stretch.longest"""
    return restated([study.written("stock", "span"), study.written("stretch", "longest")])


def _can_cut_cores(study: PartialStudy, _: int) -> Assumption:
    """true for scheme scaled, which needs new cores; else false"""
    scaled = study.value("stretch", "scheme") == "scaled"
    return Assumption(scaled, "stretch.scheme" if scaled else "the cautious assumption: only what needs no hot wire")


BALANCE_RULES: dict[str, Rule] = {"balance_from_nose": _balance_from_nose}  # after those of the elevon
WING_RULES: dict[str, dict[str, Rule]] = {
    "study": {"name": _study_name},
    "stock": {
        "washout": constant("2 deg", "0 deg", "4 deg", "where the tips stall, elevon in cruise, a little range"),
        "airfoil": _airfoil,
        "not_listed_by_area": _not_listed_by_area,
        "not_listed_by_joints": _not_listed_by_joints,
        "airfoil_covers": constant("whole", "foam", "whole", "foam weight, stiffness, drag of the elevon's step"),
    },
    "elevon": {
        "root_chord": _elevon_root_chord,
        "tip_chord": _elevon_tip_chord,
        "inner_end": _elevon_inner_end,
        "outer_end": _elevon_outer_end,
        "thickness": _elevon_thickness,
        "material": constant("balsa", "corrugated sheet 3 mm", "balsa", "elevon weight"),
    },
    "fin": {
        "height": _fin_height,
        "root_chord": _fin_root_chord,
        "tip_chord": _fin_tip_chord,
        "set_back": _fin_set_back,
        "behind_leading_edge": _fin_behind_leading_edge,
        "material": constant("corrugated sheet 3 mm", "corrugated sheet 2 mm", "balsa", "weight at the tips"),
    },
    "foam": {
        "material": constant("EPP 30", "EPP 20", "EPP 45", "weight of a longer wing, what breaks first, bend"),
    },
    "covering": {
        "material": constant("laminating film 38 um", "OPP film 43 um", "iron-on covering", "weight, twist in flight"),
    },
    "rods": {
        "name": _rod_name,
        "material": constant("glass", "glass", "carbon", "strength, bend, a little weight"),
        "chord_fraction": _rod_chord_fraction,
        "outer_end": _rod_outer_end,
        "slot_depth": _rod_slot_depth,
    },
    "stretch": {"span": _stretch_span, "can_cut_cores": _can_cut_cores},
    "drag_item": {"kind": _drag_kind, "drag_area": _drag_area, "count": _drag_count},
}
ROD_CENTRE_RULES: dict[str, Rule] = {  # after those of the bays
    "inner_end": _rod_inner_end,
    "at_centre": _rod_at_centre,
}
JOINER_RULES: dict[str, Rule] = {"from_nose": _joiner_from_nose}  # after those of the bays
