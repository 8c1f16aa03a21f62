"""``tradestudy note`` on a copy of the Godwit: the lines that it prints, the files that it writes, what it refuses."""

import contextlib
import datetime
import json
import shutil
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from helpers.invented.invented_draws import LOW, OVER, invented_draws
from helpers.invented.invented_result import bench
from helpers.places import GODWIT, STUDIES
from helpers.wings.half_way import half_way

from tradestudy.__main__ import main
from tradestudy.aircraft.model.evaluated_design import EvaluatedDesign
from tradestudy.cli import folders, session
from tradestudy.commands import assess
from tradestudy.commands.logbook import new_wing, range_to_expect
from tradestudy.commands.logbook import note as notes
from tradestudy.commands.logbook import season as seasons
from tradestudy.commands.logbook.noted_flight import noted_flight
from tradestudy.commands.logbook.range_to_expect import Unflown
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.commands.study_session import opened
from tradestudy.errors import CommandError, LogbookError
from tradestudy.report.logbook.note_words import likelihood_words, note_lines, season_lines
from tradestudy.report.logbook.season_figure import season_figure
from tradestudy.study.logbook.flights import Flight
from tradestudy.study.logbook.read_logbook import read_logbook
from tradestudy.study.logbook.wings_file import built_wings
from tradestudy.study.reader import read_study
from tradestudy.uncertainty.fit.mixed_flight import WingFactors
from tradestudy.uncertainty.logbook.flown_wings import FlownWings, WingDesign, factor_bands

TODAY = datetime.date(2026, 5, 17)


@pytest.fixture(scope="module")
def unflown():
    """The range that the Godwit's study tells without flights, by invented draws."""
    stock = FlownWings(read_study(GODWIT), {}).stock
    return Unflown(invented_draws(), OVER * float(stock.speed_sweep.power_at(stock.best_cruise_speed).range[0]))


@pytest.fixture()
def study(tmp_path, monkeypatch, unflown):
    monkeypatch.chdir(tmp_path)  # without kept results
    for command in (notes, seasons):
        monkeypatch.setattr(command, "unflown_wing", lambda *given: unflown)
    return shutil.copy(GODWIT, tmp_path / "heron.toml")


def noted(study, words, wing="stock", **options):
    return notes.note(study, wing, words, today=TODAY, **options)


def flights(study):
    return read_logbook(study).flights


def test_a_flight_is_written_and_answered_in_three_lines(study, capsys):
    assert main(["note", str(study), "34 min, 5100 mAh, a third at full throttle", "--wind", "3 m/s"]) == 0
    (flight,) = flights(study)
    assert (flight.time, flight.charge, flight.wind) == (2040.0, 18360.0, 3.0)
    assert flight.date == datetime.date.today() and flight.note.startswith("34 min")
    printed = " ".join(capsys.readouterr().out.split())
    assert printed.startswith("Expected ") and "you used 5100 mAh: as expected; " in printed
    assert " After 1 flight, times those of usual built wings: drag of section and fins " in printed
    assert " The stock wing flies " in printed and "before this flight" in printed


def test_a_flight_narrows_the_bands_and_moves_them_towards_what_it_says(study, capsys):
    words = ["note", str(study), "40 min, 5200 mAh, 36 km, calm, no full throttle", "--json"]
    assert main(words) == 0
    document = json.loads(capsys.readouterr().out)
    (charge, speed) = document["expected"]
    assert charge["noted"] == 5200 > charge["high"] > charge["middle"] > charge["low"]
    assert speed["what"] == "speed" and speed["noted"] == pytest.approx(54.0, abs=0.1)
    drag, band = document["factors"]["drag"], document["range"]
    assert drag["middle"] > drag["before"]["middle"] == 1.0
    assert drag["high"] / drag["low"] < drag["before"]["high"] / drag["before"]["low"]
    assert band["middle_km"] < band["before"]["middle_km"]
    assert band["high_km"] - band["low_km"] < band["before"]["high_km"] - band["before"]["low_km"]


def test_before_any_flight_the_range_is_that_of_the_draws(study, unflown):
    """Check that a note tells the range of `run` and `card`: the middle of the draws, with their ends."""
    band = noted(study, "40 min, 5200 mAh, 36 km, calm, no full throttle").document["range"]
    before, told = band["before"], unflown.stock_range / 1e3
    assert before["middle_km"] == pytest.approx(told, abs=0.06)
    assert before["low_km"] == pytest.approx(LOW * told, abs=0.06)
    assert before["high_km"] == pytest.approx(told / LOW, abs=0.06)
    assert before["high_km"] / before["low_km"] > band["high_km"] / band["low_km"]


