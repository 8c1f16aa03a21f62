"""Tables and sentences of every command fit into 80 columns, have no styles in a pipe, and are not clipped.

The commands that run the model print invented results here.
"""

import ast
import contextlib
import json
import re
from dataclasses import replace
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import pytest
from helpers.invented.invented_payload import invented_payload
from helpers.invented.invented_result import sample_result
from helpers.places import ROOT
from helpers.readers.output_reader import terminal_faults
from helpers.wings import odd_wings
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from tradestudy.__main__ import main
from tradestudy.cli import folders, result_tables, session, terminal
from tradestudy.cli.app import COMMANDS
from tradestudy.cli.terminal import sentence_lines, table_lines
from tradestudy.commands import assess, flips, optimise, trade
from tradestudy.commands.python import wings
from tradestudy.results.trade import Flip, Flips
from tradestudy.search.engines.record import Record

WIDE = 80
# the most lines that a command prints without --all, where its result is as long as any
MOST_LINES = {
    "assess": 60,
    "stretch": 45,
    "optimise": 40,
    "front": 45,
    "flips": 40,
    "bands": 40,
    "run": 45,
    "cruise": 60,
    "buildsheet": 20,
}
SHOWN = (
    ["assess"],
    ["stretch"],
    ["optimise"],
    ["front"],
    ["flips"],
    ["bands"],
    ["run"],
    ["cruise", "--parts"],
    ["buildsheet"],
    ["payload", "--mass", "250 g"],
)
TESTED_ELSEWHERE = {"check", "compare", "keys", "grid", "log", "fit", "new", "card", "club", "note", "example"}
TESTED_ELSEWHERE |= {"variants", "open"}  # tests/unit/commands/variants/test_answers.py, tests/cli/files/test_open.py


FLIP = Flip(
    name="climb",
    kind="limit",
    words="climb at full throttle at least 2.1 m/s instead of 2 m/s",
    relaxes=False,
    at="2.05 m/s",
    step_share_pct=50.0,
    differences=["pack 4S2P", "3 pairs of 3 mm rods"],
    span_mm=1412.0,
    parts="4S2P, 3 pairs of 3 mm rods, 10x6 propeller",
    gain=75.0,
    change=-45.2,
    lost=None,
    breaks="load factor at which it breaks in a pull-up",
    in_full=True,
)


@pytest.fixture
def invented(monkeypatch, tmp_path):
    """Patch the commands so that they get an invented result and write nothing."""
    result = replace(sample_result(), flips=Flips([FLIP, replace(FLIP, in_full=False)], 80, 2))

    opened = SimpleNamespace(
        study=SimpleNamespace(fly=SimpleNamespace(purpose="distance")),
        report_progress=lambda words: None,
        record=Record(None, ""),
        started=partial,
    )
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(session, "open_session", lambda *given, **more: contextlib.nullcontext(opened))
    monkeypatch.setattr("tradestudy.commands.payload.curves.payload", lambda *given, **more: invented_payload())
    monkeypatch.setattr("tradestudy.commands.kept_results.results_folder", lambda study: Path("kept"))
    monkeypatch.setattr("tradestudy.cli.payload._save", lambda *given: [])
    monkeypatch.setattr(folders, "write_results", lambda *given: [])
    monkeypatch.setattr(folders, "write_build_sheet", lambda *given, **more: [])
    for module, names in (
        (assess, ("assess", "bands", "with_compared_parts")),
        (wings, ("cruise",)),
        (optimise, ("optimise",)),
        (flips, ("flips",)),
        (trade, ("stretch", "front", "run")),
    ):
        for name in names:
            monkeypatch.setattr(module, name, lambda *given, **more: result)
    (tmp_path / "s.toml").write_text("", encoding="utf-8")
    monkeypatch.setattr(
        "tradestudy.study.reader.read_study",
        lambda path, fitted=None: SimpleNamespace(
            study=SimpleNamespace(name="Godwit", units="metric"),
            fly=SimpleNamespace(purpose="distance"),
            text="",
            edits=(),
        ),
    )
    return result


@pytest.mark.parametrize("arguments", SHOWN, ids=" ".join)
def test_no_line_is_longer_than_80_columns(arguments, invented, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "200")  # this is no terminal, so the width is that of a pipe
    assert main([arguments[0], "s.toml", *arguments[1:]]) in (0, 1)
    out = capsys.readouterr().out
    assert len(out) > 100 and "\x1b" not in out
    assert [line for line in out.splitlines() if len(line) > WIDE] == []


@pytest.mark.parametrize("everything", [False, True], ids=["brief", "all"])
@pytest.mark.parametrize("command", MOST_LINES)
def test_what_is_printed_reads_well(command, everything, invented, capsys):
    more = ["--all"] if everything and command != "buildsheet" else []
    assert main([command, "s.toml", *more]) in (0, 1)
    printed = capsys.readouterr().out
    assert terminal_faults(printed, command, None if everything else MOST_LINES[command]) == []


