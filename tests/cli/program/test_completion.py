"""Tests of completion in the shell, through the entry point that the shell calls."""

import os
import subprocess
import sys

import pytest
from helpers.places import ROOT

from tradestudy.cli import completion
from tradestudy.cli.app import COMMANDS
from tradestudy.cli.grid import read_axes
from tradestudy.quantities.design_inputs import COUNT_INPUTS, PROPELLER_INPUT, QUANTITY_INPUTS
from tradestudy.quantities.objectives import TRADED


def offered(line, capsys, monkeypatch):
    """Return the completions that the shell is offered for the last word of a line."""
    from tradestudy.__main__ import main

    monkeypatch.setenv("_TRADESTUDY_COMPLETE", "complete_bash")
    monkeypatch.setenv("COMP_WORDS", line)
    monkeypatch.setenv("COMP_CWORD", str(len(line.split(" ")) - 1))
    with pytest.raises(SystemExit) as ended:
        main([])
    assert ended.value.code == 0
    return capsys.readouterr().out.split()


@pytest.mark.parametrize(
    "line, expected",
    [
        ("tradestudy co", ["compare"]),
        ("tradestudy check studies/god", ["studies/godwit.toml"]),
        ("tradestudy check stud", ["studies/"]),
        ("tradestudy compare studies/godwit.toml studies/dun", ["studies/dunlin.toml"]),
        ("tradestudy compare a b --wing b", ["best"]),
        ("tradestudy front s.toml --of fl", ["flying_weight"]),
        ("tradestudy front s.toml --against cl", ["climb"]),
        ("tradestudy assess s.toml --span 52", ["52mm", "52cm", "52m", "52in", "52ft", "52um"]),
        ("tradestudy assess s.toml --cruise-speed 14k", ["14km/h", "14kn"]),
        ("tradestudy assess s.toml --sweep 24d", ["24deg"]),
        ("tradestudy grid s.toml sp", ["span="]),
        ("tradestudy buildsheet s.toml --paper l", ["letter"]),
        ("tradestudy check nowhere/at/all/", []),
    ],
)
def test_what_is_offered(line, expected, capsys, monkeypatch):
    monkeypatch.chdir(ROOT)
    assert offered(line, capsys, monkeypatch) == expected


def test_every_command_is_offered(capsys, monkeypatch):
    assert set(offered("tradestudy ", capsys, monkeypatch)) == set(COMMANDS)


def test_quantities_of_a_front_are_those_of_the_search():
    assert [name for name, _ in completion.quantities("")] == list(TRADED)
    assert all(words for _, words in completion.quantities(""))


def test_axes_of_a_grid_are_those_that_it_takes():
    offers = dict(completion.axes(""))
    for name, each in QUANTITY_INPUTS.items():
        assert offers[f"{name}="] == f"first:last:step or a,b,c in {each.unit}"
        middle = each.in_unit(0.5 * (each.least + each.most))
        assert read_axes([f"{name}={middle:.6f}"])[name] == pytest.approx([0.5 * (each.least + each.most)], rel=1e-4)
    assert set(offers) == {f"{name}=" for name in (*QUANTITY_INPUTS, *COUNT_INPUTS, PROPELLER_INPUT)}


def test_files_with_odd_names_do_not_steer_the_shell(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name in ("fine.toml", "bad\x1b[2J.toml", ".hidden.toml", "notes.txt"):
        (tmp_path / name).write_text("", encoding="utf-8")
    assert completion.studies("") == [("fine.toml", "")]
    assert completion.studies(".h") == [(".hidden.toml", "")]


def test_installed_into_a_home_and_shown(tmp_path):
    """Check that ``--install-completion`` writes the script for its shell.

    ``--show-completion`` must print the same.
    """
    door = f"{sys.executable} -m tradestudy"
    surroundings = {**os.environ, "HOME": str(tmp_path), "PYTHONPATH": str(ROOT), "SHELL": "/bin/bash"}
    (tmp_path / ".bashrc").write_text("# mine\n", encoding="utf-8")
    done = subprocess.run(
        ["bash", "-c", f"{door} --show-completion; {door} --install-completion; true"],
        env=surroundings,
        cwd=tmp_path,
        capture_output=True,
        text=True,
    )
    assert done.stderr == "" and "complete -o default -F _tradestudy_completion tradestudy" in done.stdout
    (script,) = [file for file in tmp_path.rglob("*.sh") if "tradestudy" in file.name]
    assert script.read_text(encoding="utf-8").strip() in done.stdout
    assert (tmp_path / ".bashrc").read_text(encoding="utf-8").startswith("# mine\n")
