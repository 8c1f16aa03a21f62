"""The figure of range over payload, with the limit that ends each line, and pack against payload."""

from __future__ import annotations

from matplotlib.figure import Figure

from tradestudy.report.figures import style
from tradestudy.results.payload.payload_result import PayloadResult

from .grid_legend import Entry, draw_legend, legend_layout, marker_handle

_LOOKS = {
    "recommended": (style.STRETCHED_LINE, "-", "o"),
    "stock": (style.STOCK_LINE, "--", "s"),
    "best": (style.MARK, "-.", "^"),
}
_NAMES = {"recommended": "recommended wing", "stock": "stock wing", "best": "best wing at each payload"}
_TRADE = "D"


def payload_figure(result: PayloadResult, width: float = style.WIDTH) -> Figure:
    """Return the figure of a payload study, ``width`` inches wide."""
    entries = []
    for curve in result.curves:
        if curve.points:
            colour, _, shape = _LOOKS[curve.wing]
            end = f", stopped by {curve.end_words}" if curve.end_words else ""
            entries.append(Entry(marker_handle(shape, colour, 6), f"{_NAMES[curve.wing]}{end}"))
    trade = [each for each in result.trade if each.point.gain is not None and each.point.met]
    if len(trade) > 1:
        words = f"recommended wing at {result.trade_weight_g:.0f} g, cells out, payload in"
        entries.append(Entry(marker_handle(_TRADE, style.LIMIT, 6), words))
    entries, columns, tall = legend_layout(entries, width)
    figure, (axes,) = style.new_figure(
        0.55 * width + 0.55 + tall, left=0.62, right=0.25, top=0.45, bottom=0.5 + tall, width=width
    )
    for curve in result.curves:
        colour, line, shape = _LOOKS[curve.wing]
        points = [point for point in curve.points if point.gain is not None]
        x, y = [point.payload_g for point in points], [point.gain or 0.0 for point in points]
        style.curve(axes, x, y, colour, curve.wing, line, marker=shape, markersize=4.5)
        if points and curve.end_words:
            style.mark(axes, x[-1], y[-1], "|", 16, colour, f"end {curve.wing}", markeredgewidth=2.2)
    if len(trade) > 1:
        x, y = [each.point.payload_g for each in trade], [each.point.gain or 0.0 for each in trade]
        axes.plot(x, y, color=style.LIMIT, linestyle="none", marker=_TRADE, markersize=6, gid="trade")
    shown = [point for curve in result.curves for point in curve.points] + [each.point for each in trade]
    axes.set_xlim(*style.axis_limits([point.payload_g for point in shown] or [0.0, 1.0], 0.06))
    axes.set_ylim(*style.axis_limits([point.gain or 0.0 for point in shown] or [0.0, 1.0], 0.1, zero=True))
    labels = [
        style.Label(each.point.payload_g, each.point.gain or 0.0, each.pack, style.LIMIT, 1) for each in trade[1:]
    ]
    style.name_axes(axes, "payload [g]", f"{result.gain_words} [{result.gain_unit}]")
    axes.yaxis.set_label_coords(-0.5 / (width - 0.87), 1.02)
    style.label_points(axes, labels)
    draw_legend(figure, entries, columns)
    return figure
