"""The complete study file: its tables, the checked and frozen `Study`, and the list of all keys.

To add a key, add one annotated line to the class of its table. These classes are in ``wing`` ([study] to [pocket]),
``power`` (the drive, [[drag_item]], parts to compare), and ``equipment`` ([[equipment]], [[keep_apart]]). Others are in
``search`` ([stretch] to [load_test]) and ``flight`` ([card], [[mission]]). The tables in `measured` and `fitted` are in
other files than the study.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from tradestudy.notebook import as_html, as_text
from tradestudy.quantities import UNITS, from_si
from tradestudy.study.value_text import mm

from .built import BuildToleranceTable, BuiltTable
from .equipment import EquipmentSetTable, EquipmentTable, KeepApartTable
from .fitted import FittedTable
from .flight import CardTable, MissionPartTable, PriceTable, ShoppingTable
from .key_types import DefaultUsed, KeyType
from .power import (
    ControllerTable,
    DragItemTable,
    MotorChoiceTable,
    MotorTable,
    MotorTestTable,
    PackChoiceTable,
    PackTable,
    PowerTable,
    StudyPropellerTable,
)
from .rods import JoinerTable, RodTable
from .search import ChoicesTable, FlyTable, KnownFlightTable, LimitsTable, LoadTestTable, StretchTable
from .wing import (
    BayTable,
    CoveringTable,
    ElevonTable,
    FinTable,
    FoamTable,
    LinkageTable,
    PocketTable,
    StockTable,
    StudyTable,
    TracedSectionTable,
)

_MOST_TABLES = 40  # largest number of tables in one array; no wing needs more
_MOST_COMPARED = 6  # largest number of motors, and of packs; every combination with every propeller is computed


class TableSpec(NamedTuple):
    """One table of a file: its class, and the smallest and largest number of such tables."""

    model: type[BaseModel]
    fewest: int = 1
    most: int = 1

    @property
    def is_array(self) -> bool:
        """Return True for an array of tables, which is written in ``[[double brackets]]``."""
        return self.most > 1

    def key_type(self, key: str) -> KeyType:
        """Return the type of a key of this table."""
        return key_type(self.model.model_fields[key])


STUDY_TABLES = {
    "study": TableSpec(StudyTable),
    "stock": TableSpec(StockTable),
    "traced_section": TableSpec(TracedSectionTable, 0),
    "elevon": TableSpec(ElevonTable),
    "linkage": TableSpec(LinkageTable, 0),
    "fin": TableSpec(FinTable, 0, _MOST_TABLES),
    "foam": TableSpec(FoamTable),
    "covering": TableSpec(CoveringTable),
    "rods": TableSpec(RodTable, 0, _MOST_TABLES),
    "joiner": TableSpec(JoinerTable, 0),
    "bay": TableSpec(BayTable, 1, _MOST_TABLES),
    "pocket": TableSpec(PocketTable, 0, _MOST_TABLES),
    "power": TableSpec(PowerTable, 0),
    "pack": TableSpec(PackTable),
    "motor": TableSpec(MotorTable),
    "motor_test": TableSpec(MotorTestTable, 0),
    "controller": TableSpec(ControllerTable),
    "propeller": TableSpec(StudyPropellerTable),
    "equipment_set": TableSpec(EquipmentSetTable, 0, _MOST_TABLES),
    "equipment": TableSpec(EquipmentTable, 0, _MOST_TABLES),
    "keep_apart": TableSpec(KeepApartTable, 0, _MOST_TABLES),
    "drag_item": TableSpec(DragItemTable, 0, _MOST_TABLES),
    "built": TableSpec(BuiltTable, 0),
    "build_tolerance": TableSpec(BuildToleranceTable, 0),
    "stretch": TableSpec(StretchTable),
    "choices": TableSpec(ChoicesTable, 0),
    "fly": TableSpec(FlyTable),
    "limits": TableSpec(LimitsTable, 0),
    "known_flight": TableSpec(KnownFlightTable, 0),
    "load_test": TableSpec(LoadTestTable, 0),
    "shopping": TableSpec(ShoppingTable, 0),
    "price": TableSpec(PriceTable, 0, _MOST_TABLES),
    "card": TableSpec(CardTable, 0),
    "mission": TableSpec(MissionPartTable, 0, _MOST_TABLES),
    "motor_choice": TableSpec(MotorChoiceTable, 0, _MOST_COMPARED),
    "pack_choice": TableSpec(PackChoiceTable, 0, _MOST_COMPARED),
    "fitted": TableSpec(FittedTable, 0),
}
# optional tables that take their defaults if they are left out; any other optional table then does not exist
OPTIONAL_WITH_DEFAULTS = ("built", "build_tolerance", "choices", "limits", "shopping", "card")


class Edit(NamedTuple):
    """One key that was set for a study without a change of its file, with its value and that of the file, as text.

    ``name`` is that of the item in an array, or empty.
    """

    key: str
    value: str
    was: str
    name: str = ""


@dataclass(frozen=True)
class Study:
    """A checked study. Each table of the file is an attribute, and values are in SI units.

    ``defaults_used`` lists every value that the file does not give, with its origin. ``equipment`` is the equipment of
    the stock wing. ``all_equipment`` also contains the sets of the other members of a club. ``edits`` lists the keys
    that were set after reading: then ``text`` is the edited text, and ``file_text`` that of the file.
    """

    path: Path
    text: str
    defaults_used: tuple[DefaultUsed, ...]
    study: StudyTable
    stock: StockTable
    traced_section: TracedSectionTable | None
    elevon: ElevonTable
    linkage: LinkageTable | None
    fin: tuple[FinTable, ...]
    foam: FoamTable
    covering: CoveringTable
    rods: tuple[RodTable, ...]
    joiner: JoinerTable | None
    bay: tuple[BayTable, ...]
    pocket: tuple[PocketTable, ...]
    power: PowerTable | None
    pack: PackTable
    motor: MotorTable
    motor_test: MotorTestTable | None
    controller: ControllerTable
    propeller: StudyPropellerTable
    equipment_set: tuple[EquipmentSetTable, ...]
    equipment: tuple[EquipmentTable, ...]
    all_equipment: tuple[EquipmentTable, ...]
    keep_apart: tuple[KeepApartTable, ...]
    drag_item: tuple[DragItemTable, ...]
    built: BuiltTable
    build_tolerance: BuildToleranceTable
    stretch: StretchTable
    choices: ChoicesTable
    fly: FlyTable
    limits: LimitsTable
    known_flight: KnownFlightTable | None
    load_test: LoadTestTable | None
    shopping: ShoppingTable
    price: tuple[PriceTable, ...]
    card: CardTable
    mission: tuple[MissionPartTable, ...]
    motor_choice: tuple[MotorChoiceTable, ...]
    pack_choice: tuple[PackChoiceTable, ...]
    fitted: FittedTable | None = None
    edits: tuple[Edit, ...] = ()
    file_text: str = ""

    @property
    def linkage_as_built(self) -> LinkageTable | None:
        """The linkage, or None if the file says nothing of it, so that all of it is assumed."""
        assumed = {used.key for used in self.defaults_used}
        known = dict(self.linkage or ())
        given = [key for key, value in known.items() if value is not None and f"linkage.{key}" not in assumed]
        return self.linkage if given else None

    def __repr__(self) -> str:
        return as_text(*self._summary())

    def _repr_html_(self) -> str:
        return as_html(*self._summary())

    def _summary(self) -> tuple[str, list[tuple[str, str]]]:
        """Return a title and rows (head, text) that describe the study in a notebook."""
        weight = f"{from_si(self.stock.flying_weight, 'g', 'mass'):.0f} g"
        span = " to ".join(map(mm, self.stretch.span))
        return f"Study {self.study.name} ({self.path})", [
            ("note", self.study.note),
            (
                "stock wing",
                f"span {mm(self.stock.span)}, {weight}, balances {mm(self.stock.balance_from_nose)} behind the nose",
            ),
            ("pack", f"{self.pack.series}S{self.pack.parallel}P of {self.pack.cell}"),
            ("to stretch", f"scheme {self.stretch.scheme}, span {span}"),
            ("purpose", self.fly.purpose.replace("_", " ")),
            ("set", "; ".join(f"{edit.key} = {edit.value}" for edit in self.edits)),
            ("left open", f"{len(self.defaults_used)} values (defaults_used)" if self.defaults_used else "nothing"),
        ]

    def file_path(self, name: str) -> Path:
        """Return the path of a file that the study names. It is in the folder of the study."""
        return self.path.parent / name


class KeyLine(NamedTuple):
    """One key in the list that ``tradestudy keys`` prints."""

    table: str
    key: str
    kind: str
    allowed: str
    required: bool
    default: str
    origin: str
    meaning: str

    @property
    def default_and_origin(self) -> str:
        """Return a phrase that says what happens if the key is left out."""
        if self.required:
            return "must be given"
        return f"{self.default} ({self.origin})" if self.default else f"({self.origin})"


def key_type(field: FieldInfo) -> KeyType:
    """Return the type that a field was declared with."""
    return next(item for item in field.metadata if isinstance(item, KeyType))


def key_meaning(key: str) -> str:
    """Return the meaning of a key such as ``drag_item[1].drag_area`` in words."""
    table, _, name = key.rpartition(".")
    return STUDY_TABLES[table.partition("[")[0]].key_type(name).meaning


def shown_default(field: FieldInfo) -> tuple[str, str]:
    """Return the default of a field as text for the user, and the origin of the default."""
    extra: Any = field.json_schema_extra
    return extra["shown"], extra["origin"]


def units_of_kind(kind: str) -> list[str]:
    """Return the units for a kind of key (`KeyLine.kind`). The list is empty if the kind is not a quantity."""
    return [unit for unit in UNITS.get(kind.rpartition(", ")[2], {}) if unit]


def key_lines(tables: dict[str, TableSpec] | None = None) -> list[KeyLine]:
    """Return all keys in order. If ``tables`` is None, they are the keys of a study file."""
    lines = []
    for name, table in (STUDY_TABLES if tables is None else tables).items():
        for key, field in table.model.model_fields.items():
            kind = key_type(field)
            required = field.is_required()
            default, origin = ("", "") if required else shown_default(field)
            lines.append(
                KeyLine(
                    table=name,
                    key=f"{name}[].{key}" if table.is_array else f"{name}.{key}",
                    kind=kind.kind,
                    allowed=kind.allowed,
                    required=required,
                    default=default,
                    origin=origin,
                    meaning=kind.meaning,
                )
            )
    return lines
