"""Kill commands at random moments: python tests/bench/checks/kills.py [KILLS] [COMMAND...]

Each command runs on a small study, and is ended by SIGKILL, SIGTERM or Ctrl-C in turn. Every other time that is at any
moment of its work, and else within a second of the first file that it writes. After three kills in one folder it runs
to its end there. What a kill leaves must be whole, and the end must be as without a kill.
"""

import json
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import closing, suppress
from http.client import HTTPException
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))
from helpers.places import ROOT, STUDIES  # noqa: E402
from helpers.readers.asked_server import Server, page_of  # noqa: E402

from tradestudy.search.engines.record import Record  # noqa: E402

SIGNALS = (signal.SIGKILL, signal.SIGTERM, signal.SIGINT)
IN_ONE_FOLDER = 3  # kills before the command may run to its end
MARK = '["recommended"]'  # key of the row that says which wing is recommended; every search writes it
UNTIL_GONE = 3.0  # s; by then no process may be left
FEW = [f"choices.{key}=" for key in ("parallel", "rod_diameter", "propeller")]
SMALL = [word for key in FEW for word in ("--set", key)]
PRICED = ["--set", "choices.rod_diameter=", "--set", "choices.parallel=", "--set", "choices.propeller="]
COMMANDS = {
    "front": ["front", "dunlin.toml", "--points", "4", *SMALL, "--workers", "1"],
    "front3": [
        "front",
        "dunlin.toml",
        "--against",
        "flying_weight",
        "--against",
        "stall_speed",
        "--points",
        "4",
        *SMALL,
    ],
    "stretch": ["stretch", "dunlin.toml", *SMALL, "--workers", "2"],
    "payload": ["payload", "dunlin.toml", *SMALL, "--workers", "2"],
    "club": ["club", "lapwing_club.toml", "--workers", "2"],
    "members": ["club", "members", "--common-span", "--workers", "2"],
    "register": ["club", "members", "--next", "godwit.toml", "--output", "out/next.toml"],
    "fit": ["fit", "godwit.toml", "measured/godwit.toml", "measured/godwit_flight.csv", "--output", "out/fitted.toml"],
    "run": ["run", "dunlin.toml", *SMALL, "--workers", "2"],
    "buildsheet": ["buildsheet", "dunlin.toml", *SMALL],
}
ENDS = {
    ".pdf": b"%%EOF",
    ".svg": b"</svg>",
    ".html": b"</html>",
    ".png": b"IEND\xaeB`\x82",
    ".csv": b"\n",
    ".toml": b"\n",
}
ENVIRONMENT = os.environ | {"PYTHONPATH": str(ROOT), "PYTHONWARNINGS": "ignore"}


class Typed:
    """A command in a session of its own, as a terminal starts it."""

    record = Path("out") / "record.sqlite"

    def __init__(self, name, folder):
        self._said, self._complaints = (tempfile.TemporaryFile("w+", encoding="utf-8") for _ in range(2))
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tradestudy", *COMMANDS[name], "--out", "out", "--json"],
            cwd=folder,
            env=ENVIRONMENT,
            stdout=self._said,
            stderr=self._complaints,
            start_new_session=True,
        )

    def ended(self):
        """Wait for the end, and return what was printed and what was complained of."""
        self.process.wait()
        for file in (self._said, self._complaints):
            file.seek(0)
        with self._said as said, self._complaints as complaints:
            return said.read(), complaints.read()


class TypedForMembers(Typed):
    """A search of one span for a folder of members, each of whom has a record."""

    record = Path("out") / "anna" / "record.sqlite"


