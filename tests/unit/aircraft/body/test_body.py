"""The body of invented wings in which everything fits, checked by libraries for meshes."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from helpers.references.body_checks import TINY, BodyChecks
from helpers.wings.fitting_wings import PLAIN, RICH, light_design, random_designs, read_tables

from tradestudy.aircraft.body.assembly import design_body
from tradestudy.physics.flight import layout
from tradestudy.study.reader import read_study

RANDOM, SEED = 10, 20240229
STUDIES = sorted((Path(__file__).parents[4] / "studies").glob("*.toml"))


@pytest.fixture(scope="module")
def checks(tmp_path_factory):
    """Return a function for the BodyChecks of a wing by name."""
    folder = tmp_path_factory.mktemp("wings")
    wings = {"plain": PLAIN, "rich": RICH}
    drawn = list(random_designs(SEED, RANDOM, folder))

    @cache
    def of_wing(name):
        design = light_design(read_tables(wings[name], folder)) if name in wings else drawn[int(name)]
        return BodyChecks(design_body(design), design)

    return of_wing


WINGS = ["plain", "rich", *(str(number) for number in range(RANDOM))]


@pytest.mark.parametrize("wing", WINGS)
def test_meshes_are_closed_and_as_large_as_stated(checks, wing):
    assert checks(wing).mesh_faults() == []


@pytest.mark.parametrize("wing", WINGS)
def test_no_two_materials_cross(checks, wing):
    assert checks(wing).crossings() == []


@pytest.mark.parametrize("wing", WINGS)
def test_everything_lies_inside_what_holds_it(checks, wing):
    assert checks(wing).what_sticks_out() == []


@pytest.mark.parametrize("wing", WINGS)
def test_foam_is_the_skin_less_all_that_is_cut_from_it(checks, wing):
    volume, middle = checks(wing).foam()
    body = checks(wing).body
    assert volume == pytest.approx(1e3 * body.foam_cm3, rel=4e-4)
    assert middle == pytest.approx(np.array(body.foam_centroid_mm), abs=0.4)  # mm


@pytest.mark.parametrize("wing", WINGS)
def test_the_foam_that_the_search_weighs_is_that_of_the_body(checks, wing):
    body, design = checks(wing).body, checks(wing).design
    laid, choice, place = design.data.layout, design.choice, np.array(0.0)
    one = layout.WingChoice(
        np.array(design.variables["extension"]),
        np.array(laid.stock.sweep),
        np.array(laid.stock.washout),
        choice.rod_diameter,
        choice.rod_pairs,
    )
    foam = layout.design_lumps(layout.StretchedWing(laid, one), place).lumps["foam"]
    assert 1e6 * foam.mass / laid.materials.foam_density == pytest.approx(body.foam_cm3, rel=1.5e-3)
    assert 1e3 * foam.moment / foam.mass == pytest.approx(body.foam_centroid_mm[0], abs=0.4)  # mm


@pytest.mark.parametrize("longer", [0.0, 0.1])  # share of the span
@pytest.mark.parametrize("study", STUDIES, ids=lambda path: path.stem)
def test_the_wings_of_the_demonstrations_can_be_built(study, longer):
    """Check that every stock wing of the demonstrations and a longer one are sound bodies, with the foam as stated."""
    found = read_study(study)
    one = BodyChecks(design_body(light_design(found, longer * found.stock.span)))
    assert (one.mesh_faults(), one.crossings(), one.what_sticks_out()) == ([], [], [])
    assert one.foam()[0] == pytest.approx(1e3 * one.body.foam_cm3, rel=1e-4)


def test_every_demonstration_is_built():
    assert len(STUDIES) == 6


@pytest.mark.parametrize("wing", ["plain", "rich"])
def test_elevons_and_strips_end_at_the_skin(checks, wing):
    one = checks(wing)
    for name, solid in one.records.items():
        if solid.kind in ("elevon", "strip"):
            assert (one.solids[name] ^ one.around("skin")).volume() < 2e-3 * 1e3 * solid.volume_cm3, name


def test_every_kind_of_part_is_there(checks):
    assert [solid.name for solid in checks("rich").body.solids] == [
        "bay nose", "lid nose", "lower lid nose", "bay camera", "lid camera", "pack",
        "equipment camera", "hole of receiver", "equipment receiver", "hole of GPS", "equipment GPS",
        "hole of power module", "equipment power module",
        "rod main top 1", "rod main bottom 1", "rod main top 2", "rod main bottom 2",
        "rod tube middle", "bore of rod tube middle", "rod tube middle, left", "bore of rod tube middle, left",
        "joiner channel", "joiner", "pocket servo",
        "motor slot", "inner strip", "elevon", "fin above", "fin below", "fin", "motor", "propeller",
    ]  # fmt: skip
    assert [solid.name for solid in checks("plain").body.solids if solid.kind == "board"] == ["board nose"]


@pytest.mark.parametrize(
    ("wing", "name"),
    [
        ("plain", "bay nose"),
        ("plain", "rod main top"),
        ("rich", "bay camera"),
        ("rich", "lid nose"),
        ("rich", "pack"),
        ("rich", "joiner"),
        ("rich", "hole of GPS"),
    ],
)
def test_the_checks_see_one_millimetre(checks, wing, name):
    one = checks(wing)
    distance, direction = one.tightest(name)
    margin = distance - one.records[name].clearance_mm
    assert not one.sticks_out(name, (margin - 1.0) * direction)
    assert one.sticks_out(name, (margin + 1.0) * direction)


def test_the_checks_see_a_crossing_an_open_mesh_and_a_wrong_volume(checks):
    body = checks("plain").body
    index = next(number for number, solid in enumerate(body.solids) if solid.kind == "rod")
    rod = body.solids[index]
    pack = next(solid for solid in body.solids if solid.name == "pack")
    step = np.array(pack.centroid_mm) - np.array(rod.vertices_mm[:12]).mean(axis=0)
    moved = replace(rod, vertices_mm=(np.array(rod.vertices_mm) + step).tolist())
    crossings = BodyChecks(replace(body, solids=[*body.solids[:index], moved, *body.solids[index + 1 :]])).crossings()
    assert (pack.name, rod.name) in [pair[:2] for pair in crossings]
    assert all(pair[2] > TINY for pair in crossings)
    heavy = replace(pack, volume_cm3=1.006 * pack.volume_cm3)
    faults = BodyChecks(replace(body, solids=[heavy])).mesh_faults()
    assert [fault[:2] for fault in faults] == [("pack", "volume")]
    wide = np.array(pack.vertices_mm) * [1.0, 2.0, 1.0]
    faults = BodyChecks(replace(body, solids=[replace(pack, vertices_mm=wide.tolist())])).mesh_faults()
    assert [fault[:2] for fault in faults] == [("pack", "volume")]


def test_a_skin_has_equal_points_from_the_trailing_edge_over_the_top(checks):
    sections = checks("rich").body.skin
    assert len({len(section.points_mm) for section in sections}) == 1
    assert [section.y_mm for section in sections] == sorted(section.y_mm for section in sections)
    points = np.array(sections[0].points_mm)
    nose = points[:, 0].argmin()
    assert points[0, 0] == pytest.approx(370.0, abs=1e-3) and points[nose] == pytest.approx([0.0, 0.0], abs=1e-3)
    assert points[:nose, 1].mean() > points[nose + 1 :, 1].mean()
