"""Tie the model to the wing that flies: its weight and balance, and what it does as the yardstick for the rest."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import minimize_scalar

from tradestudy.errors import RunFailed
from tradestudy.physics import flight, layout, mass
from tradestudy.physics.pack import pack_mass
from tradestudy.physics.structure import SAFETY_FACTOR
from tradestudy.study.schema import Study

from .card import FlownDesign
from .inputs import ModelData, model_data, movable_range
from .limits import CRUISE, PULL_UP, StockReference
from .problem import Choice, Model

MOST_UNLISTED = 0.35  # of the flying weight; more than this and the list of parts cannot be trusted: a flag


@dataclass(frozen=True)
class Anchor:
    """The stock wing as the model sees it once weight and balance agree."""

    unlisted: mass.Lump
    reference: StockReference
    choice: Choice
    variables: dict[str, float]
    data: ModelData
    flags: tuple[str, ...]


def stock_choice(study: Study) -> Choice:
    """Return what the stock wing flies with today."""
    rods = study.rods[0] if study.rods else None
    return Choice(study.pack.series, study.pack.parallel, rods.diameter if rods else 0.001,
                  rods.pairs if rods else 0, study.propeller.size)


def _as_stock(data: ModelData) -> ModelData:
    """The model's data for the wing as it is: fins kept. The scheme stays, so that stock and stretched wing share
    their strips and what a mesh does to one it does to the other."""
    laid = data.layout._replace(keep="set_back", fins_rule="keep")
    flown = data.flight._replace(layout=laid)
    return replace(data, level=data.level._replace(flight=flown), strength=data.strength._replace(layout=laid))


def unlisted_mass(study: Study, data: ModelData) -> mass.Lump:
    """Return the mass that the scale finds and the list of parts does not, placed to match the balance.

    Raises RunFailed when the listed parts weigh more than the wing does.
    """
    choice = stock_choice(study)
    stock = data.layout.stock
    zero = np.zeros(())
    found, *_ = layout.lumps(data.layout, zero, zero + stock.sweep, zero + stock.washout, choice.rod_diameter,
                             choice.rod_pairs, movable_range(study)[0])
    pack = pack_mass(data.layout.cell_mass, choice.series * choice.parallel)
    listed = mass.total([*found.values(), mass.Lump(pack, pack * study.pack.from_nose)])
    weight, balance = study.stock.flying_weight, study.stock.balance_from_nose
    missing = weight - float(listed.mass)
    if missing < -0.005 * weight:
        raise RunFailed(
            f"{study.path}: foam, covering, rods and listed parts come to {1e3 * float(listed.mass):.0f} g, but "
            f"stock.flying_weight says {1e3 * weight:.0f} g. Weigh the wing again, or take parts off the list.")
    return mass.Lump(missing, weight * balance - float(listed.moment))


def anchored(study: Study) -> Anchor:
    """Return the anchor of a study. Raises RunFailed where the measured wing contradicts the physics."""
    bare = _as_stock(model_data(study, mass.Lump(0.0, 0.0)))
    unlisted = unlisted_mass(study, bare)
    data = _as_stock(model_data(study, unlisted))
    choice, flags = stock_choice(study), []
    if unlisted.mass > MOST_UNLISTED * study.stock.flying_weight:
        flags.append(f"{1e3 * unlisted.mass:.0f} g of the stock wing is not on the list of parts")
    if unlisted.mass > 1e-4:
        place = unlisted.moment / unlisted.mass
        length = study.stock.root_chord + study.elevon.root_chord
        if not -0.3 * length < place < 1.5 * length and unlisted.mass > 0.01 * study.stock.flying_weight:
            flags.append(f"the {1e3 * unlisted.mass:.0f} g not listed would have to sit {1e3 * place:.0f} mm from the "
                         "nose to match the balance: check the places of the heavy parts")
    variables = _stock_variables(study, data)
    flown = FlownDesign(data, choice, variables)
    stall, _ = flown.stall()
    best = minimize_scalar(lambda speed: -float(flown.power_at(speed).range[0]),
                           bounds=(flight.CRUISE_OVER_SLOW * stall, 3.5 * stall), method="bounded",
                           options={"xatol": 1e-3})
    variables["cruise_speed"] = float(best.x)
    model = Model(data)
    model.run(choice, variables)
    reference = StockReference(
        static_margin=variables["static_margin"], elevon=float(model.value("elevon")[CRUISE]), stall_speed=stall,
        failure_load_factor=float(model.value("failure_load_factor")[PULL_UP]),
        utilisation=model.value("utilisation"), deflection_share=float(model.value("deflection_share")[PULL_UP]),
        fin_volume=model.value("fin_volume"))
    for name, used in zip(flight.LOAD_CONDITIONS, reference.utilisation, strict=True):
        if used > 1 / SAFETY_FACTOR:
            flags.append(f"by these numbers the stock wing uses {100 * used:.0f} % of its strength in the "
                         f"{name.replace('_', ' ')}, where a safety factor of 1.5 asks for 67 %: the stretched wing is "
                         "held to no more than that" + (", and it breaks below the load asked for" if used > 1 else ""))
    return Anchor(unlisted, reference, choice, variables, data, tuple(flags))


def _stock_variables(study: Study, data: ModelData) -> dict[str, float]:
    stock = data.layout.stock
    zero = np.zeros(())
    _, areas, _, _, unit = flight.unit_solution(data.flight, zero, zero + stock.sweep, zero + stock.washout)
    neutral = float(-unit.moment_volume[1] / unit.lift_area[1])
    chord = float(areas.mean_aerodynamic_chord)
    margin = (neutral - study.stock.balance_from_nose) / chord
    if margin <= 0:
        raise RunFailed(
            f"{study.path}: the stock wing balances at {1e3 * study.stock.balance_from_nose:.0f} mm, which is behind "
            f"its neutral point at {1e3 * neutral:.0f} mm. A wing that flies cannot do that: measure "
            "stock.balance_from_nose, stock.tip_set_back and the chords again.")
    return {"extension": 0.0, "sweep": float(stock.sweep), "washout": stock.washout, "static_margin": margin,
            "cruise_speed": 1.4 * study.fly.launch_speed, "equipment_position": movable_range(study)[0]}


def study_data(study: Study, anchor: Anchor, propeller: str, slowest: float) -> ModelData:
    """Return the stretched wing's data for one propeller, the slowest-flight speed put in place of launch."""
    data = model_data(study, anchor.unlisted, propeller)
    flown = data.flight._replace(launch_speed=slowest)
    return replace(data, level=data.level._replace(flight=flown))



