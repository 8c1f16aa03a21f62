"""The page and its words: right numbers, simple terms, hostile text shown as text, nothing loaded from outside."""

import re
import subprocess
import sys
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from types import SimpleNamespace

import pytest
from helpers.invented.invented_result import sample_result
from helpers.invented.invented_wing import design, made, mission_of
from helpers.readers.page_reader import HOSTILE, Reader, without_marks

from tradestudy.commands.kept_results import results_folder
from tradestudy.report.figures.all_figures import FIGURES, PHONE_FIGURES
from tradestudy.report.folder import save
from tradestudy.report.page.page import page
from tradestudy.report.words.first_screen import first_screen as first_screen_rows
from tradestudy.report.words.phrases import (
    NUMBER_WORDS,
    number_text,
)
from tradestudy.report.words.purpose import WITH_PAYLOAD, number_words
from tradestudy.results.inputs import SetKey
from tradestudy.results.numbers import KEYS
from tradestudy.results.structure import BenchTests


@pytest.fixture(scope="module")
def sample():
    return sample_result()


@pytest.fixture(scope="module")
def text(sample):
    return page(sample)


@pytest.fixture(scope="module")
def read(text):
    return Reader(text)


@pytest.fixture
def without_figures(monkeypatch):
    """Leave out figures, since drawing takes two seconds a page. Words and tables are tested."""
    monkeypatch.setattr("tradestudy.report.figures.all_figures.FIGURES", {})


def answers(result) -> dict[str, str]:
    """Return the first screen as a dict of head -> words."""
    return dict(first_screen_rows(result))


def first_screen(read):
    return read.words.partition("What span and weight give")[0]


def test_first_screen_answers_the_three_questions(read, sample):
    words = first_screen(read)
    for sentence in (
        "How far to stretch the span? 1480 mm 160 mm more on each side than the stock wing. "
        "Any span from 1392 to 1608 mm stays within 2 % of the best range.",
        "How fast to cruise? 57 km/h Hold about 5.6 A, 99 mAh/km (0.71 Wh/km).",
        "What does extra weight give? 81 km at 1560 g The stock wing flies 41 km at 1010 g.",
        "Carry a 4S2P pack (144 Wh, today 72 Wh) and build a span of 1480 mm, today 1160 mm: 160 mm more on each side.",
        "Balance mark 171 mm behind the nose, 109 mm ahead of the root trailing edge",
        "Elevons in cruise 1.6 mm up at the trailing edge",
        "Limited by: pack as far forward as it can lie; stall speed against stock",
        "not proof of airworthiness",
    ):
        assert sentence in words
    for word in ("P10", "multiplier", "GJ", "Trefftz"):
        assert word not in words
    whole = read.words.partition("The answer in full")[2].partition("Other wings to consider")[0]
    assert "Pack only: +17 km, 58 km at 1320 g. Span only: +14 km, 55 km at 1190 g. All together: +40 km." in whole
    for head, words in first_screen_rows(sample):
        assert f"{head} {words}" in whole


def test_page_needs_nothing_from_outside(text, read):
    assert "http:" not in text and "https:" not in text and "@import" not in text
    for tag, attributes in read.tags:
        source = attributes.get("src") or attributes.get("href") or "#"
        assert source.startswith(("#", "data:image/svg+xml;base64,")), (tag, source[:60])
    targets = [attributes["href"][1:] for tag, attributes in read.tags if tag == "a"]
    assert set(targets) <= set(read.ids) and len(targets) > 5
    assert len(read.ids) == len(set(read.ids))


