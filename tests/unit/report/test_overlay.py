"""Outputs for one wing laid over one another: templates, plan, tables, page, card and JSON name the same places.

The wing has a tube as joiner, carbon rods of which one reaches the root, and two bays. Places agree within 0.1 mm, and
each comparison finds a drawing that is 0.2 mm off.
"""

import json
import re
from dataclasses import replace

import numpy as np
import pytest

from tradestudy.report.bench_tables import body_part_rows, slot_rows, slot_station_heads, slot_station_rows
from tradestudy.report.build_sheet.plan_drawing import planform_drawing
from tradestudy.report.build_sheet.template_shapes import templates
from tradestudy.report.first_flight import card_parts
from tradestudy.report.page.page import page
from tradestudy.report.words.phrases import violated_limits
from tradestudy.report.words.pilot_card import all_cards

NEAR = 0.1  # mm; tables round to a tenth, so half of that comes on top there
SHIFT = 0.2  # mm, an error that must be found


@pytest.fixture(scope="module")
def design(greenshank_wing):
    return greenshank_wing.best


@pytest.fixture(scope="module")
def plan(design):
    return planform_drawing(design)


@pytest.fixture(scope="module")
def cores(design):
    """Return the section data and the drawing of the templates of root and tip."""
    drawn = {one.name: one for one in templates(design)}
    return [(section, drawn[section.name]) for section in design.cutting.sections]


def layer(drawing, name):
    return [shape.points for shape in drawing.shapes if shape.layer == name]


def spoilt(drawing, name, move):
    """Return a drawing with one layer moved."""
    shapes = [replace(one, points=one.points + move) if one.layer == name else one for one in drawing.shapes]
    return replace(drawing, shapes=shapes)


def edge(lines, station):
    """Return how far behind the nose the foremost of some lines of the plan crosses a station. [mm]"""
    crossed = []
    for line in lines:
        order = np.argsort(line[:, 0], kind="stable")
        if line[:, 0].min() - 1e-6 <= station <= line[:, 0].max() + 1e-6:
            crossed.append(-np.interp(station, *line[order].T))
    return min(crossed)


