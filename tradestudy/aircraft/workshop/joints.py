"""What holds a wing together: glue for every joint, pieces of film, and where horns and push rods go.

Amounts are for both halves. They follow from the body of the wing, from the sections of its cores and from its rods.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tradestudy.aircraft.model import materials
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.catalogue import catalogue_part
from tradestudy.physics.weights import mass
from tradestudy.quantities import at_edge, from_edge, in_unit
from tradestudy.results.body import Body, BodySolid
from tradestudy.results.cutting import (
    Core,
    FilmPiece,
    FinSheet,
    GlueJoint,
    LinkageCut,
    PocketCut,
    RodSet,
    SectionTemplate,
    Station,
)
from tradestudy.study.schema.study import Study

from .template_sections import rounded_mm

_FOAM_GLUE, _WOOD_GLUE, _FIN_GLUE, _FILM_GLUE = "polyurethane glue", "slow epoxy", "contact glue", "spray adhesive"
FILM_JOINT = "film on foam"  # name of the joint between covering and foam
_BEAD = from_edge("mm", 10.0)  # width of the glue along the foot of an inboard fin; common practice, no source
_SEAM = 12.0  # mm that pieces of film overlap and reach round an edge; common practice, no source
_TRIM = 10.0  # mm more at each edge of a piece of film, cut off once it is ironed on; common practice, no source
FILM_EDGES = 2 * (_SEAM + _TRIM)  # mm that a piece of film is longer and wider than what it covers
HINGE_STRIP = 25.0  # mm, width of the film that hinges an elevon; common practice, no source
HINGES = 4  # strips of it on a wing: above and below on each side
_HINGE_LAP = 0.5 * HINGE_STRIP
_TOUCHES_CENTRE = 0.01  # mm; a part this near to the centre line lies in the right half alone


def glue_joints(
    design: EvaluatedDesign,
    body: Body,
    ends: list[SectionTemplate],
    cores: list[Core],
    rods: list[RodSet],
    fins: list[FinSheet],
) -> list[GlueJoint]:
    """Return the joints of a wing in the order of the work, those without any part left out."""
    foam, wood = catalogue_part("glues", _FOAM_GLUE), catalogue_part("glues", _WOOD_GLUE)
    fin, film = catalogue_part("glues", _FIN_GLUE), materials.adhesive(design.study)
    covered = mass.bare_wing(design.solution.wing, design.data.layout.materials).lumps["covering"].mass
    share = film / design.data.layout.materials.covering_areal_mass
    rows = [
        ("boards and motor mount", _WOOD_GLUE, wood["spread"] * _board_area(body)),
        ("foam to foam", _FOAM_GLUE, foam["spread"] * from_edge("cm2", _foam_joints(ends, cores))),
        ("joiner in its channel", _FOAM_GLUE, foam["filled_density"] * _channel_gap(body)),
        ("rods in their slots", _FOAM_GLUE, foam["filled_density"] * _slot_gaps(rods)),
        (FILM_JOINT, _FILM_GLUE, float(covered) * share),
        ("fins", _FIN_GLUE, 2.0 * fin["spread"] * _fin_area(fins, ends[-1])),
    ]
    return [_joint(*row) for row in rows if row[-1] > 1e-6]


def _joint(name: str, glue: str, amount: float) -> GlueJoint:
    part = catalogue_part("glues", glue)
    times = {"open_min": part["open_time"], "hold_min": part["holding_time"], "cure_min": part["curing_time"]}
    numbers = {key: round(float(value), 2) for key, value in at_edge(amount_g=amount, **times).items()}
    return GlueJoint(name=name, glue=glue, note=part["note"], source=part["source"], **numbers)


def _halves(solid: BodySolid) -> int:
    """Return 2 for a part of the right half, which the left half has too, and 1 for one across the centre line."""
    return 2 if min(point[1] for point in solid.vertices_mm) >= -_TOUCHES_CENTRE else 1


def _slot_gaps(rods: list[RodSet]) -> float:
    """Return the volume that is left in all slots beside their rods. [m^3]"""
    volume = 0.0
    for rod in rods:
        length = 2 * rod.each_half * rod.length_mm + rod.each_half * rod.across_mm
        volume += max(rod.diameter_mm * rod.slot_depth_mm - 0.25 * np.pi * rod.diameter_mm**2, 0.0) * length
    return float(from_edge("mm", 1.0) ** 3 * volume)


def _channel_gap(body: Body) -> float:
    """Return the volume of joiner channels less that of their joiners. [m^3]"""
    volume = {
        kind: sum(_halves(one) * one.volume_cm3 for one in body.solids if one.kind == kind)
        for kind in ("channel", "joiner")
    }
    return from_edge("cm3", max(volume["channel"] - volume["joiner"], 0.0))


def _size(solid: BodySolid) -> np.ndarray:
    return from_edge("mm", np.ptp(np.array(solid.vertices_mm), axis=0))


def _board_area(body: Body) -> float:
    """Return the glued area of boards, one face and three edges each, and of both walls of motor slots. [m^2]"""
    area = 0.0
    for solid in body.solids:
        x, y, z = _size(solid)
        if solid.kind == "board":
            area += _halves(solid) * (y * z + 2 * x * z + x * y)
        elif solid.kind == "slot":
            area += 2.0 * _halves(solid) * x * z
    return float(area)


def _foam_joints(ends: list[SectionTemplate], cores: list[Core]) -> float:
    """Return the area of all joints between cores, the one on the centre line included. [cm^2]"""
    area = {section.name: section.foam_area_cm2 for section in ends}
    joints = 2.0 * sum(area[core.inner] for core in cores[1:])
    return joints + (area[cores[0].inner] if cores[0].count > 1 else 0.0)


def _fin_area(fins: list[FinSheet], tip: SectionTemplate) -> float:
    """Return the glued area of all fins: the face of the tip, or a bead along the foot of an inboard fin. [m^2]"""
    on_tip = 2.0 * from_edge("cm2", tip.foam_area_cm2) if any(fin.from_centre_mm is None for fin in fins) else 0.0
    feet = sum(from_edge("mm", fin.foot_mm) for fin in fins if fin.from_centre_mm is not None)
    return float(on_tip + 2.0 * _BEAD * feet)


def film_pieces(
    ends: list[SectionTemplate], stations: list[Station], elevon_ends: tuple[float, float]
) -> list[FilmPiece]:
    """Return the pieces of film in the order in which they are laid: lower side, upper side, elevons, hinges.

    ``elevon_ends`` are those of the elevon from the centre line. Sides of a half wing are one piece each, laid along
    the swept leading edge. Elevon and fixed strips of a half wing are covered from one piece. [mm]
    """
    points = np.array([(row.station_mm, row.leading_edge_mm) for row in stations])
    points = np.concatenate([points, [(row.station_mm, row.hinge_mm) for row in stations]])
    root, tip = ends[0], ends[-1]
    along = np.array([tip.station_mm - root.station_mm, tip.leading_edge_mm - root.leading_edge_mm])
    along = along / np.hypot(*along)
    spread = np.ptp(points @ along), np.ptp(points @ np.array([-along[1], along[0]]))
    more = max(_arc_over_chord(section) for section in ends)
    side = {"length_mm": _whole(spread[0] + FILM_EDGES), "width_mm": _whole(more * spread[1] + FILM_EDGES)}
    chord = max(row.elevon_chord_mm for row in stations)
    hinge = np.interp(elevon_ends, [row.station_mm for row in stations], [row.hinge_mm for row in stations])
    elevon_length = float(np.hypot(elevon_ends[1] - elevon_ends[0], hinge[1] - hinge[0]))
    steps = np.diff([(row.station_mm, row.hinge_mm) for row in stations], axis=0)
    behind = float(np.hypot(*steps.T).sum())  # along the hinge line, from the centre line to the tip
    elevon = {"length_mm": _whole(behind + FILM_EDGES), "width_mm": _whole(2 * chord + FILM_EDGES)}
    return [
        FilmPiece("lower side of a half wing", 2, overlap_mm=_SEAM, **side),
        FilmPiece("upper side of a half wing", 2, overlap_mm=_SEAM, **side),
        FilmPiece("elevon and fixed strips, folded round their trailing edge", 2, overlap_mm=_SEAM, **elevon),
        FilmPiece(
            "hinge, one along the top and one from below", HINGES, _whole(elevon_length), HINGE_STRIP, _HINGE_LAP
        ),
    ]


def _whole(length: float) -> float:
    return float(np.ceil(length))


def _arc_over_chord(section: SectionTemplate) -> float:
    """Return the length of the longer surface of a section over its foam chord. [-]"""
    count = len(section.x_mm) // 2
    sides = (slice(None, count + 1), slice(count, None))
    lengths = [float(np.hypot(np.diff(section.x_mm[side]), np.diff(section.z_mm[side])).sum()) for side in sides]
    return max(lengths) / section.foam_chord_mm


def area_of_one_side(stations: list[Station]) -> float:
    """Return the area of one side of both half wings, seen from above. [cm^2]"""
    y = [row.station_mm for row in stations]
    chord = [row.trailing_edge_mm - row.leading_edge_mm for row in stations]
    return round(in_unit(2.0 * from_edge("mm", 1.0) ** 2 * float(np.trapezoid(chord, y)), "cm2"), 1)


def linkage_places(study: Study, pockets: Sequence[PocketCut], stations: list[Station]) -> list[LinkageCut]:
    """Return where the horn behind every pocket of a servo goes. If all of [linkage] is assumed, there is none."""
    linkage = study.linkage_as_built
    if linkage is None:
        return []
    arms = at_edge(servo_arm_mm=linkage.servo_arm, horn_mm=linkage.horn)
    y = [row.station_mm for row in stations]
    rows = []
    for pocket in pockets:
        hinge = float(np.interp(pocket.middle_mm, y, [row.hinge_mm for row in stations]))
        if "servo" in pocket.name.lower():
            middle = pocket.behind_nose_mm + 0.5 * pocket.length_mm
            places = {"horn_station_mm": pocket.middle_mm, "hinge_mm": hinge, "rod_mm": hinge - middle, **arms}
            rows.append(LinkageCut(pocket=pocket.name, **{key: rounded_mm(one) for key, one in places.items()}))
    return rows
