"""What to buy for one wing or all wings of a club: cells, rods by the length sold, foam, film, sheet, drive, glue."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np

from tradestudy.aircraft.anchor.calibration import Anchor, stretched_data
from tradestudy.aircraft.model.choices import choice_of, study_with_choice, variables_of
from tradestudy.aircraft.model.designs import WING_SHAPE
from tradestudy.physics.flight import layout
from tradestudy.physics.geometry import fins as fins_of
from tradestudy.physics.geometry import planform
from tradestudy.quantities import from_edge, from_si, in_unit
from tradestudy.results.club import Purchase
from tradestudy.results.cutting import GlueJoint
from tradestudy.results.design import Design
from tradestudy.study.schema.key_types import propeller_lengths
from tradestudy.study.schema.study import Study

from .build_price import changed_kinds, material_amounts, new_cores, rod_size, with_prices
from .joints import FILM_JOINT
from .rod_stock import rod_pieces, rod_plans
from .small_parts import small_parts

_PAINT_SPREAD = (
    10e3  # area that a volume of paint covers in one coat, 10 m^2 a litre [m^2/m^3]; common practice, no source
)
_SAME_LENGTH = 1e-6  # m; lengths that differ by less count as equal


def shopping_list(study: Study, anchor: Anchor, design: Design, slowest: float) -> list[Purchase]:
    """Return what to buy to build ``design`` for all members.

    For a wing that keeps the panels of the stock wing, these are the parts that it changes.
    """
    choice, variables = choice_of(design), variables_of(design)
    laid, study = stretched_data(study, anchor, choice, slowest).layout, study_with_choice(study, choice)
    wing = layout.wing_outline(laid, *(np.asarray(variables[name]) for name in WING_SHAPE))
    wings = sum(one.members for one in study.equipment_set) or 1
    cell = study.pack.cell_numbers
    rows = [
        _row(
            "cells",
            f"cells, {study.pack.cell}, {choice.series}S{choice.parallel}P",
            f"{in_unit(cell['capacity'], 'mAh'):.0f} mAh, {in_unit(cell['mass'], 'g'):.0f} g",
            choice.series * choice.parallel,
            wings,
            "pieces",
            study.pack.cell,
        )
    ]
    rows += _rods(study, laid, wing, choice, wings)
    rows += _sheets(study, laid, wing, design, wings)
    diameter, pitch = (in_unit(size, "mm") for size in propeller_lengths(choice.propeller))
    motor, controller = study.motor, study.controller
    rows += [
        _row(
            "propeller",
            "propeller",
            f"{choice.propeller} ({diameter:.4g} x {pitch:.4g} mm)",
            1,
            wings,
            "pieces",
            choice.propeller,
        ),
        _row(
            "motor",
            "motor",
            f"{motor.size}, {from_si(motor.speed_constant, 'rpm/V', 'speed_constant'):.0f} rpm/V, "
            f"{in_unit(motor.mass, 'g'):.0f} g",
            1,
            wings,
            "pieces",
            choice.motor or motor.size,
        ),
        _row(
            "motor controller",
            "motor controller",
            f"{controller.maximum_current:.0f} A, {in_unit(controller.mass, 'g'):.0f} g",
            1,
            wings,
            "pieces",
        ),
    ]
    rows += _servos(study, wings) + _consumed(design, wings)
    rows += [
        _row(part.kind, part.what, part.each, part.amount, wings, part.unit) for part in small_parts(study, design)
    ]
    if design.cut.panels_kept:
        rows = [row for row in rows if row.kind in changed_kinds(choice, anchor.choice)]
    rows = with_prices(rows, study, material_amounts(study, laid, wing), choice)
    owned = study.shopping.owned or ()
    return [replace(row, owned=row.kind in owned) for row in rows]


def _row(kind: str, what: str, each: str, count: float, wings: int, unit: str, which: str = "") -> Purchase:
    return Purchase(what, each, round(count, 4), wings, round(count * wings, 4), unit, kind, which=which)


def _rods(study: Study, laid, wing, choice, wings: int) -> list[Purchase]:
    """Return a row for each kind of rod. The lengths of all wings are cut together, which may need fewer."""
    sold, rows = study.stretch.rod_length_sold, []
    each = rod_pieces(study, laid, wing, choice)
    of_one, of_all = rod_plans(study, each), rod_plans(study, {kind: cut * wings for kind, cut in each.items()})
    for kind, pieces in each.items():
        (material, diameter), counts = kind, Counter(pieces)
        cuts = ", ".join(
            f"{count} of {in_unit(length, 'mm'):.0f} mm ({name})" for (name, length), count in counts.items()
        )
        spliced = (
            "; what is longer than sold is joined by a sleeve"
            if max(length for _, length in counts) > sold + _SAME_LENGTH
            else ""
        )
        row = _row(
            "rods",
            f"rod, {material}, {in_unit(diameter, 'mm'):g} mm",
            f"{in_unit(sold, 'mm'):.0f} mm long, for {cuts}{spliced}",
            len(of_one[kind].lengths),
            wings,
            "lengths",
            f"{material}, {rod_size(diameter)}",
        )
        cuts_mm = [[round(in_unit(piece, "mm"), 1) for piece in cut] for cut in of_all[kind].lengths]
        rows.append(replace(row, total=len(cuts_mm), cuts_mm=cuts_mm, is_fewest=of_all[kind].is_proven))
    return rows


def _sheets(study: Study, laid, wing, design: Design, wings: int) -> list[Purchase]:
    """Return rows of foam, covering and sheet. Amounts come from weights and densities; cores are solid when cut."""
    materials = material_amounts(study, laid, wing)
    _, strip = new_cores(laid, wing)
    film = design.cut.film
    pieces = ", ".join(f"{piece.count} of {piece.length_mm:.0f} x {piece.width_mm:.0f} mm" for piece in film)
    rows = [
        _row(
            "foam",
            f"foam, {study.foam.material}",
            f"of {'cores' if laid.scheme == 'scaled' else 'new pieces'} before bays are cut, offcuts come on top",
            float(materials["foam", study.foam.material]),
            wings,
            "litres",
            study.foam.material,
        ),
        _row(
            "covering",
            f"covering, {study.covering.material}",
            f"cut from it: {pieces}",
            sum(piece.count * from_edge("mm", piece.length_mm) * from_edge("mm", piece.width_mm) for piece in film),
            wings,
            "m²",
            study.covering.material,
        ),
        _row(
            "sheet",
            f"elevon sheet, {study.elevon.material}",
            f"{in_unit(study.elevon.thickness, 'mm'):g} mm thick",
            float(strip),
            wings,
            "m²",
            study.elevon.material,
        ),
    ]
    sheets: dict[str, float] = {}
    for fin, table in zip(layout.fins_on(laid, wing, planform.areas(wing)), study.fin, strict=True):
        sheets[table.material] = sheets.get(table.material, 0.0) + float(fins_of.sheet_area((fin,)))
    rows += [
        _row("sheet", f"fin sheet, {material}", "for all fins, offcuts come on top", area, wings, "m²", material)
        for material, area in sheets.items()
    ]
    return rows


def _servos(study: Study, wings: int) -> list[Purchase]:
    """Return rows of the servos in the equipment, for the number of wings that have them."""
    members = {one.name: one.members for one in study.equipment_set}
    return [
        _row(
            "servos",
            thing.name,
            f"{in_unit(thing.mass, 'g'):.0f} g in all",
            1,
            wings if thing.set is None else members[thing.set],
            "sets",
            thing.name,
        )
        for thing in study.all_equipment
        if "servo" in thing.name.lower()
    ]


def _amounts(joints: list[GlueJoint]) -> str:
    """Return words for the joints of one glue. If there are several, each has its amount."""
    if len(joints) == 1:
        return joints[0].name
    return ", ".join(f"{joint.name} {joint.amount_g:.1f} g" for joint in joints)


def _consumed(design: Design, wings: int) -> list[Purchase]:
    """Return rows of glue, adhesive and paint. Amounts are those on the wing."""
    joints = design.cut.glue
    rows = []
    for glue in dict.fromkeys(joint.glue for joint in joints):
        of_it = [joint for joint in joints if joint.glue == glue]
        rows.append(
            _row(
                "adhesive" if any(joint.name == FILM_JOINT for joint in of_it) else "glue",
                glue,
                f"on the wing: {_amounts(of_it)}; buy half as much again for what is lost (common practice, no source)",
                sum(joint.amount_g for joint in of_it),
                wings,
                "g",
            )
        )
    area = from_edge("cm2", design.cut.side_area_cm2)
    paint = _row(
        "paint",
        "paint, if any",
        f"one thin coat on one side, {area:.2f} m² at 10 m² a litre (common practice, no source)",
        in_unit(area / _PAINT_SPREAD, "cm3"),
        wings,
        "cm³",
    )
    return [*rows, paint]
