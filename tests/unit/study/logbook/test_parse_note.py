"""What pilots say about a flight, and what is refused."""

import datetime

import pytest

from tradestudy.errors import CommandError
from tradestudy.study.logbook.parse_note import parse_note

TODAY = datetime.date(2026, 5, 17)
AH, MIN, MAH = 3600.0, 60.0, 3.6


@pytest.mark.parametrize(
    ("text", "values"),
    [
        (
            "34 min, 5100 mAh, a third at full throttle",
            {"time": 34 * MIN, "charge": 5100 * MAH, "full_throttle": 1 / 3},
        ),
        (
            "1h05, used 4.2 Ah of pack A, 31 km, wind 4 m/s, 2 C",
            {"time": 65 * MIN, "charge": 4.2 * AH, "pack": "A", "distance": 31e3, "wind": 4.0, "temperature": 275.15},
        ),
        ("12 minutes; 78 % left", {"time": 12 * MIN, "used_share": 0.22}),
        ("1:05 and 5,1 Ah", {"time": 65 * MIN, "charge": 5.1 * AH}),
        ("1h05,5100 mAh,33 % full throttle", {"time": 65 * MIN, "charge": 5100 * MAH, "full_throttle": 0.33}),
        ("1 h 5 min; 5,100 mAh", {"time": 65 * MIN, "charge": 5100 * MAH}),
        ("1 hour and 5 minutes, used 22 %", {"time": 65 * MIN, "used_share": 0.22}),
        ("half an hour, 2100mAh put back", {"time": 30 * MIN, "charge": 2100 * MAH}),
        (
            "34.5 min. 5.1 Ah. half of it at full throttle.",
            {"time": 34.5 * MIN, "charge": 5.1 * AH, "full_throttle": 0.5},
        ),
        ("34 min, 5 min at full throttle", {"time": 34 * MIN, "full_throttle": 5 / 34}),
        ("34 min, full throttle for 90 s", {"time": 34 * MIN, "full_throttle": 1.5 / 34}),
        ("34 min, full throttle a quarter of the time", {"time": 34 * MIN, "full_throttle": 0.25}),
        ("34', two thirds flat out, calm", {"time": 34 * MIN, "full_throttle": 2 / 3, "wind": 0.0}),
        (
            "38 km, 41 min, 2500 mAh, steady cruise",
            {
                "distance": 38e3,
                "time": 41 * MIN,
                "charge": 2500 * MAH,
                "full_throttle": 0.0,
            },
        ),
        ("34 min at a steady cruise", {"time": 34 * MIN, "full_throttle": 0.0}),
        ("34 min, -3 C, old pack", {"time": 34 * MIN, "temperature": 270.15, "pack": "old"}),
        (
            "yesterday 34 min 19 miles",
            {"time": 34 * MIN, "distance": 19 * 1609.344, "date": datetime.date(2026, 5, 16)},
        ),
        ("34 min, 15 kmh wind", {"time": 34 * MIN, "wind": 15 / 3.6}),
        ("2026-05-02: 34 min (motor 62 C warm, 8 km/h gusts)", {"time": 34 * MIN, "date": datetime.date(2026, 5, 2)}),
        ("34 min, no full throttle", {"time": 34 * MIN, "full_throttle": 0.0}),
        ("14 mins, 36 °F", {"time": 14 * MIN, "temperature": 275.372}),
        ("12,5 min, 12,5 % at full throttle", {"time": 12.5 * MIN, "full_throttle": 0.125}),
    ],
)
def test_what_pilots_say(text, values):
    found = parse_note(text, TODAY)
    assert found == {name: pytest.approx(one) if isinstance(one, float) else one for name, one in values.items()}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("34 min, half throttle", '"half throttle" is not understood.'),
        ("34 min, 62 km/h", '"62 km/h" is not understood.'),
        ("34 min, felt good", '"felt good" is not understood.'),
        ("34 min, 5100 mAh left", '"5100 mAh left" is not understood.'),
        ("34 min, 20 min", '"20 min" gives the time a second time.'),
        ("34 min, 5 Ah, 20 % left", "gives the charge used a second time."),
        ("1 min, 5 Ah", '"1 min" is "1 min"; allowed is 2 min to 24 h.'),
        ("34 min, 840 Ah", "allowed is 50 mAh to 200 Ah."),
        ("34 min, 130 % at full throttle", "allowed is 0 % to 100 %."),
        ("34 min, 40 min at full throttle", "longer than the flight"),
        ("5 min at full throttle", "without the time in the air"),
        ("1:75, 5 Ah", "an hour has 60 minutes"),
        ("34 min, 31.2.2026", "write year, month and day"),
        ("5100", '"5100" is not understood.'),
        ("34 min, wind 4", '"wind 4" is not understood.'),
        ("34 min 5100", '"5100" is not understood.'),
    ],
)
def test_what_is_refused_is_quoted(text, words):
    with pytest.raises(CommandError) as raised:
        parse_note(text, TODAY)
    assert words in str(raised.value) and 'Allowed: time "34 min"' in str(raised.value)
