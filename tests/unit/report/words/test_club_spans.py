"""Words and rows on the wings of a club over span, for invented clubs."""

import pytest
from helpers.invented.invented_result import club_span, purposes_of, sample_result

from tradestudy.report.words.club import club_span_heads, club_span_rows, club_span_words

AFT = "pack as far back as it can lie"


def club(*spans):
    """Return an invented result of a club with these (span, rows of (gain, weight, limits)), the first recommended."""
    names = ("plain", "night", "mapper")
    rows = [
        club_span(name, span, gain, weight, *breaks, recommended=span == spans[0][0])
        for span, members in sorted(spans)
        for name, (gain, weight, *breaks) in zip(names, members, strict=False)
    ]
    return sample_result(club_spans=rows)


def test_rows_tell_gain_weight_and_who_meets_every_limit():
    result = club((1200, [(60.04, 1300.0), (None, 1400.0, AFT)]), (1300, [(58.0, 1350.0), (50.0, 1450.0)]))
    assert club_span_heads(result) == ["Span [mm]", "plain [km, g]", "night [km, g]", "Meets every limit"]
    assert club_span_rows(result) == [
        ("1200, recommended", "60.0, 1300", "\N{EN DASH}*, 1400", "plain"),
        ("1300", "58.0, 1350", "50.0, 1450", "all"),
    ]


def test_a_span_that_suits_all_is_named_with_its_cost():
    result = club((1200, [(60.0, 1300.0), (51.0, 1400.0, AFT)]), (1300, [(58.0, 1350.0), (50.0, 1450.0)]))
    assert club_span_words(result) == [
        "1300 mm suits every member: all wings meet every limit there.",
        "The recommended 1200 mm is the best for the set in use today; there only plain meets every limit.",
        "Against the recommended span, 1300 mm gives plain \N{MINUS SIGN}2.0 km and night \N{MINUS SIGN}1.0 km.",
    ]


def test_the_recommended_span_is_left_alone_if_it_suits_all():
    """Check that of spans that suit all, the one where all together fly farthest is named."""
    fits = [(60.0, 1300.0), (51.0, 1400.0)]
    result = club((1200, fits), (1300, [(58.0, 1350.0), (50.0, 1450.0)]))
    assert club_span_words(result) == ["1200 mm suits every member: all wings meet every limit there."]


def test_members_who_are_left_out_are_told_why_and_where_they_would_fit():
    """Check that the set of two members counts twice, and that a pack out of place counts as a broken limit."""
    one = [(60.0, 1300.0), (51.0, 1400.0, AFT), (50.0, 1500.0, "climb at full throttle")]
    two = [(58.0, 1350.0, AFT), (50.0, 1450.0), (49.0, 1550.0, AFT)]
    result = club((1200, one), (1300, two))
    assert club_span_words(result) == [
        "No span suits every member. Most wings meet every limit at 1200 mm: plain.",
        f"night breaks at 1200 mm: {AFT}; it would do at 1300 mm.",
        "mapper breaks at 1200 mm: climb at full throttle; no span of the table mends that.",
    ]
    none = club((1200, [(60.0, 1300.0, AFT)]))
    assert club_span_words(none)[0] == "At no span does a member's wing meet every limit."


@pytest.mark.parametrize(("purpose", "words"), [("out_and_home", "27.0, 1300"), ("usual_flight", "54.0, 1300")])
def test_what_is_told_is_what_the_study_asks_for(purpose, words):
    rows = [club_span("plain", 1200.0, 60.0, 1300.0)]
    assert club_span_rows(sample_result(club_spans=rows, purposes=purposes_of(purpose)))[0][1] == words


def test_without_a_club_nothing_is_said():
    result = sample_result(club_spans=[])
    assert club_span_words(result) == club_span_rows(result) == []
