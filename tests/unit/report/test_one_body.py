"""Every drawing has every part where the body has it, read again from the written files.

Places are compared within 0.1 mm. A drawing in which one part is shifted by 0.2 mm must be found.
"""

import re
from dataclasses import replace
from io import BytesIO
from xml.etree import ElementTree

import numpy as np
import pytest
from helpers.readers.pdf_pages import page_streams
from helpers.wings import plover
from matplotlib.backends.backend_pdf import PdfPages

from tradestudy.commands.assess import assess
from tradestudy.report.bench_tables import slot_rows, slot_station_heads, slot_station_rows
from tradestudy.report.build_sheet import template_files
from tradestudy.report.build_sheet.plan_drawing import planform_drawing
from tradestudy.report.build_sheet.sheet import all_sheets
from tradestudy.report.build_sheet.sheet_words import rod_rows
from tradestudy.report.build_sheet.template_shapes import templates
from tradestudy.report.figures.all_figures import FIGURES, as_bytes
from tradestudy.report.page.page import page

NEAR = 0.1  # mm
SHIFT = 0.2  # mm, a shift that must be found
SVG = "{http://www.w3.org/2000/svg}"
POINT = 25.4 / 72  # mm


TIP_CHORD = 162.0  # mm, of the second wing; its stock tip has 170 mm
# the panels of the second wing meet on the centre line, where its nose leaves room for a narrower bay
WINGS = {"flat centre": (), "none, smaller tips": (('centre_width = "80 mm"', 'centre_width = "0 mm"'),
                                                   ('width = "120 mm"', 'width = "92 mm"'))}  # fmt: skip


@pytest.fixture(scope="module", params=WINGS)
def result(request, tmp_path_factory):
    """Return the Result of the Plover with a flat centre piece, or without."""
    study = plover.written(tmp_path_factory.mktemp("plover"), *WINGS[request.param])
    chord = {"tip_chord": f"{TIP_CHORD} mm"} if "smaller tips" in request.param else {}
    return assess(study, span=plover.SPAN, **chord)


@pytest.fixture(scope="module")
def design(result):
    return result.best


# ---- places of the body, from its meshes alone


def mesh(solid):
    return np.array(solid.vertices_mm)


def boxes(body, kinds, axes):
    """Return low and high corners of every part of these kinds, in the plane of two axes."""
    found = [(solid.kind, mesh(solid)[:, axes]) for solid in body.solids if solid.kind in kinds]
    return [(kind, points.min(0), points.max(0)) for kind, points in found]


def rod_ends(solid):
    """Return the middles (2, 3) of the inner and the outer end of a rod."""
    points = mesh(solid)
    low, high = points[:, 1].min(), points[:, 1].max()
    return np.array([points[np.abs(points[:, 1] - end) < 2e-3].mean(0) for end in (low, high)])


def rods(body):
    """Return the ends of every rod by name, without those of the left half, which mirror right ones."""
    ends = {solid.name: rod_ends(solid) for solid in body.solids if solid.kind == "rod"}
    return {name: line for name, line in ends.items() if -line[0, 1] <= line[1, 1] + 0.01}


def missing_boxes(wanted, drawn):
    """Return the boxes (kind, low, high) that no drawn box (low, high) matches."""
    return [
        (kind, low, high)
        for kind, low, high in wanted
        if not any(np.abs(np.concatenate([low - a, high - b])).max() < NEAR for a, b in drawn)
    ]


def missing_lines(wanted, drawn):
    """Return the lines (2, 2) of which no drawn line has both ends."""
    return [line for line in wanted if not any(np.abs(line - other).max() < NEAR for other in drawn)]


def extents(shapes):
    return [(points.min(0), points.max(0)) for points in shapes]


# ---- what the files hold, by layer


def read_svg(drawing):
    """Return the points of every shape of an SVG template by its layer, with y up."""
    shapes = {}
    for group in ElementTree.fromstring(template_files.svg(drawing).partition("?>")[2]).iter(f"{SVG}g"):
        for shape in group:
            if shape.get("points"):
                points = np.array([pair.split(",") for pair in shape.get("points").split()], float) * [1, -1]
                shapes.setdefault(group.get("id").replace("-", " "), []).append(points)
    return shapes


