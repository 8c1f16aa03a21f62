"""The strip and the phone page of a day's card: all numbers, no network, and a form that makes a note."""

import datetime
import html
import json
import re
import shutil
import subprocess
from dataclasses import replace

import pytest

from tradestudy.report.logbook.card_page import day_page, save_day_page
from tradestudy.report.logbook.card_words import NO_HEADWAY, OTHER_WAY, day_lines
from tradestudy.report.words.pilot_card import COLUMNS
from tradestudy.results.flight import DayCard, DayLeg
from tradestudy.study.logbook.parse_note import parse_note

LEGS = [DayLeg("against", 55.4, 4.92, 41.0), DayLeg("with", 47.1, 4.1, 61.5)]
CARD = DayCard(
    study="Heron <&>", wing="stock", unit="km/h", wind_kmh=14.4, temperature_c=2.0, pack_temperature_c=2.0,
    pack="old: 4S2P cells", flown=3, flights=2, legs=LEGS, stall_kmh=31.0, until_tested_kmh=None, turn_km=17.24,
    turn_mah=3350.0, turn_min=25.2, turn_expected_km=21.4, land_min=44.0, near_min=66.0, alarm_mah=5400.0, alarm_v=13.5,
    alarm_cell_v=3.38, capacity_mah=8000.0, reserve_pct=22.0,
    out_of_reach_pct=4.0, cell_most_a=50.0, full_throttle_a=21.0, full_throttle_until_mah=7000.0, least_cell_v=2.5,
    home_pct=90.0, changes=[], warning="", notes=["Limits of the cells, by the catalogue."],
)  # fmt: skip


def test_the_strip_has_every_number_and_fits_the_transmitter():
    lines = day_lines(CARD)
    text = "\n".join(lines)
    assert max(map(len, lines)) <= COLUMNS
    assert "HOLD 55 km/h, 4.9 A, ground 41 km/h" in text and "HOLD 47 km/h, 4.1 A, ground 62 km/h" in text
    assert "out 17.2 km, used 3350 mAh, after 25 min" in text and "near the field: 66 min" in text
    assert "5400 mAh used" in text and "13.5 V in cruise, 3.38 V a cell" in text and "never below 2.50 V" in text
    assert "90 % of such wings" in text and "Known from 2 flights" in text and "wind 4.0 m/s, 2 C" in text
    assert text.count("[ ]") == 4 and "[ ]" not in "\n".join(day_lines(replace(CARD, flown=4)))


def test_only_the_distance_holds_for_a_flight_out_with_the_wind():
    """Check by hand that mAh and minutes do not bring this wing home from there: it would need 117 % of its charge."""
    against, homeward = LEGS
    minutes = CARD.turn_mah / 1e3 / homeward.hold_a * 60  # out with the wind, until so much is used
    back = minutes * homeward.ground_kmh / against.ground_kmh
    assert CARD.turn_mah + back / 60 * against.hold_a * 1e3 > CARD.capacity_mah
    assert OTHER_WAY in " ".join(" ".join(day_lines(CARD)).split()) and OTHER_WAY in day_page(CARD, "heron.toml")
    calm = replace(CARD, legs=[DayLeg("none", 50.0, 4.4, None)], wind_kmh=0.0)
    assert "turn by the distance" not in " ".join(day_lines(calm))


def test_miles_and_a_wind_too_strong():
    miles = "\n".join(day_lines(replace(CARD, unit="mph")))
    assert "HOLD 34 mph" in miles and "out 10.7 mi" in miles and "Expected is 13.3 mi" in miles
    stuck = [DayLeg("against", None, None, None), DayLeg("with", None, None, None)]
    none = dict.fromkeys(("turn_km", "turn_mah", "turn_min", "turn_expected_km", "land_min"))
    lost = replace(CARD, legs=stuck, **none)
    words = " ".join(day_lines(lost))
    assert NO_HEADWAY in " ".join(words.split()) and "no headway" in words and "come home from there" not in words
    assert NO_HEADWAY in day_page(lost, "heron.toml")


def test_a_wing_that_breaks_a_limit_says_so_first_and_last():
    broken = replace(CARD, warning="It breaks a limit: stall speed.")
    lines = day_lines(broken)
    assert lines[0] == lines[2] == lines[-1] == "*" * COLUMNS and "stall speed" in lines[1] == lines[-2]
    assert "It breaks a limit: stall speed." in day_page(broken, "heron.toml")


def test_the_page_is_one_file_without_network(tmp_path):
    page = day_page(CARD, "studies/heron.toml")
    assert "Heron &lt;&amp;&gt;" in page and "<&>" not in page
    assert not re.search(r"(?:https?:|src=|href=|@import|url\()", page)
    assert "default-src 'none'" in html.unescape(page)
    assert "prefers-color-scheme: dark" in page and "@media print" in page
    assert 'data-command="tradestudy note studies/heron.toml --wing stock"' in page
    assert day_page(CARD, "my studies/heron.toml").count("note &#34;my studies/heron.toml&#34;") == 1
    strip = html.unescape(re.search(r'<pre class="strip">(.*?)</pre>', page, re.S)[1])
    assert strip == "\n".join(day_lines(CARD))
    assert save_day_page(CARD, "heron.toml", tmp_path).name == "card-stock.html"


FILL = """
<script>
{
const form = document.querySelector("form");
const wanted = {minutes: "34", used: "5100", throttle: "a third", distance: "31", wind: "4,5", temperature: "-2",
  pack: "old one", rested: "14.6", remark: 'gusty "$(rm)" (windy)'};
for (const [name, value] of Object.entries(wanted)) form.elements[name].value = value;
form.dispatchEvent(new Event("input"));
document.body.insertAdjacentHTML("beforeend", '<pre id="found"></pre>');
document.querySelector("#found").textContent = JSON.stringify({
  note: document.querySelector("#note").value, command: document.querySelector("#command").value,
  fault: document.querySelector(".fault").textContent, wide: document.documentElement.scrollWidth});
}
</script></body>
"""


def test_the_form_makes_a_note_that_the_logbook_understands(tmp_path):
    program = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if program is None:
        pytest.skip("no browser installed")
    file = tmp_path / "card.html"
    text = re.sub(r"<meta http-equiv.*?>", "", day_page(CARD, "studies/heron.toml"))
    file.write_text(text.replace("</body>", FILL), encoding="utf-8")
    command = [program, "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
               f"--user-data-dir={tmp_path / 'profile'}", "--dump-dom", file.as_uri()]  # fmt: skip
    printed = subprocess.run(command, capture_output=True, text=True, timeout=60).stdout
    found = json.loads(html.unescape(re.findall(r'<pre id="found">([^<]+)</pre>', printed)[-1]))
    assert found["fault"] == ""
    assert found["command"] == f'tradestudy note studies/heron.toml --wing stock "{found["note"]}"'
    flight = parse_note(found["note"], datetime.date(2026, 5, 17))
    assert flight["time"] == 34 * 60 and flight["charge"] == pytest.approx(5100 * 3.6)
    assert flight["full_throttle"] == pytest.approx(1 / 3) and flight["distance"] == 31000 and flight["wind"] == 4.5
    assert flight["temperature"] == pytest.approx(271.15) and flight["pack"] == "old-one"
    assert found["note"].endswith("(rested 14.6 V, gusty rm windy)")
