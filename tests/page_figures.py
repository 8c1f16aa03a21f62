"""Reads the figures of a page: those that say where in summary.json they stand, and those that do not."""

import re
from html.parser import HTMLParser

APART = {"style", "script", "pre", "code"}  # no prose
INLINE = {"a", "b", "span", "strong", "small", "output", "button"}
FIGURE = re.compile(r"(?<![\w.])[-+]?\d+(?:\.\d+)?")


class Figures(HTMLParser):
    """``told``: (place, times, step, text) of every figure with a place; ``rest``: all other words, block by block."""

    def __init__(self, text):
        super().__init__()
        self.told, self.rest, self._open, self._at = [], [""], [], None
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attributes):
        known = dict(attributes)
        if "data-key" in known:
            self._at = [known["data-key"], float(known.get("data-times", 1)), known.get("data-step"), ""]
        if tag not in INLINE:
            self.rest.append("")
        if tag not in ("meta", "img", "br", "link", "input"):
            self._open.append(tag)

    def handle_endtag(self, tag):
        self._open.pop()
        if tag == "span" and self._at:
            self.told.append(tuple(self._at))
            self._at = None
            self.rest[-1] += "#"  # a figure stood here
        elif tag not in INLINE:
            self.rest.append("")

    def handle_data(self, data):
        if self._at:
            self._at[3] += data
        elif not APART & set(self._open):
            self.rest[-1] += data.replace("\N{NO-BREAK SPACE}", " ").replace("\N{MINUS SIGN}", "-")


def stored(summary, place):
    """Return what stands at a place of the summary."""
    for name in place.split("/"):
        name = name.replace("~1", "/").replace("~0", "~")
        summary = summary[int(name)] if isinstance(summary, list) else summary[name]
    return summary


def differences(told, summary):
    """Return the figures that are not the number at their place, rounded to the digits shown."""
    found = []
    for place, times, step, text in told:
        shown, number = text.replace("\N{MINUS SIGN}", "-"), times * stored(summary, place)
        digits = len(shown.partition(".")[2])
        room = 0.5 * (float(step) if step else 10.0**-digits) * (1 + 1e-9)  # half of the last digit shown, no more
        if not abs(float(shown) - number) <= room:
            found.append((place, text, number))
    return found


def without_place(rest, summary):
    """Return (figure, its block) of figures in no words that stand in the summary as they are."""
    told = {text for text in _texts(summary) if len(text) > 2 and re.search(r"\d", text)}
    texts = sorted(told, key=len, reverse=True)
    found = []
    for block in rest:
        words = " ".join(block.split())
        for text in texts:
            if text in words:
                words = re.sub(rf"(?<!\w){re.escape(text)}(?!\w)", "", words)
        found += [(figure, words) for figure in FIGURE.findall(words)]
    return found


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
