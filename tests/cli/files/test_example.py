"""Tests of ``tradestudy example``: what is listed, what is copied, and what is never overwritten."""

import json
import tomllib
from pathlib import Path

import pytest
from helpers.places import STUDIES

from tradestudy.__main__ import main
from tradestudy.cli import completion
from tradestudy.errors import CommandError
from tradestudy.study import examples
from tradestudy.study.examples import copy_example, example_studies, named_example


@pytest.fixture(autouse=True)
def elsewhere(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def test_every_demo_is_listed_with_what_it_decides(capsys):
    assert main(["example"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert {one.stem for one in STUDIES.glob("*.toml")} == set(example_studies())
    for name, one in example_studies().items():
        assert name in out and one.decides.endswith(".") and one.decides[0].islower()
    assert "tradestudy example dunlin" in out
    assert [name for name, _ in completion.examples("lap")] == ["lapwing", "lapwing_club"]


def test_a_copy_is_the_demo_with_its_files_and_the_next_step(capsys, tmp_path):
    assert main(["example", "godwit", "--to", "my wings"]) == 0
    assert capsys.readouterr().out.splitlines()[-2:] == [
        'Next: tradestudy check "my wings/godwit.toml"',
        'Then: tradestudy run "my wings/godwit.toml"',
    ]
    there = sorted(one.relative_to(tmp_path / "my wings") for one in (tmp_path / "my wings").rglob("*.*"))
    expected = [STUDIES / "godwit.toml", *(STUDIES / "measured").glob("godwit*")]
    assert there == sorted(one.relative_to(STUDIES) for one in expected)
    assert all((tmp_path / "my wings" / one).read_bytes() == (STUDIES / one).read_bytes() for one in there)


def test_a_command_on_an_example_that_was_not_copied_says_how(capsys):
    assert main(["check", "studies/lapwing.toml"]) == 2
    expected = "There is no file studies/lapwing.toml. To copy this example: tradestudy example lapwing\n"
    assert capsys.readouterr().err == expected.replace("studies/lapwing.toml", str(Path("studies/lapwing.toml")))


def test_nothing_is_overwritten_and_then_nothing_is_copied(capsys, tmp_path):
    (tmp_path / "studies/measured").mkdir(parents=True)
    mine = tmp_path / "studies/measured/godwit.toml"
    mine.write_text("mine", encoding="utf-8")
    assert main(["example", "godwit"]) == 2
    assert "measured" in capsys.readouterr().err
    assert mine.read_text(encoding="utf-8") == "mine"
    assert not (tmp_path / "studies/godwit.toml").exists()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["godwi"], 'There is no example "godwi". Did you mean godwit? Examples: dunlin, godwit,'),
        (["../godwit"], "There is no example"),
        (["dunlin", "--to", "taken"], "it is a file, not a folder"),
    ],
)
def test_what_cannot_be_is_refused(words, said, capsys, tmp_path):
    (tmp_path / "taken").write_text("", encoding="utf-8")
    assert main(["example", *words]) == 2
    assert said in capsys.readouterr().err


def test_files_that_a_study_names_come_with_it(tmp_path):
    # invented files, beside a study and beside measurements that belong to it
    (tmp_path / "from/flown").mkdir(parents=True)
    texts = {
        "heron.toml": '[stock]\nairfoil = "heron.dat"\n[[propeller]]\ntable = "nine.csv"\nsize = "9x6.5"',
        "heron.dat": "",
        "nine.csv": "",
        "other.csv": "",
        "flown/heron_may.csv": "",
        "flown/heron.toml": '[[log]]\nfile = "shared.csv"',
        "flown/shared.csv": "",
        "flown/crane.csv": "",
    }
    for name, text in texts.items():
        (tmp_path / "from" / name).write_text(text, encoding="utf-8")
    copied = copy_example(named_example("heron", tmp_path / "from"), tmp_path / "to")
    names = {one.relative_to(tmp_path / "to").as_posix() for one in copied}
    assert names == set(texts) - {"other.csv", "flown/crane.csv"}
    assert copied[0].name == "heron.toml"


def test_a_disk_that_fills_up_leaves_no_half_of_an_example(tmp_path, monkeypatch):
    written = []

    def full(file, content):
        if written:
            raise OSError(28, "No space left on device")
        written.append(file)
        file.parent.mkdir(parents=True)
        file.write_bytes(content)

    monkeypatch.setattr(examples, "write_atomically", full)
    with pytest.raises(OSError):
        copy_example(named_example("godwit"), tmp_path / "to")
    assert written and not any(one.is_file() for one in (tmp_path / "to").rglob("*"))


def test_an_installed_package_has_its_own_examples(tmp_path, monkeypatch):
    package = tmp_path / "site-packages/tradestudy"
    monkeypatch.setattr(examples, "_PACKAGE", package)
    with pytest.raises(CommandError, match="There are no examples"):
        example_studies()
    (package / "studies").mkdir(parents=True)
    (package / "studies/heron.toml").write_text(
        "# The Heron.\n# What it decides: how far.\n[stock]\n", encoding="utf-8"
    )
    assert example_studies()["heron"].decides == "how far."


def test_the_list_as_a_document(capsys):
    assert main(["example", "--json"]) == 0
    listed = {one["name"]: one for one in json.loads(capsys.readouterr().out)}
    assert listed["godwit"]["files"][0] == "godwit.toml"
    assert main(["example", "dunlin", "--json"]) == 0
    copied = json.loads(capsys.readouterr().out)
    assert tomllib.loads(Path(copied["study"]).read_text(encoding="utf-8"))["study"]["name"] == "Dunlin"
