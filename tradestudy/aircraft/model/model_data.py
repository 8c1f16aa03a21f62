"""The data of the model: a study converted to the input records of the physics."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from tradestudy.aircraft.shape import stock_shape
from tradestudy.aircraft.shape.cuts import foam_cuts
from tradestudy.aircraft.shape.gear_items import movable_range, placed_gear
from tradestudy.aircraft.shape.pack_bay import bays_clear_of_rods, pack_bay
from tradestudy.aircraft.shape.stock_shape import bay_box, foam_boxes, stock_wing
from tradestudy.catalogue import catalogue_part
from tradestudy.physics import air
from tradestudy.physics.aero.parasite_drag import Stream
from tradestudy.physics.body.pack_bay import PackBay
from tradestudy.physics.body.section_integrals import section_integrals
from tradestudy.physics.body.skin import wing_skin
from tradestudy.physics.flight import (
    control,
    launch,
    layout,
    level_drag,
    power,
    room,
    strength,
    trimmed_flight,
)
from tradestudy.physics.geometry.fins import SheetFin
from tradestudy.physics.geometry.stretch_schemes import stock_planform
from tradestudy.physics.sections.strip_table import strip_table
from tradestudy.physics.weights import mass
from tradestudy.physics.weights.unlisted import UnlistedMass
from tradestudy.study.schema import wing
from tradestudy.study.schema.power import DragItemTable
from tradestudy.study.schema.study import Study

from . import materials, power_data, section_data, structure_data
from .drag_list import SizedItem, sized_item, total_with_band

_STREAM_OVER_STALL = 1.3  # speed at which the drag areas of listed parts are taken, over the rough stall speed [-]
_LIKELY_LIFT = 0.9  # lift coefficient at the stall of a trimmed tailless wing; common practice, no source


@dataclass(frozen=True)
class ModelData:
    """The data of all stages of the model, for one scheme and one propeller."""

    level: level_drag.LevelData
    strength: strength.StrengthData
    power: power.PowerData
    launch: launch.LaunchData | None  # None if it is certainly not thrown by hand
    servo: control.ServoData | None  # None if the study has no linkage
    coordinates: np.ndarray  # outline of the complete root section on unit chord (n, 2)

    @property
    def flight(self) -> trimmed_flight.FlightData:
        """The data of the flow stage."""
        return self.level.flight

    @property
    def layout(self) -> layout.LayoutData:
        """The data of the shape stage."""
        return self.flight.layout

    @cached_property
    def tip_lack(self) -> np.ndarray:
        """Room that the stock wing lacks at its tips. [m]"""
        return room.stock_lack(self.layout)

    @property
    def strip_count(self) -> int:
        """Number of lattice strips in the half wing."""
        return layout.strip_count(self.layout)


def model_data(
    study: Study, unlisted: UnlistedMass, propeller: str | None = None, bay_follows: bool = False
) -> ModelData:
    """Return the model's data for a study. ``unlisted`` is the mass that is in no list of parts.

    With ``bay_follows``, the pack's bay lies wherever the pack lies.
    """
    stock = stock_wing(study)
    sections = stock_shape.wing_sections(study, stock)
    root, tip = section_data.section_tables(study, sections)
    laid = _layout_data(study, stock, sections, unlisted, bay_follows)
    table = strip_table(root, tip, trimmed_flight.strip_tip_shares(laid)) if sections.differ else root
    density = float(air.density(study.fly.altitude, study.fly.temperature))
    factors = power_data.built_factors(study)
    flight = trimmed_flight.FlightData(
        layout=laid,
        camber=section_data.camber(root, tip),
        table=table,
        elevon_effectiveness=study.elevon.effectiveness,
        air_density=density,
        kinematic_viscosity=float(air.kinematic_viscosity(study.fly.altitude, study.fly.temperature)),
        slowest_speed=_likely_stall(study, stock, density),
        never_exceed_speed=study.fly.never_exceed_speed,
        control_speed=study.fly.never_exceed_speed,
        pull_up=study.fly.pull_up,
        push_over=study.fly.push_over,
        gust_cruise=study.fly.gust_cruise,
        gust_full_speed=study.fly.gust_full_speed,
        thrust_line_height=study.motor.thrust_line_height,
        cruise_over_stall=study.fly.cruise_over_stall,
        least_cruise_speed=study.fly.least_cruise_speed,
        wake_drag_factor=factors.wake_drag,
        balance_room=study.limits.balance_room,
    )
    parts, _, _ = total_with_band(cruise_drag_items(study))
    return ModelData(
        level_drag.LevelData(flight, parts, factors.section_drag),
        structure_data.strength_data(study, laid, sections, stock),
        power_data.power_data(study, flight, propeller or study.propeller.size),
        _launch_data(study),
        _servo_data(study),
        sections.root.complete,
    )


def _launch_data(study: Study) -> launch.LaunchData | None:
    fly = study.fly
    if fly.launch not in (None, "hand") or (fly.launch is None and fly.launch_speed is not None):
        return None
    return launch.LaunchData(fly.launch_speed, fly.launch_height, fly.launch_angle, fly.launch_delay)


def _servo_data(study: Study) -> control.ServoData | None:
    linkage = study.linkage
    return control.ServoData(study.elevon.up_travel, linkage.servo_arm / linkage.horn) if linkage else None


def _likely_stall(study: Study, stock, density: float) -> float:
    """Return a rough stall speed, used before that of the stock wing is computed. [m/s]"""
    chord = 0.5 * (stock.root_chord + stock.tip_chord) + stock.elevon_chord
    return float(np.sqrt(2 * study.stock.flying_weight * air.GRAVITY / (density * stock.span * chord * _LIKELY_LIFT)))


def areal_mass(material: str, thickness: float | None = None) -> float:
    """Return the mass per area of a catalogue sheet. [kg/m^2] ``thickness`` [m] is used for a sheet listed by density.

    None means the catalogue's thickness.
    """
    sheet = catalogue_part("sheets", material)
    if "areal_mass" in sheet:
        return sheet["areal_mass"]
    return sheet["density"] * (thickness or sheet.get("thickness", 0.003))


def with_mass_added(data: ModelData, added: Any, place: float) -> ModelData:
    """Return a model's data with masses ``added`` (...) [kg] on the centre line, at a place behind the nose. [m]"""
    fixed = data.layout.fixed
    laid = data.layout._replace(fixed=mass.Lump(fixed.mass + added, fixed.moment + added * place))
    flight = data.flight._replace(layout=laid)
    return replace(data, level=data.level._replace(flight=flight), strength=data.strength._replace(layout=laid))


