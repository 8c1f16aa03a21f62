"""Code in README and documents is what the program reads: keys, shell lines with their files, and Python.

That the lines of ``tradestudy`` run is tested in `tests/unit/house/test_documented_commands.py`.
"""

import ast
import importlib.util
import re
import shlex
import tomllib

import pytest
from helpers.places import ROOT

import tradestudy
from tradestudy.cli.app import COMMANDS
from tradestudy.documents.python_pages import python_pages
from tradestudy.study.schema.measured import MEASUREMENT_TABLES
from tradestudy.study.schema.study import STUDY_TABLES

PAGES = [
    *sorted(ROOT.glob("*.md")),
    *sorted(page for room in ("studies", "tradestudy", "results") for page in (ROOT / room).rglob("*.md")),
]
SHELLS = {"sh", "powershell"}
LANGUAGES = SHELLS | {"", "toml", "python", "text"}
# first words of a line that belong to the system and not to this project
OF_THE_SYSTEM = {"python", "python3", "py", "source", "pip"}
OF_OTHERS = {"venv", "pip", "pytest"}  # modules of Python or of a library


def blocks(text):
    """Return (language, code) of each block of code in a page."""
    return re.findall(r"^```(\w*)[^\n]*\n(.*?)^```", text, flags=re.DOTALL | re.MULTILINE)


CODE = [
    (page.relative_to(ROOT).as_posix(), number, language, code)
    for page in PAGES
    for number, (language, code) in enumerate(blocks(page.read_text(encoding="utf-8")))
]


def of(*languages):
    found = [each for each in CODE if each[2] in languages]
    return pytest.mark.parametrize(
        ("page", "number", "language", "code"), found, ids=[f"{p}-{n}" for p, n, *_ in found]
    )


def test_every_block_is_of_a_language_that_is_tested():
    assert {language for _, _, language, _ in CODE} <= LANGUAGES
    assert sum(language in SHELLS for _, _, language, _ in CODE) > 15


def refused(code):
    """Return the keys of a block of TOML that no file holds, or whose value is refused."""
    found = []
    for name, given in tomllib.loads(code).items():
        for table in given if isinstance(given, list) else [given]:
            for key, value in table.items():
                specs = [spec for tables in (STUDY_TABLES, MEASUREMENT_TABLES) if (spec := tables.get(name))]
                types = [spec.key_type(key) for spec in specs if key in spec.model.model_fields]
                if not any(reads(kind, value) for kind in types):
                    found.append(f"{name}.{key}")
    return found


def reads(kind, value):
    try:
        kind.read(value)
    except ValueError:
        return False
    return True


@of("toml")
def test_keys_and_values_are_those_of_a_file(page, number, language, code):
    assert refused(code) == []


def test_a_wrong_key_or_value_is_found():
    assert refused('[stock]\nspan = "3 mm"\nspam = 1\n[[bend]]\nmass = "400 g"') == ["stock.span", "stock.spam"]


def faults_of_line(line):
    """Return what does not exist in one line for a shell: its command, a module, a file of the project."""
    words = shlex.split(line.replace("\\", "/"), comments=True)
    if not words:
        return []
    first = words[0].rpartition("/")[2]
    found = [] if first in OF_THE_SYSTEM | {"tradestudy", "activate"} or (ROOT / words[0]).exists() else [words[0]]
    if first == "tradestudy" and words[1] not in COMMANDS:
        found.append(words[1])
    if "-m" in words:
        module = words[words.index("-m") + 1]
        if module not in OF_OTHERS and not importlib.util.find_spec(module):
            found.append(module)
    places = [word for word in words[1:] if re.match(r"(studies|tests|tradestudy|\.ci)/", word)]
    return found + [place for place in places if not (ROOT / place).exists()]


@of(*SHELLS)
def test_what_a_line_for_a_shell_names_exists(page, number, language, code):
    for line in re.split(r"&&|;|\n", code.replace("\\\n", " ")):
        assert faults_of_line(line.strip()) == [], line


def test_a_line_that_names_what_is_not_there_is_found():
    assert faults_of_line("tradestudy polish studies/godwit.toml") == ["polish"]
    assert faults_of_line("tradestudy run studies/nightjar.toml") == ["studies/nightjar.toml"]
    assert faults_of_line("python -m tradestudy.paper out") == ["tradestudy.paper"]


def faults_of_python(code):
    """Return names of ``ts`` that it does not have, and files of the project that are not there."""
    nodes = list(ast.walk(ast.parse(code)))
    names = [n.attr for n in nodes if isinstance(n, ast.Attribute) and getattr(n.value, "id", "") == "ts"]
    texts = [n.value for n in nodes if isinstance(n, ast.Constant) and isinstance(n.value, str)]
    files = [text for text in texts if re.match(r"studies/[\w./]+\.\w+$", text)]
    return [name for name in names if not hasattr(tradestudy, name)] + [
        one for one in files if not (ROOT / one).exists()
    ]


@of("python")
def test_python_in_a_page_names_what_exists(page, number, language, code):
    assert faults_of_python(code) == []


@pytest.mark.parametrize("name", sorted(python_pages()))
def test_examples_in_docstrings_of_public_names_name_what_exists(name):
    for language, code in blocks(python_pages()[name]):
        if language == "python":
            assert faults_of_python(code.replace(">>> ", "")) == []


def test_python_that_names_what_is_not_there_is_found():
    assert faults_of_python('import tradestudy as ts\nts.polish("studies/nightjar.toml")') == [
        "polish",
        "studies/nightjar.toml",
    ]


def test_the_readme_is_at_most_two_screens_with_one_picture():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    lines = text.splitlines()
    assert len(lines) <= 90 and max(map(len, lines)) <= 100
    assert text.count("![") == 1
    assert lines[0] == "# tradestudy" and lines[2].startswith("You own a small")
