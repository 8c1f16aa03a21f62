"""Files that appear completely or not at all, also on a full disk and while another program has them open."""

import contextlib
import errno
import json
import os
import subprocess
import sys
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import pytest
from helpers.invented.invented_result import sample_result
from helpers.places import GODWIT

from tradestudy import files
from tradestudy.__main__ import main
from tradestudy.cli import folders, session
from tradestudy.commands import trade
from tradestudy.errors import CommandError
from tradestudy.files import as_typed, locked, part_of, passing_over_files_in_use, write_atomically
from tradestudy.report.figures import all_figures
from tradestudy.report.page import page


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
    with pytest.raises(OSError, match="no space left") as raised:
        write_atomically(old, b"new")
    assert raised.value.filename == str(old)
    assert [file.name for file in old.parent.iterdir()] == ["table.csv"] and old.read_bytes() == b"old"


def test_ctrl_c_leaves_no_part_behind(old, monkeypatch):
    def stopped(part, file):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", stopped)
    with pytest.raises(KeyboardInterrupt):
        write_atomically(old, b"new")
    assert [file.name for file in old.parent.iterdir()] == ["table.csv"]


def test_two_processes_write_the_same_file(tmp_path, monkeypatch):
    """A second process writes its part while the first one has written and not yet renamed its own."""
    file, whole, first = tmp_path / "table.csv", os.replace, os.getpid()

    def second_comes_between(part, target):
        monkeypatch.setattr(os, "replace", whole)
        monkeypatch.setattr(os, "getpid", lambda: first + 1)
        write_atomically(file, b"second")
        whole(part, target)

    monkeypatch.setattr(os, "replace", second_comes_between)
    write_atomically(file, b"first")
    assert file.read_bytes() == b"first" and [one.name for one in tmp_path.iterdir()] == ["table.csv"]


def test_parts_of_killed_processes_are_removed_by_the_next_file(tmp_path):
    """Check which parts go: those of ended processes at once, those of another machine when old, no one else's ever."""
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    own = part_of(Path("figure.svg")).name
    gone = [own.replace(f".{os.getpid()}-", f".{ended.pid}-"), f"old.csv.{os.getpid()}-0a1b2c.part"]
    stay = [own.replace(f".{os.getpid()}-", f".{os.getppid()}-"), "new.csv.7-0a1b2c.part", "film.7.part", "film.part"]
    for name in gone + stay:
        (tmp_path / name).write_bytes(b"ta")
    for name in (gone[1], "film.7.part", "film.part"):
        os.utime(tmp_path / name, (0, 0))
    write_atomically(tmp_path / "table.csv", b"table")
    kept = {one.name for one in tmp_path.iterdir()}
    assert kept - {gone[0]} == {"table.csv", *stay}
    assert (gone[0] in kept) == (os.name == "nt")


@pytest.mark.parametrize(
    ("word", "posix", "windows"),
    [
        ("studies/godwit.toml", "studies/godwit.toml", "studies/godwit.toml"),
        ("Flügel.toml", "Flügel.toml", "Flügel.toml"),
        ("my wing (2).toml", '"my wing (2).toml"', '"my wing (2).toml"'),
        ("fly.wind=6 m/s", '"fly.wind=6 m/s"', '"fly.wind=6 m/s"'),
        ("Tom & Ann's.toml", '"Tom & Ann\'s.toml"', '"Tom & Ann\'s.toml"'),
        ("5$ wing.toml", "'5$ wing.toml'", '"5$ wing.toml"'),
        ("wings\\a.toml", "'wings\\a.toml'", "wings\\a.toml"),
        (Path("-odd.toml"), "./-odd.toml", r".\-odd.toml"),
        ("--span", "--span", "--span"),
        ("", '""', '""'),
    ],
)
def test_words_as_they_are_typed(word, posix, windows, monkeypatch):
    with monkeypatch.context() as patched:
        for system, separator, typed in (("nt", "\\", windows), ("posix", "/", posix)):
            patched.setattr(files, "os", SimpleNamespace(name=system, sep=separator))
            assert as_typed(word) == typed
    if os.name == "posix":
        asked = "import sys; print(sys.argv[1])"
        shell = subprocess.run(f'"{sys.executable}" -c "{asked}" {as_typed(word)}', shell=True, capture_output=True)
        assert Path(shell.stdout.decode().rstrip("\n")) == Path(word)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="Windows has no named pipes in folders")
def test_a_pipe_or_a_device_is_written_into_and_stays(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    reading = os.open(tmp_path / "pipe", os.O_RDONLY | os.O_NONBLOCK)
    write_atomically(tmp_path / "pipe", b"table")
    assert os.read(reading, 9) == b"table" and (tmp_path / "pipe").is_fifo()
    os.close(reading)


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
    with pytest.raises(CommandError, match="Cannot write other.csv into"), folders.file_errors(old.parent):
        write_atomically(old.with_name("other.csv"), b"new")


@pytest.fixture
def invented_run(monkeypatch, tmp_path):
    """Give `run` an invented result, drawn by nobody."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(
        session, "open_session", lambda *given, **more: contextlib.nullcontext(SimpleNamespace(started=partial))
    )
    monkeypatch.setattr(trade, "run", lambda opened: sample_result())
    monkeypatch.setattr(all_figures, "draw_all", lambda result: {})
    monkeypatch.setattr(page, "page", lambda *given: "the page")


@pytest.mark.parametrize("words", [[], ["--json"]])
def test_a_full_disk_takes_no_answer_away(invented_run, monkeypatch, capsys, words):
    whole = Path.write_bytes

    def full(path, content):
        if "masses.csv" in path.name:
            raise OSError(errno.ENOSPC, "No space left on device")
        return whole(path, content)

    monkeypatch.setattr(Path, "write_bytes", full)
    assert main(["run", str(GODWIT), "--out", "full", *words]) == 2
    said = capsys.readouterr()
    assert said.err.endswith("Cannot write masses.csv into full: No space left on device.\n")
    assert "km" in said.out and "The page:" not in said.out
    assert not words or json.loads(said.out)["files"] == []


def test_an_error_of_the_command_comes_after_what_was_not_written(capsys):
    with pytest.raises(KeyboardInterrupt), folders.answer_first():
        with folders.after_the_answer(Path()):
            raise CommandError("full")
        raise KeyboardInterrupt
    assert capsys.readouterr().err == "full\n"
    with pytest.raises(CommandError, match="full"), folders.after_the_answer(Path()):
        raise CommandError("full")


def test_a_writer_that_is_stopped_while_it_takes_a_lock_leaves_none(tmp_path, monkeypatch):
    def stopped(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("tradestudy.files.os.fdopen", stopped)
    with pytest.raises(KeyboardInterrupt), locked(tmp_path / "heron.logbook.csv"):
        pass
    assert not list(tmp_path.iterdir())
