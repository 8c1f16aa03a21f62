"""What the model's commands share: opening a study, showing progress, writing results, asking for one design."""

from __future__ import annotations

import re
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NamedTuple

import typer

from tradestudy.commands.requested_wing import requested_wing
from tradestudy.errors import CommandError, LimitsViolated

from .app import FittedFile, OutFolder, given_together, print_table, say
from .completion import with_unit

if TYPE_CHECKING:
    from tradestudy.commands.study_session import StudySession
    from tradestudy.results.design import Design
    from tradestudy.results.result import Result

RECORD = "record.sqlite"  # in the folder of the results: what was worked out already
QUIET_SECONDS = 5.0  # between two lines of progress where no terminal can show a moving one

Span = Annotated[
    str | None,
    typer.Option(
        "--span", metavar="LENGTH", autocompletion=with_unit("length"), help='Span to look at, such as "1300 mm".'
    ),
]
Sweep = Annotated[
    str | None,
    typer.Option(
        "--sweep", metavar="ANGLE", autocompletion=with_unit("angle"), help='Leading-edge sweep, such as "24 deg".'
    ),
]
Washout = Annotated[
    str | None,
    typer.Option(
        "--washout", metavar="ANGLE", autocompletion=with_unit("angle"), help='Tip twist, nose down: "2 deg".'
    ),
]
Margin = Annotated[str | None, typer.Option("--static-margin", metavar="PERCENT", help='Such as "7 %".')]
Cruise = Annotated[
    str | None,
    typer.Option(
        "--cruise-speed",
        metavar="SPEED",
        autocompletion=with_unit("speed"),
        help="The one that serves the study's purpose best if left out.",
    ),
]
Parallel = Annotated[int | None, typer.Option("--parallel", min=1, max=12, help="Cells in parallel.")]
RodDiameter = Annotated[
    str | None,
    typer.Option("--rod-diameter", metavar="LENGTH", autocompletion=with_unit("length"), help='Such as "4 mm".'),
]
RodPairs = Annotated[int | None, typer.Option("--rod-pairs", min=1, max=4, help="Rod pairs in each half wing.")]
Propeller = Annotated[str | None, typer.Option("--propeller", metavar="SIZE", help="Diameter x pitch, such as 10x6.")]

Workers = Annotated[
    int | None,
    typer.Option(
        "--workers",
        min=1,
        max=512,
        metavar="N",
        help=("Processes that search side by side; if left out, one for each core where there is enough to do."),
    ),
]
ClusterAddress = Annotated[
    str | None,
    typer.Option(
        "--cluster",
        metavar="ADDRESS",
        help=("Search on a Dask cluster, such as tcp://192.168.1.10:8786; needs tradestudy[cluster]."),
    ),
]

# every option by which one design is asked for, in the order of the help
DESIGN_OPTIONS = {
    "span": Span,
    "sweep": Sweep,
    "washout": Washout,
    "static_margin": Margin,
    "cruise_speed": Cruise,
    "parallel": Parallel,
    "rod_diameter": RodDiameter,
    "rod_pairs": RodPairs,
    "propeller": Propeller,
}


class Search(NamedTuple):
    """How a command searches: where results go, its processes, and an overlay for the study."""

    out: Path | None
    workers: int | None
    cluster: str | None
    fitted: Path | None


def asks_for_a_design(command: Callable[..., None], leave_out: tuple[str, ...] = ()) -> Callable[..., None]:
    """Give a command the options of one design; what they ask for comes to it as the argument ``asked``."""
    options = {name: kind for name, kind in DESIGN_OPTIONS.items() if name not in leave_out}
    return given_together(
        command, options, "asked", lambda given: requested_wing(given, lambda name: "--" + name.replace("_", "-"))
    )


