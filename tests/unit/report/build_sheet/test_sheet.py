"""The build sheet: sizes measured in the PDF, SVG and DXF, and numbers read from the drawn text."""

import contextlib
import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import matplotlib
import numpy as np
import pytest
from helpers.invented.invented_result import bench, sample_result
from helpers.places import STUDIES
from helpers.readers.pdf_pages import page_streams
from matplotlib import font_manager

from tradestudy.__main__ import main
from tradestudy.cli import buildsheet as command
from tradestudy.report.build_sheet import sheet as sheet_module
from tradestudy.report.build_sheet import sheet_words, template_files
from tradestudy.report.build_sheet.body_file import body_file_is_possible
from tradestudy.report.build_sheet.paper import BODY, printable, shortened, text_width, wrapped
from tradestudy.report.build_sheet.plan_drawing import planform_drawing
from tradestudy.report.build_sheet.sheet import all_sheets, build_sheet, save_build_sheet
from tradestudy.report.build_sheet.sheet_text import column_widths
from tradestudy.report.build_sheet.template_shapes import templates
from tradestudy.report.build_sheet.tiled_sheets import OVERLAP, tile_sheets, tiles_along
from tradestudy.results.cutting import Mark
from tradestudy.results.result import result_from_json

POINT = 25.4 / 72  # mm
FINE = 0.01  # mm: the PDF has a millionth of a point, the Result a thousandth of a mm
HOSTILE = '$\\frac{$ <script>alert("x")</script>{{ 7 * 7 }} ../../etc \N{CJK UNIFIED IDEOGRAPH-6F22} ' + "x" * 10000


@pytest.fixture(scope="module")
def result():
    return bench()


@pytest.fixture(scope="module")
def a4(result):
    """Return the sheet as PDF in A4."""
    return build_sheet(result)


@pytest.fixture(scope="module")
def hostile(tmp_path_factory):
    """Write a sheet on letter paper with hostile names. Return the folder, a folder inside it, and the files."""
    top, result = tmp_path_factory.mktemp("hostile"), bench()
    wing = result.recommended
    cut = replace(wing.cutting, gear=[Mark(HOSTILE[:200], behind_nose_mm=1.0, ahead_mm=2.0)])
    wing = replace(wing, cutting=cut, masses_g=wing.masses_g | {HOSTILE: 1.0})
    folder = top / "deep" / "a folder with ü"
    return top, folder, save_build_sheet(replace(result, study_name=HOSTILE, recommended=wing), folder, "letter")


@pytest.fixture(scope="module")
def sheets(result):
    """Return the sheets before the PDF, with outlines that keep all points."""
    with matplotlib.rc_context({"path.simplify": False}):
        return all_sheets(result, "a4")


def strokes(stream):
    """Return every path of a page as points of shape (n, 2) in mm."""
    paths = re.findall(r"((?:[-\d.]+ [-\d.]+ [ml]\s+|h\s+)+)", stream)
    return [
        POINT * np.array([[float(x), float(y)] for x, y in re.findall(r"([-\d.]+) ([-\d.]+) [ml]", path)])
        for path in paths
    ]


def page_sizes(pdf):
    boxes = re.findall(rb"/MediaBox \[ ([^\]]*) \]", pdf)
    return [tuple(POINT * float(value) for value in box.split()[2:]) for box in boxes]


def words_of(sheets):
    return [text.get_text() for sheet in sheets for text in sheet.axes.texts]


