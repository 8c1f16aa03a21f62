"""The live page in a real browser against its own server: ten wings made by hand, each number compared with `look`.

Skipped, with the reason, if no browser is installed. Three wings are also compared with what `assess` gives.
"""

import json
from itertools import pairwise
from types import SimpleNamespace
from urllib.parse import parse_qs

import pytest
from helpers.places import GODWIT
from helpers.readers.driven_browser import DrivenBrowser
from helpers.readers.open_page import opened

from tradestudy.aircraft.model.choices import choice_from_edge
from tradestudy.commands.look.controls import controls
from tradestudy.commands.look.looks import look, stock_look
from tradestudy.commands.look.work import Work
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.commands.study_session import StudySession
from tradestudy.page_server.shown import look_answer
from tradestudy.quantities import from_edge
from tradestudy.report.words.phrases import design_number, gain_text
from tradestudy.results.json_form import json_data

pytestmark = pytest.mark.thorough

SETTLED = "document.documentElement.dataset.asked === document.documentElement.dataset.shown"
RELEASED = "document.getElementById('worked-out').dataset.working === 'no'"
# what is done by hand, one after another: a slider moved by keys, a number typed, a part chosen
BY_HAND = [
    ("keys", "span_mm", 60),
    ("box", "span_mm", 1480),
    ("box", "sweep_deg", 23.5),
    ("keys", "washout_deg", 6),
    ("box", "tip_chord_mm", 160),
    ("part", "propeller", "11x6"),
    ("box", "cruise_speed_kmh", 58),
    ("part", "parallel", 3),
    ("box", "pack_position_mm", 120),
    ("part", "rod_pairs", 3),
]
CHECKED = (1, 5, 9)  # wings that are compared with `assess`
TOLD = """(() => {
  const texts = (selector) => Array.from(document.querySelectorAll(selector), (each) => each.textContent);
  const fields = {};
  for (const each of document.querySelectorAll("[data-field]")) fields[each.dataset.field] = each.textContent;
  return { fields, limits: Array.from(document.querySelectorAll("#limits li, #other-limits li"),
    (row) => Array.from(row.children, (each) => each.textContent)),
    boxes: Object.fromEntries(Array.from(document.querySelectorAll("[data-slider]"),
      (row) => [row.dataset.slider, row.querySelector("input[type=number]").value])),
    shape: document.querySelector("[data-part=shape]").getAttribute("d"),
    labels: texts("#curve-labels span"), pins: Array.from(document.querySelectorAll("#pin-rows tr"),
      (row) => Array.from(row.cells, (cell) => cell.textContent)), hash: location.hash.slice(1) };
})()"""


# texts whose contrast with what lies behind them is below 4.5, by the formula of WCAG 2.2, "relative luminance"
PALE = """(() => {
  const channels = (colour) => colour.match(/[\\d.]+/g).map(Number);
  const light = (colour) => channels(colour).slice(0, 3).map((one) => one / 255)
    .map((one) => one <= 0.04045 ? one / 12.92 : ((one + 0.055) / 1.055) ** 2.4)
    .reduce((sum, one, at) => sum + one * [0.2126, 0.7152, 0.0722][at], 0);
  const behind = (element) => {
    for (; element; element = element.parentElement) {
      const colour = getComputedStyle(element).backgroundColor, known = channels(colour);
      if (known.length < 4 || known[3] === 1) return colour;
    }
    return "rgb(255, 255, 255)";
  };
  return Array.from(document.querySelectorAll("body *")).filter((each) => {
    const words = Array.from(each.childNodes).some((node) => node.nodeType === 3 && node.data.trim());
    if (!words || !each.checkVisibility() || each.closest(".unseen, svg, noscript, :disabled")) return false;
    const [low, high] = [getComputedStyle(each).color, behind(each)].map(light).sort((a, b) => a - b);
    return (high + 0.05) / (low + 0.05) < 4.5;
  }).map((each) => each.outerHTML.slice(0, 90));
})()"""
FOCUS = """(() => { const each = document.activeElement, look = getComputedStyle(each);
  return [each.id || each.textContent.slice(0, 20),
    look.outlineStyle !== "none" && parseFloat(look.outlineWidth) >= 2]; })()"""
