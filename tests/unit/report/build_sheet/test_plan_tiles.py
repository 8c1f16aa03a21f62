"""The plan in tiles, the slots and the nested templates: read again from the PDF and compared with the body.

Tiles are joined by their marks. Every point of an outline must then lie on a drawn line, on the tile that shows it.
"""

import re
from dataclasses import replace
from functools import cache
from io import BytesIO

import matplotlib
import numpy as np
import pytest
from helpers.edited import edited
from helpers.readers.pdf_pages import page_paths, page_streams
from helpers.wings import odd_wings, plover
from matplotlib.backends.backend_pdf import PdfPages

from tradestudy.commands.assess import assess
from tradestudy.report.bench_tables import slot_rows, slot_station_heads, slot_station_rows
from tradestudy.report.body_slots import inboard_plates
from tradestudy.report.build_sheet.compact_sheets import nested_sheets, plan_sheets
from tradestudy.report.build_sheet.paper import BODY, NOTE_SIZE
from tradestudy.report.build_sheet.plan_drawing import planform_drawing
from tradestudy.report.build_sheet.sheet import all_sheets
from tradestudy.report.build_sheet.template_shapes import small_templates
from tradestudy.results.cutting import Mark

NEAR = 0.1  # mm
POINT = 25.4 / 72  # mm
TUBE = """
[joiner]
material = "carbon"
diameter = "8 mm"
inside_diameter = "6 mm"
length = "300 mm"
from_nose = "215 mm"
"""
INBOARD = ("[[fin]]", '[[fin]]\nfrom_centre = "300 mm"\ndepth_below = "40 mm"\ncant = "8 deg"')


def plover_wing(folder):
    return assess(plover.written(folder), span=plover.SPAN)


def odd_wing(folder):
    """Return a wing with a tube as joiner, and canted fins further inboard, above and below."""
    path = folder / "odd.toml"
    path.write_text(edited(odd_wings.TEXT, INBOARD) + TUBE, encoding="utf-8")
    return assess(path, span="1400 mm")


@pytest.fixture(scope="module", params=(plover_wing, odd_wing), ids=("plover", "tube and inboard fins"))
def result(request, tmp_path_factory):
    return request.param(tmp_path_factory.mktemp("wing"))


@pytest.fixture(scope="module")
def design(result):
    return result.best


# ---- what the tiles show


def lines_of(sheet):
    return [np.array(line.get_xydata(), float) for line in sheet.axes.lines]


def texts_of(sheet):
    return {text.get_text(): np.array(text.get_position()) for text in sheet.axes.texts}


def marks_of(sheet):
    """Return the middles of the joining marks by the names of both tiles, sorted along their joint.

    A mark is a closed diamond of four corners. Its names are written beside it.
    """
    diamonds = [line[:4].mean(0) for line in lines_of(sheet) if len(line) == 5 and is_diamond(line)]
    marks = {}
    for text in sheet.axes.texts:
        if re.fullmatch("[A-Z][0-9]+–[A-Z][0-9]+", text.get_text()):
            place = np.array(text.get_position())
            nearest = min(diamonds, key=lambda middle: np.hypot(*(middle - place)))
            marks.setdefault(text.get_text(), []).append(nearest)
    return {name: np.array(sorted(map(tuple, places))) for name, places in marks.items()}


def is_diamond(line):
    return np.ptp(line, axis=0) == pytest.approx([8.0, 8.0]) and np.abs(line[0] - line[2])[1] < 1e-9


def joined(tiles):
    """Return the place of each tile when all are joined by their marks, by its name. The first lies at 0, 0."""
    names = {sheet.title.rpartition(" ")[2]: sheet for sheet in tiles}
    marks = {name: marks_of(sheet) for name, sheet in names.items()}
    first = next(iter(names))
    places, waiting = {first: np.zeros(2)}, [first]
    while waiting:
        here = waiting.pop()
        for joint, points in marks[here].items():
            (other,) = {*joint.split("–")} - {here}
            assert len(points) == len(marks[other][joint]) == 2
            shifts = points - marks[other][joint]
            assert shifts[0] == pytest.approx(shifts[1], abs=1e-6)  # both marks of a joint agree
            if other in places:
                assert places[other] == pytest.approx(places[here] + shifts[0], abs=1e-6)  # no tile is askew
            else:
                places[other] = places[here] + shifts[0]
                waiting.append(other)
    assert set(places) == set(names)
    return {name: (names[name], place) for name, place in places.items()}