@pytest.mark.parametrize("paper, size", [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_every_page_is_that_paper_and_has_a_square_of_100_mm(paper, size, a4, hostile):
    # A4: ISO 216, 210 x 297 mm; letter: ANSI/ASME Y14.1 size A, 8.5 x 11 in of 25.4 mm
    pdf = a4 if paper == "a4" else hostile[2][0].read_bytes()
    sizes, streams = page_sizes(pdf), page_streams(pdf)
    assert len(sizes) == len(streams) > 8
    assert [sorted(one) for one in sizes] == [pytest.approx(size, abs=1e-6)] * len(sizes)
    for stream, (wide, tall) in zip(streams, sizes, strict=True):
        paths = strokes(stream)
        # a square, or else a line across and one up the sheet
        squares = [path for path in paths if len(path) in (4, 5) and np.ptp(path, axis=0) == near((100.0, 100.0))]
        lines = [path for path in paths if len(path) == 2]
        across = [path for path in lines if np.ptp(path, axis=0) == near((100.0, 0.0))]
        up = [path for path in lines if np.ptp(path, axis=0) == near((0.0, 100.0))]
        checks = squares or [*across[:1], *up[:1]]
        assert squares or len(checks) == 2, "neither a check square nor two check lines"
        for path in checks:
            long = np.ptp(path, axis=0)
            assert long[long > 1.0] == pytest.approx(100.0, abs=1e-4)  # a millionth of a point each
            assert path.min() > 5 and (path.max(0) < np.array([wide, tall]) - 5).all()


def near(size):
    return pytest.approx(size, abs=0.1)


def test_equal_wings_give_equal_files(result, a4, monkeypatch):
    """Check one template twice, from the Result and from its stored form, and that no file has a date."""
    monkeypatch.setattr(
        sheet_module, "all_sheets", lambda wings, paper: tile_sheets(templates(wings.recommended)[0], paper)
    )
    assert build_sheet(result) == build_sheet(result_from_json(result.to_json()))
    assert b"CreationDate" not in a4 and b"ModDate" not in a4


def test_templates_in_the_pdf_are_the_coordinates_of_the_result(result, a4):
    for section in result.recommended.cutting.sections:
        wanted = np.column_stack([section.x_mm, section.z_mm])
        closed = np.concatenate([wanted, wanted[:1]])
        found = [path for stream in page_streams(a4) for path in strokes(stream) if len(path) == len(closed)]
        near = [path for path in found if abs(np.ptp(path[:, 0]) - section.foam_chord_mm) < 0.1]
        (path,) = near  # once and complete, on one sheet
        assert np.abs((path - path[0]) - (closed - closed[0])).max() < FINE
        assert np.ptp(path[:, 0]) == pytest.approx(section.foam_chord_mm, abs=FINE)
        assert np.ptp(path[:, 1]) == pytest.approx(section.foam_thickness_mm, abs=0.1)


def test_ticks_share_both_surfaces_alike_on_root_and_tip(result):
    for drawing, section in zip(templates(result.recommended), result.recommended.cutting.sections, strict=False):
        outline = np.column_stack([section.x_mm, section.z_mm])
        top = outline[: len(outline) // 2 + 1]
        feet = np.array([shape.points[0] for shape in drawing.shapes if shape.layer == "wire steps"])[::2]
        assert len(feet) == 11
        along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(top, axis=0).T))])
        # position of each foot along the outline, by the nearest of many points
        fine = np.linspace(0, along[-1], 20001)
        path = np.column_stack([np.interp(fine, along, row) for row in top.T])
        places = [fine[np.hypot(*(path - foot).T).argmin()] for foot in feet]
        assert np.array(places) == pytest.approx(along[-1] * np.arange(11) / 10, abs=0.02)  # step of ``fine``


def test_slots_and_level_line(result):
    root, tip = templates(result.recommended)[:2]
    slots = [shape.points for shape in root.shapes if shape.layer == "rod slots"]
    assert len(slots) == 2
    for points in slots:
        assert np.ptp(points[:, 0]) == pytest.approx(3.0) and points[:, 0].mean() == pytest.approx(0.3 * 235.0)
        assert np.ptp(points[:, 1]) == pytest.approx(5.0, abs=0.2)  # the skin slopes a little
    assert not [shape for shape in root.shapes if shape.layer == "level line"]
    assert {"rod lines", "level line"} <= {shape.layer for shape in tip.shapes}  # the rod ends before the tip
    (level,) = (shape.points for shape in tip.shapes if shape.layer == "level line")
    run, rise = level[1] - level[0]
    assert np.degrees(np.arctan2(rise, run)) == pytest.approx(-2.1)  # below the chord line: nose down by the washout


def test_thin_tips_have_a_note_that_slots_meet(result):
    section = result.recommended.cutting.sections[1]
    thin = replace(section, z_mm=[0.5 * z for z in section.z_mm], rods=[replace(section.rods[0], inside=True)])
    wing = replace(result.recommended, cutting=replace(result.recommended.cutting, sections=[thin]))
    notes = " ".join(templates(wing)[0].notes)
    # 14 % of 150 mm, halved: 10.5 mm at the thickest point, two slots of 5 mm
    assert "Its slots leave 0.5 mm of foam here" in notes


