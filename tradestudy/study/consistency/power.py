"""What must fit between pack, bay, motor, propeller and weight."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tradestudy.catalogue import catalogue_part
from tradestudy.errors import CatalogueError
from tradestudy.physics.propulsion import cold_and_age
from tradestudy.physics.weights import pack_dimensions
from tradestudy.quantities import from_si
from tradestudy.study.line_numbers import Place
from tradestudy.study.referenced_files.airfoil_files import airfoil_fault
from tradestudy.study.referenced_files.propeller_csv import blade_fault, read_table
from tradestudy.study.schema.power import (
    DRAG_ITEM_ANGLES,
    DRAG_ITEM_SIZES,
    LOADED_SHARE,
    NOMINAL_VOLTAGE,
    ControllerTable,
    DragItemTable,
    EquipmentSetTable,
    EquipmentTable,
    MotorTable,
    MotorTestTable,
    PackTable,
    PropellerTable,
    scaled_cell,
)
from tradestudy.study.schema.search import FlyTable
from tradestudy.study.schema.wing import TRACED, UNKNOWN, BayTable, StockTable
from tradestudy.study.value_text import mm

from .equipment import equipment_on_board, stock_equipment_set

Broken = Iterator[tuple[Place, str]]

SLACK = 1e-4  # m; a tenth of a millimetre is no fault in foam
SPEED_IN_HAND = 1.2  # never-exceed speed over top speed, the design rule of the search
ROUNDING = 1e-9  # m and rad; of units converted
# Of the capacity of a cell's class, that a pack of such cells may have: pouches are made in any size, round cells not.
CELL_SHARE = {False: (0.05, 6.0), True: (0.3, 1.5)}


def pack_size(pack: PackTable) -> tuple[float, float, float]:
    """Return outside length, width and height [m] of the pack in its wrap: cells lie flat, length fore and aft."""
    cell = scaled_cell(pack.cell, pack.series, pack.parallel, pack.capacity, pack.weight)
    return pack_dimensions.pack_outside_size(
        cell["length"],
        cell["width"],
        cell["thickness"],
        pack.series * pack.parallel,
        pack.cells_across,
        pack.cells_high,
    )


def pack_fits(pack: PackTable, bay: tuple[BayTable, ...]) -> Broken:
    """The pack goes into the bay it names, where it is said to stand."""
    home = next((one for one in bay if one.name == pack.bay), None)
    if home is None:
        known = ", ".join(one.name for one in bay)
        yield ("pack", "bay"), f'is "{pack.bay}"; no bay has that name. There are: {known}.'
        return
    total = pack.series * pack.parallel
    empty = pack.cells_across * pack.cells_high - total
    if empty >= max(1, min(pack.cells_across, pack.cells_high)):  # a corner may stay empty, a whole row or layer not
        yield (
            ("pack", "cells_across"),
            (
                f"is {pack.cells_across}: times cells_high ({pack.cells_high}) that is more than "
                f"the {total} cells of the pack."
            ),
        )
        return
    size = pack_size(pack)
    for side, key, found in zip(
        ("length", "width", "depth"), ("cell", "cells_across", "cells_high"), size, strict=True
    ):
        room = getattr(home, side)
        if found > room + SLACK:
            word = {"length": "long", "width": "wide", "depth": "high"}[side]
            yield ("pack", key), (f"makes the pack {mm(found)} {word}; bay {home.name} has {mm(room)} ({side}).")
    front, back = pack.from_nose - 0.5 * size[0], pack.from_nose + 0.5 * size[0]
    if size[0] <= home.length + SLACK and not (
        home.from_nose - SLACK <= front and back <= home.from_nose + home.length + SLACK
    ):
        yield (
            ("pack", "from_nose"),
            (
                f"is {mm(pack.from_nose)}: the pack would reach from {mm(front)} to {mm(back)}, "
                f"but bay {home.name} runs from {mm(home.from_nose)} to {mm(home.from_nose + home.length)}."
            ),
        )


def parts_weigh_less(
    stock: StockTable,
    pack: PackTable,
    motor: MotorTable,
    controller: ControllerTable,
    propeller: PropellerTable,
    equipment: tuple[EquipmentTable, ...],
    equipment_set: tuple[EquipmentSetTable, ...],
) -> Broken:
    """What is listed leaves some of the flying weight for the wing itself."""
    cells = pack.series * pack.parallel * pack.cell_numbers["mass"]
    carried = sum(one.mass for one in equipment_on_board(equipment, stock_equipment_set(equipment_set)))
    listed = cells + motor.mass + controller.mass + propeller.mass + carried
    if listed >= stock.flying_weight:
        yield (
            ("stock", "flying_weight"),
            (
                f"is {stock.flying_weight * 1e3:.0f} g, but pack, motor, controller, propeller and "
                f"equipment alone weigh {listed * 1e3:.0f} g."
            ),
        )


def propeller_table_covers(propeller: PropellerTable, folder: Path) -> Broken:
    """A propeller table can be read."""
    if propeller.table is not None:
        fault = read_table(folder / propeller.table)
        if isinstance(fault, str):
            yield ("propeller", "table"), fault


def propeller_files_agree(propeller: PropellerTable, folder: Path) -> Broken:
    """A blade's file can be read, and its section exists; coefficients that were measured need neither."""
    if propeller.table is not None and propeller.blade is not None:
        yield ("propeller", "blade"), "stands beside propeller.table, which was measured and counts. Leave one out."
    elif propeller.blade is not None:
        fault = blade_fault(folder / propeller.blade)
        if fault:
            yield ("propeller", "blade"), fault
    if propeller.blade_section is None:
        return
    if propeller.blade is None:
        yield ("propeller", "blade_section"), "stands without propeller.blade; a blade told by its label is a Clark Y."
    elif propeller.blade_section in (UNKNOWN, TRACED):
        yield ("propeller", "blade_section"), f'is "{propeller.blade_section}"; a name or a coordinate file is wanted.'
    elif refused := airfoil_fault(propeller.blade_section, folder):
        yield ("propeller", "blade_section"), str(refused)


