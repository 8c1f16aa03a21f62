"""What all flights of a logbook say so far: expected against flown, and the band of the range after every flight."""

from __future__ import annotations

import os
from typing import Any

from tradestudy.errors import CommandError
from tradestudy.files import as_typed
from tradestudy.quantities import in_unit
from tradestudy.search.engines.progress import Progress, no_progress
from tradestudy.study.logbook.flights import STOCK
from tradestudy.study.logbook.read_logbook import logbook_path, read_logbook
from tradestudy.study.logbook.wings_file import built_wings
from tradestudy.study.reader import read_study
from tradestudy.uncertainty.fit.next_measurement import RangeBand
from tradestudy.uncertainty.logbook.flight_series import flight_series
from tradestudy.uncertainty.logbook.flown_wings import Expected, FlownWings, factor_bands

from .built_wing import design_of_built_wing
from .range_to_expect import range_to_expect, unflown_wing


def season(study: str | os.PathLike[str], report_progress: Progress = no_progress) -> dict[str, Any]:
    """Return what the logbook beside a study says, in the units shown to the user.

    Raises StudyFileError or LogbookError if a file has errors, and CommandError if there is no flight.
    """
    read = read_study(study)
    book = read_logbook(read.path)
    if not book.flights:
        raise CommandError(
            f"There is no flight in {logbook_path(read.path)}. Write one, such as: "
            f'tradestudy note {as_typed(read.path)} "34 min, 5100 mAh, a third at full throttle"'
        )
    by_study = unflown_wing(read, report_progress)
    report_progress("comparing the flights with the model")
    designs = {name: design_of_built_wing(read, one) for name, one in built_wings(read.path).items()}
    wings = FlownWings(read, designs)
    kept, aside = wings.believed(book.counted)
    before, series = flight_series(wings, kept)
    bands = factor_bands(wings.fit(kept), wings.wing(STOCK)[1])
    return {
        "study": read.study.name,
        "logbook": str(book.path),
        "before": range_to_expect(*by_study, before, before),
        "flights": [
            {
                "date": one.flight.date.isoformat() if one.flight.date else None,
                "wing": one.flight.wing,
                "note": one.flight.note,
                "charge": expected_document(one.charge) if one.charge else None,
                "range": range_to_expect(*by_study, before, one.range),
            }
            for one in series
        ],
        "factors": {name: band_document(band) for name, band in bands.items()},
        "set_aside": len(book.flights) - len(kept),
        "notes": [f"Line {one.line} of the logbook is not used: {why}" for one, why in aside],
    }


def expected_document(one: Expected) -> dict[str, Any]:
    """Return what was expected of a flight, and what was noted."""
    low, high = one.ends
    values = {"middle": one.middle, "low": low, "high": high, "noted": one.measured}
    return {
        "what": {"mAh": "charge", "km/h": "speed"}[one.unit],
        "unit": one.unit,
        **{name: round(in_unit(value, one.unit), 1) for name, value in values.items()},
        "deviations": round(one.deviations, 2),
        "share_as_far_pct": round(in_unit(one.share_as_far, "%"), 3),
    }


def band_document(band: RangeBand) -> dict[str, float]:
    """Return a band of a factor. [-]"""
    return {"low": round(band.low, 3), "middle": round(band.middle, 3), "high": round(band.high, 3)}
