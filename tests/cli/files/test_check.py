"""Tests of the terminal: complete output and exit code of ``check`` and ``keys``, and reactions to wrong commands."""

import dataclasses
import json
import math
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from helpers.edited import edited
from helpers.places import ROOT
from helpers.wings import odd_wings

import tradestudy
from tradestudy.__main__ import main
from tradestudy.cli import check as check_command
from tradestudy.cli.app import COMMANDS
from tradestudy.quantities import UNITS
from tradestudy.search.search_space import all_choices
from tradestudy.study.reader import read_study
from tradestudy.study.value_text import mm

EMPTY = "  line   1  The file holds no study. tradestudy example copies one to change."
TAIL = "All keys, units and ranges: tradestudy keys\n"


@pytest.fixture(autouse=True)
def at_the_root(monkeypatch):
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("COLUMNS", "110")


def run(capsys, *arguments: str) -> tuple[int, str, str]:
    code = main(list(arguments))
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def test_check_says_in_brief_what_was_read(capsys):
    code, out, err = run(capsys, "check", "studies/godwit.toml")
    assert (code, err) == (0, "")
    # the file states its values in the units of the summary, so the summary repeats the words of the file
    raw = tomllib.loads((ROOT / "studies" / "godwit.toml").read_text(encoding="utf-8"))
    stock, pack, motor, fly = (raw[name] for name in ("stock", "pack", "motor", "fly"))
    span, sweep, washout = (" to ".join(raw["stretch"][key]) for key in ("span", "sweep", "washout"))
    sweep, washout = (text.replace(" deg to", " to") for text in (sweep, washout))
    tried = math.prod(len(values) for values in raw["choices"].values())
    text = out.partition("Left open")[0].replace("\n" + 12 * " ", " ")  # the text with its wrapped lines joined
    assert text.splitlines()[:9] == [
        "studies/godwit.toml is fine.",
        "  study     Godwit",
        f"  stock     span {stock['span']}, foam chord {stock['root_chord']} to {stock['tip_chord']}, "
        f"set-back {stock['tip_set_back']}, airfoil {stock['airfoil']}",
        f"  weight    {stock['flying_weight']}, balances {stock['balance_from_nose']} from the nose",
        f"  pack      {pack['series']}S{pack['parallel']}P of {pack['cell']}, bay {pack['bay']}",
        f"  power     motor {motor['size']}, {motor['speed_constant']}; propeller {raw['propeller']['size']}",
        f"  stretch   {raw['stretch']['scheme']}; span {span}, sweep {sweep}, washout {washout}, "
        "tip chord 129 mm to 189.2 mm",  # 75 and 110 % of 172 mm
        f"  choices   {tried} sets of parts to try: {', '.join(raw['choices'])}",
        f"  speeds    launch {fly['launch_speed']}, never exceed {fly['never_exceed_speed']}",
    ]


def test_a_study_that_leaves_nothing_open_says_so(capsys):
    study = dataclasses.replace(read_study("studies/godwit.toml"), defaults_used=())
    check_command._print_defaults(study)
    assert capsys.readouterr().out == "No key is left open; no default is used.\n"


def test_check_lists_every_default_with_its_origin(capsys):
    code, out, err = run(capsys, "check", "studies/dunlin.toml", "--all")
    assert (code, err) == (0, "")
    lines = [line.rstrip() for line in out.splitlines()]
    assert max(map(len, lines)) <= 80 and lines[:2] == ["studies/dunlin.toml is fine.", "  study     Dunlin"]
    start = next(index for index, line in enumerate(lines) if line.startswith("Left open, so these are assumed"))
    assert lines[start + 1].split() == ["key", "assumed", "could", "be", "moves"]
    chosen = lines.index("Choices left open, with their defaults:")
    assert lines[chosen + 1].split() == ["key", "default", "because"]
    # two complete rows: a number with its band and its effect, and a value that the stock wing determines
    rows = [" ".join(line.split()) for line in lines]
    assert "fly.temperature 15 C 0 C to 30 C speeds, a little range" in " ".join(rows[start:chosen])
    start = next(index for index, line in enumerate(lines) if line.startswith("  limits.static_margin "))
    row = lines[start : start + 4]  # four lines of three columns
    second, third = (lines[chosen + 1].index(head) for head in ("default", "because"))
    assert "no more than 1.5 % below the stock wing's" in " ".join(line[second:third].strip() for line in row)
    assert "worked out from the stock wing" in " ".join(line[third:].strip() for line in row)


