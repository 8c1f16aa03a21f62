"""Ageing and drift in words: what is seen, what would be, and what to look at after a flight."""

from dataclasses import replace

from tradestudy.report.logbook.change_words import drift_sentences
from tradestudy.report.logbook.note_words import seen_changes
from tradestudy.results.flight import DayChange
from tradestudy.results.json_form import json_data

QUIET = DayChange("need", "stock", 12, False, 3.0, -4.0, 9.0, None, 24.4)
LOUD = replace(QUIET, seen=True, size_pct=18.2, low_pct=9.6, high_pct=27.3)


def test_a_change_that_is_seen_has_its_size_band_and_course():
    (creep,) = drift_sentences([LOUD])
    assert creep.startswith("Stock wing: it needs 18 % more charge for the same flight than at first (10 to 27 %")
    assert "bit by bit" in creep and "loose film" in creep and "nicks" in creep
    (step,) = drift_sentences([replace(LOUD, since=9)])
    assert "at once before flight 9" in step
    fades = DayChange("charge", "A", 20, True, -15.0, -19.0, -11.0, None, 12.0)
    assert drift_sentences([fades])[0].startswith("Pack A: it holds 15 % less than at first (11 to 19 %")
    assert "Its" not in drift_sentences([replace(fades, what="resistance")])[0].split(":")[0]


def test_where_none_is_seen_the_smallest_sure_one_is_told():
    assert drift_sentences([QUIET]) == [
        "No drift of the stock wing is seen in 12 flights; one of 24 % would surely be seen."
    ]
    (few,) = drift_sentences([replace(QUIET, readings=3, surely_seen_pct=None)])
    assert few == "No drift of the stock wing is seen in 3 flights, too few to be sure of any change."


def test_a_note_tells_what_is_seen_and_what_to_look_at():
    def told(changes, flown):
        return seen_changes({"changes": json_data(changes), "flown": flown})

    assert told([QUIET], 4) == []
    assert told([QUIET, LOUD], 4) == drift_sentences([LOUD])
    lines = told([], 3)
    assert lines[0] == "After flight 3 of this wing look at:" and len(lines) == 5
    assert all(line.startswith("[ ] ") for line in lines[1:])
