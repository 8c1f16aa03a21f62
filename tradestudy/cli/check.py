"""``tradestudy check``: the errors in a study file, and the values that it leaves to defaults."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import TYPE_CHECKING

from tradestudy.errors import StudyFileError
from tradestudy.study.assumed_values.power_rules import MAY_RISE

from .options import AsJson, StudyPath
from .output import print_json
from .terminal import print_table, say, show

if TYPE_CHECKING:
    from tradestudy.commands.room_inside import GearFit
    from tradestudy.study.schema.key_types import DefaultUsed
    from tradestudy.study.schema.study import Study

OR_MORE = " or more"


def check(study: StudyPath, as_json: AsJson = False) -> None:
    """Check a study file: its keys, what fits into the wing, and whether the stock wing can be as it is described."""
    from tradestudy.commands.room_inside import distances_apart, doubts_about, gear_inside, room_inside
    from tradestudy.study.reader import read_study

    try:
        read = read_study(study)
        rooms = room_inside(read)
        gear, apart = gear_inside(read), distances_apart(read)
        doubtful = doubts_about(read)
    except StudyFileError as error:
        if as_json:
            print_json(
                {
                    "study": error.path,
                    "fine": False,
                    "faults": [asdict(fault) for fault in error.faults],
                }
            )
        raise
    if as_json:
        print_json(
            {
                "study": str(study),
                "fine": True,
                "name": read.study.name,
                "hard_to_believe": [asdict(doubt) for doubt in doubtful],
                "defaults_used": [
                    {
                        "key": used.key,
                        "value": used.value,
                        "may_rise": used.key in MAY_RISE,
                        "band": used.band,
                        "moves": used.moves,
                        "origin": used.origin,
                    }
                    for used in read.defaults_used
                ],
                "room_inside": [room._asdict() for room in rooms],
                "gear_inside": [fit._asdict() for fit in gear],
                "kept_apart": [pair._asdict() for pair in apart],
            }
        )
        return
    show(f"{study} is fine{', but this is hard to believe:' if doubtful else '.'}")
    for doubt in doubtful:
        say(doubt.message, f"  line {doubt.line:3d}  " if doubt.line else "  ", " " * 12)
    for head, line in study_summary(read):
        say(line, f"  {head:10}", " " * 12)
    for room in rooms:
        over = f"; {' and '.join(room.rods_over)} run over it: end them beside it" if room.rods_over else ""
        words = f"{room.name} fits into the section, with {room.spare_mm:.1f} mm to spare{over}"
        say(words, "  inside    ", " " * 12)
    for fit in gear:
        say(gear_words(fit), "  inside    ", " " * 12)
    for pair in apart:
        if pair.kept:
            say(pair.words, "  apart     ", " " * 12)
    for pair in apart:
        if not pair.kept:
            where = f"line {pair.line}, {pair.key}: " if pair.line else ""
            say(f"{where}{pair.words}", "  too near  ", " " * 12)
    _print_defaults(read)


def gear_words(fit: GearFit) -> str:
    """Return a sentence on the room of one thing on board, and on how far out its size still fits."""
    room = f"lies in the bay {fit.bay}" if fit.bay else f"has a hole in the foam, with {fit.spare_mm:.1f} mm to spare"
    if fit.fits_out_to_mm is None:
        return f"{fit.name}: {room}; its size fits nowhere in the foam"
    return (
        f"{fit.name}: {room}; buried, this size fits as far out as {fit.fits_out_to_mm:.0f} mm from the middle "
        f"({fit.behind_nose_mm:.0f} mm behind the nose)"
    )


def study_summary(study: Study) -> list[tuple[str, str]]:
    """Return a summary of a study as (head, text) pairs, one pair for each line."""
    from tradestudy.quantities import from_si
    from tradestudy.study.tip_chords import tip_chords
    from tradestudy.study.value_text import mm

    stock, pack, stretch = study.stock, study.pack, study.stretch

    def degrees(angle: float) -> str:
        return f"{from_si(angle, 'deg', 'angle'):.3g}"

    def kmh(speed: float | None) -> str:
        return "no faster than limits allow" if speed is None else f"{from_si(speed, 'km/h', 'speed'):.0f} km/h"

    never = kmh(study.fly.never_exceed_speed)
    if any(used.key == "fly.never_exceed_speed" for used in study.defaults_used):
        never += OR_MORE
    free = [f"span {mm(stretch.span[0])} to {mm(stretch.span[1])}"]
    free += [
        f"{name} {degrees(pair[0])} to {degrees(pair[1])} deg"
        for name, pair in (("sweep", stretch.sweep), ("washout", stretch.washout))
        if pair
    ]
    chords = tip_chords(study)
    if chords[0] < chords[1]:
        free.append(f"tip chord {mm(chords[0])} to {mm(chords[1])}")
    lists = [(name, values) for name, values in study.choices if values]
    combinations = math.prod(len(values) for _, values in lists)
    speed_constant = from_si(study.motor.speed_constant, "rpm/V", "speed_constant")
    return [
        ("study", study.study.name),
        (
            "stock",
            f"span {mm(stock.span)}, foam chord {mm(stock.root_chord)} to {mm(stock.tip_chord)}, "
            f"set-back {mm(stock.tip_set_back)}, airfoil {stock.airfoil}",
        ),
        (
            "weight",
            f"{from_si(stock.flying_weight, 'g', 'mass'):.0f} g, balances {mm(stock.balance_from_nose)} from the nose",
        ),
        ("pack", f"{pack.series}S{pack.parallel}P of {pack.cell}, bay {pack.bay}"),
        ("power", f"motor {study.motor.size}, {speed_constant:.0f} rpm/V; propeller {study.propeller.size}"),
        ("stretch", f"{stretch.scheme}; {', '.join(free)}"),
        ("choices", f"{' x '.join(name for name, _ in lists)}: {combinations} to try" if lists else "none"),
        ("speeds", f"launch {kmh(study.fly.launch_speed)}, never exceed {never}"),
    ]


def shown_value(used: DefaultUsed) -> str:
    """Return an assumed value as text. A value that the model may raise says so, since no model runs here."""
    return used.value + (OR_MORE if used.key in MAY_RISE else "")


def _print_defaults(study: Study) -> None:
    """Print the default of every key that the file does not give, and the origin of the default."""
    if not study.defaults_used:
        show("No key is left open; no default is used.")
        return
    assumed = [used for used in study.defaults_used if not used.is_choice]
    chosen = [used for used in study.defaults_used if used.is_choice]
    if assumed:
        say("Left open, so these are assumed (tradestudy bands shows which to measure first):")
        print_table(
            ["key", "assumed", "could be", "moves"],
            [(used.key, shown_value(used), used.band, used.moves) for used in assumed],
            indent=2,
        )
        if any(used.key in MAY_RISE for used in assumed):
            say(f'"{OR_MORE.strip()}": other commands raise it to what the stock wing reaches at full throttle.', "  ")
    if chosen:
        show("Choices left open, with their defaults:")
        print_table(["key", "default", "because"], [(used.key, used.value, used.origin) for used in chosen], indent=2)
