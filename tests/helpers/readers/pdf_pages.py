"""A reader of PDF files written by matplotlib: the drawing and the words of each page."""

import re
import zlib


def page_streams(pdf):
    """Return the drawing commands of each page of a PDF as text. Their streams begin with the colour space."""
    streams = []
    for packed in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL):
        try:
            text = zlib.decompressobj().decompress(packed)  # a last byte may be lost: it may look like an end of line
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


def page_paths(stream):
    """Return every drawn line of a page as (clip box or None, points), in points of type.

    A clip box is left, bottom, right and top. Each path of the stream comes after its clip box, and a line that leaves
    the page is in several parts.
    """
    found, clip, points = [], None, []
    number = r"(-?[\d.]+)"
    pattern = rf"{number} {number} {number} {number} re W n|{number} {number} ([ml])\b|\b(h)\b|\b([SsBbfn])\b|\b(Q)\b"
    for left, bottom, wide, tall, x, y, step, closes, ends, restored in re.findall(pattern, stream):
        if wide:
            clip = (float(left), float(bottom), float(left) + float(wide), float(bottom) + float(tall))
        elif step:
            if step == "m" and points:
                found.append((clip, points))
                points = []
            points = [*points, (float(x), float(y))]
        elif closes and points:
            points = [*points, points[0]]
        elif restored:
            clip = None  # a new one follows, if any
        elif ends and points:
            found.append((clip, points))
            points = []
    return found