def test_neighbouring_sheets_show_the_same_place_at_their_joint(result):
    (drawing,) = (one for one in templates(result.recommended) if one.name == "elevon")
    parts = tile_sheets(drawing, "a4")
    assert len(parts) > 1
    outlines, marks = [], []
    for sheet in parts:
        lines = [np.array(line.get_xydata()) for line in sheet.axes.lines]
        outlines.append(next(line for line in lines if len(line) == 5 and np.ptp(line[:, 0]) > 500))
        marks.append({text.get_text(): text.get_position() for text in sheet.axes.texts
                      if re.fullmatch("[A-Z]1", text.get_text())})  # fmt: skip
    for here, after, one, other in zip(outlines, outlines[1:], marks, marks[1:], strict=False):
        shift = here - after
        assert shift == pytest.approx(np.broadcast_to(shift[0], shift.shape))  # the same size, only moved
        (name,) = set(one) & set(other)
        assert np.array(one[name]) - other[name] == pytest.approx(shift[0])  # equal letters are on top of each other
    elevon = np.array([result.recommended.outline.elevon_y_mm, result.recommended.outline.elevon_x_mm])
    edges = [np.sort(np.hypot(*np.diff(points, axis=-1))) for points in (elevon, outlines[0].T)]
    assert edges[0] == pytest.approx(edges[1], abs=FINE)  # its true shape, turned


def test_as_many_sheets_as_it_takes():
    assert [tiles_along(length, 200.0) for length in (10.0, 200.0, 200.1, 400.0 - OVERLAP, 401.0 - OVERLAP)] == [
        1,
        1,
        2,
        2,
        3,
    ]


def test_svg_is_in_millimetres(result):
    for drawing in (planform_drawing(result.recommended), *templates(result.recommended)):
        root = ElementTree.fromstring(template_files.svg(drawing).partition("?>")[2])
        left, top, wide, tall = map(float, root.get("viewBox").split())
        assert root.get("width") == f"{wide:.3f}mm" and root.get("height") == f"{tall:.3f}mm"
        shapes = {}
        for group in root.iter("{http://www.w3.org/2000/svg}g"):
            for shape in group:
                if shape.get("points"):
                    points = np.array([pair.split(",") for pair in shape.get("points").split()], float)
                    shapes.setdefault(group.get("id"), []).append(points)
                    assert (points >= [left, top]).all() and (points <= [left + wide, top + tall]).all()
        (square,) = shapes["check-square"]
        assert np.ptp(square, axis=0) == pytest.approx([100.0, 100.0], abs=2e-4)  # rounded to 1e-4 mm
        wanted = [shape for shape in drawing.shapes if shape.layer == drawing.shapes[0].layer]
        for shape, points in zip(wanted, shapes[drawing.shapes[0].layer.replace(" ", "-")], strict=True):
            assert points == pytest.approx(shape.points * [1, -1], abs=6e-5)


def test_dxf_is_in_millimetres_with_named_layers(result, tmp_path):
    ezdxf = pytest.importorskip("ezdxf", reason="DXF files are written and read by ezdxf, which is not installed")
    drawing = templates(result.recommended)[0]
    file = tmp_path / "root.dxf"
    file.write_text(template_files.dxf(drawing), encoding="utf-8")
    assert template_files.dxf(drawing) == file.read_text(encoding="utf-8")  # no date or time in the file
    document = ezdxf.readfile(file)
    assert document.header["$INSUNITS"] == 4  # millimetres, by the table in the reference of the format
    assert {"foam", "chord line", "rod slots", "wire steps", "check square"} <= {
        layer.dxf.name for layer in document.layers
    }
    lines = {line.dxf.layer: np.array(line.get_points("xy")) for line in document.modelspace().query("LWPOLYLINE")}
    assert lines["foam"] == pytest.approx(drawing.shapes[0].points)
    assert np.ptp(lines["check square"], axis=0) == pytest.approx([100.0, 100.0])


def test_what_cannot_be_written_is_refused_before_anything_runs(monkeypatch, tmp_path, capsys):
    monkeypatch.setattr(template_files.importlib.util, "find_spec", lambda name: None)
    missing = str(tmp_path / "none.toml")
    assert main(["buildsheet", missing, "--dxf"]) == 2
    assert capsys.readouterr().err == (
        '--dxf: DXF files need the library ezdxf, which is not installed: pip install "tradestudy[dxf]". The SVG files '
        "hold the same drawings.\n"
    )
    assert main(["buildsheet", missing, "--paper", "A3"]) == 2
    assert capsys.readouterr().err == '--paper "a3" is not known; papers: a4, letter.\n'


