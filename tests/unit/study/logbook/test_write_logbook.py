"""Nothing is lost: processes that are killed, two writers at once, two people who edit one file."""

import os
import subprocess
import sys
import time
from dataclasses import replace

import pytest
from helpers.places import ROOT

from tradestudy import files
from tradestudy.errors import LogbookError, RunFailed
from tradestudy.study.logbook.flights import Flight
from tradestudy.study.logbook.read_logbook import read_logbook
from tradestudy.study.logbook.write_logbook import history_folder, missing_flights, write_logbook

# appends flights one after another, and prints the id of each as soon as it is written
_WRITER = """
import sys
from pathlib import Path
from tradestudy import files
from tradestudy.study.logbook.flights import Flight
from tradestudy.study.logbook.read_logbook import read_logbook
from tradestudy.study.logbook.write_logbook import write_logbook
files._STALE = 0.3
study, count = Path(sys.argv[1]), int(sys.argv[2])
for number in range(count):
    written = write_logbook(read_logbook(study), [Flight("", None, "stock", "", 60.0 * (3 + number), note=sys.argv[3])])
    print(written.flights[0].id, flush=True)
"""


def writer(study, count, note):
    command = [sys.executable, "-c", _WRITER, str(study), str(count), note]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)


def flown(**values):
    return Flight(**({"id": "", "date": None, "wing": "stock", "pack": "", "time": 2040.0, "charge": 18360.0} | values))


@pytest.fixture()
def study(tmp_path):
    return tmp_path / "heron.toml"


def book_text(study):
    return study.with_name("heron.logbook.csv").read_text(encoding="utf-8")


def test_processes_killed_while_writing_lose_nothing(study, random):
    printed = []
    for number in range(3):
        process = writer(study, 10_000, f"process {number}")
        printed += [process.stdout.readline().strip() for _ in range(3)]
        time.sleep(float(random.uniform(0.0, 0.15)))
        process.kill()
        printed += process.communicate(timeout=60)[0].split("\n")[:-1]
    known = {flight.id for flight in read_logbook(study).flights}
    assert len(printed) >= 9 and set(printed) <= known


def test_two_writers_at_once_lose_no_line(study):
    processes = [writer(study, 20, name) for name in ("one", "two")]
    ids = [process.communicate(timeout=60)[0].split() for process in processes]
    flights = read_logbook(study).flights
    assert [len(one) for one in ids] == [20, 20]
    assert sorted(flight.id for flight in flights) == sorted([*ids[0], *ids[1]])


def test_what_a_person_wrote_stays_as_written(study):
    mine = "# my book\r\n\r\nwing;minutes;Mood;used\r\nstock; 34,50 ;fine;5,1 Ah\r\n\r\n# winter\r\nstock;20,0;;\r\n"
    study.with_name("heron.logbook.csv").write_bytes(b"\xef\xbb\xbf" + mine.encode())
    book = read_logbook(study)
    write_logbook(book, [flown(wind=4.5), replace(book.flights[1], counts="gusts")])
    content = study.with_name("heron.logbook.csv").read_bytes()
    assert content.startswith(b"\xef\xbb\xbf# my book\r\n\r\nwing;minutes;Mood;used;id;wind;counts\r\n")
    lines = content.decode("utf-8-sig").split("\r\n")
    assert lines[3].startswith("stock;34,50;fine;5,1 Ah;") and lines[4] == "" and lines[5] == "# winter"
    assert lines[6].startswith("stock;20,0;;;") and lines[6].endswith(";;no: gusts")
    assert lines[7].startswith("stock;34;;5100 mAh;") and lines[7].endswith(";4,5 m/s;")
    again = read_logbook(study)
    assert [flight.id for flight in again.flights[:2]] == [flight.id for flight in book.flights]
    assert again.counted == (again.flights[0], again.flights[2])


def test_the_same_row_changed_by_two_people_is_kept_twice(study):
    (first,) = write_logbook(read_logbook(study), [flown()]).flights
    book = read_logbook(study)
    path = study.with_name("heron.logbook.csv")
    path.write_text(book_text(study).replace(",34,", ",35,"))
    written = write_logbook(book, [replace(first, counts="gusts")])
    times = {flight.id: (flight.time, flight.counts) for flight in read_logbook(study).flights}
    (mine,) = written.flights
    assert times == {first.id: (35 * 60, ""), mine.id: (34 * 60, "gusts")}
    assert f"flight {first.id} was changed by someone else" in written.notes[0] and mine.id in written.notes[0]


def test_rows_that_another_person_added_stay(study):
    book = read_logbook(study)
    (theirs,) = write_logbook(read_logbook(study), [flown(note="theirs")]).flights
    (mine,) = write_logbook(book, [flown(note="mine")]).flights
    assert [flight.id for flight in read_logbook(study).flights] == [theirs.id, mine.id]