def test_page_is_fit_for_keyboard_and_screen_reader(read):
    assert ("html", {"lang": "en"}) in read.tags
    images = [attributes for tag, attributes in read.tags if tag == "img"]
    # the wing from above is not an image, and the sample has neither builds nor effects of inputs
    lacking = {"builds", "tornado"}
    assert len(images) == len(set(FIGURES) - {"planform"} - lacking) + len(set(PHONE_FIGURES) - lacking)
    assert all(len(attributes["alt"]) > 40 for attributes in images)
    # including the caption of the wing from above
    assert len([tag for tag, _ in read.tags if tag == "figcaption"]) == len(set(FIGURES) - lacking)
    assert [tag for tag, _ in read.tags].count("h1") == 1
    assert all("scope" in attributes for tag, attributes in read.tags if tag == "th")
    for _, attributes in read.tags:
        if attributes.get("class") in ("scroll", "card"):
            assert attributes["tabindex"] == "0"
            assert "aria-label" in attributes or "aria-labelledby" in attributes


def test_page_serves_narrow_dark_and_paper(text):
    assert 'name="viewport" content="width=device-width, initial-scale=1"' in text
    for rule in ("prefers-color-scheme: dark", "@media print", "@media (max-width: 34rem)"):
        assert rule in text


def test_side_by_side_holds_every_number(read, sample):
    assert set(NUMBER_WORDS) == set(KEYS)
    of_other_purposes = {loaded for own, loaded in WITH_PAYLOAD.items() if own != "range_km"}
    assert "Usual flight with that payload" not in read.words
    for key in (key for key in KEYS if key not in of_other_purposes):
        words, unit, decimals = NUMBER_WORDS[key]
        both = (sample.stock, sample.recommended)
        stock, wing = (number_text(getattr(entry.numbers, key), decimals) for entry in both)
        assert f"{number_words(key, words, sample)} {stock} {wing} {unit}".strip() in read.words


@pytest.mark.usefixtures("without_figures")
def test_handling_is_before_structure_with_warnings_in_bold(text, read):
    table = read.words.partition("How it will handle")[2].partition("What breaks first, and where")[0]
    row = (
        "Roll rate, full stick in cruise 260 deg/s 204 deg/s "
        "Rolls slower: 204 deg/s against 260, at equal speed 22 % less."
    )
    assert row in table
    assert "reported, not constrained" in table and "<strong>Take care" not in text
    wing = design()
    slow = replace(wing, numbers=replace(wing.numbers, roll_rate_deg_s=150.0, roll_deg_per_m=10.4))
    assert "<strong>Take care: rolls much slower: 150" in without_marks(page(sample_result(recommended=slow)))
    alone = page(sample_result(best=None, recommended=None))
    assert "How it will handle" not in alone and "#handling" not in alone


def test_structure_section_names_what_breaks_first_and_where(read):
    for wing in ("stock", "stretched"):
        assert f"pull-up at full speed {wing} 4.0 6.2 4.3 95 rod buckling in the foam (main), 120 mm" in read.words
        assert f"gust at full speed {wing} 3.3 6.9 4.8 72 joiner bending, 0 mm" in read.words
        assert f"covering {wing} pull-up at full speed 4.0 never film wrinkling on the pressed side" in read.words
        assert f"belly landing {wing} belly landing 5.0 21.4 rod buckling in the foam (main), 0 mm" in read.words
        assert (
            f"The cut centre of the {wing} wing by itself breaks at 7.3 times the weight (pull-up at full" in read.words
        )
    assert "Cut centre: lids carry nothing." in read.words
    # pull-up: 0.7 * 6.2 / 4.0 = 1.085, the least of the four conditions
    assert "the smallest margin is in the pull-up at full speed: the stretched wing breaks at 1.08 times" in read.words
    assert "do not fly it like this" not in read.words


