"""The dark variant of a figure: rules within its SVG file that a browser follows where the reader prefers dark."""

from __future__ import annotations

from . import style

# colour on light paper -> colour on dark paper; those of the page, where it has the same meaning
DARK = {
    style.PAPER: "#1c262b",
    style.INK: "#e6e7e2",
    style.FAINT: "#35424a",
    style.QUIET: "#a5b0b4",
    style.STOCK_LINE: "#9aa5aa",
    style.STRETCHED_LINE: "#7cc4d9",
    style.MARK: "#f0a070",
    style.LIMIT: "#dba0c8",
    style.WARNING: "#ff8a8a",
    style.WARNING_PALE: "#4a2227",
    style.STOCK_FILL: "#55636b",
    style.STRETCHED_FILL: "#233b44",
    style.ELEVON_FILL: "#31545f",
    style.PACK_FILL: "#8a5630",
    style.BAND: "#4a3f22",
    "#ffffff": "#141b1f",  # words on a dark bar, which is pale here
    # lines, and regions of maps with their hatching (`maps/grid_lines.py`, `maps/grid_legend.py`)
    "#3f7d4e": "#8fcf9f",
    "#8a7300": "#d9c45a",
    "#f3d9c6": "#4a3226",
    "#e6d3e0": "#432d3d",
    "#f4ebb8": "#453f1d",
    "#7d6a00": "#cbb643",
    "#cfe0f0": "#22394f",
    "#28588c": "#86b6e6",
    "#d3e6d6": "#263f2c",
    "#2c6b3f": "#84c296",
    "#e3ddd3": "#3d372d",
    "#5e4b33": "#c2ad92",
    "#e2e4e2": "#333c41",
}
# The shades of a map are one picture within the file: light becomes dark, and each hue stays.
_SHADES = "image{filter:invert(1) hue-rotate(180deg)}"


def with_dark_variant(svg: bytes) -> bytes:
    """Return an SVG file of matplotlib with rules that replace each of its colours where the reader prefers dark."""
    rules = "".join(
        f'[style*="{kind}: {light}"]{{{kind}:{dark}!important}}'
        for light, dark in DARK.items()
        for kind in ("fill", "stroke")
        if f"{kind}: {light}".encode() in svg
    )
    if b"<image " in svg:
        rules += _SHADES
    style_sheet = f"<style>@media (prefers-color-scheme: dark) {{{rules}}}</style>"
    head, close, rest = svg.partition(b"</defs>")  # the first one holds matplotlib's own style sheet
    return head + style_sheet.encode() + close + rest
