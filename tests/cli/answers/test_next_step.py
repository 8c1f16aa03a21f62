"""What `assess` and `stretch` print at their end: the next question to ask, and what ends the table of spans."""

import math
import shlex
from dataclasses import replace
from pathlib import Path

import pytest
from helpers.invented.invented_bench import cutting_of
from helpers.invented.invented_result import sample_result
from helpers.places import GODWIT, STUDIES

from tradestudy.__main__ import main
from tradestudy.cli.assess import _next_command
from tradestudy.cli.stretch import _print_what_stops
from tradestudy.cli.study_request import StudyRequest
from tradestudy.commands.requested_wing import RequestedWing, requested_wing
from tradestudy.results.cutting import Cutting
from tradestudy.results.json_form import part_from_json

LONGEST = 1800.0  # of the Godwit [mm]


@pytest.fixture
def result():
    return sample_result(recommended=None)  # as of the command assess, whose wing is ``best``


def as_today(result):
    """Return a result whose best wing has the panels and parts of the stock wing."""
    kept = part_from_json(Cutting, cutting_of(600.0, 300.0) | {"panels_kept": True})
    return replace(result, best=replace(result.best, cutting=kept, choices=result.stock.choices))


def test_commands_that_follow_use_the_same_factors_and_keys(result):
    study = StudyRequest(GODWIT, ["fly.wind=6 m/s"], fitted=Path("my factors.toml"))
    words = shlex.split(_next_command(result, study))
    assert words == ["buildsheet", str(GODWIT), "--set", "fly.wind=6 m/s", "--fitted", "my factors.toml"]


def breaking(result):
    broken = replace(result.best.limits[0], met=False, margin=-0.2)
    return replace(result, best=replace(result.best, limits=[broken, *result.best.limits[1:]]))


def test_the_sheet_comes_next_only_for_a_wing_to_be_built(result):
    study = StudyRequest(GODWIT)
    assert _next_command(result, study) == f"buildsheet {GODWIT}"
    asked = RequestedWing(span=1.3, static_margin=0.075, sweep=math.radians(24.0), parallel=2, propeller="10x6")
    command = _next_command(result, study, asked)
    assert command == (
        f'buildsheet {GODWIT} --span "1300 mm" --sweep "24 deg" --static-margin "7.5 %" --parallel 2 --propeller 10x6'
    )
    given = dict(zip(*2 * [iter(shlex.split(command)[2:])], strict=True))
    typed = {name[2:].replace("-", "_"): int(value) if value.isdigit() else value for name, value in given.items()}
    again = requested_wing(typed)
    assert {each: getattr(again, each) for each in typed} == pytest.approx(
        {each: getattr(asked, each) for each in typed}
    )
    assert _next_command(as_today(result), study) == f"stretch {GODWIT}"
    assert _next_command(breaking(result), study) == f"optimise {GODWIT}"
    assert _next_command(breaking(result), study, RequestedWing(span=1.04)) == f'grid {GODWIT} "span=1040 mm"'
    assert _next_command(breaking(result), study, RequestedWing(parallel=2)) == f"optimise {GODWIT}"


def up_to(result, span):
    last = result.span_trade[-1]
    return replace(result, span_trade=[replace(last, numbers=replace(last.numbers, span_mm=span))])


def test_what_ends_the_table_of_spans_is_told(result, capsys):
    _print_what_stops(up_to(result, LONGEST), StudyRequest(GODWIT))
    assert capsys.readouterr().out == ""  # the longest span of the study
    _print_what_stops(up_to(result, 1600.0), StudyRequest(GODWIT))
    printed = " ".join(capsys.readouterr().out.split())
    assert printed.startswith("No longer wing that was tried, up to 1800 mm, meets every limit.")
    assert " What stops it at 1600 mm: " in printed


@pytest.mark.parametrize("words", [["assess", "--span", "939.7 mm"], ["grid", "span=939.7", "--as-stock"]])
def test_a_span_just_below_that_of_the_stock_wing_is_told_from_it(words, tmp_path, monkeypatch, capsys):
    """Check the digits of a wing of 37 inches, which are 939.8 mm."""
    monkeypatch.chdir(tmp_path)
    assert main([words[0], str(STUDIES / "dunlin.toml"), *words[1:]]) == 2
    said = capsys.readouterr().err
    assert "939.7" in said and "939.8 mm" in said
