"""Every command line in README, documents and comments of studies runs as written, and every option named exists.

The commands that search are given an invented result here, as in tests of printed output. So a line runs from its words
to its output in a moment. `ASKS` and `MEASURES` are run by tests of their own with real files.
"""

import contextlib
import re
import shlex
import shutil
from functools import partial
from types import SimpleNamespace

import pytest
import typer
from helpers.invented.invented_payload import invented_payload
from helpers.invented.invented_result import sample_result
from helpers.places import ROOT

from tradestudy.__main__ import main
from tradestudy.cli import folders, session
from tradestudy.cli.app import COMMANDS, build_app
from tradestudy.commands import assess, flips, optimise, trade
from tradestudy.commands.python import wings
from tradestudy.search.engines.record import Record

PAGES = [
    *sorted(ROOT.glob("*.md")),
    *sorted(page for room in ("studies", "tradestudy", "results") for page in (ROOT / room).rglob("*.md")),
    *sorted((ROOT / "studies").rglob("*.toml")),
]
CLI = ROOT / "tradestudy" / "cli" / "README.md"
NAMED = {"STUDY": "studies/godwit.toml", "NAME": "whimbrel", "A": "studies/godwit.toml", "B": "studies/dunlin.toml"}
NAMED |= {"MEASUREMENTS": "studies/measured/godwit.toml", "[LOG...]": "studies/measured/godwit_flight.csv"}
NAMED |= {"whimbrel.toml": "studies/godwit.toml"}  # the reader's own wing in the guide
NAMED |= {"COMMAND": "assess", "...": "", "…": ""}
# run with real files: (words of the command) -> test file that runs it
ASKS = {"new": "tests/cli/files/test_new.py"}
MEASURES = {"fit": "tests/unit/uncertainty/fit", "log": "tests/cli/files/test_log.py"}
MEASURES["note"] = "tests/cli/files/test_note.py"
MEASURES["variants"] = "tests/unit/commands/variants/test_answers.py"
MEASURES["card"] = "tests/cli/answers/test_card.py"
MEASURES["open"] = "tests/cli/files/test_open.py"
MEASURES["club"] = "tests/cli/files/test_club.py"
MEASURES["example"] = "tests/cli/files/test_example.py"
SHELL = {"--install-completion"}  # writes into the user's shell: tests/cli/program/test_completion.py
_LINE = re.compile(r"(?:^|[\s`(/\\])tradestudy ((?:-{0,2}[a-zA-Z])[^`\n|]*)")