@pytest.mark.usefixtures("without_figures")
def test_load_test_section_has_loads_readings_and_stops(sample, read):
    bags = [
        {"station_mm": 60.0, "behind_nose_mm": 81.0, "mass_g": 480.0},
        {"station_mm": 310.0, "behind_nose_mm": 190.0, "mass_g": 480.0},
    ]
    tests = {
        "bend": {
            "station_mm": 620.0,
            "behind_nose_mm": 312.0,
            "mass_g": 450.0,
            "rise_mm": 12.34,
            "weak_rise_mm": 20.9,
            "stop_mass_g": 760.0,
            "stop_rise_mm": 21.4,
            "stop_mode": "joiner bending",
        },
        "twist": {
            "station_mm": 620.0,
            "arm_mm": 150.0,
            "mass_g": 80.0,
            "angle_deg": 3.62,
            "edge_mm": 9.2,
            "weak_angle_deg": 9.9,
            "weak_edge_mm": 26.1,
            "stop_mass_g": 176.0,
            "stop_angle_deg": 8.0,
        },
        "proof": {
            "load_factor": 3.5,
            "required_load_factor": 4.0,
            "bags": bags,
            "rise_mm": 18.9,
            "weak_rise_mm": 33.6,
            "used_pct": 66.0,
            "weak_used_pct": 94.0,
            "stop_pct": 120.0,
            "weak_stop_pct": 84.0,
            "stop_mode": HOSTILE,
            "moment_nm": 6.1,
            "own_moment_nm": 0.5,
            "along": [
                {"station_mm": 0.0, "flight_nm": 6.0, "bench_nm": 6.0},
                {"station_mm": 300.0, "flight_nm": 2.0, "bench_nm": 2.2},
            ],
        },
    }
    wing = replace(sample.recommended, load_test=made(BenchTests, tests))
    told = Reader(page(replace(sample, recommended=wing), drawn={}))
    words = told.words.partition("Load test on the bench")[2].partition("Where things sit")[0]
    assert (
        "stretched, bend 450 g, 620 mm from the centre line, 312 mm behind the nose tips 12.3 mm 20.9 mm 760 g or 21 mm"
    ) in words
    assert (
        "stretched, twist 80 g, 620 mm from the centre line, 150 mm ahead of the rods, then as far behind "
        "tip turns 3.6 deg, trailing edge moves 9.2 mm 9.9 deg, 26.1 mm 176 g or 8.0 deg"
    ) in words
    assert "stretched, proof load 960 g in 2 bags (below), for a pull-up of 3.5 times the weight tips 18.9 mm" in words
    assert "bend it 100 to 110 % as much" in words and "do not load it, or fly it, that far" in words
    assert "four fifths of its strength at 84 % of these bags" in words and HOSTILE in words
    assert "stretched 480 60 81" in words and "Stand beside it" in words and "stock, bend" not in words
    assert "load-test" in told.ids and "load-test" not in read.ids


@pytest.mark.usefixtures("without_figures")
def test_stock_wing_measured_and_modelled(read):
    words = read.words.partition("The stock wing, measured and modelled")[2].partition("Every number, and")[0]
    assert "flying weight 1010.0 871.4 1010.0 g mass not listed: 139 g at 151 mm" in words
    assert "charge for a kilometre 98.2 90.4 95.6 mAh/km drag factor 1.11 \N{PLUS-MINUS SIGN} 0.13" in words
    assert words.rstrip().endswith("One flight cannot tell drag from losses of propeller and motor.")
    bare = Reader(page(sample_result(calibration=[], calibration_notes=[])))
    assert "measured and modelled" not in bare.words and "measured" not in bare.ids


@pytest.mark.usefixtures("without_figures")
def test_weak_wing_is_warned_of():
    weak = design()
    weak.structure[3] = replace(weak.structure[3], weak_failure_load_factor=2.31)
    words = Reader(page(sample_result(recommended=weak))).words
    # 2.31 of the required 3.3
    assert (
        "the smallest margin is in the gust at full speed: the stretched wing breaks at 0.70 times the required load"
        in words
    )
    assert "do not fly it like this" in words