def test_a_wing_by_hand_goes_to_a_folder_of_its_own(monkeypatch, tmp_path, capsys, result):
    from tradestudy.commands import assess as wings
    from tradestudy.commands.requested_wing import RequestedWing

    asked = []
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(
        command.session, "open_session", lambda study, words, report, *folder, **more: contextlib.nullcontext(words)
    )
    monkeypatch.setattr(wings, "assess", lambda work, wanted: asked.append(wanted) or told)
    told = replace(result, which_wing="The stretched wing is the kept one.")
    monkeypatch.setattr(
        command.folders,
        "write_build_sheet",
        lambda result, folder, paper, with_dxf, with_result, anyway: [folder / paper, folder / str(with_result)],
    )
    assert main(["buildsheet", str(STUDIES / "godwit.toml"), "--span", "1480 mm", "--paper", "Letter"]) == 0
    printed = capsys.readouterr().out
    assert asked == [RequestedWing(span=1.48)]
    folder = Path("results") / "godwit" / "wing_1480_mm"
    assert f"  {folder / 'letter'}\n  {folder / 'True'}\n" in printed  # together with its result
    assert printed.startswith("A wing of 1480 mm span. The stretched wing is the kept one.\n")
    assert main(["buildsheet", str(STUDIES / "godwit.toml"), "--out", "elsewhere"]) == 0
    assert f"  {Path('elsewhere') / 'a4'}\n" in capsys.readouterr().out and asked[1] == RequestedWing()


def figure(value, decimals):
    """Return a number as the sheet writes it, formatted here."""
    text = f"{value:.{decimals}f}"
    return text.replace("-", "\N{MINUS SIGN}") if float(text) else text.lstrip("-")


def in_a_row(cells, words):
    """Return whether cells follow one another among the words."""
    return any(words[start : start + len(cells)] == cells for start in range(len(words)))


def test_numbers_on_the_sheet_are_those_of_the_summary(result, sheets):
    summary = result_from_json(result.to_json()).recommended
    words, cut = words_of(sheets), summary.cutting
    for item, grams in summary.masses_g.items():
        assert in_a_row([item, figure(grams, 1)], words)
    for row in cut.stations:
        keys = (
            "leading_edge_mm",
            "leading_edge_ahead_mm",
            "hinge_mm",
            "trailing_edge_mm",
            "trailing_edge_behind_mm",
            "foam_chord_mm",
            "elevon_chord_mm",
        )
        assert in_a_row([figure(row.station_mm, 0), *(figure(getattr(row, key), 1) for key in keys)], words)
    for row in cut.jig:
        assert in_a_row(
            [
                row.name,
                figure(row.front_block_mm, 1),
                figure(row.front_block_behind_edge_mm, 0),
                figure(row.hinge_block_mm, 1),
            ],
            words,
        )
    assert in_a_row(["balance mark", "171", "109"], words) and in_a_row(["pack", "66", "214"], words)
    rod = cut.rods[0]
    assert in_a_row(["4", figure(rod.length_mm, 0)], words)
    assert in_a_row(["full stick up, both", "12.8 up", "20.0", "the study's up-travel"], words)
    assert in_a_row(["trim for cruise, both", "1.6 up", "2.4 up"], words)
    for bag in summary.load_test.proof.bags:
        assert in_a_row([figure(getattr(bag, key), 0) for key in ("mass_g", "station_mm", "behind_nose_mm")], words)
    text = " ".join(words)
    for key, decimals in (
        ("auw_g", 0),
        ("stall_speed_kmh", 0),
        ("cruise_speed_kmh", 0),
        ("limit_load_factor", 1),
        ("failure_load_factor", 1),
        ("full_throttle_current_a", 1),
        ("advised_speed_kmh", 0),
    ):
        assert re.search(rf"\b{figure(getattr(summary.numbers, key), decimals)} (g|times|A|km/h)\b", text), key