def distance_to(lines, point):
    best = np.inf
    for line in lines:
        start, along = line[:-1], np.diff(line, axis=0)
        long = np.maximum((along**2).sum(1), 1e-12)
        share = np.clip(((point - start) * along).sum(1) / long, 0, 1)
        best = min(best, np.hypot(*(start + share[:, None] * along - point).T).min())
    return best


def dense(points):
    pieces = [
        one + np.linspace(0, 1, 12)[:, None] * (other - one) for one, other in zip(points, points[1:], strict=False)
    ]
    return np.concatenate(pieces)


def pages_of(sheets):
    """Return the lines of each sheet as they are in its PDF: clip box (2, 2) and points (n, 2), in mm."""
    stream = BytesIO()
    with matplotlib.rc_context({"pdf.fonttype": 3, "path.simplify": False}), PdfPages(stream) as pages:
        for sheet in sheets:
            pages.savefig(sheet.figure)
    return [
        [(POINT * np.array(clip).reshape(2, 2), POINT * np.array(points)) for clip, points in page_paths(page) if clip]
        for page in page_streams(stream.getvalue())
    ]


def shown(paths, sheet):
    """Return the area that a tile shows: the smallest box to which its lines are clipped. [mm]"""
    boxes = [clip for clip, _ in paths if np.ptp(clip, axis=0)[0] < sheet.width - 1]
    return min(boxes, key=lambda box: np.prod(np.ptp(box, axis=0)))


