"""Tests of the commands that run the model: their output, their exit codes, and complete files."""

import contextlib
import csv
import io
import json
import math
import re
from collections import Counter
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from helpers.edited import edited
from helpers.few_inputs import keep_few_inputs
from helpers.places import ROOT, STUDIES
from helpers.readers.output_reader import faults, page_faults, pattern_faults, terminal_faults
from helpers.readers.page_reader import Reader
from helpers.readers.pdf_pages import page_streams, page_words
from helpers.wings.half_way import AS_DRAWN, WORDS

from tradestudy.__main__ import main
from tradestudy.commands import assess, recommended_wing, trade
from tradestudy.quantities.limits import LIMITS
from tradestudy.report.words.phrases import design_number
from tradestudy.search.span_trade import span_trade
from tradestudy.uncertainty.expected import _FOLLOW

REQUIRED = {
    "span_mm",
    "sweep_deg",
    "auw_g",
    "cg_mm",
    "neutral_point_mm",
    "static_margin_pct",
    "elevon_deg",
    "cruise_speed_kmh",
    "range_km",
    "endurance_min",
    "wh_per_km",
    "mah_per_km",
    "stall_speed_kmh",
    "top_speed_kmh",
    "full_throttle_current_a",
    "failure_load_factor",
    "limit_load_factor",
    "first_failure",
    "tip_deflection_mm",
    "wing_loading_g_dm2",
    "thrust_to_weight",
    "active_limits",
}


def small_study(folder, **changes):
    """Write the Godwit study with one of each part and some lines replaced, so that a search is short."""
    text = (STUDIES / "godwit.toml").read_text(encoding="utf-8")
    start, end = text.index("[choices]"), text.index("[fly]")
    text = text[:start] + '[choices]\nparallel = [3]\nrod_diameter = ["3 mm"]\nrod_pairs = [2]\n\n' + text[end:]
    file = folder / "small.toml"
    file.write_text(edited(text, *changes.items()), encoding="utf-8")
    return file


def keep_few_points(patched):
    """Patch a run so that its span trade has seven points and its front five."""
    patched.setattr(trade, "_POINTS_OF_A_RUN", 5)
    patched.setattr(recommended_wing, "span_trade", partial(span_trade, points=7))


@pytest.fixture(scope="module", autouse=True)
def assessed_once():
    """Assess each wing that is requested of the Godwit once: several tests print the same one."""
    kept, compute = {}, assess.assess

    def once(session, wing=None, **options):
        if session.study.path != STUDIES / "godwit.toml" or options:
            return compute(session, wing, **options)
        if wing not in kept:
            kept[wing] = compute(session, wing)
        return kept[wing]

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(assess, "assess", once)
        yield


def run_json(capsys, *arguments, code=0):
    assert main([*map(str, arguments), "--json"]) == code
    return json.loads(capsys.readouterr().out)


def finite(value):
    """Return whether every number within a document is finite."""
    if isinstance(value, dict):
        return all(finite(item) for item in value.values())
    if isinstance(value, list):
        return all(finite(item) for item in value)
    return not isinstance(value, float) or math.isfinite(value)


def test_assess_reports_stock_and_stretched(capsys):
    document = run_json(capsys, "assess", STUDIES / "godwit.toml", "--span", "52 in", "--parallel", "3")
    stock, stretched = document["designs"]
    assert set(stock) >= REQUIRED and set(stretched) >= REQUIRED and finite(document)
    # calibration: weight and balance of the stock wing are the measured ones, from the study file
    assert stock["auw_g"] == pytest.approx(1840, abs=0.01) and stock["cg_mm"] == pytest.approx(189, abs=0.001)
    assert stretched["span_mm"] == pytest.approx(52 * 25.4, abs=0.001)
    assert stretched["choices"]["parallel"] == 3
    # 4 more cells of 72 g, 6 % for wrap, and the growth of the wing itself
    assert 1840 + 4 * 72 * 1.06 < stretched["auw_g"] < 1840 + 4 * 72 * 1.06 + 80
    for design in (stock, stretched):
        hours = design["endurance_min"] / 60
        # tolerance: digits of the result
        assert design["range_km"] == pytest.approx(hours * design["cruise_speed_kmh"], rel=1e-3)
        assert design["limit_load_factor"] == pytest.approx(design["failure_load_factor"] / 1.5, abs=1e-3)
        chord = (design["neutral_point_mm"] - design["cg_mm"]) / design["static_margin_pct"]
        assert 1.98 < chord < 3.74  # a hundredth of the mean chord [mm], between those of tip and root, with elevon


