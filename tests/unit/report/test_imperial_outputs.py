"""Page, figures, sheet, templates, tables and card in inches and ounces: each number is converted once, and right.

Factors are those of the international yard and pound (1959, exact), typed here by themselves.
"""

import csv
import json
import re
from dataclasses import replace
from types import SimpleNamespace

import pytest
from helpers.invented.invented_result import sample_result
from helpers.readers.page_reader import Reader
from helpers.readers.pdf_pages import page_streams, page_words
from matplotlib.text import Text

from tradestudy.quantities import imperial, printed_in
from tradestudy.report.build_sheet.sheet import save_build_sheet
from tradestudy.report.figures.all_figures import draw_all
from tradestudy.report.figures.tornado import tornado
from tradestudy.report.page.page import page
from tradestudy.report.tables import save_tables
from tradestudy.report.words.pilot_card import all_cards
from tradestudy.results.result import result_from_json

pytestmark = pytest.mark.thorough

_INCH, _POUND, _MILE, _GRAVITY = 25.4, 453.59237, 1.609344, 9.80665  # mm, g, km, m/s2
_OUNCE = _POUND / 16
_FOOT = 12 * _INCH / 1000  # m
FACTORS = {
    ("mm", "in"): 1 / _INCH, ("cm", "in"): 10 / _INCH, ("m", "ft"): 1 / _FOOT, ("km", "miles"): 1 / _MILE,
    ("g", "oz"): 1 / _OUNCE, ("kg", "lb"): 1000 / _POUND, ("km/h", "mph"): 1 / _MILE, ("m/s", "ft/s"): 1 / _FOOT,
    ("m/s", "mph"): 3.6 / _MILE, ("cm²", "sq in"): 100 / _INCH**2, ("dm²", "sq in"): 1e4 / _INCH**2,
    ("m²", "sq ft"): 1 / _FOOT**2, ("g/dm²", "oz/sq ft"): 100 * _FOOT**2 / _OUNCE,
    ("g/m2", "oz/sq yd"): 9 * _FOOT**2 / _OUNCE, ("N", "lb"): 1000 / _POUND / _GRAVITY,
    ("N/m", "lb/ft"): 1000 * _FOOT / _POUND / _GRAVITY, ("N m", "in lb"): 1e6 / _POUND / _GRAVITY / _INCH,
    ("N cm", "oz in"): 1e4 / _OUNCE / _GRAVITY / _INCH, ("g cm", "oz in"): 10 / _OUNCE / _INCH,
    ("N m2", "lb ft²"): 1000 / _POUND / _GRAVITY / _FOOT**2, ("Wh/km", "Wh/mile"): _MILE,
    ("mAh/km", "mAh/mile"): _MILE, ("deg/m", "deg/ft"): _FOOT, ("cm³", "fl oz"): 1000 / (231 / 128 * _INCH**3),
    ("Each km gained", "Each mile gained"): _MILE, ("for each km gained", "for each mile gained"): _MILE,
    ("W/kg", "W/lb"): _POUND / 1000,
    ("litres", "cu in"): 1e6 / _INCH**3,
    ("m² a litre", "sq ft a quart"): 231 / 4 * _INCH**3 / 1e6 / _FOOT**2,
}  # fmt: skip
# Numbers that the words themselves state, since they depend on no result, each with its unit.
STATED = {
    ("86", "mm"), ("360", "km/h"), ("0.4", "km/h"), ("10", "mm"), ("10", "g"), ("1", "mm"), ("0.01", "km"),
    ("100", "g"),
    ("3", "mm"), ("2", "mm"), ("40", "mm"), ("0", "mm"),
}  # fmt: skip
_UNITS = (
    r"mm|cm|km|g|kg|km/h|m/s|cm²|dm²|m²|g/dm²|N|N/m|N cm|N m|Wh/km|mAh/km|m|deg/m|W/kg|kilomet\w+|millimet\w+|grams?"
)
METRIC_LEFT = re.compile(rf"(?<!\w)(?:{_UNITS})(?![\w/²-])")
# how parts are sold: rods by diameter and length, motors by class, sheets by thickness
TRADE = re.compile(
    r"pairs? of [\d.]+ mm rods|(?:glass|carbon)(?: tube)?, [\d.]+ mm|(?:glass|carbon) [\d.]+ mm|\d+ of \d+ mm|"
    r"[Rr]od [^:]*?, [\d.]+ mm|(?:front|rear)(?: \d)?(?:, across)?, [\d.]+ mm|\d+ mm, \d+ rpm/V|\d+ mm: fit|"
    r"sheet [\d.]+ mm|[\d.]+ mm thick|\d+ mm class|motor \d+ mm|rods of [\d.]+ mm|\d+ mm: |S\d [\w ]+, [\d.]+ mm|"
    r"[\d.]+ mm inside(?:,? [\d.]+ mm)?"
)


class Spy:
    """What became of each number: (as written, its exact value or None, unit, text, imperial unit)."""

    def __init__(self, patched):
        self.seen, convert = [], imperial._number

        def noted(written, exact, unit, name=""):
            text = convert(written, exact, unit, name)
            value = float("".join(chr(ord(each) - 0xF0000) for each in exact)) if exact else None
            self.seen.append((written, value, unit, text, name or imperial._PAIRS[unit][2]))
            return text

        patched.setattr(imperial, "_number", noted)


def _tornado(result):
    with printed_in("imperial"):
        return tornado(result)


