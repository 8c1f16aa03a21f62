"""Sentences and tables on the terminal. Lines are wrapped between words, and text is never cut off.

Everything that is printed passes through `show`: names in files may hold control characters, which it shows as text.

The width is that of the terminal. Output into a file or a pipe is 80 columns wide and has no bold text.
"""

from __future__ import annotations

import codecs
import io
import re
import shutil
import sys
import textwrap
import unicodedata
from collections.abc import Sequence
from typing import TextIO

from tradestudy.quantities import METRIC, print_in, printed, printed_table

_chosen = [METRIC]  # units that the user chose, for the terminal and for files
_PIPE_WIDTH = 80  # width of output into a file or a pipe, in characters
_NARROWEST = 40  # smallest width in characters; narrower text is not readable
_SENTENCE_WIDTH = 100  # largest width of sentences, in characters; longer lines are hard to read
_GAP = 2  # characters between two columns of a table
_NO_BREAK = "\N{NO-BREAK SPACE}"
# Two private characters of Unicode. No text contains them, and no library breaks a line at them.
_JOINER = "\ue000"  # replaces a blank at which no line may be broken, since rich does break at a no-break space
_FILLER = "\ue001"  # follows a character that is two columns wide, so that lengths count it twice

NEAREST_LETTERS = "nearest letters"  # how output treats letters that the terminal cannot show; see `nearest_letters`
_PLAIN = {
    "\N{MINUS SIGN}": "-",
    "\N{EN DASH}": "-",
    "\N{MULTIPLICATION SIGN}": "x",
    "\N{PLUS-MINUS SIGN}": "+/-",
    "\N{RIGHTWARDS ARROW}": "->",
    "\N{LESS-THAN OR EQUAL TO}": "<=",
    "\N{GREATER-THAN OR EQUAL TO}": ">=",
    "\N{MICRO SIGN}": "u",
    "\N{SUPERSCRIPT TWO}": "2",
    "\N{SUPERSCRIPT THREE}": "3",
    "\N{NO-BREAK SPACE}": " ",
    "\N{HORIZONTAL ELLIPSIS}": "...",
}

# Lines are not broken at these blanks: between a number and its unit, and within a unit in brackets.
_BEFORE_UNIT = re.compile(
    r"(?<=\d) (?=(?:[mck]?m|k?g|deg|[mk]?W|m?A|V|Wh|mAh|k?N|s|min|%|km/h|m/s|m?ohm|mph|C|F|in|oz|lb|ft|miles|mi)(?!\w))"
)
_COMMAND = re.compile(r"(?<=: )tradestudy [a-z]+ (?!.*[.,;] [A-Za-z]).*$")  # at the end of a sentence
_IN_BRACKETS = re.compile(r"\[[^]]{1,14}\]")


def show(words: str = "", end: str = "\n", to: TextIO | None = None) -> None:
    """Print lines on standard output or on ``to``. Control characters are shown as text."""
    print(shown(words), end=end, file=to, flush=to is not None)


def shown(words: str) -> str:
    """Return text whose control characters are written as in Python, such as ``\\x1b``. Line ends stay."""
    if words.isascii() and words.isprintable():
        return words
    return "".join(each if is_harmless(each) else each.encode("unicode_escape").decode("ascii") for each in words)


def is_harmless(letter: str) -> bool:
    """Return whether a character moves no cursor, changes no style and turns no direction of reading."""
    return letter.isprintable() or letter in "\n\t" or unicodedata.category(letter) == "Zs"