def test_defaults_used_are_the_optional_keys_that_the_file_leaves_out(capsys):
    """Check that the reported defaults are exactly the keys that ``keys`` lists for [fly] and that the file lacks."""
    text = (ROOT / "studies" / "dunlin.toml").read_text(encoding="utf-8")
    _, out, _ = run(capsys, "check", "studies/dunlin.toml", "--json")
    reported = {used["key"] for used in json.loads(out)["defaults_used"]}
    _, out, _ = run(capsys, "keys", "--json")
    fly = [line for line in json.loads(out) if line["table"] == "fly"]
    section = text.partition("[fly]")[2]
    expected = {line["key"] for line in fly if f"{line['key'].split('.')[1]} =" not in section}
    assert {key for key in reported if key.startswith("fly.")} == expected
    assert len(expected) == 19


def test_check_prints_one_json_document(capsys):
    code, out, err = run(capsys, "check", "studies/dunlin.toml", "--json")
    document = json.loads(out)
    assert (code, err) == (0, "")
    assert list(document) == [
        "study",
        "fine",
        "name",
        "set_keys",
        "hard_to_believe",
        "defaults_used",
        "room_inside",
        "gear_inside",
        "kept_apart",
    ]
    assert document["fine"] is True and document["name"] == "Dunlin"
    bond = {
        "key": "covering.bond",
        "value": "0.7",
        "may_rise": False,
        "band": "0.25 to 1.0",
        "moves": "twist in flight",
        "origin": "common practice, no source",
    }
    assert bond in document["defaults_used"]


def test_what_is_hard_to_believe_stands_on_top(capsys, tmp_path):
    clear = 'from_nose = "350 mm"', 'from_nose = "380 mm"'  # its propeller cuts the elevons otherwise
    path = odd_wings.written(tmp_path, "foam alone", ("110 km/h", "300 km/h"), ('"1150 g"', '"1700 g"'), clear)
    code, out, err = run(capsys, "check", str(path))
    assert (code, err) == (0, "")
    row = path.read_text(encoding="utf-8").split("\n").index('never_exceed_speed = "300 km/h"') + 1
    top = out.splitlines()
    assert top[0] == f"{path} is fine, but this is hard to believe:"
    assert top[1] == f"  line  {row}  fly.never_exceed_speed is 300 km/h; small foam wings fly up to"
    assert top[3].startswith("  ") and top[3].endswith("of the stock wing is not on the list of parts.")


def test_what_only_the_model_finds_is_refused_with_line_and_key(capsys, tmp_path):
    path = odd_wings.written(tmp_path, "foam alone", ('"1150 g"', '"480 g"'))
    code, out, err = run(capsys, "check", str(path))
    assert (code, out) == (2, "")
    row = path.read_text(encoding="utf-8").split("\n").index('flying_weight = "480 g"') + 1
    assert f"\n  line  {row}  stock.flying_weight is 480 g, but foam, covering, rods and listed parts come to " in err


def test_check_says_how_much_room_is_left_inside(capsys, tmp_path):
    """Check that a bay 0.5 mm deeper leaves 0.5 mm less in the section, and one 2 mm deeper is refused."""
    text = (ROOT / "studies" / "dunlin.toml").read_text(encoding="utf-8")
    path = tmp_path / "deeper.toml"
    left = []
    for depth in ("23 mm", "23.5 mm"):
        path.write_text(edited(text, ('depth = "23 mm"', f'depth = "{depth}"')), encoding="utf-8")
        _, out, _ = run(capsys, "check", str(path), "--json")
        bay, joiner = json.loads(out)["room_inside"]
        assert (bay["name"], joiner["name"]) == ("bay nose", "joiner")
        left.append(bay["spare_mm"])
    assert left[0] - left[1] == pytest.approx(0.5, abs=0.011)  # tolerance: two rounded numbers
    _, out, _ = run(capsys, "check", str(path))
    least = min(left[1], joiner["spare_mm"])  # what has least room is told in brief
    assert least == left[1]
    assert f"  inside    everything fits; bay nose has the least room, {least:.1f} mm to spare\n" in out
    _, out, _ = run(capsys, "check", str(path), "--all")
    assert f"  inside    bay nose fits into the section, with {left[1]:.1f} mm to spare\n" in out
    path.write_text(edited(text, ('depth = "23 mm"', 'depth = "25 mm"')), encoding="utf-8")
    code, out, err = run(capsys, "check", str(path))
    assert (code, out) == (2, "") and f"{2 - left[0]:.1f} mm too little" in err


