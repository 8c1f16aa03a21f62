"""The program as a process: signals, a reader that ends, warnings of libraries, threads, and empty arguments."""

import errno
import os
import subprocess
import sys

import pytest
from helpers.places import ROOT

from tradestudy import __main__ as door
from tradestudy.cli.folders import stored_result
from tradestudy.errors import CommandError
from tradestudy.search.engines.cluster import Cluster

no_windows = pytest.mark.skipif(sys.platform == "win32", reason="Windows ends a process without telling it")


def as_program(work: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run the program in a process of its own, with ``work`` in place of its command line."""
    script = (
        "import os, signal, sys, numpy as np\nimport tradestudy.__main__ as door\n"
        f"def work(words):\n    {work}\n    return 0\n"
        "door.run_command_line = work\nsys.exit(door.program())"
    )
    return subprocess.run(
        [sys.executable, "-c", script],
        cwd=ROOT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env=os.environ | environment,
    )


@no_windows
def test_a_signal_to_end_is_as_quiet_as_ctrl_c():
    done = as_program("os.kill(os.getpid(), signal.SIGTERM); import time; time.sleep(9)")
    assert (done.returncode, done.stdout, done.stderr) == (143, "", "Stopped.\n")


@no_windows
@pytest.mark.parametrize(("name", "code"), [("SIGTERM", 143), ("SIGINT", 130)])
def test_a_signal_while_an_object_is_cleared_away_is_not_lost(name, code):
    """Check a signal within a callback of a weak reference, where Python prints every exception and goes on."""
    done = as_program(
        "import time, weakref; thing = type('Thing', (), {})(); signal.signal(signal.SIGINT, "
        f"signal.default_int_handler); gone = weakref.ref(thing, lambda _: (os.kill(os.getpid(), signal.{name}), "
        "time.sleep(1))); thing = None; [time.sleep(0.05) for _ in range(100)]"
    )
    assert (done.returncode, done.stdout, done.stderr) == (code, "", "Stopped.\n")


@no_windows
@pytest.mark.parametrize(("name", "code"), [("SIGTERM", 143), ("SIGINT", 130)])
def test_a_signal_that_a_library_turns_into_its_own_error_ends_the_program(name, code):
    """Check a signal within an import of an optional library, of which another library takes any failure for none."""
    done = as_program(
        "signal.signal(signal.SIGINT, signal.getsignal(signal.SIGTERM))\n"
        f"    try:\n        os.kill(os.getpid(), signal.{name}); __import__('time').sleep(1)\n"
        "    except BaseException:\n        pass\n    None + 1"
    )
    assert (done.returncode, done.stdout, done.stderr) == (code, "", "Stopped.\n")


@no_windows
def test_a_signal_within_code_that_is_made_as_text_has_its_own_exit_code():
    """Check the exit code after an exception has passed through ``exec``, by which libraries make classes."""
    done = as_program("exec('os.kill(os.getpid(), signal.SIGTERM); import time; time.sleep(9)', globals())")
    assert (done.returncode, done.stdout, done.stderr) == (143, "", "Stopped.\n")


@pytest.mark.thorough
@no_windows
def test_a_second_signal_to_end_is_heard_if_the_first_was_lost():
    done = as_program(
        "import time\n    for wait in (2.1, 9.0):\n        try:\n            os.kill(os.getpid(), signal.SIGTERM); "
        "time.sleep(wait)\n        except BaseException:\n            if wait == 9.0:\n                raise\n"
        "            time.sleep(2.1)"
    )
    assert (done.returncode, done.stdout, done.stderr) == (143, "", "Stopped.\n")


def test_ctrl_c_while_the_program_is_loaded_is_as_quiet():
    """Check that Ctrl-C in the middle of an import shows no traceback."""
    script = (
        "import runpy, sys\nclass Stop:\n    def find_spec(self, name, path=None, target=None):\n"
        "        if name == 'typer':\n            raise KeyboardInterrupt\n"
        "sys.meta_path.insert(0, Stop())\nrunpy.run_module('tradestudy', run_name='__main__')"
    )
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "Stopped.\n")


def test_warnings_of_libraries_are_not_shown_and_threads_are_set():
    done = as_program(
        "np.ones(1) / np.zeros(1); print(*(os.environ[name] for name in ('OPENBLAS_NUM_THREADS', 'OMP_NUM_THREADS')))",
        OPENBLAS_NUM_THREADS="4",
        OMP_NUM_THREADS="3",
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "1 1\n", "")


def test_a_reader_that_ends_is_no_error():
    command = [sys.executable, "-m", "tradestudy", "keys", "--json"]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        running.stdout.read(1)
        running.stdout.close()
        assert (running.wait(), running.stderr.read()) == (0, b"")


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no full device")
@pytest.mark.parametrize(
    ("output", "code", "said"),
    [
        (">&-", 0, ""),
        (">/dev/full", 1, "The output could not be written to its end: No space left on device.\n"),
    ],
)
def test_output_that_is_closed_or_full(output, code, said):
    command = f'"{sys.executable}" -m tradestudy --version {output}'
    done = subprocess.run(command, shell=True, cwd=ROOT, stderr=subprocess.PIPE, text=True)
    assert (done.returncode, done.stderr) == (code, said)


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (OSError(errno.EINVAL, "Invalid argument"), 0),  # of a closed pipe on Windows
        (OSError(errno.EINVAL, "Invalid argument", "results"), 1),
        (OSError(errno.ENOSPC, "No space left"), 1),
    ],
)
def test_what_windows_says_of_a_reader_that_ended(error, code, monkeypatch, capsys):
    def broken(words):
        raise error

    monkeypatch.setattr(door, "run_command_line", broken)
    shown = sys.stdout
    monkeypatch.setattr(sys, "stdout", shown)
    assert door.main(["keys"]) == code
    if sys.stdout is not shown:
        sys.stdout.close()
    assert bool(capsys.readouterr().err) == bool(code)


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["assess", "s.toml", "--out", ""], "--out is empty; give it a value."),
        (["assess", "s.toml", "--out="], "--out is empty; give it a value."),
        (["check", " "], "An argument is empty; give a value."),
    ],
)
def test_empty_arguments_are_refused(arguments, sentence, capsys):
    assert door.main(arguments) == 2
    assert capsys.readouterr().err == f"{sentence}\n"


@pytest.mark.parametrize("address", ["garbage", "", "tcp://", "tcp://host", "xyz://host:1", "tcp://host:port"])
def test_an_address_that_is_none_is_refused_at_once(address):
    pytest.importorskip("distributed")
    with pytest.raises(CommandError, match="an address looks like tcp://192.168.1.10:8786"):
        Cluster(address)


@pytest.mark.skipif(not os.path.exists("/dev/zero"), reason="this system has no endless device")
def test_endless_results_are_refused(tmp_path):
    (tmp_path / "summary.json").symlink_to("/dev/zero")
    with pytest.raises(CommandError, match="is no file|holds no results"):
        stored_result(tmp_path / "summary.json")
