"""Docstrings and pages are read once: no sentence over 25 words, no paragraph over 90."""

import ast
from pathlib import Path

from helpers.readers.plain_sentences import too_long

ROOT = Path(__file__).parents[3]
PAGES = [
    *ROOT.glob("*.md"),
    *(ROOT / "studies").rglob("*.md"),
    *(ROOT / "tradestudy").rglob("*.md"),
    *(ROOT / "tests").rglob("*.md"),
]
FILES = [*sorted((ROOT / "tradestudy").rglob("*.py")), *sorted(PAGES)]


def texts(path):
    """Return the docstrings of a module, or the text of a page."""
    source = path.read_text(encoding="utf-8")
    if path.suffix == ".md":
        return [source]
    kinds = ast.Module, ast.ClassDef, ast.FunctionDef
    return [ast.get_docstring(node) or "" for node in ast.walk(ast.parse(source)) if isinstance(node, kinds)]


def test_sentences_and_paragraphs_are_short():
    long = {
        path.relative_to(ROOT).as_posix(): [each for text in texts(path) for each in too_long(text)] for path in FILES
    }
    assert {place: each for place, each in long.items() if each} == {}


def test_long_ones_are_found():
    assert too_long("word " * 26 + "end.")[0].startswith("sentence")
    assert too_long("Five words in a row. " * 19)[0].startswith("paragraph")
    assert too_long("word " * 25) == too_long("| " + "word " * 40) == []