def nearest_letters(error: UnicodeError) -> tuple[str, int]:
    """Return what is shown for letters that the terminal's encoding lacks. An error handler of `codecs`."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    lacking = error.object[error.start : error.end]
    return "".join(_PLAIN.get(letter, "?") for letter in lacking), error.end


codecs.register_error(NEAREST_LETTERS, nearest_letters)


def use_units(system: str, as_json: bool = False) -> None:
    """Print from now on, and write files, in a system of `quantities.SYSTEMS`. JSON stays metric."""
    _chosen[0] = system
    print_in(METRIC if as_json else system)


def chosen_units() -> str:
    """Return the system of units that the user chose."""
    return _chosen[0]


def say(words: str, indent: str = "", hanging: str | None = None) -> None:
    """Print a sentence, wrapped into lines.

    ``indent`` is put before the first line, and ``hanging`` before the others. None means the same as ``indent``.
    """
    words = printed(words)
    show("\n".join(sentence_lines(words, min(_width(), _SENTENCE_WIDTH), indent, hanging)))


def sentence_lines(words: str, width: int, indent: str = "", hanging: str | None = None) -> list[str]:
    """Return a sentence as lines of at most ``width`` characters. A longer word gets a longer line.

    Line ends within the sentence are kept. A command at its end stays on one line, so that it can be copied.
    """
    hanging = indent if hanging is None else hanging
    lines: list[str] = []
    for part in words.split("\n"):
        # a character that is two columns wide is counted as two characters
        words_of_part = _COMMAND.sub(lambda found: found.group().replace(" ", _JOINER), _printable(part))
        text = "".join(letter + _FILLER * (_cells(letter) - 1) for letter in words_of_part)
        lines += textwrap.wrap(
            text,
            width,
            initial_indent=hanging if lines else indent,
            subsequent_indent=hanging,
            break_long_words=False,
            break_on_hyphens=False,
        ) or [""]
    return [line.replace(_FILLER, "").replace(_JOINER, " ").rstrip() for line in lines]


def error_lines(message: str) -> list[str]:
    """Return an error message as lines for a terminal. Wrapped lines are indented to the right of the line number."""
    lines = []
    for line in message.split("\n"):
        head = re.match(r"\s*(line\s+\d+\s+)?", line)
        indent = head.group() if head else ""
        lines += sentence_lines(line[len(indent) :], _terminal_width(), indent, " " * len(indent))
    return lines


def print_table(heads: Sequence[str], rows: Sequence[Sequence[str]], indent: int = 0) -> None:
    """Print rows under their heads. Heads are bold in a terminal, and not printed if all are empty."""
    heads, rows = printed_table(heads, rows)
    print(*table_lines(heads, rows, _width(), indent, bold_heads=sys.stdout.isatty()), sep="\n")


def table_lines(
    heads: Sequence[str], rows: Sequence[Sequence[str]], width: int, indent: int = 0, bold_heads: bool = False
) -> list[str]:
    """Return a table as lines of at most ``width`` characters.

    If the table is too wide, the text in its widest columns is wrapped. Words are broken only if the longest words of
    all columns do not fit into one line.
    """
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    console = Console(file=io.StringIO(), width=width - indent, force_terminal=bold_heads, highlight=False)
    body = [[_printable(cell) for cell in row] for row in (heads, *rows)]
    table = Table(box=None, pad_edge=False, padding=(0, _GAP, 0, 0), show_header=any(heads), header_style="bold")
    for head, column_width in zip(body[0], _column_widths(body, console.width), strict=True):
        table.add_column(Text(head), overflow="fold", width=column_width)
    for row in body[1:]:
        table.add_row(*map(Text, row))
    with console.capture() as capture:
        console.print(table)
    return [" " * indent + line.replace(_JOINER, " ").rstrip() for line in capture.get().splitlines()]


def _column_widths(body: list[list[str]], width: int) -> list[int | None]:
    """Return the width of each column in characters, or None for each column if rich shall decide.

    Widths are returned if the longest words fit into one line but the complete text does not. Each column is at least
    as wide as its longest word. The rest of the width is shared in proportion to the text that does not fit.
    """
    columns = list(zip(*body, strict=True))
    room = width - _GAP * (len(columns) - 1)
    least = [max((1, *(_cells(word) for cell in column for word in cell.split()))) for column in columns]
    if sum(least) > room or sum(max(map(_cells, column)) for column in columns) <= room:
        return [None] * len(columns)
    excess = [sum(max(0, _cells(cell) - low) for cell in column) for column, low in zip(columns, least, strict=True)]
    share = (room - sum(least)) / sum(excess)
    return [low + int(share * more) for low, more in zip(least, excess, strict=True)]


def _width() -> int:
    return _terminal_width() if sys.stdout.isatty() else _PIPE_WIDTH


def _terminal_width() -> int:
    return max(shutil.get_terminal_size((_PIPE_WIDTH, 24)).columns, _NARROWEST)


def _cells(text: str) -> int:
    """Return the number of columns of a terminal that a text needs."""
    if text.replace(_JOINER, " ").isascii():
        return len(text)
    from rich.cells import cell_len  # imported here, since it is slow and rarely needed

    return cell_len(text)


def _printable(text: str) -> str:
    """Return text as one line with control characters shown as text.

    `_JOINER` replaces each blank at which the line must not be broken.
    """
    text = "".join(
        _JOINER if letter == _NO_BREAK else " " if letter.isspace() and is_harmless(letter) else letter
        for letter in shown(text.replace("\n", " "))
    )
    return _IN_BRACKETS.sub(lambda found: found.group().replace(" ", _JOINER), _BEFORE_UNIT.sub(_JOINER, text))
