"""Reads a page as a strict reader: every tag closed, visible words with single spaces."""

import re
from html.parser import HTMLParser

# markup, template code, broken quotes, a formula that cannot be set
HOSTILE = '$\\frac{$ <script>alert("x")</script>{{ 7 * 7 }}<img src=x onerror=alert(1)>"\''
VOID = {"meta", "img", "br", "link", "input"}
INLINE = {"a", "code", "span", "strong", "b"}


class Reader(HTMLParser):
    """Reads a page strictly: every tag closed in its order, ids once; keeps text and attributes."""

    def __init__(self, text):
        super().__init__()
        self.open, self.ids, self.tags, self.text = [], [], [], []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attributes):
        self.tags.append((tag, dict(attributes)))
        self.ids += [value for name, value in attributes if name == "id"]
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag
        if tag not in INLINE:
            self.text.append(" ")

    def handle_data(self, data):
        if self.open and self.open[-1] not in ("style", "script"):
            self.text.append(data)

    @property
    def words(self):
        """Visible text, spaces made one."""
        return " ".join("".join(self.text).replace("\N{NO-BREAK SPACE}", " ").split())


def without_marks(text):
    """Return markup without what tells where figures come from, and with plain spaces."""
    return re.sub(r"</?span[^>]*>", "", text).replace("\N{NO-BREAK SPACE}", " ")
