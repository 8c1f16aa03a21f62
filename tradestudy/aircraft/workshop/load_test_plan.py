"""What to hang on a wing lying upside down on the bench, what to expect of it, and where to stop.

Three tests: a bag on each tip tells the stiffness in bending, a bag on a stick across the tip the stiffness in
torsion, equal bags along the span load the wing as a pull-up does.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.aircraft.model.choices import Choice
from tradestudy.aircraft.model.evaluation import one_design
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.flight import layout, strength, trimmed_flight
from tradestudy.physics.geometry import planform
from tradestudy.physics.structure import load_test
from tradestudy.physics.structure.failure_modes import mode_names
from tradestudy.physics.structure.foam_section import SOLID_SHEAR_CENTRE
from tradestudy.physics.structure.loads import WingLoads
from tradestudy.physics.structure.wing_beam import SAFETY_FACTOR, WingStructure
from tradestudy.quantities import at_edge, from_edge, in_unit, rounded
from tradestudy.results.structure import Bag, BenchMoment, BenchTests, BendTest, ProofTest, TwistTest

FROM_TIP = 0.030  # m; where a bag hangs inboard of the tip, or at the rods' end if that comes first
GENTLE = 0.6  # of the bag at which a test of stiffness stops: enough to read by a ruler; judgement, no source
READABLE = 0.03  # of the semi-span: no need to bend a wing further than that
ARM = 0.150  # m; from the rods to the bag on the stick
TURN = from_edge("deg", 4.0)  # from bag ahead to bag behind: easily read by a phone on the tip
MOST_TURN = from_edge("deg", 8.0)  # beyond, film may wrinkle and peel; judgement, no source
BAGS = 4  # on each side, for the proof load
MASS_STEP, BAG_STEP, STATION_STEP = 0.010, 0.005, 0.005  # kg, kg, m; how finely single and proof bags are told
PULL_UP = trimmed_flight.LOAD_CONDITIONS.index("pull_up")
ALONG = (0.0, 0.25, 0.5, 0.75)  # of the semi-span, where the bags' moment is held against the flight's


class Twisted(NamedTuple):
    """What moving a bag from ahead of the rods to behind them does to the tip."""

    angle: float  # [rad]
    edge_rise: float  # of the trailing edge at the tip [m]


class Bench:
    """Half of one design on the bench: bags hang on its rods' line."""

    def __init__(self, data: strength.StrengthData, choice: Choice, variables: dict[str, float]):
        design = one_design(choice, variables).wing
        self.half = strength.half_wing(data, design)
        self.wing = layout.wing_outline(data.layout, design.extension, design.sweep, design.washout)
        self.tip = float(self.wing.semi_span)
        rods = data.layout.rods
        self.fraction = rods[0].chord_fraction if rods else SOLID_SHEAR_CENTRE
        ends = [float(layout.rod_outer_end(run, data.layout.stock, self.wing)) for run in rods]
        self.station = min([self.tip - FROM_TIP, *ends[:1]])
        half = self.half
        self.own = load_test.own_weight_loads(half.beam, half.masses, half.strip_y)

    def rods_line(self, station: Any) -> np.ndarray:
        """Return how far behind the nose the rods' line lies at stations (n,) from the centre line. [m]"""
        edge, foam = planform.interpolated(
            self.wing, (self.wing.leading_edge, self.wing.foam_chord), np.atleast_1d(station)
        )
        return edge + self.fraction * foam

    def loads(self, mass: Any, station: Any, ahead: float = 0.0) -> WingLoads:
        """Return loads.WingLoads of bags (n_bag,) [kg] at stations [m], hung ``ahead`` [m] of the rods' line."""
        return load_test.bag_loads(self.half.beam, *self._hung(mass, station, ahead))

    def _hung(self, mass: Any, station: Any, ahead: float = 0.0):
        station = np.atleast_1d(station)
        return np.atleast_2d(mass), station, self.rods_line(station) - ahead

    def rise(self, mass: Any, station: Any) -> float:
        """Return how far the tip moves on the rods' line under bags on it. [m]"""
        shape = load_test.shape_under_bags(self.half.beam, *self._hung(mass, station))
        return float(load_test.point_rise(shape, self.half.beam.axis_x[-1], self.rods_line(self.tip)[0])[0])

    def twisted(self, mass: float, station: float, arm: float) -> Twisted:
        """Return what a bag [kg] does to the tip, moved from ``arm`` [m] ahead of the rods to as far behind."""
        shapes = [
            load_test.shape_under_bags(self.half.beam, *self._hung(mass, station, side * arm)) for side in (1, -1)
        ]
        trailing = float((self.wing.leading_edge + self.wing.foam_chord + self.wing.elevon_chord)[-1])
        ahead, behind = (float(shape.twist[0, -1]) for shape in shapes)
        high, low = (float(load_test.point_rise(shape, self.half.beam.axis_x[-1], trailing)[0]) for shape in shapes)
        return Twisted(abs(ahead - behind), abs(high - low))

    def stop(self, loads: WingLoads) -> load_test.StopMass:
        """Return where something first uses 80 % of its strength, in multiples of what ``loads`` hang."""
        return load_test.stop_mass(self.half.beam, self.own, loads)

    def use(self, loads: WingLoads) -> float:
        """Return the greatest utilisation under bags and the wing's own weight. [-]"""
        return float(load_test.greatest_utilisation(self.half.beam, load_test.combined_loads(self.own, loads))[0])


