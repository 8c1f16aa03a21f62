"""Tests of ``tradestudy bands``: the table, the sentence, the JSON, and what is refused."""

import json

import pytest
from helpers.few_inputs import keep_few_inputs
from helpers.places import STUDIES
from helpers.readers.output_reader import terminal_faults

from tradestudy.__main__ import main
from tradestudy.commands import assess as command


@pytest.mark.thorough
def test_bands_as_json_and_as_table(capsys, monkeypatch):
    keep_few_inputs(monkeypatch)
    results, bands = [], command.bands  # computed once, printed twice
    monkeypatch.setattr(
        command, "bands", lambda *given: results[0] if results else results.append(bands(*given)) or results[0]
    )
    arguments = ["bands", str(STUDIES / "dunlin.toml")]
    assert main([*arguments, "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["command"] == "tradestudy bands dunlin.toml"
    scores = [row["score"] for row in document["input_effects"]]
    assert scores == sorted(scores, reverse=True) and {row["kind"] for row in document["input_effects"]} == {
        "assumed",
        "listed",
        "measured",
    }
    assert main(arguments) == 0
    printed = capsys.readouterr().out
    assert terminal_faults(printed, "bands", most_lines=40) == []
    out = " ".join(printed.split())
    first = next(
        row for row in document["input_effects"] if row["kind"] != "measured" and not row["key"].startswith("fly.")
    )
    assert f"easure {first['key']} (" in out and document["uncertainty"]["measure_first"] in out
    assert all(head in out for head in ("key assumed", "could", "range")) and "not proof of airworthiness" in out


def test_a_span_below_the_stock_wing_is_refused(capsys):
    assert main(["bands", str(STUDIES / "godwit.toml"), "--span", "500 mm"]) == 2
    assert "below the stock span" in capsys.readouterr().err