def test_check_prints_faults_as_json_too(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("s.toml").write_text("[study]\nname = 1\n", encoding="utf-8")
    code, out, err = run(capsys, "check", "--json", "s.toml")
    document = json.loads(out)
    assert code == 2 and err.startswith("s.toml: ")
    assert document["fine"] is False
    assert document["faults"][-1] == {
        "line": 2,
        "key": "study.name",
        "message": "study.name is 1; write text in quotes.",
    }


def bytes_of_godwit() -> bytes:
    return (ROOT / "studies" / "godwit.toml").read_bytes()


def test_a_bay_that_is_assumed_is_told_in_brief(capsys, tmp_path):
    """The bay of the Lapwing is assumed, that of the Dunlin is in its file."""
    _, out, _ = run(capsys, "check", str(ROOT / "studies" / "lapwing.toml"))
    told = " ".join(out.split())
    (bay,) = read_study(ROOT / "studies" / "lapwing.toml").bay
    assert f"bay {bay.name} is assumed: {mm(bay.length)} long, {mm(bay.depth)} deep" in told
    assert ("above the skin" in told) == bool(bay.raised_lid)
    _, out, _ = run(capsys, "check", str(ROOT / "studies" / "dunlin.toml"))
    assert "is assumed: " not in out


@pytest.mark.parametrize(
    "content",
    [
        bytes_of_godwit().replace(b"\n", b"\r\n"),
        b"\xef\xbb\xbf" + bytes_of_godwit(),
        bytes_of_godwit().replace(b'"Godwit"', '"Löffler µ²"'.encode()),
    ],
    ids=["line ends of Windows", "byte order mark", "letters beyond ASCII"],
)
def test_files_as_other_editors_write_them(capsys, tmp_path, monkeypatch, content):
    folder = tmp_path / "my studies"
    folder.mkdir()
    (folder / "first try.toml").write_bytes(content)
    code, out, err = run(capsys, "check", str(folder / "first try.toml"))
    assert (code, err) == (0, "")
    assert out.startswith(f"{folder / 'first try.toml'} is fine.\n")


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", EMPTY),
        (b"# nothing yet\n", EMPTY),
        (
            b'[study]\nname = "M\xf6we"\n',
            "  line   2  The file is not UTF-8 text. Save it again with the encoding UTF-8.",
        ),
        (b"#" * 200_001, "  line   1  The file has more than 200000 bytes, the most that is read."),
        (b"a = " + b"[" * 50_000, "  line   1  The lists in the file are nested too deeply."),
        (b"[study]\nname = \n", "  line   2  This line cannot be read as TOML: invalid value."),
    ],
    ids=["empty", "only a comment", "another encoding", "far too long", "nested beyond reason", "no value"],
)
def test_files_that_are_no_study(capsys, tmp_path, monkeypatch, content, sentence):
    monkeypatch.chdir(tmp_path)
    Path("s.toml").write_bytes(content)
    expected = f"s.toml: 1 problem; nothing was run.\n{sentence}\n{TAIL}"
    assert run(capsys, "check", "s.toml") == (2, "", expected)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["check", "studies/godwitt.toml"], "There is no file studies/godwitt.toml. Did you mean godwit.toml?\n"),
        (["check", "nowhere/x.toml"], "There is no file nowhere/x.toml.\n"),
        (["check", "studies"], "studies is a folder; give a study file, such as studies/godwit.toml.\n"),
        (
            ["chekc", "studies/godwit.toml"],
            f"There is no command chekc. Did you mean check? Commands: {', '.join(COMMANDS)}.\n",
        ),
        (
            ["check", "--jsn", "studies/godwit.toml"],
            "There is no option --jsn. Did you mean --json? Help: tradestudy check --help\n",
        ),
        (["--verzion"], "There is no option --verzion. Did you mean --version? Help: tradestudy --help\n"),
        (["check"], "Missing argument 'STUDY'. Help: tradestudy check --help\n"),
    ],
    ids=[
        "misspelt file",
        "missing folder",
        "folder",
        "misspelt command",
        "misspelt option",
        "misspelt global option",
        "no study",
    ],
)
def test_wrong_command_lines(capsys, arguments, message):
    assert run(capsys, *arguments) == (2, "", message)