# start and end of every request for a look [ms]
LOOKS = """performance.getEntriesByType("resource").filter((each) => each.name.endsWith("/look"))
  .map((each) => [each.startTime, each.responseEnd]).sort((a, b) => a[0] - b[0])"""
STOPS = 36  # presses of the Tab key


@pytest.fixture(scope="module")
def work(godwit_study):
    return Work(godwit_study)


@pytest.fixture(scope="module")
def driven(tmp_path_factory):
    """Return what the page showed after each step of `BY_HAND`, after a reload, and every complaint of the browser."""
    folder = tmp_path_factory.mktemp("live")
    with opened(folder, GODWIT) as address, DrivenBrowser(folder / "profile") as browser:
        browser.size(1440, 900)
        browser.spare("/expected", {"known": True})  # a search of a minute, which changes what is shown
        browser.open(address)
        browser.until("document.documentElement.dataset.ready")
        told = {"start": browser.run(TOLD), "wings": []}
        for way, key, value in BY_HAND:
            _by_hand(browser, way, key, value)
            browser.until(SETTLED)
            told["wings"].append(browser.run(TOLD))
            if len(told["wings"]) == 1:
                browser.run("document.getElementById('pin').click()")
        browser.until(RELEASED, 60)
        told["spoken"] = browser.run("document.getElementById('said').textContent")
        told["before"] = browser.run(TOLD)
        told["looks"] = browser.run(LOOKS)
        browser.reload()
        browser.until("document.documentElement.dataset.ready")
        browser.until(SETTLED)
        told["reloaded"] = browser.run(TOLD)
        told["widths"] = []
        for width in (1440, 768, 360):
            browser.size(width, 800, phone=width < 500)
            told["widths"].append((width, browser.run("document.documentElement.scrollWidth")))
        browser.size(1440, 900)
        told["pale"] = []
        for scheme in ("light", "dark"):
            browser("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": scheme}])
            told["pale"].append(browser.run(PALE))
        told["stops"] = []
        browser.run("document.activeElement.blur(); scrollTo(0, 0)")
        for _ in range(STOPS):
            browser.press("Tab", virtual=9)
            told["stops"].append(browser.run(FOCUS))
        told["complaints"] = browser.complaints
    return told


def _by_hand(browser, way, key, value):
    if way == "part":
        browser.run(
            f"(() => {{ const box = document.querySelector('[data-part-of=\"{key}\"]'), options = JSON.parse("
            "document.getElementById('state').textContent).controls.parts.find("
            f"(part) => part.key === '{key}').options; box.value = options.findIndex((one) => one.value === "
            f"{json.dumps(value)}); box.dispatchEvent(new Event('change')); }})()"
        )
    elif way == "keys":
        browser.run(f"document.getElementById('slide-{key}').focus()")
        for _ in range(value):
            browser.press("ArrowRight", virtual=39)
    else:
        browser.run(f"document.getElementById('box-{key}').focus(); document.getElementById('box-{key}').select()")
        browser("Input.insertText", text=str(value))
        browser.press("Enter", virtual=13)
        browser.run("document.activeElement.blur()")


@pytest.fixture(scope="module")
def expected(work):
    """Return the look and the answer for the wing of each step, made without the page."""
    known = {slider.key: slider for slider in controls(work).sliders}
    stock = stock_look(work)
    wing = {"choice": json_data(stock.choices), "variables": json_data(stock.variables)}
    found, pinned = [], []
    for way, key, value in BY_HAND:
        if way == "part":
            with_pack = ("layout", "raised_lid_mm") if key == "parallel" else ()  # another pack is laid anew
            wing["choice"] = {name: each for name, each in wing["choice"].items() if name not in with_pack} | {
                key: value
            }
        else:
            slider = known[key]
            number = slider.stock + value * slider.step if way == "keys" else value
            gone = {"span_mm": "extension_mm", "pack_position_mm": "static_margin_pct"}.get(key)
            wing["variables"] = {name: each for name, each in wing["variables"].items() if name != gone}
            wing["variables"][key] = number
        seen = look(work, wing)
        found.append((seen, look_answer(controls(work), seen, pinned)))
        pinned = pinned or [seen]
        wing = {"choice": json_data(seen.choices), "variables": json_data(seen.variables)}
    return found


