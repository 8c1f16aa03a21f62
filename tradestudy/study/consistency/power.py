"""Rules for pack, bay, motor, propeller, drag items, and the weight of all parts."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from tradestudy.catalogue import catalogue_part
from tradestudy.errors import CatalogueError
from tradestudy.physics.propulsion import cold_and_age
from tradestudy.quantities import from_si
from tradestudy.study.referenced_files.airfoil_files import airfoil_fault
from tradestudy.study.referenced_files.propeller_csv import blade_fault, read_advance_ratios
from tradestudy.study.schema.equipment import EquipmentSetTable, EquipmentTable
from tradestudy.study.schema.power import (
    DRAG_ITEM_ANGLES,
    DRAG_ITEM_SIZES,
    LOADED_SHARE,
    MODEL_DRAG_PARTS,
    NOMINAL_VOLTAGE,
    ControllerTable,
    DragItemTable,
    MotorTable,
    MotorTestTable,
    PackTable,
    StudyPropellerTable,
)
from tradestudy.study.schema.search import FlyTable
from tradestudy.study.schema.wing import TRACED, UNKNOWN, StockTable

from .equipment import equipment_on_board, stock_equipment_set
from .pack import PACK_CHECKS
from .shared import Faults

_TOP_SPEED_MARGIN = 1.2  # never-exceed speed divided by top speed, as the search requires
_ROUNDING = 1e-9  # m or rad; tolerance for rounding in conversions of units
# is the cell round -> range of its capacity divided by the capacity in the catalogue; pouch cells exist in any size
_CAPACITY_SHARE = {False: (0.05, 6.0), True: (0.3, 1.5)}


def _parts_weigh_less(
    stock: StockTable,
    pack: PackTable,
    motor: MotorTable,
    controller: ControllerTable,
    propeller: StudyPropellerTable,
    equipment: tuple[EquipmentTable, ...],
    equipment_set: tuple[EquipmentSetTable, ...],
) -> Faults:
    """Yield an error if the listed parts weigh so much that nothing is left for the wing itself."""
    cells = pack.series * pack.parallel * pack.cell_numbers["mass"]
    carried = sum(one.mass for one in equipment_on_board(equipment, stock_equipment_set(equipment_set)))
    listed = cells + motor.mass + controller.mass + propeller.mass + carried
    if listed >= stock.flying_weight:
        yield (
            ("stock", "flying_weight"),
            f"is {stock.flying_weight * 1e3:.0f} g, but pack, motor, controller, propeller and "
            f"equipment alone weigh {listed * 1e3:.0f} g.",
        )


def _propeller_table_covers_top_speed(
    propeller: StudyPropellerTable, motor: MotorTable, pack: PackTable, fly: FlyTable, folder: Path
) -> Faults:
    """Yield an error if the propeller table does not contain the advance ratio of the top speed."""
    if propeller.table is None or isinstance(ratios := read_advance_ratios(folder / propeller.table), str):
        return  # _propeller_files_are_usable reports a table that cannot be read
    voltage = pack.series * NOMINAL_VOLTAGE[catalogue_part("cells", pack.cell)["chemistry"]]
    turns = LOADED_SHARE * motor.speed_constant * voltage / (2 * math.pi)
    top_speed = fly.never_exceed_speed / _TOP_SPEED_MARGIN
    needed = top_speed / (turns * propeller.diameter)
    if not min(ratios) <= needed <= max(ratios):
        yield (
            ("propeller", "table"),
            f"covers J from {min(ratios):.2f} to {max(ratios):.2f}; top speed "
            f"({from_si(top_speed, 'km/h', 'speed'):.0f} km/h, never_exceed_speed / {_TOP_SPEED_MARGIN}) at "
            f"{turns * 60:.0f} rpm needs {needed:.2f}. Measure more rows, or leave the table out.",
        )


def _propeller_files_are_usable(propeller: StudyPropellerTable, folder: Path) -> Faults:
    """Yield an error if the files for the propeller cannot be used, or contradict each other.

    The files are a measured table of coefficients or, without one, the shape of a blade and the airfoil of its section.
    """
    if propeller.table is not None:
        table = read_advance_ratios(folder / propeller.table)
        if isinstance(table, str):
            yield ("propeller", "table"), table
    if propeller.table is not None and propeller.blade is not None:
        yield ("propeller", "blade"), "is not used, because propeller.table gives measured values. Remove one of them."
    elif propeller.blade is not None and (fault := blade_fault(folder / propeller.blade)):
        yield ("propeller", "blade"), fault
    section, place = propeller.blade_section, ("propeller", "blade_section")
    if section is None:
        return
    if propeller.blade is None:
        yield place, "needs propeller.blade; without a measured blade the section is Clark Y."
    elif section in (UNKNOWN, TRACED):
        yield place, f'is "{section}"; give a name or a coordinate file.'
    elif refused := airfoil_fault(section, folder):
        yield place, str(refused)


def _drag_items_are_known(drag_item: tuple[DragItemTable, ...]) -> Faults:
    """Yield an error if a drag item has no drag area and is not in the catalogue, or if its sizes are wrong.

    It must not have the name of a part whose drag the model computes.
    """
    for index, item in enumerate(drag_item):
        place = ("drag_item", index)
        if item.kind in MODEL_DRAG_PARTS:
            yield (*place, "kind"), f'is "{item.kind}", which the model computes itself; give the thing another name.'
            continue
        if item.drag_area is not None:
            if item.sizes:
                yield (
                    (*place, "drag_area"),
                    f"is given together with {', '.join(item.sizes)}; give the drag area or the sizes, not both.",
                )
            continue
        try:
            kind = catalogue_part("drag_items", item.kind)
        except CatalogueError as error:
            yield (*place, "kind"), f"cannot be used: {error}"
            continue
        for name, value in item.sizes.items():
            if fault := _size_fault(item.kind, kind, name, value):
                yield (*place, name), fault


def _size_fault(name_of_kind: str, kind: dict[str, Any], name: str, value: float) -> str:
    """Return a sentence about a wrong size [m or rad] of a drag item, or an empty string if the size is allowed."""
    if name not in kind:
        sizes = ", ".join(size for size in DRAG_ITEM_SIZES if size in kind)
        return f'is not a size of "{name_of_kind}"; its sizes are {sizes}.'
    _, least, most = kind[name]
    if least - _ROUNDING <= value <= most + _ROUNDING:
        return ""
    unit, measured = ("deg", "angle") if name in DRAG_ITEM_ANGLES else ("mm", "length")
    size, low, high = (f"{round(from_si(each, unit, measured), 3):g}" for each in (value, least, most))
    return f'is {size} {unit}; allowed is {low} to {high} {unit} for "{name_of_kind}".'


def _cut_off_is_below_full(pack: PackTable) -> Faults:
    """Yield an error if the cut-off voltage is not below the voltage of a charged cell."""
    full = cold_and_age.FULL_VOLTAGE[catalogue_part("cells", pack.cell)["chemistry"]]
    if pack.cut_off is None or pack.cut_off < full:
        return
    each = pack.cut_off / pack.series
    hint = (
        f" If it is for the complete pack of {pack.series} in series, write {each:.2f} V." if 1.5 < each < full else ""
    )
    yield ("pack", "cut_off"), f"is {pack.cut_off:g} V for one cell, but a full cell has {full:g} V.{hint}"


def _capacity_fits_the_cells(pack: PackTable) -> Faults:
    """Yield an error if cells of this kind cannot have the given capacity."""
    if pack.capacity is None:
        return
    cell = catalogue_part("cells", pack.cell)
    least, most = _CAPACITY_SHARE["diameter" in cell]
    share = pack.capacity / (pack.parallel * cell["capacity"])
    if least <= share <= most:
        return
    total, each, usual = (
        from_si(value, "mAh", "charge") for value in (pack.capacity, pack.capacity / pack.parallel, cell["capacity"])
    )
    hint = next((f" Is that {total * times:g} mAh?" for times in (10, 0.1) if least <= times * share <= most), "")
    yield (
        ("pack", "capacity"),
        f"is {total:g} mAh: {each:.0f} mAh for each of {pack.parallel} in parallel, "
        f"but {pack.cell} has {usual:.0f} mAh.{hint}",
    )


def _motor_test_is_usable(motor_test: MotorTestTable, motor: MotorTable) -> Faults:
    """Yield an error if a motor test has neither current nor rpm, or an rpm that its voltage cannot reach."""
    if motor_test.current is None and motor_test.rpm is None:
        yield ("motor_test",), "needs current or rpm, better both, and the voltage."
    elif motor_test.current is None and motor_test.voltage is None:
        yield ("motor_test", "rpm"), "is not enough alone; give voltage or current too."
    if motor_test.rpm is not None and motor_test.voltage is not None:
        voltage = motor_test.throttle * motor_test.voltage
        free = motor.speed_constant * motor_test.voltage * motor_test.throttle
        if motor_test.rpm >= free:
            measured, most = (from_si(value, "rpm", "rotation") for value in (motor_test.rpm, free))
            yield (
                ("motor_test", "rpm"),
                f"is {measured:.0f} rpm; with motor.speed_constant and {voltage:.2f} V the motor turns only "
                f"{most:.0f} rpm, even without load.",
            )


POWER_CHECKS = (
    *PACK_CHECKS,
    _parts_weigh_less,
    _propeller_table_covers_top_speed,
    _propeller_files_are_usable,
    _cut_off_is_below_full,
    _capacity_fits_the_cells,
    _motor_test_is_usable,
    _drag_items_are_known,
)
