"""``python -m tradestudy.documents FOLDER`` writes the documents as HTML pages into a folder."""

from __future__ import annotations

import sys
from pathlib import Path

from tradestudy.errors import TradestudyError

from .build import build


def build_documents(arguments: list[str]) -> int:
    """Build the documents and return the exit code: 0 done, 2 wrong arguments or no library to build with."""
    if len(arguments) != 1 or arguments[0].startswith("-"):
        print("Give one folder: python -m tradestudy.documents FOLDER", file=sys.stderr)
        return 2
    try:
        page = build(Path(arguments[0]))
    except TradestudyError as error:
        print(error, file=sys.stderr)
        return error.exit_code
    print(f"Written: {page}")
    return 0


if __name__ == "__main__":
    sys.exit(build_documents(sys.argv[1:]))