class Served:
    """The server of the live page, asked by a thread: it saves studies, searches, or writes all results."""

    record = Path("results") / "dunlin" / "record.sqlite"

    def __init__(self, name, folder):
        self._kind, self._answers = name.partition(" ")[2], {}
        self._server = Server(folder, "small.toml")
        self.process = self._server.process
        self._asking = threading.Thread(target=self._ask)
        self._asking.start()

    def _ask(self):
        with suppress(OSError, HTTPException, TypeError):  # the page is cut off
            token, study = page_of(self._server)

            def post(path, **document):
                return self._server.post(path, token, document)

            if self._kind == "saves":
                for wind in range(60):
                    edited = post("/edit", study=study, set={"fly.wind": f"{wind / 10} m/s"})["study"]
                    shown = post("/save/study", study=edited, name="saved", agreed=False, over=None)
                    post("/save/study", study=edited, name="saved", agreed=True, over=shown["over"])
                self._answers = {"saved": True}
            else:
                search = {"searches": ("/search", {"kind": "spans"}), "writes": ("/save/report", {"anyway": True})}
                path, more = search[self._kind]
                started = post(path, study=study, **more)
                while (progress := post("/search/progress", search=started["search"]))["state"] in (
                    "queued",
                    "running",
                ):
                    time.sleep(0.05)
                self._answers = {"state": progress["state"], "result": progress["result"]}
            self.process.send_signal(signal.SIGINT)

    def ended(self):
        """Wait for the end, and return what the page got and what was complained of."""
        _, complaints = self.process.communicate()
        self._asking.join()
        return json.dumps(self._answers), complaints


def call_of(name):
    """Return what starts a command."""
    return Served if name.startswith("open") else TypedForMembers if name == "members" else Typed


def filled(folder, name):
    """Fill a folder with what a command needs, and a record that notes what is solved again."""
    for study in ("dunlin.toml", "lapwing_club.toml", "godwit.toml"):
        shutil.copy(STUDIES / study, folder)
    shutil.copytree(STUDIES / "measured", folder / "measured")
    for member in ("anna", "bert"):
        (folder / "members").mkdir(exist_ok=True)
        shutil.copy(STUDIES / "godwit.toml", folder / "members" / f"{member}.toml")
        shutil.copy(STUDIES / "measured" / "godwit.logbook.csv", folder / "members" / f"{member}.logbook.csv")
    text = (STUDIES / "dunlin.toml").read_text(encoding="utf-8")
    few = ("parallel = [", "rod_diameter = [", "propeller = [")
    kept = [line for line in text.splitlines(keepends=True) if not line.startswith(few)]
    (folder / "small.toml").write_text("".join(kept), encoding="utf-8")
    record = folder / call_of(name).record
    Record(record, "").close()
    with closing(sqlite3.connect(record)) as database, database:
        database.execute("create table again (key text)")
        database.execute(
            "create trigger noted before insert on solved when exists (select 1 from solved where study = new.study "
            f"and key = new.key) and new.key <> '{MARK}' begin insert into again values (new.key); end"
        )
    return set(folder.rglob("*"))


def session_of(process):
    """Return the ids of all processes in the session of a process that have not ended."""
    rows = subprocess.run(["ps", "-eo", "pid,sid,stat"], capture_output=True, text=True).stdout.splitlines()[1:]
    split = (row.split() for row in rows)
    return [int(pid) for pid, session, state in split if int(session) == process.pid and not state.startswith("Z")]


def kept(record):
    """Return the number of results in a copy of a record, how many were solved again, and what is wrong with it."""
    with tempfile.TemporaryDirectory() as aside:
        for file in record.parent.glob(f"{record.name}*"):
            shutil.copy(file, aside)
        with closing(sqlite3.connect(Path(aside) / record.name)) as database:
            sound = database.execute("pragma quick_check(1)").fetchone() == ("ok",)
            counts = [database.execute(f"select count(*) from {table}").fetchone()[0] for table in ("solved", "again")]
    return *counts, [] if sound else [f"{record.name} is damaged"]


def cut_off(folder):
    """Return the files with their final name whose end is missing."""
    found = []
    for file in filter(Path.is_file, folder.rglob("*")):
        content = file.read_bytes()
        if file.suffix == ".json":
            try:
                json.loads(content)
            except ValueError:
                found.append(f"{file.name} is no JSON")
        elif not content.rstrip(b"" if ENDS.get(file.suffix) == b"\n" else None).endswith(ENDS.get(file.suffix, b"")):
            found.append(f"{file.name} is cut off")
    return found


def left(folder):
    """Return the parts and locks of files that are left."""
    return [f"{file.name} is left" for ending in ("part", "lock") for file in folder.rglob(f"*.{ending}")]


