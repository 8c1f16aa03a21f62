"""Files that a request or an edited study names: within one folder, links followed, and nothing of them is quoted."""

import os
import shutil

import pytest
from helpers.wings import plover

from tradestudy.errors import CommandError, StudyFileError
from tradestudy.page_server.jobs.job_process import failure_of
from tradestudy.page_server.safety.named_files import (
    FILE_KEYS,
    checked_edit,
    inside,
    is_within,
    refuse_files_elsewhere,
)
from tradestudy.study.reader import read_study
from tradestudy.study.schema.study import STUDY_TABLES

SECRET = "hushhush:x:0:0"


@pytest.fixture()
def folder(tmp_path):
    """Return a folder with a study. Outside it lies a file that nobody may see."""
    folder = tmp_path / "studies"
    folder.mkdir()
    (tmp_path / "secret.txt").write_text(SECRET, encoding="utf-8")
    plover.written(folder)
    return folder


@pytest.fixture()
def study(folder):
    return read_study(folder / "plover.toml")


def test_every_key_that_names_a_file_is_known():
    # every key whose meaning speaks of a file, or that takes an airfoil, must be confined
    found = {
        f"{table}.{key}"
        for table, spec in STUDY_TABLES.items()
        for key in spec.model.model_fields
        if any(word in spec.key_type(key).meaning.lower() for word in (" file", "csv", "airfoil"))
        and "text" in spec.key_type(key).kind
    }
    assert found - set(FILE_KEYS) == set()


@pytest.mark.parametrize("key", FILE_KEYS)
@pytest.mark.parametrize("value", ["../secret.txt", "/etc/passwd", "sub/../../secret.txt", "..\\secret.txt", "x\0.dat"])
def test_files_elsewhere_are_refused_unread(study, key, value):
    with pytest.raises(StudyFileError) as refused:
        checked_edit(study, {key: value})
    assert SECRET not in str(refused.value) and "hushhush" not in str(refused.value)
    assert "outside the folder" in str(refused.value)


@pytest.mark.parametrize("key", [" stock.airfoil", "stock . airfoil", "stock.airfoil\n"])
def test_other_spellings_of_a_key_are_no_way_round(study, key):
    with pytest.raises(StudyFileError, match="outside the folder"):
        checked_edit(study, {key: "../secret.txt"})


@pytest.mark.skipif(os.name == "nt", reason="links need a permission there")
def test_links_are_followed(study, folder):
    (folder / "link.dat").symlink_to(folder.parent / "secret.txt")
    (folder / "sub").symlink_to(folder.parent)
    for value in ("link.dat", "sub/secret.txt"):
        with pytest.raises(StudyFileError, match="outside the folder") as refused:
            checked_edit(study, {"stock.airfoil": value})
        assert "hushhush" not in str(refused.value)


def test_errors_do_not_quote_files_of_the_folder(study, folder):
    shutil.copy(folder.parent / "secret.txt", folder / "secret.txt")
    (folder / "secret.csv").write_text(f"J,CT,CP,{SECRET}\n0.1234567,{SECRET},3\n", encoding="utf-8")
    for key, value in (("stock.airfoil", "secret.txt"), ("propeller.table", "secret.csv")):
        with pytest.raises(StudyFileError) as refused:
            checked_edit(study, {key: value})
        message = str(refused.value)
        assert "cannot be used" in message and "hushhush" not in message and "0.1234567" not in message


def test_a_study_that_names_a_file_elsewhere_is_not_opened(folder):
    (folder.parent / "mh.dat").write_text("", encoding="utf-8")
    text = (folder / "plover.toml").read_text(encoding="utf-8")
    study = read_study(folder / "plover.toml")
    moved = study.stock.model_copy(update={"tip_airfoil": "../mh.dat"})
    with pytest.raises(StudyFileError, match="tip_airfoil names a file outside"):
        refuse_files_elsewhere(type(study)(**{**vars(study), "stock": moved}))
    assert (folder / "plover.toml").read_text(encoding="utf-8") == text


def test_edits_of_other_keys_are_as_ever(study):
    edited = checked_edit(study, {"fly.wind": "3 m/s", "stock.airfoil": "mh45"})
    assert (edited.fly.wind, edited.stock.airfoil) == (3.0, "mh45")
    with pytest.raises(StudyFileError, match="fly.wind"):
        checked_edit(study, {"fly.wind": "3 apples"})


@pytest.mark.parametrize(
    "name", ["", "../a.toml", "/etc/a.toml", "a.txt", "sub/../../a.toml", "a.toml\0", "\0.toml", ".."]
)
def test_requests_reach_no_other_file(tmp_path, name):
    with pytest.raises(CommandError):
        inside(tmp_path, name, (".toml",))


def test_within_a_folder(tmp_path):
    assert inside(tmp_path, "studies/a.toml", (".toml",)) == tmp_path / "studies" / "a.toml"
    assert is_within(tmp_path / "a", [tmp_path / "b", tmp_path])
    assert not is_within(tmp_path.parent / (tmp_path.name + "x"), [tmp_path])


def test_no_error_that_reaches_the_page_quotes_a_file(study):
    # also one of a job, which reads the study again after its files have changed
    (study.path.parent / "broken.dat").write_text(f"0 0\n{SECRET}\n1 0\n", encoding="utf-8")
    text = study.path.read_text(encoding="utf-8").replace('airfoil = "mh60"', 'airfoil = "broken.dat"')
    study.path.write_text(text, encoding="utf-8")
    with pytest.raises(StudyFileError) as read:
        read_study(study.path)
    assert "hushhush" in str(read.value)
    failure = failure_of(read.value)
    assert "hushhush" not in failure.sentence + str(failure.faults) and failure.faults[0]["key"] == "stock.airfoil"
