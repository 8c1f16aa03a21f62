"""The register of a folder of studies and logbooks: what is listed, counted once, written for the next builder."""

import json

import pytest
from helpers.places import STUDIES

from tradestudy.__main__ import main
from tradestudy.commands.club.register import register
from tradestudy.errors import CommandError
from tradestudy.report.logbook.register_sheet import register_sheet
from tradestudy.report.logbook.register_words import build_rows, factor_rows, register_lines
from tradestudy.study.logbook.club_folder import member_studies
from tradestudy.study.reader import read_study

LAPWING = (STUDIES / "lapwing.toml").read_text(encoding="utf-8")


def study_of(name):
    return f'[study]\nname = "{name}"\n\n{LAPWING}'


@pytest.fixture(scope="module")
def club(tmp_path_factory):
    """Write a folder with two members: one in the folder, one in a folder of his own, both from one study file."""
    folder = tmp_path_factory.mktemp("club")
    (folder / "bea").mkdir()
    (folder / "anna.toml").write_text(study_of("anna"), encoding="utf-8")
    (folder / "bea" / "bea.toml").write_text(study_of("bea"), encoding="utf-8")
    (folder / "anna.logbook.csv").write_text(
        "wing,minutes,used,full_throttle,counts\nstock,34,3900 mAh,1/3,\nstock,30,2400 mAh,10 %,\n"
        'stock,30,2400 mAh,10 %,"no: a wing tip was loose"\n',
        encoding="utf-8",
    )
    (folder / "bea" / "bea.logbook.csv").write_text("wing,minutes,used\nlong,25,1900 mAh\n", encoding="utf-8")
    (folder / "bea" / "bea.wings.toml").write_text(
        '[wing.long]\nweight = "1720 g"\nload_tested = 2026-05-20\n'
        '[wing.long.choice]\nseries = 6\nparallel = 1\nrod_diameter_mm = 3.0\nrod_pairs = 2\npropeller = "10x7"\n'
        "[wing.long.variables]\nextension_mm = 50.0\nsweep_deg = 27.217\nwashout_deg = 2.0\ntip_chord_mm = 160.0\n"
        "static_margin_pct = 6.0\ncruise_speed_kmh = 50.0\nequipment_position_mm = 0.0\n",
        encoding="utf-8",
    )
    return folder


@pytest.fixture(scope="module")
def found(club):
    return register(club, STUDIES / "lapwing.toml")


def test_every_build_is_listed_with_weights_and_flights(found):
    rows = {(row[0], row[1]): row for row in build_rows(found.document)}
    assert set(rows) == {("anna", "stock"), ("bea", "stock"), ("bea", "long")}
    assert rows["anna", "stock"][2] == "1640 (1640)" and rows["anna", "stock"][5] == "2"
    weight, _, tested, flights, ratio = rows["bea", "long"][2:]
    assert weight.startswith("1720 (") and tested == "2026-05-20" and flights == "1" and 0.3 < float(ratio) < 3
    assert found.document["members"][0]["set_aside"] == 1


def test_a_flight_that_was_copied_with_the_study_counts_once(found):
    """Check that the known flight of the one study file is no evidence of three wings."""
    assert [note.split()[0] for note in found.document["notes"]] == ["known_flight", "known_flight"]
    assert any("known_flight of bea is that of anna" in line for line in register_lines(found.document))
    (drag,) = (row for row in found.document["factors"] if row["name"] == "drag")
    assert drag["type_band"][0] < drag["type"] < drag["type_band"][1]
    assert len(factor_rows(found.document)) == 11


def test_members_who_copied_a_study_are_told_apart_by_their_files(tmp_path):
    for file, name in (("anna", "Lapwing"), ("bea", "Lapwing"), ("cleo", "Teal")):
        (tmp_path / f"{file}.toml").write_text(study_of(name), encoding="utf-8")
    document = register(tmp_path).document
    assert [one["study"] for one in document["members"]] == ["Lapwing (anna)", "Lapwing (bea)", "Teal"]
    assert document["next"]["study"] == "Lapwing (anna)"
    assert document["notes"][0] == "known_flight of Lapwing (bea) is that of Lapwing (anna), and counts once"


def test_the_next_builder_uses_what_is_written(found, tmp_path):
    """Check that the written factors are read with the study they are for, and refused with another one."""
    path = tmp_path / "club.toml"
    path.write_text(found.overlay, encoding="utf-8")
    study = read_study(STUDIES / "lapwing.toml", path)
    factors = {row["name"]: row["next"] for row in found.document["factors"]}
    assert study.fitted.drag == pytest.approx(factors["drag"], abs=1e-4)
    with pytest.raises(CommandError, match="fitted to another wing"):
        read_study(STUDIES / "lapwing_club.toml", path)
    band = found.document["next"]["range_km"]
    assert band["after"]["high"] - band["after"]["low"] < band["before"]["high"] - band["before"]["low"]


def test_the_register_goes_on_paper(found):
    assert register_sheet(found.document).startswith(b"%PDF") and register_sheet(found.document, "letter")


def test_a_wing_that_flies_without_a_load_test_is_named(found):
    bare = {**found.document}
    bare["members"] = [
        {**member, "builds": [{**build, "load_tested": None} for build in member["builds"]]}
        for member in found.document["members"]
    ]
    assert any("bea, long flies without a load test" in line for line in register_lines(bare))
    assert not any("without a load test" in line for line in register_lines(found.document))


def test_only_studies_are_members(club, tmp_path):
    assert [path.name for path in member_studies(club)] == ["anna.toml", "bea.toml"]
    with pytest.raises(CommandError, match="holds no study"):
        member_studies(tmp_path)


def test_the_terminal_shows_the_register_and_writes_its_files(found, club, tmp_path, capsys, monkeypatch):
    monkeypatch.setattr("tradestudy.commands.club.register.register", lambda *given: found)
    written = tmp_path / "next" / "club.toml"
    words = ["club", str(club), "--next", "s.toml", "--output", str(written), "--out", str(tmp_path / "out")]
    assert main(words) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "Without the club it is" in out and "1720 (" in out and "drag of section and fins" in out
    assert written.read_text(encoding="utf-8") == found.overlay
    assert (tmp_path / "out" / "club.pdf").read_bytes() == register_sheet(found.document)
    assert main(["club", str(club), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == json.loads(json.dumps(found.document))


@pytest.mark.parametrize("arguments", [["--output", "x.toml"], ["--next", "nothing.toml"]])
def test_what_cannot_be_done_is_said_at_once(arguments, club, capsys):
    assert main(["club", str(club), *arguments]) == 2
    assert "Traceback" not in capsys.readouterr().err


def test_options_of_a_folder_need_a_folder(capsys):
    assert main(["club", str(STUDIES / "lapwing.toml"), "--output", "x.toml"]) == 2
    assert "register of a folder" in " ".join(capsys.readouterr().err.split())
