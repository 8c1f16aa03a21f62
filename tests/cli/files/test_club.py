"""``tradestudy club`` of a study with several sets of equipment: table, sentences and JSON, with an invented answer."""

import json

import pytest
from helpers.places import STUDIES

from tradestudy.__main__ import main
from tradestudy.commands.club import span

FOUND = {
    "study": "invented", "quantity": "range", "unit": "km", "rule": "worst share of a member's own best",
    "span_mm": 1270.0, "worst": "camera", "bound_pct": 98.6,
    "outline": {"sweep_deg": 27.2, "washout_deg": 2.0, "tip_chord_mm": 161.0},
    "members": [
        {"name": "camera", "members": 2, "share_pct": 98.4, "gain": 64.8, "own_gain": 65.9, "own_span_mm": 1200,
         "parts": "6S1P", "remedy": "", "auw_g": 1702.0, "spans": [[1200.0, 65.9]]},
        {"name": "long range", "members": 1, "share_pct": 99.1, "gain": 57.9, "own_gain": 58.4, "own_span_mm": 1240,
         "parts": "6S1P", "remedy": "throttle no higher than 80 %", "auw_g": 1790.0, "spans": [[1240.0, 58.4]]},
    ],
}  # fmt: skip


@pytest.fixture()
def answered(monkeypatch):
    asked = []

    def club_span(session, by_number):
        asked.append(by_number)
        return FOUND

    monkeypatch.setattr(span, "club_span", club_span)
    return asked


def test_the_terminal_says_the_span_and_who_gives_most(answered, capsys):
    assert main(["club", str(STUDIES / "lapwing_club.toml"), "--by-number"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "One span for all: 1270 mm" in out and answered == [True]
    assert "camera gives most for it and keeps 98.4 % of its own best range" in out
    assert "long range can fly with throttle no higher than 80 %" in out and "camera × 2" in out


def test_json_is_the_answer(answered, capsys):
    assert main(["club", str(STUDIES / "lapwing_club.toml"), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == FOUND


def test_a_study_of_one_wing_has_no_common_span(capsys):
    assert main(["club", str(STUDIES / "lapwing.toml")]) == 1
    assert "fewer than two [[equipment_set]]" in " ".join(capsys.readouterr().err.split())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--fitted", "fitted.toml"], "--fitted holds the factors of one wing"),
        (["--common-span", "--fitted", "fitted.toml"], "--fitted holds the factors of one wing"),
        (["--workers", "2"], "--workers is for one span: add --common-span"),
        (["--cluster", "tcp://a:1"], "--cluster is for one span: add --common-span"),
        (["--by-number"], "--by-number is for one span: add --common-span"),
        (["--common-span", "--workers", "2", "--cluster", "tcp://a:1"], "do not go together"),
    ],
)
def test_an_option_without_effect_on_a_folder_is_refused(words, said, tmp_path, capsys):
    assert main(["club", str(tmp_path), *words]) == 2
    assert said in " ".join(capsys.readouterr().err.split())


def test_one_span_of_a_folder_is_searched_as_asked_and_a_stop_says_where_it_is_kept(tmp_path, monkeypatch, capsys):
    asked = []

    def folder_span(folder, *options):
        asked.append(options)
        raise KeyboardInterrupt

    monkeypatch.setattr(span, "folder_span", folder_span)
    out = tmp_path / "out"
    assert main(["club", str(tmp_path), "--common-span", "--workers", "2", "--out", str(out)]) == 130
    ((by_number, _, records, workers, cluster),) = asked
    assert (by_number, records, workers, cluster) == (False, out, 2, None)
    assert f"kept in {out}" in " ".join(capsys.readouterr().err.split())
