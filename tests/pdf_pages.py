"""The pages of a PDF as matplotlib writes it: what is drawn on each, and what is written."""

import re
import zlib


def page_streams(pdf):
    """Return the drawing of each page of a PDF as text: streams that begin a page by its colour space."""
    found = []
    for packed in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL):
        try:
            text = zlib.decompress(packed)
        except zlib.error:
            continue
        if b"/DeviceRGB cs" in text and b" re W n" in text:
            found.append(text.decode("latin-1"))
    return found


def page_words(stream):
    """Return what a page says, a piece of text after another as they are set, in one line."""
    shown = re.findall(r"\[((?:\((?:\\.|[^()\\])*\)|[-\d.\s])*)\]\s*TJ", stream)
    pieces = ("".join(re.findall(r"\(((?:\\.|[^()\\])*)\)", piece)) for piece in shown)
    return " ".join(re.sub(r"\\(.)", r"\1", piece) for piece in pieces)