def test_rest_of_the_page_says_what_it_should(read, sample):
    for words in (
        "one pack less 4S1P, 2 pairs of 3 mm rods, 10x7 propeller 1390 1260 57",
        "16 combinations of parts were optimised; there are no others.",
        "the 4S3P pack is 99 mm wide, the nose bay 90 mm",
        "fly.wind 0 km/h common practice, no source",
        "Stock wing: tip section close to its stall",
        "Cruise is 1.5 times stall.",
        "tradestudy run studies/godwit.toml",
        "tradestudy 0.1.0, numpy 2.3.4.",
        "S. F. Hoerner, Fluid-Dynamic Drag, 1965 (from memory)",
        "Load the finished wing on the bench",
        "safety officer",
        "cell maker's limits",
        "Never fly over people",
        "climb at full throttle 3.40 at least 2.00 m/s met",
        "autopilot, receiver and GPS 188 58",
    ):
        assert words in read.words
    assert '[study] name = "Godwit"' in read.words


@pytest.mark.usefixtures("without_figures")
def test_hostile_words_are_shown_as_words():
    bad = design()
    bad.outline.equipment[0] = replace(bad.outline.equipment[0], name=HOSTILE)
    bad.masses_g[HOSTILE] = bad.masses_g["相机"] = 400.0  # large enough to be named under the figure
    step = design(HOSTILE, 1480.0, 1190.0, 55.0, 1, (), full=False)
    text = page(
        sample_result(
            study_name=HOSTILE,
            note=HOSTILE,
            study_file=HOSTILE,
            study_text=HOSTILE,
            command=HOSTILE,
            versions={HOSTILE: HOSTILE},
            notes=[HOSTILE],
            sources=[HOSTILE],
            conflict=[HOSTILE],
            calibration_notes=[HOSTILE],
            calibration=[
                {"what": HOSTILE, "measured": 1.0, "before": 1.0, "after": 1.0, "unit": HOSTILE, "how": HOSTILE}
            ],
            excluded=[HOSTILE],
            recommended=bad,
            steps=[step],
            defaults_used=[
                {"key": HOSTILE, "value": HOSTILE, "origin": HOSTILE, "band": "", "moves": "", "is_choice": True}
            ],
        )
    )
    read = Reader(text)
    assert text.count("<script") == 2  # the page's own: data of the slider, and the script that moves it
    assert not any(name.startswith("on") for _, attributes in read.tags for name in attributes)
    assert all(attributes["src"].startswith("data:") for tag, attributes in read.tags if tag == "img")
    assert read.words.count(HOSTILE) >= 18


@pytest.mark.usefixtures("without_figures")
def test_conflicts_stand_at_the_top():
    conflict = "climb 2 m/s against flying weight 1200 g"
    result = sample_result(conflict=[conflict])
    words = Reader(page(result)).words
    assert words.index("No design meets every limit") < words.index(conflict) < words.index("How far to")
    assert result.message == f"No design meets every limit: {conflict}."


def test_stock_wing_alone_makes_a_page(without_figures):
    nothing = {"best": None, "recommended": None, "band": None, "span_trade": [], "front": [], "steps": []}
    result = sample_result(**nothing, alternatives=[])
    words = first_screen(Reader(page(result)))
    assert "1160 mm As the stock wing." in words and "Nothing was stretched: this is the stock wing." in words
    assert "What limits it" not in words
    assert answers(result)["Span"] == "1160 mm, as the stock wing"


def test_bare_result_makes_a_page():
    bare = design("stock", 1160.0, 1010.0, 41.0, 1, (), 62.0, full=False)
    nothing = {"best": None, "recommended": None, "band": None, "span_trade": [], "front": [], "steps": []}
    more = {"alternatives": [], "defaults_used": [], "notes": [], "sources": [], "excluded": [], "note": ""}
    read = Reader(page(sample_result(stock=bare, **nothing, **more)))
    assert not any(tag == "img" for tag, _ in read.tags)
    assert "no default was used" in read.words


