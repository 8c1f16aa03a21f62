"""Wings from Python: `cruise`, `wing_spread`, `wing_grid` and `compare`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tradestudy.commands import assess as one_wing
from tradestudy.commands import design_grid
from tradestudy.commands.key_grid.axes import checked_axes
from tradestudy.commands.key_grid.study_grid import study_grid
from tradestudy.commands.requested_wing import RequestedWing, requested_wing
from tradestudy.commands.study_session import SearchOptions, StudySource, opened
from tradestudy.errors import RunFailed
from tradestudy.notebook import data_frame
from tradestudy.quantities.quantities import DESIGN_QUANTITIES
from tradestudy.results.design import Design
from tradestudy.results.grid_result import GridResult
from tradestudy.results.inputs import SpreadResult
from tradestudy.results.result import Result
from tradestudy.study.edits.key_axis import KeyAxis
from tradestudy.study.study_comparison import KeyDifference, study_differences


def cruise(study: StudySource, wing: RequestedWing | None = None, parts: bool = False, **options: Any) -> Result:
    """Return the result of `assess`, whose wings hold their speed cards and curves over speed.

    ``best.pilot_card`` is the card and ``best.curves`` holds range, amps and watts at each speed, in the units at the
    ends of names. With ``parts``, ``compared`` lists the study's propellers, motors and packs on this wing. Options and
    errors are those of `assess`.

    ::

        ts.cruise(study, span="1400 mm").best.pilot_card
    """
    of_search = {name: options.pop(name) for name in list(options) if name in SearchOptions.__annotations__}
    with opened(study, "cruise", **of_search) as session:
        result = one_wing.assess(session, wing, **options)
        if parts:
            session.report_progress("comparing propellers, motors and packs")
            result = one_wing.with_compared_parts(session, result)
        return result


def wing_spread(study: StudySource, wing: RequestedWing | None = None, **options: Any) -> SpreadResult:
    """Return the spread of the recommended wing, or of one that keywords change, with all inputs varied.

    ``percentiles`` holds P10, median and P90 of each number; ``met_share`` says in how many draws each limit holds.
    Options and errors are those of `assess`.

    ::

        ts.spread(study).percentiles["range_km"]
    """
    drawn = one_wing.bands(study, wing, **options).spread
    if drawn is None:
        raise RunFailed("There is no wing whose spread could be told.")
    return drawn


def wing_grid(
    study: StudySource, axes: Mapping[str, str | Sequence[Any]], best: bool = True, **options: Any
) -> GridResult:
    """Return all combinations of the values on one to three axes.

    An axis is a variable (``span``, ``sweep``, ...) or any key of the study. Its values are text, ``"first:last:step"``
    or ``"a,b,c"`` with a unit behind the last one, or a list. Without a unit they are in the unit that the command
    prints. Keywords of `assess` request more of the wing. All else is searched at every point, parts too; without
    ``best`` it is as on the stock wing.

    Raises CommandError for an axis that cannot be.

    ::

        found = ts.grid(study, {"span": "1300:1500:50 mm", "fly.wind": "0:8:4 m/s"}, best=False)
        found.to_dataframe(), found.to_xarray()
    """
    of_search: Any = {name: options.pop(name) for name in list(options) if name in SearchOptions.__annotations__}
    wing = requested_wing(options)
    with opened(study, "grid", **of_search) as session:
        values = checked_axes(axes, lambda: session.study)
        keyed = any(isinstance(axis, KeyAxis) for axis in values.values())
        return (study_grid if keyed else design_grid.grid)(session, values, wing, best)


@dataclass(frozen=True)
class WingComparison:
    """Two wings side by side, and the keys in which their studies differ."""

    first: Design
    second: Design
    keys: list[KeyDifference]

    def to_dataframe(self) -> Any:
        """Return a pandas DataFrame with a row for each number: its words, its unit, both values, the difference."""
        rows = []
        for each in DESIGN_QUANTITIES:
            one, other = (getattr(wing.numbers, each.key, None) for wing in (self.first, self.second))
            if isinstance(one, int | float) and isinstance(other, int | float):
                rows.append(
                    {"number": each.key, "words": each.words, "unit": each.suffix, "first": one, "second": other}
                    | {"difference": other - one}
                )
        return data_frame(rows)


def compare(first: Result | StudySource, second: Result | StudySource, **options: Any) -> WingComparison:
    """Return the wings of two results or studies side by side. Of a study it is the wing that `assess` returns.

    Options and errors are those of `assess`, for each study. Two variants of one study differ by `edit`.

    ::

        ts.compare(study, ts.edit(study, {"fly.wind": "8 m/s"})).to_dataframe()
    """
    results = [each if isinstance(each, Result) else one_wing.assess(each, **options) for each in (first, second)]
    wings = [each.recommended or each.best or each.stock for each in results]
    assumed = [{used.key: used.value for used in each.defaults_used} for each in results]
    differences = study_differences(results[0].study_text, results[1].study_text, *assumed)
    return WingComparison(wings[0], wings[1], differences)
