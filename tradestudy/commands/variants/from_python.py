"""Many variants from Python: `variants` answers every row and returns a table."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Unpack

from tradestudy.commands.study_session import SearchOptions, StudySource, opened
from tradestudy.errors import CommandError
from tradestudy.notebook import data_frame
from tradestudy.study.schema.study import Study

from .answers import ANSWER_NUMBERS, RowAnswer, answer_all, is_refused
from .variant_table import TypedRow, VariantRows, VariantSample, VariantTable

Given = str | os.PathLike[str] | Iterable[Mapping[str, Any]]


@dataclass(frozen=True)
class VariantAnswers:
    """The answers to many variants: one dict for each row, in the order of the rows.

    A row holds its inputs as typed, the numbers of its wing, ``met``, and the nearest limit with its scaled ``margin``.
    ``refused`` is the reason why there is no such wing.
    """

    rows: list[dict[str, Any]]

    @property
    def met(self) -> list[dict[str, Any]]:
        """Return the rows that meet every limit."""
        return [row for row in self.rows if row["met"]]

    def to_dataframe(self) -> Any:
        """Return a pandas DataFrame with a row for each variant."""
        return data_frame(self.rows)


def variants(
    study: StudySource,
    rows: Given | None = None,
    *,
    sample: Mapping[str, str] | None = None,
    count: int = 1000,
    seed: int = 1,
    search: bool = False,
    **options: Unpack[SearchOptions],
) -> VariantAnswers:
    """Return the answers to many variants of a study.

    ``rows`` is the path of a CSV file, a list of dicts or a pandas DataFrame. Names are options of the wing such as
    ``span``, or keys of the study such as ``fly.wind``. Instead, ``sample`` maps names to ``"lowest:highest"`` with a
    unit, or to ``"a,b,c"``; ``count`` variants of them are drawn as a Latin hypercube.

    All that a row leaves open is as on the stock wing, or with ``search`` at its best. Ranges are those with every
    input at its median. With a ``record``, a call that was stopped goes on from there. Raises CommandError for an
    unknown name, or for both or neither of ``rows`` and ``sample``.

    ::

        ts.variants(study, sample={"span": "1300:1600 mm", "parallel": "2,3,4"}, count=200).to_dataframe()
        ts.variants(study, [{"span": "1400 mm", "fly.wind": "3 m/s"}, {"span": "1500 mm"}])
    """
    if (rows is None) == (sample is None):
        raise CommandError('Give either rows or sample={"span": "1300:1600 mm"}.')
    answered: list[tuple[TypedRow, RowAnswer]] = []
    with opened(study, "variants", **options) as session:
        source = _source(session.study, rows, sample, count, seed)
        answer_all(session, source, search, answered.extend)
        return VariantAnswers([_row(source.columns, session.space.purpose.number, *each) for each in answered])


def _source(
    study: Study, rows: Any, sample: Mapping[str, str] | None, count: int, seed: int
) -> VariantTable | VariantRows | VariantSample:
    if sample is not None:
        return VariantSample([f"{name}={text}" for name, text in sample.items()], study, count, seed)
    if isinstance(rows, str | os.PathLike):
        return VariantTable(Path(rows), study)
    return VariantRows(list(rows.to_dict("records") if hasattr(rows, "to_dict") else rows), study)


def _row(columns: list[str], purpose: str, row: TypedRow, answer: RowAnswer) -> dict[str, Any]:
    """Return one row of the table. ``purpose`` is the name of the number that the study maximises."""
    refused = is_refused(answer)
    named: dict[str, Any] = {name: row.get(name, "") for name in columns}
    named |= {purpose if name == "gain" else name: answer[name] for name in ANSWER_NUMBERS}
    named |= {"met": answer["met"], "limit": "" if refused else answer["limit_words"], "margin": answer["margin"]}
    return named | {"refused": answer["limit_words"] if refused else ""}
