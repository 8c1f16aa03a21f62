"""Tests of ``tradestudy new`` on a real pseudo-terminal, through a pipe, and by options alone."""

import io
import os
import re
import select
import subprocess
import sys
import time
from pathlib import Path

import pytest
from helpers.places import ROOT

from tradestudy.__main__ import main
from tradestudy.files import part_of
from tradestudy.study.dialog.questions import QUESTIONS
from tradestudy.study.reader import read_study

PATIENCE = 8.0  # s to wait for the next prompt; usual are half a second at the start and a tenth later
# makes standard input the controlling terminal, so that Ctrl-C reaches the program
ON_A_TERMINAL = (
    "import fcntl, os, sys, termios; fcntl.ioctl(0, termios.TIOCSCTTY, 0); "
    "os.execv(sys.executable, [sys.executable, '-m', 'tradestudy', *sys.argv[1:]])"
)
NEEDED = {
    "span": "38 in",
    "chords": "215 mm, 145 mm",
    "elevon_chord": "36 mm",
    "set_back": "195 mm",
    "thickness": "29 mm",
    "balance": "125 mm",
    "weight": "36 oz",
    "rods": "3 mm, 1",
    "motor": "22 mm, 1150 rpm/V, 8x4",
    "pack": "4S1P Li-ion, 4900 mAh, 330 g",
    "stretch": "scaled, 1.3 m",
}


