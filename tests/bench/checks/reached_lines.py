"""Which test reaches which line of the project, found by one run of each room of tests under coverage.

`mutants.py` calls this. It is also the plugin of pytest that names the test to coverage. What a fixture of a module or
a session computes counts for every test that uses it, and what a test file computes when it is read for all its tests.
Worker processes and commands in processes are not followed. Tests that fail here are left out, and thorough ones.
"""

import importlib
import json
import os
import pkgutil
import subprocess
import sys
import time
from collections import defaultdict
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
PYTEST = ("-m", "pytest", "-n", "0", "-m", "", "-q", "-p", "no:cacheprovider")
ROOMS = (
    *sorted(path.relative_to(ROOT / "tests").as_posix() for path in ROOT.glob("tests/unit/*") if "__" not in path.name),
    *("published", "invariants", "derivatives", "cli"),
)
_tests = {}
_failed = set()
_now = [""]


def variables(folder):
    """Return the environment of tests on the project in a folder."""
    paths = os.pathsep.join(map(str, (folder, Path(__file__).parent)))
    return os.environ | {"PYTHONPATH": paths, "MPLBACKEND": "Agg"}


def reached_lines(folder, rooms=()):
    """Return {file: {line: tests}} and {test: seconds} of rooms of tests, each as measured or as kept in a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    reached, seconds = defaultdict(lambda: defaultdict(list)), {}
    for room in rooms or ROOMS:
        kept = folder / f"{room.replace('/', '_')}.json"
        if not kept.exists():
            print(f"Running tests/{room} once under coverage; kept in {kept} ...", flush=True)
            kept.write_text(json.dumps(_measured(folder, room)), encoding="utf-8")
        lines_of, times = json.loads(kept.read_text(encoding="utf-8"))
        seconds, names = seconds | times, list(times)
        for file, lines in lines_of.items():
            for at, tests in lines.items():
                reached[file][at] += [names[test] for test in tests]
    return reached, seconds


def _measured(folder, room):
    """Run the tests of a room under coverage with this file as plugin."""
    from coverage import CoverageData

    data, listed = folder / "coverage", folder / "tests.json"
    data.unlink(missing_ok=True)
    command = [sys.executable, "-m", "coverage", "run", f"--data-file={data}", "--source=tradestudy", *PYTEST]
    command += ["-p", Path(__file__).stem, "-m", "not thorough", f"tests/{room}"]
    subprocess.run(command, cwd=ROOT, env=variables(ROOT) | {"LISTED_TESTS": str(listed)}, check=False)
    tests, found = json.loads(listed.read_text(encoding="utf-8")), CoverageData(str(data))
    found.read()
    users = defaultdict(set)
    for test, (_, fixtures) in tests.items():
        for name in (test, f"file {test.partition('::')[0]}", *(f"fixture {fixture}" for fixture in fixtures)):
            users[name].add(test)
    users.pop("fixture without_search", None)  # every test uses it: what it imports says nothing
    reached, number = {}, {test: place for place, test in enumerate(tests)}  # numbers keep the file small
    for file in found.measured_files():
        lines = {
            at: sorted(number[test] for test in set().union(*(users[name] for name in by if name in users)))
            for at, by in found.contexts_by_lineno(file).items()
        }
        reached[Path(file).relative_to(ROOT).as_posix()] = {at: tests for at, tests in lines.items() if tests}
    return reached, {test: seconds for test, (seconds, _) in tests.items()}


def _switch(name):
    import coverage

    before, _now[0] = _now[0], name
    coverage.Coverage.current().switch_context(name)
    return before


def pytest_collection():
    """Import the project, so that its own statements outside functions count for no test."""
    import tradestudy

    for module in pkgutil.walk_packages(tradestudy.__path__, "tradestudy."):
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector):
    """Count what a test file computes outside its tests for that file."""
    _switch(f"file {collector.nodeid}")
    done = yield
    _switch("")
    return done


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item):
    """Count the lines of a test, with its own fixtures, for that test."""
    _switch(item.nodeid)
    start = time.process_time()
    done = yield
    _tests[item.nodeid] = time.process_time() - start, item.fixturenames
    _switch("")
    return done


@pytest.hookimpl(wrapper=True)
def pytest_fixture_setup(fixturedef):
    """Count the lines of a shared fixture for that fixture."""
    if fixturedef.scope == "function":
        return (yield)
    before = _switch(f"fixture {fixturedef.argname}")
    try:
        return (yield)
    finally:
        _switch(before)


def pytest_runtest_logreport(report):
    """Note a test that fails without any mutant: it cannot judge one."""
    if report.failed:
        _failed.add(report.nodeid)


def pytest_sessionfinish():
    """Write the tests that passed, with their times and fixtures."""
    passed = {name: told for name, told in _tests.items() if name not in _failed}
    Path(os.environ["LISTED_TESTS"]).write_text(json.dumps(passed), encoding="utf-8")
