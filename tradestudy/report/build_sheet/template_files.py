"""Full-size drawings as files for other programs: SVG and, if its library is installed, DXF. Both are in mm."""

from __future__ import annotations

import importlib.util
from io import StringIO
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from tradestudy.report.figures import style

from .drawing import STYLES, Drawing, file_drawing
from .paper import printable

_AIR = 5.0  # mm of empty space around a drawing
DXF_MISSING = (
    'DXF files need the library ezdxf, which is not installed: pip install "tradestudy[dxf]". The SVG '
    "files hold the same drawings."
)
_DXF_VERSION = "R2010"
_DXF_RED, _DXF_BLACK = 1, 7  # numbers in DXF's own table of colours
_LETTERS = {"words": f'fill="{style.INK}"', "warning": f'fill="{style.WARNING}" font-weight="bold"'}


def svg(drawing: Drawing) -> str:
    """Return a full-size drawing as SVG text in mm, with a check square and any warning. Each layer is one group."""
    drawing = file_drawing(drawing)
    left, bottom, right, top = drawing.bounds
    left, bottom, right, top = left - _AIR, bottom - _AIR, right + _AIR, top + _AIR
    wide, tall = right - left, top - bottom
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{tall:.3f}mm" '
        f'viewBox="{left:.3f} {-top:.3f} {wide:.3f} {tall:.3f}">',
        f"<title>{escape(printable(drawing.title))}</title>",
    ]
    for layer in dict.fromkeys(shape.layer for shape in drawing.shapes):
        look = STYLES[layer]
        dashes = f' stroke-dasharray="{" ".join(f"{dash:g}" for dash in look.dashes)}"' if look.dashes else ""
        lines.append(
            f'<g id={quoteattr(layer.replace(" ", "-"))} fill="none" stroke="{look.colour}" '
            f'stroke-width="{look.width_mm:.3g}"{dashes}>'
        )
        for shape in drawing.shapes:
            if shape.layer == layer:
                kind = "polygon" if shape.closed else "polyline"
                points = " ".join(f"{x:.4f},{-y:.4f}" for x, y in shape.points)
                lines.append(f'<{kind} points="{points}"/>')
        lines.append("</g>")
    for layer in dict.fromkeys(one.layer for one in drawing.words):
        name = layer if layer == "words" else f"{layer}-words"  # the layer's own name is taken by its group of shapes
        lines.append(f'<g id="{name}" {_LETTERS[layer]} font-family="sans-serif">')
        lines += [
            f'<text x="{one.x:.3f}" y="{-one.y:.3f}" font-size="{1.35 * one.height:.3g}" '
            f'text-anchor="{one.side}">{escape(printable(one.words))}</text>'
            for one in drawing.words
            if one.layer == layer
        ]
        lines.append("</g>")
    return "\n".join([*lines, "</svg>", ""])


def dxf_is_possible() -> bool:
    """Return whether DXF files can be written, which needs the library ezdxf."""
    return importlib.util.find_spec("ezdxf") is not None


def dxf(drawing: Drawing) -> str:
    """Return a drawing as DXF text in mm, with named layers. Raises ImportError if ezdxf is not installed."""
    import ezdxf
    from ezdxf import units
    from ezdxf.enums import TextEntityAlignment

    drawing = file_drawing(drawing)
    kept = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True  # no date or random name: equal wings give equal files
    try:
        document: Any = ezdxf.new(_DXF_VERSION)
        document.units = units.MM
        document.header["$MEASUREMENT"] = 1  # metric
        for layer in dict.fromkeys([*(shape.layer for shape in drawing.shapes), *(one.layer for one in drawing.words)]):
            document.layers.add(layer, color=_DXF_RED if layer == "warning" else _DXF_BLACK)
        space = document.modelspace()
        for shape in drawing.shapes:
            space.add_lwpolyline(
                [(float(x), float(y)) for x, y in shape.points], close=shape.closed, dxfattribs={"layer": shape.layer}
            )
        sides = {
            "start": TextEntityAlignment.LEFT,
            "middle": TextEntityAlignment.CENTER,
            "end": TextEntityAlignment.RIGHT,
        }
        for one in drawing.words:
            text = space.add_text(printable(one.words), height=one.height, dxfattribs={"layer": one.layer})
            text.set_placement((one.x, one.y), align=sides[one.side])
        stream = StringIO()
        document.write(stream)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = kept
    return stream.getvalue()
