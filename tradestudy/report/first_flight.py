"""The first-flight card of a stretched wing: checks, launch, tests in the air, and what to write down."""

from __future__ import annotations

from typing import NamedTuple

from tradestudy.report.balance_words import first_flight_words, window_words
from tradestudy.report.placed import fill
from tradestudy.report.words.load_test import is_grounded, is_held_back, twist_test_words
from tradestudy.report.words.phrases import (
    ENERGY_ONLY,
    Rows,
    bracketed_band,
    design_number,
    expected_band,
    number_text,
)
from tradestudy.results.design import Design
from tradestudy.results.result import Result

FIRST_PITCH_SHARE = 0.6  # share of the full pitch throw on the first flight; common practice, no source
NOTE_HEADS = ("Flight", "Time [min]", "Put back [mAh]", "Distance [km]", "Wind [km/h]", "Full throttle [% of time]")
INSPECTED_AFTER = (1, 3, 10)  # flights after which a wing is looked over; common practice, no source
INSPECTED_EVERY = 25  # and after each so many flights from then on; common practice, no source
INSPECTION_HEADS = ("Look at", *(f"After {count}" for count in INSPECTED_AFTER), f"Every {INSPECTED_EVERY}")
INSPECTION_TITLE = (
    f"After flights {', '.join(map(str, INSPECTED_AFTER[:-1]))} and {INSPECTED_AFTER[-1]}, and every {INSPECTED_EVERY}"
)
_FLIGHTS = tuple(str(flight) for flight in range(1, 11))
# common practice, no source
_AFTERWARDS = (
    "Motor screws locked, propeller tight and whole, motor and controller only warm.",
    "Linkage without play: horns, push rods and servo arms. Fins and lids firm.",
    "Film at the rods' ends, at splices and along the hinges: no wrinkle, no crack, nothing lifting.",
    "Tips twisted by hand: as stiff as on the bench, left and right alike.",
)
_SAME_SPEED = 0.5  # km/h; a smaller difference of two speeds is not shown
_BLANK = ".........."
_ELEVONS_ONLY = "one elevon up and one down"


class CardPart(NamedTuple):
    """One part of the card: a heading and its points, each to be ticked off."""

    title: str
    points: list[str]


def card_parts(result: Result, design: Design) -> list[CardPart]:
    """Return the parts of the card in the order in which they are done."""
    return [
        CardPart("Set", _set(design)),
        CardPart("On the ground", _on_the_ground(design)),
        CardPart("Launch", launch_words(design)),
        CardPart("In the air, stabilisation off", _in_the_air(result, design)),
    ]


def inspection_rows() -> Rows:
    """Return what to look at after some flights, with the columns of INSPECTION_HEADS."""
    return [(point, *[_BLANK] * (len(INSPECTION_HEADS) - 1)) for point in _AFTERWARDS]


def reminders(flights: int) -> list[str]:
    """Return what to look at after so many flights of a wing: the points of the first-flight card, or none.

    They are due after the flights of INSPECTED_AFTER, and after every INSPECTED_EVERY.
    """
    due = flights in INSPECTED_AFTER or (flights > 0 and flights % INSPECTED_EVERY == 0)
    return list(_AFTERWARDS) if due else []


def note_rows() -> Rows:
    """Return empty rows to fill in after each flight, with the columns of NOTE_HEADS."""
    return [(flight, *[_BLANK] * (len(NOTE_HEADS) - 1)) for flight in _FLIGHTS]


def note_words(result: Result, design: Design) -> list[str]:
    """Return what the numbers to fill in are for, and the range to expect."""
    lines = [
        "What you write here makes the next study more accurate: enter it in the table [known_flight], or let "
        "tradestudy fit compare it."
    ]
    if reach := expected_band(result, design, "range_km"):
        low, expected, high = map(number_text, reach)
        lines.append(
            fill("Range to expect: {} km on one charge, eight in ten such wings {} to {} km. ", expected, low, high)
            + ENERGY_ONLY
        )
    return lines