def propeller_table_reaches(
    propeller: PropellerTable, motor: MotorTable, pack: PackTable, fly: FlyTable, folder: Path
) -> Broken:
    """A propeller table reaches the advance ratio of the top speed the study asks for."""
    if propeller.table is None:
        return
    ratios = read_table(folder / propeller.table)
    if isinstance(ratios, str):
        return
    voltage = pack.series * NOMINAL_VOLTAGE[catalogue_part("cells", pack.cell)["chemistry"]]
    turns = LOADED_SHARE * motor.speed_constant * voltage / (2 * math.pi)
    top_speed = fly.never_exceed_speed / SPEED_IN_HAND
    asked = top_speed / (turns * propeller.diameter)
    if not min(ratios) <= asked <= max(ratios):
        yield (
            ("propeller", "table"),
            (
                f"covers J from {min(ratios):.2f} to {max(ratios):.2f}; top speed "
                f"({from_si(top_speed, 'km/h', 'speed'):.0f} km/h, never_exceed_speed / {SPEED_IN_HAND}) at "
                f"{turns * 60:.0f} rpm needs {asked:.2f}. Measure further, or leave the table out."
            ),
        )


def drag_items_are_known(drag_item: tuple[DragItemTable, ...]) -> Broken:
    """A drag item has a drag area of its own, or is in the catalogue and has the sizes given, within reason."""
    for index, item in enumerate(drag_item):
        place = ("drag_item", index)
        if item.drag_area is not None:
            if item.sizes:
                yield (
                    (*place, "drag_area"),
                    (f"stands beside {', '.join(item.sizes)}; give the drag area or the sizes, not both."),
                )
            continue
        try:
            kind = catalogue_part("drag_items", item.kind)
        except CatalogueError as error:
            yield (*place, "kind"), f"cannot be used: {error}"
            continue
        for name, value in item.sizes.items():
            fault = size_fault(item.kind, kind, name, value)
            if fault:
                yield (*place, name), fault


