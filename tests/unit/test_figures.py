"""Figures drawn from an invented Result: the right data at the right place, and every word legible."""

from itertools import combinations

import matplotlib
import numpy as np
import pytest
from matplotlib.text import Text

from tradestudy.report.captions import TITLES
from tradestudy.report.figures import FIGURES, save_all
from tradestudy.report.figures_trade import span_trade, weight_range
from tradestudy.search.result import KEYS, Band, Design, LimitState, Result


def outline_of(half_span, set_back, stock_half=550.0):
    """Right half of an invented wing in mm: straight panel, flat centre piece, elevon behind the foam."""
    y = [0.0, 40.0, half_span]
    leading, foam, whole = [0.0, 0.0, set_back], [235.0, 235.0, 150.0], [280.0, 280.0, 180.0]
    back = [lead + chord for lead, chord in zip(leading, whole, strict=True)]
    inner, outer = 70.0, 0.964 * half_span

    def at(values, place):
        return float(np.interp(place, y, values))

    hinge = [lead + chord for lead, chord in zip(leading, foam, strict=True)]
    return {
        "x_mm": [*leading, *back[::-1], leading[0]],
        "y_mm": [*y, *y[::-1], y[0]],
        "elevon_x_mm": [
            at(hinge, inner),
            at(hinge, outer),
            at(back, outer),
            at(back, inner),
            at(hinge, inner),
        ],
        "elevon_y_mm": [inner, outer, outer, inner, inner],
        "fin_x_mm": [set_back + 20.0, set_back + 170.0],
        "fin_height_mm": 130.0,
        "stock_part_y_mm": [] if half_span > stock_half else [0.0, half_span],
        "rods": [
            [0.3 * 235.0, 0.0, at(leading, half_span - 30) + 0.3 * at(foam, half_span - 30), half_span - 30]
        ],
        "bays": [
            {"name": "nose", "x_mm": 18.0, "length_mm": 156.0, "width_mm": 90.0, "mass_g": 0.0},
            {"name": "middle", "x_mm": 180.0, "length_mm": 45.0, "width_mm": 60.0, "mass_g": 0.0},
        ],
        "equipment": [
            {
                "name": "camera and video transmitter",
                "x_mm": 12.0,
                "length_mm": 0.0,
                "width_mm": 0.0,
                "mass_g": 62.0,
            },
            {
                "name": "autopilot, receiver and GPS",
                "x_mm": 188.0,
                "length_mm": 0.0,
                "width_mm": 0.0,
                "mass_g": 58.0,
            },
        ],
        "pack": {"x_mm": 66.0, "length_mm": 71.0, "width_mm": 85.0},
        "mean_chord": {"x_mm": 0.45 * set_back, "y_mm": 0.45 * half_span, "length_mm": 234.0},
    }


def curves_of(half_span, weight_g, cruise_kmh, drag_cm2, range_km):
    """Curves of an invented wing, from drag as a parasite and a lift part."""
    speed = np.linspace(0.72 * cruise_kmh, 2.1 * cruise_kmh, 40)
    pressure = 0.6 * (speed / 3.6) ** 2
    weight = 9.81e-3 * weight_g
    drag = pressure * 0.75e-4 * drag_cm2 + weight**2 / (3 * pressure * (2e-3 * half_span) ** 2)
    power = drag * speed / 3.6 / 0.52 + 9
    economy = speed / power
    distance = range_km * economy / np.interp(cruise_kmh, speed, economy)
    middle = (np.arange(12) + 0.5) / 12 * half_span
    edge = np.linspace(0, 1, 13) * half_span
    share = edge / half_span
    lift = 4 * weight / (np.pi * 2e-3 * half_span) * np.sqrt(1 - (middle / half_span) ** 2)
    chord = np.interp(middle, [0, half_span], [0.28, 0.18])
    at_cruise = 0.6 * (cruise_kmh / 3.6) ** 2
    found = {
        "speed_kmh": speed,
        "drag_n": drag,
        "power_w": power,
        "range_km": distance,
        "endurance_min": 60 * distance / speed,
        "wh_per_km": power / speed,
        "mah_per_km": 1e3 * power / speed / 14.4,
        "current_a": power / 14.4,
        "throttle_pct": 30 + 0.5 * (speed - speed[0]),
        "elevon_deg": -3 + 0.02 * speed,
        "station_mm": middle,
        "lift_n_per_m": lift,
        "section_lift": lift / (at_cruise * chord),
        "section_lift_limit": 0.95 - 0.1 * middle / half_span,
        "edge_mm": edge,
        "bending_rigidity_nm2": 14 * (1 - 0.8 * share),
        "bending_moment_nm": 12 * (1 - share) ** 2,
        "utilisation": 0.65 * (1 - share) ** 1.5,
        "deflection_mm": 95 * share**2,
    }
    return {name: [float(value) for value in values] for name, values in found.items()}


