"""Docstrings and pages are read once: no sentence over 25 words, no paragraph over 90."""

import ast
import re
from pathlib import Path

ROOT = Path(__file__).parents[3]
MOST_WORDS_OF_A_SENTENCE, MOST_WORDS_OF_A_PARAGRAPH = 25, 90
PAGES = [
    *ROOT.glob("*.md"),
    *(ROOT / "studies").rglob("*.md"),
    *(ROOT / "tradestudy").rglob("*.md"),
    *(ROOT / "tests").rglob("*.md"),
]
FILES = [*sorted((ROOT / "tradestudy").rglob("*.py")), *sorted(PAGES)]


def paragraphs(text):
    """Yield paragraphs of prose: without code, tables, examples, headings and drawings; list items on their own."""
    text = re.sub(r"```.*?```", "", text, flags=re.DOTALL)
    for block in re.split(r"\n\s*\n|\n(?=\s*(?:[-*#|] |\d\. ))", text):
        block = re.split(r"\n\s*>>> ", block)[0].strip()
        drawing = "──" in block or re.search(r"\S {4,}\S", block) or block.startswith(("|", "::", ">>>", "#"))
        underlined = "\n---" in block  # a section of a docstring: names and types of arguments, not prose
        if block and not drawing and not underlined:
            yield block


def sentences(paragraph):
    """Yield sentences of a paragraph, parts at semicolons and colons apart; a formula is not counted."""
    for sentence in re.split(r"(?<=[.?!:;])\s+", paragraph):
        if not re.search(r"\s[=/+]\s|\^", sentence):
            yield sentence


def texts(path):
    """Return the docstrings of a module, or the text of a page."""
    source = path.read_text(encoding="utf-8")
    if path.suffix == ".md":
        return [source]
    kinds = ast.Module, ast.ClassDef, ast.FunctionDef
    return [ast.get_docstring(node) or "" for node in ast.walk(ast.parse(source)) if isinstance(node, kinds)]


def too_long(text):
    """Return what is too long in a text, in its first words."""
    long = []
    for paragraph in paragraphs(text):
        if len(paragraph.split()) > MOST_WORDS_OF_A_PARAGRAPH:
            long.append(f"paragraph: {paragraph[:70]}")
        long += [
            f"sentence: {sentence[:70]}"
            for sentence in sentences(paragraph)
            if len(sentence.split()) > MOST_WORDS_OF_A_SENTENCE
        ]
    return long


def test_sentences_and_paragraphs_are_short():
    long = {
        path.relative_to(ROOT).as_posix(): [each for text in texts(path) for each in too_long(text)] for path in FILES
    }
    assert {place: each for place, each in long.items() if each} == {}


def test_long_ones_are_found():
    assert too_long("word " * 26 + "end.")[0].startswith("sentence")
    assert too_long("Five words in a row. " * 19)[0].startswith("paragraph")
    assert too_long("word " * 25) == too_long("| " + "word " * 40) == []