def test_assess_in_words(capsys):
    assert main(["assess", str(STUDIES / "dunlin.toml"), "--all"]) == 0
    printed = capsys.readouterr().out
    assert terminal_faults(printed, "assess --all") == []
    assert "Balance mark behind the nose [mm]" in printed and "not proof of airworthiness" in printed
    assert max(map(len, printed.splitlines())) <= 80
    tied = printed.partition("The stock wing, measured and modelled:")[2]
    assert "flying weight" in tied and "mass not listed" in tied and "No flight was measured" in tied
    lines = printed.splitlines()
    assert lines[0].startswith("Leave the wing as it is: ")  # half way to the longest span gains nothing
    wing = lines.index(f"The stretched wing is {WORDS}.")
    assert wing < 12  # the decision stands in a dozen lines
    assert "stock" in lines[wing + 2] and "stretched" in lines[wing + 2]


@pytest.fixture(scope="module")
def long_wing():
    """Return the output of `assess --all` for the Godwit at 1450 mm: (JSON document, printed text)."""
    said = []
    for more in (["--json"], ["--all"]):
        with contextlib.redirect_stdout(io.StringIO()) as out:
            assert main(["assess", str(STUDIES / "godwit.toml"), "--span", "1450 mm", *more]) == 0
        said.append(out.getvalue())
    return json.loads(said[0]), said[1]


def test_assess_reports_the_drag_of_both_wings(long_wing, capsys):
    document, printed = long_wing
    stretched = document["designs"][1]["drag_breakdown"]
    table = printed.partition("drag in cruise by part")[2].partition("required by")[0]
    for row in stretched["parts"]:
        line = next(line for line in table.splitlines() if re.sub(r"^\d × ", "", line).startswith(row["part"]))
        assert f"{row['cm2']:.1f}" in line and f"{row['share_pct']:.1f}" in line
    assert f"lift over drag {stretched['lift_to_drag']:.1f}" in table and "No interference" in table
    document = run_json(capsys, "cruise", STUDIES / "godwit.toml", "--span", "1450 mm", "--anyway")
    assert document["cards"][1]["drag_breakdown"] == stretched


def test_assess_reports_the_structure_of_both_wings(long_wing):
    document, printed = long_wing
    for name, design in zip(("stock", "stretched"), document["designs"], strict=True):
        words = " ".join(printed.split())
        assert f"The {name} wing breaks at {design['failure_load_factor']:.1f} times its weight" in words
        for row in design["structure"]:
            shown = f"{row['failure_load_factor']:.1f}".replace("-", "\N{MINUS SIGN}")
            assert shown in printed and row["mode"].split()[0] in printed
        (centre,) = [row for row in design["structure_checks"] if row["what"] == "cut centre"]
        alone = f"The cut centre of the {name} wing by itself breaks at {centre['failure_load_factor']:.1f} times the"
        assert alone in " ".join(printed.split())
        pull_up = design["structure"][0]["failure_load_factor"]
        assert (
            pull_up == pytest.approx(design["failure_load_factor"], abs=1e-3)
            and pull_up < centre["failure_load_factor"]
        )
        gone = f"and none at {design['roll_reversal_kmh']:.0f} km/h"
        assert gone in " ".join(printed.split())
    assert "NOT COMPUTED: flutter of the elevons" in printed


def test_assess_reports_the_handling_of_both_wings(long_wing):
    document, printed = long_wing
    stock, stretched = document["designs"]
    share = stretched["roll_deg_per_m"] / stock["roll_deg_per_m"]
    rows = {row["what"]: row for row in document["handling"]}
    roll = rows["Roll rate, full stick in cruise"]
    assert roll["warns"] == (share < 0.7) and f"{100 * (1 - share):.0f} % less" in roll["words"]
    assert roll["stock"] == f"{stock['roll_rate_deg_s']:.0f} deg/s"
    table = printed.partition("How it will handle:")[2].partition("load case")[0]
    starts = {line.split("  ")[0] for line in table.splitlines()}  # wrapped words continue on the line below
    assert all(any(start and what.startswith(start) for start in starts) for what in rows)
    assert "reported, not constrained" in " ".join(table.split())