def read_dxf(drawing):
    """Return the points of every shape of a DXF template by its layer."""
    ezdxf = pytest.importorskip("ezdxf", reason="DXF files are written and read by ezdxf, which is not installed")
    from io import StringIO

    shapes = {}
    for line in ezdxf.read(StringIO(template_files.dxf(drawing))).modelspace().query("LWPOLYLINE"):
        shapes.setdefault(line.dxf.layer, []).append(np.array(line.get_points("xy")))
    return shapes


READERS = pytest.mark.parametrize("read", [read_svg, read_dxf])
PLAN_LAYERS = {"bay": "bays", "lid": "lids", "board": "boards", "pack": "pack", "joiner": "joiner", "channel":
               "joiner channel", "pocket": "pockets", "motor": "motor", "slot": "slots", "fin": "fins"}  # fmt: skip


def faults_of_plan(body, shapes):
    """Return what a drawing from above (y right, -x up) has elsewhere than the body."""
    faults = []
    for kind, layer in PLAN_LAYERS.items():
        right = [
            (name, np.array([max(low[0], 0.0), -high[1]]), np.array([high[0], -low[1]]))
            for name, low, high in boxes(body, (kind,), [1, 0])
        ]
        assert right, f"the Plover has no {kind}"
        faults += missing_boxes(right, extents(shapes.get(layer, [])))
    ends = rods(body).values()
    across = [line for line in ends if abs(line[0, 1] + line[1, 1]) < 0.01]
    halves = [line for line in ends if abs(line[0, 1] + line[1, 1]) > 0.01]
    faults += missing_lines([np.array([[0.0, -line[1, 0]], [line[1, 1], -line[1, 0]]]) for line in across],
                            shapes.get("transverse rods", []))  # fmt: skip
    for line in halves:
        (x0, y0, _), (x1, y1, _) = line
        inner = max(y0, 0.0)
        at = x0 + (x1 - x0) * (inner - y0) / (y1 - y0)
        faults += missing_lines([np.array([[inner, -at], [y1, -x1]])], shapes.get("rods", []))
        if y0 < 0:
            faults += missing_lines([np.array([[0.0, -at], [-y0, -x0]])], shapes.get("rods", []))
    (elevon,) = [mesh(solid) for solid in body.solids if solid.kind == "elevon"]
    for end in (elevon[:, 1].min(), elevon[:, 1].max()):
        face = elevon[np.abs(elevon[:, 1] - end) < 2e-3]
        hinge = face[np.argsort(face[:, 0])[:2], 0].mean()  # upper and lower point on the hinge's face
        for x in (hinge, face[:, 0].max()):
            corner = np.array([end, -x])
            if not any(np.abs(points - corner).max(1).min() < NEAR for points in shapes["elevon"]):
                faults.append(("elevon corner", corner))
    return faults


@pytest.mark.thorough
@READERS
def test_plan_at_full_size(design, read):
    assert faults_of_plan(design.body, read(planform_drawing(design))) == []


def faults_of_side_view(body, shapes):
    faults = []
    for kind, layer in (("bay", "bays"), ("lid", "lids"), ("board", "boards"), ("pack", "pack"), ("motor", "motor")):
        faults += missing_boxes(boxes(body, (kind,), [0, 2]), extents(shapes.get(layer, [])))
    for kind in ("joiner", "channel"):
        wanted = [(name, low, high) for name, low, high in boxes(body, (kind,), [0, 2])]
        faults += missing_boxes(
            wanted, extents(shapes.get({"joiner": "joiner", "channel": "joiner channel"}[kind], []))
        )
    middles = [0.5 * (low + high) for low, high in extents(shapes.get("rod sections", []))]
    for name in (solid.name for solid in body.solids if solid.kind == "rod"):
        if any_side(body, name)[0, 1] < 1e-3:  # it reaches the centre line
            at = place_along(body, name, 0.0)
            if not any(np.abs(middle - at).max() < NEAR for middle in middles):
                faults.append((name, at))
    return faults


def any_side(body, name):
    return rod_ends(next(solid for solid in body.solids if solid.name == name))


