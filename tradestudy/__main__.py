"""Entry point of the terminal: ``tradestudy`` and ``python -m tradestudy`` are the same."""

from __future__ import annotations

import os
import sys

# The matrices are small, so threads in one product cost more time than they save. Set before numpy loads.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from tradestudy.cli.app import INTERRUPTED, run_command_line
from tradestudy.cli.terminal import NEAREST_LETTERS, show
from tradestudy.errors import MeasurementsError, StudyFileError, TradestudyError


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
        show("Stopped.", to=sys.stderr)
        return INTERRUPTED
    except BrokenPipeError:  # the reader of the output (head, less) has ended
        sys.stdout = open(os.devnull, "w", encoding="utf-8")
        return 1
    except Exception as error:
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
    sys.exit(main())