def test_cruise_card(capsys):
    document = run_json(capsys, "cruise", STUDIES / "godwit.toml", "--anyway")
    for card in document["cards"]:
        rows = card["rows"]
        speeds = [row["speed_kmh"] for row in rows]
        assert all(b - a == pytest.approx(4.0) for a, b in zip(speeds, speeds[1:], strict=False))
        assert card["stall_speed_kmh"] < speeds[0] and speeds[-1] <= card["top_speed_kmh"] + 1e-6
        best = max(rows, key=lambda row: row["range_km"])
        assert abs(best["speed_kmh"] - card["best_speed_kmh"]) <= 4.0  # tolerance: the speed step of the card
        for row in rows:
            # Columns are linear between the points of the card, but their product is not: tolerance half a per cent.
            assert row["wh_per_km"] * row["speed_kmh"] == pytest.approx(row["power_w"], rel=5e-3)


@pytest.mark.thorough
def test_cruise_prints_the_card_first_and_fits_the_screen(capsys):
    document = run_json(capsys, "cruise", STUDIES / "godwit.toml", "--mph", "--anyway")
    assert finite(document) and document["compared"] == []
    stock, stretched = document["cards"]
    assert main(["cruise", str(STUDIES / "godwit.toml"), "--mph", "--parts", "--speeds", "--anyway", "--all"]) == 0
    printed = capsys.readouterr().out
    lines = printed.splitlines()
    assert lines[: len(stretched["lines"])] == stretched["lines"]
    name = next(line for line in lines if not line.startswith("*"))  # below the frame, since this wing breaks limits
    assert name.startswith("Godwit stretched, 1550 mm") and "mph in still air" in lines[lines.index(name) + 1]
    assert "\n".join(stock["lines"]) in printed
    assert max(map(len, lines)) <= 80
    flat_out = sum(stretched["full_throttle_watts"].values())
    for told_by in (
        f"{flat_out:.1f}",
        "round the reservoir",
        "Motors: A the wing's own",
        "drag in cruise by part",
        "not proof of airworthiness",
    ):
        assert told_by in printed.replace("\n", " "), told_by
    for card in (stock, stretched):  # all power comes from the cells, at cruise and at full throttle
        assert set(card["watts"]) == set(card["full_throttle_watts"])
        rows = {row["speed_kmh"]: row for row in card["rows"]}
        near = rows[min(rows, key=lambda speed: abs(speed - card["best_speed_kmh"]))]
        # power from the cells is that at the connector, within 2 km/h of the best speed, and 2 % of heat in the pack
        assert sum(card["watts"].values()) == pytest.approx(near["power_w"], rel=0.06)
        assert sum(card["full_throttle_watts"].values()) > 3 * sum(card["watts"].values())


@pytest.fixture(scope="module")
def ran(tmp_path_factory):
    """Run a small study once into a folder. Return the folder, the study and the printed JSON.

    Two members share the airframe. One flies it as it is today, the other two with a 30 g lamp on board.
    """
    import contextlib
    import io

    folder = tmp_path_factory.mktemp("with a space")
    study = small_study(folder, **{"parallel = [3]": "parallel = [4]"})  # a pack that needs longer panels
    out = folder / "results" / "godwit"  # where it is looked for
    with study.open("a", encoding="utf-8") as text:
        text.write(
            '\n[[equipment_set]]\nname = "plain"\n\n[[equipment_set]]\nname = "night"\nmembers = 2\n\n'
            '[[equipment]]\nname = "lamp"\nmass = "30 g"\nfrom_nose = "20 mm"\nset = "night"\n'
        )
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed), pytest.MonkeyPatch.context() as patched:
        keep_few_inputs(patched)
        keep_few_points(patched)
        assert main(["run", str(study), "--out", str(out), "--json"]) == 0
    return study, out, json.loads(printed.getvalue())


