"""Commands that the program suggests can be given as they stand: on one line, quoted, with what was typed."""

import re
import shlex
import shutil
from pathlib import Path

import pytest
from helpers.places import STUDIES

from tradestudy.__main__ import main
from tradestudy.cli import output, terminal

NAMES = ["lapwing.toml", "my wings/Stelze 2 (neu).toml", "a folder with a rather long name/and one within/l & k.toml"]


def suggested(printed):
    """Return the words of each command in what was printed, without the name of the program."""
    return [shlex.split(line)[1:] for line in re.findall(r"^(?:.*: )?(tradestudy [a-z]+ .*)$", printed, re.MULTILINE)]


@pytest.mark.parametrize("name", NAMES)
def test_what_check_suggests_can_be_given(name, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    Path(name).parent.mkdir(parents=True, exist_ok=True)
    shutil.copy(STUDIES / "lapwing.toml", name)
    given = [name, "--set", "fly.wind=5 m/s"]
    assert main(["check", *given]) == 0
    commands = suggested(capsys.readouterr().out)
    assert commands == [["bands", *given], ["assess", *given], ["check", *given, "--all"]]
    assert main(commands[-1]) == 0


def test_the_command_that_shows_all_is_the_one_that_was_typed(capsys):
    with output.typed_as(["assess", "my wing.toml", "--span", "1300 mm", "--units", "imperial"]):
        output.say_end("", "every number", False)
    words = ["assess", "my wing.toml", "--span", "1300 mm", "--units", "imperial", "--all"]
    assert suggested(capsys.readouterr().out) == [words]


@pytest.mark.parametrize(
    ("words", "whole"),
    [
        ("For more than a few words: tradestudy assess wing.toml --all", True),
        ("Two of them help: tradestudy run finds a wing, and the page shows it.", False),
        ("For more: tradestudy keys", False),
    ],
)
def test_a_command_at_the_end_of_a_sentence_is_not_broken(words, whole):
    lines = terminal.sentence_lines(words, 30)
    assert " ".join(lines) == words
    assert lines[-1].startswith("tradestudy ") == whole