def test_help_and_version(capsys):
    code, out, err = run(capsys)
    assert (code, err) == (0, "")
    assert "check" in out and "keys" in out and "not proof of airworthiness" in " ".join(out.split())
    assert run(capsys, "--version") == (0, f"{tradestudy.__version__}\n", "")


def test_keys_lists_every_table_and_says_what_must_be_given(capsys):
    code, out, err = run(capsys, "keys", "--all")
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 80
    text = out.partition("[stock]")[2].partition("[traced_section]")[0].splitlines()
    starts = [text[1].index(head) for head in ("key", "allowed", "default", "meaning")]
    span = [
        " ".join(line[at:until].strip() for line in text[2:4]).strip()
        for at, until in zip(starts, [*starts[1:], None], strict=True)
    ]
    assert span == ["span", "300 mm to 4000 mm", "must be given", "span from tip to tip, measured flat"]
    out, _, measured = out.partition("\nKeys of a measurements file")
    assert re.search(r"\n\[columns\] +The column", measured)
    assert re.search(r"\n  length +mm, cm, m, in, ft, um\n", measured)
    heads = [line.split()[0] for line in out.splitlines() if line.startswith("[")]
    text = (ROOT / "studies" / "godwit.toml").read_text(encoding="utf-8")
    in_file = [line.split()[0] for line in text.splitlines() if line.startswith("[")]
    # keys that: describe other packs in short, are not needed where all is known, only clubs need, that are about
    # things that disturb each other, a shop unlike most or what is owned, or `fit` writes
    told_in_short = [
        "[traced_section]",
        "[power]",
        "[known_flight]",
        "[load_test]",
        "[motor_test]",
        "[[equipment_set]]",
        "[[keep_apart]]",
        "[built]",
        "[build_tolerance]",
        "[shopping]",
        "[[price]]",
        "[fitted]",
    ]
    # the demo shows every other table, in this order
    assert [head for head in heads if head not in told_in_short] == list(dict.fromkeys(in_file))


def test_keys_lists_tables_first_and_one_table_key_or_word_on_request(capsys):
    _, short, _ = run(capsys, "keys")
    assert len(short.splitlines()) <= 75 and re.search(r"\nrods +One set", short) and "0 mm" not in short
    stock = re.search(r"\nstock .*?(?=\ntraced)", short, re.DOTALL).group()
    assert all(key in stock for key in ("span", "root_chord", "flying_weight")) and "camber" not in stock
    _, table, _ = run(capsys, "keys", "stock")
    assert len(re.findall(r"\n\[", table)) == 1 and "span from tip to tip" in " ".join(table.split())
    _, one, _ = run(capsys, "keys", "fly.wind")
    assert len(one.splitlines()) < 12 and re.search(r"\n  wind +0 m/s to ", one)
    lines = json.loads(run(capsys, "keys", "wind", "--json")[1])
    assert {"fly.wind", "mission[].wind"} <= {line["key"] for line in lines} and not any(
        "winding" in line["key"] for line in lines
    )
    code, out, err = run(capsys, "keys", "spna")
    assert (code, out) == (2, "") and "Did you mean span?" in err


def test_keys_in_json_name_ranges_that_quantities_can_read(capsys):
    _, out, _ = run(capsys, "keys", "--json")
    lines = json.loads(out)
    assert {line["file"] for line in lines} == {"study", "measurements"}
    plain = {
        "column",
        "text",
        "number",
        "number or speed",
        "whole number",
        "choice",
        "part",
        "true or false",
        "propeller size",
        "motor in short",
        "pack in short",
    }
    kinds = {line["kind"].rpartition(", ")[2] for line in lines}
    assert kinds - plain <= set(UNITS)
    assert next(line for line in lines if line["key"] == "stock.span")["units"] == ["mm", "cm", "m", "in", "ft", "um"]
    # values without a default: only a tape, a ruler and a scale can give them
    measured = ["span", "root_chord", "tip_chord", "tip_set_back", "flying_weight"]
    required = {line["key"] for line in lines if line["required"]}
    assert {f"stock.{key}" for key in measured} <= required


