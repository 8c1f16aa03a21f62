"""Every number on the page against summary.json: by its place, or by calculation if it is made of several numbers."""

import json
import re

import numpy as np
import pytest
from helpers.invented.invented_result import sample_result
from helpers.readers.page_figures import Figures, differences, without_place

from tradestudy.report import placed
from tradestudy.report.figures import all_figures as figures_module
from tradestudy.report.page.page import page
from tradestudy.report.placed import PlacedFloat, PlacedInt, fill, join, plain_text, with_places

# Numbers that do not depend on the result, in words and rules. A number on the page that has no place and is neither
# here nor in DERIVED fails the test.
FIXED = (
    r"within 2 %", r"Flown 20 % faster", r"86 mm wide", r"1\.3 times", r"one elevon 15 deg up",
    r"Speed with 0\.4 of roll control", r"failure over 1\.5", r"falls to 0\.4 at", r"\b0\.4 of (?:its|it)\b",
    r"leaves 0\.4", r"empty if above 360 km/h", r"# to 1\b", r"100 g more", r"Moment coefficient at lift 0\.3",
    r"told here as 0\.4", r"and \d+ more\.", r"^1/rad$", r"less than 0\.01 km are left", r"Of it, 40 % is left",
)  # fmt: skip


def interpolated(design, key, speed):
    return float(np.interp(speed, design["curves"]["speed_kmh"], design["curves"][key]))


def derived(summary):
    """Return a dict of patterns for calculated numbers -> their values, computed here from the summary."""
    stock, wing, numbers = summary["stock"], summary["recommended"], summary["recommended"]["numbers"]
    old, front = stock["numbers"], summary["front"]
    weights, gains = ([each["numbers"][key] for each in front] for key in ("auw_g", "range_km"))
    rate, cards = 100 * (gains[-1] - gains[0]) / (weights[-1] - weights[0]), (wing["pilot_card"], stock["pilot_card"])
    steps = np.diff(gains)
    turned = numbers["roll_deg_per_m"] / old["roll_deg_per_m"]
    weakest = [
        min(row["weak_failure_load_factor"] / row["load_factor"] for row in each["structure"]) for each in (stock, wing)
    ]
    best = summary["compared"][0]["gain"] / next(row for row in summary["compared"] if row["own"])["gain"]
    whole = [sum(each[group].values()) for each in (wing, stock) for group in ("watts", "full_throttle_watts")]
    return {
        r"(\d+) mm more on each side": [0.5 * (numbers["span_mm"] - old["span_mm"])],
        r"land by (\d+)\.": [card["capacity_mah"] - card["reserve_mah"] for card in cards],
        r"Flown 20 % faster, the wing still reaches (\d+) km": [
            interpolated(wing, "range_km", 1.2 * numbers["cruise_speed_kmh"])
        ],
        r"Of (\d+\.\d) W out of the cells": whole[:1],
        r"on a full pack, it is (\d+) W": whole[1:2],
        r"^(\d+\.\d)$": [
            *whole,
            *(sum(each["drag_cm2"].values()) for each in (stock, wing)),
            100.0,
            *(
                100 * value / total
                for group, total in (("watts", whole[0]), ("full_throttle_watts", whole[1]))
                for value in wing[group].values()
            ),
            *shares_of_drag(stock, wing),
        ],
        r"^(\d+)$": [100.0],
        r"only: (\+\d+) km": [step["numbers"]["range_km"] - old["range_km"] for step in summary["steps"]],
        r"All together: (\+\d+) km": [numbers["range_km"] - old["range_km"]],
        r"gives about (\d+\.\d) km": [rate],
        r"; (\d+) of the": [steps.max()],
        r"of the (\d+) km come in one step": [gains[-1] - gains[0]],
        r"from # to # g \((\d)S": [4],
        r"(\d+) % of the throw is left": [100 * (1 + old_throw(numbers))],
        r"can move (\d+) mm ahead of the mark": [numbers["cg_mm"] - numbers["cg_front_mm"]],
        r"and (\d+) mm behind it": [numbers["cg_back_mm"] - numbers["cg_mm"]],
        r"Weaker in yaw: (\d\.\d\d) of": [numbers["yaw_stiffness"] / old["yaw_stiffness"]],
        r"at equal speed (\d+) % less": [100 * (1 - turned)],
        r"Packs: (\d+) [.=]": [1],
        r"km, (\d+\.\d) % more than": [100 * (best - 1)],
        r"breaks at (\d\.\d\d) times": weakest,
        r"(?:gives|and) [a-z]+ ([+-]\d+\.\d) km": changes_by_span(summary["club_spans"]),
    }


def changes_by_span(rows):
    """Return the range of each member at each span, less that at the recommended span."""
    built = {row["set"]: row["range_km"] for row in rows if row["recommended"]}
    return [row["range_km"] - built[row["set"]] for row in rows]


