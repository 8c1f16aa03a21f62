"""Strength of a wing: first failure in every load condition, further checks, and load tests on the bench."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from .field_specs import OldName, Unit


@dataclass(frozen=True)
class StructureCase:
    """First failure in one load condition."""

    condition: Annotated[str, "Name of the load condition."]
    load_factor: Annotated[float, "Required load factor.", Unit("g")]
    mode: Annotated[str, "Failure mode."]
    at_mm: Annotated[float, "Place of the failure, from the centre line."]
    failure_load_factor: Annotated[float | None, "Failure load factor; empty at a load factor of 0.", Unit("g")]
    weak_failure_load_factor: Annotated[float | None, "The same with weak materials.", Unit("g")]
    tip_deflection_mm: Annotated[float, "Deflection of the tips."]
    weak_mode: Annotated[str, "Failure mode with weak materials."] = ""


@dataclass(frozen=True)
class StructureCheck:
    """One check of strength in addition to the load conditions."""

    what: Annotated[str, "Name of the check."]
    condition: Annotated[str, "Load condition with the greatest utilisation."]
    load_factor: Annotated[float, "Required load factor.", Unit("g")]
    utilisation: Annotated[float, "Load over strength."]
    failure_load_factor: Annotated[float | None, "Failure load factor; empty where nothing fails.", Unit("g")]
    mode: Annotated[str, "Failure mode."]
    at_mm: Annotated[float, "Place of the failure, from the centre line."]
    note: Annotated[str, "Basis of the check."]


@dataclass(frozen=True)
class BendTest:
    """A test that measures the stiffness in bending, with a bag on each tip."""

    station_mm: Annotated[float, "Place of the bag, from the centre line."]
    behind_nose_mm: Annotated[float, "Place of the bag, behind the nose."]
    mass_g: Annotated[float, "Mass of the bag on each side."]
    rise_mm: Annotated[float, "Deflection of the tips."]
    weak_rise_mm: Annotated[float, "Deflection of the tips with weak materials."]
    stop_mass_g: Annotated[
        float, "Mass at which the first failure mode reaches 80 % of its strength, weak materials included."
    ]
    stop_rise_mm: Annotated[float, "Deflection of the tips at which to stop."]
    stop_mode: Annotated[str, "First failure mode, at that mass."]


@dataclass(frozen=True)
class TwistTest:
    """A test that measures the stiffness in torsion, with a bag on a stick across each tip."""

    station_mm: Annotated[float, "Place of the stick, from the centre line."]
    arm_mm: Annotated[float, "Arm of the bag ahead of the rods, then behind them."]
    mass_g: Annotated[float, "Mass of the bag on each side."]
    angle_deg: Annotated[float, "Twist of the tip between the two places of the bag."]
    edge_mm: Annotated[float, "Movement of the trailing edge at the tip between the two places of the bag."]
    weak_angle_deg: Annotated[float, "Twist of the tip with weak materials."]
    weak_edge_mm: Annotated[float, "Movement of the trailing edge with weak materials."]
    stop_mass_g: Annotated[float, "Mass of the bag at which to stop."]
    stop_angle_deg: Annotated[float, "Twist of the tip at which to stop."]


@dataclass(frozen=True)
class Bag:
    """One bag of the proof load."""

    station_mm: Annotated[float, "Place of the bag, from the centre line."]
    behind_nose_mm: Annotated[float, "Place of the bag, behind the nose."]
    mass_g: Annotated[float, "Mass of the bag."]


@dataclass(frozen=True)
class BenchMoment:
    """Bending moments at one station, in flight and in the proof test on the bench."""

    station_mm: Annotated[float, "Station from the centre line."]
    flight_nm: Annotated[float, "Moment in the pull-up that the bags represent."]
    bench_nm: Annotated[float, "Moment under the bags and the wing's own weight."]


@dataclass(frozen=True)
class ProofTest:
    """A test with equal bags along the span, which load the wing as a pull-up does."""

    load_factor: Annotated[float, "Load factor that the bags represent.", Unit("g")]
    required_load_factor: Annotated[
        float, "Load factor required by the study.", Unit("g"), OldName("asked_load_factor")
    ]
    bags: Annotated[list[Bag], "The bags on each side."]
    rise_mm: Annotated[float, "Deflection of the tips."]
    weak_rise_mm: Annotated[float, "Deflection of the tips with weak materials."]
    used_pct: Annotated[float, "Utilisation of the first failure mode."]
    weak_used_pct: Annotated[float, "The same with weak materials."]
    stop_pct: Annotated[float, "Share of these bags at which that mode reaches 80 % of its strength."]
    weak_stop_pct: Annotated[float, "The same with weak materials."]
    stop_mode: Annotated[str, "The first failure mode."]
    moment_nm: Annotated[float, "Bending moment at the centre."]
    own_moment_nm: Annotated[float, "Part of that moment due to the wing's own weight."]
    along: Annotated[list[BenchMoment], "Bending moments along the half span."]


@dataclass(frozen=True)
class BenchTests:
    """Three tests of a wing lying upside down on the bench."""

    bend: Annotated[BendTest, "A bag on each tip."]
    twist: Annotated[TwistTest, "A bag on a stick across each tip."]
    proof: Annotated[ProofTest, "Bags along the span."]
