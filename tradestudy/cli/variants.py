"""``tradestudy variants``: thousands of variants of one study, row by row into a CSV file."""

from __future__ import annotations

import csv
import io
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, BinaryIO

import typer

from tradestudy.errors import CommandError

from . import folders, output, session
from .options import AsJson, ClusterAddress, FittedFile, OutFolder, Workers, study_keys
from .study_request import StudyRequest
from .terminal import say, show

if TYPE_CHECKING:
    from collections.abc import Callable

    from tradestudy.commands.study_session import StudySession

_FILE = "variants.csv"
_ROWS_A_TASK = 200  # rows without keys that take as long as one search

_Inputs = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="[INPUT...]",
        help=(
            "With --sample: options of the wing such as span, or keys of the study such as fly.wind, as "
            'name=lowest:highest or name=a,b,c, such as "span=1240:1740 mm".'
        ),
    ),
]
_File = Annotated[
    Path | None,
    typer.Option(
        "--file",
        metavar="TABLE.csv",
        help="A table of variants. Its first line names the columns: options such as span, or keys such as fly.wind.",
    ),
]
_Sample = Annotated[
    int | None, typer.Option("--sample", metavar="N", min=1, help="Draw N variants as a Latin hypercube instead.")
]
_Seed = Annotated[int, typer.Option("--seed", metavar="NUMBER", min=0, help="The same seed draws the same variants.")]
_Search = Annotated[
    bool, typer.Option("--search", help="Search all that a row leaves open, instead of taking the stock wing's.")
]


@study_keys
def variants(
    study: StudyRequest,
    inputs: _Inputs = None,
    file: _File = None,
    sample: _Sample = None,
    seed: _Seed = 1,
    search: _Search = False,
    as_json: AsJson = False,
    out: OutFolder = None,
    workers: Workers = None,
    cluster: ClusterAddress = None,
    fitted: FittedFile = None,
) -> None:
    """Answer thousands of variants of a study, from a table or a sample, row by row into a CSV file."""
    if (file is None) == (sample is None):
        raise CommandError("Give either --file TABLE.csv or --sample N with inputs such as span=1240:1740.")
    if (sample is None) == bool(inputs):
        given = "No input is given" if sample else f"{(inputs or [''])[0]} goes with --sample, not with --file"
        raise CommandError(f"{given}. A sample looks like --sample 1000 span=1240:1740 fly.wind=0:6.")
    from tradestudy.commands.kept_results import results_folder
    from tradestudy.commands.variants.answers import answer_all
    from tradestudy.commands.variants.variant_table import VariantSample, VariantTable

    read = study.read(fitted)
    source = VariantTable(file, read) if file else VariantSample(inputs or [], read, sample or 0, seed)
    folder = out or results_folder(read)
    target = folder / _FILE
    if file and target.exists() and file.samefile(target):
        raise CommandError(f"{file} is the file that would be written. Give it another name, or another --out.")
    alone = search or any("." in name for name in source.columns)
    options: dict[str, Any] = {"workers": workers, "cluster": cluster, "fitted": fitted}
    tasks = source.count if alone else source.count // _ROWS_A_TASK
    with session.progress() as report:
        command = f"tradestudy variants {study.name}"
        with (
            session.open_session(study, command, report, folder, tasks=tasks, **options) as opened,
            folders.file_errors(folder),
            target.open("wb", buffering=0) as lines,
        ):
            written = VariantsFile(opened, source.columns, lambda content: add_whole(lines, content), search)
            answer_all(opened, source, search, written)
    if as_json:
        output.print_json(
            {
                "rows": written.rows,
                "met": written.met,
                "refused": written.refused,
                "empty": source.empty,
                "file": str(target),
            }
        )
        return
    say(written.verdict())
    if empty := source.empty:
        say(f"{empty} empty {'row' if empty == 1 else 'rows'} of {file} left out, so rows move up in the answer.")
    for line in written.stopped():
        say(line, "  ", "    ")
    show()
    show(f"Written: {target}")
    say(f"\n{output.CAUTION}")


