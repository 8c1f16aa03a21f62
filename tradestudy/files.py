"""Files that appear completely or not at all, and a lock that lets one process at a time change a file."""

from __future__ import annotations

import hashlib
import os
import re
import secrets
import shlex
import socket
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from functools import cache
from pathlib import Path

from tradestudy.errors import CommandError, RunFailed

_STALE = 5.0  # age of a lock that its holder has left behind [s]; a writer needs milliseconds
_PATIENCE = 20.0  # longest time to wait for a lock [s]
_OLD = 600.0  # age of a part of a file that nobody writes any more [s]
_POLL = 0.02  # time between two looks at a lock [s]
_MARK = 6  # letters of the mark of a machine
_PART = re.compile(rf"\.(?P<process>[0-9]+)-(?P<machine>[0-9a-f]{{{_MARK}}})\.part$")  # see `part_of`


_passed_over: ContextVar[list[Path] | None] = ContextVar("passed_over", default=None)  # see `passing_over_files_in_use`
_hashes: ContextVar[dict[Path, str] | None] = ContextVar("hashes", default=None)  # see `noting_hashes`


def as_typed(word: object) -> str:
    """Return a path or another word as it is typed in a shell: in double quotes if it holds a blank or special letter.

    Shells of Linux and macOS read a few letters within double quotes too; there, single quotes stand instead.
    """
    text = str(word)
    if isinstance(word, Path) and text.startswith("-"):  # it would be read as an option
        text = f".{os.sep}{text}"
    if re.fullmatch(r"[\w./:+-]+" if os.name != "nt" else r"[\w./\\:+-]+", text):
        return text
    return shlex.quote(text) if os.name != "nt" and re.search(r'["$`\\!]', text) else f'"{text}"'


def write_atomically(file: Path, content: bytes) -> Path:
    """Write a file under a temporary name, rename it in one step, and return its path.

    If that fails, as on a full disk, nothing is left behind and the file is as it was. The OSError then names the
    file. A symbolic link stays one: the file that it names is written. A device or a pipe is written into. Several
    processes may write the same file: the last one wins.
    """
    file.parent.mkdir(parents=True, exist_ok=True)
    target = Path(os.path.realpath(file)) if file.is_symlink() else file
    part = part_of(target)
    try:
        if target.exists() and not target.is_file() and not target.is_dir():
            target.write_bytes(content)
            return file
        part.write_bytes(content)
        _replace(part, target)
        _remove_old_parts(target.parent)
    except OSError as error:
        error.filename, error.filename2 = str(file), None  # the system names none, or the part
        raise
    finally:
        with suppress(OSError):
            part.unlink()  # it exists only if something failed
    hashes = _hashes.get()
    if hashes is not None:
        hashes[file] = hashlib.sha256(content).hexdigest()
    return file


def part_of(file: Path) -> Path:
    """Return the temporary name under which this process writes a file. It tells the process and its machine."""
    return file.with_name(f"{file.name}.{os.getpid()}-{_machine()}.part")


@cache
def _machine() -> str:
    """Return a short mark of this machine. A folder may be shared, and processes of other machines are not seen."""
    return hashlib.sha256(socket.gethostname().encode()).hexdigest()[:_MARK]


def _remove_old_parts(folder: Path) -> None:
    """Remove what processes left in a folder that were killed while they wrote any file of ours."""
    for old in folder.iterdir():
        if found := _PART.search(old.name):
            with suppress(OSError):
                ended = found["machine"] == _machine() and _has_ended(int(found["process"]))
                if ended or time.time() - old.stat().st_mtime > _OLD:
                    old.unlink()


def _has_ended(process: int) -> bool:
    """Return whether a process of this machine has ended for certain. Windows cannot be asked without ending it."""
    if os.name == "nt":
        return False
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return True
    except (OSError, OverflowError):
        return False
    return False


def unwritable(folder: Path, error: OSError) -> CommandError:
    """Return the error for a folder into which a file could not be written. It says which file, if that is known."""
    name = Path(str(error.filename)).name if isinstance(error.filename, str) else ""
    what = f"{name} " if name and name != folder.name else ""
    return CommandError(f"Cannot write {what}into {folder}: {error.strerror or error}.")


def _replace(part: Path, file: Path) -> None:
    """Rename a file. Windows refuses it while another program has the old file open."""
    try:
        os.replace(part, file)
    except PermissionError:
        passed_over = _passed_over.get()
        if passed_over is None or not file.is_file():
            raise
        passed_over.append(file)


@contextmanager
def passing_over_files_in_use() -> Iterator[list[Path]]:
    """Context in which a file that another program has open stays as it is. The value is the list of such files."""
    passed_over: list[Path] = []
    before = _passed_over.set(passed_over)
    try:
        yield passed_over
    finally:
        _passed_over.reset(before)


@contextmanager
def noting_hashes() -> Iterator[dict[Path, str]]:
    """Context that notes what is written: the value is the hash of each file's content (SHA-256) by its path.

    A file that another program has open counts too, with the content that it should have.
    """
    hashes: dict[Path, str] = {}
    before = _hashes.set(hashes)
    try:
        yield hashes
    finally:
        _hashes.reset(before)


def file_hash(file: Path) -> str:
    """Return the hash of a file's content (SHA-256), or an empty text if the file cannot be read."""
    try:
        return hashlib.sha256(file.read_bytes()).hexdigest()
    except OSError:
        return ""


@contextmanager
def locked(file: Path) -> Iterator[Callable[[], bool]]:
    """Hold the lock of a file: ``<file>.lock`` beside it, which only one process can create.

    A lock older than 5 s was left by a process that was stopped, and is removed. So is one that is 5 s in the future,
    since the clock was set back. The value is a function that says whether the lock is still held; ask it directly
    before the file is replaced. Raise RunFailed if the lock is not free within 20 s.
    """
    lock, mark = file.with_name(file.name + ".lock"), secrets.token_hex(8).encode()
    file.parent.mkdir(parents=True, exist_ok=True)
    until = time.monotonic() + _PATIENCE
    try:
        while not _taken(lock, mark):
            _remove_stale(lock)
            if time.monotonic() > until:
                raise RunFailed(f"{file} is being written by another process; its lock is {lock}. Try again.")
            time.sleep(_POLL)
        yield lambda: _content(lock) == mark
    finally:
        if _content(lock) == mark:
            with suppress(OSError):
                lock.unlink()


def _taken(lock: Path, mark: bytes) -> bool:
    """Create a lock that holds a mark, and return whether it was free."""
    try:
        handle = os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY)
    except FileExistsError:
        return False
    except OSError as error:
        # Windows refuses a name that is being removed
        if isinstance(error, PermissionError) and os.access(lock.parent, os.W_OK):
            return False
        error.filename = str(lock.with_suffix(""))  # a person knows the file, not its lock
        raise
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(mark)
    except BaseException:  # a lock without its mark would hold up the next writer until it is stale
        with suppress(OSError):
            lock.unlink()
        raise
    return True


def _remove_stale(lock: Path) -> None:
    """Remove a lock that is too old. It is renamed first, so that only one of several processes removes it."""
    try:
        if abs(time.time() - lock.stat().st_mtime) < _STALE:
            return
        aside = lock.with_name(f"{lock.name}.{secrets.token_hex(4)}")
        os.rename(lock, aside)
        aside.unlink()
    except OSError:  # another process was quicker
        return


def _content(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError:
        return b""