def design(
    label="stretched",
    span=1480.0,
    weight=1560.0,
    distance=81.0,
    parallel=2,
    active=("pack_forward",),
    speed=57.0,
    sweep_back=305.0,
    full=True,
):
    """One invented wing."""
    numbers = dict.fromkeys(KEYS, 1.0) | {
        "span_mm": span,
        "sweep_deg": 24.7,
        "set_back_mm": sweep_back,
        "washout_deg": 2.1,
        "area_dm2": 0.0235 * span,
        "auw_g": weight,
        "cg_mm": 171.0,
        "cg_from_trailing_edge_mm": 109.0,
        "neutral_point_mm": 187.0,
        "static_margin_pct": 6.8,
        "elevon_deg": -2.4,
        "elevon_mm": -1.6,
        "cruise_speed_kmh": speed,
        "range_km": distance,
        "endurance_min": 60 * distance / speed,
        "wh_per_km": 57.6 / distance,
        "mah_per_km": 4000.0 * parallel / distance,
        "cruise_current_a": 5.62,
        "end_current_a": 6.5,
        "stall_speed_kmh": 38.0 + 0.003 * weight,
        "top_speed_kmh": 112.0,
        "full_throttle_current_a": 21.0,
        "climb_ms": 3.4,
        "failure_load_factor": 6.2,
        "limit_load_factor": 4.13,
        "first_failure": "rod buckling in the foam (main)",
        "first_failure_at_mm": 120.0,
        "tip_deflection_mm": 95.0,
        "wing_loading_g_dm2": weight / (0.0235 * span),
        "thrust_to_weight": 0.62,
        "fin_volume": 0.0213,
        "pack_position_mm": 66.0,
        "pack_energy_wh": 72.0 * parallel,
        "rod_length_mm": span / 2 - 30,
    }
    limits = [
        LimitState(
            "pack_forward",
            "pack against the front of its bay",
            59.0,
            59.0,
            "mm",
            0.0,
            "pack_forward" in active,
            True,
        ),
        LimitState(
            "slowest_flight",
            "stall speed against stock",
            0.0,
            0.0,
            "",
            0.001,
            "slowest_flight" in active,
            True,
        ),
        LimitState("climb", "climb at full throttle", 3.4, 2.0, "m/s", 0.28, False, True),
    ]
    names = {
        "series": 4,
        "parallel": parallel,
        "rod_diameter_mm": 3.0,
        "rod_pairs": 2,
        "propeller": "10x7",
        "words": f"4S{parallel}P, 2 x 3 mm rod pairs, 10x7 propeller",
    }
    variables = {"span_mm": span, "sweep_deg": 24.7}
    if not full:
        return Design(label, numbers, names, variables, list(active), limits)
    drag = {
        "wing sections": 62.0 * span / 1480,
        "lift": 41.0,
        "open camera nose": 8.0,
        "motor mount": 5.0,
        "antenna whip": 4.4,
        "fins": 6.3,
        "servo horn and rod": 3.0,
        "hatch edge": 1.6,
        "middle": 7.0,
    }
    masses = {
        "foam": 0.16 * span,
        "covering": 0.05 * span,
        "rods main": 0.02 * span,
        "pack": 290.0 * parallel,
        "motor": 92.0,
        "camera and video transmitter": 62.0,
        "autopilot, receiver and GPS": 58.0,
        "servos": 50.0,
        "controller": 38.0,
        "elevons": 36.0,
        "fins": 22.0,
        "joiner": 32.0,
    }
    masses["not listed"] = weight - sum(masses.values())
    watts = {
        "thrust": 0.0243 * weight,
        "propeller": 0.01 * weight,
        "motor": 9.0,
        "controller": 3.5,
        "avionics": 9.0,
        "pack": 2.1,
    }
    structure = [
        {
            "condition": name,
            "load_factor": factor,
            "mode": mode,
            "at_mm": at,
            "failure_load_factor": fails,
            "weak_failure_load_factor": 0.7 * fails,
            "tip_deflection_mm": rise,
        }
        for name, factor, mode, at, fails, rise in (
            ("pull_up", 4.0, "rod buckling in the foam (main)", 120.0, 6.2, 95.0),
            ("push_over", -1.5, "foam crushed in bending", 40.0, -5.1, -38.0),
            ("gust_cruise", 2.9, "rod buckling in the foam (main)", 120.0, 6.6, 61.0),
            ("gust_full_speed", 3.3, "joiner bending", 0.0, 6.9, 72.0),
        )
    ]
    return Design(
        label,
        numbers,
        names,
        variables,
        list(active),
        limits,
        ["tip section close to its stall"],
        outline_of(0.5 * span, sweep_back),
        curves_of(0.5 * span, weight, speed, 138.0, distance),
        masses,
        drag,
        watts,
        structure,
    )