def place_along(body, name, y):
    """Return x and z of a rod at a station, from the middles of the rings of its mesh."""
    points = next(mesh(solid) for solid in body.solids if solid.name == name)
    inner, outer = any_side(body, name)
    share = (y - inner[1]) / (outer[1] - inner[1])
    x = inner[0] + share * (outer[0] - inner[0])
    rings = points.reshape(-1, 12, 3).mean(1)
    order = np.argsort(rings[:, 1])
    return np.array([x, np.interp(y, rings[order, 1], rings[order, 2])])


def named(design, name):
    return next(one for one in templates(design) if one.name == name)


@READERS
def test_side_view_at_full_size(design, read):
    shapes = read(named(design, "side_view"))
    assert faults_of_side_view(design.body, shapes) == []
    nose = min(point[0] for point in design.body.skin[0].points_mm)
    assert shapes["skin"][0][:, 0].min() == pytest.approx(nose, abs=NEAR)
    (mark,) = shapes["balance mark"]
    assert mark[:, 0] == pytest.approx(design.numbers.cg_mm, abs=NEAR)


def faults_of_root(design, shapes):
    """Return what the root template has elsewhere than the body at the root's station. The root is not turned."""
    section, faults = design.cutting.sections[0], []
    y = section.station_mm
    for kind, layer in (("bay", "bays"), ("pack", "pack"), ("joiner", "joiner")):
        reached = [
            (name, low[[0, 2]], high[[0, 2]])
            for name, low, high in boxes(design.body, (kind,), [0, 1, 2])
            if high[1] > y
        ]
        assert reached, f"no {kind} at the root of the Plover"
        faults += missing_boxes(reached, extents(shapes.get(layer, [])))
    slots = [(low[0] + high[0]) / 2 for low, high in extents(shapes.get("rod slots", []))]
    for name in (solid.name for solid in design.body.solids if solid.kind == "rod"):
        inner, outer = any_side(design.body, name)
        if inner[1] <= y <= outer[1]:
            x = place_along(design.body, name, y)[0]
            if not any(abs(x - slot) < NEAR for slot in slots):
                faults.append((name, x))
    return faults


@READERS
def test_root_template(design, read):
    shapes = read(named(design, "root"))
    assert faults_of_root(design, shapes) == []
    # three rods at top and bottom; beyond the centre also two ends from the left and the rod across
    assert len(shapes["rod slots"]) == (12 if design.cutting.sections[0].station_mm > 10 else 6)


def test_foam_of_root_and_tip_is_the_skin_less_its_film(design):
    for section, station in ((design.cutting.sections[0], None), (design.cutting.sections[-1], -1)):
        index = station or [one.y_mm for one in design.body.skin].index(section.station_mm)
        outline = np.array(design.body.skin[index].points_mm)
        turn = np.radians(section.washout_deg)
        aft, up = outline[:, 0] - section.leading_edge_mm, outline[:, 1] - section.height_mm
        whole = np.column_stack([aft * np.cos(turn) + up * np.sin(turn), up * np.cos(turn) - aft * np.sin(turn)])
        foam = np.column_stack([section.x_mm, section.z_mm])[1:-1]
        apart = [distance(point, whole) for point in foam[np.abs(foam[:, 0] - section.foam_chord_mm) > 1.0]]
        # 0.038 mm of film; a straight line between two points is less than 0.02 mm inside the curve
        assert max(apart) < section.film_mm + 0.02 and min(apart) > section.film_mm - 0.02


def distance(point, outline):
    """Return the distance of a point from a line through points."""
    start, along = outline[:-1], np.diff(outline, axis=0)
    share = np.clip(((point - start) * along).sum(1) / (along**2).sum(1), 0, 1)
    return np.hypot(*(start + share[:, None] * along - point).T).min()


def test_the_tip_template_lies_on_the_plan(result, design):
    """Check that template, core, plan and table of the tip have one chord, and the elevon there its share of it."""
    tip, plan, row = design.cutting.sections[-1], design.outline, design.cutting.stations[-1]
    given = result.stock.numbers.tip_chord_mm if design.cutting.sections[0].station_mm > 0 else TIP_CHORD
    assert tip.foam_chord_mm == row.foam_chord_mm == pytest.approx(given, abs=1e-3)
    assert tip.elevon_chord_mm == row.elevon_chord_mm == pytest.approx(given * 30 / 170, abs=1e-3)
    level = np.cos(np.radians(tip.washout_deg))
    at_tip = np.flatnonzero(np.abs(np.array(plan.y_mm) - tip.station_mm) < 1e-3)
    assert np.ptp(np.array(plan.x_mm)[at_tip]) == pytest.approx(level * (given + given * 30 / 170), abs=NEAR)
    assert max(tip.x_mm) == pytest.approx(given, abs=NEAR)
    assert design.numbers.tip_chord_mm == pytest.approx(given, abs=1e-3)


