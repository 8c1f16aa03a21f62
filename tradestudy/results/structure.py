"""What a wing carries, what breaks first, and what to hang on it on the bench."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from .field_specs import OldName, Unit


@dataclass(frozen=True)
class StructureCase:
    """One load condition: what breaks first, and where."""

    condition: Annotated[str, "Which load condition."]
    load_factor: Annotated[float, "Load factor that is asked for.", Unit("g")]
    mode: Annotated[str, "What breaks first."]
    at_mm: Annotated[float, "Where, from the centre line."]
    failure_load_factor: Annotated[float, "Load factor at which it breaks.", Unit("g")]
    weak_failure_load_factor: Annotated[float | None, "The same with weak materials.", Unit("g")]
    tip_deflection_mm: Annotated[float, "How far the tips move."]
    weak_mode: Annotated[str, "What breaks first with weak materials."] = ""


@dataclass(frozen=True)
class StructureCheck:
    """One check beside the load conditions."""

    what: Annotated[str, "What is checked."]
    condition: Annotated[str, "Load condition in which it comes nearest to breaking."]
    load_factor: Annotated[float, "Load factor that is asked for.", Unit("g")]
    utilisation: Annotated[float, "Share of its strength that this uses."]
    failure_load_factor: Annotated[
        float | None, "Load factor at which it breaks; empty where nothing breaks.", Unit("g")
    ]  # fmt: skip
    mode: Annotated[str, "How it breaks."]
    at_mm: Annotated[float, "Where, from the centre line."]
    note: Annotated[str, "What the check rests on."]


@dataclass(frozen=True)
class BendTest:
    """A bag on each tip, which tells the stiffness in bending."""

    station_mm: Annotated[float, "Where the bag hangs, from the centre line."]
    behind_nose_mm: Annotated[float, "Where the bag hangs, behind the nose."]
    mass_g: Annotated[float, "The bag on each side."]
    rise_mm: Annotated[float, "How far the tips move."]
    weak_rise_mm: Annotated[float, "How far they move with weak materials."]
    stop_mass_g: Annotated[float, "Bag at which the first thing uses 80 % of its strength, weak or not."]
    stop_rise_mm: Annotated[float, "Movement of the tips at which to stop."]
    stop_mode: Annotated[str, "What that first thing is."]


@dataclass(frozen=True)
class TwistTest:
    """A bag on a stick across each tip, which tells the stiffness in torsion."""

    station_mm: Annotated[float, "Where the stick lies, from the centre line."]
    arm_mm: Annotated[float, "How far ahead of the rods the bag hangs, then as far behind."]
    mass_g: Annotated[float, "The bag on each side."]
    angle_deg: Annotated[float, "Turn of the tip from bag ahead to bag behind."]
    edge_mm: Annotated[float, "Movement of the trailing edge at the tip from bag ahead to bag behind."]
    weak_angle_deg: Annotated[float, "Turn of the tip with weak materials."]
    weak_edge_mm: Annotated[float, "Movement of the trailing edge with weak materials."]
    stop_mass_g: Annotated[float, "Bag at which to stop."]
    stop_angle_deg: Annotated[float, "Turn of the tip at which to stop."]


@dataclass(frozen=True)
class Bag:
    """One bag of the proof load."""

    station_mm: Annotated[float, "Where it hangs, from the centre line."]
    behind_nose_mm: Annotated[float, "Where it hangs, behind the nose."]
    mass_g: Annotated[float, "What it weighs."]


@dataclass(frozen=True)
class BenchMoment:
    """Bending moment at one place, in flight and on the bench."""

    station_mm: Annotated[float, "The place from the centre line."]
    flight_nm: Annotated[float, "In the pull-up that the bags stand for."]
    bench_nm: Annotated[float, "Under the bags and the wing's own weight."]


@dataclass(frozen=True)
class ProofTest:
    """Equal bags along the span, which load the wing as a pull-up does."""

    load_factor: Annotated[float, "Pull-up that the bags stand for.", Unit("g")]
    required_load_factor: Annotated[float, "Pull-up that the study asks for.", Unit("g"), OldName("asked_load_factor")]
    bags: Annotated[list[Bag], "The bags on each side."]
    rise_mm: Annotated[float, "How far the tips move."]
    weak_rise_mm: Annotated[float, "How far they move with weak materials."]
    used_pct: Annotated[float, "Share of its strength that the first thing to give uses."]
    weak_used_pct: Annotated[float, "The same with weak materials."]
    stop_pct: Annotated[float, "Share of these bags at which that uses 80 % of its strength."]
    weak_stop_pct: Annotated[float, "The same with weak materials."]
    stop_mode: Annotated[str, "What the first thing to give is."]
    moment_nm: Annotated[float, "Bending moment at the centre."]
    own_moment_nm: Annotated[float, "What of it the wing's own weight makes."]
    along: Annotated[list[BenchMoment], "The moment along the half span."]


@dataclass(frozen=True)
class BenchTests:
    """Three tests of a wing lying upside down on the bench."""

    bend: Annotated[BendTest, "A bag on each tip."]
    twist: Annotated[TwistTest, "A bag on a stick across each tip."]
    proof: Annotated[ProofTest, "Bags along the span."]