def sample_result(**changed):
    """An invented study with every part of a Result filled in."""
    stock = design("stock", 1100.0, 1010.0, 41.0, 1, (), 62.0, 235.0)
    best = design("best", 1517.0, 1571.0, 81.3, 2, ("pack_forward", "slowest_flight"))
    trade = [
        design(
            f"span {span:.0f} mm",
            span,
            1010.0 + 0.4 * (span - 1100) + 290 * parallel,
            81.3 - 40 * ((span - 1517) / 420) ** 2,
            parallel,
            active,
            full=False,
        )
        for span, parallel, active in (
            (1100.0, 1, ("slowest_flight",)),
            (1200.0, 1, ("slowest_flight", "climb")),
            (1300.0, 2, ("pack_forward",)),
            (1400.0, 2, ("pack_forward",)),
            (1517.0, 2, ("pack_forward",)),
            (1600.0, 2, ("pack_forward", "tip_deflection")),
            (1700.0, 2, ("tip_deflection",)),
            (1800.0, 2, ("tip_deflection", "failure_load_factor", "largest_span")),
        )
    ]
    front = [
        design(
            f"up to {weight:.0f} g",
            1300 + 0.3 * (weight - 1100),
            weight,
            distance,
            parallel,
            active,
            full=False,
        )
        for weight, distance, parallel, active in (
            (1120.0, 52.0, 1, ("slowest_flight",)),
            (1200.0, 55.5, 1, ("slowest_flight",)),
            (1290.0, 57.0, 1, ("tip_deflection",)),
            (1410.0, 73.0, 2, ("pack_forward",)),
            (1500.0, 79.0, 2, ("pack_forward", "slowest_flight")),
            (1571.0, 81.3, 2, ("pack_forward",)),
        )
    ]
    steps = [
        design("pack only", 1100.0, 1320.0, 58.0, 2, ("slowest_flight",), full=False),
        design("span only", 1480.0, 1190.0, 55.0, 1, (), full=False),
    ]
    parts = {
        "study_name": "Godwit",
        "note": "Club long-distance version.",
        "study_file": "studies/godwit.toml",
        "study_text": '[study]\nname = "Godwit"\n',
        "command": "tradestudy run studies/godwit.toml",
        "versions": {"tradestudy": "0.1.0", "numpy": "2.3.4"},
        "defaults_used": [{"key": "fly.wind", "value": "0 km/h", "origin": "common practice, no source"}],
        "stock": stock,
        "best": best,
        "recommended": design(active=("pack_forward", "slowest_flight")),
        "band": Band(
            1480, 1392.0, 1608.0, 1517.0, "whole centimetre in the flat part; rods of 710 mm leave little"
        ),
        "alternatives": [design("one pack less", 1390.0, 1260.0, 57.0, 1, ("tip_deflection",), full=False)],
        "span_trade": trade,
        "front": front,
        "steps": steps,
        "solved": 16,
        "set_aside": ["the 4S3P pack is 99 mm wide, the nose bay 90 mm"],
        "notes": ["Cruise is 1.5 times stall."],
        "sources": ["S. F. Hoerner, Fluid-Dynamic Drag, 1965 (from memory)"],
    }
    return Result(**(parts | changed))


@pytest.fixture(scope="module")
def sample():
    return sample_result()