def test_words_keep_to_the_paper_and_off_each_other(sheets):
    for sheet in sheets:
        boxes = []
        for text in sheet.axes.texts:
            x, y = text.get_position()
            bold = text.get_fontproperties().get_weight() == "bold"
            wide = text_width(text.get_text(), text.get_fontsize(), bold)
            left = x - wide * {"left": 0.0, "center": 0.5, "right": 1.0}[text.get_horizontalalignment()]
            assert 6.0 < left and left + wide < sheet.width - 6.0, text.get_text()
            assert 6.0 < y < sheet.height - 6.0 and text.get_fontsize() >= 7.0
            boxes.append((left, y, left + wide, y + 0.5 * text.get_fontsize() * POINT, text.get_text()))
        for index, one in enumerate(boxes):
            for other in boxes[index + 1 :]:
                apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
                assert apart, f"{sheet.title}: {one[4]!r} on {other[4]!r}"


def test_where_to_cut_follows_the_scheme(result):
    def told(**cut):
        return " ".join(
            sheet_words.stretch_words(replace(result.recommended, cutting=replace(result.recommended.cutting, **cut)))
        )

    assert told().startswith("The stock panels are not used: both panels are cut new")
    assert "Cut the stock wing apart 40 mm out from the centre line on both sides" in told(
        scheme="plug", joint_mm=40.0, added_mm=175.0
    ) and "175 mm wide" in told(scheme="plug", joint_mm=40.0, added_mm=175.0)
    middle = told(scheme="plug", joint_mm=0.0, added_mm=175.0)
    assert "apart on the centre line" in middle and "one piece 350 mm wide" in middle
    assert "Glue a piece 175 mm wide to each tip, 550 mm out" in told(scheme="tip", joint_mm=550.0, added_mm=175.0)
    assert "Rods cross the joint" in told(scheme="tip", joint_mm=550.0, added_mm=175.0)
    assert told(scheme="tip", joint_mm=720.0, added_mm=20.0).endswith(sheet_words.BARE_JOINT)  # the rods end at 710 mm
    assert told(scheme="tip", joint_mm=None, added_mm=0.0) == "The span stays the same: nothing is cut."


def test_hostile_names_are_words_and_files_stay_in_their_folder(hostile):
    top, folder, written = hostile
    assert {path.relative_to(folder).as_posix() for path in written} == {
        "build_sheet.pdf",
        *(["body.glb"] if body_file_is_possible() else []),
        *(
            f"templates/{name}.svg"
            for name in ("planform", "root", "tip", "elevon", "fin", "side_view", "pack_section")
        ),
    }
    assert {path for path in top.rglob("*") if path.is_file()} == set(written)  # nothing half written, or elsewhere
    assert build_sheet(sample_result()) is None and save_build_sheet(sample_result(), top / "none") == []


def test_a_wing_that_breaks_limits_says_so_first(result):
    broken = replace(
        result.recommended, limits=[replace(state, met=state.name != "climb") for state in result.recommended.limits]
    )
    words = words_of(all_sheets(replace(result, recommended=broken), "a4")[:1])
    assert "Not to be built as it is" in words and any("climb at full throttle" in line for line in words)


def test_widths_do_not_depend_on_what_was_drawn_before():
    font_manager.get_font(font_manager.findfont("DejaVu Sans")).set_size(7.0, 72)
    # its horizontal metrics table: a Greek small omega is 1715 of 2048 units wide
    assert text_width("\N{GREEK SMALL LETTER OMEGA}", 72.0) == pytest.approx(25.4 * 1715 / 2048, rel=1e-3)


def test_words_are_cut_to_their_room():
    assert printable("a\tb\n\N{CJK UNIFIED IDEOGRAPH-6F22}") == "a b \N{REPLACEMENT CHARACTER}"
    # DejaVu Sans: an em has 2048 units, and "n" is 1298 of them wide (its horizontal metrics table)
    assert text_width("n" * 10, 72.0) == pytest.approx(10 * 25.4 * 1298 / 2048, rel=1e-3)
    lines = wrapped("words that do not fit in one line, and averyveryverylongone", 20.0)
    assert all(text_width(line) <= 20.0 for line in lines) and "".join(lines).replace(" ", "") == (
        "wordsthatdonotfitinoneline,andaveryveryverylongone"
    )
    short = shortened("x" * 1000, 30.0)
    assert short.endswith("…") and 25.0 < text_width(short) <= 30.0
    widths = column_widths(("What", "Long words"), [("a " * 60, "1")], 80.0, BODY)
    assert sum(widths) < 80.0 and widths[1] >= text_width("words", BODY, True)
