"""A reader of outputs: it finds what a person would stumble over in a text, wherever the text was printed.

`faults` reads any text; `terminal_faults` reads what a command prints, whose tables and commands are no prose.
"""

import re
from html.parser import HTMLParser

MOST_WORDS = 25  # of one sentence, parts at semicolons and colons apart, as in tests/unit/house/test_plain_sentences.py
_SHORTEST_PROSE = 6  # words; a shorter line may be a head
NUMBER = r"[-+−±]?\d+(?:[.,]\d+)*"

# phrases that were read and not understood, and their kin
_RIDDLES = (
    r"ranges of what is free",
    r"account for all",
    r"farthest from the straight line",
    r"scaled to (?:one|1)\b",
    r"halves in, minus",
    r"negative: to double",
    r"fewer than nine of ten draws",
    r"met in about half of them",
    r"nearest is a wing whose",
    r"thousandths of a",
    r"stalls 0 km/h slower",
    rf"(?:breaks?|broken|failure|pull-up|load factor)[^.;:]*? at {NUMBER} g\b",
    rf"pull-up (?:of|to) {NUMBER} g\b",
    r"load factor[^.;:\n]*\[g\]",
)
_NOT_A_NUMBER = re.compile(r"(?<![\w.])(?:None|nan|NaN|inf|null|\{\}|\[\])(?![\w])")
_MINUS_NOTHING = re.compile(r"(?<![\w.\d])[-−+]0(?:[.,]0+)?(?![\d.,]*\d)(?! (?:mm|deg)? ?to)")
_DANGLING = r"\b(?:and|or|of|the|a|at least|at most)"
_CUT_OFF = re.compile(rf"(?:{_DANGLING}|[,;:(–]) ?[.)](?:\s|$)| [.,;:](?:\s|$)|\(\s*\)|,,|\.\.(?!\.)")
_COMMAND = re.compile(r"tradestudy \w+ \S|--\w+|results/|studies/|/tmp|\.(?:toml|html|pdf)\b")
_SHORTEST_LINE = 50  # letters; a wrapped line of a sentence is longer, unless it is its last
_DEEP = 8  # blanks before the rest of a cell of a table
_ENDS = (".", "?", "!", ":", '"')


def faults(text, where=""):
    """Return what is wrong in prose and numbers of a text: short sentences, each with its place."""
    found = [f"{kind}: {excerpt(text, match)}" for kind, pattern in _PATTERNS for match in pattern.finditer(text)]
    for paragraph in paragraphs(text):
        found += [
            f"sentence of {len(each.split())} words: {each[:70]}" for each in sentences(paragraph) if too_long(each)
        ]
        found += [f"number without a unit: {each}" for each in bare_numbers(paragraph)]
        if cut_off(paragraph):
            found.append(f"no end: {paragraph[-60:]}")
    return [f"{where}: {each}" if where else each for each in found]


def terminal_faults(text, where="", most_lines=None):
    """Return the faults of what a command prints, and of its lines: too many, or two blanks within a sentence."""
    lines = text.splitlines()
    found = faults(text, where)
    if most_lines is not None and len(lines) > most_lines:
        found.append(f"{where}: {len(lines)} lines, at most {most_lines}")
    for before, line in zip(["", *lines], lines, strict=False):
        if (
            re.search(r".{14}[a-z][.,;]?  [a-z]", line)
            and len(re.findall(r"\S {2,}\S", line)) == 1
            and is_prose(before)
        ):
            found.append(f"{where}: two blanks: {line.strip()[:70]}")
    return found


def is_prose(line):
    """Return whether a line is part of a sentence and not of a table."""
    return len(line) > 60 and not re.search(r"\S {2,}\S", line)


def paragraphs(text):
    """Yield the paragraphs of prose: runs of lines without columns, joined. A short line ends one."""
    run = []
    for line in [*text.splitlines(), ""]:
        table = re.search(r"\S {2,}\S", line) or not line.strip() or line.startswith(" " * _DEEP)
        if not table:
            run.append(line.strip())
        if run and (table or len(line) < _SHORTEST_LINE):
            yield " ".join(run)
            run = []


def sentences(paragraph):
    """Return the sentences of a paragraph, parts at semicolons and colons apart."""
    return [each for each in re.split(r"(?<=[.?!:;])\s+", paragraph) if each]


def too_long(sentence):
    return len(sentence.split()) > MOST_WORDS