@pytest.fixture(scope="module")
def drawn(sample):
    return {name: draw(sample) for name, draw in FIGURES.items()}


def artist(figure, gid):
    """The one artist of a figure that carries this name."""
    found = [each for each in figure.findobj() if each.get_gid() == gid]
    assert len(found) == 1, (gid, len(found))
    return found[0]


def words_of(figure):
    return [text.get_text() for text in figure.findobj(Text) if text.get_text() and text.get_visible()]


def test_every_figure_is_drawn(drawn):
    assert [name for name, figure in drawn.items() if figure is None] == []
    assert list(drawn) == list(TITLES)


@pytest.mark.parametrize(
    ("name", "labels"),
    [
        ("span_trade", {"span [mm]", "range [km]", "flying weight [g]", "stall speed [km/h]"}),
        ("weight_range", {"flying weight [g]", "range [km]"}),
        ("speed", {"airspeed [km/h]", "power from the pack [W]", "range [km]"}),
        ("watts", {"power [W]"}),
        ("drag", {"drag area at cruise [cm²]"}),
        ("masses", {"weight [g]"}),
        (
            "loading",
            {"distance from the centre line [mm]", "lift [N/m]", "section lift coefficient in cruise [-]"},
        ),
        (
            "structure_span",
            {
                "distance from the centre line [mm]",
                "bending moment [N m]",
                "bending stiffness EI [N m²]",
                "share of strength used [-]",
                "rise of the wing [mm]",
            },
        ),
    ],
)
def test_axes_are_named_with_units(drawn, name, labels):
    found = {label for axes in drawn[name].axes for label in (axes.get_xlabel(), axes.get_ylabel())}
    assert found - {""} == labels


def legible(figure):
    """Extents of every word that is really drawn, in dots; asserts that none lies outside the figure."""
    drawn_words = []
    plain_draw = Text.draw

    def noted(text, renderer, *rest, **more):
        if text.get_visible() and text.get_text().strip():
            drawn_words.append(text)
        return plain_draw(text, renderer, *rest, **more)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Text, "draw", noted)
        figure.canvas.draw()
    renderer = figure.canvas.get_renderer()
    boxes = [(text.get_text(), Text.get_window_extent(text, renderer)) for text in drawn_words]
    for words, box in boxes:
        assert figure.bbox.x0 <= box.x0 and box.x1 <= figure.bbox.x1, f"{words!r} is cut off at a side"
        assert figure.bbox.y0 <= box.y0 and box.y1 <= figure.bbox.y1, f"{words!r} is cut off above or below"
    return boxes


@pytest.mark.parametrize("name", list(FIGURES))
def test_no_word_is_clipped_or_covers_another(drawn, name):
    boxes = legible(drawn[name])
    assert len(boxes) > 3
    for (words, box), (other_words, other) in combinations(boxes, 2):
        across = min(box.x1, other.x1) - max(box.x0, other.x0)
        up = min(box.y1, other.y1) - max(box.y0, other.y0)
        # extents carry the room for ascenders and descenders: a dot or two of that may be shared
        assert across < 2 or up < 2, f"{words!r} covers {other_words!r}"


def test_span_trade_shows_every_point_the_band_and_the_recommended_span(drawn, sample):
    figure = drawn["span_trade"]
    spans = [1100, 1200, 1300, 1400, 1517, 1600, 1700, 1800]
    for key in ("range_km", "auw_g", "stall_speed_kmh"):
        line = artist(figure, f"points {key}")
        assert line.get_xdata() == pytest.approx(spans)
        assert line.get_ydata() == pytest.approx([entry.numbers[key] for entry in sample.span_trade])
        assert artist(figure, f"stock {key}").get_ydata() == [sample.stock.numbers[key]]
    band = artist(figure, "flat band").get_extents().transformed(figure.axes[0].transData.inverted())
    assert (band.x0, band.x1) == pytest.approx((1392, 1608))
    marks = [each for each in figure.findobj() if each.get_gid() == "recommended span"]
    assert len(marks) == len(figure.axes) == 4
    assert all(list(mark.get_xdata()) == [1480, 1480] for mark in marks)
    assert "recommended 1480 mm, 81 km" in words_of(figure)


