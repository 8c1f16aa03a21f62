"""The record: no finished result is lost or computed again, whatever happens to the run or the file."""

import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from helpers.places import IMPORTING, ROOT

from tradestudy.search.engines.record import STUDIES, Record, code_fingerprint

ENVIRONMENT = os.environ | IMPORTING
COUNT = 120
FLIPS = 60  # bits changed one at a time; 5000 lost and changed nothing either


def runs_through(path, log):
    """Start a process that works through COUNT designs with the record at a path."""
    script = f"from helpers import cheap_tasks; cheap_tasks.recorded({str(path)!r}, {str(log)!r}, {COUNT})"
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


def test_killed_four_times_it_ends_as_if_never_interrupted(tmp_path, random):
    path, log = tmp_path / "record.sqlite", tmp_path / "log"
    log.touch()
    for _ in range(4):
        process, target = runs_through(path, log), len(log.read_bytes().split()) + random.integers(1, 9)
        while len(log.read_bytes().split()) < target and process.poll() is None:
            pass
        process.kill()
        _, complaints = process.communicate()
        assert not complaints
    assert 4 <= len(log.read_bytes().split()) < COUNT  # otherwise the run was not interrupted
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


@pytest.mark.parametrize("harm", ["other", "torn", "layout", "column"])
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
    elif harm == "column":
        path.write_bytes(whole.replace(b"answer text", b"answes text"))
    else:
        database = sqlite3.connect(path)
        database.execute("pragma user_version = 1")
        database.close()
    before = path.read_bytes()
    what, ending = (
        ("was written by another version of tradestudy", "other-version")
        if harm == "layout"
        else (
            "is damaged",
            "damaged",
        )
    )
    for number in (1, 2):
        path.write_bytes(before)
        again = Record(path, "study", told.append)
        assert again.known(("design", 1)) is None
        again.keep([(("design", 1), 7)])
        again.close()
        assert told.pop() == (
            f"{path} {what}. It was renamed record.sqlite.{ending}-{number}; what it held is worked out again."
        )
        assert path.with_name(f"record.sqlite.{ending}-{number}").read_bytes() == before
        healed = Record(path, "study", pytest.fail)
        assert healed.known(("design", 1)) == 7
        healed.close()


def whole_file(path, count=40):
    """Return the bytes of a record with some designs. Every answer is the number of its design."""
    record = Record(path, "study")
    record.keep([(("design", index), {"gain": 100.5 + index, "words": "x" * 40}) for index in range(count)])
    record.close()
    return path.read_bytes()


def test_changed_digit_of_one_result_is_set_aside_and_reported(tmp_path):
    path, told = tmp_path / "record.sqlite", []
    whole = whole_file(path)
    path.write_bytes(whole.replace(b'{"gain": 107.5', b'{"gain": 187.5'))
    record = Record(path, "study", told.append)
    assert record.known(("design", 7)) is None and record.known(("design", 8))["gain"] == 108.5
    record.keep([(("design", 7), 7)])
    record.close()
    assert told == [f"{path}: 1 of 40 kept results is damaged. It is set aside and worked out again."]
    healed = Record(path, "study", pytest.fail)
    assert healed.known(("design", 7)) == 7 and healed.known(("design", 39))["gain"] == 139.5
    healed.close()
    database = sqlite3.connect(path)
    assert b"187.5" in database.execute("select cast(answer as blob) from damaged").fetchone()[0]
    database.close()


def test_no_flipped_bit_changes_an_answer_or_goes_unsaid(tmp_path, random):
    path, told = tmp_path / "record.sqlite", []
    whole = whole_file(path)
    silent, used = 0, np.flatnonzero(np.frombuffer(whole, np.uint8))
    for place in 8 * random.choice(used, FLIPS) + random.integers(0, 8, FLIPS):
        flipped = bytearray(whole)
        flipped[place // 8] ^= 1 << place % 8
        for file in tmp_path.iterdir():
            file.unlink()
        path.write_bytes(flipped)
        told.clear()
        record = Record(path, "study", told.append)
        answers = [record.known(("design", index)) for index in range(40)]
        record.keep([(("design", index), None) for index, answer in enumerate(answers) if answer is None])
        record.close()
        kept = [answer["gain"] == 100.5 + index for index, answer in enumerate(answers) if answer is not None]
        assert all(kept) and (len(kept) == 40 or told), (place, told)
        silent += not told
    assert silent < FLIPS  # otherwise nothing was damaged


@pytest.mark.skipif(sys.platform == "win32", reason="Windows does not remove open files")
def test_a_removed_log_of_the_record_loses_nothing(tmp_path):
    """Check that results survive a kill where SQLite's file of the latest ones was removed before."""
    path, told, copy = tmp_path / "record.sqlite", [], tmp_path / "as killed"
    record = Record(path, "study", told.append)
    record.keep([("first", 1)])
    (tmp_path / "record.sqlite-wal").unlink()
    record.keep([("second", 2)])
    record.keep([("third", 3)])
    shutil.copytree(tmp_path, copy, ignore=lambda *given: ["as killed", "record.sqlite-shm"])
    record.close()
    assert told == [f"{path}-wal was removed while it was in use; what is known is written again."]
    again = Record(copy / "record.sqlite", "study", told.append)
    assert [again.known(key) for key in ("first", "second", "third")] == [1, 2, 3] and len(told) == 1
    again.close()


def test_results_in_a_file_that_cannot_be_written_are_used(tmp_path, monkeypatch):
    """Check the words and the answers where SQLite may read and not write, as in the folder of somebody else."""
    path, told = tmp_path / "record.sqlite", []
    whole_file(path)
    connect = sqlite3.connect

    def read_only(file, **options):
        return connect(file, **options) if options.get("uri") else connect(f"{path.as_uri()}?mode=ro", uri=True)

    monkeypatch.setattr(sqlite3, "connect", read_only)
    record = Record(path, "study", told.append)
    assert record.known(("design", 3))["gain"] == 103.5
    record.keep([("a", 1)])
    record.close()
    assert told == [
        f"{path}: what is worked out cannot be kept there (attempt to write a readonly database); "
        "the run goes on, and what it finds from here on is not kept. What it holds is used."
    ]


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


def test_read_only_folder_is_reported(tmp_path):
    told = []
    tmp_path.chmod(0o500)
    if os.access(tmp_path, os.W_OK):
        pytest.skip("an administrator may write anywhere")
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
