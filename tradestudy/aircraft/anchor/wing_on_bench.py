"""The half wing of one design upside down on the bench: deflections and loads under bags."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.designs import one_design
from tradestudy.physics.body import straight_rods
from tradestudy.physics.flight import layout, strength
from tradestudy.physics.geometry import planform
from tradestudy.physics.structure import load_test
from tradestudy.physics.structure.foam_section import SOLID_SHEAR_CENTRE
from tradestudy.physics.structure.loads import WingLoads

_FROM_TIP = 0.030  # m; distance of a bag from the tip; it hangs at the rods' end if that is farther inboard


class TipTwist(NamedTuple):
    """Change at the tip when a bag moves from ahead of the rods to behind them."""

    angle: float  # turn of the tip [rad]
    edge_rise: float  # change of height of the trailing edge at the tip [m]


class WingOnBench:
    """Half wing of one design on the bench. Bags hang on the line of the rods that lie nearest to the lift.

    Bags far behind the lift would twist and bend a swept wing more than flight does.
    """

    def __init__(self, data: strength.StrengthData, choice: Choice, variables: dict[str, float]):
        design = one_design(choice, variables).wing
        self.half = strength.half_wing(data, design)
        self.wing = layout.wing_outline(data.layout, design.extension, design.sweep, design.washout, design.tip_chord)
        self.tip = float(self.wing.semi_span)
        rods = data.layout.rods
        chosen = layout.chosen_rods(data.layout, design.rod_diameter, design.rod_pairs)
        lines = [layout.rod_line(data.layout, self.wing, each) for each in chosen]
        nearest = min(range(len(lines)), key=lambda index: self._behind_lift(lines[index]), default=None)
        self.line = None if nearest is None else lines[nearest]
        ends = [] if nearest is None else [float(layout.rod_outer_end(rods[nearest], data.layout.stock, self.wing))]
        self.station = min([self.tip - _FROM_TIP, *ends])
        half = self.half
        self.own = load_test.own_weight_loads(half.beam, half.masses, half.strip_y)

    def _behind_lift(self, line: straight_rods.PlanLine) -> float:
        """Return how far a line of rods lies from the quarter chord, half way to the tip. [m]"""
        wing, station = self.wing, np.atleast_1d(0.5 * self.tip)
        edge, foam, elevon = planform.interpolated(
            wing, (wing.leading_edge, wing.foam_chord, wing.elevon_chord), station
        )
        return abs(float((straight_rods.x_at(line, station) - edge - 0.25 * (foam + elevon))[0]))

    def rods_line(self, station: Any) -> np.ndarray:
        """Return the distance of the rods' line behind the nose, at stations (n,) from the centre line. [m]

        It is the middle line of the set, the line on which its rods are cut. Beyond its ends it goes straight on.
        """
        if self.line is not None:
            return straight_rods.x_at(self.line, np.atleast_1d(station))
        edge, foam = planform.interpolated(
            self.wing, (self.wing.leading_edge, self.wing.foam_chord), np.atleast_1d(station)
        )
        return edge + SOLID_SHEAR_CENTRE * foam

    def loads(self, mass: Any, station: Any, ahead: float = 0.0) -> WingLoads:
        """Return the WingLoads of bags (n_bag,) [kg] at stations [m].

        They hang a distance ``ahead`` [m] of the rods' line.
        """
        return load_test.bag_loads(self.half.beam, *self._hung(mass, station, ahead))

    def _hung(self, mass: Any, station: Any, ahead: float = 0.0):
        station = np.atleast_1d(station)
        return np.atleast_2d(mass), station, self.rods_line(station) - ahead

    def rise(self, mass: Any, station: Any) -> float:
        """Return the deflection of the tip at the rods' line under bags on that line. [m]"""
        shape = load_test.shape_under_bags(self.half.beam, *self._hung(mass, station))
        return float(load_test.point_rise(shape, self.half.beam.axis_x[-1], self.rods_line(self.tip)[0])[0])

    def tip_twist(self, mass: float, station: float, arm: float) -> TipTwist:
        """Return the change at the tip when a bag [kg] moves from ``arm`` [m] ahead of the rods to ``arm`` behind."""
        shapes = [
            load_test.shape_under_bags(self.half.beam, *self._hung(mass, station, side * arm)) for side in (1, -1)
        ]
        trailing = float((self.wing.leading_edge + self.wing.foam_chord + self.wing.elevon_chord)[-1])
        ahead, behind = (float(shape.twist[0, -1]) for shape in shapes)
        high, low = (float(load_test.point_rise(shape, self.half.beam.axis_x[-1], trailing)[0]) for shape in shapes)
        return TipTwist(abs(ahead - behind), abs(high - low))

    def stop(self, loads: WingLoads) -> load_test.StopMass:
        """Return the multiple of ``loads`` at which a part first uses 80 % of its strength, and its failure mode."""
        return load_test.stop_mass(self.half.beam, self.own, loads)

    def utilisation(self, loads: WingLoads) -> float:
        """Return the greatest utilisation under the bags' loads and the wing's own weight. [-]"""
        return float(load_test.greatest_utilisation(self.half.beam, load_test.combined_loads(self.own, loads))[0])
