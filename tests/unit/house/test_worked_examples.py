"""The studies that come along: each reads without a fault and says what it decides; all show every scheme."""

import pytest
from places import STUDIES

from tradestudy.study.reader import read_study

FILES = sorted(STUDIES.glob("*.toml"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_header_says_what_it_decides_and_that_it_is_invented(path):
    study = read_study(path)
    header = study.text[: study.text.index("\n[")]
    told = " ".join(line.removeprefix("#").strip() for line in header.splitlines() if line.startswith("#"))
    assert len(told.partition("What it decides: ")[2].split()) > 30
    assert any(word in told.lower() for word in ("invented", "made up"))


def test_every_scheme_a_club_and_another_purpose_are_shown():
    studies = [read_study(path) for path in FILES]
    assert {study.stretch.scheme for study in studies} == {"scaled", "tip", "plug"}
    assert {study.fly.purpose for study in studies} >= {"distance", "out_and_home"}
    assert sum(bool(study.equipment_set) for study in studies) >= 2
