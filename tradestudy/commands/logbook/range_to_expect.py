"""The range that a wing is told to fly after flights: one number with `run` and `card`, not that of the factors alone.

A fit knows the doubt of its factors. The draws hold that of all else as well, such as an old pack, which can only
shorten a flight. So what to expect is less than the fit says alone.
"""

from __future__ import annotations

from typing import NamedTuple

from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.commands.kept_results import RECORD, results_folder
from tradestudy.commands.study_session import opened
from tradestudy.quantities import at_edge, rounded
from tradestudy.results.inputs import SpreadResult
from tradestudy.search.engines.progress import Progress
from tradestudy.study.schema.study import Study
from tradestudy.uncertainty.day_band import flown_range
from tradestudy.uncertainty.fit.next_measurement import RangeBand

from .card import drawn_of


class Unflown(NamedTuple):
    """What a study tells without its logbook."""

    drawn: SpreadResult  # the draws by which all its wings are told
    stock_range: float  # range to expect of the stock wing [m]


def unflown_wing(study: Study, report_progress: Progress) -> Unflown:
    """Return what a study tells without its logbook, by draws that are kept, or worked out once as by `card`."""
    file = results_folder(study) / RECORD
    with opened(study, "note", tell=report_progress, record=file) as session:
        stock = EvaluatedDesign(session.study, session.anchor.data, session.anchor.choice, session.anchor.variables)
        report_progress("the band of this wing, worked out once and kept")
        drawn = drawn_of(session, stock)
        return Unflown(drawn, float(stock.evaluation.power.range) * drawn.over_medians["range_km"])


def range_to_expect(drawn: SpreadResult, unflown: float, prior: RangeBand, flown: RangeBand) -> dict[str, float]:
    """Return the range to expect and its band after flights, in the units shown. Arguments as for `flown_range`."""
    found = flown_range(drawn, unflown, prior, flown)
    return rounded(at_edge(low_km=found.low, middle_km=found.middle, high_km=found.high), 1)
