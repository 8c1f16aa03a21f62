"""The tables of a study's sections, and facts on them for the report."""

from __future__ import annotations

import numpy as np

from tradestudy.aircraft.kept_tables import kept_tables
from tradestudy.aircraft.shape.stock_shape import WingSections, wing_sections
from tradestudy.physics.aero import lattice
from tradestudy.physics.geometry import planform
from tradestudy.physics.sections import mean_line, polar
from tradestudy.quantities import at_edge, rounded
from tradestudy.results.club import SectionFacts
from tradestudy.study.schema.study import Study

_NO_CAMBER = 5e-4  # share of the chord; with less camber, the place of its maximum is meaningless


def section_tables(study: Study, sections: WingSections) -> tuple[polar.SectionTable, polar.SectionTable]:
    """Return the section tables of root and tip. They are identical if the sections are."""
    root, tip = (
        _table(one.complete.tobytes(), len(one.complete), sections.hinge_fraction, study.covering.finish)
        for one in (sections.root, sections.tip)
    )
    return root, tip


@kept_tables(16)
def _table(outline: bytes, count: int, hinge: float, finish: str) -> polar.SectionTable:
    return polar.section_table(np.frombuffer(outline).reshape(count, 2), hinge, finish)


def camber(root: polar.SectionTable, tip: polar.SectionTable) -> lattice.SectionCamber:
    """Return the camber of the sections as input of the vortex lattice."""
    lift, tip_lift = (-2 * np.pi * table.zero_lift_angle for table in (root, tip))
    return lattice.SectionCamber(
        lift, root.moment_coefficient, tip_lift - lift, tip.moment_coefficient - root.moment_coefficient
    )


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
