"""Rules for joiner, bays and pockets. They must lie in the foam and keep apart."""

from __future__ import annotations

from tradestudy.physics.body.rod_limits import JOINER_COVER
from tradestudy.study.schema.power import MotorTable
from tradestudy.study.schema.rods import JoinerTable, RodTable
from tradestudy.study.schema.wing import (
    BayTable,
    CoveringTable,
    ElevonTable,
    FoamTable,
    PocketTable,
    StockTable,
)
from tradestudy.study.value_text import mm

from .shared import LENGTH_TOLERANCE, Faults, given_without, repeated_names
from .stock_geometry import foam_chord, leading_edge, likely_thickness, stock_thickness


def _joiner_fits(stock: StockTable, elevon: ElevonTable, joiner: JoinerTable) -> Faults:
    """Yield an error if the joiner is longer than the span, or is not a tube, or does not lie in the foam.

    It is straight, so the sweep moves the foam aft around it. There must be foam above and below it at its ends too.
    """
    if joiner.inside_diameter is not None and joiner.inside_diameter >= joiner.diameter - LENGTH_TOLERANCE:
        yield (
            ("joiner", "inside_diameter"),
            f"is {mm(joiner.inside_diameter)}; it must be less than the diameter ({mm(joiner.diameter)}).",
        )
    if joiner.length > stock.span + LENGTH_TOLERANCE:
        yield ("joiner", "length"), f"is {mm(joiner.length)}, longer than stock.span ({mm(stock.span)})."
        return
    if joiner.diameter >= stock.root_thickness:
        yield (
            ("joiner", "diameter"),
            f"is {mm(joiner.diameter)}; the section is only stock.root_thickness ({mm(stock.root_thickness)}) thick.",
        )
        return
    needed = joiner.diameter + 2 * JOINER_COVER
    end = 0.5 * joiner.length
    for where, station in (("on the centre line", 0.0), (f"at its ends, {mm(end)} from the centre line", end)):
        front, chord = leading_edge(stock, station), foam_chord(stock, station)
        behind = joiner.from_nose - front
        radius = 0.5 * joiner.diameter
        if behind < radius or behind > chord - radius:
            yield (
                ("joiner", "from_nose"),
                f"is {mm(joiner.from_nose)}: {where}, the foam lies "
                f"{mm(front)} to {mm(front + chord)} behind the nose. A straight joiner of {mm(joiner.diameter)} "
                "leaves it there. Move it, or make it shorter.",
            )
            return
        thickness = likely_thickness(stock, elevon, behind / chord, station)
        if thickness < needed:
            yield (
                ("joiner", "from_nose"),
                f"is {mm(joiner.from_nose)}: {where}, the section is at most "
                f"{mm(thickness)} thick there. The joiner needs {mm(needed)}, with {mm(JOINER_COVER)} of foam above "
                "and below it. Move it, or make it shorter or thinner.",
            )
            return


def _joiner_has_room(stock: StockTable, joiner: JoinerTable, bay: tuple[BayTable, ...]) -> Faults:
    """Yield an error if the joiner's channel meets a bay or its divider: all lie in the middle of the section."""
    half = 0.5 * joiner.channel_width
    for index, one in enumerate(bay):
        front, back = one.from_nose, one.from_nose + one.length + (one.divider or 0.0)
        if back > stock.root_chord:
            continue  # behind the foam, which _bays_fit reports
        if joiner.from_nose + half <= front + LENGTH_TOLERANCE or joiner.from_nose - half >= back - LENGTH_TOLERANCE:
            continue
        yield (
            ("joiner", "from_nose"),
            f"is {mm(joiner.from_nose)}: its channel of {mm(joiner.channel_width)} goes through bay[{index + 1}] "
            f'("{one.name}"), {mm(front)} to {mm(back)} behind the nose{" with its divider" if one.divider else ""}. '
            f"Write at least {mm(back + half)}, or at most {mm(front - half)}, or move the bay.",
        )


def _mount_slot_fits(stock: StockTable, motor: MotorTable) -> Faults:
    """Yield an error if length and width of the mount's slot are not given together, or it is longer than the foam."""
    given = {"mount_slot": motor.mount_slot, "mount_slot_width": motor.mount_slot_width}
    missing = [key for key, value in given.items() if value is None]
    if len(missing) == 1:
        (key,) = given.keys() - set(missing)
        yield given_without(("motor", key), f"motor.{missing[0]}")
    elif motor.mount_slot is not None and motor.mount_slot >= stock.root_chord:
        yield (
            ("motor", "mount_slot"),
            f"is {mm(motor.mount_slot)}, as long as the foam on the centre line (stock.root_chord, "
            f"{mm(stock.root_chord)}).",
        )