def test_span_trade_tells_what_stops_each_wing(drawn):
    stopped = {
        "stall speed against stock": [1100, 1200],
        "climb at full throttle": [1200],
        "pack against the front of its bay": [1300, 1400, 1517, 1600],
        "bend of the tips in a pull-up": [1600, 1700, 1800],
        "load factor at which it breaks in a pull-up": [1800],
        "longest span the study allows": [1800],
    }
    for words, spans in stopped.items():
        assert list(artist(drawn["span_trade"], f"row {words}").get_xdata()) == spans
        assert words in words_of(drawn["span_trade"])


def test_stock_wing_far_below_a_flat_trade_is_told_at_the_edge(sample):
    flat = [design(f"{span}", span, 1500.0, 81.0 + 0.001 * span, full=False) for span in (1300, 1400, 1500)]
    figure = span_trade(sample_result(span_trade=flat))
    assert figure.axes[0].get_ylim()[0] > 41.0 + 30.0  # the trade fills the panel, not the gap
    assert any("stock wing 41 km, far below this scale" in words for words in words_of(figure))
    legible(figure)


def test_weight_range_holds_front_stock_and_steps(drawn, sample):
    figure = drawn["weight_range"]
    line = artist(figure, "front")
    assert line.get_xdata() == pytest.approx([1120, 1200, 1290, 1410, 1500, 1571])
    assert line.get_ydata() == pytest.approx([52, 55.5, 57, 73, 79, 81.3])
    for label, place in (("stock", (1010, 41)), ("pack only", (1320, 58)), ("span only", (1190, 55))):
        point = artist(figure, f"point {label}")
        assert (point.get_xdata()[0], point.get_ydata()[0]) == place
    ring = artist(figure, "recommended")
    assert (ring.get_xdata()[0], ring.get_ydata()[0]) == (1560, 81)
    assert list(artist(figure, "row 4S1P").get_xdata()) == [0, 1, 2]
    assert list(artist(figure, "row 4S2P").get_xdata()) == [3, 4, 5]
    assert list(artist(figure, "row bend of the tips in a pull-up").get_xdata()) == [2]
    words = words_of(figure)
    assert "recommended 1560 g, 81 km" in words and "pack only 1320 g, 58 km" in words
    assert "10x7 propeller" not in words  # all are built with it: it tells them apart from nothing


def test_crowded_front_shares_letters():
    crowd = [design(f"{index}", 1300.0, 1400.0 + index, 60 + 0.1 * index, full=False) for index in range(9)]
    far = design("far", 1500.0, 1700.0, 80.0, full=False)
    figure = weight_range(sample_result(front=[*crowd, far]))
    words = words_of(figure.axes[0])
    assert "A–I" in words and "J" in words and "C" not in words
    legible(figure)


def test_planform_is_true_to_scale_with_both_halves(drawn, sample):
    figure = drawn["planform"]
    axes = figure.axes[0]
    assert axes.get_aspect() == 1.0 and axes.get_ylim()[0] > axes.get_ylim()[1]  # nose up
    right, left = artist(figure, "outline right"), artist(figure, "outline left")
    assert max(right.get_xdata()) == 740 and min(left.get_xdata()) == -740
    assert list(right.get_ydata()) == list(left.get_ydata())
    assert max(artist(figure, "stock right").get_xdata()) == 550
    assert len([each for each in figure.findobj() if each.get_gid() == "rod"]) == 2 * len(
        sample.recommended.outline["rods"]
    )
    tape = artist(figure, "tape")
    assert (tape.get_y(), tape.get_height()) == (0, 171)  # from the nose datum to the balance mark
    assert artist(figure, "balance mark").get_ydata() == [171]
    assert artist(figure, "neutral point").get_ydata() == [187]
    pack = artist(figure, "pack")
    assert (pack.get_y(), pack.get_height(), pack.get_width()) == (66 - 35.5, 71, 85)
    words = words_of(figure)
    for expected in ("half span 740 mm", "stock 550 mm", "+ 190 mm", "balance mark 171 mm behind the nose"):
        assert expected in words


def test_stock_wing_alone_is_drawn_without_a_second_outline():
    figure = FIGURES["planform"](sample_result(best=None, recommended=None))
    words = words_of(figure)
    assert words.count("half span 550 mm") == 2 and not any("dashed" in each for each in words)
    legible(figure)