def killed(call, folder, before, number, moment):
    """Kill a command at a moment of its work, or of its writing if that is below zero, and return what is wrong."""
    began = time.monotonic()
    while call.process.poll() is None and time.monotonic() - began < abs(moment):
        time.sleep(0.002)
    while moment < 0 and call.process.poll() is None:
        new = set(folder.rglob("*")) - before
        if any(each.is_file() and not each.name.startswith("record.sqlite") for each in new):
            time.sleep(random.uniform(0, 1))
            break
        time.sleep(0.002)
    running = session_of(call.process)
    if call.process.poll() is not None:
        return None, [f"said {line}" for line in call.ended()[1].splitlines() if "Traceback" in line]
    if number == signal.SIGINT:
        os.killpg(call.process.pid, number)  # a terminal sends Ctrl-C to all
    else:
        call.process.send_signal(number)
    until = time.monotonic() + UNTIL_GONE
    while session_of(call.process) and time.monotonic() < until:
        call.process.poll()
        time.sleep(0.05)
    alive = session_of(call.process)
    wrong = [f"{len(alive)} of {len(running)} processes live on"] if alive else []
    for pid in alive:
        with suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
    said, complaints = call.ended()
    if "Traceback" in complaints:
        wrong.append(f"complained: {complaints[-1500:]}")
    wanted = {signal.SIGKILL: [-9], signal.SIGTERM: [143, 0], signal.SIGINT: [130, 0]}[number]
    if said.endswith("}\n") or complaints.strip() in ("", "Stopped."):
        # all was printed, or nothing was set up yet; or Ctrl-C came through "exec", and Python ends by its signal too
        wanted.append(-number)
    if call.process.returncode not in wanted:
        wrong.append(f"exit code {call.process.returncode}: {complaints[-300:]}")
    return time.monotonic() - began, wrong


def same(found, wanted):
    """Return whether two documents are equal but for the words that say where a wing was found."""
    return {**found, "wing": ""} == {**wanted, "wing": ""}


def main():
    """Kill each command so many times."""
    signal.signal(signal.SIGINT, signal.default_int_handler)  # a job in the background of a shell would ignore it
    words = sys.argv[1:]
    kills = int(words.pop(0)) if words and words[0].isdigit() else 30
    for name in words or (*COMMANDS, "open saves", "open searches", "open writes"):
        call, here = call_of(name), Path(tempfile.mkdtemp())
        (folder := here / "whole").mkdir()
        filled(folder, name)
        began = time.monotonic()
        said, complaints = call(name, folder).ended()
        whole = json.loads(said)
        seconds = time.monotonic() - began
        print(f"{name}: {seconds:.0f} s without a kill, {kept(folder / call.record)[0]} results", flush=True)
        faults = ended_first = again = 0
        for kill in range(kills):
            if kill % IN_ONE_FOLDER == 0:
                folder = Path(tempfile.mkdtemp(dir=here))
                before = filled(folder, name)
            # of signals and of moments every pair comes up
            number, in_writing = (
                SIGNALS[(kill + kill // IN_ONE_FOLDER) % 3],
                (kill % 2) == 1 and name not in ("open searches", "members"),
            )
            lived, wrong = killed(
                call(name, folder), folder, before, number, -0.01 if in_writing else random.uniform(0, 0.8 * seconds)
            )
            ended_first += lived is None
            wrong += cut_off(folder) + kept(folder / call.record)[2]
            if kill % IN_ONE_FOLDER == IN_ONE_FOLDER - 1 or kill == kills - 1:
                rows = kept(folder / call.record)[0]
                said, complaints = call(name, folder).ended()
                with suppress(ValueError):
                    whole_again = same(json.loads(said), whole)
                    wrong += [] if whole_again else [f"another answer, from {rows} results: {folder}"]
                if not said:
                    wrong.append(f"no answer: {complaints[-300:]}")
                _, solved_again, damage = kept(folder / call.record)
                again += solved_again
                wrong += [*damage, *cut_off(folder), *left(folder)]
            for line in wrong:
                faults += 1
                print(f"    {number.name} after {lived or 0:.1f} s{' of writing' * in_writing}: {line}", flush=True)
        print(f"    {kills} kills, {ended_first} of them too late; {again} solved again; {faults} faults", flush=True)


if __name__ == "__main__":
    main()
