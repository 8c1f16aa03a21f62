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