def _set(design: Design) -> list[str]:
    numbers = design.numbers
    if numbers.first_flight_cg_mm is None:
        balance = fill("Do not fly it as it is: {}.", first_flight_words(design))
    else:
        balance = fill(
            "Balances level for the {}; the mark is at {} mm. Never behind the mark: {}.",
            first_flight_words(design),
            design_number(design, "cg_mm"),
            window_words(design),
        )
    points = [
        balance,
        fill("Weighed ready to fly: {} g expected.", design_number(design, "auw_g")),
        "Left and right are equal: weight of the half wings, washout at both tips, neutral elevons.",
    ]
    return [*points, *([_throws(design)] if design.cutting else [])]


def _throws(design: Design) -> str:
    """Return the throws of the first flight. Pitch is reduced, but not below what the stall needs."""
    throws, numbers = design.cut.throws, design.numbers
    share = FIRST_PITCH_SHARE
    up, down = share * throws.up_mm, share * throws.down_mm
    words = fill(
        "Throws for the first flight, at the trailing edge: pitch {} mm up and {} mm down (60 % of full); roll {} mm "
        "each way, " + _ELEVONS_ONLY + ".",
        number_text(up, 1),
        number_text(down, 1),
        number_text(throws.roll_mm, 1),
    )
    needed = -(numbers.stall_elevon_mm or 0.0)
    if needed > up:
        words += fill(" The stall needs {} mm up: keep full up-throw.", number_text(needed, 1))
    return words


def _on_the_ground(design: Design) -> list[str]:
    numbers, amps = design.numbers, design_number(design, "full_throttle_current_a")
    volts = numbers.full_throttle_voltage_v
    expected = fill("about {} A", amps) + (fill(" at {} V", number_text(volts, 1)) if volts else "")
    return [
        "Load test done, no cracks, back to zero.",
        "Stick back: both elevons go up. Stick right: the right elevon goes up. Look from behind. Then with "
        "stabilisation on: lift the nose by hand, and both elevons go down.",
        "Pack held so that it cannot move, leads clear of the propeller, failsafe stops the motor.",
        fill(
            "Strapped down, nobody in line with the propeller, full pack, full throttle for ten seconds: {}. More than "
            "a tenth above, a buzz, or anything hot: find the cause first.",
            expected,
        ),
        "Radio range checked with the motor running.",
    ]


def launch_words(design: Design) -> list[str]:
    """Return how this wing is launched, in steps."""
    numbers = design.numbers
    if not numbers.launch_way:
        return ["Into the wind, wings level."]
    elevon = fill("elevons {} from neutral", _with_direction(numbers.launch_elevon_mm))
    least = design_number(design, "least_launch_speed_kmh")
    if numbers.launch_way == "hand":
        points = [
            fill(
                "By hand, into the wind, wings level, nose {} deg up: throw at {} to {} km/h of airspeed, {}.",
                number_text(numbers.launch_angle_deg),
                design_number(design, "throw_low_kmh"),
                design_number(design, "throw_high_kmh"),
                elevon,
            ),
            fill(
                "Motor off in the hand: full throttle {} s after release, when the hand is clear of the propeller.",
                number_text(numbers.launch_delay_s, 1),
            ),
            fill(
                "It flies level at about {} m above the ground, after a weak throw at {} m. Keep the wings level and "
                "do not pull: its stall is at {} km/h.",
                design_number(design, "launch_height_left_m"),
                design_number(design, "weak_throw_height_left_m"),
                design_number(design, "stall_speed_kmh"),
            ),
        ]
        if any(state.name == "launch_height_left" and not state.met for state in design.limits):
            points.insert(0, "A person's throw is too slow for it: do not throw it. Take a bungee.")
        points.append(
            "A helper throws; the pilot has both thumbs on the sticks. Wind on the nose adds to the airspeed."
        )
        return points
    words = {
        "bungee": "Off a bungee, into the wind: at least {} km/h of airspeed when it leaves, which is 1.1 times the "
        "stall. Do not throw it by hand.",
        "dolly": "Off a dolly, into the wind: let it run to {} km/h of airspeed before it lifts, 1.1 times the stall.",
        "wheels": "Off its wheels, into the wind: let it run to {} km/h of airspeed before it lifts, 1.1 times the "
        "stall.",
    }[numbers.launch_way]
    points = [fill(words, least)]
    if numbers.launch_way == "bungee":
        points.append(fill("Set {}. Motor on only when the line has dropped.", elevon))
        if numbers.launch_speed_kmh is not None:
            points.append(
                fill(
                    "Stretch it for {} km/h: measure one pull with a bag of the same weight, or film it.",
                    design_number(design, "launch_speed_kmh"),
                )
            )
    return points


