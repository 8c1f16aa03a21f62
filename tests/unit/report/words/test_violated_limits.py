"""A wing that breaks a limit: no card, sheet or template without the option anyway, and then a warning on each."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from helpers.invented.invented_result import bench, broken_bench
from helpers.readers.pdf_pages import page_streams, page_words

import tradestudy as ts
from tradestudy.errors import LimitsViolated
from tradestudy.quantities import printed_in
from tradestudy.report.build_sheet import template_files
from tradestudy.report.build_sheet.paper import text_width
from tradestudy.report.build_sheet.plan_drawing import planform_drawing
from tradestudy.report.build_sheet.sheet import all_sheets, build_sheet, save_build_sheet
from tradestudy.report.build_sheet.template_shapes import templates
from tradestudy.report.page.page import page
from tradestudy.report.words.pilot_card import COLUMNS, LINES, all_cards, card_lines
from tradestudy.report.words.violated_limits import advice_blocks, refusal, violation_lines, warning_words

WARNING = "BREAKS A LIMIT: climb at full throttle, pack as far forward as it can lie. NOT TO BE BUILT AS IT STANDS"
REFUSAL = """\
No build sheet and no templates for the wing of 1480 mm span: it breaks 2 limits.
  climb at full throttle: 1.30 m/s, required: at least 2.00 m/s; what helps: a propeller with more diameter, a higher \
controller.throttle_cap, or less weight
  pack as far forward as it can lie: 58.996 mm, required: at least 59.000 mm; less than two builds of one plan differ; \
