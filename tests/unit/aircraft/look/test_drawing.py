"""The quick drawing of a wing shows the same places as its whole body."""

from dataclasses import replace

import pytest

from tradestudy.aircraft.body.assembly import design_body
from tradestudy.aircraft.look.drawing import drawing_of
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.aircraft.workshop.outline import design_outline
from tradestudy.commands.look.work import Work
from tradestudy.report.body_views import cut_along, section_along

NOT_DRAWN = ("elevon", "strip", "fin", "propeller")  # of no use in a section of the centre


@pytest.fixture(scope="module")
def work(godwit_study):
    return Work(godwit_study)


@pytest.mark.parametrize(
    "edits",
    [{}, {"rods.rear.at_centre": "ends"}, {"rods.rear.at_centre": "cross over"}, {"rods.front.inner_end": "0 mm"}],
    ids=["lap", "ends", "cross over", "from the centre"],
)
def test_it_has_the_places_of_the_whole_body(work, edits):
    edited = work.edited(edits) if edits else work
    choice = edited.stock_choice
    variables = edited.anchor.variables | {"extension": 0.12, "sweep": 0.4}
    design = EvaluatedDesign(edited.study, edited.space.data(choice), choice, variables)
    drawn, body, outline = drawing_of(design), design_body(design), design_outline(design)
    ours, whole = (
        sorted((cut.name, cut.points.round(6).tolist()) for cut in cut_along(each, 0.0) if cut.kind not in NOT_DRAWN)
        for each in (drawn.body, body)
    )
    assert ours == whole and len(ours) > 5
    for one, other in zip(section_along(drawn.body, 0.0), section_along(body, 0.0), strict=True):
        assert one.tolist() == other.tolist()
    assert drawn.outline.parts == outline.parts
    assert replace(drawn.outline, rods=[], equipment=[]) == replace(outline, rods=[], equipment=[], kept_apart=[])
    assert [(rod.name, rod.across) for rod in drawn.outline.rods] == [(rod.name, rod.across) for rod in outline.rods]
    for one, other in zip(drawn.outline.rods, outline.rods, strict=True):
        for name in ("from_x_mm", "from_y_mm", "to_x_mm", "to_y_mm"):
            assert getattr(one, name) == pytest.approx(getattr(other, name), abs=2e-3), one.name
    places = {(thing.name, thing.x_mm, *thing.across_mm) for thing in outline.equipment}
    assert {(thing.name, thing.x_mm, *thing.across_mm) for thing in drawn.outline.equipment} == places