def test_run_writes_every_file(ran):
    study, out, document = ran
    names = {path.name for path in out.rglob("*") if path.is_file()}
    assert {
        "summary.json",
        "report.html",
        "span_trade.csv",
        "weight_range.csv",
        "speed_card.csv",
        "pilot_card.txt",
        "mission.csv",
        "planform.svg",
        "planform.png",
        "record.sqlite",
    } <= names
    assert not [name for name in names if name.endswith(".part")]
    assert all(Path(path).stat().st_size > 100 for path in document["files"])
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    assert finite(summary) and summary["success"] and document["best"]["span_mm"] == summary["band"]["span_mm"]
    assert summary["study_text"] == study.read_text(encoding="utf-8")


def test_a_second_run_shows_the_same_and_computes_nothing(ran, capsys, monkeypatch):
    study, out, document = ran
    monkeypatch.setattr("tradestudy.cli.session.open_session", None)
    files = [path for path in out.rglob("*.*") if path.is_file() and not path.name.startswith("record")]
    before = [path.read_bytes() for path in files]
    assert main(["run", str(study), "--out", str(out), "--json"]) == 0
    said = capsys.readouterr()
    assert json.loads(said.out) == document and "Nothing has changed" in said.err
    assert [path.read_bytes() for path in files] == before


def test_run_leaves_a_build_sheet_of_the_wing_it_recommends(ran, capsys, monkeypatch):
    from tradestudy.commands import assess as wings
    from tradestudy.report.build_sheet import sheet as build_sheets

    study, out, document = ran
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    wing = summary["recommended"]
    sheet = (out / "build_sheet.pdf").read_bytes()
    drawn = {path.name for path in (out / "templates").iterdir()}
    assert sheet.startswith(b"%PDF")
    assert drawn == {
        f"{name}.svg" for name in ("planform", "root", "tip", "elevon", "fin", "side_view", "pack_section")
    }
    assert {str(out / "build_sheet.pdf"), *(str(out / "templates" / name) for name in drawn)} <= set(document["files"])
    rods = wing["cutting"]["rods"]
    assert max(rod["length_mm"] for rod in rods) == pytest.approx(wing["numbers"]["rod_length_mm"], abs=1e-3)
    marks = {mark["name"]: mark for mark in wing["cutting"]["marks"]}
    assert marks["balance mark"]["behind_nose_mm"] == pytest.approx(wing["numbers"]["cg_mm"], abs=1e-3)
    assert marks["balance mark"]["ahead_mm"] == pytest.approx(wing["numbers"]["cg_from_trailing_edge_mm"], abs=2e-3)
    assert wing["cutting"]["sections"][-1]["washout_deg"] == pytest.approx(wing["numbers"]["washout_deg"], abs=1e-3)
    # made again from the stored result: no model runs, and the sheet is drawn of the same wing
    monkeypatch.setattr(wings, "assess", None)
    drawn = []
    monkeypatch.setattr(build_sheets, "build_sheet", lambda *asked: drawn.append(asked) or b"%PDF again")
    again = run_json(capsys, "buildsheet", study, "--out", out)
    assert again["design"]["span_mm"] == wing["numbers"]["span_mm"] and again["cutting"] == wing["cutting"]
    assert (out / "build_sheet.pdf").read_bytes() == b"%PDF again" and not (out / "build_sheet.json").exists()
    ((result, paper, anyway),) = drawn
    assert again["wing"] == f"The stretched wing is the one that tradestudy run recommends, kept in {out}."
    assert json.loads(replace(result, which_wing="").to_json()) == summary and (paper, anyway) == ("a4", False)