def searches(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command the options of a search among many designs; they come to it as the argument ``how``."""
    options = {"out": OutFolder, "workers": Workers, "cluster": ClusterAddress, "fitted": FittedFile}
    return given_together(command, options, "how", lambda given: Search(**given))


def open_work(
    study: Path,
    command: str,
    tell: Any,
    out: Path | None = None,
    keep: bool = True,
    workers: int | None = 1,
    cluster: str | None = None,
    tasks: int | None = None,
    fitted: Path | None = None,
) -> StudySession:
    """Read a study and make it ready. With a folder and ``keep``, answers kept there earlier are used again.

    ``workers``, ``cluster``, ``tasks`` as in `StudySession`; ``fitted`` is an overlay for the study.
    """
    from tradestudy.commands.study_session import StudySession
    from tradestudy.study.reader import read_study

    if cluster is not None and workers is not None:
        raise CommandError("--workers and --cluster do not go together: a cluster has workers of its own.")
    read = read_study(study, fitted)
    writable(out)
    return StudySession(read, command, tell, out / RECORD if out and keep else None, workers, cluster, tasks)


@contextmanager
def many_designs(
    study: Path,
    command: str,
    tell: Any,
    out: Path | None,
    workers: int | None,
    cluster: str | None,
    tasks: int | None = None,
    fitted: Path | None = None,
) -> Iterator[StudySession]:
    """Open work on many designs; end its workers afterwards, whatever happens."""
    work = open_work(study, command, tell, out, workers=workers, cluster=cluster, tasks=tasks, fitted=fitted)
    try:
        yield work
    except KeyboardInterrupt:
        if out:
            tell.warn(f"What was finished is kept in {out / RECORD}: the same command goes on from there.")
        raise
    finally:
        work.close()


def one_design(
    command: str,
    study: Path,
    out: Path | None,
    fitted: Path | None,
    answer: Callable[[StudySession], Result],
    anyway: bool = False,
) -> Result:
    """Return what is answered about one design, written into a folder where one is named, while progress is shown."""
    with progress() as tell:
        result = answer(open_work(study, f"tradestudy {command} {study.name}", tell, out, keep=False, fitted=fitted))
        if out:
            write_results(result, out, anyway)
    return result


def searched(command: str, study: Path, how: Search, answer: Callable[[StudySession], Result]) -> Result:
    """Return what a search among many designs answers, written into a folder where one is named."""
    with (
        progress() as tell,
        many_designs(
            study, f"tradestudy {command} {study.name}", tell, how.out, how.workers, how.cluster, fitted=how.fitted
        ) as work,
    ):
        result = answer(work)
        if how.out:
            write_results(result, how.out)
    return result


class Teller:
    """Tells on standard error what is being done (call it), and what should not be missed (``warn``)."""

    def __init__(self, tell: Callable[[str], None], warn: Callable[[str], None]):
        self._tell, self.warn = tell, warn

    def __call__(self, words: str) -> None:
        self._tell(words)


@contextmanager
def progress() -> Iterator[Teller]:
    """Show on standard error what is being done: one moving line in a terminal, a line now and then elsewhere."""
    from rich.console import Console
    from rich.text import Text

    console = Console(stderr=True, highlight=False)
    if console.is_terminal:
        with console.status("reading the study") as status:
            yield Teller(lambda words: status.update(Text(words)), lambda words: console.print(Text(words)))
        return
    last = [0.0]

    def tell(words: str) -> None:
        if time.monotonic() - last[0] > QUIET_SECONDS:
            last[0] = time.monotonic()
            print(f"... {words}", file=sys.stderr, flush=True)

    yield Teller(tell, lambda words: print(words, file=sys.stderr, flush=True))


def results_folder(name: str) -> Path:
    """Return ``results/<study>`` for a study's name, whatever characters it holds."""
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60]
    return Path("results") / (plain or "study")


def writable(folder: Path | None) -> None:
    """Make the folder results go to before any work is done. Raises CommandError where that cannot be."""
    if folder is None:
        return
    if folder.exists() and not folder.is_dir():
        raise CommandError(f"Cannot write into {folder}: it is a file, a folder is wanted.")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError as error:
        raise CommandError(f"Cannot write into {folder}: {error.strerror or error}.") from error


def write_results(result: Result, folder: Path, anyway: bool = False) -> list[Path]:
    """Write summary, tables, figures and the page into a folder, each file whole. Raises CommandError if it cannot."""
    from tradestudy.report.folder import save

    return save(result, folder, anyway)


def refuse(result: Result, anyway: bool, what: str, study: Path, fitted: Path | None = None) -> None:
    """Raise LimitsViolated where the wing proposed breaks a limit, unless asked for anyway. ``what`` there is not."""
    from tradestudy.report.words.phrases import stretched_wing, violated_limits
    from tradestudy.report.words.violated_limits import refusal

    if violated_limits(stretched_wing(result)) and not anyway:
        raise LimitsViolated(refusal(result, what, f"{study}{f' --fitted {fitted}' if fitted else ''}"))


def write_build_sheet(
    result: Result, folder: Path, paper: str = "a4", with_dxf: bool = False, beside: bool = False, anyway: bool = False
) -> list[Path]:
    """Write the build sheet and its templates; ``beside``: with the result they were drawn from. Raises CommandError.

    Nothing where the result has no wing to build. Raises LimitsViolated where it breaks a limit, unless ``anyway``.
    """
    from tradestudy.files import write_atomically
    from tradestudy.report.build_sheet.sheet import save_build_sheet

    try:
        written = save_build_sheet(result, folder, paper, with_dxf, anyway)
        if written and beside:
            written.append(write_atomically(folder / "build_sheet.json", result.to_json().encode("utf-8")))
    except OSError as error:
        raise CommandError(f"Cannot write into {folder}: {error.strerror or error}.") from error
    return written


def side_by_side(result: Result) -> tuple[list[str], list[tuple[str, ...]]]:
    """Return heads and rows of the table of stock and stretched wing."""
    from tradestudy.report.words.number_table import number_rows

    designs = [design for design in (result.stock, result.recommended or result.best) if design]
    rows: list[tuple[str, ...]] = [
        (f"{words} [{unit}]" if unit else words, *figures)
        for words, unit, figures in number_rows(result, designs).values()
    ]
    return ["", *(design.label for design in designs)], rows