def test_stored_result_makes_the_same_page_without_a_model_or_a_connection(sample, text, tmp_path):
    """Check that a stored Result is reported if modules that could run a model, or the network, cannot be used.

    The page has the same bytes as here, so it is the same every time.
    """
    stored = tmp_path / "result.json"
    stored.write_text(sample.to_json(), encoding="utf-8")
    code = (
        "import hashlib, socket, sys\n"
        "def refuse(*rest, **more): raise AssertionError('the page asked for the network')\n"
        "socket.socket = refuse\n"
        "for name in ('openmdao', 'aerosandbox', 'neuralfoil', 'scipy', 'tradestudy.physics'):\n"
        "    sys.modules[name] = None\n"
        "from pathlib import Path\n"
        "from tradestudy.results.result import result_from_json\n"
        "from tradestudy.report.page.page import page\n"
        f"text = page(result_from_json(Path({str(stored)!r}).read_text(encoding='utf-8')))\n"
        "print(hashlib.sha256(text.encode()).hexdigest())\n"
        "print(sorted(n for n in sys.modules if n.startswith('tradestudy.') and '.report' not in n\n"
        "             and sys.modules[n]))\n"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    found, ours = ran.stdout.splitlines()
    assert found == sha256(text.encode()).hexdigest()
    loaded = {name.split(".")[1] for name in re.findall(r"'([^']+)'", ours)}
    assert loaded <= {"errors", "files", "notebook", "quantities", "results"}


def test_speed_card_watts_mission_and_parts_stand_on_the_page(read, sample):
    card = sample.recommended.pilot_card
    words = read.words
    assert "Godwit stretched, 1480 mm, 1560 g hold about" in words
    assert f"hold about {card.hold_a:.1f} A 57 km/h in still air" in words
    assert "Half is 5000 mAh, land by 8000. Estimates." in words
    whole = sum(sample.recommended.watts.values())
    assert f"total {whole:.1f} 100 {6 * whole:.1f} 100" in words
    assert "Above the reserve of 20 % it leaves 4100 mAh: 51 km or 52 minutes more in cruise, still air." in words
    assert "10x7 B1 flies furthest: 84.0 km, 5.0 % more than the wing's own parts." in words
    assert "* 11x8 B1: full throttle is 104 % of what the motor may carry." in words


def test_mission_that_ends_early_is_in_bold(without_figures):
    ends = "home (part 3): the reserve is reached after 12.0 of 15.7 km, 3.7 km short"
    text = page(sample_result(recommended=replace(design(), mission=mission_of(ends))))
    bold = without_marks(text).partition("<strong>This mission cannot be completed. ")[2].partition("</strong>")[0]
    assert bold == f"{ends[0].upper()}{ends[1:]}. 2 of 3 parts were begun."


@pytest.mark.parametrize(
    "name", ["../../etc/passwd", "/etc/passwd", "..", "C:\\wings\\a", "a/b\0c", HOSTILE, "x" * 10_000]
)
def test_results_of_any_name_stay_in_their_folder(name, tmp_path, monkeypatch):
    """Check that names are only written as words in files. The name of the folder has simple letters only."""
    folder = results_folder(SimpleNamespace(study=SimpleNamespace(name=name), edits=()))
    assert folder.parent == Path("results") and re.fullmatch(r"[a-z0-9-]{1,60}", folder.name)
    monkeypatch.setattr("tradestudy.report.figures.all_figures.FIGURES", {})
    wing = design(name)
    wing = replace(wing, choices=replace(wing.choices, words=name), masses_g={name: 1560.0})
    result = sample_result(study_name=name, note=name * 3, study_file=name, recommended=wing)
    written = save(result, tmp_path / "out")
    assert {path.name for path in tmp_path.iterdir()} == {"out"}
    assert all(path.resolve().parent == (tmp_path / "out").resolve() for path in written)
    text = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    assert text.count("<script") == 2
    assert " ".join(name.split()) in Reader(text).words.replace("\N{REPLACEMENT CHARACTER}", "\0")


def test_keys_that_were_set_stand_under_the_title(without_figures):
    keys = [SetKey("fly.wind", "6 m/s", "4 m/s, assumed")]
    head = page(sample_result(set_keys=keys)).partition("</header>")[0]
    assert "Set for this result: fly.wind = 6 m/s (in the file: 4 m/s, assumed)." in head
    assert "Set for this result" not in page(sample_result())