def test_an_older_copy_saved_over_the_file_is_told(study):
    write_logbook(read_logbook(study), [flown()])
    older = book_text(study)
    (lost,) = write_logbook(read_logbook(study), [flown(time=1800.0)]).flights
    study.with_name("heron.logbook.csv").write_text(older)  # a spreadsheet was open all the time
    missing, text = missing_flights(read_logbook(study))
    assert [flight.id for flight in missing] == [lost.id]
    written = write_logbook(read_logbook(study), [flown()])
    assert f"1 flight is gone since it was last written, first {lost.id} (stock, no date, 30 min)" in written.notes[0]
    assert text.name in written.notes[0] and lost.id in text.read_text()
    assert write_logbook(read_logbook(study), [flown()]).notes == ()  # said once


def test_a_lost_flight_is_told_where_the_clock_has_been_set_back(study):
    write_logbook(read_logbook(study), [flown()])
    (only,) = history_folder(study.with_name("heron.logbook.csv")).glob("*.csv")
    only.rename(only.with_name(f"2999-12-31T23-59-59-999998_{only.stem.partition('_')[2]}.csv"))  # by a clock far ahead
    older = book_text(study)
    (lost,) = write_logbook(read_logbook(study), [flown(time=1800.0)]).flights
    study.with_name("heron.logbook.csv").write_text(older)
    assert [flight.id for flight in missing_flights(read_logbook(study))[0]] == [lost.id]


def test_every_text_is_kept(study):
    path = study.with_name("heron.logbook.csv")
    for minutes in (20, 30, 40):
        write_logbook(read_logbook(study), [flown(time=60.0 * minutes)])
    path.write_text(book_text(study).replace("stock", "stock "))
    by_hand = path.read_bytes()
    write_logbook(read_logbook(study), [flown()])
    texts = [file.read_bytes() for file in sorted(history_folder(path).glob("*.csv"))]
    assert len(texts) == 5 and texts[3] == by_hand and texts[4] == path.read_bytes()


def test_a_file_with_faults_is_not_written(study):
    book = read_logbook(study)
    path = study.with_name("heron.logbook.csv")
    path.write_text("wing,minutes\nstock,thirty\n")
    with pytest.raises(LogbookError):
        write_logbook(book, [flown()])
    assert path.read_text() == "wing,minutes\nstock,thirty\n"


def test_a_lock_in_use_is_waited_for_and_a_lock_left_behind_is_removed(study, monkeypatch):
    lock = study.with_name("heron.logbook.csv.lock")
    lock.write_text("another process")
    monkeypatch.setattr(files, "_PATIENCE", 0.1)
    with pytest.raises(RunFailed, match="is being written by another process"):
        write_logbook(read_logbook(study), [flown()])
    monkeypatch.setattr(files, "_STALE", 0.05)
    time.sleep(0.06)
    write_logbook(read_logbook(study), [flown()])
    assert len(read_logbook(study).flights) == 1 and not lock.exists()


def test_a_lock_left_behind_before_the_clock_was_set_back_is_removed(study, monkeypatch):
    lock = study.with_name("heron.logbook.csv.lock")
    lock.write_text("a process that was stopped")
    os.utime(lock, times=(time.time() + 3600,) * 2)
    monkeypatch.setattr(files, "_PATIENCE", 0.1)
    write_logbook(read_logbook(study), [flown()])
    assert len(read_logbook(study).flights) == 1 and not lock.exists()


def test_a_writer_whose_lock_was_taken_does_not_replace_the_file(study, monkeypatch):
    lock = study.with_name("heron.logbook.csv.lock")
    slow = iter([True])  # the first attempt sleeps so long that another process removes its lock and writes
    from tradestudy.study.logbook import write_logbook as module

    keep = module.keep_text

    def stolen(path, content):
        if next(slow, False):
            lock.unlink()
            write_logbook(read_logbook(study), [flown(note="theirs")])
        return keep(path, content)

    monkeypatch.setattr(module, "keep_text", stolen)
    write_logbook(read_logbook(study), [flown(note="mine")])
    assert [flight.note for flight in read_logbook(study).flights] == ["theirs", "mine"]


def test_a_note_is_no_formula(study):
    write_logbook(read_logbook(study), [flown(note="=1+1")])
    assert ", =1+1," in book_text(study)
    assert read_logbook(study).flights[0].note == "=1+1"


def test_a_note_of_two_lines_stays_one_row_when_it_gets_an_id(study):
    study.with_name("heron.logbook.csv").write_text('wing,minutes,note,id\nstock,34,"gusty\nmotor ""rough""",\n')
    write_logbook(read_logbook(study), [flown()])
    first, second = read_logbook(study).flights
    assert first.note == 'gusty\nmotor "rough"' and second.time == 2040.0
