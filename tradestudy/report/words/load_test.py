"""The load test on the bench in words: where to hang what, what to expect, where to stop."""

from __future__ import annotations

from tradestudy.quantities import in_unit
from tradestudy.report.placed import fill
from tradestudy.results.result import Result
from tradestudy.results.structure import BenchTests, ProofTest

from .phrases import number_text, stretched_wing

HOW = (
    "Lay the wing upside down, its middle on a padded board as long as the root chord, along the flight direction and "
    "no wider than 40 mm, and strap the middle down to it: bags on a swept wing pull behind the board and would tip "
    "it. It lies high enough for fins and bags to clear the floor. Pack and loose gear are out. Let it hang by its own "
    "weight: that is zero. Bags come on both sides, equal, on a line over the rods; heights are read at both tips from "
    "the table, and the mean of both sides counts.",
    "Bend: one bag on each side, read how far the tips go down. Twist: tape a stick across each tip, hang its bag "
    "ahead of the rods, read the tip's angle (a phone on it) or the height of its trailing edge, then hang it as far "
    "behind and read again; the difference is what is told here. Proof load: all the bags that the small table tells.",
)
SAFETY = (
    "A wing may break on the bench. Stand aside of it, never under it or in line with a tip; gloves and glasses on, "
    "a soft floor below, bags only a hand's breadth above it, children and animals out of the room.",
    "Hang bags gently, the inner ones first, both sides in turn, and listen: at a crack, a buckle in a rod or film, "
    "or when it bends on by itself, take the load off and look. A wing that does not come back to its zero is not "
    "flown.",
    "A bag on a test of stiffness stays well below where to stop; stop at that mass or at that reading, whichever "
    "comes first. These are estimates with strengths that scatter by a factor of two.",
)
ENTER = (
    "Write what the stock wing did into [load_test] (tip_mass and tip_rise; twist_mass, twist_arm and twist_angle or "
    "edge_rise): it corrects the stiffness of every stretched wing."
)
LOAD_TEST_HEADS = ("Wing and test", "Hang on each side", "Expect", "With weak materials", "Stop at")
BAG_HEADS = ("Wing", "Bag [g]", "From the centre line [mm]", "Behind the nose [mm]")


def load_test_rows(result: Result) -> list[tuple[str, ...]]:
    """Return a row of text under HEADS for each test of the stock wing and of the stretched one."""
    return [(fill("{}, {}", name, test), *row) for name, told in _tested(result)
            for test, *row in _rows(told)]  # fmt: skip


def bag_rows(result: Result) -> list[tuple[str, ...]]:
    """Return a row of text under BAG_HEADS for each bag of the proof loads."""
    return [
        (name, number_text(bag.mass_g), number_text(bag.station_mm), number_text(bag.behind_nose_mm))
        for name, told in _tested(result)
        for bag in told.proof.bags
    ]


def load_test_words(result: Result) -> list[str]:
    """Return how to do it safely and what the proof load stands for, one text each; empty where nothing is known."""
    tested = _tested(result)
    if not tested:
        return []
    return [*SAFETY, *HOW, *(_proof_words(name, told.proof) for name, told in tested), ENTER]


def _tested(result: Result) -> list[tuple[str, BenchTests]]:
    designs = [("stock", result.stock), ("stretched", stretched_wing(result))]
    return [(name, design.load_test) for name, design in designs if design is not None and design.load_test]


def _rows(tests: BenchTests) -> list[tuple[str, ...]]:
    bend, twist, proof = tests.bend, tests.twist, tests.proof
    total = sum(bag.mass_g for bag in proof.bags)
    return [
        ("bend", fill("{}, {} from the centre line, {} behind the nose", _g(bend.mass_g), _mm(bend.station_mm),
                      _mm(bend.behind_nose_mm)),
         fill("tips {}", _mm(bend.rise_mm, 1)), fill("{}", _mm(bend.weak_rise_mm, 1)),
         fill("{} or {}", _g(bend.stop_mass_g), _mm(bend.stop_rise_mm))),
        ("twist", fill("{}, {} from the centre line, {} ahead of the rods, then as far behind", _g(twist.mass_g),
                       _mm(twist.station_mm), _mm(twist.arm_mm)),
         fill("tip turns {} deg, trailing edge moves {}", number_text(twist.angle_deg, 1), _mm(twist.edge_mm, 1)),
         fill("{} deg, {}", number_text(twist.weak_angle_deg, 1), _mm(twist.weak_edge_mm, 1)),
         fill("{} or {} deg", _g(twist.stop_mass_g), number_text(twist.stop_angle_deg, 1))),
        ("proof load", fill("{} in {} bags (below), for a pull-up of {} g", _g(total), len(proof.bags),
                            number_text(proof.load_factor, 1)),
         fill("tips {}", _mm(proof.rise_mm, 1)), fill("{}", _mm(proof.weak_rise_mm, 1)),
         fill("{}, or all bags", _mm(max(proof.rise_mm, proof.weak_rise_mm)))),
    ]  # fmt: skip


def _proof_words(name: str, proof: ProofTest) -> str:
    """Return what the bags of one wing stand for."""
    shares = [row.bench_nm / row.flight_nm for row in proof.along if row.flight_nm > 0]
    words = fill(
        "Proof load, {} wing: bags and the wing's own weight bend the centre as a pull-up to {} g does "
        "({} N m, {} of them its own weight); further out they bend it {} % as much. That is {} % of "
        "what the first thing to give ({}) bears, {} % with weak materials.",
        name,
        number_text(proof.load_factor, 1),
        number_text(proof.moment_nm, 1),
        number_text(proof.own_moment_nm, 1),
        _range(shares),
        number_text(proof.used_pct),
        proof.stop_mode,
        number_text(proof.weak_used_pct),
    )
    if proof.load_factor < proof.required_load_factor - 0.05:
        words += fill(
            " The {} g of the study are more than two thirds of what it bears: do not load it, or fly it, so far.",
            number_text(proof.required_load_factor, 1),
        )
    if proof.weak_stop_pct < 100:
        words += fill(
            " A wing of weak materials would use four fifths of its strength at {} % of these bags: go "
            "on from there by small steps only.",
            number_text(proof.weak_stop_pct),
        )
    return words


def _range(shares: list[float]) -> str:
    low, high = (number_text(in_unit(share, "%")) for share in (min(shares), max(shares)))
    return low if low == high else fill("{} to {}", low, high)


def _g(value: float) -> str:
    return fill("{} g", number_text(value))


def _mm(value: float, decimals: int = 0) -> str:
    return fill("{} mm", number_text(value, decimals))