def print_structure(result: Result) -> None:
    """Print what breaks first and where, what was checked apart, and how fast the wings still obey."""
    from tradestudy.report.words import structure

    for line in structure.structure_words(result):
        say(line, "  ")
    print_table([head.lower() for head in structure.LOAD_HEADS], structure.load_rows(result))
    print()
    print_table([head[:1].lower() + head[1:] for head in structure.CHECK_HEADS], structure.check_rows(result))
    for line in structure.check_notes(result):
        say(line, "  ")
    print()
    rows = [(f"{words} [{unit}]", *values) for words, unit, values in structure.control_rows(result)]
    print_table(["how fast it still obeys", "stock", "stretched"], rows)
    for line in structure.control_words(result):
        say(line, "  ")


def print_drag(result: Result) -> None:
    """Print what holds the wings back in cruise, a line for each part, and how they glide."""
    from tradestudy.report.words.drag_table import DRAG_NOTE, drag_heads, drag_rows, glide_words

    print_table(drag_heads(result)[:-1], [row[:-1] for row in drag_rows(result)])
    for line in (*glide_words(result), DRAG_NOTE):
        say(line, "  ")


def share_asked(option: str, text: str) -> float:
    """Return a share of the ways a wing may come out, asked for as text. Raises CommandError."""
    from tradestudy.quantities import parse_quantity

    try:
        share = parse_quantity(text, "fraction")
    except ValueError as error:
        raise CommandError(f"{option} {error}.") from None
    if not 0.5 <= share <= 0.99:
        raise CommandError(f"{option} {text}: 50 % to 99 % can be asked for.")
    return share


def print_sureness(result: Result) -> None:
    """Print the plain best beside the wing that is as sure as asked; nothing where nobody asked."""
    from tradestudy.report.words.limit_prices import ROBUST_HEADS, robust_rows, robust_words

    if rows := robust_rows(result):
        print("\nAs sure as asked:")
        print_table(ROBUST_HEADS, rows)
        for line in robust_words(result):
            say(line, "  ")


def print_slack(result: Result) -> None:
    """Print what a little slack in each limit that stops the best wing would buy; nothing where nothing stops it."""
    from tradestudy.report.words.limit_prices import slack_heads, slack_rows, slack_words

    if rows := slack_rows(result):
        print("\nWhat a little slack would buy:")
        print_table(slack_heads(result), rows)
        for line in slack_words(result):
            say(line, "  ")


def document(result: Result, **parts: Any) -> dict[str, Any]:
    """Return what a command prints as JSON: who asked what, and the parts it answers with."""
    from tradestudy.results.json_form import json_data

    return json_data(
        {
            "study": result.study_name,
            "command": result.command,
            "success": result.success,
            "message": result.message,
            **parts,
            "excluded": result.excluded,
            "notes": result.notes,
        }
    )


def print_first_screen(result: Result) -> None:
    """Print the answers a builder reads first, then what was set aside and what to know of the wing proposed."""
    from tradestudy.report.words.first_screen import first_screen

    if result.conflict:
        say(f"{result.message}\nWhat follows is the wing that comes nearest.\n")
    print_table(["", ""], first_screen(result))
    print()
    for reason in result.excluded:
        say(f"Set aside: {reason}.")
    design = result.recommended or result.best
    for line in design.flags if design else []:
        say(f"Note: {line}.")


def verdict(result: Result) -> str:
    """Return whether the stretched wing may be built as it was asked for, in a sentence."""
    from tradestudy.report.words.phrases import comma_list, violated_limit_words

    broken = violated_limit_words(result.best) if result.best else []
    if not broken:
        return "This wing meets every limit."
    return (
        f"Not to be built like this: it breaks the {'limits' if len(broken) > 1 else 'limit'} on {comma_list(broken)}."
    )


def limit_rows(design: Design) -> list[tuple[str, ...]]:
    """Return one row per limit: what, how it stands, what is asked."""
    from tradestudy.report.words.phrases import limit_words, short_number

    rows: list[tuple[str, ...]] = []
    for state in design.limits:
        standing = "broken" if not state.met else "at its limit" if state.active else "met"
        rows.append(
            (
                limit_words(state.name, design),
                f"{short_number(state.value)} {state.unit}".strip(),
                f"{state.side} {short_number(state.bound)} {state.unit}".strip(),
                standing,
                state.origin,
            )
        )
    return rows


def tie_rows(result: Result) -> list[tuple[str, ...]]:
    """Return one row per measured number of the stock wing: measured, the model before and after, unit and how."""
    from tradestudy.report.words.phrases import number_text

    numbers = ("measured", "before", "after")
    return [
        (tie.what, *(number_text(getattr(tie, name), 1) for name in numbers), tie.unit, tie.how)
        for tie in result.calibration
    ]
