"""The sections of a study: outlines of root and tip, scaled to the measured thickness, and their tables."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from tradestudy.errors import CatalogueError
from tradestudy.physics.aero import lattice
from tradestudy.physics.body import skin
from tradestudy.physics.geometry import planform
from tradestudy.physics.sections import airfoil, mean_line, polar, unnamed_section
from tradestudy.quantities import at_edge, rounded
from tradestudy.results.club import SectionFacts
from tradestudy.study.schema.study import Study
from tradestudy.study.schema.wing import UNKNOWN

_NO_CAMBER = 5e-4  # share of the chord; with less camber, the place of its maximum is meaningless


class Outlines(NamedTuple):
    """Outlines (n, 2) of one section: foam on the chord of its coordinates, complete section on full chord. [-]"""

    foam: np.ndarray
    complete: np.ndarray


class WingSections(NamedTuple):
    """The sections of a wing. ``tip`` is the same object as ``root`` if the study gives no tip section."""

    root: Outlines
    tip: Outlines
    hinge_fraction: float  # foam chord over full chord, mean of root and tip [-]
    front_fraction: float  # foam chord over the chord of the coordinates in ``foam`` [-]

    @property
    def differ(self) -> bool:
        """True if the tip has another section than the root."""
        return self.tip is not self.root


def wing_sections(study: Study, stock: planform.StockWing) -> WingSections:
    """Return the sections of a study, each scaled to its measured thickness.

    Raises CatalogueError for a bad name or file.

    A tip with an airfoil but without a thickness has the thickness of that airfoil's coordinates.
    """
    wing, covers_whole = study.stock, study.stock.airfoil_covers == "whole"
    share = stock.hinge_fraction
    root_drawn = _root_drawn(study)
    root = _scaled(study, stock, root_drawn, wing.root_thickness, 0)
    tip = root
    if wing.tip_airfoil is not None or wing.tip_thickness is not None:
        drawn = (
            root_drawn if wing.tip_airfoil is None else outline_of_name(study, "stock.tip_airfoil", wing.tip_airfoil)
        )
        tip = _scaled(study, stock, drawn, wing.tip_thickness, 1)
    return WingSections(root, tip, share, share if covers_whole else 1.0)


def _scaled(study: Study, stock: planform.StockWing, drawn: np.ndarray, thickness: float | None, end: int) -> Outlines:
    """Return the outlines of one end of the panel, 0 for root or 1 for tip.

    If ``thickness`` [m] is given, they are scaled to it.
    """
    foam = (stock.root_chord, stock.tip_chord)[end]
    elevon = (stock.elevon_root_chord, stock.elevon_tip_chord)[end]
    covers_whole = study.stock.airfoil_covers == "whole"
    if thickness is not None:
        drawn = airfoil.scaled_thickness(drawn, thickness / (foam + (elevon if covers_whole else 0.0)))
    if covers_whole:
        return Outlines(drawn, drawn)
    share = stock.hinge_fraction
    plate = study.elevon.thickness * (1 - share) / stock.elevon_chord
    return Outlines(drawn, airfoil.with_plate_elevon(drawn, share, plate))


def _root_drawn(study: Study) -> np.ndarray:
    stock, traced = study.stock, study.traced_section
    if stock.airfoil == UNKNOWN:
        return unnamed_section.generic_section(stock.root_thickness / (stock.root_chord + study.elevon.root_chord))
    if traced is None:
        return outline_of_name(study, "stock.airfoil", stock.airfoil)
    try:
        station, above, below = (np.array(row) for row in (traced.station, traced.above, traced.below))
        return unnamed_section.traced_section(station, above, below, traced.chord)
    except ValueError as error:
        raise CatalogueError(f"traced_section: {error}.") from error


def outline_of_name(study: Study, key: str, name: str) -> np.ndarray:
    """Return the outline (n, 2) of a coordinate file next to the study, or of a named airfoil.

    ``key`` is named in error messages.
    """
    file = study.file_path(name)
    try:
        if file.is_file():
            return airfoil.coordinates_from_text(file.read_text(encoding="utf-8"))
        return _by_name(name)
    except (ValueError, UnicodeDecodeError) as error:
        raise CatalogueError(f"{key} {name}: {error}.") from error


@lru_cache(maxsize=16)
def _by_name(name: str) -> np.ndarray:
    return airfoil.coordinates_by_name(name)


def section_tables(study: Study, sections: WingSections) -> tuple[polar.SectionTable, polar.SectionTable]:
    """Return the section tables of root and tip. They are identical if the sections are."""
    root, tip = (
        _table(one.complete.tobytes(), len(one.complete), sections.hinge_fraction, study.covering.finish)
        for one in (sections.root, sections.tip)
    )
    return root, tip


@lru_cache(maxsize=16)
def _table(outline: bytes, count: int, hinge: float, finish: str) -> polar.SectionTable:
    return polar.section_table(np.frombuffer(outline).reshape(count, 2), hinge, finish)


def camber(root: polar.SectionTable, tip: polar.SectionTable) -> lattice.SectionCamber:
    """Return the camber of the sections as input of the vortex lattice."""
    lift, tip_lift = (-2 * np.pi * table.zero_lift_angle for table in (root, tip))
    return lattice.SectionCamber(
        lift, root.moment_coefficient, tip_lift - lift, tip.moment_coefficient - root.moment_coefficient
    )


def skin_points(study: Study, stock: planform.StockWing) -> skin.SectionPoints:
    """Return the points of root and tip from which the outer skin of every wing of a study is made."""
    sections = wing_sections(study, stock)
    return skin.section_points(
        sections.root.foam,
        sections.tip.foam,
        (float(stock.root_chord), float(stock.tip_chord)),
        (float(stock.elevon_root_chord), float(stock.elevon_tip_chord)),
        None if study.stock.airfoil_covers == "whole" else study.elevon.thickness,
    )


def foam_shapes(sections: WingSections) -> tuple[airfoil.SectionShape, airfoil.SectionShape]:
    """Return the geometry of root and tip foam for a foam chord of 1."""
    root, tip = (airfoil.section_shape(one.foam, sections.front_fraction) for one in (sections.root, sections.tip))
    return root, tip


def section_facts(study: Study, stock: planform.StockWing) -> list[SectionFacts]:
    """Return facts of the root section on full chord, and of the tip section if it differs.

    Thin-airfoil numbers come from the mean line. The others come from the section model at the reference Reynolds
    number, which the trim uses.
    """
    sections = wing_sections(study, stock)
    names = {"root": study.stock.airfoil, "tip": study.stock.tip_airfoil or study.stock.airfoil}
    chords = {"root": stock.root_chord + stock.elevon_root_chord, "tip": stock.tip_chord + stock.elevon_tip_chord}
    rows = []
    for place, one, table in zip(
        ("root", "tip"), (sections.root, sections.tip), section_tables(study, sections), strict=True
    ):
        if place == "tip" and not sections.differ:
            break
        numbers, chord = mean_line.section_numbers(one.complete), chords[place]
        rows.append(
            SectionFacts(
                place=place,
                airfoil=names[place],
                **rounded(
                    at_edge(
                        chord_mm=chord,
                        thickness_pct=numbers.thickness,
                        thickness_mm=numbers.thickness * chord,
                        thickness_at_pct=numbers.thickness_place,
                        camber_pct=numbers.camber,
                        camber_at_pct=numbers.camber_place if abs(numbers.camber) > _NO_CAMBER else None,
                        area_cm2=numbers.area * chord**2,
                        perimeter_mm=numbers.perimeter * chord,
                        zero_lift_angle_deg=float(table.zero_lift_angle),
                        moment_coefficient=table.moment_coefficient,
                        thin_zero_lift_angle_deg=float(numbers.zero_lift_angle),
                        thin_moment_coefficient=numbers.moment_coefficient,
                    ),
                    4,
                ),
            )
        )
    return rows
