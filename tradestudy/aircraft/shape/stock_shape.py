"""The shape of a study's stock wing: its outline, the outlines of its sections, and what must lie inside its skin.

It imports little, so that `check` starts quickly.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from tradestudy.errors import CatalogueError
from tradestudy.physics.body import clearance, skin
from tradestudy.physics.body.rod_limits import JOINER_COVER
from tradestudy.physics.geometry import planform
from tradestudy.physics.geometry.stretch_schemes import stock_planform
from tradestudy.physics.sections import airfoil, unnamed_section
from tradestudy.study.fault_lines import contradiction
from tradestudy.study.line_numbers import Place
from tradestudy.study.referenced_files.named_file import text_of
from tradestudy.study.schema.study import Study
from tradestudy.study.schema.wing import UNKNOWN, BayTable


def stock_wing(study: Study) -> planform.StockWing:
    """Return the stock wing as an input record of the physics."""
    stock, elevon = study.stock, study.elevon
    return planform.StockWing(
        stock.span,
        stock.centre_width,
        stock.root_chord,
        stock.tip_chord,
        stock.tip_set_back,
        stock.washout,
        stock.dihedral,
        elevon.root_chord,
        elevon.tip_chord,
        elevon.inner_end,
        elevon.outer_end,
        elevon.outline or (),
    )


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
        raise contradiction(study, ("traced_section",), f"cannot be used: {error}.") from error


def outline_of_name(study: Study, key: str, name: str) -> np.ndarray:
    """Return the outline (n, 2) of a coordinate file next to the study, or of a named airfoil.

    ``key`` is named in error messages.
    """
    file = study.file_path(name)
    try:
        if file.is_file():
            return airfoil.coordinates_from_text(text_of(file))
        return _by_name(name)
    except ValueError as error:
        raise CatalogueError(f"{key} {name}: {error}.") from error


@lru_cache(maxsize=16)
def _by_name(name: str) -> np.ndarray:
    return airfoil.coordinates_by_name(name)


def skin_points(study: Study, stock: planform.StockWing, sections: WingSections) -> skin.SectionPoints:
    """Return the points of the sections of root and tip, from which the skin is made."""
    wing = stock_planform(stock)
    panel = [index for index, piece in enumerate(wing.pieces) if piece == "panel"]
    ends = panel[0], panel[-1] + 1
    foam, elevon = ([float(chord[end]) for end in ends] for chord in (wing.foam_chord, wing.elevon_chord))
    plate = None if study.stock.airfoil_covers == "whole" else study.elevon.thickness
    return skin.section_points(sections.root.foam, sections.tip.foam, (foam[0], foam[1]), (elevon[0], elevon[1]), plate)


def bay_box(bay: BayTable) -> clearance.FoamBox:
    """Return the box of a bay. A lid that stands above the skin leaves that much more room."""
    above = bay.lid - (bay.raised_lid or 0.0)
    return clearance.FoamBox(
        f"bay {bay.name}", bay.from_nose, bay.length, bay.outer_side, bay.depth, above, bay.floor, bay.inner_side
    )


def foam_boxes(study: Study) -> list[tuple[clearance.FoamBox, Place]]:
    """Return every box that must lie inside the skin, with its key in the study: the bays and the joiner."""
    boxes: list[tuple[clearance.FoamBox, Place]] = [
        (bay_box(bay), ("bay", index, "depth")) for index, bay in enumerate(study.bay)
    ]
    if joiner := study.joiner:
        wide, half = joiner.channel_width, 0.5 * joiner.length
        front = joiner.from_nose - 0.5 * wide
        box = clearance.FoamBox("joiner", front, wide, half, joiner.diameter, JOINER_COVER, JOINER_COVER)
        boxes.append((box, ("joiner", "from_nose")))
    return boxes
