"""Tests of ``tradestudy compare`` on two stored wings, from invented results whose numbers are known."""

import json
from dataclasses import replace

import pytest
from helpers.invented.invented_result import sample_result
from helpers.invented.invented_wing import design
from helpers.readers.output_reader import terminal_faults

from tradestudy.__main__ import main

FIRST = """\
[stock]
span = "50 in"
root_chord = "235 mm"
[[equipment]]
name = "servos"
mass = "52 g"
[[equipment]]
name = "camera"
mass = "60 g"
[stretch]
scheme = "scaled"
span = ["1240 mm", "1800 mm"]
"""
# edits: the same span in another unit, equipment in another order, one item heavier, a required climb
SECOND = """\
[stock]
span = "1270 mm"
root_chord = "23.5 cm"
[[equipment]]
name = "camera"
mass = "75 g"
[[equipment]]
name = "servos"
mass = "0.052 kg"
[stretch]
scheme = "tip"
span = ["1.24 m", "1800 mm"]
[limits]
climb = "3 m/s"
"""
OPEN = [
    {"key": "limits.climb", "value": "2 m/s", "origin": "", "band": "", "moves": "", "is_choice": True},
    {"key": "equipment[2].power", "value": "6 W", "origin": "", "band": "", "moves": "", "is_choice": False},
]


@pytest.fixture
def kept(tmp_path):
    """Return two folders of results, 1480 mm and 81.3 km against 1390 mm and 57 km, of study files that differ."""
    wing = design("recommended", 1390.0, 1260.0, 57.0, 1, ("tip_deflection",))
    results = {
        "one": sample_result(study_text=FIRST, defaults_used=OPEN),
        "other": sample_result(
            study_text=SECOND,
            study_name="Plover",
            recommended=wing,
            defaults_used=[OPEN[1] | {"key": "equipment[1].power"}],
        ),
    }
    for name, result in results.items():
        (tmp_path / name).mkdir()
        (tmp_path / name / "summary.json").write_text(result.to_json(), encoding="utf-8")
    return tmp_path / "one", tmp_path / "other"


def test_in_words_numbers_and_keys(kept, capsys):
    one, other = kept
    assert main(["compare", str(one), str(other), "--json"]) == 0
    said = capsys.readouterr()
    document = json.loads(said.out)
    assert said.err == ""
    assert document["numbers"]["span_mm"] == {"first": 1480.0, "second": 1390.0, "difference": -90.0}
    assert document["numbers"]["first_failure"]["difference"] is None
    keys = {each["key"]: (each["first"], each["second"]) for each in document["keys"]}
    assert keys == {
        "equipment[camera].mass": ("60 g", "75 g"),
        "stretch.scheme": ("scaled", "tip"),
        "limits.climb": ("2 m/s (assumed)", "3 m/s"),
    }
    first = sample_result().recommended.numbers
    words = " ".join(document["words"])
    assert "B has 90 mm less span (1390 against 1480 mm)." in words
    gap = first.range_km - 57.0
    assert (
        f"B flies {gap:.0f} km less far on one charge in still air (57 against {first.range_km:.0f} km, "
        f"{100 * gap / first.range_km:.0f} %)." in words
    )
    assert f"B weighs {first.auw_g - 1260:.0f} g less" in words
    assert "A is built with 4S2P, 2 pairs of 3 mm rods, 10x7 propeller; B with 4S1P" in words
    assert "B meets every limit; limited by: bend of the tips in a pull-up." in words


def test_printed_it_fits_and_says_the_same(kept, capsys, monkeypatch):
    monkeypatch.chdir(kept[0].parent)
    assert main(["compare", "one", "other/summary.json"]) == 0
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= 80 and "not proof of airworthiness" in " ".join(out.split())
    assert "A: Godwit, stretched wing, 1480 mm, from one" in out.splitlines()
    assert terminal_faults(out, "compare", most_lines=60) == []
    (span,) = [line.split() for line in out.splitlines() if line.startswith("Span [mm]")]
    assert span[2:] == ["1480", "1390", "−90"]
    (row,) = [line.split() for line in out.splitlines() if "equipment[camera].mass" in line]
    assert row[1:5] == ["60", "g", "75", "g"]
    assert "stock.span" not in out and "Fin volume" not in out  # numbers that are equal in both wings are not listed
    assert main(["compare", "one", "other", "--all"]) == 0
    assert "Fin volume" in capsys.readouterr().out


def test_a_wing_beside_itself_is_alike(kept, capsys):
    assert main(["compare", str(kept[0]), str(kept[0])]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "both are the same" in out and "The study files have equal keys and values." in out and "B less A" not in out


def test_which_wing(kept, capsys):
    assert main(["compare", *map(str, kept), "--wing", "stock", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert (document["first"]["label"], document["second"]["label"]) == ("stock", "stock")
    assert document["numbers"]["span_mm"]["difference"] == 0


def test_a_purpose_that_differs_is_said():
    from tradestudy.report.words.comparison import Side, difference_sentences

    one = sample_result()
    other = replace(one, purposes=replace(one.purposes, purpose="usual_flight"))
    said = difference_sentences(*(Side(each, each.recommended) for each in (one, other)))
    assert "They were optimised for different things: A for range, B for time in the air." in said


@pytest.mark.parametrize(
    "arguments, message",
    [
        (["empty", "one"], "empty holds no results: it has no summary.json, which tradestudy run writes.\n"),
        (["one", "half.json"], "half.json is not the summary.json of a run, or only part of one.\n"),
        (["one", "list.json"], "list.json: This result was written by another version: all of it has another form"),
        (
            ["one", "earlier.json"],
            "earlier.json: This result was written by another version: stock/numbers has another form now. "
            "Compute it again from its study file.\n",
        ),
        (["one", "none.json"], "none.json cannot be read: No such file or directory.\n"),
        (["one", "none.toml"], "There is no file none.toml.\n"),
        (
            ["one", "other", "--wing", "bets"],
            '--wing "bets" is not known. Did you mean best? Wings: recommended, best, stock.\n',
        ),
        (
            ["one", "other", "--span", "1300mm"],
            "one holds results of an earlier run; a wing can only be requested with a study file.\n",
        ),
    ],
)
def test_what_cannot_be_compared(arguments, message, kept, capsys, monkeypatch):
    folder = kept[0].parent
    (folder / "empty").mkdir()
    (folder / "half.json").write_text('{"study_name": "x", "stock": {', encoding="utf-8")
    (folder / "list.json").write_text("[1]", encoding="utf-8")
    changed = json.loads((folder / "one" / "summary.json").read_text(encoding="utf-8"))
    changed["stock"]["numbers"] = [1, 2]
    (folder / "earlier.json").write_text(json.dumps(changed), encoding="utf-8")
    monkeypatch.chdir(folder)
    assert main(["compare", *arguments]) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.startswith(message) and "Traceback" not in said.err