def lines_of(path):
    """Yield the words of each command line in a page, in code of a page, or in a comment of a study."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".toml":
        code = [part for line in text.splitlines() if "#" in line for part in [line.partition("#")[2]]]
        code = [re.split(r"[;,.:](?:\s|$)| lists | ranks ", line.replace("`", "\n"))[0] if "`" not in line else line
                for line in code]  # fmt: skip
        spans = [span for line in code for span in (re.findall(r"`([^`]*)`", line) or [line])]
    else:
        fenced = re.findall(r"```[a-z]*\n(.*?)```", text, flags=re.DOTALL)
        spans = [part for block in fenced for line in block.splitlines() for part in re.split(r"&&|;", line)]
        spans += re.findall(r"`([^`\n]+)`", re.sub(r"```.*?```", "", text, flags=re.DOTALL))
    for span in spans:
        found = _LINE.search(span.replace("\\", "/"))
        if found and found[1].split()[0].strip(":") in {*COMMANDS, "COMMAND", "--install-completion"}:
            yield shlex.split(found[1].strip())


def tables_of_commands():
    """Yield (page, words) of each command in the first column of the tables that say what a command answers."""
    for page in ("README.md", "tradestudy/documents/which_command.md"):
        for cell in re.findall(r"^\| (`.*?`) \|", (ROOT / page).read_text(encoding="utf-8"), flags=re.MULTILINE):
            for words in re.findall(r"`([^`]+)`", cell):
                yield page, shlex.split(words)


def documented():
    """Return every command line: (place, words), each once."""
    found = [(path.relative_to(ROOT).as_posix(), words) for path in PAGES for words in lines_of(path)]
    found += tables_of_commands()
    return list({tuple(words): (place, words) for place, words in found}.values())


LINES = documented()


@pytest.fixture
def invented(monkeypatch, tmp_path):
    """Give every command that searches an invented result, in a folder with the studies."""
    shutil.copytree(ROOT / "studies", tmp_path / "studies")
    (tmp_path / "fitted.toml").write_text("[fitted]\ndrag = 1.1\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    result = sample_result()
    study = SimpleNamespace(fly=SimpleNamespace(purpose="distance"))
    opened = SimpleNamespace(study=study, report_progress=print, record=Record(None, ""), started=partial)
    monkeypatch.setattr(session, "open_session", lambda *given, **more: contextlib.nullcontext(opened))
    monkeypatch.setattr(folders, "write_results", lambda *given: [])
    monkeypatch.setattr(folders, "write_build_sheet", lambda *given, **more: [])
    for module, names in (
        (assess, ("assess", "bands", "with_compared_parts")),
        (wings, ("cruise",)),
        (optimise, ("optimise", "robust")),
        (flips, ("flips",)),
        (wings, ("cruise",)),
        (trade, ("stretch", "front", "run")),
    ):
        for name in names:
            monkeypatch.setattr(module, name, lambda *given, **more: result)
    monkeypatch.setattr("tradestudy.commands.design_grid.grid", lambda *given: "grid")
    monkeypatch.setattr("tradestudy.cli.grid._print", lambda *given: print("6 designs"))
    monkeypatch.setattr("tradestudy.cli.grid.save_grid", lambda *given: [])
    monkeypatch.setattr("tradestudy.commands.payload.curves.payload", lambda *given, **more: invented_payload())
    monkeypatch.setattr("tradestudy.cli.payload._save", lambda *given: [])


@pytest.mark.parametrize(("place", "words"), LINES, ids=[" ".join(words) for _, words in LINES])
def test_a_documented_line_runs(place, words, invented, capsys):
    words = [known for word in words if (known := NAMED.get(word, word).replace("studies\\", "studies/"))]
    elsewhere = (ASKS | MEASURES).get(words[0])
    if elsewhere:  # its own test runs it; here its words must be understood
        assert (ROOT / elsewhere).exists()
        assert len(words) == 1 or parsed(words) == 0  # a bare name is no line to run
    elif words[0] in SHELL:
        assert words[0] in options_of_all()
    else:
        if len(words) == 1 and words[0] not in ("keys",):
            words.append(NAMED["STUDY"])  # a command that is named without its study
        if words[0] == "cruise" and NAMED["STUDY"] not in words:
            words.append(NAMED["STUDY"])
        assert main(words) == 0, (place, capsys.readouterr().err)
        assert capsys.readouterr().out


def parsed(words):
    """Return 0 if the words of one command are understood. Nothing is run."""
    name, *rest = words
    command = typer.main.get_command(build_app()).commands[name]
    return 0 if command.make_context(name, rest) else 1


def options_of_all():
    """Return every option of every command."""
    group = typer.main.get_command(build_app())
    commands = [group, *group.commands.values()]
    known = [parameter for each in commands for parameter in each.params]
    return {"--help"} | {word for each in known for word in (*each.opts, *each.secondary_opts)}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_every_option_that_a_page_names_exists(page):
    text = page.read_text(encoding="utf-8")
    named = set(re.findall(r"(?<![\w-])(--[a-z][a-z-]+)", text)) - {"--check", "--write"}  # of ruff and of a test file
    assert named <= options_of_all()


def test_what_the_page_on_the_command_line_says_of_options_is_true():
    words = " ".join(CLI.read_text(encoding="utf-8").split())
    group = typer.main.get_command(build_app())
    options = {name: {opt for each in group.commands[name].params for opt in each.opts} for name in COMMANDS}
    without_json = re.search(r"Every command (?:but (.*?) )?takes `--json`", words)[1] or ""
    assert {name for name in COMMANDS if "--json" not in options[name]} == set(re.findall(r"`(\w+)`", without_json))
    anyway = re.search(r"The option `--anyway` \(of (.*?)\)", words)[1]
    assert {name for name in COMMANDS if "--anyway" in options[name]} == set(re.findall(r"`(\w+)`", anyway))
    fitted = re.search(r"`--fitted fitted.toml`: (.*?)\.", words)[1]
    assert {name for name in COMMANDS if "--fitted" in options[name]} == set(re.findall(r"`(\w+)`", fitted))
    assert {name for name in COMMANDS if "--out" in options[name]} >= {"assess", "bands", "cruise", "run", "grid"}


def test_the_lines_of_python_in_the_readme_run(monkeypatch):
    monkeypatch.chdir(ROOT)
    (block,) = re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), flags=re.DOTALL)
    names = {}
    exec(block, names)
    assert names["study"].study.name == "Godwit" and names["problem"].model is not None


def test_the_guide_says_what_every_command_answers():
    assert {words[0] for page, words in tables_of_commands() if page != "README.md"} == set(COMMANDS)


def test_lines_are_found():
    """At least those of the README, the studies and the measurements."""
    found = {words[0] for _, words in LINES}
    assert found >= {"run", "check", "bands", "cruise", "fit", "new", "keys", "assess", "grid", "compare"}
    assert len(LINES) > 20
