"""``tradestudy check``: the errors in a study file, what is hard to believe, too near or assumed.

The verdict stands first and what is usual is only counted; ``--all`` lists it.
"""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import TYPE_CHECKING

from tradestudy.errors import StudyFileError
from tradestudy.quantities import exactly
from tradestudy.study.assumed_values.power_rules import MAY_RISE

from .options import AsJson, Everything, study_keys
from .output import more_words, print_json
from .study_request import StudyRequest
from .terminal import print_table, say, show

if TYPE_CHECKING:
    from tradestudy.commands.room_inside import Distance, GearFit, SpareRoom
    from tradestudy.study.schema.key_types import DefaultUsed
    from tradestudy.study.schema.study import Study

OR_MORE = " or more"
_MOST_NAMED = 4  # lines of one kind that are printed without --all
_MOVES_RANGE = "range"  # first of what a value moves; `bands` works out how much


@study_keys
def check(study: StudyRequest, everything: Everything = False, as_json: AsJson = False) -> None:
    """Check a study file: its keys, what fits into the wing, and whether the stock wing can be as it is described."""
    from tradestudy.commands.room_inside import distances_apart, doubts_about, gear_inside, room_inside

    try:
        read = study.read()
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
                "study": str(study.path),
                "fine": True,
                "name": read.study.name,
                "set_keys": [edit._asdict() for edit in read.edits],
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
    show(f"{study.path} is fine{', but this is hard to believe:' if doubtful else '.'}")
    _print_some(
        [(f"  line {doubt.line:3d}  " if doubt.line else "  ", doubt.message) for doubt in doubtful], everything
    )
    for head, line in study_summary(read):
        say(line, f"  {head:10}", " " * 12)
    if everything:
        _print_rooms(exactly(rooms), exactly(gear))
    else:
        _print_tightest(exactly(rooms), exactly(gear))
        for line in _assumed_bays(read):
            say(line, "  inside    ", " " * 12)
    _print_distances(apart, everything)
    if everything:
        _print_defaults(read)
    else:
        _print_first_measured(read, str(study))


def _print_some(lines: list[tuple[str, str]], everything: bool) -> None:
    """Print lines with their heads. Without ``everything``, print the first few and the number of the others."""
    shown = lines if everything else lines[:_MOST_NAMED]
    for head, line in shown:
        say(line, head, " " * 12)
    if len(shown) < len(lines):
        say(f"and {len(lines) - len(shown)} more; --all lists them", " " * 12)


def _print_rooms(rooms: list[SpareRoom], gear: list[GearFit]) -> None:
    for room in rooms:
        words = f"{room.name} fits into the section, with {room.spare_mm:.1f} mm to spare{_over(room)}"
        say(words, "  inside    ", " " * 12)
    for fit in gear:
        say(gear_words(fit), "  inside    ", " " * 12)


def _print_tightest(rooms: list[SpareRoom], gear: list[GearFit]) -> None:
    """Print what has least room inside the wing, and the bays under rods."""
    spare = [(room.spare_mm, room.name) for room in rooms]
    spare += [(fit.spare_mm, fit.name) for fit in gear if fit.spare_mm is not None]
    if spare:
        least, name = min(spare)
        say(f"everything fits; {name} has the least room, {least:.1f} mm to spare", "  inside    ", " " * 12)
    for room in rooms:
        if room.rods_over:
            say(f"{room.name} fits{_over(room)}", "  inside    ", " " * 12)


def _assumed_bays(study: Study) -> list[str]:
    """Return a sentence for each bay whose depth is assumed, since its room decides where a pack can lie."""
    from tradestudy.study.value_text import mm

    assumed = {used.key for used in study.defaults_used}
    lines = []
    for number, bay in enumerate(study.bay, start=1):
        if f"bay[{number}].depth" in assumed:
            lid = f", its lid {mm(bay.raised_lid)} above the skin" if bay.raised_lid else ""
            lines.append(
                f"bay {bay.name} is assumed: {mm(bay.length)} long, {mm(bay.depth)} deep{lid}. Measure yours for "
                "[[bay]]: it decides which pack fits and where the wing can balance"
            )
    return lines


def _over(room: SpareRoom) -> str:
    """Return what to do about rods that run over a bay, or an empty text."""
    return f"; {' and '.join(room.rods_over)} run over it: end them beside it" if room.rods_over else ""


def _print_distances(apart: list[Distance], everything: bool) -> None:
    kept = [pair for pair in apart if pair.kept]
    if everything:
        _print_some([("  apart     ", pair.words) for pair in kept], everything)
    elif kept:
        say(f"{_counted(len(kept), 'pair')} of things are far enough from each other", "  apart     ", " " * 12)
    near = [pair for pair in apart if not pair.kept]
    _print_some([("  too near  ", (f"line {p.line}, {p.key}: " if p.line else "") + p.words) for p in near], everything)


def _counted(count: int, thing: str) -> str:
    return f"{count} {thing}{'' if count == 1 else 's'}"


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
    lists = [name for name, values in study.choices if values]
    lists += [f"bays of {thing.name}" for thing in study.equipment if len(thing.bays or ()) > 1]
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
        (
            "choices",
            f"{_counted(sets_to_try(study), 'set')} of parts to try: {', '.join(lists)}" if lists else "none",
        ),
        ("speeds", f"launch {kmh(study.fly.launch_speed)}, never exceed {never}"),
    ]


def sets_to_try(study: Study) -> int:
    """Return how many sets of parts a search tries, before those that have no room: those of `search.all_choices`.

    Motors, packs, schemes and throttle caps come on top of the wing's own. Lids are raised only as far as needed.
    """
    lists, cap = study.choices, study.controller.throttle_cap
    alone = (lists.rod_pairs, lists.rod_diameter, lists.propeller)
    more = (
        len(lists.motor or ()),
        len([one for one in lists.scheme or () if one != study.stretch.scheme]),
        len([one for one in lists.throttle_cap or () if one != cap]),
    )
    bays = (len({thing.bay or thing.bays[0], *thing.bays}) for thing in study.equipment if thing.bays)
    packs = len(lists.parallel or ("own",)) + len(lists.pack or ())
    return packs * math.prod([*(len(each or ("own",)) for each in alone), *(1 + each for each in more), *bays])


def shown_value(used: DefaultUsed) -> str:
    """Return an assumed value as text. A value that the model may raise says so, since no model runs here."""
    return used.value + (OR_MORE if used.key in MAY_RISE else "")


def _print_first_measured(study: Study, path: str) -> None:
    """Print how much the file leaves open, and the assumed values that move the range."""
    assumed = [used for used in study.defaults_used if not used.is_choice]
    chosen = len(study.defaults_used) - len(assumed)
    if not study.defaults_used:
        _print_defaults(study)
    else:
        say(
            f"Left open: {_counted(len(assumed), 'value')}, each assumed with a band, and {_counted(chosen, 'choice')}."
        )
    first = [used for used in assumed if used.moves.split(",")[0] == _MOVES_RANGE][:_MOST_NAMED]
    if first:
        say("These move the range, so they are worth measuring first:")
        print_table(["key", "assumed", "could be"], [(each.key, shown_value(each), each.band) for each in first], 2)
        say(f"By how much, and what else matters: tradestudy bands {path}")
    say(f"Next: tradestudy assess {path}")
    if study.defaults_used:
        say(more_words("every value and choice left open"))


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