@READERS
def test_elevon_template_has_the_chords_of_the_body(design, read):
    (points,) = read(named(design, "elevon"))["elevon"]
    (elevon,) = [mesh(solid) for solid in design.body.solids if solid.kind == "elevon"]
    count = len(points) // 2
    for corner, end in ((0, elevon[:, 1].min()), (count - 1, elevon[:, 1].max())):
        face = elevon[np.abs(elevon[:, 1] - end) < 2e-3]
        chord = face[:, 0].max() - face[np.argsort(face[:, 0])[:2], 0].mean()
        assert np.hypot(*(points[corner] - points[2 * count - 1 - corner])) == pytest.approx(chord, abs=NEAR)


@pytest.mark.parametrize("move", [[SHIFT, 0.0], [0.0, SHIFT]])
def test_a_shift_of_one_layer_is_found(design, move):
    for name, faults in (
        ("planform", lambda shapes: faults_of_plan(design.body, shapes)),
        ("side_view", lambda shapes: faults_of_side_view(design.body, shapes)),
        ("root", lambda shapes: faults_of_root(design, shapes)),
    ):
        drawing = planform_drawing(design) if name == "planform" else named(design, name)
        checked = {*PLAN_LAYERS.values(), "rods", "transverse rods", "elevon"} if name == "planform" else (
            {"bays", "lids", "boards", "pack", "motor", "joiner", "joiner channel", "rod sections"}
            if name == "side_view" else {"bays", "pack", "joiner"} | ({"rod slots"} if move[0] else set())
        )  # fmt: skip
        for layer in checked:
            moved = [
                replace(shape, points=shape.points + move) if shape.layer == layer else shape
                for shape in drawing.shapes
            ]
            assert faults(read_svg(replace(drawing, shapes=moved))), (name, layer)


