"""Figures of an invented Result: the right data at the right place, and every word legible."""

import re
from dataclasses import replace
from itertools import combinations

import matplotlib
import pytest
from helpers.invented.invented_result import sample_result
from helpers.invented.invented_wing import design
from helpers.readers.figure_reader import artist, legible
from matplotlib.text import Text

from tradestudy.report.figures import style
from tradestudy.report.figures.all_figures import FIGURES, PHONE_FIGURES, as_bytes, draw_all, save_all
from tradestudy.report.figures.trade import span_trade_figure, weight_range_figure
from tradestudy.report.page.captions import TITLES


@pytest.fixture(scope="module")
def sample():
    return sample_result()


@pytest.fixture(scope="module")
def drawn(sample):
    return {name: draw(sample) for name, draw in FIGURES.items()}


def words_of(figure):
    return [text.get_text() for text in figure.findobj(Text) if text.get_text() and text.get_visible()]


def test_every_figure_is_drawn(drawn):
    assert [name for name, figure in drawn.items() if figure is None] == ["builds", "tornado"]  # their own tests
    assert list(drawn) == list(TITLES)


@pytest.mark.parametrize(
    ("name", "labels"),
    [
        ("span_trade", {"span [mm]", "range [km]", "flying weight [g]", "stall speed [km/h]"}),
        ("handling", {"span [mm]", "share of the stock wing's [-]", "up-elevon [deg]"}),
        ("weight_range", {"flying weight [g]", "range [km]"}),
        ("speed", {"airspeed [km/h]", "power from the pack [W]", "range [km]"}),
        ("control", {"airspeed [km/h]", "roll control left [-]", "pitch control left [-]"}),
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


@pytest.mark.parametrize("name", [name for name in FIGURES if name not in ("builds", "tornado")])
def test_no_word_is_clipped_or_covers_another(drawn, name):
    boxes = legible(drawn[name])
    assert len(boxes) > 3
    for (words, box), (other_words, other) in combinations(boxes, 2):
        across = min(box.x1, other.x1) - max(box.x0, other.x0)
        up = min(box.y1, other.y1) - max(box.y0, other.y0)
        # extents include room for ascenders and descenders, of which a dot or two may overlap
        assert across < 2 or up < 2, f"{words!r} covers {other_words!r}"


@pytest.mark.parametrize("name", [name for name in PHONE_FIGURES if name not in ("builds", "tornado")])
def test_no_word_of_a_figure_for_phones_is_clipped(sample, name):
    assert len(legible(PHONE_FIGURES[name](sample, style.PHONE_WIDTH))) > 3


def test_handling_is_a_share_of_the_stock_wing(drawn, sample):
    stock, trade = sample.stock.numbers, sample.span_trade
    for key in ("yaw_stiffness", "roll_rate_deg_s", "static_margin_pct"):
        line = artist(drawn["handling"], f"share {key}")
        assert line.get_xdata() == pytest.approx([wing.numbers.span_mm for wing in trade])
        assert line.get_ydata() == pytest.approx([getattr(wing.numbers, key) / getattr(stock, key) for wing in trade])
    # the stall begins 320 mm out in every invented wing, which is a smaller share of a longer half span
    line = artist(drawn["handling"], "share stall_starts_at_mm")
    assert line.get_ydata() == pytest.approx([1160 / wing.numbers.span_mm for wing in trade])


def test_control_is_drawn_with_the_loose_film_below(drawn, sample):
    for key in ("roll_control", "pitch_control"):
        for name, wing in (("stock", sample.stock), ("stretched", sample.recommended)):
            assert artist(drawn["control"], f"{key} {name}").get_ydata() == pytest.approx(getattr(wing.curves, key))
            band = artist(drawn["control"], f"{key} loose {name}").get_paths()[0].vertices[:, 1]
            assert band.min() == pytest.approx(min(getattr(wing.curves, f"{key}_weak")))


def test_elevons_it_takes_stand_below(drawn, sample):
    for key in ("elevon_deg", "stall_elevon_deg"):
        line = artist(drawn["handling"], f"up {key}")
        assert line.get_ydata() == pytest.approx([-getattr(wing.numbers, key) for wing in sample.span_trade])


def test_what_the_stock_wing_lacks_is_no_share_of_it(sample):
    without = replace(sample.stock, numbers=replace(sample.stock.numbers, yaw_stiffness=-0.001))
    figure = FIGURES["handling"](sample_result(stock=without))
    lines = {each.get_gid() for each in figure.findobj() if str(each.get_gid()).startswith("share")}
    assert lines == {
        "share roll_rate_deg_s",
        "share static_margin_pct",
        "share stall_starts_at_mm",
        "share dutch_roll_damping",
    }
    assert FIGURES["handling"](sample_result(span_trade=[])) is None


def test_span_trade_shows_every_point_the_band_and_the_recommended_span(drawn, sample):
    figure = drawn["span_trade"]
    spans = [1160, 1200, 1300, 1400, 1517, 1600, 1700, 1800]
    for key in ("range_km", "auw_g", "stall_speed_kmh"):
        line = artist(figure, f"points {key}")
        assert line.get_xdata() == pytest.approx(spans)
        assert line.get_ydata() == pytest.approx([getattr(entry.numbers, key) for entry in sample.span_trade])
        assert artist(figure, f"stock {key}").get_ydata() == [getattr(sample.stock.numbers, key)]
        lines = [list(each.get_xdata()) for each in figure.findobj() if each.get_gid() == f"line {key}"]
        assert lines == [spans[:2], spans[2:]]  # one cell in parallel, then two: no line between them
    band = artist(figure, "flat band").get_extents().transformed(figure.axes[0].transData.inverted())
    assert (band.x0, band.x1) == pytest.approx((1392, 1608))
    marks = [each for each in figure.findobj() if each.get_gid() == "recommended span"]
    assert len(marks) == len(figure.axes) == 3
    assert all(list(mark.get_xdata()) == [1480, 1480] for mark in marks)
    assert "recommended 1480 mm, 81 km" in words_of(figure)


def test_span_trade_names_the_pack_of_every_line(drawn):
    words = words_of(drawn["span_trade"].axes[0])
    assert "4S1P" in words and "4S2P" in words


def test_small_differences_do_not_look_like_cliffs():
    flat = [design(f"{span}", span, 1500.0, 80.0 + 0.001 * span, full=False) for span in (1300, 1400, 1500)]
    stock = design("stock", 1200.0, 1490.0, 80.5)
    for figure in (span_trade_figure(sample_result(stock=stock, span_trade=flat, recommended=None)),
                   weight_range_figure(sample_result(stock=stock, front=flat, steps=[], recommended=None,
                                                     alternatives=[]))):  # fmt: skip
        for axes in figure.axes:
            low, high = axes.get_ylim()
            assert high - low >= 0.199 * max(max(line.get_ydata()) for line in axes.lines)


def test_stock_wing_far_below_a_flat_trade_is_named_at_the_edge(sample):
    flat = [design(f"{span}", span, 1500.0, 81.0 + 0.001 * span, full=False) for span in (1300, 1400, 1500)]
    figure = span_trade_figure(sample_result(span_trade=flat))
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
    assert artist(figure, "front steps").get_drawstyle() == "steps-post"  # no diagonal through wings that do not exist
    words = words_of(figure)
    assert "recommended 1560 g, 81 km" in words
    assert "A: 4S1P" in words and any(re.fullmatch("D(–[EF])?: 4S2P", each) for each in words)
    assert not any("10x7 propeller" in each for each in words)  # all wings have this propeller


def test_wing_that_breaks_a_limit_is_hollow_and_crossed(drawn, sample):
    step = next(each for each in sample.steps if each.label == "pack only")
    assert "pack only 1320 g, 58 km" in words_of(drawn["weight_range"])  # it breaks nothing
    assert not [each for each in drawn["weight_range"].findobj() if each.get_gid() == "breaks pack only"]
    states = [replace(step.limits[0], met=False, margin=-0.1), *step.limits[1:]]
    figure = weight_range_figure(replace(sample, steps=[replace(step, limits=states)]))
    assert artist(figure, "point pack only").get_markerfacecolor() == "none"
    assert artist(figure, "breaks pack only").get_marker() == "x"
    (words,) = [each for each in words_of(figure) if each.startswith("pack only")]
    assert " ".join(words.split()).endswith("breaks " + states[0].words)
    legible(figure)


def test_crowded_front_shares_letters():
    crowd = [design(f"{index}", 1300.0, 1400.0 + index, 60 + 0.1 * index, full=False) for index in range(9)]
    far = design("far", 1500.0, 1700.0, 80.0, full=False)
    figure = weight_range_figure(sample_result(front=[*crowd, far]))
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
    assert max(artist(figure, "stock right").get_xdata()) == 580
    for rod in sample.recommended.outline.rods:
        lines = [each for each in figure.findobj() if each.get_gid() == rod.name]
        for side, line in zip((1, -1), lines, strict=True):
            assert list(line.get_xdata()) == [side * rod.from_y_mm, side * rod.to_y_mm]
            assert list(line.get_ydata()) == [rod.from_x_mm, rod.to_x_mm]
    tape = artist(figure, "tape")
    assert (tape.get_y(), tape.get_height()) == (0, 171)  # from the nose datum to the balance mark
    assert artist(figure, "balance mark").get_ydata() == [171]
    assert artist(figure, "neutral point").get_ydata() == [187]
    pack = artist(figure, "pack")
    assert (pack.get_y(), pack.get_height(), pack.get_width()) == (66 - 35.5, 71, 85)
    words = words_of(figure)
    for expected in ("half span 740 mm", "stock 580 mm", "+ 160 mm", "balance mark 171 mm behind the nose"):
        assert expected in words


@pytest.mark.parametrize("set_back", [0.0, 60.0, 620.0])
def test_planform_of_any_sweep_keeps_its_words_apart(set_back):
    figure = FIGURES["planform"](sample_result(recommended=design(span=1800.0, sweep_back=set_back)))
    boxes = legible(figure)
    for (words, box), (other_words, other) in combinations(boxes, 2):
        assert not box.overlaps(other), f"{words!r} covers {other_words!r}"
    tape = artist(figure, "tape")
    outside = -max(artist(figure, "outline right").get_xdata())
    if set_back < 100:  # no room ahead of such a wing
        assert tape.get_x() + tape.get_width() < outside
    else:
        assert tape.get_x() > outside


def test_stock_wing_alone_is_drawn_without_a_second_outline():
    figure = FIGURES["planform"](sample_result(best=None, recommended=None))
    words = words_of(figure)
    assert words.count("half span 580 mm") == 2 and not any("dashed" in each for each in words)
    legible(figure)


def test_speed_figure_marks_cruise(drawn, sample):
    figure = drawn["speed"]
    for key in ("power_w", "range_km"):
        for name, wing in (("stock", sample.stock), ("stretched", sample.recommended)):
            line = artist(figure, f"{key} {name}")
            assert line.get_xdata() == pytest.approx(wing.curves.speed_kmh)
            assert line.get_ydata() == pytest.approx(getattr(wing.curves, key))
    place = artist(figure, "cruise range_km stretched")
    # the curve has 40 points: between two of them it differs from a straight line by less than 0.1 km
    assert place.get_xdata()[0] == 57 and place.get_ydata()[0] == pytest.approx(81.0, abs=0.1)
    assert "cruise 57 km/h\nhold about 5.6 A" in words_of(figure)


def test_speeds_that_are_not_for_cruise_are_faded(sample):
    floor = replace(sample.recommended.limits[0], name="cruise_over_stall", bound=49.0, unit="km/h")
    wing = replace(sample.recommended, limits=[floor])
    figure = FIGURES["speed"](replace(sample, recommended=wing))
    axes = figure.axes[0]
    left, right = axes.get_xlim()
    for words, ends in (("least cruise", (left, 49.0)), ("advised highest", (wing.numbers.advised_speed_kmh, right))):
        faded = [each for each in axes.patches if each.get_gid() == f"beyond {words}"]
        box = faded[0].get_extents().transformed(axes.transData.inverted())
        assert (box.x0, box.x1) == pytest.approx(ends)
        told = min(ends, key=lambda end: abs(end - 70.0))
        assert any(f"{words} {told:.0f} km/h" in " ".join(each.split()) for each in words_of(figure))
    legible(figure)


@pytest.mark.parametrize(("name", "group"), [("drag", "drag_cm2"), ("masses", "masses_g")])
def test_breakdown_bars_are_the_parts_of_both_wings(drawn, sample, name, group):
    figure = drawn[name]
    order = [label.get_text() for label in figure.axes[0].get_yticklabels()]
    for place, (kind, wing) in enumerate((("stock", sample.stock), ("stretched", sample.recommended))):
        parts = getattr(wing, group)
        assert sorted(order) == sorted(parts)
        bars = figure.axes[0].containers[place]
        assert [bar.get_width() for bar in bars] == pytest.approx([parts[part] for part in order])
        assert any(words.startswith(f"{kind}: ") and " in total" in words for words in words_of(figure))
    whole = sum(getattr(sample.recommended, group).values())
    assert any(f"stretched: {whole:.{1 if name == 'drag' else 0}f} " in words for words in words_of(figure))


def test_drag_bars_tell_their_share_and_how_far_off_they_may_be(drawn, sample):
    figure, told = drawn["drag"], sample.recommended.drag_breakdown.parts
    for part in told:
        assert f"{part.cm2:.1f}, {part.share_pct:.0f} %" in words_of(figure)
        if part.listed:
            assert artist(figure, f"band {part.part}").get_xdata() == pytest.approx([part.low_cm2, part.high_cm2])
    bands = [line.get_gid() for line in figure.axes[0].lines if str(line.get_gid()).startswith("band ")]
    assert sorted(bands) == sorted(f"band {part.part}" for part in told if part.listed)


def test_watts_are_steps_that_add_up(drawn, sample):
    figure = drawn["watts"]
    watts = sample.recommended.watts
    reached = 0.0
    for part in sorted(watts, key=lambda part: -watts[part]):
        bar = artist(figure, f"cruise part {part}")
        assert bar.get_x() == pytest.approx(reached) and bar.get_width() == pytest.approx(watts[part])
        reached += watts[part]
    assert artist(figure, "cruise total").get_width() == pytest.approx(reached)


def test_lift_and_structure_curves_are_those_of_both_wings(drawn, sample):
    for name, wing in (("stock", sample.stock), ("stretched", sample.recommended)):
        for gid, along, key in (
            (f"lift {name}", "station_mm", "lift_n_per_m"),
            (f"section lift {name}", "station_mm", "section_lift"),
            (f"limit {name}", "station_mm", "section_lift_limit"),
        ):
            line = artist(drawn["loading"], gid)
            assert line.get_xdata() == pytest.approx(getattr(wing.curves, along))
            assert line.get_ydata() == pytest.approx(getattr(wing.curves, key))
        for key in ("bending_moment_nm", "bending_rigidity_nm2", "utilisation", "deflection_mm"):
            line = artist(drawn["structure_span"], f"{key} {name}")
            assert line.get_ydata() == pytest.approx(getattr(wing.curves, key))
    breaks = artist(drawn["structure_span"], "breaks")
    assert list(breaks.get_ydata()) == [1, 1]


def test_point_without_an_answer_is_left_out(sample):
    lost = design("lost", 1350.0, 1500.0, 70.0, full=False)
    lost = replace(lost, numbers=replace(lost.numbers, range_km=None))
    figure = span_trade_figure(replace(sample, span_trade=[*sample.span_trade, lost]))
    assert 1350.0 not in artist(figure, "points range_km").get_xdata()
    figure = weight_range_figure(replace(sample, front=[lost, *sample.front]))
    assert len(artist(figure, "front").get_xdata()) == len(sample.front)


def test_what_is_missing_is_left_out(tmp_path):
    bare = design("stock", 1160.0, 1010.0, 41.0, 1, (), 62.0, full=False)
    nothing = {"best": None, "recommended": None, "band": None, "span_trade": [], "front": [], "steps": []}
    result = sample_result(stock=bare, **nothing)
    assert [name for name, draw in FIGURES.items() if draw(result) is not None] == []
    assert save_all(draw_all(result), tmp_path) == [] and list(tmp_path.iterdir()) == []


@pytest.mark.thorough
def test_saved_figures_are_complete_and_the_same_every_time(sample, tmp_path):
    before = dict(matplotlib.rcParams)
    files = save_all(draw_all(sample), tmp_path / "a")
    assert [file.name for file in files] == [
        f"{name}.{form}" for name in FIGURES if name not in ("builds", "tornado") for form in ("svg", "png")
    ]
    for file in files:
        start = file.read_bytes()[:8]
        assert start == b"\x89PNG\r\n\x1a\n" if file.suffix == ".png" else start.startswith(b"<?xml")
    for name in ("planform", "span_trade", "masses"):  # figures with clip paths, placed labels, and bars
        for form in ("svg", "png"):
            again = as_bytes(FIGURES[name](sample), form)
            assert again == (tmp_path / "a" / f"{name}.{form}").read_bytes(), f"{name}.{form}"
    text = (tmp_path / "a" / "speed.svg").read_text(encoding="utf-8")
    assert "<dc:date>" not in text
    assert {file.suffix for file in (tmp_path / "a").iterdir()} == {".svg", ".png"}  # nothing half-written
    assert dict(matplotlib.rcParams) == before
