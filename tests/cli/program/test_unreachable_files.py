"""Files and folders that the system refuses, and results behind symbolic links.

A name that is too long is refused to everybody, as a folder without permission is to all but an administrator.
"""

import errno
import os
import sys

import pytest
from helpers.invented.invented_result import sample_result
from helpers.places import STUDIES

from tradestudy.__main__ import main
from tradestudy.cli.folders import make_folder, stored_result
from tradestudy.commands.recommended_wing import _known_elsewhere
from tradestudy.errors import CommandError
from tradestudy.files import locked, write_atomically
from tradestudy.study.reader import read_study

LONG = "x" * 300
OUT = ["--no-questions", "--out", LONG]
DUNLIN = str(STUDIES / "dunlin.toml")
links = pytest.mark.skipif(sys.platform == "win32", reason="Windows lets few people make symbolic links")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["run", DUNLIN, "--out", LONG], f"Cannot write into {LONG}: File name too long.\n"),
        (["new", "fresh", *OUT], f"{os.path.join(LONG, 'fresh.answers.toml')} cannot be read: File name too long.\n"),
        (["compare", LONG, DUNLIN], f"There is no file {LONG}.\n"),
    ],
)
def test_a_refused_path_is_named(arguments, message, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert main(arguments) == 2
    said = capsys.readouterr()
    assert said.err.startswith(message) and "inside tradestudy" not in said.err


def test_a_refused_folder_of_earlier_results_holds_none(tmp_path):
    with pytest.raises(CommandError, match="File name too long"):
        make_folder(tmp_path / LONG)
    with pytest.raises(CommandError, match="cannot be read: File name too long"):
        stored_result(tmp_path / LONG)
    assert _known_elsewhere(None, tmp_path / LONG / "record.sqlite") is None


@links
def test_a_linked_file_is_written_where_it_leads_and_stays_a_link(tmp_path):
    (tmp_path / "disk").mkdir()
    (tmp_path / "results").symlink_to("disk", target_is_directory=True)
    (tmp_path / "disk" / "summary.json").symlink_to("whole.json")
    write_atomically(tmp_path / "results" / "summary.json", sample_result().to_json().encode())
    assert sorted(file.name for file in (tmp_path / "disk").iterdir()) == ["summary.json", "whole.json"]
    assert (tmp_path / "disk" / "summary.json").is_symlink() and not (tmp_path / "disk" / "whole.json").is_symlink()
    assert stored_result(tmp_path / "results") == sample_result()


@links
def test_a_link_that_leads_nowhere_is_called_so(tmp_path):
    for name, target in (("gone.toml", "nowhere"), ("round.toml", "round.toml")):
        link = tmp_path / name
        link.symlink_to(target)
        with pytest.raises(CommandError, match=f"{link} is a symbolic link that leads to no file."):
            read_study(link)
        with pytest.raises(CommandError, match="it is a symbolic link that leads to no folder."):
            make_folder(link)


def test_a_folder_that_may_not_be_written_is_named_at_once(tmp_path, monkeypatch):
    """Check a lock in a folder without permission: nobody holds it, so nothing is waited for."""

    def refused(*given):
        raise PermissionError(errno.EACCES, "Permission denied", str(given[0]))

    monkeypatch.setattr(os, "open", refused)
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    with pytest.raises(PermissionError) as raised, locked(tmp_path / "godwit.logbook.csv"):
        pass
    assert raised.value.filename == str(tmp_path / "godwit.logbook.csv")
