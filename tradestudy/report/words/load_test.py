"""Words and rows on the load test on the bench: which loads to hang where, what to expect, and when to stop.

Until its twist test is passed, a wing whose film may be too weak for its speed is flown slower.
"""

from __future__ import annotations

from tradestudy.quantities import in_unit
from tradestudy.report.placed import fill
from tradestudy.results.design import Design
from tradestudy.results.result import Result
from tradestudy.results.structure import BenchTests, ProofTest

from .phrases import Rows, design_number, number_text, stock_and_stretched

_HOW = (
    "Lay the wing upside down with its middle on a padded board. The board is as long as the root chord, lies along "
    "the flight direction and is no wider than 40 mm. Strap the middle down to it: bags on a swept wing pull behind "
    "the board and would tip the wing. Fins and bags must clear the floor. Remove pack, raised lids and loose "
    "equipment. The wing hanging by its own weight is the zero. Hang equal bags on both sides, on a line over {line}; "
    "measure the heights of both tips from the table and use the mean of both sides.",
    "Bend: hang one bag on each side and measure how far the tips go down. Twist: tape a stick across each tip, hang "
    "its bag ahead of {line}. Read the tip's angle (with a phone on it) or the height of its trailing edge. Then "
    "hang the bag as far behind it and read again; the difference is the number given here. Proof load: hang all "
    "the bags of the small table.",
)
_SAFETY = (
    "A wing may break on the bench. Stand beside it, never under it or in line with a tip. Wear gloves and safety "
    "glasses, and have a soft floor below. Hang the bags only a hand's breadth above it. Keep children and animals out "
    "of the room.",
    "Hang the bags gently, the inner ones first, both sides in turn, and listen. At a crack or a buckle in {parts}, "
    "take the load off and look. Do so too if the wing goes on bending by itself. Do not fly a wing that does "
    "not come back to its zero.",
    "The bag of a stiffness test stays well below the stop load. Stop at that mass or at that reading, whichever comes "
    "first. These are estimates, with strengths that scatter by a factor of two.",
)
_ENTER = (
    "Write the readings of the stock wing into [load_test] (tip_mass and tip_rise; twist_mass, twist_arm and "
    "twist_angle or edge_rise): they correct the stiffness of every stretched wing."
)
LOAD_TEST_HEADS = ("Wing and test", "Hang on each side", "Expect", "With weak materials", "Stop at")
BAG_HEADS = ("Wing", "Bag [g]", "From the centre line [mm]", "Behind the nose [mm]")


def load_test_rows(result: Result) -> Rows:
    """Return one row for each test of the stock wing and of the stretched one, with the columns of LOAD_TEST_HEADS."""
    line = _words_for(result)["line"]
    return [(fill("{}, {}", name, test), *row) for name, tests in _tests(result) for test, *row in _rows(tests, line)]


def bag_rows(result: Result) -> Rows:
    """Return one row for each bag of the proof loads, with the columns of BAG_HEADS."""
    return [
        (name, number_text(bag.mass_g), number_text(bag.station_mm), number_text(bag.behind_nose_mm))
        for name, tests in _tests(result)
        for bag in tests.proof.bags
    ]


def load_test_words(result: Result) -> list[str]:
    """Return texts on how to test safely and on what the proof load represents, or none without load tests."""
    tests = _tests(result)
    if not tests:
        return []
    words = _words_for(result)
    plan = [sentence.format(**words) for sentence in (*_SAFETY, *_HOW)]
    return [*plan, *(_proof_words(name, each.proof) for name, each in tests), _ENTER]


def _tests(result: Result) -> list[tuple[str, BenchTests]]:
    return [(name, design.load_test) for name, design in stock_and_stretched(result) if design.load_test]


def _words_for(result: Result) -> dict[str, str]:
    """Return words for the line on which bags hang, and for what may buckle. A wing may have no rods."""
    rods = any(design.choices.rod_pairs for _, design in stock_and_stretched(result))
    return {"line": _line(rods), "parts": "a rod or in the film" if rods else "the film"}


def _line(rods: bool) -> str:
    return "the rods" if rods else "the line at 36 % of the foam chord"


def _rows(tests: BenchTests, line: str) -> Rows:
    bend, twist, proof = tests.bend, tests.twist, tests.proof
    total = sum(bag.mass_g for bag in proof.bags)
    return [
        (
            "bend",
            fill(
                "{}, {} from the centre line, {} behind the nose",
                _g(bend.mass_g),
                _mm(bend.station_mm),
                _mm(bend.behind_nose_mm),
            ),
            fill("tips {}", _mm(bend.rise_mm, 1)),
            fill("{}", _mm(bend.weak_rise_mm, 1)),
            fill("{} or {}", _g(bend.stop_mass_g), _mm(bend.stop_rise_mm)),
        ),
        (
            "twist",
            fill(
                "{}, {} from the centre line, {} ahead of {}, then as far behind",
                _g(twist.mass_g),
                _mm(twist.station_mm),
                _mm(twist.arm_mm),
                line,
            ),
            fill("tip turns {} deg, trailing edge moves {}", number_text(twist.angle_deg, 1), _mm(twist.edge_mm, 1)),
            fill("{} deg, {}", number_text(twist.weak_angle_deg, 1), _mm(twist.weak_edge_mm, 1)),
            fill("{} or {} deg", _g(twist.stop_mass_g), number_text(twist.stop_angle_deg, 1)),
        ),
        (
            "proof load",
            fill(
                "{} in {} bags (below), for a pull-up of {} times the weight",
                _g(total),
                len(proof.bags),
                number_text(proof.load_factor, 1),
            ),
            fill("tips {}", _mm(proof.rise_mm, 1)),
            fill("{}", _mm(proof.weak_rise_mm, 1)),
            fill("{}, or all bags", _mm(max(proof.rise_mm, proof.weak_rise_mm))),
        ),
    ]