@pytest.fixture(autouse=True)
def at_the_bench(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def environment():
    return {**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "100", "PYTHONIOENCODING": "utf-8"}


def options(**changed):
    answers = {**NEEDED, **changed}
    return [
        word for name, text in answers.items() if text is not None for word in (f"--{name.replace('_', '-')}", text)
    ]


def run(capsys, *arguments):
    code = main(["new", *arguments])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


class Terminal:
    """A program on a pseudo-terminal. Tests type a line and get the text printed up to the next prompt."""

    def __init__(self, *arguments):
        import pty

        self.ours, theirs = pty.openpty()
        self.program = subprocess.Popen(
            [sys.executable, "-c", ON_A_TERMINAL, *arguments],
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            start_new_session=True,
            env=environment(),
        )
        os.close(theirs)

    def heard(self, until="  > "):
        """Return the text printed up to ``until``, or up to the end of the program if it is None."""
        text, end = "", time.monotonic() + PATIENCE
        while until is None or not text.endswith(until):
            ready, _, _ = select.select([self.ours], [], [], max(0.0, end - time.monotonic()))
            assert ready, f"nothing more came after {text!r}"
            try:
                piece = os.read(self.ours, 4096)
            except OSError:  # Linux reports this error when the other end is closed
                piece = b""
            if not piece:
                assert until is None, f"it ended after {text!r}"
                break
            text += piece.decode("utf-8", "replace")
        return text.replace("\r\n", "\n")

    def says(self, line, until="  > "):
        """Type a line and return the answer without the echo."""
        os.write(self.ours, f"{line}\n".encode())
        return self.heard(until).partition("\n")[2]

    def interrupted(self):
        """Press Ctrl-C and return the text printed from there to the end."""
        time.sleep(0.3)  # a signal between the prompt and the wait for input would act one line later
        os.write(self.ours, b"\x03")
        return self.heard(None)

    def ends(self):
        """Return the exit code."""
        return self.program.wait(PATIENCE)


@pytest.fixture()
def on_terminal():
    """Return a function that starts the program on a terminal. Programs still running are stopped after the test."""
    started = []

    def start(*arguments):
        started.append(Terminal(*arguments))
        return started[-1]

    yield start
    for terminal in started:
        os.close(terminal.ours)
        terminal.program.kill()
        terminal.program.wait()


needs_a_terminal = pytest.mark.skipif(sys.platform == "win32", reason="no pseudo-terminal there")


def title(screen):
    """Return the title of the last question on a screen."""
    return re.findall(r"^\d+ of 16  (.+)$", screen, re.MULTILINE)[-1]


@needs_a_terminal
def test_a_builder_slips_goes_back_stops_and_goes_on(on_terminal, tmp_path):
    terminal = on_terminal("new", "Plover")
    assert title(terminal.heard()) == "Span"
    assert terminal.says("56") == (
        '    Span is "56", without a unit; write it with mm, cm, m, in or ft. Is that 56 in?\n    y takes 56 in\n  > '
    )
    assert "An answer is needed" in terminal.says("")
    assert terminal.says("-").startswith("  This is the first question.\n")
    assert "Any unit is allowed" in terminal.says("?")
    assert title(terminal.says("38 in")) == "Foam chords: root, tip"
    back = terminal.says("-")
    assert title(back) == "Span" and "Empty keeps 38 in." in back
    assert title(terminal.says("")) == "Foam chords: root, tip"
    assert "Is that 145 mm?" in terminal.says("215, 145")
    assert title(terminal.says("y")) == "Elevon chord"
    # 100 mm is too thick, which only a check of the complete study shows
    for text in ("36 mm", "19.5 cm", "100 mm", "125 mm"):
        screen = terminal.says(text)
    assert title(screen) == "Flying weight"
    said = terminal.interrupted()
    assert "Your answers are kept in Plover.answers.toml. To go on, type: tradestudy new Plover\n" in said
    assert terminal.ends() == 130
    assert sorted(os.listdir(tmp_path)) == ["Plover.answers.toml"]

    terminal = on_terminal("new", "Plover")
    screen = terminal.heard()
    assert "Answered so far (Plover.answers.toml):\n  Span:  38 in\n" in screen
    assert title(screen) == "Flying weight"
    assert "y takes 1.020 kg" in terminal.says("1,020 kg")  # a comma before three digits may stand for thousands
    for text in ("y", "3 mm, 1", "none", NEEDED["motor"], NEEDED["pack"]):
        screen = terminal.says(text)
    assert title(screen) == "Stretch: scheme, longest span"
    screen = terminal.says("scaled, 1.3 m")
    assert " 1  analogue camera " in screen and "May be left empty: one part" in screen
    assert "Ticked: analogue camera, receiver." in terminal.says("10,1")
    for text in ("", "-1 mm"):
        screen = terminal.says(text)
    assert title(screen).startswith("A flight you remember")
    screen = terminal.says("")
    assert (
        "These answers do not fit one another yet:\n"
        "  stock.root_thickness is 100 mm, more than 30 % of stock.root_chord (215 mm).\n"
    ) in screen
    assert title(screen) == "Thickness of the root"
    said = terminal.says("29 mm", None)
    assert terminal.ends() == 0
    assert "Wrote Plover.toml.\n  study     Plover\n" in said
    assert said.endswith("Next: tradestudy assess Plover.toml\n")
    assert sorted(os.listdir(tmp_path)) == ["Plover.toml"]
    assert b"\r" not in Path("Plover.toml").read_bytes()
    study = read_study("Plover.toml")
    assert study.stock.span == pytest.approx(38 * 0.0254)
    assert (study.stock.tip_set_back, study.stock.flying_weight) == pytest.approx((0.195, 1.02))
    assert (study.stock.up_elevon, study.stretch.span[1]) == pytest.approx((-0.001, 1.3))
    assert [one.name for one in study.equipment] == ["analogue camera", "receiver"]


@needs_a_terminal
def test_what_does_not_fit_and_is_not_changed_is_written_to_be_corrected(on_terminal):
    terminal = on_terminal("new", "Plover", *options(thickness="100 mm", weight=None))
    assert title(terminal.heard()) == "Flying weight"
    screen = terminal.says("1020 g")
    for _ in range(5):  # leave out optional answers
        screen = terminal.says("")
    assert title(screen) == "Thickness of the root"
    said = terminal.says("", None)
    assert "Nothing was changed, so Plover.toml is written with what does not fit." in said
    assert terminal.ends() == 2 and not Path("Plover.answers.toml").exists()
    assert 'root_thickness = "100 mm"' in Path("Plover.toml").read_text(encoding="utf-8")


def test_closed_input_keeps_the_answers():
    done = subprocess.run(
        [sys.executable, "-m", "tradestudy", "new", "wee one", "--out", "kept here"],
        input="38 in\n",
        capture_output=True,
        text=True,
        encoding="utf-8",
        env=environment(),
    )
    kept = Path("kept here") / "wee one.answers.toml"
    assert done.returncode == 130 and 'span = "38 in"' in kept.read_text(encoding="utf-8")
    assert done.stdout.endswith(
        f'Your answers are kept in {kept}. To go on, type: tradestudy new "wee one" --out "kept here"\n'
    )
    assert done.stderr == "Stopped.\n"


def test_no_line_of_a_question_is_wider_than_a_pipe(capsys, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join([*NEEDED.values()][:8])))
    run(capsys, "heron")  # the answers end with the rods, and the next question has the longest line
    monkeypatch.setattr("sys.stdin", io.StringIO("\n"))
    _, printed, _ = run(capsys, "heron")
    assert "9 of 16" in printed and "Usual: " in printed
    assert max(len(line) for line in printed.splitlines() if line.startswith("    ")) <= 80


