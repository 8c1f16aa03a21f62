"""The body of a wing as a glTF file, read back by a library; what happens without the library."""

from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
import trimesh
from helpers.invented.invented_result import bench
from helpers.wings.fitting_wings import RICH, light_design, read_tables

from tradestudy.aircraft.body.assembly import design_body
from tradestudy.cli import run
from tradestudy.report.build_sheet import body_file, sheet


@pytest.fixture(scope="module")
def body(tmp_path_factory):
    return design_body(light_design(read_tables(RICH, tmp_path_factory.mktemp("wing"))))


@pytest.fixture(scope="module")
def result(body):
    plain = bench()
    return replace(plain, recommended=replace(plain.recommended, body=body))


def test_parts_keep_name_place_and_volume_in_metres(body):
    content = body_file.body_file(body)
    assert content == body_file.body_file(body)  # no date and no random name in the file
    scene = trimesh.load(BytesIO(content), file_type="glb")
    for solid in body.solids:
        mesh = scene.geometry[solid.name]
        mesh.merge_vertices()
        assert 1e6 * mesh.volume == pytest.approx(solid.volume_cm3, rel=5e-3), solid.name
        x, y, z = 1e-3 * np.array(solid.centroid_mm)
        assert mesh.center_mass == pytest.approx([-y, z, -x], abs=1e-3)
        pair = f"{solid.name}, left half" in scene.geometry
        assert pair == (np.array(solid.vertices_mm)[:, 1].min() >= 0.0)
    mirrored = scene.geometry["elevon, left half"]
    mirrored.merge_vertices()
    assert mirrored.volume > 0 and mirrored.center_mass[0] > 0
    assert np.ptp(scene.geometry["skin"].vertices[:, 0]) == pytest.approx(1.25, abs=1e-5)


def test_a_build_sheet_has_it_only_with_the_library(result, tmp_path, monkeypatch):
    monkeypatch.setattr(sheet, "build_sheet", lambda *asked: b"sheet")
    with_it = {path.name for path in sheet.save_build_sheet(result, tmp_path / "with")}
    monkeypatch.setattr(body_file.importlib.util, "find_spec", lambda name: None)
    without = {path.name for path in sheet.save_build_sheet(result, tmp_path / "without")}
    assert with_it - without == {"body.glb"}


def test_a_run_says_in_one_sentence_that_the_library_is_missing(result, tmp_path, monkeypatch, capsys):
    run._print(result, tmp_path, [], [tmp_path / "build_sheet.pdf"], "s.toml", False)
    assert "body.glb" in capsys.readouterr().out
    monkeypatch.setattr(body_file.importlib.util, "find_spec", lambda name: None)
    run._print(result, tmp_path, [], [tmp_path / "build_sheet.pdf"], "s.toml", False)
    words = " ".join(capsys.readouterr().out.split())
    assert (
        "There is no body.glb, the wing as a solid for viewers: it needs the library trimesh, which is not installed: "
        'pip install "tradestudy[mesh]".'
    ) in words
