"""Tests of ``tradestudy card``: the strip, the JSON document, the page for the phone, and what is refused."""

import json

import pytest
from helpers.invented.invented_draws import invented_draws
from helpers.places import STUDIES

from tradestudy.__main__ import main
from tradestudy.commands.logbook import card as command

STUDY = str(STUDIES / "lapwing.toml")


@pytest.fixture(autouse=True)
def elsewhere(monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(command, "drawn_of", lambda *given: invented_draws())


def test_strip_page_and_json_say_the_same(capsys, tmp_path):
    day = ["--wind", "4 m/s", "--temperature", "2 C", "--pack", "old"]
    assert main(["card", STUDY, *day]) == 0
    strip = capsys.readouterr().out
    page = (tmp_path / "results" / "lapwing" / "card-stock.html").read_text(encoding="utf-8")
    assert "results/lapwing/card-stock.html" in strip.replace("\\", "/")
    assert main(["card", STUDY, *day, "--json", "--out", str(tmp_path / "there")]) == 0
    document = json.loads(capsys.readouterr().out)
    assert (tmp_path / "there" / "card-stock.html").is_file()
    assert document["temperature_c"] == 2 and document["wing"] == "stock" and document["reminders"] == []
    for text in (f"{document['alarm_mah']:.0f} mAh used", f"{document['alarm_v']:.1f} V in cruise"):
        assert text in strip and text in page


def test_a_wrong_day_ends_with_exit_code_2(capsys):
    assert main(["card", STUDY, "--wind", "much"]) == 2
    assert "--wind" in capsys.readouterr().err


def test_the_card_is_shown_where_its_page_cannot_be_written(capsys, tmp_path):
    (tmp_path / "results").write_text("a file in the way", encoding="utf-8")
    assert main(["card", STUDY]) == 2
    said = capsys.readouterr()
    assert "TURN BACK BY" in said.out and "Cannot write into results" in said.err


@pytest.mark.parametrize(
    "words",
    [
        ["fit", STUDY, str(STUDIES / "measured" / "godwit.toml"), "--output", "taken/fitted.toml"],
        ["fit", STUDY, str(STUDIES / "measured" / "godwit.toml"), "--out", "taken"],
        ["club", str(STUDIES), "--next", STUDY, "--output", "taken/next.toml"],
        ["club", str(STUDIES), "--out", "taken"],
        ["note", STUDY, "--out", "taken"],
    ],
)
def test_a_folder_that_cannot_be_is_told_before_any_work(words, capsys, monkeypatch, tmp_path):
    (tmp_path / "taken").write_text("a file in the way", encoding="utf-8")
    for place in ("fit.fit", "club.register.register", "logbook.season.season"):
        monkeypatch.setattr(f"tradestudy.commands.{place}", lambda *given: pytest.fail("worked first"))
    assert main(words) == 2
    assert "Cannot write into taken" in capsys.readouterr().err