def _layout_data(
    study: Study, stock, sections: stock_shape.WingSections, unlisted: UnlistedMass, follows: bool = False
) -> layout.LayoutData:
    bay = study.bay.index(pack_bay(study))
    points = stock_shape.skin_points(study, stock, sections)
    section, tip_change = section_integrals(points)
    covering = materials.covering(study)
    made_of = mass.WingMaterials(
        section=section,
        foam_density=materials.foam(study)["density"],
        covering_areal_mass=covering["areal_mass"] + materials.adhesive(study),
        elevon_density=catalogue_part("sheets", study.elevon.material)["density"],
        elevon_thickness=study.elevon.thickness,
        tip_change=tip_change if any(tip_change) else None,
    )
    rods = structure_data.rod_runs(study)
    stretch = study.stretch
    return layout.LayoutData(
        stock=stock,
        scheme=stretch.scheme,
        keep=stretch.kept,
        tip_chord_rule=stretch.added_taper,
        elevon_to_tip=stretch.elevon_to_tip,
        fins=tuple(_fin(fin) for fin in study.fin),
        fins_rule=stretch.fins,
        materials=made_of,
        rods=rods,
        fixed=mass.total_lump(list(fixed_parts(study, follows).values())),
        movable_mass=movable_mass(study),
        unlisted=unlisted,
        cell_mass=study.pack.cell_numbers["mass"],
        wiring_place=study.controller.from_nose,
        sections=points,
        in_foam=tuple(box for box, place in foam_boxes(study) if not (follows and place == ("bay", bay, "depth"))),
        gear=placed_gear(study),
        movable_place=movable_range(study)[0],
        cuts=foam_cuts(study, wing_skin(stock_planform(stock), points), study.pack.bay if follows else ""),
        pack_bay=_moving_bay(study) if follows else None,
        rod_bays=bays_clear_of_rods(study, follows),
        second_pack=second_pack(study),
    )


def _moving_bay(study: Study) -> PackBay:
    """Return the pack's bay as it moves with the pack. The board at its back wall moves with it."""
    bay, halves = pack_bay(study), 2 if pack_bay(study).from_centre else 1
    box = bay_box(bay)
    box = box._replace(front=bay.from_nose - study.pack.from_nose)
    face = halves * bay.width * bay.depth
    hollow, board = face * bay.length, face * (bay.divider or 0.0)
    middle = box.front + 0.5 * bay.length
    behind = box.front + bay.length + 0.5 * (bay.divider or 0.0)
    removed = hollow + board
    return PackBay(box, removed, (hollow * middle + board * behind) / removed, raised_lid_mass(study, bay))