def broken_summary(study):
    raise ZeroDivisionError("one sum too many")


def test_an_unexpected_error_is_one_line_and_a_trace_on_demand(capsys, monkeypatch):
    monkeypatch.setattr(check_command, "study_summary", broken_summary)
    code, _, err = run(capsys, "check", "studies/godwit.toml")
    assert code == 1
    assert err == (
        "Something went wrong inside tradestudy: ZeroDivisionError: one sum too many  (--trace shows where)\n"
    )
    code, _, err = run(capsys, "check", "--trace", "studies/godwit.toml")
    assert code == 1 and err.startswith("Traceback") and "broken_summary" in err


def interrupting_summary(study):
    raise KeyboardInterrupt


def test_interruption_ends_with_the_code_shells_expect(capsys, monkeypatch):
    monkeypatch.setattr(check_command, "study_summary", interrupting_summary)
    code, _, err = run(capsys, "check", "studies/godwit.toml")
    assert (code, err) == (130, "Stopped.\n")


def in_a_process(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, *arguments], cwd=ROOT, capture_output=True, text=True, encoding="utf-8")


@pytest.mark.thorough
def test_module_door_loads_nothing_heavy():
    """Check that ``python -m tradestudy`` works as well, without loading the slow libraries.

    ``check`` loads numpy and scipy to tell what fits into the section, and the model only where that is fine. Reading
    a study or listing keys loads neither.
    """
    slow = "{'openmdao', 'aerosandbox', 'neuralfoil', 'matplotlib'}"
    for command, unwanted in (
        ("door.main(['check', 'studies/dunlin.toml'])", "{'openmdao'}"),
        ("room_inside.room_inside(reader.read_study('studies/dunlin.toml')) and 0", slow),
        ("door.main(['keys'])", f"{slow} | {{'numpy', 'scipy'}}"),
        ("len(reader.read_study('studies/dunlin.toml').bay) - 1", f"{slow} | {{'numpy', 'scipy'}}"),
    ):
        script = (
            "import sys, tradestudy.__main__ as door, tradestudy.study.reader as reader; "
            f"{'from tradestudy.commands import room_inside; ' if 'room' in command else ''}"
            f"code = {command}; loaded = ({unwanted}) & set(sys.modules); "
            "sys.exit(repr(loaded) if loaded else code)"
        )
        done = in_a_process("-c", script)
        assert (done.returncode, done.stderr) == (0, ""), command
    done = in_a_process("-m", "tradestudy", "check", "studies/godwit.toml")
    assert done.returncode == 0 and done.stdout.startswith("studies/godwit.toml is fine.")


def test_a_value_that_the_model_may_raise_says_so(capsys):
    """The same never-exceed speed stands in no other command if the stock wing flies faster at full throttle."""
    from tradestudy.aircraft.anchor.full_throttle_defaults import FULL_THROTTLE_DEFAULTS, PACK_CURRENT
    from tradestudy.study.assumed_values.power_rules import MAY_RISE

    assert set(MAY_RISE) == set(FULL_THROTTLE_DEFAULTS) - {PACK_CURRENT}
    assert main(["check", str(ROOT / "studies" / "lapwing.toml"), "--all"]) == 0
    words = " ".join(capsys.readouterr().out.split())
    assert "never exceed 115 km/h or more" in words and "raise it to what the stock wing reaches" in words
    assert main(["check", str(ROOT / "studies" / "godwit.toml")]) == 0
    assert "never exceed 138 km/h inside" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    "lists",
    [
        {},
        {"parallel": None, "pack": ("2.5 Ah high-current cells",), "raised_lid": (0.0, 0.003)},
        {"motor": ("slower winding",), "scheme": ("scaled", "plug"), "throttle_cap": (0.9, 0.8)},
    ],
)
def test_the_sets_to_try_are_those_of_the_search(lists):
    study = read_study(ROOT / "studies" / "godwit.toml")
    study = dataclasses.replace(study, choices=study.choices.model_copy(update=lists))
    assert check_command.sets_to_try(study) == len(all_choices(study))
    bays = study.bay[0].name, "other"
    things = (study.equipment[0].model_copy(update={"bays": bays}), *study.equipment[1:])
    assert check_command.sets_to_try(dataclasses.replace(study, equipment=things)) == 2 * len(all_choices(study))
