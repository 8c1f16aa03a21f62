"""What a build costs: all that its shopping list buys, at the prices of the study, less what is owned.

Rods are bought in whole lengths, so their price rises in steps. Foam, film and sheet are bought by their amounts, and
their price is smooth in the shape of the wing and safe for complex numbers. What has no price counts as free.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from typing import Any

import numpy as np

from tradestudy.aircraft.anchor.calibration import stock_choice
from tradestudy.aircraft.model.choices import Choice, study_with_choice
from tradestudy.aircraft.model.designs import WING_SHAPE
from tradestudy.aircraft.model.evaluated_design import has_stock_panels
from tradestudy.aircraft.model.model_data import ModelData
from tradestudy.physics.body import skin
from tradestudy.physics.flight import layout
from tradestudy.physics.flight.records import STEP
from tradestudy.physics.geometry import fins as fins_of
from tradestudy.physics.geometry import planform
from tradestudy.physics.weights import mass
from tradestudy.quantities import from_edge, in_unit
from tradestudy.results.club import Purchase
from tradestudy.study.schema.flight import PRICED_AT_ONCE
from tradestudy.study.schema.study import Study

from .joints import FILM_EDGES, HINGE_STRIP, HINGES
from .rod_stock import rod_pieces, rod_plans

PartPrices = dict[tuple[str, str], Any]  # (kind of part, its name) -> price


class PriceList:
    """The prices of a study, and what is owned. Sums are in the currency of the study."""

    def __init__(self, study: Study):
        self.prices, self.owned = study.price, study.shopping.owned or ()

    def price(self, kind: str, names: tuple[str, ...], amount: Any) -> Any:
        """Return the price of an amount of one part, which may have several ``names``, less what is owned.

        The price of a name comes before the price of all parts of the kind.
        """
        found = self.row(kind, names)
        if found is None or kind in self.owned:
            return 0.0 * amount
        missing = amount - found.owned
        return found.each * missing if np.real(missing) > 0 else 0.0 * missing

    def row(self, kind: str, names: tuple[str, ...]) -> Any:
        """Return the row of the study that prices a part, or None."""
        alike = [one for one in self.prices if one.part == kind]
        named = (one for name in names for one in alike if one.which == name)
        return next(named, next((one for one in alike if one.which is None), None))


class BuildPrice:
    """What builds of one choice (set of parts) cost, as a function of their variables, SI.

    ``own`` is the choice of the stock wing. A build that keeps its panels buys only the parts that differ from it.
    """

    def __init__(self, study: Study, data: ModelData, choice: Choice, own: Choice):
        self.study, self.data, self.choice, self.own = study_with_choice(study, choice), data, choice, own
        self.prices = PriceList(self.study)

    def of(self, variables: dict[str, float]) -> float:
        """Return the price of a build."""
        if has_stock_panels(self.study, self.data, self.choice, variables):
            return self.changed_parts
        return float(self.without_rods(variables) + self.rods(variables))

    @property
    def changed_parts(self) -> float:
        """The price of a build that keeps its panels."""
        return float(
            sum(price for (kind, _), price in self.drive.items() if kind in changed_kinds(self.choice, self.own))
        )

    @cached_property
    def drive(self) -> PartPrices:
        """The prices of pack, propeller, motor, controller and servos, for one wing."""
        study, choice, price = self.study, self.choice, self.prices.price
        cells = choice.series * choice.parallel
        pack = (choice.pack, f"{choice.series}S{choice.parallel}P")
        whole = self.prices.row("pack", pack) is not None and "cells" not in self.prices.owned
        found: PartPrices = {
            ("cells", ""): price("pack", pack, 1) if whole else price("cells", (study.pack.cell,), cells),
            ("propeller", ""): price("propeller", (choice.propeller,), 1),
            ("motor", ""): price("motor", (choice.motor or study.motor.size,), 1),
            ("motor controller", ""): price("motor controller", (), 1),
        }
        servos = [one.name for one in study.equipment if "servo" in one.name.lower()]
        return found | {("servos", name): price("servos", (name,), 1) for name in servos}

    def rod_prices(self, variables: dict[str, float]) -> PartPrices:
        """Return the price of the whole lengths of each kind of rod."""
        plans = rod_plans(self.study, rod_pieces(self.study, self.data.layout, self._outline(variables), self.choice))
        return {
            ("rods", f"{material}, {rod_size(diameter)}"): self.prices.price(
                "rods", rod_names(material, rod_size(diameter)), len(plan.lengths)
            )
            for (material, diameter), plan in plans.items()
        }

    def rods(self, variables: dict[str, float]) -> float:
        """Return the price of all rods, in whole lengths."""
        return float(sum(self.rod_prices(variables).values()))

    def material_prices(self, variables: dict[str, Any]) -> PartPrices:
        """Return the prices of foam, film and sheet. They are smooth and safe for complex numbers."""
        amounts = material_amounts(self.study, self.data.layout, self._outline(variables))
        return {(kind, name): self.prices.price(kind, (name,), amount) for (kind, name), amount in amounts.items()}

    def without_rods(self, variables: dict[str, Any]) -> Any:
        """Return the price of a build with new panels without its rods. It is smooth and safe for complex numbers."""
        at_once = sum(self.prices.price(kind, (), 1) for kind in PRICED_AT_ONCE)
        return sum(self.drive.values()) + at_once + sum(self.material_prices(variables).values())

    def slope_without_rods(self, variables: dict[str, float], name: str) -> float:
        """Return the derivative of `without_rods` along one variable, exact by a complex step."""
        if name not in WING_SHAPE:
            return 0.0
        stepped = variables | {name: variables[name] + 1j * STEP}
        return float(np.imag(self.without_rods(stepped)) / STEP)

    def _outline(self, variables: dict[str, Any]) -> planform.Planform:
        return layout.wing_outline(self.data.layout, *(np.asarray(variables[name]) for name in WING_SHAPE))


def price_numbers(study: Study, data: ModelData, choice: Choice, variables: dict[str, float]) -> dict[str, float]:
    """Return the price among the numbers of a design, or nothing if the study has no prices."""
    if not study.price:
        return {}
    return {"build_price": round(BuildPrice(study, data, choice, stock_choice(study)).of(variables), 4)}


def changed_kinds(choice: Choice, own: Choice) -> tuple[str, ...]:
    """Return the kinds of parts that a choice changes besides panels and rods, as on the shopping list."""
    changed = {
        "cells": choice.pack_key != own.pack_key,
        "propeller": choice.propeller != own.propeller,
        "motor": choice.motor != own.motor,
    }
    return tuple(kind for kind, is_changed in changed.items() if is_changed)


def with_prices(rows: list[Purchase], study: Study, materials: PartPrices, choice: Choice) -> list[Purchase]:
    """Return the rows of a shopping list with their prices for all wings. For one wing, they sum to `BuildPrice.of`.

    ``study`` has the parts of the choice, and ``materials`` are the amounts for one wing. A row without a price in the
    study has none. Of rows that share one price, each has its part.
    """
    prices, priced, seen = PriceList(study), [], set()
    pack = choice.pack, f"{choice.series}S{choice.parallel}P"
    for row in rows:
        names: tuple[str, ...] = (row.which,)
        kind, amount, share = row.kind, row.total, 1.0
        if kind == "cells" and prices.row("pack", pack):
            kind, names, amount = "pack", pack, row.wings
        elif kind == "rods":
            names = rod_names(*row.which.rsplit(", ", 1))
        elif kind in PRICED_AT_ONCE:
            names, amount, share = (), row.wings, 0.0 if kind in seen else 1.0
        elif (kind, row.which) in materials:
            total = sum(one.count_per_wing for one in rows if (one.kind, one.which) == (kind, row.which))
            amount, share = float(materials[kind, row.which]) * row.wings, row.count_per_wing / total
        seen.add(kind)
        found = prices.row(kind, names)
        is_owned = row.kind in prices.owned
        price = (
            None if found is None else 0.0 if is_owned else round(share * float(prices.price(kind, names, amount)), 4)
        )
        priced.append(replace(row, price_each=found.each if found else None, price=price))
    return priced


def rod_names(material: str, size: str) -> tuple[str, ...]:
    """Return the names under which a rod can have a price, the most exact first. ``size`` is text such as "3 mm"."""
    return f"{material}, {size}", size, material


def rod_size(diameter: float) -> str:
    """Return the diameter of a rod [m] as in the names of prices, such as "3 mm"."""
    return f"{in_unit(diameter, 'mm'):g} mm"


def material_amounts(study: Study, laid: layout.LayoutData, wing: planform.Planform) -> PartPrices:
    """Return the amounts of foam [litre], film and sheet [m^2] that one wing takes, offcuts left out.

    Cores are solid when cut. Film is bought in the rectangles from which its pieces are cut. A plug or an added tip
    takes foam and trailing strip for itself alone. Film is bought for the whole wing, since new rods open the old one.
    """
    foam, strip = new_cores(laid, wing)
    amounts: PartPrices = {
        ("foam", study.foam.material): foam * in_unit(1.0, "litre"),
        ("covering", study.covering.material): _film_area(laid.sections, wing),
    }
    sheets = [(study.elevon.material, strip)]
    fins = layout.fins_on(laid, wing, planform.areas(wing))
    sheets += [(table.material, fins_of.sheet_area((one,))) for one, table in zip(fins, study.fin, strict=True)]
    for material, area in sheets:
        amounts["sheet", material] = amounts.get(("sheet", material), 0.0) + area
    return amounts


def new_cores(laid: layout.LayoutData, wing: planform.Planform) -> tuple[Any, Any]:
    """Return the volume of foam [m^3] and the area of elevons and strips [m^2] that are new in both halves.

    Panels that are redrawn are new from the centre to the tip. A plug has the root's section over the added length. An
    added tip is its own piece of the outline.
    """
    station, weight = mass.gauss_stations(wing)
    if laid.scheme == "plug":  # a straight piece, so any station in it does
        station, weight = station[..., :1], (wing.stock_part_start - laid.stock.panel_start)[..., None]
    elif laid.scheme == "tip":
        inside = np.repeat([piece == "tip" for piece in wing.pieces], station.shape[-1] // len(wing.pieces))
        station, weight = station[..., inside], weight[..., inside]
    foam_chord, elevon_chord = planform.interpolated(wing, (wing.foam_chord, wing.elevon_chord), station)
    share = mass.section_share(wing, laid.materials, station)
    foam = mass.mass_per_length(laid.materials, foam_chord, elevon_chord, share)["foam"] / laid.materials.foam_density
    return 2 * (foam * weight).sum(-1), 2 * (elevon_chord * weight).sum(-1)


def _film_area(points: skin.SectionPoints, wing: planform.Planform) -> Any:
    """Return the area of the rectangles of film, as `joints.film_pieces` before they are rounded up. [m^2]"""
    edges, strip = from_edge("mm", FILM_EDGES), from_edge("mm", HINGE_STRIP)
    hinge, root = wing.leading_edge + wing.foam_chord, wing.pieces.index("panel")
    along = wing.station[-1] - wing.station[root], wing.leading_edge[-1] - wing.leading_edge[root]
    length = (along[0] ** 2 + along[1] ** 2) ** 0.5
    y, x = np.concatenate([wing.station] * 2), np.concatenate([wing.leading_edge, hinge])
    ahead = _spread((y * along[0] + x * along[1]) / length)
    across = _spread((x * along[0] - y * along[1]) / length)
    side = (ahead + edges) * (_arc_over_chord(points) * across + edges)
    chord = wing.elevon_chord[np.argmax(np.real(wing.elevon_chord))]
    ends = np.stack([wing.elevon_inner_end, wing.elevon_outer_end])
    (at,) = planform.interpolated(wing, (hinge,), ends)
    elevon = ((ends[1] - ends[0]) ** 2 + (at[1] - at[0]) ** 2) ** 0.5
    behind = ((np.diff(wing.station) ** 2 + np.diff(hinge) ** 2) ** 0.5).sum()
    return 4 * side + 2 * (behind + edges) * (2 * chord + edges) + HINGES * elevon * strip


def _spread(values: Any) -> Any:
    """Return the greatest less the least value, also of complex numbers with a small imaginary part."""
    return values[np.argmax(np.real(values))] - values[np.argmin(np.real(values))]


def _arc_over_chord(points: skin.SectionPoints) -> float:
    """Return the length of the longest surface of root and tip over its foam chord. [-]"""
    foam = slice(points.hinge + 1)
    sides = [points.upper, points.lower, points.upper + points.upper_change, points.lower + points.lower_change]
    return max(float(np.hypot(np.diff(points.foam_share[foam]), np.diff(side[foam])).sum()) for side in sides)