def test_each_of_ten_wings_shows_its_own_numbers(driven, expected):
    for told, (_, answer) in zip(driven["wings"], expected, strict=True):
        for entry in answer["strip"]:
            ends = {"": "value", "-head": "head", "-unit": "unit", "-change": "change"}
            shown = {name: told["fields"][entry["key"] + end] for end, name in ends.items()}
            assert shown == {name: entry[name] for name in ends.values()}
        for name, text in answer["fields"].items():
            assert told["fields"][name] == text
        rows = [*answer["limits"]["first"], *answer["limits"]["others"]]
        assert told["limits"] == [[row[key] for key in ("standing", "words", "figure", "whose")] for row in rows]
        assert told["boxes"] == answer["boxes"]
        assert told["shape"] == answer["paths"]["shape"]
        assert told["labels"] == [label["text"] for label in answer["curve"]["labels"]]


def test_shown_numbers_are_those_of_assess(driven, expected, godwit_study):
    session = StudySession(godwit_study, "assess", tasks=1)
    for index in CHECKED:
        seen, told = expected[index][0], driven["wings"][index]["fields"]
        edge = json_data(seen.variables) | {"span_mm": seen.numbers.span_mm}
        names = ("span", "sweep", "washout", "tip_chord", "static_margin", "cruise_speed")
        units = ("span_mm", "sweep_deg", "washout_deg", "tip_chord_mm", "static_margin_pct", "cruise_speed_kmh")
        given = {name: from_edge(key, edge[key]) for name, key in zip(names, units, strict=True)}
        # `assess` changes another wing: here one with the same parts and with nothing else of it
        other = SimpleNamespace(choice=choice_from_edge(seen.choices), variables={})
        full = session.requested_design(RequestedWing(**given), other)
        assert told["purpose"] == gain_text(full.numbers.range_km)
        for key in ("auw_g", "cruise_current_a", "stall_speed_kmh", "cg_mm"):
            assert told[key] == design_number(full, key)
    session.close()


def test_sixty_presses_end_at_the_right_value_with_one_request_under_way(driven):
    assert driven["wings"][0]["boxes"]["span_mm"] == "1600"
    looks = driven["looks"]
    assert len(looks) >= len(BY_HAND)
    assert all(end <= start for (_, end), (start, _) in pairwise(looks))


def test_a_pinned_wing_stands_beside_and_gives_the_differences(driven, expected):
    first, last = driven["wings"][0]["fields"], driven["before"]
    assert last["fields"]["basis"].startswith("Differences: from wing A")
    weights = next(row for row in last["pins"] if row[0].startswith("Flying weight"))
    assert weights[1:] == [last["fields"]["auw_g"], first["auw_g"]]


def test_a_reload_keeps_the_wing_and_what_is_pinned(driven):
    before, after = driven["before"], driven["reloaded"]
    assert before["hash"] == after["hash"] and set(parse_qs(before["hash"])) == {"wing", "pins"}
    assert before["boxes"] == after["boxes"] and before["pins"] == after["pins"]
    assert {name: text for name, text in before["fields"].items() if name != "purpose-less"} == {
        name: text for name, text in after["fields"].items() if name != "purpose-less"
    }


def test_the_outcome_is_spoken_after_release(driven, expected):
    assert driven["spoken"] == expected[-1][1]["said"]


def test_no_complaint_and_no_sideways_scrolling(driven):
    assert driven["complaints"] == []
    assert all(scroll <= width for width, scroll in driven["widths"])


def test_words_stand_out_in_light_and_dark(driven):
    assert driven["pale"] == [[], []]


def test_keys_reach_every_control_and_the_focus_is_seen(driven, work):
    names = [name for name, _ in driven["stops"]]
    for slider in controls(work).sliders:
        if slider.key != "payload_g":  # in a fold
            assert f"slide-{slider.key}" in names and f"box-{slider.key}" in names
    assert {"best-speed", "pin", "to-stock", "Skip to the sliders"} <= set(names)
    assert [name for name, is_seen in driven["stops"] if not is_seen] == []
