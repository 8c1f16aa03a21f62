"""Odd wings: without rods, straight, with inboard fins, with a joiner. No number is missing or wild."""

import json
import math
import re

import pytest
from helpers.wings.odd_wings import ODD, written

import tradestudy as ts
from tradestudy.__main__ import main
from tradestudy.commands.study_session import StudySession
from tradestudy.report.words.load_test import load_test_rows, load_test_words
from tradestudy.results.result import Result
from tradestudy.study.reader import read_study

NO_RODS = [name for name in ODD if "rods" not in name]
# a push-over without any load is allowed too
EDITS = {"no bays": (("[fly]", "[fly]\npush_over = 0"),)}
WILD = re.compile(r"(?<![\w-])(nan|inf|infinity)(?![\w-])", re.IGNORECASE)


@pytest.fixture(scope="module")
def opened(tmp_path_factory):
    """Return a function for the open session of an odd wing and its assessed wing, each computed once."""
    folder, kept = tmp_path_factory.mktemp("odd"), {}

    def of(name) -> tuple[StudySession, Result]:
        if name not in kept:
            session = StudySession(read_study(written(folder, name, *EDITS.get(name, ()))), "assess")
            kept[name] = session, ts.assess(session, span="1300 mm")
        return kept[name]

    yield of
    for session, _ in kept.values():
        session.close()


@pytest.mark.thorough
@pytest.mark.parametrize("name", ODD)
def test_a_wing_that_flies_has_every_number_and_is_not_broken(opened, name):
    session, result = opened(name)
    json.loads(result.to_json())  # refuses numbers that are not finite
    assert session.anchor.reference.failure_load_factor >= 2.0 * (1 - 1e-6)
    for design in (result.stock, result.best):
        assert 0 < design.numbers.range_km < 200 and design.numbers.tip_deflection_mm > 0
        for case in design.structure:
            breaks = case.failure_load_factor
            assert breaks is None if case.load_factor == 0 else breaks and math.isfinite(breaks)


@pytest.mark.parametrize("name", NO_RODS)
def test_a_wing_without_rods_says_nothing_of_rods(opened, name):
    design = opened(name)[1].best
    assert design.choices.rod_pairs == 0 and design.numbers.rod_length_mm == 0
    words = [case.mode for case in design.structure] + [row.mode for row in design.structure_checks]
    words += [*load_test_words(opened(name)[1]), *(text for row in load_test_rows(opened(name)[1]) for text in row)]
    assert not any("rod" in word for word in words)


COMMANDS = (
    ("joiner", "check"),
    ("straight", "optimise"),
    ("inboard fins", "cruise", "--anyway"),
)


@pytest.mark.thorough
@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[1])
def test_commands_print_plain_numbers(words, tmp_path, capsys):
    name, command, *options = words
    assert main([command, str(written(tmp_path, name)), *options]) in (0, 1)
    told = capsys.readouterr()
    assert told.out and not WILD.search(told.out + told.err)
