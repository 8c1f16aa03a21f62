"""The command ``note``: one flight into the logbook, and what it says about the wing."""

from __future__ import annotations

import datetime
import os
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

from tradestudy.commands.kept_results import kept_result, results_folder
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.errors import CommandError, near_match
from tradestudy.quantities import from_edge, in_unit
from tradestudy.results.json_form import json_data
from tradestudy.search.engines.progress import Progress, no_progress
from tradestudy.study.logbook.flights import STOCK, Flight, cells_of_flight
from tradestudy.study.logbook.read_logbook import Logbook, read_logbook
from tradestudy.study.logbook.wings_file import built_wings, write_wing
from tradestudy.study.logbook.write_logbook import write_logbook
from tradestudy.study.reader import read_study
from tradestudy.study.schema.study import Study
from tradestudy.uncertainty.fit.least_squares import Fit
from tradestudy.uncertainty.fit.mixed_flight import WingFactors
from tradestudy.uncertainty.logbook.changes import FoundChange, drifts_of
from tradestudy.uncertainty.logbook.flown_wings import (
    HARD_TO_BELIEVE,
    FlownWings,
    factor_bands,
)

from .built_wing import built_from_design, design_of_built_wing
from .found_changes import reported_changes
from .noted_flight import noted_flight
from .range_to_expect import Unflown, range_to_expect, unflown_wing
from .season import band_document, expected_document

# `known_flight` says what flight it asks for, and a note without words on full throttle does not
SHARE_UNKNOWN = (
    "How much of it was at full throttle was not noted. The usual share is taken, known to a factor of two, so this "
    'flight narrows the band little. A flight at one speed counts like [known_flight]: note it as "steady cruise".'
)


class NotedFlight(NamedTuple):
    """A flight as it stands in the logbook, and the document on it in the units shown to the user."""

    flight: Flight
    logbook: Path
    document: dict[str, Any]


def note(
    study: str | os.PathLike[str],
    wing: str,
    text: str,
    options: Mapping[str, str] | None = None,
    requested: RequestedWing | None = None,
    new: bool = False,
    report_progress: Progress = no_progress,
    today: datetime.date | None = None,
) -> NotedFlight:
    """Write one flight into the logbook beside a study, and fit the model to all flights again.

    ``wing`` is "stock" or the name of a built wing. Another name is a wing that flies for the first time: as
    ``requested``, or else as recommended. If the name is like a known one, it must be said to be ``new``. ``text`` is
    free text, and ``options`` are texts by name (see `noted_flight`). A flight that is hard to believe is written, but
    set aside.

    Raises
    ------
    StudyFileError, LogbookError
        The study, the logbook or the file of built wings has errors.
    CommandError
        The note is not understood, or no such wing can have flown so. Nothing is written.

    ::

        ts.note("my/godwit.toml", "stock", "34 min, 5100 mAh, a third at full throttle").document
    """
    read = read_study(study)
    if read.fitted is not None:
        raise CommandError(f"{study} holds a table [fitted]; flights are compared with the study without it.")
    flight = noted_flight(wing, text, options or {}, today)
    if flight.log:  # in the logbook, a path is relative to the study
        flight = replace(flight, log=Path(os.path.relpath(flight.log, read.path.parent)))
    book = read_logbook(read.path)
    built, first = built_wings(read.path), None
    if wing != STOCK and wing not in built:
        if near := "" if new else near_match(wing, [STOCK, *built]):
            raise CommandError(f"There is no built wing {wing}.{near} For a new wing of this name add --new.")
        from .new_wing import new_wing  # it may search, which takes long to load

        first = built[wing] = new_wing(read, wing, requested, flight.date, report_progress)
    elif requested is not None and requested != RequestedWing():
        raise CommandError(f"The wing {wing} stands in the file of built wings; leave out {requested.words}.")
    report_progress("comparing the flight with the model")
    wings = FlownWings(read, {name: design_of_built_wing(read, one) for name, one in built.items()})
    if faults := wings.impossible(flight):
        raise CommandError(f"The note was not entered. {' '.join(faults)}")
    kept, aside = wings.believed(book.counted)
    before = wings.fit(kept)
    expected = wings.expected(before, flight)
    if any(abs(one.deviations) > HARD_TO_BELIEVE for one in expected):
        flight = replace(flight, counts=wings.doubt(expected))
    if first:
        write_wing(read.path, first)
    by_study = unflown_wing(read, report_progress)
    written = write_logbook(book, [flight])
    after = before if flight.counts else wings.fit([*kept, flight])
    (flight,) = written.flights
    document = {
        "study": read.study.name,
        "logbook": str(book.path),
        "flight": {name: cell for name, cell in cells_of_flight(flight).items() if cell},
        "flights": len(kept) + (not flight.counts),
        "expected": [expected_document(one) for one in expected],
        "factors": _factor_document(before, after, wings.wing(wing)[1]),
        "range": _range_document(read, wings, by_study, before, after),
        "set_aside": flight.counts,
        "flown": 1 + sum(one.wing == wing for one in book.flights),
        "changes": json_data(reported_changes(_changes(wings, after, kept, flight))),
        "notes": [
            *written.notes,
            *_same_flights(book, flight),
            *([SHARE_UNKNOWN] if _leaves_share_open(flight) else []),
            *(f"Line {one.line} of the logbook is not used: {why}" for one, why in aside),
        ],
    }
    return NotedFlight(flight, written.book.path, document)


