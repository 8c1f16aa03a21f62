"""A live page for tests and benches: ``tradestudy open`` as a process of its own, on a copy of a worked example."""

import os
import re
import shutil
import signal
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path

_PATIENCE = 30  # s


@contextmanager
def opened(folder, study):
    """Yield the address of the live page of a copy of a study in a folder, which works once. Ctrl-C ends it."""
    copy = shutil.copy(study, folder)
    root = Path(__file__).parents[3]
    process = subprocess.Popen(
        [sys.executable, "-m", "tradestudy", "open", Path(copy).name, "--no-browser"],
        cwd=folder,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "PYTHONPATH": str(root), "PYTHONUNBUFFERED": "1"},
    )
    try:
        said = ""
        while not (found := re.search(r"http://127\.0\.0\.1:\d+/\S+", said)):
            line = process.stdout.readline()
            assert line, f"the page did not open: {said}"
            said += line
        yield found[0]
    finally:
        process.send_signal(signal.SIGINT)
        try:
            process.wait(_PATIENCE)
        finally:
            process.kill()
            process.stdout.close()
