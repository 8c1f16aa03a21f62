"""What the command payload says and draws of an invented result: the numbers, the ends, and the changes of parts."""

from itertools import combinations

import pytest
from helpers.invented.invented_payload import invented_payload
from matplotlib.text import Text

from tradestudy.report.figures import style
from tradestudy.report.figures.maps.payload import payload_figure
from tradestudy.report.page.map_page import payload_page
from tradestudy.report.tables import payload_table
from tradestudy.report.words.payload.payload_words import gain_between, payload_verdict, point_rows, trade_rows


def test_the_verdict_comes_first_and_is_short():
    result = invented_payload()
    lines = payload_verdict(result, 250.0)
    name, *lines = lines
    assert name == "The recommended wing, as in tradestudy run: span 1460 mm, 4S4P, 2 pairs of 3 mm rods."
    assert lines[0] == (  # 160 - 0.05 x 250 is 147.5
        "The recommended wing carries 250 g over 148 km; beyond 410 g it is stopped by launch speed against the stall. "
        "Without payload it is 160 km; each 100 g costs 5.0 km."
    )
    assert lines[1].startswith("The stock wing carries 95 g over 92 km; beyond 95 g it is stopped by climb")
    assert "carries 250 g over 152 km; beyond 620 g it is stopped by flying weight." in lines[2]
    assert lines[3] == "Its parts change: from 360 g 4S4P, 3 pairs of 4 mm rods."
    assert "roll rate" in lines[4]
    assert (
        lines[5] == "Cells out, payload in, at 2000 g: 4S3P carries 280 g over 120 km; 4S2P carries 560 g over 80 km."
    )
    assert lines[6] == "The payload lies at the balance mark and draws 5 W. Ranges are those to expect."
    assert len(lines) <= 12


def test_between_points_the_range_is_linear_and_beyond_them_unknown():
    curve = invented_payload().curve("recommended")
    assert gain_between(curve, 0.0) == 160.0 and gain_between(curve, 100.0) == pytest.approx(155.0)
    assert gain_between(curve, 411.0) is None


def test_tables_hold_every_point():
    result = invented_payload()
    assert len(point_rows(result)) == 14 and trade_rows(result)[-1][-1] == "breaks: climb at full throttle"
    heads, *rows = payload_table(result).splitlines()
    assert heads.startswith("wing,payload_g,auw_g,range_km") and len(rows) == 18


@pytest.mark.parametrize("width", [style.WIDTH, style.PHONE_WIDTH])
def test_the_figure_shows_the_numbers(width):
    result = invented_payload()
    figure = payload_figure(result, width)
    lines = {line.get_gid(): line for line in figure.axes[0].lines}
    for curve in result.curves:
        drawn = [tuple(each) for each in lines[curve.wing].get_xydata()]
        assert drawn == [(one.payload_g, one.gain) for one in curve.points]
        assert tuple(lines[f"end {curve.wing}"].get_xydata()[0]) == drawn[-1]
    assert [tuple(each) for each in lines["trade"].get_xydata()] == [(0.0, 160.0), (280.0, 120.0), (560.0, 80.0)]
    figure.canvas.draw()
    renderer = figure.canvas.get_renderer()
    words = [*figure.axes[0].texts, *figure.legends[0].texts, figure.axes[0].yaxis.label, figure.axes[0].xaxis.label]
    boxes = [(each.get_text(), Text.get_window_extent(each, renderer)) for each in words]
    assert all(figure.bbox.x0 <= box.x0 and box.x1 <= figure.bbox.x1 and box.y0 >= 0 for _, box in boxes)
    for (one, box), (name, other) in combinations(boxes, 2):
        assert min(box.x1, other.x1) - max(box.x0, other.x0) < 2 or min(box.y1, other.y1) - max(box.y0, other.y0) < 2, (
            one,
            name,
        )


def test_the_page_begins_with_the_verdict():
    page = payload_page(invented_payload(), 250.0)
    assert page.index("carries 250 g over 148 km") < page.index("<picture>") < page.index("<table>")
    assert "not proof of airworthiness" in page
