"""The wing of a card: the stock wing of the study or a built wing, with what the logbook says of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from tradestudy.aircraft.anchor.drag_calibration import with_flown_parts
from tradestudy.aircraft.assessment.full_design import assess_design
from tradestudy.aircraft.day.day_numbers import TENTH
from tradestudy.aircraft.day.today import PackToday, old_pack
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import CommandError, near_match
from tradestudy.quantities import from_edge
from tradestudy.results.design import LimitState
from tradestudy.study.logbook.flights import STOCK, Flight
from tradestudy.study.logbook.read_logbook import Logbook, read_logbook
from tradestudy.study.logbook.wings_file import built_wings, wings_path
from tradestudy.uncertainty.day_band import FlownRange
from tradestudy.uncertainty.fit.factored_wing import ONES
from tradestudy.uncertainty.fit.least_squares import Fit, by_name
from tradestudy.uncertainty.logbook.changes import (
    OLD,
    FoundChange,
    drifts_of,
    flights_with_pack,
    missing_share,
    pack_of_logbook,
    sorted_flights,
)
from tradestudy.uncertainty.logbook.flown_wings import FlownWings

from .built_wing import design_of_built_wing


@dataclass(frozen=True)
class FlownWing:
    """A wing of a logbook: its design in the air of the study, and what its flights say."""

    name: str
    design: EvaluatedDesign  # as measured, with the losses of usual built wings where flights tell more
    cautious: float | None = None  # advised maximum speed with weak film and foam, of a wing that never flew [m/s]
    broken: list[LimitState] = field(default_factory=list)  # limits that a built wing violates
    factors: dict[str, float] | None = None  # what its flights say, today; None without any
    flown: FlownRange | None = None
    flights: int = 0  # flights of this wing in the logbook
    counted: int = 0  # those from which it is known
    changes: list[FoundChange] = field(default_factory=list)
    heavier: float = 1.0  # weight on the scale over that of the model [-]


@dataclass(frozen=True)
class DayLogbook:
    """The logbook beside a study on one day. ``believed`` are the flights that a fit may use."""

    book: Logbook
    wings: FlownWings | None  # None where no flight counts and no wing was built
    believed: list[Flight]

    @property
    def packs(self) -> list[str]:
        """The names of packs that have flown."""
        return sorted({one.pack for one in self.book.flights if one.pack})


def day_logbook(session: StudySession) -> DayLogbook:
    """Return the logbook beside the study of a session."""
    path = session.study.path
    book, built = read_logbook(path), built_wings(path)
    if not book.counted and not built:
        return DayLogbook(book, None, [])
    session.report_progress("comparing the flights of the logbook with the model")
    wings = FlownWings(session.study, {name: design_of_built_wing(session.study, one) for name, one in built.items()})
    return DayLogbook(book, wings, wings.believed(book.counted)[0])


def last_wing(book: Logbook) -> str:
    """Return the name of the wing that flew last, or that of the stock wing."""
    return sorted_flights(book.flights)[-1].wing if book.flights else STOCK


def flown_wing(session: StudySession, logbook: DayLogbook, name: str, packs: str = "") -> FlownWing:
    """Return a wing by its name, with its changes and those of the pack named ``packs``.

    Raise CommandError if there is no such wing.
    """
    wings, book = logbook.wings, logbook.book
    names = [STOCK, *(wings.designs if wings else ())]
    if name not in names:
        raise CommandError(
            f"--wing {name}: there is no such wing.{near_match(name, names)} Known: {', '.join(names)}. "
            f"Built wings stand in {wings_path(session.study.path)}."
        )
    flights = sum(one.wing == name for one in book.flights)
    counted = sum(one.wing == name for one in logbook.believed)
    bare = _unflown(session, logbook, name)
    bare = replace(bare, flights=flights, counted=counted)
    if wings is None or not logbook.believed:
        return bare
    wing, own = wings.wing(name)
    fit, before = wings.fit(logbook.believed), wings.fit([])
    changes = drifts_of(wings, fit, logbook.believed, name, packs)
    flown = FlownRange(*(_deviation(wings, one, name) for one in (before, fit)))
    factors = own.of_fit(by_name(fit.names, fit.mean))
    # before any flight the card is that of the study, whose calibration shares a known flight among fewer factors
    known = with_flown_parts(session.study, session.anchor.factors, bare.design.choice)
    anchored = ONES | dict(zip(("drag", "induced", "drive_power"), known, strict=True))
    unflown = own.of_fit(by_name(before.names, before.mean))
    factors = {key: float(factors[key] * (anchored[key] / unflown[key]) ** flown.shift) for key in factors}
    factors["drive_power"] *= math.exp(sum(missing_share(one) for one in changes if one.what == "need"))
    # the design without the study's known flight, which is one of the readings of the fit
    variables = wing.speed_sweep.variables | {"cruise_speed": bare.design.cruise_speed}
    return replace(
        bare,
        design=EvaluatedDesign(session.study, wing.data, bare.design.choice, variables),
        factors=factors,
        flown=flown,
        changes=changes,
    )


def _deviation(wings: FlownWings, fit: Fit, name: str) -> float:
    """Return the standard deviation of ln(range) of one wing by a fit. [-]"""
    band = wings.range_band(fit, *wings.wing(name))
    return math.log(band.middle / band.low) / TENTH


def _unflown(session: StudySession, logbook: DayLogbook, name: str) -> FlownWing:
    """Return a wing as the study alone has it."""
    study, anchor = session.study, session.anchor
    if name == STOCK:
        return FlownWing(STOCK, EvaluatedDesign(study, anchor.data, anchor.choice, anchor.variables))
    assert logbook.wings is not None
    made = logbook.wings.designs[name]
    data, limits = session.space.data(made.choice), session.space.limits(made.choice)
    full = assess_design(study, data, made.choice, made.variables, "stretched", limits=limits)
    weak = full.numbers.advised_speed_weak_kmh
    design = EvaluatedDesign(study, data, made.choice, made.variables)
    return FlownWing(
        name,
        design,
        None if weak is None else from_edge("advised_speed_weak_kmh", weak),
        [state for state in full.limits if not state.met],
        heavier=made.mass / float(design.shape.all_up_mass) if made.mass else 1.0,
    )


def pack_today(session: StudySession, logbook: DayLogbook, name: str) -> PackToday:
    """Return the pack of the day by its name. Raise CommandError for one that has not flown, unless it is ``old``."""
    known = list(dict.fromkeys((OLD, *logbook.packs)))
    if name and name not in known:
        raise CommandError(
            f"--pack {name}: no flight was flown with it.{near_match(name, known)} Known: {', '.join(known)}."
        )
    if logbook.wings is None:
        return old_pack(session.study) if name == OLD else PackToday()
    if not name and not flights_with_pack(logbook.believed, ""):
        return PackToday()
    return pack_of_logbook(session.study, logbook.wings.stock.train.pack, logbook.believed, name)
