"""A strict reader of HTML pages, which fails if a tag is not closed."""

import re
from html.parser import HTMLParser

# a hostile name: markup, template code, broken quotes, and a formula that matplotlib cannot draw
HOSTILE = '$\\frac{$ <script>alert("x")</script>{{ 7 * 7 }}<img src=x onerror=alert(1)>"\''
VOID = {"meta", "img", "br", "link", "input"}
INLINE = {"a", "code", "span", "strong", "b"}


class Reader(HTMLParser):
    """A parser that keeps text and attributes, and fails if tags are not nested or an id occurs twice."""

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
        """Return the visible text with single spaces."""
        return " ".join("".join(self.text).replace("\N{NO-BREAK SPACE}", " ").split())


def without_marks(text):
    """Return markup without the places of numbers, and with ordinary spaces."""
    return re.sub(r"</?span[^>]*>", "", text).replace("\N{NO-BREAK SPACE}", " ")