def test_speed_figure_marks_cruise(drawn, sample):
    figure = drawn["speed"]
    for key in ("power_w", "range_km"):
        for name, wing in (("stock", sample.stock), ("stretched", sample.recommended)):
            line = artist(figure, f"{key} {name}")
            assert line.get_xdata() == pytest.approx(wing.curves["speed_kmh"])
            assert line.get_ydata() == pytest.approx(wing.curves[key])
    place = artist(figure, "cruise range_km stretched")
    # the curve is drawn between 40 points: between two of them it bends off the straight line by under 0.1 km
    assert place.get_xdata()[0] == 57 and place.get_ydata()[0] == pytest.approx(81.0, abs=0.1)
    assert "cruise 57 km/h\nhold about 5.6 A" in words_of(figure)


@pytest.mark.parametrize(("name", "group"), [("drag", "drag_cm2"), ("masses", "masses_g")])
def test_breakdown_bars_are_the_parts_of_both_wings(drawn, sample, name, group):
    figure = drawn[name]
    order = [label.get_text() for label in figure.axes[0].get_yticklabels()]
    for place, (kind, wing) in enumerate((("stock", sample.stock), ("stretched", sample.recommended))):
        parts = getattr(wing, group)
        assert sorted(order) == sorted(parts)
        bars = figure.axes[0].containers[place]
        assert [bar.get_width() for bar in bars] == pytest.approx([parts[part] for part in order])
        assert any(words.startswith(f"{kind}: ") and " in all" in words for words in words_of(figure))
    whole = sum(getattr(sample.recommended, group).values())
    assert any(f"stretched: {whole:.{1 if name == 'drag' else 0}f} " in words for words in words_of(figure))


def test_watts_are_steps_that_add_up(drawn, sample):
    figure = drawn["watts"]
    watts = sample.recommended.watts
    reached = 0.0
    for part in sorted(watts, key=lambda part: -watts[part]):
        bar = artist(figure, f"part {part}")
        assert bar.get_x() == pytest.approx(reached) and bar.get_width() == pytest.approx(watts[part])
        reached += watts[part]
    assert artist(figure, "whole").get_width() == pytest.approx(reached)


def test_lift_and_structure_curves_are_those_of_both_wings(drawn, sample):
    for name, wing in (("stock", sample.stock), ("stretched", sample.recommended)):
        for gid, along, key in (
            (f"lift {name}", "station_mm", "lift_n_per_m"),
            (f"section lift {name}", "station_mm", "section_lift"),
            (f"limit {name}", "station_mm", "section_lift_limit"),
        ):
            line = artist(drawn["loading"], gid)
            assert line.get_xdata() == pytest.approx(wing.curves[along])
            assert line.get_ydata() == pytest.approx(wing.curves[key])
        for key in ("bending_moment_nm", "bending_rigidity_nm2", "utilisation", "deflection_mm"):
            line = artist(drawn["structure_span"], f"{key} {name}")
            assert line.get_ydata() == pytest.approx(wing.curves[key])
    breaks = artist(drawn["structure_span"], "breaks")
    assert list(breaks.get_ydata()) == [1, 1]


def test_what_is_missing_is_left_out(tmp_path):
    bare = design("stock", 1100.0, 1010.0, 41.0, 1, (), 62.0, full=False)
    nothing = {"best": None, "recommended": None, "band": None, "span_trade": [], "front": [], "steps": []}
    result = sample_result(stock=bare, **nothing)
    assert [name for name, draw in FIGURES.items() if draw(result) is not None] == []
    assert save_all(result, tmp_path) == [] and list(tmp_path.iterdir()) == []


def test_saved_figures_are_complete_and_the_same_every_time(sample, tmp_path):
    before = dict(matplotlib.rcParams)
    first, second = save_all(sample, tmp_path / "a"), save_all(sample, tmp_path / "b")
    assert [file.name for file in first] == [f"{name}.{form}" for name in FIGURES for form in ("svg", "png")]
    for one, other in zip(first, second, strict=True):
        assert one.read_bytes() == other.read_bytes(), one.name
        start = one.read_bytes()[:8]
        assert start == b"\x89PNG\r\n\x1a\n" if one.suffix == ".png" else start.startswith(b"<?xml")
    text = (tmp_path / "a" / "speed.svg").read_text(encoding="utf-8")
    assert "<dc:date>" not in text
    assert {file.suffix for file in (tmp_path / "a").iterdir()} == {".svg", ".png"}  # nothing half-written
    assert dict(matplotlib.rcParams) == before