def load_test_plan(
    data: strength.StrengthData,
    weak: list[strength.StrengthData],
    choice: Choice,
    variables: dict[str, float],
    values: dict[str, Any],
    flown: WingStructure,
    set_names: list[str],
) -> BenchTests:
    """Return the three tests of one design.

    ``weak`` are the same data with weak materials, ``values`` and ``flown`` what the design does in flight.
    """
    bench = Bench(data, choice, variables)
    weaker = [Bench(each, choice, variables) for each in weak]
    names = mode_names(set_names)
    return BenchTests(_bend(bench, weaker, names), _twist(bench, weaker), _proof(bench, weaker, values, flown, names))


def _told(**values: Any) -> dict[str, Any]:
    """Return SI values at the edge, to four places."""
    return rounded(at_edge(**values), 4)


def _stepped(mass: float) -> float:
    """Return a mass as bags are filled, never none. [kg]"""
    return max(MASS_STEP, MASS_STEP * np.floor(mass / MASS_STEP))


def _bend(bench: Bench, weaker: list[Bench], names: list[str]) -> BendTest:
    station = bench.station
    stops = [each.stop(each.loads(1.0, station)) for each in (bench, *weaker)]
    first = min(stops, key=lambda stop: stop.mass)
    per_mass = bench.rise(1.0, station)
    mass = _stepped(min(GENTLE * first.mass, READABLE * bench.tip / per_mass))
    return BendTest(
        stop_mode=names[first.mode],
        **_told(
            station_mm=station,
            behind_nose_mm=bench.rods_line(station)[0],
            mass_g=mass,
            rise_mm=mass * per_mass,
            weak_rise_mm=max(each.rise(mass, station) for each in (bench, *weaker)),
            stop_mass_g=first.mass,
            stop_rise_mm=first.mass * per_mass,
        ),
    )


def _twist(bench: Bench, weaker: list[Bench]) -> TwistTest:
    station = bench.station
    per_mass = bench.twisted(1.0, station, ARM)
    # on a swept wing the bag bends the axis more from one end of the stick than from the other
    strong = min(each.stop(each.loads(1.0, station, side * ARM)).mass for each in (bench, *weaker) for side in (1, -1))
    stop = min(strong, MOST_TURN / per_mass.angle)
    mass = _stepped(min(GENTLE * stop, TURN / per_mass.angle))
    weakest = [each.twisted(mass, station, ARM) for each in (bench, *weaker)]
    return TwistTest(
        **_told(
            station_mm=station,
            arm_mm=ARM,
            mass_g=mass,
            angle_deg=mass * per_mass.angle,
            edge_mm=mass * per_mass.edge_rise,
            weak_angle_deg=max(each.angle for each in weakest),
            weak_edge_mm=max(each.edge_rise for each in weakest),
            stop_mass_g=stop,
            stop_angle_deg=stop * per_mass.angle,
        )
    )


def _proof(
    bench: Bench, weaker: list[Bench], values: dict[str, Any], flown: WingStructure, names: list[str]
) -> ProofTest:
    """Bags that bend the centre as the pull-up does, the wing's own weight on the bench counted in."""
    half = bench.half
    asked = float(values["load_factor"][len(trimmed_flight.LEVEL_CONDITIONS) + PULL_UP])
    limit = float(flown.failure_load_factor[PULL_UP]) / SAFETY_FACTOR
    factor = min(asked, limit)
    flying = factor / asked * flown.bending_moment[PULL_UP]
    force = factor / asked * values["strip_lift"][PULL_UP] - (factor + 1.0) * GRAVITY * half.strip_mass
    hang = load_test.proof_bags(half.beam.station_y, force, BAGS)
    station = STATION_STEP * np.round(hang.station / STATION_STEP)
    whole = bench.loads(hang.mass, station)
    own = bench.own.bending_moment[0]
    wanted = float((flying[0] - own[0]) / whole.bending_moment[0, 0])
    mass = BAG_STEP * np.round(wanted * hang.mass / BAG_STEP)
    loads = bench.loads(mass, station)
    on_bench = own + loads.bending_moment[0]
    stops = [each.stop(each.loads(mass, station)) for each in (bench, *weaker)]
    weakest = min(stops, key=lambda stop: stop.mass)
    place = bench.rods_line(station)
    where = np.asarray(ALONG) * bench.tip
    in_air, hung = (np.interp(where, half.beam.station_y, moment) for moment in (flying, on_bench))
    bags = [
        Bag(**rounded(at_edge(station_mm=y, behind_nose_mm=x, mass_g=m), 1))
        for y, x, m in zip(station.tolist(), place.tolist(), mass.tolist(), strict=True)
    ]
    along = [
        BenchMoment(round(in_unit(y, "mm"), 1), round(a, 4), round(b, 4))
        for y, a, b in zip(where.tolist(), in_air.tolist(), hung.tolist(), strict=True)
    ]
    return ProofTest(
        bags=bags,
        along=along,
        stop_mode=names[weakest.mode],
        **_told(
            load_factor=factor,
            required_load_factor=asked,
            rise_mm=bench.rise(mass, station),
            weak_rise_mm=max(each.rise(mass, station) for each in (bench, *weaker)),
            used_pct=bench.use(loads),
            weak_used_pct=max(each.use(loads) for each in (bench, *weaker)),
            stop_pct=stops[0].mass,
            weak_stop_pct=weakest.mass,
            moment_nm=on_bench[0],
            own_moment_nm=own[0],
        ),
    )