def add_whole(file: BinaryIO, content: bytes) -> None:
    """Write all of ``content`` at the end of a file without a buffer, or nothing of it. Raise OSError on a full disk.

    Such a file may take a part and not say so, as where a disk gets full.
    """
    start, rest = file.tell(), content
    try:
        while rest:
            rest = rest[file.write(rest) :]
    except OSError:
        file.truncate(start)
        raise


class VariantsFile:
    """The rows that have been written. A call writes some more, in one step, so that only whole rows are in the file.

    ``write`` writes bytes at the end of the file. ``search`` says whether what a row leaves open is searched.
    """

    def __init__(self, opened: StudySession, columns: list[str], write: Callable[[bytes], Any], search: bool = False):
        from tradestudy.commands.variants.answers import ANSWER_NUMBERS
        from tradestudy.quantities import printed_column

        self._columns, self._write, self._search = columns, write, search
        purpose = opened.space.purpose
        self._words, self._unit = purpose.quantity.label, purpose.quantity.unit
        self._numbers = {name: purpose.number if name == "gain" else name for name in ANSWER_NUMBERS}
        if purpose.number in ANSWER_NUMBERS:
            del self._numbers["gain"]
        self.rows = self.met = self.refused = 0
        self._stopped: Counter[str] = Counter()
        self._best: tuple[float, str] | None = None
        heads = [*self._numbers.values(), "meets_every_limit", "nearest_limit", "margin", "refused"]
        self._scales = [printed_column(head) for head in heads]
        printed_heads = [scale.name if scale else head for scale, head in zip(self._scales, heads, strict=True)]
        self._add([[*columns, *printed_heads]])

    def __call__(self, answered: list[tuple[dict[str, str], dict[str, Any]]]) -> None:
        """Write rows with their answers."""
        from tradestudy.commands.variants.answers import is_refused
        from tradestudy.report.tables import in_scale

        lines = []
        for row, answer in answered:
            refused = is_refused(answer)
            why = [answer["limit_words"]] if refused else [""]
            limit = ["", ""] if refused else [answer["limit_words"], answer["margin"]]
            met = [] if refused else ["yes" if answer["met"] else "no"]
            numbers = [answer[name] for name in self._numbers]
            answers = zip([*numbers, *(met or [""]), *limit, *why], self._scales, strict=True)
            typed = (row.get(name, "") for name in self._columns)
            lines.append([*typed, *("" if each is None else in_scale(each, scale) for each, scale in answers)])
            self.rows += 1
            self.refused += refused
            self.met += answer["met"]
            if not (refused or answer["met"]):
                self._stopped[answer["limit_words"]] += 1
            if answer["met"] and (self._best is None or answer["gain"] > self._best[0]):
                self._best = answer["gain"], ", ".join(f"{name} {text}" for name, text in row.items())
        self._add(lines)

    def _add(self, lines: list[list[Any]]) -> None:
        text = io.StringIO()
        csv.writer(text, lineterminator="\n").writerows(lines)
        self._write(text.getvalue().encode("utf-8"))

    def verdict(self) -> str:
        """Return the sentences on all rows: the best of them, and how many meet every limit or are refused."""
        best = ""
        if self._best:
            best = f" The best, at medians: {self._best[0]:.1f} {self._unit} {self._words}, with {self._best[1]}."
        are = "is" if self.refused == 1 else "are"
        refused = f" {self.refused} {are} refused; the table says why." if self.refused else ""
        rest = "searched" if self._search else "as on the stock wing"
        others = f" What a row leaves open is {rest}, not as on the wing that tradestudy run recommends."
        medians = " Numbers are with every input at its median; tradestudy assess tells what to expect."
        return f"{self.met} of {self.rows} variants meet every limit.{best}{refused}{others}{medians}"

    def stopped(self) -> list[str]:
        """Return a line for each limit that is missed most by some variants."""
        return [f"{count} stopped most by {words}" for words, count in self._stopped.most_common()]
