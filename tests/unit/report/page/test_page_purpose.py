"""The page of studies with other purposes than range, and of parts that were not searched."""

import re
from dataclasses import fields, replace

import pytest
from helpers.invented.invented_result import purposes_of, sample_result
from helpers.invented.invented_wing import design
from helpers.readers.page_reader import Reader

from tradestudy.report.decision_words import decision
from tradestudy.report.figures.all_figures import draw_all
from tradestudy.report.page.page import page
from tradestudy.report.words.first_screen import first_screen as first_screen_rows
from tradestudy.report.words.phrases import expected_band
from tradestudy.results.inputs import SpreadPercentiles, SpreadResult


@pytest.fixture
def without_figures(monkeypatch):
    """Leave out figures, since drawing takes two seconds a page. Words and tables are tested."""
    monkeypatch.setattr("tradestudy.report.figures.all_figures.FIGURES", {})


def test_pruned_choices_are_reported_with_their_bound(without_figures):
    left = [{"words": "4S2P, 1 pair of 3 mm rods", "at_most": 40.4}, {"words": "4S2P, 2 x 3 mm", "at_most": 38.0}]
    told = (
        "14 combinations of parts were optimised. The other 2 cannot be among the best: with any rods in the range of "
        "those to try, they reach at most 40 km."
    )
    assert told in Reader(page(sample_result(solved=14, pruned=left))).words


def test_time_in_the_air_is_never_called_range():
    sample = sample_result(purposes=purposes_of("usual_flight", full_throttle_share_pct=5.0), club=[])
    drawn = draw_all(sample)
    words = Reader(page(sample, drawn=drawn)).words
    for sentence in (
        "What does extra weight give? 60 min in the air at 1560 g The search maximises the time of a usual flight: 5 % "
        "of the time at full throttle, a reserve of 20 % kept. The stock wing flies 28 min in the air at 1010 g.",
        "within 2 % of the best time in the air.",
        "100 g more gives about",
        "The weight-time line A: span",
        "Every letter is the wing that flies longest for its weight",
        "Usual flight [min]",
        "Usual flight, 5 % of it at full throttle 28 60 min",
    ):
        assert sentence in words
    # the only table row with the range of every wing; "balance range" and "ranges" are other words
    assert re.findall(r"(?i)(?<!balance )\brange\b[^,.]*", words) == ["Range"]
    assert not re.search(
        r"\brange\b", " ".join(words for _, words in first_screen_rows(sample) if "one charge" not in words)
    )
    for figure, *_ in drawn.values():
        written = [text.get_text() for text in figure.findobj(lambda artist: hasattr(artist, "get_text"))]
        assert not [text for text in written if re.search(r"\brange\b|\d km$", text)]


@pytest.mark.usefixtures("without_figures")
def test_radio_or_law_ends_the_way_out_and_home():
    sample = sample_result(purposes=purposes_of("out_and_home", wind_ms=6.0, farthest_out_km=8.0))
    capped = [
        replace(entry, numbers=replace(entry.numbers, radius_km=8.0, charge_left_pct=71.0))
        for entry in (sample.stock, sample.recommended, *sample.steps)
    ]
    sample = replace(sample, stock=capped[0], recommended=capped[1], steps=capped[2:])
    drawn = draw_all(sample)
    words = Reader(page(sample, drawn=drawn)).words
    for sentence in (
        "What does extra weight give? 8.0 km out and home at 1560 g The search maximises the distance out and home: "
        "one leg against a wind of 6 m/s, one with it, at one airspeed",
        "the charge would be enough for 37 km. The limit by radio or law is 8 km, and 71 % of the charge is then left "
        "on landing. Wings are compared by the distance that the charge alone allows. The stock wing flies 19 km out "
        "and home at 1010 g.",
        "Out and home at one airspeed, wind 6 m/s, 8 km at most 8.0 8.0 km",
        "Out and home as far as the charge goes 18.9 37.3 km",
        "within 2 % of the best distance out and home.",
    ):
        assert sentence in words
    assert any("limit by radio or law is 8 km" in line for _, line in first_screen_rows(sample))


@pytest.mark.usefixtures("without_figures")
@pytest.mark.parametrize(("farthest", "ends"), [(None, "30 to 41"), (35.0, "30 to 35")])
def test_the_band_out_and_home_is_that_of_the_charge_within_radio_or_law(farthest, ends):
    sample = sample_result(purposes=purposes_of("out_and_home", wind_ms=6.0, farthest_out_km=farthest))
    shown = sample.recommended
    percentiles = {key: [0.9, 1.0, 1.1] for key in (field.name for field in fields(SpreadPercentiles))}
    drawn = SpreadPercentiles(**percentiles | {"radius_by_charge_km": [30.0, 37.3, 41.0]})
    sample = replace(sample, spread=SpreadResult(drawn, {}, [], 1000))
    low, _, high = expected_band(sample, shown, "radius_km")
    assert f"{low:.0f} to {high:.0f}" == ends
    assert f"eight in ten such wings fly {ends} km" in " ".join(decision(sample).lines)
    assert "Turn back by 30 km" in Reader(page(sample)).words


@pytest.mark.usefixtures("without_figures")
def test_a_cap_that_is_not_reached_is_not_mentioned():
    sample = sample_result(purposes=purposes_of("out_and_home", farthest_out_km=50.0))
    assert "radio or law" not in page(sample)


@pytest.mark.usefixtures("without_figures")
def test_never_exceed_speed_is_on_the_first_screen():
    """Check 120 km/h x 1160 / 1480 of the invented wing. If nothing limits the speed, nothing is shown."""
    words = Reader(page(sample_result())).words
    assert (
        "Never exceed" in words and "94 km/h, the advised maximum speed, since above that roll control fades" in words
    )
    wing = design()
    unbound = replace(wing, numbers=replace(wing.numbers, advised_speed_kmh=None))
    assert "Never exceed" not in page(sample_result(recommended=unbound))
