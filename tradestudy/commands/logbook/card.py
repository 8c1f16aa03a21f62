"""The command ``card``: what to hold today, where to turn back, when to land, and the alarms to set."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from tradestudy.aircraft.day.day_numbers import (
    TENTH,
    DayNumbers,
    alarm_voltage,
    charge_doubt,
    charge_in_the_cold,
    day_numbers,
    pack_doubt,
    resistance_doubt,
)
from tradestudy.aircraft.day.today import PackToday, Today, resistance_today, wing_today
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.commands import assess
from tradestudy.commands.recommended_wing import kept_wing
from tradestudy.commands.study_session import StudySession, StudySource, opened
from tradestudy.errors import CommandError, LimitsViolated
from tradestudy.physics.propulsion import pack
from tradestudy.quantities import at_edge, from_edge, in_unit, parse_quantity, rounded, short_with_unit, with_unit
from tradestudy.results.flight import CardLeg, DayCard, DayLeg, PilotCard
from tradestudy.results.inputs import SpreadResult
from tradestudy.study.schema.study import Study
from tradestudy.uncertainty.day_band import DayBand, day_band
from tradestudy.uncertainty.expected import HOME_PCT, expected_card, field_shares
from tradestudy.uncertainty.fit.least_squares import priors

from .flown_wing import FlownWing, day_logbook, flown_wing, last_wing, pack_today
from .found_changes import reported_changes

_ALARM_STEP_V, _CELL_STEP_V = 0.1, 0.01  # alarms of receivers and controllers are set in such steps
_CHARGE_STEP_MAH = 50.0
_WINDS, _TEMPERATURES = ("0 m/s", "25 m/s"), ("-20 C", "60 C")
_SAME_WEIGHT = 0.01  # share of the weight by which scale and model may differ without a word
_COLD_BELOW = 283.15  # temperature below which a pack is called cold [K]


@dataclass(frozen=True)
class RequestedDay:
    """A day as the user gives it. Values are text with a unit, and None means as the study says."""

    wind: str | None = None
    temperature: str | None = None
    pack: str = ""
    wing: str | None = None  # the wing that flew last, or the stock wing
    anyway: bool = False  # a card even for a wing that breaks a limit

    def __post_init__(self) -> None:
        """Raise CommandError for a wind or a temperature that cannot be, before any study is opened."""
        self.read()

    def read(self) -> tuple[float | None, float | None]:
        """Return wind [m/s] and temperature [K]; None as the study says."""
        return (
            _read("--wind", self.wind, "speed", _WINDS),
            _read("--temperature", self.temperature, "temperature", _TEMPERATURES),
        )


def card(study: StudySource, day: RequestedDay | None = None, **options: Any) -> DayCard:
    """Return the card of one day for a wing of a study, with the values to expect and cautious turning points.

    ``options`` are the fields of `RequestedDay` and those of `SearchOptions`. Raises CommandError for a wind,
    temperature, pack or wing that cannot be, and RunFailed if the wing cannot cruise today.

    ::

        ts.card("studies/godwit.toml", wind="4 m/s", temperature="2 C")
    """
    of_day = {name: options.pop(name) for name in RequestedDay.__dataclass_fields__ if name in options}
    requested = day or RequestedDay(**of_day)
    with opened(study, "card", **options) as session:
        book = day_logbook(session)
        packs = requested.pack.strip()
        today = today_of(session.study, requested, pack_today(session, book, packs))
        wing = flown_wing(session, book, requested.wing or last_wing(book.book), packs)
        if wing.broken and not requested.anyway:
            raise LimitsViolated(
                f"The wing {wing.name} gets no card: it breaks a limit ({_limits(wing)}). With --anyway it gets one "
                "that says so."
            )
        session.report_progress("the band of this wing, worked out once and kept")
        return day_card(session, wing, today, drawn_of(session, wing.design))


def today_of(study: Study, requested: RequestedDay, pack: PackToday) -> Today:
    """Return the day as it was requested, with a pack. SI."""
    wind, temperature = requested.read()
    return Today(study.fly.wind if wind is None else wind, temperature, pack)


def _limits(wing: FlownWing) -> str:
    """Return the limits that a wing breaks, in words."""
    return ", ".join(state.words for state in sorted(wing.broken, key=lambda state: state.margin))


def drawn_of(session: StudySession, design: EvaluatedDesign) -> SpreadResult:
    """Return the draws that tell what to expect of a wing: those of the recommended wing where it is kept.

    `cruise` takes these for every wing, so both say the same. Otherwise they are of the wing itself, without a search.
    """
    kept = kept_wing(session)
    choice, variables = (kept.result.choice, kept.result.variables) if kept else (design.choice, design.variables)
    drawn = assess.remembered_effects(session, choice, variables).spread
    return drawn


def day_card(session: StudySession, wing: FlownWing, today: Today, drawn: SpreadResult) -> DayCard:
    """Return the card of one wing on one day."""
    design, study = wing.design, session.study
    factors = wing.factors
    if wing.heavier != 1:  # drag due to lift goes with the square of the weight
        factors = {**(factors or {}), "induced": (factors or {}).get("induced", 1.0) * wing.heavier**2}
    numbers = day_numbers(design, today, factors, wing.cautious)
    cold = charge_in_the_cold(design, today)
    band = day_band(drawn, wing.flown, pack_doubt(design, today, numbers.card, factors))
    band = band._replace(turns=band.turns * cold)
    shown = expected_card(numbers.card, field_shares(band.over), band.turns)
    before = priors(study)
    ohms = math.hypot(before["pack_resistance"], resistance_doubt(design, today))
    charge = math.hypot(before["pack_capacity"], charge_doubt(design, today))
    least_capacity = numbers.capacity * cold * math.exp(-TENTH * charge)
    poor = wing_today(design, today, factors, resistance=math.exp(TENTH * ohms))
    reserve = max(numbers.reserve, float(poor.data.power.reserve))
    home = numbers.card.legs[-1]
    amps = band.over["cruise_current_a"]
    doubt = math.hypot(ohms, math.log(amps / band.current) / TENTH)
    resting = float(pack.open_circuit_voltage(poor.powertrain.pack, reserve))
    volts = alarm_voltage(numbers, resting, _at_reserve(numbers, home) * amps, doubt)
    alarm_v = math.ceil(round(volts / _ALARM_STEP_V, 6)) * _ALARM_STEP_V
    cells = design.study.pack.cell_numbers
    kelvin = design.study.fly.temperature if today.temperature is None else today.temperature
    warmth = design.study.pack.temperature if today.temperature is None else today.temperature
    return DayCard(
        study=study.study.name,
        wing=wing.name,
        unit=study.card.unit,
        pack=_pack_words(design, today.pack),
        flown=wing.flights,
        flights=wing.counted,
        legs=[DayLeg(leg.direction, leg.speed_kmh, leg.hold_a, leg.ground_kmh) for leg in shown.legs],
        stall_kmh=shown.stall_kmh * math.sqrt(wing.heavier),
        until_tested_kmh=shown.until_tested_kmh,
        **_turn(shown, numbers, band, least_capacity),
        alarm_mah=_down(in_unit((1 - reserve) * least_capacity, "mAh")),
        alarm_v=round(alarm_v, 1),
        alarm_cell_v=round(math.ceil(round(alarm_v / design.choice.series / _CELL_STEP_V, 6)) * _CELL_STEP_V, 2),
        home_pct=HOME_PCT,
        warning=f"It breaks a limit: {_limits(wing)}. Not to be flown as it is." if wing.broken else "",
        notes=[*_wing_notes(wing), *_notes(design, today, numbers)],
        changes=reported_changes(wing.changes),
        **rounded(
            at_edge(
                wind_kmh=today.wind,
                temperature_c=kelvin,
                pack_temperature_c=warmth,
                capacity_mah=numbers.capacity,
                reserve_pct=numbers.reserve,
                out_of_reach_pct=numbers.out_of_reach,
                least_cell_v=cells["minimum_voltage"],
                cell_most_a=cells["maximum_current"] * design.choice.parallel,
                full_throttle_a=numbers.full_throttle_current,
                full_throttle_until_mah=(1 - numbers.full_throttle_ends) * numbers.capacity,
            ),
            5,
        ),
    )


def _turn(shown: PilotCard, numbers: DayNumbers, band: DayBand, least_capacity: float) -> dict[str, Any]:
    """Return where and when to turn back and to land, at the cautious end."""
    turn, nominal = shown.turns[0], numbers.card.turns[0]
    out, home = shown.legs[0], shown.legs[-1]
    near = band.turns * (1 - numbers.reserve) * numbers.capacity / from_edge("hold_a", numbers.card.hold_a)
    values: dict[str, Any] = {"near_min": in_unit(near, "min")}
    names = ("turn_km", "turn_mah", "turn_min", "turn_expected_km", "land_min")
    if turn.full_km is None or nominal.full_km is None or not (out.ground_kmh and home.ground_kmh):
        return rounded(values | dict.fromkeys(names), 5)
    assert turn.full_mah is not None
    distance = from_edge("full_km", turn.full_km)
    times = [distance / from_edge("ground_kmh", leg.ground_kmh) for leg in (out, home)]
    values |= {
        "turn_km": turn.full_km,
        "turn_mah": _down(turn.full_mah * least_capacity / numbers.capacity),
        "turn_min": in_unit(times[0], "min"),
        "turn_expected_km": nominal.full_km * band.over["radius_by_charge_km"],
        "land_min": in_unit(sum(times), "min"),
    }
    return rounded(values, 5)


def _at_reserve(numbers: DayNumbers, home: CardLeg) -> float:
    """Return the current on the way home at the reserve. [A] It exceeds the mean as it does in cruise."""
    return (home.hold_a or numbers.card.hold_a) * numbers.card.end_a / numbers.card.hold_a


def _wing_notes(wing: FlownWing) -> list[str]:
    """Return what to know about the wing of a card, in sentences."""
    notes = []
    if abs(wing.heavier - 1) > _SAME_WEIGHT:
        more = in_unit(abs(wing.heavier - 1), "%")
        notes.append(
            f"The wing weighs {more:.0f} % {'more' if wing.heavier > 1 else 'less'} than the model of it. Drag due to "
            "lift and the stall follow the scale."
        )
    return notes


def _down(charge_mah: float) -> float:
    """Return a charge [mAh] rounded down to a whole step, so that an alarm comes early."""
    return math.floor(charge_mah / _CHARGE_STEP_MAH) * _CHARGE_STEP_MAH


def _pack_words(design: EvaluatedDesign, pack: PackToday) -> str:
    words = f"{design.choice.series}S{design.choice.parallel}P {design.study.pack.cell}"
    return f"{pack.name}: {words}, {pack.source}" if pack.name else words


def _notes(design: EvaluatedDesign, today: Today, numbers: DayNumbers) -> list[str]:
    """Return what to know about the card, in sentences."""
    notes, cells, choice = [], design.study.pack.cell_numbers, design.choice
    most = cells["maximum_current"] * choice.parallel
    if today.temperature is not None:
        times = resistance_today(design, Today(today.wind, today.temperature))
        if today.temperature < _COLD_BELOW:
            notes.append(
                f"The pack is taken as cold as the air: its cells have {times:.1f} times the resistance. A pack kept "
                "warm until the launch gives more."
            )
    if today.pack.name and today.pack.is_guess:
        notes.append(
            "Nobody has measured this pack. After a long flight from full note its volts after ten minutes' rest, and "
            'under a load on the ground: "(rested 14.6 V, 13.9 V at 12 A)".'
        )
    usual = float(design.data.power.reserve)
    if numbers.reserve > usual + 0.005:
        notes.append(
            f"Land with {in_unit(numbers.reserve, '%'):.0f} % left instead of {in_unit(usual, '%'):.0f} %: this pack "
            "cannot give the rest without falling below the least voltage of its cells."
        )
    if numbers.full_throttle_current > most:
        notes.append(
            f"Full throttle draws {with_unit(numbers.full_throttle_current, 'A')}, and the maker of the cells allows "
            f"{with_unit(most, 'A')} without a break: use less."
        )
    if numbers.full_throttle_ends > numbers.reserve + 0.005:
        used = _down(in_unit((1 - numbers.full_throttle_ends) * numbers.capacity, "mAh"))
        notes.append(
            "Full throttle takes the cells below their least voltage "
            + (f"after {used:.0f} mAh: climb gently from there." if used > 0 else "even on a full pack: climb gently.")
        )
    notes.append(
        f"Limits of the cells, by the catalogue: at least {short_with_unit(cells['minimum_voltage'], 'V')} each under "
        f"load, at most {with_unit(most, 'A')} from this pack without a break. The data sheet of your cells takes "
        "precedence. Makers forbid charging below 0 C."
    )
    return notes


def _read(flag: str, text: str | None, kind: str, ends: tuple[str, str]) -> float | None:
    """Return a quantity in SI, or None if it was not given. Raise CommandError if it is wrong or out of range."""
    if text is None:
        return None
    try:
        value = parse_quantity(text, kind)
    except ValueError as error:
        raise CommandError(f'{flag} "{text}" {error}.') from None
    low, high = (parse_quantity(end, kind) for end in ends)
    if not low <= value <= high or not np.isfinite(value):
        raise CommandError(f'{flag} "{text}": {ends[0]} to {ends[1]} is allowed.')
    return value