def test_table_of_the_outline_has_the_edges_of_the_body(design):
    skin = {section.y_mm: np.array(section.points_mm) for section in design.body.skin}
    (elevon,) = [mesh(solid) for solid in design.body.solids if solid.kind == "elevon"]
    for row in design.cutting.stations:
        if row.station_mm in skin:
            x = skin[row.station_mm][:, 0]
            nose = x[len(x) // 2]
            assert (row.leading_edge_mm, row.trailing_edge_mm) == pytest.approx((nose, 0.5 * (x[0] + x[-1])), abs=NEAR)
        face = elevon[np.abs(elevon[:, 1] - row.station_mm) < 2e-3]
        if len(face):
            assert row.hinge_mm == pytest.approx(face[np.argsort(face[:, 0])[:2], 0].mean(), abs=NEAR)


def test_table_of_rods_names_its_slots(design):
    rows = {row[0].partition(":")[0]: row for row in rod_rows(design)}
    slots = {row[0]: row for row in slot_rows(design)}
    (number,) = [number for number, row in slots.items() if row[1].startswith("rear, across")]
    (rod,) = [place for name, place in rods(design.body).items() if name == "rod across rear top"]
    behind = dict(zip(slot_station_heads(design), next(row for row in slot_station_rows(design) if row[0] == number),
                      strict=True))  # fmt: skip
    assert rows["rear, across"][-1] == f"slot {number}" and behind["at its start"] == f"{rod[0, 0]:.1f}"
    assert slots[number][3] == "4.0"  # deep, from the study
    assert "230.0 mm behind the nose" in rows["joiner"][-1]  # from the study


def test_bags_of_the_load_test_hang_on_the_line_of_the_rods(design):
    main = [place for name, place in rods(design.body).items() if name.startswith("rod main top")]
    assert len(main) == 2
    for bag in design.load_test.proof.bags:
        on_rods = [x0 + (x1 - x0) * (bag.station_mm - y0) / (y1 - y0) for (x0, y0, _), (x1, y1, _) in main]
        assert bag.behind_nose_mm == pytest.approx(np.mean(on_rods), abs=NEAR)


# ---- the figures and the page


def figure_shapes(name, result):
    """Return the paths of a figure's SVG by their names, in points with y up."""
    text = as_bytes(FIGURES[name](result), "svg").decode()
    shapes = {}
    for group in ElementTree.fromstring(text.partition("?>")[2]).iter(f"{SVG}g"):
        for path in group.findall(f"{SVG}path"):
            numbers = np.array(re.findall(r"[ML] ([-\d.]+) ([-\d.]+)", path.get("d")), float)
            if group.get("id") and len(numbers):
                shapes.setdefault(group.get("id"), []).append(numbers * [1, -1])
    return shapes


def on_the_wing(shapes, reference, low, high):
    """Return shapes in mm, scaled and moved so that the path ``reference`` extends from ``low`` to ``high`` in x."""
    points = shapes[reference][0]
    scale = (high - low) / np.ptp(points[:, 0])
    left, level = points[:, 0].min(), points[0, 1]
    return {name: [(one - [left, level]) * scale + [low, 0.0] for one in every] for name, every in shapes.items()}


def test_figure_of_the_side_view(result, design):
    outline = np.array(design.body.skin[0].points_mm)
    shapes = on_the_wing(figure_shapes("side_view", result), "skin", outline[:, 0].min(), outline[:, 0].max())
    lift = outline[np.argmin(outline[:, 0]), 1]  # the path of the skin starts at the nose
    parts = {
        name.removeprefix("part "): [one + [0.0, lift] for one in every]
        for name, every in shapes.items()
        if name.startswith("part ")
    }
    for solid in design.body.solids:
        if solid.kind in ("bay", "lid", "board", "pack", "motor", "joiner"):
            wanted = [(solid.name, mesh(solid)[:, [0, 2]].min(0), mesh(solid)[:, [0, 2]].max(0))]
            drawn = extents(parts[solid.name])
            assert missing_boxes(wanted, drawn) == []
            assert missing_boxes(wanted, [(low + SHIFT, high + SHIFT) for low, high in drawn])
    assert np.mean(shapes["balance mark"][0][:, 0]) == pytest.approx(design.numbers.cg_mm, abs=NEAR)


def test_figure_of_the_pack_section(result, design):
    (pack,) = [mesh(solid) for solid in design.body.solids if solid.kind == "pack"]
    shapes = on_the_wing(figure_shapes("pack_section", result), "part pack", -pack[:, 1].max(), -pack[:, 1].min())
    level = pack[:, 2].max() - max(one[:, 1].max() for one in shapes["part pack"])
    for solid in design.body.solids:
        if f"part {solid.name}" in shapes and solid.kind in ("bay", "lid", "pack"):
            low, high = mesh(solid).min(0), mesh(solid).max(0)
            wanted = [(solid.name, np.array([-high[1], low[2]]), np.array([-low[1], high[2]]))]
            drawn = extents([one + [0.0, level] for one in shapes[f"part {solid.name}"]])
            assert missing_boxes(wanted, drawn) == []
            assert missing_boxes(wanted, [(low + SHIFT, high + SHIFT) for low, high in drawn])
    # the free heights, from the skin of the body at the end of the pack where they are drawn
    free = {name: np.ptp(shapes[name][0][:, 1]) for name in ("free above", "free below")}
    ends = [least_room(design.body, pack, x) for x in (pack[:, 0].min(), pack[:, 0].max())]
    above, below = min(ends, key=min)
    assert free["free above"] == pytest.approx(above, abs=NEAR)
    assert free["free below"] == pytest.approx(below, abs=NEAR)


def least_room(body, pack, x):
    """Return the least heights between pack and skin at a place behind the nose, on a fine grid of stations."""
    stations = [one.y_mm for one in body.skin]
    sections = np.array([one.points_mm for one in body.skin])
    nose = sections.shape[1] // 2
    gaps = []
    for y in np.linspace(0.0, pack[:, 1].max(), 201):
        index = min(int(np.searchsorted(stations, y, side="right")) - 1, len(stations) - 2)
        share = (y - stations[index]) / (stations[index + 1] - stations[index])
        here = sections[index] + share * (sections[index + 1] - sections[index])
        top, bottom = here[: nose + 1][::-1], here[nose:]
        gaps.append((np.interp(x, *top.T) - pack[:, 2].max(), pack[:, 2].min() - np.interp(x, *bottom.T)))
    return np.min(gaps, axis=0)


def test_figure_of_the_plan(result, design):
    shapes = figure_shapes("planform", result)
    half = max(design.outline.y_mm)
    outline = shapes["outline right"][0]
    scale = half / np.ptp(outline[:, 0])
    origin = np.array([outline[:, 0].min(), outline[:, 1].max()])  # the nose, on the centre line
    parts = {name: [(one - origin) * scale for one in every] for name, every in shapes.items()}
    for solid in design.body.solids:
        name = f"part {solid.name}"
        if name in parts:
            low, high = mesh(solid).min(0), mesh(solid).max(0)
            wanted = [(solid.name, np.array([low[1], -high[0]]), np.array([high[1], -low[0]]))]
            assert missing_boxes(wanted, extents(parts[name])) == []
            assert missing_boxes(wanted, [(a + SHIFT, b + SHIFT) for a, b in extents(parts[name])])
    for name in ("joiner", "motor", "pocket servo"):
        assert f"part {name}" in parts
    for name, line in rods(design.body).items():
        drawn = parts[" ".join(word for word in name.split() if word not in ("top", "bottom"))]
        start = [0.0, -line[0, 0]] if abs(line[0, 1] + line[1, 1]) < 0.01 else [line[0, 1], -line[0, 0]]
        wanted = [np.array([start, [line[1, 1], -line[1, 0]]])]
        assert missing_lines(wanted, drawn) == [] and missing_lines(wanted, [one + SHIFT for one in drawn])


def test_drawing_on_the_first_screen_of_the_page(result, design):
    text = page(result, anyway=True, drawn={})
    paths = dict(re.findall(r'data-part="(\w+)" d="([^"]*)"', text))

    def drawn(part):
        return [np.array(re.findall(r"(-?[\d.]+) (-?[\d.]+)", path), float) for path in paths[part].split("M")[1:]]

    for part, kinds in (("joiner", ("joiner",)), ("pockets", ("pocket", "board", "motor"))):
        assert missing_boxes(boxes(design.body, kinds, [1, 0]), extents(drawn(part))) == []
    for line in rods(design.body).values():
        start = [0.0, line[0, 0]] if abs(line[0, 1] + line[1, 1]) < 0.01 else [line[0, 1], line[0, 0]]
        wanted = [np.array([start, [line[1, 1], line[1, 0]]])]
        assert missing_lines(wanted, drawn("rods")) == [] and missing_lines(
            wanted, [one + SHIFT for one in drawn("rods")]
        )


# ---- the PDF


@pytest.mark.thorough
def test_section_through_the_pack_in_the_pdf(result, design):
    (pack,) = [mesh(solid) for solid in design.body.solids if solid.kind == "pack"]
    size = np.ptp(pack, axis=0)[[1, 2]]
    (sheet,) = [each for each in all_sheets(result, "a4") if each.title.startswith("Section through the pack")]
    written = BytesIO()
    with PdfPages(written) as pages:
        pages.savefig(sheet.figure)
    (stream,) = page_streams(written.getvalue())
    found = [
        POINT * np.array(re.findall(r"([-\d.]+) ([-\d.]+) [ml]", path), float)
        for path in re.findall(r"((?:[-\d.]+ [-\d.]+ [ml]\s+|h\s+)+)", stream)
    ]
    drawn = [points for points in found if len(points) > 3 and np.abs(np.ptp(points, axis=0) - size).max() < 0.01]
    (place,) = {tuple(points.min(0).round(3)) for points in drawn}
    origin = np.array(place) - [-pack[:, 1].max(), pack[:, 2].min()]
    for solid in design.body.solids:
        low, high = mesh(solid).min(0), mesh(solid).max(0)
        if solid.kind in ("bay", "lid") and low[0] < pack[:, 0].max() < high[0]:
            wanted = [(solid.name, np.array([-high[1], low[2]]), np.array([-low[1], high[2]]))]
            shifted = extents([points - origin for points in found])
            assert missing_boxes(wanted, shifted) == []
            assert missing_boxes(wanted, [(a + SHIFT, b + SHIFT) for a, b in shifted])