def cut_off(paragraph):
    """Return whether a paragraph of a sentence or more ends without a full stop, colon, question mark or quote."""
    words = paragraph.split()
    prose = len(words) >= 2 * _SHORTEST_PROSE and paragraph[0].isupper() and not _COMMAND.search(paragraph)
    return prose and not paragraph.endswith(_ENDS)


# words after which a number has no unit, since it is a count, a ratio, a share of one, or a name
_COUNTED = (
    r"(?:line|step|page|class|Re|number|factor|damping|least|most|times|S|section|of|in|by|about|size|ratio|than|lift|drag|"
    r"coefficient|exceeds|now|is|over|loss|=)"
)


def bare_numbers(paragraph):
    """Return numbers that end a clause without a unit, where no number of the clause before them has one."""
    found = []
    for sentence in sentences(paragraph):
        for match in re.finditer(rf"(?<![\w\[.\"'/=-])({NUMBER})(?=[.;:,)]?(?:\s*$|[;)]))", sentence):
            before = sentence[: match.start()]
            has_unit = re.search(rf"{NUMBER}(?: ?[/–] ?{NUMBER})? ?(?:%|°|[A-Za-zµΩ²³/]+)", before)
            counted = re.search(rf"\b{_COUNTED}\s*$", before)
            is_year = re.fullmatch(r"(?:19|20)\d\d", match.group())
            if not has_unit and not counted and not is_year:
                found.append(f"{before[-30:]}{match.group()}")
    return found


def excerpt(text, match):
    return " ".join(text[max(0, match.start() - 30) : match.end() + 30].split())


_PATTERNS = (
    ("not a number", _NOT_A_NUMBER),
    ("minus nothing", _MINUS_NOTHING),
    ("cut off", _CUT_OFF),
    *(("riddle", re.compile(rf"{words}")) for words in _RIDDLES),
)


_LINE_END = "\0"  # of a line of a card


class Blocks(HTMLParser):
    """The visible words of a page by block: ``prose`` of paragraphs and list items, ``cells`` of tables and facts.

    Lists of limits and of parts, citations, and the lines of a card are no prose.
    """

    _PROSE, _CELLS = ("p", "li", "figcaption", "dd"), ("td", "th", "dt", "h1", "h2", "h3", "h4", "h5")
    _NO_PROSE = ("sources", "versions", "stopped", "note", "kicker", "legend")  # classes

    def __init__(self, text):
        super().__init__()
        self.prose, self.cells, self._open, self._words = [], [], [], ""
        self._listed = False
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attributes):
        kind = dict(attributes).get("class", "")
        if tag in ("nav", "ul", "div", "figcaption") and kind in ("sources", "slip", ""):
            self._listed = kind != ""
        if tag in (*self._PROSE, *self._CELLS, "script", "style", "pre"):
            self._end()
            self._open.append((tag, kind in self._NO_PROSE or self._listed))
        elif tag == "br":
            self._words += _LINE_END

    def handle_endtag(self, tag):
        if self._open and self._open[-1][0] == tag:
            self._end()
            self._open.pop()

    def handle_data(self, data):
        if self._open and self._open[-1][0] not in ("script", "style", "pre"):
            self._words += data

    def _end(self):
        words = self._words.replace("\N{NO-BREAK SPACE}", " ")
        if words.strip() and self._open:
            tag, is_listed = self._open[-1]
            place = self.prose if tag in self._PROSE and not is_listed and _LINE_END not in words else self.cells
            place.append(" ".join(words.replace(_LINE_END, " ").split()))
        self._words = ""


def page_faults(text, where="page"):
    """Return the faults of a page: of its prose, and of the patterns in its tables and lists."""
    read = Blocks(text)
    found = [each for words in read.prose for each in faults(words, where)]
    return found + [
        f"{where}: {kind}: {excerpt(words, match)}"
        for words in read.cells
        if not words.startswith("...")  # to be written on
        for kind, pattern in _PATTERNS
        for match in pattern.finditer(words)
    ]


def pattern_faults(text, where):
    """Return the faults of a text whose lines are not known, such as the words of a sheet: its patterns alone."""
    words = re.sub(r"\.{4,}|_{4,}", "", text)
    return [
        f"{where}: {kind}: {excerpt(words, match)}"
        for kind, pattern in _PATTERNS
        for match in pattern.finditer(words)
        if not re.search(r" : \d", match.string[match.start() - 1 : match.end() + 3])
    ]