def _joiner_clears_the_mount(stock: StockTable, motor: MotorTable, joiner: JoinerTable) -> Faults:
    """Yield an error if the joiner goes through the slot of the motor's mount."""
    if motor.mount_slot is None:
        return
    front, half = stock.root_chord - motor.mount_slot, 0.5 * joiner.channel_width
    if joiner.from_nose + half > front + LENGTH_TOLERANCE:
        yield (
            ("joiner", "from_nose"),
            f"is {mm(joiner.from_nose)}: its channel of {mm(joiner.channel_width)} meets the slot of the motor mount, "
            f"which starts {mm(front)} behind the nose (motor.mount_slot). Write at most {mm(front - half)}.",
        )


def _bays_fit(stock: StockTable, bay: tuple[BayTable, ...]) -> Faults:
    """Yield an error if a bay reaches behind the foam, is deeper than the root section, or is too wide."""
    for index, one in enumerate(bay):
        if one.from_nose + one.length > stock.root_chord + LENGTH_TOLERANCE:
            yield (
                ("bay", index, "length"),
                f"is {mm(one.length)}: the bay would end {mm(one.from_nose + one.length)} from the nose, "
                f"behind the foam (stock.root_chord, {mm(stock.root_chord)}).",
            )
        if one.depth > stock.root_thickness + LENGTH_TOLERANCE:
            yield (
                ("bay", index, "depth"),
                f"is {mm(one.depth)}, deeper than stock.root_thickness ({mm(stock.root_thickness)}).",
            )
        if one.width > 0.5 * stock.span:
            yield (
                ("bay", index, "width"),
                f"is {mm(one.width)}, more than half of stock.span ({mm(stock.span)}); it is measured from left to "
                "right. Are width and length swapped?",
            )


def _pockets_fit_the_foam(stock: StockTable, pocket: tuple[PocketTable, ...]) -> Faults:
    """Yield an error if a pocket does not end inside the foam of the panel."""
    for index, one in enumerate(pocket):
        outer = one.from_centre + 0.5 * one.along_span
        if outer > 0.5 * stock.span + LENGTH_TOLERANCE or one.from_centre < 0.5 * one.along_span - LENGTH_TOLERANCE:
            yield (
                ("pocket", index, "from_centre"),
                f"is {mm(one.from_centre)}; with an along_span of {mm(one.along_span)} the hole reaches beyond the tip "
                f"or the centre line (half of stock.span is {mm(0.5 * stock.span)}).",
            )
            continue
        chord, thickness = foam_chord(stock, outer), stock_thickness(stock, one.from_centre)
        if one.from_leading_edge + one.length > chord:
            yield (
                ("pocket", index, "length"),
                f"is {mm(one.length)}, from {mm(one.from_leading_edge)} behind the leading edge; the foam chord there "
                f"is {mm(chord)}.",
            )
        if one.depth > thickness:
            yield (
                ("pocket", index, "depth"),
                f"is {mm(one.depth)}; the section is at most {mm(thickness)} thick there.",
            )


def _bay_and_rod_names_differ(bay: tuple[BayTable, ...], rods: tuple[RodTable, ...]) -> Faults:
    """Yield an error if two bays, or two sets of rods, have the same name."""
    yield from repeated_names("bay", bay)
    yield from repeated_names("rods", rods)


def _measured_moduli_fit(foam: FoamTable, covering: CoveringTable) -> Faults:
    """Yield an error if a measured shear modulus does not fit the measured Young's modulus.

    No isotropic material has a shear modulus above half or below a quarter of its Young's modulus.
    """
    for name, table in (("foam", foam), ("covering", covering)):
        if table.shear_modulus is None or table.youngs_modulus is None:
            continue
        if not table.youngs_modulus / 4 <= table.shear_modulus <= table.youngs_modulus / 1.8:
            yield (
                (name, "shear_modulus"),
                f"is {1e-6 * table.shear_modulus:.3g} MPa with a youngs_modulus of {1e-6 * table.youngs_modulus:.3g} "
                "MPa; in foam and film it is a third to a half of that. If it is left out, it is worked out.",
            )


STRUCTURE_CHECKS = (
    _joiner_fits,
    _joiner_has_room,
    _mount_slot_fits,
    _joiner_clears_the_mount,
    _bays_fit,
    _pockets_fit_the_foam,
    _bay_and_rod_names_differ,
    _measured_moduli_fit,
)