def test_every_limit_is_met_and_named(ran):
    summary = json.loads((ran[1] / "summary.json").read_text(encoding="utf-8"))
    for design in [summary["best"], summary["recommended"], *summary["span_trade"], *summary["front"]]:
        assert all(limit["met"] for limit in design["limits"]), design["label"]
    assert summary["best"]["active_limits"], "an optimum is stopped by something"
    lightest_first = [design["numbers"]["auw_g"] for design in summary["front"]]
    farther = [design["numbers"]["range_km"] for design in summary["front"]]
    assert lightest_first == sorted(lightest_first) and farther == sorted(farther)
    best = summary["best"]["numbers"]["range_km"]
    # the front ends at the wing that is recommended, whose span is a whole centimetre
    assert max(farther) == summary["recommended"]["numbers"]["range_km"] <= best
    assert all(design["numbers"]["range_km"] <= best * (1 + 1e-6) for design in summary["span_trade"])
    band = summary["band"]
    assert band["low_mm"] <= band["span_mm"] <= band["high_mm"] and band["span_mm"] % 10 == 0
    assert summary["recommended"]["numbers"]["range_km"] >= 0.98 * best - 1e-6


def test_run_reports_each_members_wing_and_the_shopping_list(ran, capsys):
    from tradestudy.cli.run import print_club
    from tradestudy.report.words.club import club_heads, club_rows
    from tradestudy.results.json_form import json_data
    from tradestudy.results.result import result_from_json

    _, out, document = ran
    plain, night = document["club"]
    assert plain["auw_g"] == pytest.approx(document["best"]["auw_g"], abs=1e-3)  # tolerance: rounded digits
    assert night["auw_g"] - plain["auw_g"] == pytest.approx(30, abs=1e-3)
    assert night["range_km"] < plain["range_km"] and plain["violated_limits"] == []
    cells = document["shopping"][0]
    assert (cells["count_per_wing"], cells["wings"], cells["total"]) == (4 * 4, 3, 4 * 4 * 3)
    result = result_from_json((out / "summary.json").read_text(encoding="utf-8"))
    assert (json_data(result.club), json_data(result.shopping)) == (document["club"], document["shopping"])
    print_club(result)
    lines = capsys.readouterr().out.strip().splitlines()
    heads, (first, second) = club_heads(short=True), club_rows(result, short=True)
    assert " ".join(heads) == "set weight g balance mm pack mm hold A range km out and home km breaks"
    assert first[0] == "plain (in use today)" and first[-1] == "nothing"
    assert second[:2] == ("night\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}2", f"{night['auw_g']:.0f}")
    assert {word for cell in (*heads, *first, *second) for word in cell.split()} <= set(" ".join(lines).split())
    assert max(map(len, lines)) <= 80
    assert any(line.startswith("night: ") for line in lines)
    with (out / "club.csv").open(encoding="utf-8", newline="") as text:
        rows = list(csv.DictReader(text))
    assert [float(row["auw_g"]) for row in rows] == [plain["auw_g"], night["auw_g"]]
    assert [row["equipment"].split("; ")[-1] for row in rows] == ["motor mount", "lamp"]
    with (out / "shopping.csv").open(encoding="utf-8", newline="") as text:
        assert next(csv.DictReader(text))["total"] == "48"


def test_run_again_uses_what_is_solved(ran, monkeypatch):
    from tradestudy.commands.study_session import StudySession
    from tradestudy.study.reader import read_study

    study, out, _ = ran
    keep_few_points(monkeypatch)
    before = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    work = StudySession(read_study(study), "tradestudy run small.toml", record=out / "record.sqlite")
    result = json.loads(trade.stretch(work).to_json())
    assert work.record.reused > 7 and result["solved"] == before["solved"]
    assert result["band"] == before["band"] and result["span_trade"]
    for part in ("best", "recommended", "alternatives", "span_trade"):
        wings, known = ([each] if isinstance(each, dict) else each for each in (result[part], before[part]))
        assert len(wings) == len(known)
        # ranges, times and currents of a run are those to expect, so the wings themselves are compared
        for wing, same in zip(wings, known, strict=True):
            for name in ("variables", "choices", "masses_g", "active_limits", "drag_cm2", "structure"):
                assert wing[name] == same[name]
    work.record.close()