@pytest.mark.parametrize("command", ["assess", "run", "optimise", "stretch"])
def test_the_decision_stands_first_in_a_dozen_lines(command, invented, capsys):
    """Check that what to build, what to expect, how to fly and what limits the wing stand on top."""
    assert main([command, "s.toml"]) in (0, 1)
    top = " ".join(" ".join(capsys.readouterr().out.splitlines()[:12]).split())
    wing = invented.recommended or invented.best
    pack, span = "4S2P pack (144 Wh, today 72 Wh)", f"{wing.numbers.span_mm:.0f} mm, today 1160 mm: "
    assert top.startswith(f"Carry a {pack} and build a span of {span}")
    for told in (f"Expect {wing.numbers.range_km:.0f} km", f"It weighs {wing.numbers.auw_g:.0f} g", "What limits it: "):
        assert told in top, told


# The invented wings lack columns of the speed table, which test_model_commands reads as JSON from a real wing.
@pytest.mark.parametrize("arguments", [each for each in SHOWN if each[0] != "cruise"], ids=" ".join)
def test_json_is_alone_on_standard_output(arguments, invented, capsys):
    assert main([arguments[0], "s.toml", *arguments[1:], "--json"]) in (0, 1)
    assert isinstance(json.loads(capsys.readouterr().out), dict)


def test_every_command_is_tested():
    assert {arguments[0] for arguments in SHOWN} | TESTED_ELSEWHERE == set(COMMANDS)


def test_a_terminal_of_80_columns_gets_heads_in_bold_only(monkeypatch, capsys):
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("NO_COLOR", "1")
    terminal.print_table(["part", "what it does"], [("rod", "carries bending " * 9), ("film", "carries twist")])
    out = capsys.readouterr().out
    assert set(re.findall(r"\x1b\[([0-9;]*)m", out)) <= {"1", "0"}  # only bold and plain text, no colour
    plain = re.sub(r"\x1b\[[0-9;]*m", "", out).splitlines()
    assert max(map(len, plain)) <= 80 and plain[0].split() == ["part", "what", "it", "does"]
    assert sum("bending" in line for line in plain) == 2  # wrapped, not clipped


def test_the_robust_wing_fits_too(capsys):
    wing = {
        "words": "4S2P, 2 pairs of 3 mm rods, 10x7 propeller",
        "span_mm": 1517.0,
        "auw_g": 1571.0,
        "gain": 81.3,
        "low": 70.1,
        "least_certain_limit": "failure",
        "met_share": {"failure": 51.0},
        "least_certain_limit_words": "load factor at which it breaks in a pull-up",
        "least_certain_limit_pct": 51.0,
    }
    surer = wing | {"span_mm": 1410.0, "low": 66.6, "least_certain_limit_pct": 91.2}
    result_tables.print_robust(
        sample_result(robust={"chance_pct": 90.0, "rounds": 2, "reached": True, "nominal": wing, "robust": surer})
    )
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= WIDE and "That costs 3.5 km of what" in " ".join(out.split())


WORDS = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=30)
CELLS = st.lists(WORDS, max_size=12).map(" ".join)


@settings(max_examples=15, deadline=None)
@given(st.integers(2, 7).flatmap(lambda count: st.lists(st.tuples(*[CELLS] * count), min_size=2, max_size=5)))
def test_tables_fit_and_lose_no_letter(rows):
    heads, *body = rows
    lines = table_lines(list(heads), body, WIDE)
    assert all(cell_len(line) <= WIDE for line in lines)
    letters = sorted("".join("".join(row) for row in (rows if any(heads) else body)).replace(" ", ""))
    assert sorted("".join(lines).replace(" ", "")) == letters


@settings(max_examples=30, deadline=None)
@given(st.lists(WORDS, min_size=1, max_size=40).map(" ".join), st.integers(40, 120))
def test_sentences_fit_and_break_no_word(words, wide):
    lines = sentence_lines(words, wide, "- ", "  ")
    assert " ".join(" ".join(lines).split()[1:]) == " ".join(words.split())
    assert all(cell_len(line) <= wide for line in lines) or max(map(cell_len, words.split())) > wide - 2


def test_a_number_stays_with_its_unit():
    lines = sentence_lines("a pull-up of 4.0 g, 520 mm from the centre line [N cm] and 7 % more", 12)
    for pair in ("4.0 g,", "520 mm", "[N cm]", "7 %"):
        assert any(pair in line for line in lines), pair


def test_a_no_break_space_breaks_no_line():
    unbroken = "night\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}2"
    lines = sentence_lines(f"plain and {unbroken} and {unbroken}", 12)
    assert lines == ["plain and", "night × 2", "and", "night × 2"]


def test_columns_that_fit_are_as_wide_as_their_text():
    lines = table_lines(["a", "stock", "stretched"], [("span", "1160", "1480")], WIDE, indent=2)
    assert lines == ["  a     stock  stretched", "  span  1160   1480"]


def test_a_word_is_broken_only_where_the_longest_words_do_not_fit():
    row = ("a row of many short words and a limits.yaw_stiffness_share", "another text of many words", "12")
    assert "limits.yaw_stiffness_share" in " ".join(table_lines(["", "", ""], [row], 50))
    assert "limits.yaw_stiffness_share" not in " ".join(table_lines(["", "", ""], [row], 30))