def test_a_known_flight_counts_as_in_run_until_others_tell_more(tmp_path, monkeypatch):
    """Check a study with a known flight: the fit shares it among more factors than the calibration of `run`."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(range_to_expect, "drawn_of", lambda *given: invented_draws())
    lapwing = shutil.copy(STUDIES / "lapwing.toml", tmp_path / "teal.toml")
    read = read_study(lapwing)
    with opened(read, "test") as work:
        anchor = work.anchor
    stock = EvaluatedDesign(read, anchor.data, anchor.choice, anchor.variables)
    told = OVER * float(stock.evaluation.power.range) / 1e3
    band = noted(lapwing, "40 min, 2600 mAh, 36 km").document["range"]
    assert band["before"]["middle_km"] == pytest.approx(told, abs=0.06)
    wings = FlownWings(read, {})
    by_fit = OVER * wings.range_band(wings.fit([]), *wings.wing("stock")).middle / 1e3
    assert abs(by_fit - told) > 0.5  # it would be told without the calibration


def test_a_flight_that_is_hard_to_believe_is_kept_aside_and_changes_nothing(study):
    document = noted(study, "34 min, 900 mAh, half at full throttle").document
    (flight,) = flights(study)
    assert flight.counts.startswith("hard to believe: 900 mAh, where ")
    assert "no: hard to believe" in study.with_name("heron.logbook.csv").read_text()
    assert all(one["middle"] == one["before"]["middle"] for one in document["factors"].values())
    assert "It is in the logbook and is not used" in note_lines(document)[1]


def test_a_steady_flight_counts_like_the_known_flight_and_one_without_a_share_says_that_it_does_not(study, tmp_path):
    """Check the band of the range after the same three numbers, told in three ways."""
    told = "38 km, 41 min, 4100 mAh, calm"
    widths = {}
    for words in (told, f"{told}, steady cruise"):
        study.with_name("heron.logbook.csv").unlink(missing_ok=True)
        document = noted(study, words).document
        widths[words] = document["range"]["high_km"] / document["range"]["low_km"]
        assert (notes.SHARE_UNKNOWN in document["notes"]) is (words == told)
    wings = FlownWings(read_study(study), {})
    flown = "[known_flight]\ndistance = '38 km'\ntime = '41 min'\ncharge_used = '4100 mAh'\n"
    known = tmp_path / "known.toml"
    known.write_text(f"{study.read_text(encoding='utf-8')}\n{flown}", encoding="utf-8")
    same = FlownWings(read_study(known), {})
    (steady, of_table) = (
        one.range_band(one.fit(flights), one.stock, WingFactors())
        for one, flights in ((wings, read_logbook(study).counted), (same, []))
    )
    assert steady.high / steady.low == pytest.approx(of_table.high / of_table.low, rel=0.05)
    assert widths[told] > 1.05 * widths[f"{told}, steady cruise"]


def test_a_flight_that_is_noted_twice_is_pointed_out(study):
    first = noted(study, "34 min, 5100 mAh, a third at full throttle").document
    (twin, *_) = noted(study, "5100 mAh in 34 min, a third at full throttle").document["notes"]
    assert twin.startswith("Line 2 of the logbook is the same flight; ") and not any(
        "same" in one for one in first["notes"]
    )
    other = noted(study, "34 min, 5200 mAh, a third at full throttle").document["notes"]
    assert not any("same flight" in one for one in other)


def test_an_absurd_row_written_by_hand_is_named_and_not_used(study):
    study.with_name("heron.logbook.csv").write_text("wing,minutes,used\nstock,34,84000 mAh\n")
    document = noted(study, "34 min, 3600 mAh").document
    assert document["flights"] == 1
    assert document["notes"] == [
        notes.SHARE_UNKNOWN,
        "Line 2 of the logbook is not used: 84000 mAh were used, but the pack holds 10000 mAh.",
    ]


@pytest.mark.parametrize(
    ("words", "options", "sentence"),
    [
        ("34 min, 84000 mAh", {}, "84000 mAh were used, but the pack holds 10000 mAh"),
        ("34 min, 329 km", {}, "Distance over time is 581 km/h, but the wing reaches"),
        ("1 min, 300 mAh", {}, "allowed is 2 min to 24 h"),
        ("34 min, 5100 mAh, 18.5.2026", {}, "The date 2026-05-18 is in the future."),
        ("34 min, 5100 mAh", {"minutes": "20"}, "--minutes gives the time a second time."),
        ("34 min, 5100 mAh", {"full_throttle": "40"}, '--full-throttle is "40"; write "33 %"'),
        ("5100 mAh", {}, "says no time in the air"),
        ("34 min", {}, "says neither charge nor distance"),
        ("34 min, 5100 mAh, felt good", {}, '"felt good" is not understood'),
    ],
)
def test_what_is_refused_leaves_no_trace(study, words, options, sentence):
    with pytest.raises(CommandError) as raised:
        noted(study, words, options=options)
    assert sentence in str(raised.value) and raised.value.exit_code == 2
    assert list(study.parent.iterdir()) == [study]


def test_a_new_wing_is_written_with_its_first_flight(study, monkeypatch):
    monkeypatch.setattr(new_wing, "recommended_wing", half_way)
    first = noted(study, "34 min, 3600 mAh", "long", requested=RequestedWing(span=1.5)).document
    wing = built_wings(study)["long"]
    assert wing.built == TODAY and wing.variables["extension_mm"] == pytest.approx(100.0)
    assert {one.wing for one in flights(study)} == {"long"} and first["flights"] == 1
    noted(study, "30 min, 3100 mAh", "long")
    with pytest.raises(CommandError, match="There is no built wing longer. Did you mean long.* add --new"):
        noted(study, "34 min, 3600 mAh", "longer")
    with pytest.raises(CommandError, match="stands in the file of built wings; leave out span 1600 mm"):
        noted(study, "34 min, 3600 mAh", "long", requested=RequestedWing(span=1.6))
    assert len(built_wings(study)) == 1 and len(flights(study)) == 2


def test_a_flight_of_one_wing_moves_the_wing_to_build(study, monkeypatch):
    monkeypatch.setattr(new_wing, "recommended_wing", half_way)
    noted(study, "34 min, 3600 mAh", "long")
    design = notes.built_wings(study)["long"]

    def kept(folder, read):
        from tradestudy.results.design import DesignChoices, DesignVariables
        from tradestudy.results.json_form import part_from_json

        parts = part_from_json(DesignChoices, {**design.choice, "words": ""})
        shape = part_from_json(DesignVariables, {**design.variables, "extension_mm": 60.0})
        numbers = SimpleNamespace(span_mm=1360.0, range_km=104.0)
        return SimpleNamespace(recommended=SimpleNamespace(choices=parts, variables=shape, numbers=numbers))

    monkeypatch.setattr(notes, "kept_result", kept)
    document = noted(study, "40 min, 5600 mAh, 36 km, calm, no full throttle").document
    band = document["range"]
    assert band["wing"] == "recommended" and band["span_mm"] == 1360
    assert 101.0 < band["before"]["middle_km"] < 104.0  # of the result, as far as the first flight left it
    assert band["middle_km"] < band["before"]["middle_km"]
    assert note_lines(document)[2].startswith("The recommended wing of 1360 mm flies ")


def test_a_wing_written_wrongly_by_hand_is_refused_with_its_line(study):
    study.with_name("heron.wings.toml").write_text("\n[wing.long]\nchoice = { cells = 5 }\nvariables = {}\n")
    with pytest.raises(LogbookError, match="line   2  wing.long is not as tradestudy note writes it"):
        noted(study, "34 min, 3600 mAh", "long")


def test_options_are_read_like_the_cells_of_the_logbook():
    options = {"minutes": "1h05", "used": "78 % left", "temperature": "-3 C", "pack": "old", "date": "1.5.2026"}
    flight = noted_flight("stock", "", options, TODAY)
    assert (flight.time, flight.used_share, flight.pack) == (3900.0, pytest.approx(0.22), "old")
    assert flight.temperature == pytest.approx(270.15) and flight.date == datetime.date(2026, 5, 1)


def test_an_option_that_no_flight_has_is_refused():
    with pytest.raises(CommandError, match=r"^A flight has no winds\. Did you mean wind\? It has date, minutes"):
        noted_flight("stock", "34 min, 3000 mAh", {"winds": "4 m/s"}, TODAY)


@pytest.mark.parametrize(
    ("share", "words"),
    [(82.0, "as expected; 8 of 10"), (10.0, "1 flight in 10"), (1.0, "fewer than 1"), (0.001, "no such flight")],
)
def test_words_for_how_likely_a_flight_was(share, words):
    assert likelihood_words(share).startswith(words)


def test_a_log_fills_in_time_and_charge_and_narrows_more_than_words(study, tmp_path):
    shutil.copytree(STUDIES / "measured", tmp_path / "logs")
    by_log = noted(study, "", options={"log": "logs/godwit_flight.csv"}).document
    (flight,) = flights(study)
    assert flight.log.as_posix() == "logs/godwit_flight.csv"
    assert (flight.time / 60, flight.charge / 3.6) == pytest.approx((8.717, 586.6), abs=0.05)
    study.with_name("heron.logbook.csv").unlink()
    by_words = noted(study, "9 min, 590 mAh").document
    drags = [one["factors"]["drag"] for one in (by_log, by_words)]
    widths = [np.log(one["high"] / one["low"]) for one in drags]
    assert widths[0] < 0.5 * widths[1]


def test_a_log_of_a_built_wing_is_read_with_its_own_factors(godwit_study, godwit_anchor):
    wings = FlownWings(godwit_study, {"same": WingDesign(godwit_anchor.choice, godwit_anchor.variables)})
    flight = Flight("", None, "same", "", 523.0, log=Path("measured/godwit_flight.csv"))
    groups = wings.groups([flight])
    assert {group.kind for group in groups} == {"log 1"}
    assert all(("drag of same" in group.uses) == ("drag" in group.uses) for group in groups)
    bands = [factor_bands(wings.fit([one]), wings.wing(one.wing)[1]) for one in (flight, replace(flight, wing="stock"))]
    assert bands[0]["drag"].middle == pytest.approx(bands[1]["drag"].middle, rel=0.02)
    assert bands[0]["drag"].high < 1.2 * bands[0]["drag"].middle


def test_a_log_that_nothing_describes_is_refused(study, tmp_path):
    (tmp_path / "logs").mkdir()
    shutil.copy(STUDIES / "measured" / "godwit_flight.csv", tmp_path / "logs" / "f.csv")
    with pytest.raises(CommandError, match=r"no file says what its columns are called. Write f.toml beside it"):
        noted(study, "", options={"log": "logs/f.csv"})
    for name in ("a.toml", "b.toml"):
        shutil.copy(STUDIES / "measured" / "godwit.toml", tmp_path / "logs" / name)
    with pytest.raises(CommandError, match=r"a.toml, b.toml could do"):
        noted(study, "", options={"log": "logs/f.csv"})
    with pytest.raises(CommandError, match="There is no file"):
        noted(study, "", options={"log": "logs/none.csv"})
    assert not study.with_name("heron.logbook.csv").exists()


def test_a_season_shrinks_the_band_and_is_drawn(study, capsys, tmp_path):
    shutil.copy(STUDIES / "measured" / "godwit.logbook.csv", study.with_name("heron.logbook.csv"))
    assert main(["note", str(study), "--out", str(tmp_path / "drawn"), "--json"]) == 0
    season = json.loads(capsys.readouterr().out)["season"]
    bands = [season["before"], *(one["range"] for one in season["flights"])]
    widths = [band["high_km"] / band["low_km"] for band in bands]
    assert len(season["flights"]) == 12 and widths[0] > widths[1] > widths[3] > widths[12]
    # the demo's flights are those of a hidden wing that flies 84.6 km
    assert bands[-1]["low_km"] < 84.6 < bands[-1]["high_km"]
    assert season_lines(season)[0] == "12 flights."
    assert {file.name for file in (tmp_path / "drawn").iterdir()} == {"logbook.json", "logbook.svg", "logbook.png"}
    (upper, lower) = season_figure(season).axes
    noted = next(line for line in upper.lines if line.get_marker() == "D").get_ydata()
    first = season["flights"][0]["charge"]
    assert noted[0] == pytest.approx(first["noted"] / first["middle"]) and len(noted) == 12
    assert list(lower.lines[0].get_ydata()) == [band["middle_km"] for band in bands]


def test_a_logbook_without_flights_says_how_to_write_one(study, capsys):
    assert main(["note", str(study)]) == 2
    assert "tradestudy note" in capsys.readouterr().err


def test_a_build_sheet_with_a_name_writes_the_wing_for_its_flights(study, monkeypatch, capsys):
    monkeypatch.setattr(session, "open_session", lambda *given, **more: contextlib.nullcontext(None))
    monkeypatch.setattr(assess, "assess", lambda *given: bench())
    monkeypatch.setattr(folders, "write_build_sheet", lambda *given, **more: [])
    words = ["buildsheet", str(study), "--out", "sheet", "--anyway", "--name", "long"]
    assert main(words) == 0
    design = bench().recommended
    wing = built_wings(study)["long"]
    assert wing.variables["extension_mm"] == design.variables.extension_mm
    assert wing.choice["propeller"] == design.choices.propeller and "words" not in wing.choice
    assert main(words) == 2 and "a wing of this name stands in" in capsys.readouterr().err
    assert main([*words[:-1], "stock"]) == 2 and "give another name" in capsys.readouterr().err
