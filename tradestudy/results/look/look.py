"""Dataclasses for one look at a wing: what a live page shows while a slider moves, and what follows it.

Fields have the names, units and meanings of `results.numbers.DesignNumbers`, where both have one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from tradestudy.results.body import Body
from tradestudy.results.design import DesignChoices, DesignVariables, LimitState
from tradestudy.results.field_specs import Unit
from tradestudy.results.flight import Curves, Mission
from tradestudy.results.numbers import DesignNumbers, WingBalance
from tradestudy.results.outline import Outline

_AS_NAMED = Unit("as number says")


@dataclass(frozen=True, kw_only=True)
class LookNumbers:
    """The numbers of one look, with the values to expect where the study has draws."""

    span_mm: Annotated[float, "Span from tip to tip."]
    sweep_deg: Annotated[float, "Sweep of the leading edge of a panel."]
    set_back_mm: Annotated[float, "Set-back: leading edge of the tip behind the nose."]
    washout_deg: Annotated[float, "Washout of the tip against the root, chord line to chord line."]
    tip_chord_mm: Annotated[float, "Chord of the foam at the tip."]
    area_dm2: Annotated[float, "Wing area with the elevons."]
    wing_loading_g_dm2: Annotated[float, "Flying weight over wing area."]
    auw_g: Annotated[float, "All-up flying weight."]
    cg_mm: Annotated[float, "Balance mark behind the nose."]
    cg_from_trailing_edge_mm: Annotated[float, "Balance mark ahead of the root trailing edge."]
    neutral_point_mm: Annotated[float, "Neutral point behind the nose."]
    static_margin_pct: Annotated[float, "Static margin over the mean chord."]
    pack_position_mm: Annotated[float, "Middle of the pack behind the nose."]
    clearance_mm: Annotated[
        float | None, "Least room left above and below bays and joiner; empty where nothing lies in the foam."
    ] = None
    elevon_deg: Annotated[float, "Elevon in cruise, up is negative."]
    elevon_mm: Annotated[float, "Elevon in cruise at the trailing edge, up is negative."]
    cruise_speed_kmh: Annotated[float, "Cruise speed through the air."]
    range_km: Annotated[float, "Range on one charge in still air, the reserve kept."]
    radius_km: Annotated[float, "Farthest distance out with a return, in the wind and the distance limit of the study."]
    radius_by_charge_km: Annotated[
        float, "Farthest distance out with a return, in the wind of the study, limited by charge alone."
    ]
    usual_flight_min: Annotated[float, "Duration of a usual flight with its share of full throttle."]
    endurance_min: Annotated[float, "Duration of a steady cruise, the reserve kept."]
    wh_per_km: Annotated[float, "Energy per kilometre in cruise."]
    mah_per_km: Annotated[float, "Charge per kilometre in cruise."]
    cruise_current_a: Annotated[float, "Mean current out of the pack in cruise."]
    end_current_a: Annotated[float, "Current at the end of the flight."]
    full_throttle_current_a: Annotated[float, "Current at full throttle on a full pack."]
    climb_ms: Annotated[float, "Rate of climb at full throttle at the end of the flight."]
    stall_speed_kmh: Annotated[float | None, "Stall speed in trim; empty where it cannot fly."]
    top_speed_kmh: Annotated[
        float | None, "Top speed in level flight at full throttle on a full pack; empty where it cannot fly."
    ]
    payload_g: Annotated[float, "Mass that is carried besides, at the balance mark."] = 0.0
    failure_load_factor: Annotated[float, "Failure load factor in the hardest pull-up.", Unit("g")]
    pack_energy_wh: Annotated[float, "Energy in the full pack."]


@dataclass(frozen=True)
class LookBand:
    """The band of one number: eight in ten of such wings lie inside."""

    number: Annotated[str, "Name of the number in LookNumbers."]
    low: Annotated[float, "Low end: one in ten lies below.", _AS_NAMED]
    high: Annotated[float, "High end: one in ten lies above.", _AS_NAMED]
    about: Annotated[bool, "Whether it is that of another wing, in proportion."]


@dataclass(frozen=True)
class PackReach:
    """Where the pack lies in its bay, and where it may lie."""

    at_mm: Annotated[float, "Middle of the pack behind the nose, where it balances the wing."]
    front_mm: Annotated[float, "Foremost place of its middle."]
    back_mm: Annotated[float, "Rearmost place of its middle."]
    left_mm: Annotated[float, "Way left to the nearer of both ends; below zero it is out of its bay."]


@dataclass(frozen=True)
class PartOption:
    """One value of a part."""

    value: Annotated[str | float | int | None, "Value in a wing's choices."]
    words: Annotated[str, "Words for it."]
    not_possible: Annotated[str, "Why no wing of this study can have it; empty where one can."] = ""


@dataclass(frozen=True)
class WingLook:
    """One look at a wing: numbers, limits, curves over speed, and its drawing from above and from the side."""

    study_id: Annotated[str, "Which text of the study it belongs to."]
    name: Annotated[str, "The wing by its span and its parts."]
    choices: Annotated[DesignChoices, "The parts; with the variables they are the wing."]
    variables: Annotated[DesignVariables, "The values of the variables."]
    numbers: Annotated[LookNumbers, "The numbers."]
    purpose: Annotated[str, "Name of the number that the study maximises."]
    expected: Annotated[
        bool, "Whether ranges, times and currents are those to expect; else those at the medians of all inputs."
    ]
    about: Annotated[bool, "Whether the values to expect follow draws of another text of the study, in proportion."]
    bands: Annotated[list[LookBand], "Bands of the numbers; none before any was worked out."]
    limits: Annotated[list[LimitState], "Every limit, the worst first."]
    worst_limit: Annotated[str, "Name of the limit with the least margin."]
    all_met: Annotated[bool, "Whether every limit is met."]
    layouts: Annotated[list[PartOption], "Ways to lay the cells of this pack; one alone cannot be changed."]
    pack_reach: Annotated[PackReach, "Where the pack lies and may lie."]
    curves: Annotated[Curves, "Curves over speed, from the stall to the top speed; none along the span."]
    least_cruise_kmh: Annotated[float, "Least cruise speed that the study allows for this wing."]
    outline: Annotated[Outline, "Right half from above."]
    body: Annotated[Body, "Skin and parts as solids, those that its drawings show."]
    best_speed_kmh: Annotated[float | None, "Best cruise speed for the purpose; empty where it was not searched."] = (
        None
    )
    cannot_fly: Annotated[str, "Why it cannot fly at any speed; empty for a wing that can."] = ""


@dataclass(frozen=True)
class AfterRelease:
    """What follows a look a moment after a slider is let go: handling, flutter, balance range and mission."""

    study_id: Annotated[str, "Which text of the study it belongs to."]
    choices: Annotated[DesignChoices, "The parts; with the variables they are the wing."]
    variables: Annotated[DesignVariables, "The values of the variables."]
    numbers: Annotated[DesignNumbers, "Every number of the wing."]
    expected: Annotated[bool, "Whether ranges, times and currents are those to expect."]
    balance: Annotated[WingBalance | None, "What ends the balance window, and what moves the balance."]
    mission: Annotated[Mission | None, "Mission of the study, simulated; empty without one."]
    flags: Annotated[list[str], "Sentences that warn the builder."]