what helps: a bay 1 mm longer at that end, or other equipment moved the other way
To find a wing that meets every limit: tradestudy.optimise(study)
To get it anyway, marked as not to be built: anyway=True"""
MARK = "BREAKS A LIMIT"


@pytest.fixture(scope="module")
def sound():
    return bench()


@pytest.fixture(scope="module")
def broken():
    return broken_bench()


@pytest.fixture(scope="module")
def written(broken, tmp_path_factory):
    """Return the files written anyway, each with its warning."""
    pytest.importorskip("ezdxf", reason="DXF files are written by ezdxf, which is not installed")
    return save_build_sheet(broken, tmp_path_factory.mktemp("anyway"), with_dxf=True, anyway=True)


@pytest.fixture(scope="module")
def pages(written):
    """Return every page of the sheet with the warning."""
    return page_streams(next(path for path in written if path.suffix == ".pdf").read_bytes())


@pytest.fixture(scope="module")
def sheets(broken):
    """Return the sheets with the warning before they are a PDF, on A4."""
    return all_sheets(broken, "a4")


def drawings(result):
    return [planform_drawing(result.recommended), *templates(result.recommended)]


def svg_texts(drawing):
    root = ElementTree.fromstring(template_files.svg(drawing).partition("?>")[2])
    return root, [text for text in root.iter("{http://www.w3.org/2000/svg}text")]


def test_worst_first_and_numbers_that_differ(broken, sound):
    assert warning_words(broken.recommended) == WARNING
    assert violation_lines(broken.recommended) == [line.strip() for line in REFUSAL.splitlines()[1:3]]
    assert warning_words(sound.recommended) == "" and violation_lines(sound.recommended) == []
    assert warning_words(broken.stock) == warning_words(None) == ""


def test_a_bay_is_to_grow_by_what_the_pack_misses(broken):
    """Check 12.8 mm missed: a bay 5 mm longer would not do."""
    design = broken.recommended
    limits = [replace(one, value=one.bound - 12.8) if one.name == "pack_forward" else one for one in design.limits]
    lines = violation_lines(replace(design, limits=limits))
    assert any("a bay 13 mm longer at that end" in line for line in lines)
    other = {"whose": "the room there is", "origin": "the joiner's channel"}
    limits = [replace(one, **other) if one.name == "pack_forward" else one for one in limits]
    (line,) = [line for line in violation_lines(replace(design, limits=limits)) if line.startswith("pack as far for")]
    assert line.endswith(
        "the joiner's channel ends the room there. What helps: 13 mm more room, or other equipment moved the other way"
    )


def test_advice_is_for_the_terminal_or_for_python(broken):
    told = refusal(broken, "speed card", "wings/a.toml").splitlines()
    assert told[0] == "No speed card for the wing of 1480 mm span: it breaks 2 limits."
    assert told[-2:] == [
        "To find a wing that meets every limit: tradestudy optimise wings/a.toml",
        "To get it anyway, marked as not to be built: --anyway",
    ]
    stuck = refusal(replace(broken, conflict=["climb cannot be had"]), "speed card", "a.toml").splitlines()
    assert stuck[-2] == (
        "No wing of this study meets every limit. To see which limits conflict, and by how much each would have to "
        "give: tradestudy optimise a.toml"
    )


def test_no_sheet_and_no_file_of_it(broken, tmp_path):
    for asked in (lambda: build_sheet(broken), lambda: save_build_sheet(broken, tmp_path / "new", with_dxf=True)):
        with pytest.raises(LimitsViolated) as refused:
            asked()
        assert str(refused.value) == REFUSAL and refused.value.exit_code == 1
    assert list(tmp_path.iterdir()) == []


def test_every_page_says_so_in_strong_words_across_its_face(pages, sheets, sound):
    assert len(pages) > 8
    for stream in pages:
        words = page_words(stream)
        # in the band, and across the sheet
        assert WARNING in words and words.count("NOT TO BE BUILT AS IT STANDS") == 2
    plain = all_sheets(sound, "a4")
    assert plain and not any(MARK in text.get_text() for sheet in plain for text in sheet.axes.texts)
    for sheet in sheets:
        (band,) = [patch for patch in sheet.axes.patches if patch.get_gid() == "warning"]
        inside = [text for text in sheet.axes.texts if text.get_color() == "white"]
        assert " ".join(text.get_text() for text in inside) == WARNING
        assert band.get_width() == pytest.approx(sheet.inside.width) and sheet.inside.top < band.get_y()
        for text in inside:
            assert text.get_fontproperties().get_weight() == "bold" and text.get_fontsize() >= 8.0
            assert text_width(text.get_text(), text.get_fontsize(), True) < band.get_width()
            assert band.get_y() < text.get_position()[1] < band.get_y() + band.get_height()


def test_the_band_covers_nothing_and_the_pale_words_lie_beneath(sheets):
    for sheet in sheets:
        (band,) = [patch for patch in sheet.axes.patches if patch.get_gid() == "warning"]
        low, high = band.get_y(), band.get_y() + band.get_height()
        others = [text for text in sheet.axes.texts if text.get_color() != "white"]
        (across,) = [text for text in others if text.get_rotation() > 10]
        assert across.get_zorder() < min(
            artist.get_zorder()
            for artist in (*sheet.axes.lines, *sheet.axes.patches, *(text for text in others if text is not across))
        )
        for text in others:
            assert text is across or not low - 1 < text.get_position()[1] < high, text.get_text()
        to_mm = sheet.axes.transData.inverted()
        for line in sheet.axes.lines:
            clipped = to_mm.transform((0.0, line.get_clip_box().y1))[1]
            assert min(line.get_ydata()) > high or min(max(line.get_ydata()), clipped) < low, sheet.title
        assert sheet.inside.top < low


def test_many_limits_make_smaller_letters_and_a_taller_band(broken):
    states = [
        replace(broken.recommended.limits[-1], name=f"limit_number_{index}_of_many", words="") for index in range(14)
    ]
    many = replace(broken, recommended=replace(broken.recommended, limits=states))
    for sheet in all_sheets(many, "letter"):
        inside = [text for text in sheet.axes.texts if text.get_color() == "white"]
        assert " ".join(text.get_text() for text in inside) == warning_words(many.recommended)
        assert all(f"limit number {index} of many" in warning_words(many.recommended) for index in range(14))
        assert {text.get_fontsize() for text in inside} == {8.0} and len(inside) > 2
        assert sheet.square.top < sheet.inside.top - 20


def test_every_svg_says_so_above_its_drawing(broken, sound):
    for drawing in drawings(broken):
        root, texts = svg_texts(drawing)
        marks = [text for text in texts if MARK in text.text or text.text in WARNING and text.text != "pack"]
        assert " ".join(text.text for text in marks) == WARNING, drawing.name
        (group,) = [one for one in root.iter("{http://www.w3.org/2000/svg}g") if one.get("id") == "warning-words"]
        assert group.get("font-weight") == "bold" and list(group) == marks
        shapes = {one.get("id"): [np.array([pair.split(",") for pair in shape.get("points").split()], float)
                                  for shape in one if shape.get("points")]
                  for one in root.iter("{http://www.w3.org/2000/svg}g")}  # fmt: skip
        (box,) = shapes.pop("warning")
        below = min(points[:, 1].min() for group in shapes.values() for points in group)
        assert box[:, 1].max() < below  # y is downwards: all else is under the box
        left, top, wide, tall = map(float, root.get("viewBox").split())
        assert box.min(0) == pytest.approx([left, top], abs=6) and (box >= [left, top]).all()
        assert (box <= [left + wide, top + tall]).all()
        for text in marks:
            size = float(text.get("font-size"))
            width = text_width(text.text, size * 72 / 25.4, True)
            assert width < np.ptp(box[:, 0]) and size > 5.0
            assert box[:, 1].min() + 0.7 * size < float(text.get("y")) < box[:, 1].max()
    assert not any(MARK in text.text for drawing in drawings(sound) for text in svg_texts(drawing)[1])


def test_every_dxf_says_so_on_a_layer_of_its_own(broken, sound, tmp_path):
    ezdxf = pytest.importorskip("ezdxf", reason="DXF files are written and read by ezdxf, which is not installed")

    def warnings(drawing):
        file = tmp_path / "one.dxf"
        file.write_text(template_files.dxf(drawing), encoding="utf-8")
        space = ezdxf.readfile(file).modelspace()
        return [text.dxf.text for text in space.query("TEXT") if text.dxf.layer == "warning"], [
            text.dxf.text for text in space.query("TEXT")
        ]

    for drawing in drawings(broken):
        assert " ".join(warnings(drawing)[0]) == WARNING
    for drawing in drawings(sound):
        assert not any(MARK in words for words in warnings(drawing)[1])


def test_files_written_anyway_are_all_marked(written, pages):
    assert {path.suffix for path in written} - {".glb"} == {".pdf", ".svg", ".dxf"}
    assert len([path for path in written if path.suffix != ".glb"]) == 15
    for path in written:
        if path.suffix not in (".pdf", ".glb"):
            assert MARK in path.read_text(encoding="utf-8"), path.name
    assert pages and all(MARK in page_words(stream) for stream in pages)


def test_the_card_is_withheld_or_framed(broken, sound):
    wing = broken.recommended
    assert card_lines(broken, wing) == []
    lines, plain = card_lines(broken, wing, anyway=True), card_lines(sound, sound.recommended)
    frame = (len(lines) - len(plain)) // 2
    assert lines[frame:-frame] == plain and lines[:frame] == lines[-frame:] and len(plain) <= LINES
    assert " ".join(" ".join(line.strip("* ") for line in lines[:frame]).split()) == WARNING
    assert lines[0] == lines[frame - 1] == "*" * COLUMNS and max(map(len, lines)) <= COLUMNS
    assert card_lines(sound, sound.recommended, anyway=True) == plain


def test_the_stock_wings_card_stays(broken):
    stock = card_lines(broken, broken.stock)
    text = all_cards(broken)
    assert stock and text.endswith("\n".join(stock) + "\n") and text.count("HOLD ABOUT") == 1
    assert "".join(text.split()).startswith(
        "".join(
            (
                "The stretched wing has no speed card: it breaks a limit (climb at full throttle, pack as far "
                "forward as it can lie). With --anyway, cruise, assess and run give the card, marked as not to be "
                "built."
            ).split()
        )
    )
    assert all_cards(broken, anyway=True).count("HOLD ABOUT") == 2


def slips(text):
    """Return the cards on a page as plain words."""
    return [
        " ".join(re.sub("<[^>]*>", " ", slip).split())
        for slip in re.findall(r'<div class="slip".*?</div>', text, re.DOTALL)
    ]


def test_the_card_on_the_page(broken, sound, monkeypatch):
    monkeypatch.setattr("tradestudy.report.figures.all_figures.FIGURES", {})
    refused, marked, plain = page(broken), page(broken, anyway=True), page(sound)
    assert [MARK in slip for slip in slips(refused)] == [False] and " stock, 1160 mm" in slips(refused)[0]
    assert "The stretched wing has no speed card: it breaks a limit (climb at full throttle, pack" in refused
    assert "Stretched wing. To stay up longest" not in refused and "Stretched wing. To stay up longest" in marked
    first, stock = slips(marked)
    assert first.startswith(WARNING) and " stretched, 1480 mm" in first and MARK not in stock
    assert len(slips(plain)) == 2 and MARK not in plain and "has no speed card" not in plain


def test_saved_from_python_with_and_without(broken, tmp_path, monkeypatch):
    monkeypatch.setattr("tradestudy.report.figures.all_figures.FIGURES", {})
    cards = {}
    for anyway in (False, True):
        names = {path.name for path in ts.save(broken, tmp_path / str(anyway), anyway=anyway)}
        assert {"summary.json", "wings.csv", "pilot_card.txt", "report.html"} <= names
        cards[anyway] = (tmp_path / str(anyway) / "pilot_card.txt").read_text(encoding="utf-8")
        assert ('slip-warning">BREAKS' in (tmp_path / str(anyway) / "report.html").read_text("utf-8")) == anyway
    assert "stretched, 1480 mm" not in cards[False] and "stretched, 1480 mm" in cards[True]
    assert MARK not in cards[False] and cards[True].count(MARK) == 2


def test_a_wing_without_rods_is_not_told_to_take_one_more(broken):
    wing = broken.recommended
    state = replace(wing.limits[0], name="strength_pull_up", met=False, margin=-0.4)
    lines = [
        violation_lines(replace(wing, limits=[state], choices=replace(wing.choices, rod_pairs=pairs)))[0]
        for pairs in (1, 0)
    ]
    assert "one rod pair more" in lines[0]
    assert "one rod pair more" not in lines[1] and "rods laid into the foam ([[rods]])" in lines[1]


@pytest.mark.parametrize(("fails", "said"), [(3.9, True), (4.1, False)])
def test_a_stock_wing_that_breaks_by_its_own_description_is_named_where_nothing_fits(broken, fails, said):
    """Check both sides of the 4 g that the pull-up asks of it."""
    structure = [
        replace(case, failure_load_factor=fails, condition="pull up") if case.condition == "pull_up" else case
        for case in broken.stock.structure
    ]
    result = replace(broken, stock=replace(broken.stock, structure=structure), conflict=["strength"], advice=[])
    blocks = advice_blocks(result)
    assert bool(blocks) is said
    if said:
        lead, lines, _ = blocks[0]
        assert lead.startswith("As the study describes it, the stock wing itself breaks in a pull-up at 3.9 times")
        assert "4.0 times are asked" in lead and lines[0].startswith("[joiner]")
    assert advice_blocks(replace(result, conflict=[])) == []


def test_a_refusal_is_in_the_units_that_are_printed(broken):
    with printed_in("imperial"):
        words = refusal(broken, "speed card", "a.toml")
    assert all(ord(sign) < 0xF0000 for sign in words)  # no number that a text carries along unseen
    assert "for the wing of 58.27 in span" in words and not re.search(r"\d mm\b|m/s", words)  # 1480 mm / 25.4