@pytest.fixture(scope="module")
def outputs(greenshank_wing, tmp_path_factory):
    """Return the texts of all outputs by name, the conversions, and all texts that summary.json holds."""
    texts, folder = {}, tmp_path_factory.mktemp("imperial")
    with pytest.MonkeyPatch.context() as patched:
        spy = Spy(patched)
        for name, result in (("sample", sample_result()), ("greenshank", greenshank_wing)):
            result = replace(result_from_json(result.to_json()), units="imperial")
            drawn = draw_all(result) if name == "greenshank" else {}
            for figure, each in {**drawn, "tornado": SimpleNamespace(figure=_tornado(result))}.items():
                if each.figure is None:
                    continue
                words = [text.get_text() for text in each.figure.findobj(Text)]
                texts[f"{name} figure {figure}"] = " | ".join(words)
            text = page(result, drawn=drawn, anyway=True)
            read = Reader(re.sub(r"<pre.*?</pre>", "", text, flags=re.DOTALL))  # the study stays as it was typed
            texts[f"{name} page"] = " ".join(read.text).replace("\N{NO-BREAK SPACE}", " ")
            spoken = [value for _, known in read.tags for key, value in known.items() if key in ("alt", "aria-label")]
            texts[f"{name} spoken"] = " | ".join(spoken)
            with printed_in("imperial"):
                texts[f"{name} card"] = all_cards(result, anyway=True)
                save_tables(result, folder / name)
            for file in (folder / name).glob("*.csv"):
                texts[f"{name} {file.name}"] = file.read_text(encoding="utf-8")
        save_build_sheet(result, folder)
    for number, stream in enumerate(page_streams((folder / "build_sheet.pdf").read_bytes()), 1):
        texts[f"sheet {number}"] = page_words(stream)
    for file in (folder / "templates").glob("*.svg"):
        texts[file.name] = " | ".join(re.findall(r"<text[^>]*>(.*?)</text>", file.read_text(encoding="utf-8")))
    return texts, spy.seen, json.dumps(json.loads(sample_result().to_json())) + greenshank_wing.to_json()


def test_each_number_is_converted_from_its_unrounded_value(outputs):
    """Check each with the factors above: it is right to half of its last digit."""
    _, seen, _ = outputs
    assert len(seen) > 1500 and {unit for _, _, unit, *_ in seen} > {"mm", "g", "km", "km/h", "C", "cm²", "N m"}
    wrong = []
    for written, value, unit, text, name in set(seen):
        size = abs(float(written.replace("\N{MINUS SIGN}", "-").strip("±"))) if value is None else abs(value)
        if unit == "C":
            celsius = float(written.replace("\N{MINUS SIGN}", "-")) if value is None else value
            wanted = abs(celsius * 9 / 5 + 32)
        else:
            wanted = size * FACTORS[unit.replace("g/m²", "g/m2").replace("N m²", "N m2").replace("cm2", "cm²"), name]
        digits = len(text.partition(".")[2])
        shown = abs(float(text.replace("\N{MINUS SIGN}", "-").strip("±")))
        if abs(shown - wanted) > 0.5 * 10.0**-digits * (1 + 1e-9):  # tolerance: half of the last digit
            wrong.append((written, value, unit, text, wanted))
    assert not wrong, str(wrong)


def test_a_number_that_was_rounded_before_stands_so_in_the_summary(outputs):
    """A number may come without its value only if a text of summary.json holds it, or the words state it."""
    _, seen, stored = outputs
    bare = {(written.strip("+-\N{MINUS SIGN}±"), unit) for written, value, unit, *_ in seen if value is None}
    unknown = [
        (written, unit)
        for written, unit in bare - STATED
        if not re.search(rf"(?<![\d.]){re.escape(written)}(?!\d)", stored)
    ]
    assert not unknown, str(unknown)


def test_no_metric_unit_is_left_but_in_trade_sizes(outputs):
    texts, _, _ = outputs
    assert len([name for name in texts if name.startswith("sheet")]) > 5 and any(".svg" in name for name in texts)
    left = {}
    for name, text in texts.items():
        if name.endswith("shopping.csv"):  # a price is found by its name in the study, in any units
            rows = csv.DictReader(text.splitlines())
            text = " ".join(cell for row in rows for head, cell in row.items() if head != "which")
        words = TRADE.sub("", " ".join(text.split()))
        found = [words[max(0, at.start() - 40) : at.end() + 10] for at in METRIC_LEFT.finditer(words)]
        assert not re.search("[\U000f0000-\U0010fffd]", text), name
        if found:
            left[name] = found[:4]
    assert not left, str(left)


def test_columns_of_tables_name_their_unit(outputs, greenshank_wing):
    texts, _, _ = outputs
    (head, stock, *_) = list(csv.reader(texts["greenshank wings.csv"].splitlines()))
    row = dict(zip(head, stock, strict=True))
    assert not any(name.endswith(("_mm", "_g", "_km", "_kmh")) for name in head)
    wing = greenshank_wing.stock.numbers
    assert float(row["span_in"]) * _INCH == pytest.approx(wing.span_mm, abs=0.002)  # tolerance: four decimals
    assert float(row["auw_oz"]) * _OUNCE == pytest.approx(wing.auw_g, abs=0.002)
    limits = list(csv.DictReader(texts["greenshank limits.csv"].splitlines()))
    held = next(state for state in greenshank_wing.best.limits if state.unit == "mm" and state.value > 1.0)
    shown = next(each for each in limits if each["wing"] == "stretched" and each["name"] == held.name)
    assert shown["unit"] == "in" and float(shown["value"]) * _INCH == pytest.approx(held.value, abs=0.002)