def _proof_words(name: str, proof: ProofTest) -> str:
    """Return a sentence on the flight load that the bags of one wing represent."""
    shares = [row.bench_nm / row.flight_nm for row in proof.along if row.flight_nm > 0]
    words = fill(
        "Proof load, {} wing: the bags and its own weight bend the centre as a pull-up to {} times its weight does. "
        "That is {} N m, of which {} N m come from its own weight. Further out they bend it {} % as much. The "
        "wing first fails ({}) at a load of which this is {} %, or {} % with weak materials.",
        name,
        number_text(proof.load_factor, 1),
        number_text(proof.moment_nm, 1),
        number_text(proof.own_moment_nm, 1),
        _percent_range(shares),
        proof.stop_mode,
        number_text(proof.used_pct),
        number_text(proof.weak_used_pct),
    )
    if proof.load_factor < proof.required_load_factor - 0.05:
        words += fill(
            " The study asks for {} times, more than two thirds of what it can carry: do not load it, or fly it, that "
            "far.",
            number_text(proof.required_load_factor, 1),
        )
    if proof.weak_stop_pct < 100:
        words += fill(
            " A wing of weak materials would use four fifths of its strength at {} % of these bags: continue from "
            "there in small steps only.",
            number_text(proof.weak_stop_pct),
        )
    return words


def _percent_range(shares: list[float]) -> str:
    low, high = (number_text(in_unit(share, "%")) for share in (min(shares), max(shares)))
    return low if low == high else fill("{} to {}", low, high)


def _g(value: float) -> str:
    return fill("{} g", number_text(value))


def _mm(value: float, decimals: int = 0) -> str:
    return fill("{} mm", number_text(value, decimals))


def is_held_back(design: Design) -> bool:
    """Return whether a wing is flown slower until its twist test is passed."""
    return bool(design.pilot_card and design.pilot_card.until_tested_kmh is not None)


def is_grounded(design: Design) -> bool:
    """Return whether a wing as weak as assumed could not fly as slowly as its own advice asks.

    Then its twist test comes before its first flight.
    """
    card, weak = design.pilot_card, design.numbers.advised_speed_weak_kmh
    return bool(card and card.until_tested_kmh is not None and weak is not None and weak < card.until_tested_kmh)


def is_faster_than_advised(design: Design) -> bool:
    """Return whether the cruise of a wing, for which its range is computed, is above its advised maximum speed."""
    advised = design.numbers.advised_speed_kmh
    return advised is not None and advised < design.numbers.cruise_speed_kmh


def weak_speed_words(design: Design) -> str:
    """Return how fast a wing of weak film and foam may fly, or an empty text if its panels fly faster than that."""
    weak = design.numbers.advised_speed_weak_kmh
    if weak is None or (not is_held_back(design) and weak < design.numbers.cruise_speed_kmh):
        return ""
    return fill("{} km/h with weak film and foam", design_number(design, "advised_speed_weak_kmh"))


def until_tested_words(design: Design) -> str:
    """Return a phrase on what holds until the twist test is passed, or an empty text if nothing does."""
    card = design.pilot_card
    if card is None or card.until_tested_kmh is None:
        return ""
    if is_grounded(design):
        return fill(
            "no flight before the twist test is passed, and no faster than {} km/h just after it",
            number_text(card.until_tested_kmh),
        )
    return fill("no faster than {} km/h until the twist test is passed", number_text(card.until_tested_kmh))


def twist_test_words(design: Design) -> str:
    """Return the test that settles how fast a wing may fly, with what to read, or an empty text if none is needed."""
    if not is_held_back(design) or design.load_test is None:
        return ""
    test = design.load_test.twist
    return fill(
        "The twist test: lay the wing upside down and tape a stick across each tip. Hang {} g on it, {} mm ahead of "
        "{}, and note the height of the tip's trailing edge. Hang it as far behind them and note it again. If the "
        "two differ by {} mm or less, fly up to {} km/h; if by {} mm or more, {}",
        number_text(test.mass_g),
        number_text(test.arm_mm),
        _line(bool(design.choices.rod_pairs)),
        number_text(test.edge_mm, 1),
        design_number(design, "advised_speed_kmh"),
        number_text(test.weak_edge_mm, 1),
        "it is too weak to fly"
        if is_grounded(design)
        else fill("stay below {} km/h", design_number(design, "advised_speed_weak_kmh")),
    )
