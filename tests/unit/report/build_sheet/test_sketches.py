"""The small sketches of the build sheet: what they mark lies where the tables have it."""

from dataclasses import replace

from helpers.invented.invented_result import bench

from tradestudy.report.build_sheet import sketches
from tradestudy.report.build_sheet.plan_drawing import planform_drawing
from tradestudy.report.build_sheet.sheet import all_sheets
from tradestudy.results.cutting import Mark


def test_things_on_the_centre_line_are_drawn_on_it(monkeypatch):
    """The sketch of the underside shows them where the list of equipment has them, their numbers apart."""
    result, dots, numbers = bench(), [], []
    monkeypatch.setattr(sketches.Fitted, "dot", lambda self, x, y, *how: dots.append((x, -y)))
    words = sketches.Fitted.words

    def noted(self, x, y, said, right=0.0, up=0.0, **how):
        if said.isdigit():
            numbers.append((x, -y, right))
        words(self, x, y, said, right, up, **how)

    monkeypatch.setattr(sketches.Fitted, "words", noted)
    places = [30.0, 41.0, 52.0]
    gear = [Mark("pack", 100.0, 0.0), *(Mark(f"thing {x:.0f}", x, 0.0) for x in (41.0, 30.0, 52.0))]
    wing = replace(result.recommended, cutting=replace(result.recommended.cutting, gear=gear))
    all_sheets(replace(result, recommended=wing), "a4")
    assert {(0.0, x) for x in places} <= set(dots)
    sides = [right > 0 for _, _, right in sorted(numbers, key=lambda one: one[1])]
    assert sides == [True, False, True]


def test_a_thing_in_its_hole_has_one_name_in_the_plan():
    design = bench().recommended
    inside = next(solid for solid in design.body.solids if solid.kind == "pocket")
    gear = [replace(inside, name=name, kind=kind) for name, kind in (("equipment buzzer", "equipment"),
                                                                     ("hole of buzzer", "hole"))]  # fmt: skip
    for parts, named in ((gear, "hole of buzzer"), (gear[:1], "equipment buzzer")):
        body = replace(design.body, solids=[*design.body.solids, *parts])
        words = [one.words for one in planform_drawing(replace(design, body=body)).words]
        assert [one for one in words if "buzzer" in one] == [named]


def test_things_without_a_size_have_a_cross_in_the_plan():
    design = bench().recommended
    gear = [Mark("buzzer", 150.0, 0.0, 40.0, "left"), Mark("kite", -300.0, 0.0)]
    drawing = planform_drawing(replace(design, cutting=replace(design.cutting, gear=gear)))
    crosses = [stroke.points.mean(0) for stroke in drawing.shapes if stroke.layer == "equipment"]
    assert sum(abs(x - 40.0) < 1e-6 and abs(y + 150.0) < 1e-6 for x, y in crosses) == 2
    words = [one.words for one in drawing.words]
    assert "middle of buzzer, left half alone" in words and not any("kite" in one for one in words)