def old_throw(numbers):
    """Return minus the share of the up-throw that the stall needs."""
    return numbers["stall_elevon_deg"] / numbers["up_travel_deg"]


def shares_of_drag(*wings):
    told = [wing["drag_breakdown"] for wing in wings]
    return [
        100 * area / each["total_cm2"]
        for each in told
        for area in (each["items_cm2"], *(part["cm2"] for part in each["parts"]))
    ]


@pytest.fixture(scope="module")
def read():
    """Return the page of the invented result as read, and its summary.json."""
    result = sample_result()
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(figures_module, "as_bytes", lambda figure, form: b"")  # captions are needed, drawings are not
        return Figures(page(result)), json.loads(result.to_json())


def test_every_number_with_a_place_is_the_one_stored_there(read):
    figures, summary = read
    assert differences(figures.placed, summary) == []
    shown = {place for place, *_ in figures.placed}
    for key in ("span_mm", "auw_g", "range_km", "cg_mm", "failure_load_factor"):
        assert {f"stock/numbers/{key}", f"recommended/numbers/{key}"} <= shown
    assert len(figures.placed) > 700


def test_figures_without_a_place_are_rules_or_sums_that_come_out(read):
    figures, summary = read
    known, unknown = derived(summary), []
    for figure, words in without_place(figures.rest, summary):
        sums = [
            (wanted, match[1])
            for pattern, wanted in known.items()
            for match in re.finditer(pattern, words)
            if match[1] == figure
        ]
        if any(
            abs(float(found) - value) <= 0.5 * 10.0 ** -len(found.partition(".")[2]) + 1e-9
            for wanted, found in sums
            for value in wanted
        ):  # tolerance: half of the last digit shown
            continue
        if not sums and any(figure in match[0] for pattern in FIXED for match in re.finditer(pattern, words)):
            continue
        unknown.append((figure, words))
    assert unknown == [], "".join(f"\n{each}" for each in unknown)


def test_a_wrong_number_is_noticed(read):
    figures, summary = read
    place = "recommended/numbers/range_km"
    assert differences([(place, 1.0, "81")], summary) == []
    assert differences([(place, 1.0, "82")], summary) == [(place, "82", 81.0)]
    assert differences([(place, 1.0, "81.1")], summary) == [(place, "81.1", 81.0)]
    assert differences([("recommended/numbers/auw_g", 1.0, "1565")], summary) != []


# --- numbers with places ------------------------------------------------------------------------------------


def test_numbers_keep_their_place_through_what_is_done_with_one_of_them():
    made = with_places({"a/b": [0.25, {"n": 3, "yes": True, "word": "x"}]})
    share, count = made["a/b"][0], made["a/b"][1]["n"]
    assert fill("{:.0f} %", 100 * share) == '<span data-key="a~1b/0" data-times="100">25</span> %'
    assert fill("{}", count) == '<span data-key="a~1b/1/n">3</span>'
    assert fill("{:g}", -share) == '<span data-key="a~1b/0" data-times="-1">-0.25</span>'
    assert placed.mark_up(share, "0.2") == '<span data-key="a~1b/0">0.2</span>'
    assert made["a/b"][1]["yes"] is True and made["a/b"][1]["word"] == "x"
    assert type(share + share) is float and type(share * count) is float and type(abs(-share)) is PlacedFloat
    assert isinstance(count, PlacedInt) and ["x"] * count == ["x"] * 3
    assert plain_text(fill("{:.1f} of {}", share, count)) == "0.2 of 3"
    assert join(", ", ["<", fill("{}", count)]) == '&lt;, <span data-key="a~1b/1/n">3</span>'


def test_plain_numbers_make_plain_text():
    """Check that text for the terminal has no places and no invisible characters."""
    assert fill("{:.1f} of {} < {}", 0.25, 3, "a & b") == "0.2 of 3 < a & b"
    assert join(", ", ["<", "3"]) == "<, 3" and type(join("", [])) is str
    assert f"{with_places(0.25):.2f}" == "0.25" and str(with_places(3)) == "3"


def test_hostile_names_in_places_and_words_stay_words():
    made = with_places({'"><script>': 1.0})
    text = fill("{} {:.0f}", '<img src="x">', made['"><script>'])
    assert "<script>" not in text and "&gt;&lt;script&gt;" in text and text.startswith("&lt;img")


def test_no_sign_for_private_use_is_on_the_page():
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("tradestudy.report.figures.all_figures.FIGURES", {})
        text = page(sample_result())
    assert not [sign for sign in text if 0xE000 <= ord(sign) <= 0xF8FF or ord(sign) >= 0xF0000]
    assert "&lt;span" not in text  # nothing is escaped twice