def places_on_paper(design):
    """Return lines of the body that the plan must show: outline, rods and boxes of parts, with y right and -x up."""
    skin = [np.array(section.points_mm) for section in design.body.skin]
    y = [section.y_mm for section in design.body.skin]
    front = [(at, -points[len(points) // 2][0]) for at, points in zip(y, skin, strict=True)]
    back = [(at, -0.5 * (points[0][0] + points[-1][0])) for at, points in zip(y, skin, strict=True)]
    lines = [np.array(front), np.array(back)]
    for solid in design.body.solids:
        mesh = np.array(solid.vertices_mm)
        if solid.kind in ("bay", "pack", "channel", "lid", "pocket"):
            (x0, y0, _), (x1, y1, _) = mesh.min(0), mesh.max(0)
            lines.append(np.array([(max(y0, 0), -x0), (y1, -x0), (y1, -x1), (max(y0, 0), -x1)]))
        if solid.kind == "rod" and mesh[:, 1].max() > -mesh[:, 1].min() - 0.01:
            ends = [mesh[np.abs(mesh[:, 1] - end) < 2e-3].mean(0) for end in (mesh[:, 1].min(), mesh[:, 1].max())]
            (x0, y0, _), (x1, y1, _) = ends
            inner = max(y0, 0.0)
            lines.append(np.array([(inner, -(x0 + (x1 - x0) * (inner - y0) / (y1 - y0))), (y1, -x1)]))
    return lines


@pytest.fixture(scope="module")
def sheets(result):
    """Return every sheet on A4."""
    return all_sheets(result, "a4")


@pytest.fixture(scope="module")
def plan(design):
    """Return a function for the plan on a paper: its sheets, and the lines of each tile by its title."""

    @cache
    def on(paper):
        sheets = plan_sheets(planform_drawing(design), paper)
        return sheets, dict(zip((sheet.title for sheet in sheets[1:]), pages_of(sheets[1:]), strict=True))

    return on


def missing(design, drawing, plan, spoil=None):
    """Return points of the body that the joined tiles do not show within NEAR, read from their PDF."""
    (_, *tiles), pages = plan
    drawn = []
    for sheet, place in joined(tiles).values():
        paths = pages[sheet.title]
        low, high = shown(paths, sheet)
        drawn.append(([points for clip, points in paths if np.allclose(clip, [low, high])], low, high, place))
    if spoil is not None:
        drawn[1] = (*drawn[1][:3], drawn[1][3] + spoil)
    # where the drawing lies on the first tile
    wing = next(shape.points for shape in drawing.shapes if shape.layer == "wing")
    offset = next(line for line in lines_of(tiles[0]) if len(line) == len(wing) + 1)[0] - wing[0] + drawn[0][3]
    lost = []
    for line in places_on_paper(design):
        for point in dense(line) + offset:
            here = [
                distance_to(lines, point - place)
                for lines, low, high, place in drawn
                if (point - place >= low).all() and (point - place <= high).all()
            ]
            if not here or max(here) > NEAR:
                lost.append(point - offset)
    return lost


@pytest.mark.thorough
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_joined_tiles_show_the_body(design, plan, paper):
    assert missing(design, planform_drawing(design), plan(paper)) == []


def test_a_tile_that_is_shifted_is_found(design, plan):
    assert missing(design, planform_drawing(design), plan("a4"), spoil=np.array([0.0, 0.2]))


def test_key_plan_names_every_tile_and_each_has_two_check_lines(plan):
    key, *tiles = plan("a4")[0]
    names = [sheet.title.rpartition(" ")[2] for sheet in tiles]
    words = texts_of(key)
    assert len(set(names)) == len(names) > 4 and set(names) <= set(words)
    for sheet in tiles:
        lengths = [np.ptp(line, axis=0) for line in lines_of(sheet) if len(line) == 2]
        for wanted in ([100.0, 0.0], [0.0, 100.0]):
            assert any(length == pytest.approx(wanted, abs=1e-6) for length in lengths)


# ---- the tables of slots


def test_table_of_slots_agrees_with_the_drawn_lines(design):
    drawing = planform_drawing(design)
    front = next(shape.points for shape in drawing.shapes if shape.layer == "wing")
    front = front[: len(front) // 2]
    drawn = {}
    for shape in drawing.shapes:
        if "rods" in shape.layer:
            drawn.setdefault(tuple(np.round(shape.points[:, 0], 1)), []).append(shape.points)
    heads = slot_station_heads(design)
    for ends, row in zip(slot_rows(design), slot_station_rows(design), strict=True):
        start, end = float(ends[4].partition(",")[0]), float(ends[5])
        stations = [start, *(float(head.rpartition(" ")[2]) for head in heads[2:-1]), end]
        fits = [
            line
            for lines in drawn.values()
            for line in lines
            if all(
                cell == "–" or abs(-np.interp(y, *line.T) + np.interp(y, *front.T) - float(cell)) < NEAR
                for y, cell in zip(stations, row[1:], strict=True)
            )
        ]
        assert any(np.abs(line[:, 0] - [start, end]).max() < NEAR for line in fits), ends
    assert len(slot_rows(design)) == sum(map(len, drawn.values()))


def test_depth_of_slots_is_that_of_the_body(design):
    """Compare with the lowest corners of each rod's end face: the bottom of its slot, less than a mm from the skin."""
    for solid in design.body.solids:
        if solid.kind == "rod" and solid.name.startswith("rod rear top"):
            mesh = np.array(solid.vertices_mm)
            face = mesh[np.abs(mesh[:, 1] - mesh[:, 1].max()) < 2e-3]
            x, y, z = face.mean(0)
            station = [section.y_mm for section in design.body.skin]
            points = np.array([section.points_mm for section in design.body.skin])
            here = np.array([[np.interp(y, station, points[:, k, a]) for a in (0, 1)] for k in range(points.shape[1])])
            upper = here[: len(here) // 2 + 1][::-1]
            (row,) = [row for row in slot_rows(design) if row[1].startswith("rear, 2")]
            assert np.interp(x, *upper.T) - z + 0.5 * 2.0 == pytest.approx(float(row[3]), abs=NEAR)


# ---- small templates


def test_no_template_is_cut_through_a_foot_and_all_are_complete(design):
    drawings = small_templates(design)
    for paper in ("a4", "letter"):
        sheets = nested_sheets(drawings, paper, "Templates")
        for drawing in drawings:
            wanted = drawing.shapes[0].points
            feet = [shape.points for shape in drawing.shapes if shape.layer == "fin foot"]
            whole = []
            for sheet in sheets:
                for line in sheet.axes.lines:
                    path = np.array(line.get_xydata(), float)
                    closed = np.concatenate([wanted, wanted[:1]])
                    if len(path) == len(closed) and np.ptp(path - closed, axis=0).max() < 1e-6:
                        clip = sheet.axes.transData.inverted().transform(line.get_clip_box().get_points())
                        whole.append(clip - (path[0] - wanted[0]))
            # every point is shown by a piece, and one piece shows the whole foot
            for point in dense(np.concatenate([wanted, wanted[:1]])):
                assert any((point >= low).all() and (point <= high).all() for low, high in whole), drawing.name
            for foot in feet:
                assert any((foot >= low).all() and (foot <= high).all() for low, high in whole), drawing.name


def test_fin_templates_are_the_plates_of_the_body(design):
    fins = [drawing for drawing in small_templates(design) if drawing.name.startswith("fin")]
    solids = [solid for solid in design.body.solids if solid.kind == "fin"]
    assert len(fins) == len(solids)
    for drawing, solid in zip(fins, solids, strict=True):
        ring = np.array(solid.vertices_mm)[: len(solid.vertices_mm) // 2]
        apart = np.hypot(*(drawing.shapes[0].points[:, None] - drawing.shapes[0].points[None]).transpose(2, 0, 1)).max()
        assert apart == pytest.approx(np.linalg.norm(ring[:, None] - ring[None], axis=-1).max(), abs=NEAR)
        edges = np.linalg.norm(np.diff(ring, axis=0, append=ring[:1]), axis=1).sum()
        closed = np.concatenate([drawing.shapes[0].points, drawing.shapes[0].points[:1]])
        assert np.hypot(*np.diff(closed, axis=0).T).sum() == pytest.approx(edges, abs=3 * NEAR)  # sum of all edges


def test_inboard_fins_stand_where_the_body_has_them(design):
    if not (plates := inboard_plates(design.body)):
        pytest.skip("this wing has fins on its tips")
    notes = " ".join(note for drawing in small_templates(design) for note in drawing.notes)
    for plate, solid in zip(plates, [one for one in design.body.solids if one.kind == "fin"], strict=True):
        mesh = np.array(solid.vertices_mm)
        assert mesh[:, 1].min() <= plate.station <= mesh[:, 1].max()
        assert f"{plate.station:.1f} mm from the centre line" in notes


# ---- the whole sheet


def test_body_text_is_large_enough(sheets):
    assert BODY >= 9.0
    for sheet in sheets:
        small = [text for text in sheet.axes.texts if text.get_fontsize() < 9.0]
        for text in small:  # labels of sketches, marks and check lines, and the foot; no sentences
            assert text.get_fontsize() >= NOTE_SIZE and len(text.get_text().split()) < 22, text.get_text()


def test_words_keep_to_the_paper(sheets):
    for sheet in sheets:
        for text in sheet.axes.texts:
            x, y = text.get_position()
            assert 5.0 < x < sheet.width - 5.0 and 5.0 < y < sheet.height - 5.0, (sheet.title, text.get_text())


def test_no_number_of_a_part_stands_twice_with_two_values(sheets, design):
    """Places of the balance mark, the bays and the joiner, wherever the sheet tells them."""
    words = " ".join(text.get_text() for sheet in sheets for text in sheet.axes.texts)
    marks = {int(found) for found in re.findall(r"balance mark,? (\d+)", words)}
    assert marks == {round(design.numbers.cg_mm)}
    for bay in (solid for solid in design.body.solids if solid.kind == "bay"):
        front = np.array(bay.vertices_mm)[:, 0].min()
        places = re.findall(rf"{bay.name}[^.;]{{0,60}}? front wall (\d+\.\d) mm", words, re.IGNORECASE)
        assert {float(place) for place in places} <= {round(front, 1)}


def test_no_words_are_lost_between_tiles(design):
    """Four balance marks within 3 mm, wherever the joint of two tiles lies: each keeps its words."""
    names = ("balance mark", "first flight", "window, front end", "window, back end")
    for place in range(120, 280, 20):
        marks = [Mark(name, place + number, 300.0 - place) for number, name in enumerate(names)]
        drawing = planform_drawing(replace(design, cutting=replace(design.cutting, marks=marks)))
        written = {text for sheet in plan_sheets(drawing, "a4")[1:] for text in texts_of(sheet)}
        assert {words.words for words in drawing.words} <= written
