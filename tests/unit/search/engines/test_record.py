"""The record: no finished result is lost or computed again, whatever happens to the run or the file."""

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from places import ROOT, TESTS

from tradestudy.search.engines.record import STUDIES, Record, code_fingerprint

ENVIRONMENT = os.environ | {"PYTHONPATH": os.pathsep.join([str(TESTS), str(ROOT)])}
COUNT = 120


def runs_through(path, log):
    """Start a process that works through COUNT designs with the record at a path."""
    script = f"import cheap_tasks; cheap_tasks.recorded({str(path)!r}, {str(log)!r}, {COUNT})"
    return subprocess.Popen([sys.executable, "-c", script], env=ENVIRONMENT, stderr=subprocess.PIPE, text=True)


@pytest.mark.parametrize(
    ("changed", "counts"),
    [
        ("physics/body/clearance.py", True),
        ("data/foams.toml", True),
        ("search/optimum.py", True),
        ("cli/run.py", False),
    ],
)
def test_results_of_other_code_have_another_fingerprint(monkeypatch, changed, counts):
    """Check that one more byte in the model or its data asks for new results, and one in what only prints does not."""
    code, read = code_fingerprint.__wrapped__(), Path.read_bytes
    path = ROOT / "tradestudy" / changed
    assert path.is_file()
    monkeypatch.setattr(Path, "read_bytes", lambda one: read(one) + b" " * (one == path))
    assert (code_fingerprint.__wrapped__() != code) == counts


def test_killed_ten_times_it_ends_as_if_never_interrupted(tmp_path, random):
    path, log = tmp_path / "record.sqlite", tmp_path / "log"
    log.touch()
    for _ in range(10):
        process, target = runs_through(path, log), len(log.read_bytes().split()) + random.integers(1, 9)
        while len(log.read_bytes().split()) < target and process.poll() is None:
            pass
        process.kill()
        _, complaints = process.communicate()
        assert not complaints
    assert 10 <= len(log.read_bytes().split()) < COUNT  # otherwise the run was not interrupted
    process = runs_through(path, log)
    assert process.communicate()[1] == "" and process.returncode == 0
    finished = [int(word) for word in log.read_bytes().split()]
    assert len(finished) == len(set(finished))  # none is computed again after it was kept
    record = Record(path, "study", pytest.fail)
    assert [record.known(("design", index)) for index in range(COUNT)] == [[n, n / 3] for n in range(COUNT)]
    record.close()


def test_two_processes_share_a_file(tmp_path):
    path = tmp_path / "record.sqlite"
    both = [runs_through(path, tmp_path / name) for name in ("one", "two")]
    for process in both:
        assert process.communicate()[1] == "" and process.returncode == 0
    record = Record(path, "study", pytest.fail)
    assert all(record.known(("design", index)) == [index, index / 3] for index in range(COUNT))
    record.close()


@pytest.mark.parametrize("harm", ["other", "torn", "layout"])
def test_damaged_file_is_moved_away_and_reported(tmp_path, harm):
    path, told = tmp_path / "record.sqlite", []
    record = Record(path, "study")
    record.keep([(("design", index), "x" * 500) for index in range(200)])
    record.close()
    whole = path.read_bytes()
    if harm == "other":
        path.write_bytes(b"not a database, but long enough to be taken for one" * 50)
    elif harm == "torn":
        path.write_bytes(whole[:8192] + b"\xff" * 8192 + whole[16384:])
    else:
        database = sqlite3.connect(path)
        database.execute("pragma user_version = 77")
        database.close()
    before = path.read_bytes()
    for number in (1, 2):
        path.write_bytes(before)
        again = Record(path, "study", told.append)
        assert again.known(("design", 1)) is None
        again.keep([(("design", 1), 7)])
        again.close()
        assert told.pop() == (
            f"{path} is damaged. It was renamed record.sqlite.damaged-{number}; what it held is worked out again."
        )
        assert path.with_name(f"record.sqlite.damaged-{number}").read_bytes() == before
        healed = Record(path, "study", pytest.fail)
        assert healed.known(("design", 1)) == 7
        healed.close()


def test_full_disk_is_reported_once_and_kept_results_stay(tmp_path):
    path, told = tmp_path / "record.sqlite", []
    record = Record(path, "study", told.append)
    record.keep([(("design", 1), "kept")])
    pages = record._database.execute("pragma page_count").fetchone()[0]
    record._database.execute(f"pragma max_page_count = {pages + 1}")  # SQLite then reports a full disk
    for index in range(2, 50):
        record.keep([(("design", index), "x" * 2000)])
    assert told == [
        f"{path}: cannot be written any more (database or disk is full). What it holds stays; "
        "the run goes on, and what it finds from here on is not kept."
    ]
    assert record.known(("design", 49)) == "x" * 2000  # this run still has it
    record.close()
    again = Record(path, "study", pytest.fail)
    assert again.known(("design", 1)) == "kept" and again.known(("design", 49)) is None
    again.close()


def test_unwritable_place_is_reported(tmp_path):
    told = []
    (tmp_path / "record.sqlite").mkdir()
    record = Record(tmp_path / "record.sqlite", "study", told.append)
    assert record.remembered("a", lambda: 5) == 5 == record.remembered("a", pytest.fail)
    assert told == [
        f"{tmp_path / 'record.sqlite'}: what is worked out cannot be kept there (unable to open database "
        "file); the run goes on, and what it finds from here on is not kept."
    ]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="an administrator may write anywhere")
def test_read_only_folder_is_reported(tmp_path):
    told = []
    tmp_path.chmod(0o500)
    Record(tmp_path / "record.sqlite", "study", told.append).keep([("a", 1)])
    tmp_path.chmod(0o700)
    assert len(told) == 1 and "cannot be kept there" in told[0]


def test_answers_to_other_inputs_stay_for_a_while(tmp_path):
    path = tmp_path / "record.sqlite"
    for text in range(STUDIES + 1):
        record = Record(path, f"study {text}")
        record.keep([("a", text)])
        record.close()
    found = {}
    for text in (1, STUDIES, 0):  # the least recently used is removed when there is one too many
        record = Record(path, f"study {text}")
        found[text] = record.known("a")
        record.close()
    assert found == {1: 1, STUDIES: STUDIES, 0: None}
