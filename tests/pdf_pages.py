"""A reader of PDF files written by matplotlib: the drawing and the words of each page."""

import re
import zlib


def page_streams(pdf):
    """Return the drawing commands of each page of a PDF as text. Their streams begin with the colour space."""
    streams = []
    for packed in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL):
        try:
            text = zlib.decompress(packed)
        except zlib.error:
            continue
        if b"/DeviceRGB cs" in text and b" re W n" in text:
            streams.append(text.decode("latin-1"))
    return streams


def page_words(stream):
    """Return the words of a page in one line, in the order in which they are drawn."""
    shown = re.findall(r"\[((?:\((?:\\.|[^()\\])*\)|[-\d.\s])*)\]\s*TJ", stream)
    pieces = ("".join(re.findall(r"\(((?:\\.|[^()\\])*)\)", piece)) for piece in shown)
    return " ".join(re.sub(r"\\(.)", r"\1", piece) for piece in pieces)