def leading_edge(plan, station):
    (outline,) = layer(plan, "wing")
    return edge([outline[: len(outline) // 2]], station)


def on_the_plan(section, points):
    """Return how far behind the nose and above its datum points of a template lie on the wing. [mm]"""
    turn = np.radians(section.washout_deg)
    x, z = points.T
    return np.column_stack([
        section.leading_edge_mm + x * np.cos(turn) - z * np.sin(turn),
        section.height_mm + z * np.cos(turn) + x * np.sin(turn),
    ])  # fmt: skip


def chord_faults(plan, cores):
    """Return the differences between edges of the templates' foam and those of the plan at their stations."""
    faults = []
    for section, template in cores:
        (foam,) = layer(template, "foam")
        placed = on_the_plan(section, foam)
        ends = 0.5 * (placed[0, 0] + placed[-1, 0])  # middle of the hinge's face
        nose = on_the_plan(section, np.zeros((1, 2)))[0, 0]
        wanted = leading_edge(plan, section.station_mm), edge(layer(plan, "hinge line"), section.station_mm)
        faults += [(section.name, at, to) for at, to in zip((nose, ends), wanted, strict=True) if abs(at - to) > NEAR]
    return faults


def test_cores_have_the_chords_of_the_plan(plan, cores):
    assert len(cores) == 2 and cores[1][0].washout_deg > 2.0
    assert chord_faults(plan, cores) == []
    for name in ("wing", "hinge line"):
        assert len(chord_faults(spoilt(plan, name, [0.0, SHIFT]), cores)) == 2
    longer = [(section, spoilt(template, "foam", [SHIFT, 0.0])) for section, template in cores]
    assert len(chord_faults(plan, longer)) == 2


def ordinate_faults(design, cores):
    """Return the templates whose foam is not the skin of the body less the film."""
    skin = {round(one.y_mm, 3): np.array(one.points_mm) for one in design.body.skin}
    faults = []
    for section, template in cores:
        start = skin[round(section.station_mm, 3)]
        along = np.diff(start, axis=0)
        (foam,) = layer(template, "foam")
        points = on_the_plan(section, foam[2:-2])[:, None]
        share = np.clip(((points - start[:-1]) * along).sum(2) / (along**2).sum(1), 0, 1)
        apart = np.hypot(*np.moveaxis(start[:-1] + share[..., None] * along - points, 2, 0)).min(1)
        if np.abs(apart - section.film_mm).max() > NEAR:
            faults.append(section.name)
    return faults


def test_cores_have_the_ordinates_of_the_body(design, cores):
    assert ordinate_faults(design, cores) == []
    thicker = [(one, spoilt(template, "foam", [0.0, SHIFT])) for one, template in cores]
    assert ordinate_faults(design, thicker) == ["root", "tip"]


def slot_lines(plan):
    return sorted(layer(plan, "rods"), key=lambda line: -line[0, 1])


def slot_table_faults(design, plan):
    """Return the cells of the tables of slots that lie elsewhere than the slots on the plan."""
    faults = []
    stations = [float(head.rpartition(" ")[2]) for head in slot_station_heads(design)[2:-1]]
    for ends, row, line in zip(slot_rows(design), slot_station_rows(design), slot_lines(plan), strict=True):
        start, end = float(ends[4].partition(",")[0]), float(ends[5].partition(",")[0])
        if np.abs(line[:, 0] - [start, end]).max() > NEAR + 0.05:
            faults.append((row[0], "ends"))
        for at, cell in zip([start, *stations, end], row[1:], strict=True):
            if cell == "–":
                continue
            drawn = -np.interp(at, *line.T) - leading_edge(plan, at)
            if abs(float(cell) - drawn) > NEAR:
                faults.append((row[0], at))
    return faults


def test_table_of_slots_and_plan(design, plan):
    assert len(slot_lines(plan)) == 3
    assert slot_table_faults(design, plan) == []
    assert len(slot_table_faults(design, spoilt(plan, "rods", [0.0, SHIFT]))) >= 6
    assert {where for _, where in slot_table_faults(design, spoilt(plan, "rods", [SHIFT, 0.0]))} >= {"ends"}


def template_slot_faults(plan, cores):
    """Return the slots of the templates, and the dotted marks of rods beyond, off the lines of the plan."""
    faults = []
    for section, template in cores:
        marks = layer(template, "rod slots") + layer(template, "rod lines")
        drawn = [on_the_plan(section, np.array([[mark[:, 0].mean(), 0.0]]))[0, 0] for mark in marks]
        for line in slot_lines(plan):
            (y0, x0), (y1, x1) = line
            at = -(x0 + (x1 - x0) * (section.station_mm - y0) / (y1 - y0))
            if sum(abs(at - one) < NEAR for one in drawn) != 2:  # top and bottom
                faults.append((section.name, at))
    return faults


def test_slots_in_the_templates_lie_on_those_of_the_plan(plan, cores):
    assert [len(layer(template, "rod slots")) for _, template in cores] == [2, 0]  # the rear rods reach the root
    assert template_slot_faults(plan, cores) == []
    assert len(template_slot_faults(spoilt(plan, "rods", [0.0, SHIFT]), cores)) == 6


def box_faults(design, plan):
    """Return the rows of bays, lids, pack, joiner and pocket that no box of the plan matches."""
    faults = []
    layers = {"bay": "bays", "lid": "lids", "pack": "pack", "joiner": "joiner", "pocket": "pockets"}
    for name, across, along, behind, size, _ in body_part_rows(design):
        kind = "joiner channel" if name == "joiner channel" else layers.get(name.split()[0])
        if kind is None:
            continue
        front, back = map(float, along.split(" to "))
        inner, outer = (0.0, float(across.split()[0])) if "each side" in across else map(
            float, re.findall(r"[\d.]+", across)[:2])  # fmt: skip
        wanted = np.array([[inner, -back], [outer, -front]])
        drawn = [np.array([box.min(0), box.max(0)]) for box in layer(plan, kind)]
        width, length = map(float, size.split(" x ")[:2])
        whole = outer - inner if "halves" in across else 2 * outer
        told = abs(width - whole) < NEAR + 0.05 and abs(length - (back - front)) < NEAR + 0.05
        if not told or not any(np.abs(wanted - box).max() < NEAR + 0.01 for box in drawn):
            faults.append(name)
        if abs(float(behind) - (front - leading_edge(plan, inner))) > NEAR and "halves" not in across:
            faults.append((name, "behind the leading edge"))
    return faults


def test_bays_lids_and_joiner_on_the_plan_are_those_of_the_table(design, plan):
    names = [row[0] for row in body_part_rows(design)]
    assert {"bay nose", "bay gear", "lid nose", "lid gear", "joiner channel", "joiner", "pocket servo"} <= set(names)
    assert box_faults(design, plan) == []
    for name, count in (("bays", 2), ("lids", 2), ("pack", 1), ("joiner", 1), ("pockets", 1)):
        assert len(box_faults(design, spoilt(plan, name, [0.0, SHIFT]))) == count


def test_a_flush_lid_is_all_the_foam_above_its_bay(design):
    rows = {row[0]: row for row in body_part_rows(design)}
    for bay in ("nose", "gear"):
        above = rows[f"bay {bay}"][5].partition(",")[0]
        assert rows[f"lid {bay}"][4].rpartition(" ")[2] == above and rows[f"lid {bay}"][5].startswith("0.0,")


@pytest.fixture(scope="module")
def page_text(greenshank_wing):
    return re.sub(r"<[^>]+>", "", page(greenshank_wing)).replace("\N{NO-BREAK SPACE}", " ")


def test_one_balance_mark(greenshank_wing, design, plan, page_text):
    mark = json.loads(greenshank_wing.to_json())["best"]["numbers"]["cg_mm"]
    drawn = {round(-line[0, 1], 3) for line in layer(plan, "balance mark")}
    assert min(abs(mark - one) for one in drawn) < NEAR
    side = next(one for one in templates(design) if one.name == "side_view")
    (line,) = layer(side, "balance mark")
    assert line[:, 0] == pytest.approx(mark, abs=NEAR)
    words = f"{mark:.0f} mm behind the nose"
    assert f"balance mark, {words}" in [one.words for one in plan.words]
    assert re.search(rf"balance {mark:.0f}\b", all_cards(greenshank_wing).partition("stock")[0])
    assert words in page_text


def test_servos_out_in_the_wing_are_in_no_bay(page_text):
    moved = re.search(r"servos: middle \d+ mm behind the nose(.{12})", page_text)
    assert moved and moved.group(1).startswith(" (today")


def test_the_wing_is_one_to_build(design):
    assert violated_limits(design) == []


def test_the_card_pulls_no_harder_than_the_load_test(greenshank_wing, design):
    assert design.load_test.proof.load_factor < design.numbers.limit_load_factor
    points = [str(point) for part in card_parts(greenshank_wing, design) for point in part.points]
    (pull,) = [point for point in points if "pull harder" in point]
    assert f"than {design.load_test.proof.load_factor:.1f} times its weight, which the load test has shown" in pull
