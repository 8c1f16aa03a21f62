"""Fitted factors in commands on one wing: the sheet and the comparison show the wing that the factors make."""

import contextlib
import io
import json

import pytest
from helpers.wings import greenshank

from tradestudy.__main__ import main
from tradestudy.study.schema.fitted import FACTOR_NAMES

STUDY = "greenshank.toml"
WITH = ("--fitted", "fitted.toml")
SAME = ("span_mm", "range_km", "auw_g", "cg_mm", "cruise_current_a", "stall_speed_kmh")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Return a folder with a study, and factors with which its wing has a quarter more drag of sections and fins."""
    folder = tmp_path_factory.mktemp("fitted")
    greenshank.written(folder)
    factors = dict.fromkeys(FACTOR_NAMES, 1.0) | {"drag": 1.25, "foam_density": 1.1}
    lines = [f"{name} = {value}" for name, value in factors.items()]
    (folder / "fitted.toml").write_text("\n".join(["[fitted]", *lines, ""]), encoding="utf-8")
    return folder


def document(folder, *arguments):
    """Run a command in that folder and return its JSON document."""
    said = io.StringIO()
    with contextlib.chdir(folder), contextlib.redirect_stdout(said):
        assert main([*arguments, "--json"]) == 0
    return json.loads(said.getvalue())


@pytest.fixture(scope="module")
def assessed(folder):
    """Return the stretched wing of `assess` with the factors, which flies less far than without them."""
    plain, fitted = (document(folder, "assess", STUDY, "--anyway", *more)["designs"][1] for more in ((), WITH))
    assert fitted["range_km"] < 0.92 * plain["range_km"]  # otherwise the tests show nothing
    return fitted


@pytest.mark.thorough
def test_the_sheet_is_of_the_fitted_wing(folder, assessed, monkeypatch):
    drawn = []
    monkeypatch.setattr(
        "tradestudy.report.build_sheet.sheet.save_build_sheet", lambda result, *asked: drawn.append(result) or []
    )
    sheet = document(folder, "buildsheet", STUDY, "--anyway", *WITH)["design"]
    for name in SAME:
        assert sheet[name] == assessed[name], name
    assert drawn[0].best.numbers.range_km == sheet["range_km"]


@pytest.mark.thorough
def test_a_comparison_is_of_fitted_wings(folder, assessed):
    sides = document(folder, "compare", STUDY, STUDY, *WITH)
    for side in ("first", "second"):
        for name in SAME:
            assert sides[side][name] == assessed[name], name