@pytest.mark.parametrize(("name", "small"), [("span", 950), ("chords", 215), ("thickness", 32), ("weight", 620)])
def test_the_usual_range_holds_a_small_wing(name, small):
    """A wing of 0.95 m and 620 g, as may be built from the foam of 1.2 m wings; its values are judged usual."""
    (question,) = (one for one in QUESTIONS if one.name == name)
    assert float(re.match(r"\d+", question.usual)[0]) <= small


def test_options_alone_write_a_study_without_asking(capsys):
    code, out, err = run(capsys, "Plover.toml", *options(up_elevon="-1 mm", flight="31 km, 37 min, 2400 mAh"))
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert lines[0] == "Wrote Plover.toml." and lines[-1] == "Next: tradestudy assess Plover.toml"
    assert re.fullmatch(r"\d+ values are assumed, each with a band. To see them: .* check Plover.toml", lines[-2])
    study = read_study("Plover.toml")
    assert (study.stock.flying_weight, study.known_flight.time) == pytest.approx((36 * 0.45359237 / 16, 2220))
    # overwriting needs --force
    again = "Plover.toml is there already. Choose another name, or add --force to write over it.\n"
    assert run(capsys, "Plover", *options()) == (2, "", again)
    assert run(capsys, "Plover", *options(span="1200 mm"), "--force")[0] == 0
    assert read_study("Plover.toml").stock.span == pytest.approx(1.2)


def test_answers_in_inches_and_ounces_are_read_as_they_are_written(capsys):
    typed = {
        "span": '44"', "chords": '11 1/2 in, 6 1/4"', "elevon_chord": "1 5/8 in", "set_back": "10 inches",
        "thickness": "1,8 in", "balance": '6 5/8"', "weight": "2 lb 10 oz", "flight": "12 miles, 40 min, 5 Ah",
    }  # fmt: skip
    code, out, err = run(capsys, "Plover", *options(**typed), "--units", "imperial")
    assert (
        (code, err) == (0, "") and "span 44.00 in" in out and not re.search(r"(?<!motor 22) (?:mm|g|km/h)(?!\w)", out)
    )
    text = Path("Plover.toml").read_text(encoding="utf-8")
    assert 'units = "imperial"' in text and '"2 lb 10 oz"' in text and "sq in are assumed" in text
    stock = read_study("Plover.toml").stock
    inches = [1e3 * each / 25.4 for each in (stock.span, stock.root_chord, stock.tip_chord, stock.root_thickness)]
    assert inches == pytest.approx([44, 11.5, 6.25, 1.8]) and stock.flying_weight == pytest.approx(42 * 0.45359237 / 16)
    assert read_study("Plover.toml").known_flight.distance == pytest.approx(12 * 1609.344)


def test_kept_answers_and_options_go_together(capsys):
    Path("Plover.answers.toml").write_text('weight = "1100 g"\nspan = "9 km"\n', encoding="utf-8")
    code, out, _ = run(capsys, "Plover", *options(weight=None), "--no-questions")
    assert code == 0 and out.startswith("Taken from Plover.answers.toml: weight.\n")
    assert read_study("Plover.toml").stock.flying_weight == pytest.approx(1.1)
    assert not Path("Plover.answers.toml").exists()


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (
            ["Plover", "--no-questions"],
            "Nothing is asked with --no-questions, so these are missing: --span, --chords, --elevon-chord, --set-back, "
            "--thickness, --balance, --weight, --rods, --motor, --pack, --stretch.\n",
        ),
        (
            ["Plover", *options(balance=None), "--no-questions"],
            "Nothing is asked with --no-questions, so these are missing: --balance.\n",
        ),
        (
            ["Plover", "--span", "56", "--rods", "3 mm, 9"],
            '--span: Span is "56", without a unit; write it with mm, cm, m, in or ft. Is that 56 in?\n'
            "--rods: Pairs of rods is 9; write a whole number from 1 to 4.\n",
        ),
        (
            ["Plover", *options(thickness="100 mm", stretch="scaled, 900 mm")],
            "Plover.toml was not written; these do not fit together:\n"
            "  --thickness: stock.root_thickness is 100 mm, more than 30 % of stock.root_chord (215 mm).\n"
            '  --stretch: stretch.span runs from "38 in" down to "900 mm"; write the smaller first.\n',
        ),
        (
            ["a/b"],
            'The name is "a/b"; it is also the name of the results folder: write 1 to 60 characters, none of '
            '/\\:*?"<>|, '
            "and no space or full stop at either end.\n",
        ),
        (
            ["damaged"],
            "damaged.answers.toml does not hold the answers of an earlier run. Delete it, or use another name.\n",
        ),
        (["Plover", "--out", "damaged.answers.toml"], "damaged.answers.toml is a file; --out wants a folder.\n"),
        (["blocked", *options()], "blocked.toml cannot be written: Is a directory.\n"),
        (["Plover", "--spam", "1 m"], "There is no option --spam. Did you mean --span? Help: tradestudy new --help\n"),
        ([], "Missing argument 'NAME'. Help: tradestudy new --help\n"),
    ],
    ids=[
        "nothing given",
        "one missing",
        "two wrong",
        "does not fit",
        "name",
        "damaged answers",
        "out is a file",
        "cannot be written",
        "misspelt option",
        "no name",
    ],
)
def test_every_error(capsys, arguments, message):
    Path("damaged.answers.toml").write_text("wings = 2\n", encoding="utf-8")
    if "blocked" in arguments:
        if sys.platform == "win32":
            pytest.skip("words of the operating system")
        part_of(Path("blocked.toml")).mkdir()
    assert run(capsys, *arguments) == (2, "", message)


