"""Files that appear completely or not at all, also on a full disk and while another program has them open."""

import errno
import os
from pathlib import Path

import pytest

from tradestudy.cli import folders
from tradestudy.errors import CommandError
from tradestudy.files import passing_over_files_in_use, write_atomically


@pytest.fixture
def old(tmp_path):
    return write_atomically(tmp_path / "table.csv", b"old")


def in_use(part, file):
    raise PermissionError(errno.EACCES, "in use", str(file))


def test_a_full_disk_leaves_no_part_behind(old, monkeypatch):
    whole = Path.write_bytes

    def full(path, content):
        whole(path, content[:1])
        raise OSError(errno.ENOSPC, "no space left")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(OSError, match="no space left"):
        write_atomically(old, b"new")
    assert [file.name for file in old.parent.iterdir()] == ["table.csv"] and old.read_bytes() == b"old"


def test_ctrl_c_leaves_no_part_behind(old, monkeypatch):
    def stopped(part, file):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", stopped)
    with pytest.raises(KeyboardInterrupt):
        write_atomically(old, b"new")
    assert [file.name for file in old.parent.iterdir()] == ["table.csv"]


def test_a_file_in_use_stays_and_is_listed(old, monkeypatch):
    monkeypatch.setattr(os, "replace", in_use)
    with passing_over_files_in_use() as passed_over:
        assert write_atomically(old, b"new") == old
        with pytest.raises(PermissionError):  # no file that another program could have open
            write_atomically(old.with_name("other.csv"), b"new")
    assert passed_over == [old] and old.read_bytes() == b"old"
    with pytest.raises(PermissionError):
        write_atomically(old, b"new")
    assert [file.name for file in old.parent.iterdir()] == ["table.csv"]


def test_a_command_names_the_file_in_use_and_goes_on(old, monkeypatch, capsys):
    monkeypatch.setattr(os, "replace", in_use)
    with folders.file_errors(old.parent):
        write_atomically(old, b"new")
    err = capsys.readouterr().err
    assert err.startswith("Not written, since another program has it open: table.csv in ") and err.count("\n") == 1
    with pytest.raises(CommandError, match="Cannot write into"), folders.file_errors(old.parent):
        write_atomically(old.with_name("other.csv"), b"new")
