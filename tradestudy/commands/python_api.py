"""The commands as calls from Python: a study, or the path of one, in; a Result out.

Each says on request what it is doing (``tell``, such as ``print``), and searches in this process unless ``workers`` or
a ``cluster`` are named. A script that names workers needs Python's ``if __name__ == "__main__":`` round its calls.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tradestudy.results.result import Result
from tradestudy.study.reader import read_study
from tradestudy.study.schema.study import Study

from .requested_wing import wanted

if TYPE_CHECKING:
    from .work import Work

Asked = Study | str | os.PathLike[str]
Tell = Callable[[str], None]


def load(path: str | os.PathLike[str]) -> Study:
    """Return the study in a file. Raises StudyFileError with every fault in it, CommandError where there is none."""
    return read_study(path)


def assess(study: Asked, *, tell: Tell | None = None, **design: Any) -> Result:
    """Return one stretched design in full (``best``) beside the stock wing; half way to the longest span unless asked.

    ``design``: span, sweep, washout, static_margin, cruise_speed and rod_diameter as text with the unit
    (``span="1300 mm"``), parallel and rod_pairs as numbers, propeller as ``"10x6"``. Raises CommandError for others.
    """
    from . import work as runs

    asked = wanted(design)
    with _work("assess", study, tell) as work:
        return runs.assess(work, asked)


def optimise(
    study: Asked,
    *,
    tell: Tell | None = None,
    workers: int = 1,
    cluster: str | None = None,
    record: str | os.PathLike[str] | None = None,
) -> Result:
    """Return the best design within every limit, what stops it, and the next best.

    ``record`` is a file in which answers are kept, and from which they are used again.
    """
    from . import work as runs

    with _work("optimise", study, tell, workers, cluster, record) as work:
        return runs.optimise(work)


def stretch(
    study: Asked,
    *,
    tell: Tell | None = None,
    workers: int = 1,
    cluster: str | None = None,
    record: str | os.PathLike[str] | None = None,
) -> Result:
    """Return what each span would give (``span_trade``) and the span to build (``recommended``); see `optimise`."""
    from . import work as runs

    with _work("stretch", study, tell, workers, cluster, record) as work:
        return runs.stretch(work)


def front(
    study: Asked,
    of: str | None = None,
    against: str = "flying_weight",
    points: int = 25,
    *,
    tell: Tell | None = None,
    workers: int = 1,
    cluster: str | None = None,
    record: str | os.PathLike[str] | None = None,
) -> Result:
    """Return the best of one quantity at each level of another (``front``); see `optimise`.

    Raises CommandError for a quantity that cannot be traded.
    """
    from . import work as runs

    with _work("front", study, tell, workers, cluster, record) as work:
        return runs.traded(work, None, of, against, points)


def run(
    study: Asked,
    *,
    tell: Tell | None = None,
    workers: int = 1,
    cluster: str | None = None,
    record: str | os.PathLike[str] | None = None,
) -> Result:
    """Return all of it; `tradestudy.save` writes it into a folder. See `optimise`."""
    from . import work as runs

    with _work("run", study, tell, workers, cluster, record) as work:
        return runs.everything(work)


@contextmanager
def _work(
    command: str,
    study: Asked,
    tell: Tell | None,
    workers: int = 1,
    cluster: str | None = None,
    record: str | os.PathLike[str] | None = None,
) -> Iterator[Work]:
    from .work import Work, silent

    read = study if isinstance(study, Study) else read_study(study)
    work = Work(
        read,
        f"tradestudy {command} {read.path.name}",
        tell or silent,
        Path(record) if record else None,
        None if cluster else workers,
        cluster,
    )
    try:
        yield work
    finally:
        work.close()
