"""Entry point of the terminal: ``tradestudy`` and ``python -m tradestudy`` are the same."""

from __future__ import annotations

import gc
import os
import sys

# The matrices are small, so threads in one product cost more time than they save, and their number changes the last
# digit. Set before numpy loads, also where the user has set another number.
os.environ |= dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")

try:
    import errno
    import signal
    import threading
    import time
    import warnings
    from _thread import interrupt_main
    from contextlib import suppress
    from typing import Any

    from tradestudy.cli.app import INTERRUPTED, run_command_line
    from tradestudy.cli.terminal import NEAREST_LETTERS, show
    from tradestudy.errors import MeasurementsError, StudyFileError, TradestudyError
except KeyboardInterrupt:  # Ctrl-C while the program is still being loaded
    sys.stderr.write("Stopped.\n")
    sys.exit(130)

_FULL = (errno.ENOSPC, errno.EIO, errno.EFBIG, getattr(errno, "EDQUOT", errno.ENOSPC))
_STOPPING = 2.0  # s; longest time that work takes to stop
_MOMENT = 0.01  # s; until a signal that was dropped is sent again
_TERMINATED = 143  # exit code that shells expect after SIGTERM


class _Signalled(KeyboardInterrupt):
    """The exception of a signal to end. Had it no class of its own, Python itself might end as by Ctrl-C after all."""


def collect_seldom() -> None:
    """Let Python look for garbage in cycles seldom: results are many small records, and each look takes time."""
    gc.set_threshold(50_000, 20)


def program() -> int:
    """Run the command line of this process and return its exit code."""
    collect_seldom()
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:  # closed by the caller, or a program without a console
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number and signal.getsignal(number) in (signal.SIG_DFL, signal.default_int_handler):
            signal.signal(number, _end)
    sys.unraisablehook = _send_again
    if "--trace" not in sys.argv:  # a warning of a library tells a person nothing
        warnings.simplefilter("ignore")
        os.environ.setdefault("PYTHONWARNINGS", "ignore")  # in worker processes too
    code = main()
    try:
        sys.stdout.flush()
    except OSError as error:
        code = _end_of_pipe() if _is_end_of_pipe(error) else _unprinted(error)
    return code


def main(arguments: list[str] | None = None) -> int:
    """Run one command line and return its exit code: 0 done, 1 no result, 2 the file or command is wrong."""
    arguments = list(sys.argv[1:] if arguments is None else arguments)
    trace = "--trace" in arguments
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a letter that the terminal cannot show is no error
            stream.reconfigure(errors=NEAREST_LETTERS)
    try:
        return run_command_line([word for word in arguments if word != "--trace"])
    except TradestudyError as error:
        if trace:
            _print_trace()
        show(_wrapped(str(error)), to=sys.stderr)
        if isinstance(error, StudyFileError) and not isinstance(error, MeasurementsError):
            show("All keys, units and ranges: tradestudy keys", to=sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        return _stopped()
    except OSError as error:
        if _is_end_of_pipe(error):
            return _end_of_pipe()
        if error.errno in _FULL and error.filename is None:
            return _unprinted(error)
        return _unexpected(error, trace)
    except Exception as error:
        # a library may turn the exception of a signal into one of its own, or go on without what it was loading
        return _stopped() if _ended else _unexpected(error, trace)


_ended: list[tuple[int, float]] = []  # signals to end that have arrived, and when [s]


def _end(number: int, frame: Any) -> None:
    """Stop the work as Ctrl-C does. While it is stopping, another signal to end is ignored, but no other Ctrl-C."""
    if number != signal.SIGINT and _ended and time.monotonic() - _ended[-1][1] < _STOPPING:
        return
    _ended.append((number, time.monotonic()))
    raise _Signalled


def _stopped() -> int:
    show("Stopped.", to=sys.stderr)
    return _TERMINATED if _ended and _ended[-1][0] != signal.SIGINT else INTERRUPTED


def _send_again(swallowed: Any) -> None:
    """Send a signal again that came while Python cleared away an object, where it drops every exception."""
    error = swallowed.exc_value
    if not isinstance(error, KeyboardInterrupt):
        sys.__unraisablehook__(swallowed)
        return
    number, _ = _ended.pop() if _ended else (signal.SIGINT, 0.0)
    threading.Timer(_MOMENT, interrupt_main, (number,)).start()


def _is_end_of_pipe(error: OSError) -> bool:
    """Return whether the reader of the output (head, less) has ended. Windows says then that an argument is wrong."""
    return isinstance(error, BrokenPipeError) or (error.errno == errno.EINVAL and error.filename is None)


def _end_of_pipe() -> int:
    """Send the rest of the output nowhere and return exit code 0."""
    nowhere = open(os.devnull, "w", encoding="utf-8")
    with suppress(OSError):  # what is left in the buffer is written when the process ends
        os.dup2(nowhere.fileno(), sys.stdout.fileno())
    sys.stdout = nowhere
    return 0


def _unprinted(error: OSError) -> int:
    """Tell that the output cannot be written where it was sent, and return exit code 1."""
    _end_of_pipe()
    show(f"The output could not be written to its end: {error.strerror or error}.", to=sys.stderr)
    return 1


def _unexpected(error: Exception, trace: bool) -> int:
    if trace:
        _print_trace()
    show(
        f"Something went wrong inside tradestudy: {type(error).__name__}: {error}".splitlines()[0]
        + ("" if trace else "  (--trace shows where)"),
        to=sys.stderr,
    )
    return 1


def _wrapped(message: str) -> str:
    """Return a message wrapped for a terminal; elsewhere each fault stays on one line."""
    if not sys.stderr.isatty():
        return message
    from tradestudy.cli.terminal import error_lines

    return "\n".join(error_lines(message))


def _print_trace() -> None:
    import traceback

    traceback.print_exc(file=sys.stderr)


if __name__ == "__main__":
    sys.exit(program())