def test_control_letters_are_shown_as_text():
    (line,) = table_lines(["", ""], [("a\x1b[31mb", "c\x07d")], WIDE)
    assert line == r"a\x1b[31mb  c\x07d"
    assert sentence_lines("x\x1b[2Jy\x9b1m", WIDE) == [r"x\x1b[2Jy\x9b1m"]
    assert terminal.shown("a\nb\tc\N{NO-BREAK SPACE}\N{RIGHT-TO-LEFT OVERRIDE}d\re") == "a\nb\tc\xa0\\u202ed\\re"


EVIL = "\x1b[31m\x9b2J\N{RIGHT-TO-LEFT OVERRIDE}"


@pytest.mark.parametrize(
    "arguments",
    [
        ["check", "good.toml"],
        ["check", "good.toml", "--json"],
        ["check", f"good{EVIL}.toml"],
        ["check", f"none{EVIL}.toml"],
        ["check", "bad.toml"],
        ["check", "syntax.toml"],
        ["check", "bad.toml", "--json"],
        [f"chek{EVIL}"],
        ["check", f"--jsom{EVIL}"],
        ["keys", f"stock{EVIL}"],
        ["compare", "good.toml", "good.toml", "--wing", f"x{EVIL}"],
        ["log", f"log{EVIL}.csv", "good.toml"],
    ],
    ids=lambda words: " ".join(words).encode("ascii", "replace").decode().replace("\x1b", ""),
)
def test_no_control_letter_reaches_the_terminal(arguments, tmp_path, monkeypatch, capsys):
    """Check headings, file names, units, catalogue names, keys and lines with errors of syntax, on both streams."""
    monkeypatch.chdir(tmp_path)
    escaped = EVIL.encode("unicode_escape").decode().replace("\\x", "\\u00")
    bad = f'["st{escaped}"]\na = 1\n[stock]\nspan = "1 {escaped}m"\nairfoil = "{escaped}"\n"k{escaped}" = 1\n'
    (tmp_path / "bad.toml").write_text(f'{bad}[foam]\nmaterial = "E{escaped}"\n', encoding="utf-8")
    (tmp_path / "syntax.toml").write_text("[stock]\nspan = \N{RIGHT-TO-LEFT OVERRIDE}1\x9b mm\n", encoding="utf-8")
    good = odd_wings.TEXT.replace('name = "belly"', 'name = "b\N{GREEK SMALL LETTER BETA}"').replace('"belly"', '"bβ"')
    for name in ("good.toml", f"good{EVIL}.toml"):
        (tmp_path / name).write_text(good, encoding="utf-8")
    main(arguments)
    said = capsys.readouterr()
    assert said.out or said.err
    assert [letter for letter in said.out + said.err if not terminal.is_harmless(letter)] == []
    if "--json" in arguments:
        assert "study" in json.loads(said.out)


def test_only_one_function_prints():
    """Check that nothing of the command line prints past `show`, which shows control characters as text."""
    found = []
    for file in [*(ROOT / "tradestudy" / "cli").glob("*.py"), ROOT / "tradestudy" / "__main__.py"]:
        calls = [node for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))) if isinstance(node, ast.Call)]
        found += [file.name for call in calls if isinstance(call.func, ast.Name) and call.func.id == "print"]
    assert found == ["terminal.py", "terminal.py"]  # `show`, and `print_table`, whose heads are bold


@pytest.mark.parametrize(
    ("encoding", "shown"), [("cp1252", "-26.3 \N{MULTIPLICATION SIGN} ->"), ("ascii", "-26.3 x ->"), ("utf-8", None)]
)
def test_letters_that_a_console_lacks_have_a_plain_form(encoding, shown):
    words = "\N{MINUS SIGN}26.3 \N{MULTIPLICATION SIGN} \N{RIGHTWARDS ARROW}"
    assert words.encode(encoding, terminal.NEAREST_LETTERS).decode(encoding) == (shown or words)
    assert "\N{SNOWMAN}".encode("ascii", terminal.NEAREST_LETTERS) == b"?"


def test_a_long_fault_is_wrapped_in_a_terminal_only(tmp_path, monkeypatch, capsys):
    study = tmp_path / "s.toml"
    monkeypatch.chdir(tmp_path)
    study.write_text('[study]\nname = "x"\n\n[stock]\nspan = "9000 mm"\nairfoli_covers = "foam"\n', encoding="utf-8")
    assert main(["check", "s.toml"]) == 2
    piped = capsys.readouterr().err
    assert any(len(line) > WIDE for line in piped.splitlines())
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    monkeypatch.setenv("COLUMNS", "80")
    assert main(["check", "s.toml"]) == 2
    shown = capsys.readouterr().err
    assert max(map(len, shown.splitlines())) <= WIDE and shown.split() == piped.split()
    assert "\n            " in shown  # the lines of an error message are indented


def test_help_of_every_command_fits(capsys):
    for command in COMMANDS:
        assert main([command, "--help"]) == 0
        assert max(map(len, capsys.readouterr().out.splitlines())) <= WIDE, command
