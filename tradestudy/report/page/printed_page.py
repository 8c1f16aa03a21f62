"""A finished page in the units of its reader: texts, tables, and the words that a screen reader speaks.

All that the page says passes through here once, so no section needs to know of inches.
"""

from __future__ import annotations

import re

from markupsafe import Markup

from tradestudy.quantities import is_imperial, printed, printed_table

_KEPT = re.compile(r"(<(script|style|pre|code|svg)\b.*?</\2>)", re.DOTALL)  # what no unit may change
_TABLE = re.compile(r"(<table\b.*?</table>)", re.DOTALL)
_ROW = re.compile(r"<tr\b.*?</tr>", re.DOTALL)
_CELL = re.compile(r"(<t[hd]\b[^>]*>)(.*?)(</t[hd]>)", re.DOTALL)
_SPANNED = re.compile(r'colspan="(\d+)"')
# all tags but those that stand within a sentence
_BLOCK = re.compile(r"(<(?!/?(?:a|b|em|i|output|small|span|strong)\b)[^>]*>)")
_SPOKEN = re.compile(r'( (?:alt|aria-label|aria-valuetext|title)=")([^"]*)(")')


def printed_page(html: str) -> str:
    """Return a page in the units that are printed."""
    if not is_imperial():
        return html
    pieces = _KEPT.split(html)
    # three pieces each: what is between two kept elements, a kept element, and its name
    return "".join(
        _converted(piece) if place % 3 == 0 else piece for place, piece in enumerate(pieces) if place % 3 != 2
    )


def _converted(html: str) -> str:
    return "".join(_table(piece) if place % 2 else _words(piece) for place, piece in enumerate(_TABLE.split(html)))


def _words(html: str) -> str:
    """Return text between block tags, each run of it by itself: a number and its unit stand in one run."""
    return "".join(_spoken(piece) if place % 2 else _run(piece) for place, piece in enumerate(_BLOCK.split(html)))


def _run(html: str) -> str:
    return _SPOKEN.sub(_attribute, str(printed(Markup(html)))) if html.strip() else html


def _spoken(tag: str) -> str:
    return _SPOKEN.sub(_attribute, tag)


def _attribute(found: re.Match[str]) -> str:
    return found[1] + str(printed(found[2])) + found[3]


def _table(html: str) -> str:
    heads: list[str] = []

    def row(found: re.Match[str]) -> str:
        cells = _CELL.findall(found.group())
        wide = [int(width[1]) if (width := _SPANNED.search(opening)) else 1 for opening, _, _ in cells]
        texts = [Markup(text) for _, text, _ in cells]
        if not heads and all(opening.startswith("<th") for opening, _, _ in cells):
            heads.extend(text for text, width in zip(texts, wide, strict=True) for _ in range(width))
            shown = [str(each) for each in printed_table(texts, [])[0]]
        else:
            spread = [
                each for text, width in zip(texts, wide, strict=True) for each in (text, *[Markup()] * (width - 1))
            ]
            named = (heads + [Markup()] * len(spread))[: len(spread)]
            body = [str(each) for each in printed_table(named, [spread])[1][0]]
            starts = [sum(wide[:place]) for place in range(len(wide))]
            shown = [body[start] for start in starts]
        parts = iter(f"{opening}{text}{closing}" for (opening, _, closing), text in zip(cells, shown, strict=True))
        return _CELL.sub(lambda _: next(parts), found.group())

    # captions and what else is no row
    pieces, end = [], 0
    for found in _ROW.finditer(html):
        pieces += [_words(html[end : found.start()]), row(found)]
        end = found.end()
    return "".join([*pieces, _words(html[end:])])
