"""Worked examples: the studies of the repository, and the examples in the docstrings of the physics.

Each study is read without error, and states in its header what it decides. Together they show every stretch scheme.
"""

import doctest
import importlib
import pkgutil

import pytest
from helpers.places import STUDIES

from tradestudy import physics
from tradestudy.study.reader import read_study

FILES = sorted(STUDIES.glob("*.toml"))
MODULES = [module.name for module in pkgutil.walk_packages(physics.__path__, "tradestudy.physics.") if not module.ispkg]
ROOMS = {name.split(".")[2] for name in MODULES}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_header_states_the_decision_and_that_it_is_invented(path):
    study = read_study(path)
    header = study.text[: study.text.index("\n[")]
    words = " ".join(line.removeprefix("#").strip() for line in header.splitlines() if line.startswith("#"))
    assert len(words.partition("What it decides: ")[2].split()) > 30
    assert any(word in words.lower() for word in ("invented", "made up"))


def test_studies_show_every_scheme_a_club_and_another_purpose():
    studies = [read_study(path) for path in FILES]
    assert {study.stretch.scheme for study in studies} == {"scaled", "tip", "plug"}
    assert {study.fly.purpose for study in studies} >= {"distance", "out_and_home"}
    assert sum(bool(study.equipment_set) for study in studies) >= 2


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_docstrings_give_what_they_say(name):
    assert not doctest.testmod(importlib.import_module(name)).failed


def test_every_room_of_the_physics_has_examples():
    finder = doctest.DocTestFinder(exclude_empty=True)
    shown = {
        name.split(".")[2]
        for name in MODULES
        if any(one.examples for one in finder.find(importlib.import_module(name)))
    }
    assert shown == ROOMS