def _same_flights(book: Logbook, flight: Flight) -> list[str]:
    """Return a sentence on each row of a logbook that tells of a flight what this one tells."""

    def what(one: Flight) -> dict[str, str]:
        return {name: cell for name, cell in cells_of_flight(one).items() if name not in ("id", "counts", "note")}

    return [
        f"Line {one.line} of the logbook is the same flight; if it was flown once, delete one row, or it counts twice."
        for one in book.flights
        if what(one) == what(flight)
    ]


def _leaves_share_open(flight: Flight) -> bool:
    """Return whether a flight that counts tells its charge, but neither full throttle nor a log of it."""
    return flight.charge is not None and flight.full_throttle is None and flight.log is None and not flight.counts


def _changes(wings: FlownWings, fit: Fit, kept: list[Flight], flight: Flight) -> list[FoundChange]:
    """Return ageing and drift of the wing and the pack that flew."""
    counted = kept if flight.counts else [*kept, flight]
    return drifts_of(wings, fit, counted, flight.wing, flight.pack, surely=False)


def _factor_document(before: Fit, after: Fit, factors: WingFactors) -> dict[str, Any]:
    return {
        name: {**band_document(now), "before": band_document(was)}
        for (name, now), was in zip(
            factor_bands(after, factors).items(), factor_bands(before, factors).values(), strict=True
        )
    }


def _range_document(study: Study, wings: FlownWings, by_study: Unflown, before: Fit, after: Fit) -> dict[str, Any]:
    """Return the range of the recommended wing before and after a flight, or of the stock wing without one."""
    kept = kept_result(results_folder(study), study)
    design = kept.recommended if kept else None
    if design is None:
        name, span, unflown = STOCK, in_unit(study.stock.span, "mm"), by_study.stock_range
        wing, factors = wings.wing(STOCK)
    else:
        name, span = "recommended", design.numbers.span_mm
        unflown = from_edge("range_km", design.numbers.range_km)
        wing, factors = wings.like(design_of_built_wing(study, built_from_design("recommended", design)))
    prior, *bands = (wings.range_band(fit, wing, factors) for fit in (wings.fit([]), before, after))
    was, now = (range_to_expect(by_study.drawn, unflown, prior, one) for one in bands)
    return {"wing": name, "span_mm": round(span), **now, "before": was}