def _in_the_air(result: Result, design: Design) -> list[str]:
    numbers = design.numbers
    card = design.pilot_card
    held = card.until_tested_kmh if card else None
    slower = card is not None and held is not None and card.speed_kmh < numbers.cruise_speed_kmh - _SAME_SPEED
    points = [
        fill(
            "Trim at a safe height at about {} km/h{}it should take {} of elevon and about {} A{}. Much more: land and "
            "look.",
            number_text(card.speed_kmh) if card and slower else design_number(design, "cruise_speed_kmh"),
            fill(
                " and {} A. Later, if it may fly at {} km/h, ",
                number_text(card.hold_a, 1),
                design_number(design, "cruise_speed_kmh"),
            )
            if card and slower
            else ": ",
            _with_direction(numbers.elevon_mm),
            design_number(design, "cruise_current_a"),
            bracketed_band(result, design, "cruise_current_a", 1),
        ),
        "Dive gently from trim and release the stick. If it pulls out hard, it is nose heavy. If the dive gets "
        "steeper, it is tail heavy: land.",
        fill(
            "Stall twice, high up, throttle closed. It should begin near {} km/h{}, {} mm from the centre line, and "
            "the nose should drop. If a tip drops, move the balance forward first.",
            design_number(design, "stall_speed_kmh"),
            bracketed_band(result, design, "stall_speed_kmh"),
            design_number(design, "stall_starts_at_mm"),
        ),
    ]
    if numbers.advised_speed_kmh is not None:
        first = fill(
            "no faster than {} km/h{}",
            design_number(design, _slow_at_first(design)) if held is None else number_text(held),
            "" if held is None or is_grounded(design) else " until the twist test is passed",
        )
        points.append(
            fill(
                "Fly {}{}, and never above {} km/h: above that {}. Work up in steps. At any buzz or sluggish roll, "
                "close the throttle and slow down.",
                first,
                "" if is_held_back(design) else " at first",
                design_number(design, "advised_speed_kmh"),
                numbers.advised_speed_why,
            )
        )
        if is_held_back(design):
            before = "No flight before this test is passed. " if is_grounded(design) else ""
            points.append(fill("{}{}.", before, twist_test_words(design)))
    most = design_number(design, "limit_load_factor")
    tested = design.load_test.proof.load_factor if design.load_test else None
    if tested is not None and tested < numbers.limit_load_factor:
        most = fill(
            "{} times its weight, which the load test has shown, and never harder than {}", number_text(tested, 1), most
        )
    points.append(
        fill(
            "Do not pull harder than {} times its weight: it breaks at about {} times ({}).",
            most,
            design_number(design, "failure_load_factor"),
            numbers.first_failure,
        )
    )
    if result.purposes:
        points.append(fill("Land with {} % of the charge left.", number_text(result.purposes.reserve_pct)))
    return [*points, "Then stabilisation on, low gain first: any fast shaking means less gain."]


def _slow_at_first(design: Design) -> str:
    """Return the key of the speed to begin with: that of weak film and foam, or a cruise that has been flown."""
    weak, cruise = design.numbers.advised_speed_weak_kmh, design.numbers.cruise_speed_kmh
    return "cruise_speed_kmh" if weak is not None and weak < cruise else "advised_speed_weak_kmh"


def _with_direction(millimetres: float | None) -> str:
    if millimetres is None:
        return "little"
    return fill("{} mm {}", number_text(abs(millimetres), 1), "up" if millimetres <= 0 else "down")
