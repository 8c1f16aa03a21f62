"""The sections of a study: outlines of root and tip as drawn, scaled by callipers, and their tables."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from tradestudy.errors import CatalogueError
from tradestudy.physics.aero import lattice
from tradestudy.physics.geometry import planform
from tradestudy.physics.sections import airfoil, mean_line, polar, unnamed_section
from tradestudy.quantities import at_edge, rounded
from tradestudy.results.club import SectionFacts
from tradestudy.study.schema.study import Study
from tradestudy.study.schema.wing import UNKNOWN

NO_CAMBER = 5e-4  # of the chord: where it is greatest means nothing then


class Outlines(NamedTuple):
    """One section: the foam's outline on the chord it was drawn on, and the whole one on whole chord, (n, 2) [-]."""

    foam: np.ndarray
    whole: np.ndarray


class WingSections(NamedTuple):
    """The sections of a wing; ``tip`` is the root's own where the study gives no other."""

    root: Outlines
    tip: Outlines
    hinge_fraction: float  # foam over whole chord, at the mean of root and tip [-]
    front_fraction: float  # foam over the chord that ``foam`` is drawn on [-]

    @property
    def differ(self) -> bool:
        """True where the tip has another section than the root."""
        return self.tip is not self.root


def wing_sections(study: Study, stock: planform.StockWing) -> WingSections:
    """Return the sections of a study, each scaled to its calipers. Raises CatalogueError for a bad name or file.

    A tip with an airfoil of its own and no thickness is as thick as that airfoil is drawn.
    """
    wing, covers_whole = study.stock, study.stock.airfoil_covers == "whole"
    share = stock.hinge_fraction
    root_drawn = _root_drawn(study)
    root = _scaled(study, stock, root_drawn, wing.root_thickness, 0)
    tip = root
    if wing.tip_airfoil is not None or wing.tip_thickness is not None:
        drawn = root_drawn if wing.tip_airfoil is None else named(study, "stock.tip_airfoil", wing.tip_airfoil)
        tip = _scaled(study, stock, drawn, wing.tip_thickness, 1)
    return WingSections(root, tip, share, share if covers_whole else 1.0)


def _scaled(study: Study, stock: planform.StockWing, drawn: np.ndarray, thickness: float | None, end: int) -> Outlines:
    """Outlines of one end of the panel, 0 root or 1 tip, scaled to a thickness [m] where one is given."""
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
        return named(study, "stock.airfoil", stock.airfoil)
    try:
        station, above, below = (np.array(row) for row in (traced.station, traced.above, traced.below))
        return unnamed_section.traced_section(station, above, below, traced.chord)
    except ValueError as error:
        raise CatalogueError(f"traced_section: {error}.") from error


def named(study: Study, key: str, name: str) -> np.ndarray:
    """Return the outline (n, 2) of a coordinate file beside the study, or of a name that ``key`` gives."""
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


def tables(study: Study, found: WingSections) -> tuple[polar.SectionTable, polar.SectionTable]:
    """Return the section tables of root and tip; one and the same where the sections do not differ."""
    root, tip = (
        _table(one.whole.tobytes(), len(one.whole), found.hinge_fraction, study.covering.finish)
        for one in (found.root, found.tip)
    )
    return root, tip


@lru_cache(maxsize=16)
def _table(outline: bytes, count: int, hinge: float, finish: str) -> polar.SectionTable:
    return polar.section_table(np.frombuffer(outline).reshape(count, 2), hinge, finish)


def camber(root: polar.SectionTable, tip: polar.SectionTable) -> lattice.SectionCamber:
    """Return what the lattice needs to know of the sections."""
    lift, tip_lift = (-2 * np.pi * table.zero_lift_angle for table in (root, tip))
    return lattice.SectionCamber(
        lift, root.moment_coefficient, tip_lift - lift, tip.moment_coefficient - root.moment_coefficient
    )


def foam_shapes(found: WingSections) -> tuple[airfoil.SectionShape, airfoil.SectionShape]:
    """Return the geometry of root and tip foam, per unit of foam chord."""
    root, tip = (airfoil.section_shape(one.foam, found.front_fraction) for one in (found.root, found.tip))
    return root, tip


def section_facts(study: Study, stock: planform.StockWing) -> list[SectionFacts]:
    """Return what the sections are, whole chord: of the root, and of the tip where it differs.

    Thin-airfoil numbers are those of the middle line; the others those of the section model at the reference
    Reynolds number, where the trim comes from.
    """
    found = wing_sections(study, stock)
    named = {"root": study.stock.airfoil, "tip": study.stock.tip_airfoil or study.stock.airfoil}
    chords = {"root": stock.root_chord + stock.elevon_root_chord, "tip": stock.tip_chord + stock.elevon_tip_chord}
    rows = []
    for place, one, table in zip(("root", "tip"), (found.root, found.tip), tables(study, found), strict=True):
        if place == "tip" and not found.differ:
            break
        numbers, chord = mean_line.section_numbers(one.whole), chords[place]
        rows.append(
            SectionFacts(
                place=place,
                airfoil=named[place],
                **rounded(
                    at_edge(
                        chord_mm=chord,
                        thickness_pct=numbers.thickness,
                        thickness_mm=numbers.thickness * chord,
                        thickness_at_pct=numbers.thickness_place,
                        camber_pct=numbers.camber,
                        camber_at_pct=numbers.camber_place if abs(numbers.camber) > NO_CAMBER else None,
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