def size_fault(name_of_kind: str, kind: dict[str, Any], name: str, value: float) -> str:
    """Return what is wrong with one size [m or rad] of a kind of drag item, empty if nothing is."""
    if name not in kind:
        return f'is no size of "{name_of_kind}"; it has {", ".join(size for size in DRAG_ITEM_SIZES if size in kind)}.'
    _, least, most = kind[name]
    if least - ROUNDING <= value <= most + ROUNDING:
        return ""
    unit, measured = ("deg", "angle") if name in DRAG_ITEM_ANGLES else ("mm", "length")
    found, low, high = (f"{round(from_si(each, unit, measured), 3):g}" for each in (value, least, most))
    return f'is {found} {unit}; {low} to {high} {unit} is allowed for "{name_of_kind}".'


def cut_off_is_below_full(pack: PackTable) -> Broken:
    """The cut-off voltage lies below that of a charged cell."""
    full = cold_and_age.FULL_VOLTAGE[catalogue_part("cells", pack.cell)["chemistry"]]
    if pack.cut_off is None or pack.cut_off < full:
        return
    shared = pack.cut_off / pack.series
    slip = f" For the whole pack of {pack.series} that would be {shared:.2f} V a cell." if 1.5 < shared < full else ""
    yield ("pack", "cut_off"), f"is {pack.cut_off:g} V for a cell; charged in full it has {full:g} V.{slip}"


def capacity_goes_with_cells(pack: PackTable) -> Broken:
    """The capacity of the whole pack is one that its cells can have."""
    if pack.capacity is None:
        return
    cell = catalogue_part("cells", pack.cell)
    least, most = CELL_SHARE["diameter" in cell]
    share = pack.capacity / (pack.parallel * cell["capacity"])
    if not least <= share <= most:
        each, usual = (from_si(value, "mAh", "charge") for value in (pack.capacity / pack.parallel, cell["capacity"]))
        slip = next(
            (
                f" Is that {from_si(pack.capacity, 'mAh', 'charge') * times:g} mAh?"
                for times in (10, 0.1)
                if least <= times * share <= most
            ),
            "",
        )
        yield (
            ("pack", "capacity"),
            (
                f"is {from_si(pack.capacity, 'mAh', 'charge'):g} mAh: {each:.0f} mAh for each of {pack.parallel} in "
                f"parallel, but {pack.cell} has {usual:.0f} mAh.{slip}"
            ),
        )


def motor_test_says_enough(motor_test: MotorTestTable | None, motor: MotorTable) -> Broken:
    """A reading of the motor tells current or rpm, and its rpm is one that the volts can reach."""
    if motor_test is None:
        return
    if motor_test.current is None and motor_test.rpm is None:
        yield ("motor_test",), "has neither current nor rpm; one of them is wanted, best both and the voltage."
    elif motor_test.current is None and motor_test.voltage is None:
        yield ("motor_test", "rpm"), "stands without voltage or current; rpm alone says nothing of the motor."
    if motor_test.rpm is not None and motor_test.voltage is not None:
        free = motor.speed_constant * motor_test.voltage * motor_test.throttle
        if motor_test.rpm >= free:
            found, most = (from_si(value, "rpm", "rotation") for value in (motor_test.rpm, free))
            yield (
                ("motor_test", "rpm"),
                (
                    f"is {found:.0f} rpm; with motor.speed_constant and {motor_test.throttle * motor_test.voltage:.2f} V "
                    f"it would turn {most:.0f} rpm without any load."
                ),
            )


RULES = (
    pack_fits,
    parts_weigh_less,
    propeller_table_covers,
    propeller_table_reaches,
    propeller_files_agree,
    cut_off_is_below_full,
    capacity_goes_with_cells,
    motor_test_says_enough,
    drag_items_are_known,
)
