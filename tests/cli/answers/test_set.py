"""``--set key=value``: what is told, what is refused, and what the results hold. No model of a whole wing runs."""

import json

import pytest
from helpers.places import ROOT

from tradestudy.__main__ import main
from tradestudy.cli.study_request import StudyRequest


@pytest.fixture(autouse=True)
def at_the_root(monkeypatch):
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("COLUMNS", "110")


def run(capsys, *arguments):
    code = main(list(arguments))
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def test_the_first_lines_tell_what_was_set(capsys):
    code, out, _ = run(
        capsys, "check", "studies/godwit.toml", "--set", "fly.wind=6 m/s", "--set", "equipment.camera.mass=80 g"
    )
    lines = out.splitlines()
    assert code == 0
    assert lines[:2] == [
        "Set for this result: fly.wind = 6 m/s (in the file: 4 m/s, assumed);",
        "  equipment[1].mass = 80 g (camera and video transmitter; in the file: 85 g).",
    ]
    assert lines[2].startswith("Note: equipment[1].mass describes the stock wing: its weight (1840 g)")
    assert "studies/godwit.toml is fine" in out


def test_json_holds_the_keys_and_nothing_else_is_printed(capsys):
    code, out, _ = run(capsys, "check", "studies/godwit.toml", "--set", "fly.wind=6 m/s", "--json")
    assert code == 0
    assert json.loads(out)["set_keys"] == [{"key": "fly.wind", "value": "6 m/s", "was": "4 m/s, assumed", "name": ""}]


@pytest.mark.parametrize(
    "arguments, words",
    [
        (["check", "--set", "fly.wind"], '--set "fly.wind" sets no key. Write key=value, such as'),
        (["check", "--set", "=3 m/s"], '--set "=3 m/s" sets no key.'),
        (["check", "--set", "fly.wind="], "--set fly.wind=: fly.wind is not given in the file, so there is nothing to"),
        (["check", "--set", "stock.span="], "--set stock.span=: stock.span is missing"),
        (["check", "--set", "fly.wind=3 m/s", "--set", "fly.wind=4 m/s"], "--set sets fly.wind twice."),
        (["optimise", "--set", "fly.winds=3 m/s"], '--set fly.winds=3 m/s: "fly.winds" is not a known key.'),
        (["front", "--set", "stock.span=56 mm"], "--set stock.span=56 mm: stock.span is"),
        (["compare"], "Nothing to compare with."),
        (["compare", "--with", "fly.wind=3"], '--with fly.wind=3: fly.wind is "3", without a unit'),
    ],
)
def test_wrong_settings_are_refused_before_any_work(capsys, monkeypatch, arguments, words):
    monkeypatch.setattr("tradestudy.cli.session.open_session", lambda *given, **more: pytest.fail("work has begun"))
    command, *options = arguments
    code, out, err = run(capsys, command, "studies/godwit.toml", *options)
    assert code == 2 and words in " ".join(err.split()) and "Traceback" not in err


def test_a_request_is_told_as_it_is_typed():
    both = StudyRequest(ROOT / "studies" / "godwit.toml", ["fly.wind=6 m/s"], [("--with", "fly.wind=8 m/s")])
    assert both.changes == {"fly.wind": "8 m/s"}  # B alone
    assert both.name == 'godwit.toml --set "fly.wind=6 m/s" --set "fly.wind=8 m/s"'
    assert both.read().fly.wind == 8.0