def test_every_question_has_its_option(capsys):
    code, out, _ = run(capsys, "--help")
    assert code == 0
    assert {question.flag for question in QUESTIONS} | {
        "--out",
        "--force",
        "--no-questions",
        "--units",
        "--help",
    } == set(re.findall(r"^  (--[a-z-]+)", out, re.MULTILINE))


def test_it_starts_without_the_slow_libraries():
    script = (
        "import sys, tradestudy.__main__ as door; door.main(['new', 'Plover']); "
        "sys.exit(repr({'numpy', 'scipy', 'openmdao', 'rich', 'matplotlib'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        input="38 in\n",
        capture_output=True,
        text=True,
        encoding="utf-8",
        env=environment(),
    )
    assert done.stderr == "Stopped.\nset()\n"


SMALL = {
    "span": "700 mm",
    "chords": "170 mm, 110 mm",
    "elevon_chord": "28 mm",
    "set_back": "140 mm",
    "thickness": "22 mm",
    "balance": "85 mm",
    "weight": "300 g",
    "motor": "22 mm, 2300 rpm/V, 5x3",
    "stretch": "scaled, 900 mm",
}
LITTLE_SWEEP = {
    "span": "1 m",
    "chords": "240 mm, 160 mm",
    "elevon_chord": "36 mm",
    "set_back": "106 mm",
    "thickness": "34 mm",
    "balance": "95 mm",
    "weight": "750 g",
    "rods": "none",
    "motor": "22 mm, 1300 rpm/V, 8x5",
    "pack": "3S LiPo, 2200 mAh, 180 g",
    "stretch": "scaled, 1300 mm",
}


@pytest.mark.parametrize(
    "answers",
    [
        SMALL | {"rods": "2 mm, 1, carbon", "pack": "2S LiPo, 850 mAh, 50 g"},
        SMALL | {"rods": "none", "pack": "3S LiPo, 850 mAh, 75 g"},
        SMALL | {"thickness": "19 mm", "rods": "none", "pack": "3S LiPo, 1000 mAh, 85 g"},
        LITTLE_SWEEP,
    ],
    ids=("two cells", "three cells", "a thin wing", "12 degrees of sweep without rods"),
)
def test_a_small_wing_that_flies_leads_to_a_study_that_check_accepts(tmp_path, capsys, answers):
    """Check that no guess of the program refuses the pack with which the wing flies."""
    code, _, told = run(capsys, "Wren", *options(**answers), "--no-questions")
    assert (code, told) == (0, "")
    code = main(["check", "Wren.toml"])
    assert code == 0, capsys.readouterr().err


@pytest.mark.parametrize(
    ("rods", "kept"),
    [
        ("3 mm, 2, carbon", ('material = "carbon"', "pairs = 2")),
        ("3 mm, Glass, 2, 4 mm", ('material = "glass"', 'slot_depth = "4 mm"')),
    ],
)
def test_what_the_rods_are_made_of_goes_into_the_study(capsys, rods, kept):
    assert run(capsys, "Wren", *options(rods=rods), "--no-questions")[0] == 0
    text = Path("Wren.toml").read_text(encoding="utf-8")
    assert all(f"\n{line}" in text for line in kept)