def raised_lid_mass(study: Study, bay: wing.BayTable) -> float:
    """Return the mass by which a lid that stands above the skin is heavier than a flush one. [kg]

    It is a slab of the wing's foam over the bay, and film on its sides. The bay below it is deeper by its height, so
    that the slab makes up for foam cut out. Of a bay that stays, what lies above the skin is not counted as cut out;
    for each millimetre of that, a usual lid is half a gram too heavy.
    """
    height, halves = bay.raised_lid or 0.0, 2 if bay.from_centre else 1
    film = materials.covering(study)["areal_mass"] + materials.adhesive(study)
    slab = materials.foam(study)["density"] * bay.length * bay.width
    return halves * height * (slab + film * 2 * (bay.length + bay.width))


def second_pack(study: Study) -> mass.Lump:
    """Return the share of the pack's mass that lies in a second bay, and that share times its place behind the nose."""
    half = 0.5 if study.pack.second_bay else 0.0
    return mass.Lump(half, half * (study.pack.second_from_nose or 0.0))


def _fin(fin: wing.FinTable) -> SheetFin:
    """Return one fin as an input record of the physics.

    Unless the study gives it, the part below mirrors the part above, cut off at its depth.
    """
    depth = fin.depth_below or 0.0
    share = depth / fin.height if fin.height else 0.0
    mirrored = fin.root_chord - (fin.root_chord - fin.tip_chord) * share, fin.set_back * share
    tip_chord_below, set_back_below = (
        given if given is not None else mirror
        for given, mirror in zip((fin.tip_chord_below, fin.set_back_below), mirrored, strict=True)
    )
    return SheetFin(
        fin.height,
        fin.root_chord,
        fin.tip_chord,
        fin.set_back,
        fin.behind_leading_edge,
        depth,
        tip_chord_below,
        set_back_below,
        fin.cant or 0.0,
        fin.toe or 0.0,
        fin.from_centre,
        areal_mass(fin.material),
    )


def fixed_parts(study: Study, bay_follows: bool = False) -> dict[str, mass.Lump]:
    """Return mass and moment of the listed parts at fixed places, by name. Raised lids of bays that stay are parts.

    With ``bay_follows``, the pack's bay moves with the pack, and its lid too.
    """
    motor_, controller, propeller = study.motor, study.controller, study.propeller
    lumps = {
        "motor": (motor_.mass, motor_.from_nose),
        "controller": (controller.mass, controller.from_nose),
        "propeller": (propeller.mass, propeller.from_nose),
    }
    lumps |= {thing.name: (thing.mass, thing.from_nose) for thing in study.equipment if thing.may_move is None}
    if study.joiner:
        joiner = study.joiner
        section = 0.25 * np.pi * (joiner.diameter**2 - (joiner.inside_diameter or 0.0) ** 2)
        weight = catalogue_part("rods", joiner.material)["density"] * section * joiner.length
        lumps["joiner"] = (weight, joiner.from_nose)
    for bay in study.bay:
        if bay.raised_lid and not (bay_follows and bay.name == study.pack.bay):
            lumps[f"raised lid, {bay.name}"] = (raised_lid_mass(study, bay), bay.from_nose + 0.5 * bay.length)
    return {name: mass.Lump(weight, weight * place) for name, (weight, place) in lumps.items()}


def movable_mass(study: Study) -> float:
    """Return the mass of the equipment that may move. All of it moves by the same distance. [kg]"""
    return sum(thing.mass for thing in study.equipment if thing.may_move)


def drag_items(study: Study) -> list[SizedItem]:
    """Return all listed parts in the airstream, with drag areas at 1.3 times the rough stall speed of the stock wing.

    Up to twice that speed the drag areas change by less than a tenth: thin cylinders by up to 7 %, steps by 4 %. That
    is less than the bands of the items. A drag area that the study left open has the band of its assumed value.
    """
    stream = _slow_stream(study)
    open_bands = {
        used.place[1]: (used.low, used.high)
        for used in study.defaults_used
        if used.place[::2] == ("drag_item", "drag_area")
    }
    return [sized_item(item, stream, open_bands.get(index)) for index, item in enumerate(study.drag_item)]


def raised_lids(study: Study) -> list[SizedItem]:
    """Return the lids that stand above the skin as parts in the airstream, as for `drag_items`."""
    raised = [bay for bay in study.bay if bay.raised_lid]
    return [sized_item(DragItemTable.raised_lid(bay), _slow_stream(study)) for bay in raised]


def cruise_drag_items(study: Study) -> list[SizedItem]:
    """Return the items that cause drag with the motor running. A driving propeller does not."""
    return [item for item in (*drag_items(study), *raised_lids(study)) if not item.in_glide_only]


def _slow_stream(study: Study) -> Stream:
    """Return the stream at 1.3 times the rough stall speed of the stock wing."""
    density = float(air.density(study.fly.altitude, study.fly.temperature))
    speed = _STREAM_OVER_STALL * _likely_stall(study, stock_wing(study), density)
    return Stream(speed, float(air.kinematic_viscosity(study.fly.altitude, study.fly.temperature)))