@pytest.mark.thorough
def test_an_infeasible_study_names_the_conflict(tmp_path, capsys, monkeypatch):
    from tradestudy.commands import optimise as command

    searched, kept = command.optimise, []
    # run the search only once
    monkeypatch.setattr(command, "optimise", lambda work: (kept or kept.append(searched(work)) or kept)[0])
    study = small_study(tmp_path, **{'climb = "2 m/s"': 'climb = "12 m/s"'})
    document = run_json(capsys, "optimise", study, code=1)
    assert not document["success"] and document["conflict"]
    first, second = document["conflict"]
    assert first.startswith("climb at full throttle at least 12 m/s cannot be had, even with every other limit dropped")
    go_to = re.match(r"letting the climb at full throttle go to (.*) m/s would do$", second)
    # the nearest wing misses the other limits for it
    assert 0.95 < float(go_to[1]) / document["best"]["climb_ms"] < 1.0
    assert main(["optimise", str(study)]) == 1
    printed = capsys.readouterr().out
    assert printed.startswith("No design meets every limit")
    assert terminal_faults(printed, "optimise", most_lines=45) == []


@pytest.mark.parametrize(
    "arguments, message",
    [
        (["--span", "1.3"], '--span "1.3" needs one of: mm, cm, m, in, ft, um.\n'),
        (["--span", "13 m"], '--span "13 m" is beyond what these wings can be.\n'),
        (["--span", "wide"], '--span "wide" does not start with a number.\n'),
        (["--propeller", "9by6"], None),
    ],
)
def test_wrong_options(arguments, message, capsys):
    assert main(["assess", str(STUDIES / "godwit.toml"), *arguments]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.endswith(message) if message else "--propeller" in said.err


def test_flying_weight_below_the_parts(tmp_path, capsys, long_wing):
    """Check that the parts weigh what the model of the stock wing has before it is calibrated."""
    study = small_study(tmp_path, **{'flying_weight = "1840 g" ': 'flying_weight = "1600 g" '})
    listed = next(row["before"] for row in long_wing[0]["calibration"] if row["what"] == "flying weight")
    assert main(["assess", str(study)]) == 2
    said = capsys.readouterr().err
    assert "stock.flying_weight is 1600 g" in said
    assert f"come to {listed:.0f} g" in said and 1600 < listed < 1840


def test_out_that_is_a_file(tmp_path, capsys):
    blocked = tmp_path / "taken"
    blocked.write_text("here already", encoding="utf-8")
    assert main(["assess", str(STUDIES / "dunlin.toml"), "--out", str(blocked)]) == 2
    assert "Cannot write into" in capsys.readouterr().err and blocked.read_text(encoding="utf-8") == "here already"


# --- after a run --------------------------------------------------------------------------------------------

KEPT = "The stretched wing is the one that tradestudy run recommends, kept in {}"


IN_BRIEF = ", in brief"


@pytest.fixture(scope="module")
def after(ran):
    """Return what every command says of the wing of a run: (its result, command -> JSON document, command -> text).

    Commands on one wing compute it once from the record of that run. Searches are not made again: they show its result.
    """
    from tradestudy.cli import folders, session
    from tradestudy.commands import design_grid, optimise
    from tradestudy.commands.study_session import StudySession
    from tradestudy.results.result import result_from_json
    from tradestudy.study.reader import read_study

    study, out, _ = ran
    result = result_from_json((out / "summary.json").read_text(encoding="utf-8"))
    commands = {
        "assess": [study],
        "cruise": [study, "--speeds"],
        "bands": [study],
        "buildsheet": [study],
        "compare": [study, out],
        "stretch": [study],
        "optimise": [study],
        "front": [study],
        "run": [study],
        "grid": [study, f"span={result.recommended.numbers.span_mm} mm", "--as-stock"],
    }
    documents, texts, kept = {}, {}, {}

    def once(name, compute):
        return lambda *given, **more: kept[name] if name in kept else kept.setdefault(name, compute(*given, **more))

    with pytest.MonkeyPatch.context() as patched:
        patched.chdir(study.parent)
        opened = StudySession(read_study(study), "test", record=Path("results/godwit/record.sqlite"))
        patched.setattr(session, "open_session", lambda *given, **more: contextlib.nullcontext(opened))
        patched.setattr(folders, "write_results", lambda *given: [])
        patched.setattr(folders, "write_build_sheet", lambda *given, **more: [])
        patched.setattr("tradestudy.cli.grid.save_grid", lambda *given: [])
        patched.setattr(assess, "recommended_wing", recommended_wing.recommended_wing)
        for module, name in ((recommended_wing, "recommended_search"), (assess, "input_effects")):
            patched.setattr(module, name, None)  # nothing that the run found is computed again
        patched.setattr(assess, "_assessed", once("wing", assess._assessed))
        patched.setattr(assess, "as_drawn", once("drawn", AS_DRAWN))
        patched.setattr(assess, "to_expect", once("expected", assess.to_expect))
        patched.setattr(design_grid, "grid", once("grid", design_grid.grid))
        for module, name in ((trade, "stretch"), (trade, "front"), (trade, "run"), (optimise, "optimise")):
            patched.setattr(module, name, lambda *given, **more: result)
        for name, arguments in commands.items():
            if name == "bands":
                kept.pop("expected")  # of the same wing, which now has its effects beside it
            for kind, form in (("", ["--all"]), (IN_BRIEF, []), ("document", ["--json"])):
                if form == ["--all"] and name in ("buildsheet", "grid"):  # which have one form
                    form = []
                with contextlib.redirect_stdout(io.StringIO()) as said:
                    assert main([name, *map(str, arguments), *form]) == 0, name
                if kind == "document":
                    documents[name] = json.loads(said.getvalue())
                else:
                    texts[name + kind] = said.getvalue()
        opened.close()
    return result, documents, texts


def wings_in(document):
    """Yield (label, dict) for every wing within a JSON document."""
    if isinstance(document, dict):
        if isinstance(document.get("label"), str):
            yield document["label"], document
        for each in document.values():
            yield from wings_in(each)
    elif isinstance(document, list):
        for each in document:
            yield from wings_in(each)


def test_commands_on_one_wing_take_the_kept_one(after, ran):
    _, documents, texts = after
    for name in ("assess", "cruise", "bands", "buildsheet", "compare"):
        words = documents[name]["first"]["wing"] if name == "compare" else documents[name]["wing"]
        assert words == f"{KEPT.format('results/godwit')}.", name
        assert " ".join(words.split()) in " ".join(texts[name].split()), name


def test_a_number_has_one_value_in_every_document(after):
    """Check each number of the stock and the recommended wing that a document names as the summary does."""
    result, documents, texts = after
    known = {
        "stock": result.stock,
        "recommended": result.recommended,
        "stretched": result.recommended,
        "best": result.best,
    }
    seen = Counter()
    for command, document in documents.items():
        for label, wing in wings_in(document):
            if label not in known:
                continue
            told = {name: value for name, value in wing.items() if isinstance(value, (int, float))}
            numbers = known[label].numbers.known()
            same = told.keys() & numbers.keys()
            seen[command] += len(same)
            assert {name: told[name] for name in same} == {name: numbers[name] for name in same}, (command, label)
    assert all(seen[name] > 50 for name in ("assess", "bands", "buildsheet", "compare", "stretch", "optimise"))
    assert seen["cruise"] >= 4
    # a grid has three decimals; its ranges are at the medians of the inputs, as its text says
    assert documents["grid"]["stock"]["auw_g"] == pytest.approx(result.stock.numbers.auw_g, abs=5e-4)
    assert "at the medians of all inputs" in " ".join(texts["grid"].split())


def test_a_limit_holds_the_number_that_is_printed(after):
    """Check that a number with limits is the value of one of them, such as the least room of two kinds of bay.

    Speeds and currents to expect differ from those that a limit holds, which are at the medians of the inputs.
    """
    for design in (after[0].recommended, after[0].best):
        numbers, held = design.numbers.known(), {}
        for state in design.limits:
            declared = LIMITS[state.name]
            if declared.quantity.key in numbers and not declared.condition.startswith("gust"):
                held.setdefault(declared.quantity.key, []).append(state.value)
        assert {"failure_load_factor", "climb_ms", "pack_position_mm", "auw_g"} <= set(held)
        for key in held.keys() - set(sum(_FOLLOW.values(), ())):
            assert any(value == pytest.approx(numbers[key], abs=1e-3) for value in held[key]), key


# number -> where a sentence, a card, a sheet or a page shows it for the recommended wing
SHOWN = {
    "span_mm": (
        r"build a span of (\d+) mm",
        r"A wing of (\d+) mm span",
        r"Godwit stretched, (\d+) mm,",
        r"Span (\d+) mm, \d+ mm more",
    ),
    "auw_g": (
        r"(\d+) g, today 1840 g",
        r"It weighs (\d+) g",
        r"Godwit stretched, \d+ mm, (\d+) g",
        r"stretched: span \d+ mm, (\d+) g",
        r"(\d+) g expected",
        r"Flying weight \[g\] 1840 (\d+)",
    ),
    "range_km": (
        r"The wing has \d+ mm of span and (\d+) km of range",
        r"Expect (\d+) km on",
        r"(\d+) km (?:to expect )?on one charge",
    ),
    "cg_mm": (
        r"[Bb]alance (?:it|mark|mark is) (\d+) mm behind the nose",
        r"Balance mark behind the nose \[mm\] 189 (\d+)",
    ),
    "cruise_current_a": (r"HOLD ABOUT ([\d.]+) A", r"[Hh]old about ([\d.]+) A"),
    "stall_speed_kmh": (r"stretched: span .{0,40}; stalls at (\d+) km/h", r"Stall speed \[km/h\] \d+ (\d+)"),
    "top_speed_kmh": (r"stretched: span .{0,60}, top speed (\d+) km/h", r"Top speed \[km/h\] \d+ (\d+)"),
    "failure_load_factor": (
        r"The stretched wing breaks at ([\d.]+) times its",
        r"mm behind the nose; it breaks at ([\d.]+) times",
    ),
    "advised_speed_kmh": (
        r"Never fly faster than (\d+) km/h",
        r"(\d+) km/h, the advised maximum speed",
        r"advised maximum speed of (\d+) km/h",
    ),
}


@pytest.mark.parametrize("key", SHOWN)
def test_a_number_has_one_value_in_every_text(key, after, ran):
    result, _, texts = after
    card = (ran[1] / "pilot_card.txt").read_text(encoding="utf-8")
    sheet = " ".join(page_words(stream) for stream in page_streams((ran[1] / "build_sheet.pdf").read_bytes()))
    page = Reader((ran[1] / "report.html").read_text(encoding="utf-8")).words
    told = {}
    for medium, text in (*texts.items(), ("card", card), ("sheet", sheet), ("page", page)):
        words = " ".join(text.split()).partition("Godwit stock")[0]
        for pattern in SHOWN[key]:
            told |= {(medium, pattern, at.start()): at[1] for at in re.finditer(pattern, words)}
    expected = design_number(result.recommended, key)
    assert set(told.values()) == {expected} and len({medium for medium, *_ in told}) > 1, told


# Lines without --all. Of the others 40; those of a club tell each member's wing, and a table of speeds is long.
MOST_LINES = {"assess": 42, "optimise": 45, "run": 70, "stretch": 50, "cruise": 125}


def test_every_output_of_a_run_reads_well(after, ran):
    """Read what each command prints, the page, every sheet, the card, and the tables of one run.

    No sentence is cut off or long, and no number is missing, of no unit, or minus nothing.
    """
    _, _, texts = after
    folder = ran[1]
    found = []
    for name, text in texts.items():
        most = MOST_LINES.get(name.partition(",")[0], 40) if name.endswith(IN_BRIEF) else None
        found += terminal_faults(text, name, most)
    found += page_faults((folder / "report.html").read_text(encoding="utf-8"))
    for number, stream in enumerate(page_streams((folder / "build_sheet.pdf").read_bytes()), 1):
        found += pattern_faults(page_words(stream), f"sheet {number}")
    found += pattern_faults((folder / "pilot_card.txt").read_text(encoding="utf-8"), "card")
    found += faults((ROOT / "results" / "README.md").read_text(encoding="utf-8"), "README of the results")
    for file in folder.glob("*.csv"):
        cells = [cell for row in csv.reader(file.read_text(encoding="utf-8").splitlines()) for cell in row]
        found += [f"{file.name}: {cell}" for cell in cells if cell in ("None", "nan", "inf", "-0", "-0.0")]
    assert len(texts) >= 20 and not found, "\n".join(found)
