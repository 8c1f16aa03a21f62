"""A reader of the numbers of a page: those with a place in summary.json, and those without."""

import re
from html.parser import HTMLParser

_NO_PROSE = {"style", "script", "pre", "code"}
_INLINE = {"a", "b", "span", "strong", "small", "output", "button"}
_NUMBER = re.compile(r"(?<![\w.])[-+]?\d+(?:\.\d+)?")


class Figures(HTMLParser):
    """The numbers and words of a page.

    ``placed`` holds (place, times, text) for every number with a place. ``rest`` holds all other words by block.
    """

    def __init__(self, text):
        super().__init__()
        self.placed, self.rest, self._open, self._at = [], [""], [], None
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attributes):
        known = dict(attributes)
        if "data-key" in known:
            self._at = [known["data-key"], float(known.get("data-times", 1)), ""]
        if tag not in _INLINE:
            self.rest.append("")
        if tag not in ("meta", "img", "br", "link", "input"):
            self._open.append(tag)

    def handle_endtag(self, tag):
        self._open.pop()
        if tag == "span" and self._at:
            self.placed.append(tuple(self._at))
            self._at = None
            self.rest[-1] += "#"  # replaces a number that has a place
        elif tag not in _INLINE:
            self.rest.append("")

    def handle_data(self, data):
        if self._at:
            self._at[2] += data
        elif not _NO_PROSE & set(self._open):
            self.rest[-1] += data.replace("\N{NO-BREAK SPACE}", " ").replace("\N{MINUS SIGN}", "-")


def stored(summary, place):
    """Return the value that is stored at a place of the summary."""
    for name in place.split("/"):
        name = name.replace("~1", "/").replace("~0", "~")
        summary = summary[int(name)] if isinstance(summary, list) else summary[name]
    return summary


def differences(numbers, summary):
    """Return the numbers that differ from the value stored at their place by more than rounding."""
    wrong = []
    for place, times, text in numbers:
        shown, number = text.replace("\N{MINUS SIGN}", "-"), times * stored(summary, place)
        digits = len(shown.partition(".")[2])
        room = 0.5 * 10.0**-digits * (1 + 1e-9)  # tolerance: half of the last digit shown
        if not abs(float(shown) - number) <= room:
            wrong.append((place, text, number))
    return wrong


def without_place(rest, summary):
    """Return (number, its block) for each number that is not part of a text stored in the summary."""
    known = {text for text in _texts(summary) if len(text) > 2 and re.search(r"\d", text)}
    texts = sorted(known, key=len, reverse=True)
    unknown = []
    for block in rest:
        words = " ".join(block.split())
        for text in texts:
            if text in words:
                words = re.sub(rf"(?<!\w){re.escape(text)}(?!\w)", "", words)
        unknown += [(figure, words) for figure in _NUMBER.findall(words)]
    return unknown


def _texts(value):
    if isinstance(value, dict):
        for name, each in value.items():
            yield " ".join(str(name).split())
            yield from _texts(each)
    elif isinstance(value, list):
        for each in value:
            yield from _texts(each)
    elif isinstance(value, str):
        yield " ".join(value.replace("\N{MINUS SIGN}", "-").split()).rstrip(".")
        yield value[:1].upper() + value[1:]
