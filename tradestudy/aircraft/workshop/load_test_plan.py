"""Load tests of a wing that lies upside down on the bench: bags, expected deflections, and loads at which to stop.

There are three tests. A bag on each tip measures the stiffness in bending. A bag on a stick across the tip measures the
stiffness in torsion. Equal bags along the span test the strength, with the loads of a pull-up.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from tradestudy.aircraft.anchor.wing_on_bench import WingOnBench
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.model.limit_bounds import PULL_UP
from tradestudy.physics.air import GRAVITY
from tradestudy.physics.flight.trimmed_flight import N_LEVEL
from tradestudy.physics.structure import load_test
from tradestudy.physics.structure.failure_modes import mode_names
from tradestudy.physics.structure.wing_beam import SAFETY_FACTOR
from tradestudy.quantities import at_edge, from_edge, in_unit, rounded
from tradestudy.results.structure import Bag, BenchMoment, BenchTests, BendTest, ProofTest, TwistTest

_GENTLE = 0.6  # share of the stop load that a stiffness test uses: enough to read by a ruler; judgement, no source
_READABLE = 0.03  # deflection over semi-span that is enough to read
ARM = 0.150  # m; distance of the bag on the stick from the rods
_TURN = from_edge("deg", 4.0)  # turn of the tip from bag ahead to bag behind, easily read by a phone on the tip
_MOST_TURN = from_edge("deg", 8.0)  # turn above which film may wrinkle and peel; judgement, no source
_BAGS = 4  # bags on each side in the strength test
_MASS_STEP, _BAG_STEP, _STATION_STEP = 0.010, 0.005, 0.005  # kg, kg, m; steps: single bag, several bags, place
_ALONG = (0.0, 0.25, 0.5, 0.75)  # shares of the semi-span at which moments on the bench and in flight are compared


def load_test_plan(design: EvaluatedDesign) -> BenchTests:
    """Return the three tests of one design."""
    bench, *weak = (
        WingOnBench(data, design.choice, design.variables) for data in (design.data.strength, *design.weak_strength)
    )
    names = mode_names([rod.name for rod in design.study.rods])
    return BenchTests(_bend(bench, weak, names), _twist(bench, weak), _proof(design, bench, weak, names))


def _at_edge(**values: Any) -> dict[str, Any]:
    """Return SI values in the units shown to the user, rounded to four decimal places."""
    return rounded(at_edge(**values), 4)


def _stepped(mass: float) -> float:
    """Return a mass rounded down to a step of a bag, at least one step. [kg]"""
    return max(_MASS_STEP, _MASS_STEP * np.floor(mass / _MASS_STEP))


def _bend(bench: WingOnBench, weak: list[WingOnBench], names: list[str]) -> BendTest:
    station = bench.station
    stops = [each.stop(each.loads(1.0, station)) for each in (bench, *weak)]
    first = min(stops, key=lambda stop: stop.mass)
    per_mass = bench.rise(1.0, station)
    mass = _stepped(min(_GENTLE * first.mass, _READABLE * bench.tip / per_mass))
    return BendTest(
        stop_mode=names[first.mode],
        **_at_edge(
            station_mm=station,
            behind_nose_mm=bench.rods_line(station)[0],
            mass_g=mass,
            rise_mm=mass * per_mass,
            weak_rise_mm=max(each.rise(mass, station) for each in (bench, *weak)),
            stop_mass_g=first.mass,
            stop_rise_mm=first.mass * per_mass,
        ),
    )


def _twist(bench: WingOnBench, weak: list[WingOnBench]) -> TwistTest:
    station = bench.station
    per_mass = bench.tip_twist(1.0, station, ARM)
    # on a swept wing, the bag bends the wing more at one end of the stick than at the other
    strong = min(each.stop(each.loads(1.0, station, side * ARM)).mass for each in (bench, *weak) for side in (1, -1))
    stop = min(strong, _MOST_TURN / per_mass.angle)
    mass = _stepped(min(_GENTLE * stop, _TURN / per_mass.angle))
    weakest = [each.tip_twist(mass, station, ARM) for each in (bench, *weak)]
    return TwistTest(
        **_at_edge(
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


def _proof(design: EvaluatedDesign, bench: WingOnBench, weak: list[WingOnBench], names: list[str]) -> ProofTest:
    """Return the bags that, with the wing's own weight, give the bending moment of the pull-up at the centre."""
    half, trimmed, structure = bench.half, design.evaluation.flow.trimmed, design.evaluation.structure.beam
    pull_up = float(trimmed.load_factor[N_LEVEL + PULL_UP])
    factor = min(pull_up, float(structure.failure_load_factor[PULL_UP]) / SAFETY_FACTOR)
    flight_moment = factor / pull_up * structure.bending_moment[PULL_UP]
    force = factor / pull_up * trimmed.strip_lift[PULL_UP] - (factor + 1.0) * GRAVITY * half.strip_mass
    hang = load_test.proof_bags(half.beam.station_y, force, _BAGS)
    station = _STATION_STEP * np.round(hang.station / _STATION_STEP)
    even = bench.loads(hang.mass, station)
    own = bench.own.bending_moment[0]
    scale = float((flight_moment[0] - own[0]) / even.bending_moment[0, 0])
    mass = _BAG_STEP * np.round(scale * hang.mass / _BAG_STEP)
    loads = bench.loads(mass, station)
    on_bench = own + loads.bending_moment[0]
    stops = [each.stop(each.loads(mass, station)) for each in (bench, *weak)]
    weakest = min(stops, key=lambda stop: stop.mass)
    place = bench.rods_line(station)
    where = np.asarray(_ALONG) * bench.tip
    in_air, hung = (np.interp(where, half.beam.station_y, moment) for moment in (flight_moment, on_bench))
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
        **_at_edge(
            load_factor=factor,
            required_load_factor=pull_up,
            rise_mm=bench.rise(mass, station),
            weak_rise_mm=max(each.rise(mass, station) for each in (bench, *weak)),
            used_pct=bench.utilisation(loads),
            weak_used_pct=max(each.utilisation(loads) for each in (bench, *weak)),
            stop_pct=stops[0].mass,
            weak_stop_pct=weakest.mass,
            moment_nm=on_bench[0],
            own_moment_nm=own[0],
        ),
    )
