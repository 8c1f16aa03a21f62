"""One balance window everywhere: the command, its JSON, page, sheet and card say the same of one invented wing."""

import json
import re

import pytest
from helpers.wings import plover
from matplotlib.text import Text

from tradestudy.cli import assess as command
from tradestudy.commands.assess import assess
from tradestudy.report.build_sheet.sheet import all_sheets
from tradestudy.report.page.page import page
from tradestudy.report.words.pilot_card import card_lines
from tradestudy.study.reader import read_study

WINDOW = r"alance window (\d+) to (\d+) mm behind the nose, (\d+) to (\d+) mm ahead of the root trailing edge"
FIRST = r"irst flight at (\d+) mm behind the nose, (\d+) mm ahead of the root trailing edge"
CARD = r"balance (\d+), first (\d+), window (\d+) to (\d+) mm"
FREE = ("[stretch]", '[limits]\nup_elevon = "6 deg"\nstatic_margin = ["3 %", "20 %"]\n[stretch]')
SHORT_BAY = ('length = "170 mm"\nwidth = "120 mm"', 'length = "158 mm"\nwidth = "120 mm"')
AS_STOCK = (
    "[stretch]",
    '[limits]\nup_elevon = "2.3 deg"\nstatic_margin = ["4 %", "15 %"]\n[stretch]',
)


def result_of(folder, *edits):
    return assess(read_study(plover.written(folder, *edits)), span=plover.SPAN)


@pytest.fixture(scope="module")
def texts(tmp_path_factory):
    """Return a result, and its texts: terminal, page, sheet and card."""
    result = result_of(tmp_path_factory.mktemp("free"), FREE)
    return result, _texts(result)


def _texts(result):
    sheets = all_sheets(result, "a4")
    drawn = " ".join(one.get_text() for sheet in sheets for one in sheet.figure.findobj(Text))
    page_text = re.sub(r"\s+", " ", re.sub(r"<[^>]*>", "", page(result, drawn={})))
    return {
        "page": page_text,
        "sheet": re.sub(r"\s+", " ", drawn),
        "card": "\n".join(card_lines(result, result.best, anyway=True)),
    }


def test_every_place_has_the_same_window_and_first_flight(texts, capsys):
    result, said = texts
    command._print(result)
    said["terminal"] = re.sub(r"\s+", " ", capsys.readouterr().out)
    numbers = json.loads(result.to_json())["best"]["numbers"]
    ends = [
        f"{numbers[f'cg_{end}_{datum}']:.0f}" for datum in ("mm", "from_trailing_edge_mm") for end in ("front", "back")
    ]
    first = [f"{numbers[f'first_flight_cg_{datum}']:.0f}" for datum in ("mm", "from_trailing_edge_mm")]
    for place in ("terminal", "page", "sheet"):
        assert tuple(ends) in re.findall(WINDOW, said[place]), place
        assert tuple(first) in re.findall(FIRST, said[place]), place
    mark = f"{numbers['cg_mm']:.0f}"
    assert re.findall(CARD, said["card"]) == [(mark, first[0], *ends[:2])]
    marks = {one.name: (one.behind_nose_mm, one.ahead_mm) for one in result.best.cutting.marks}
    for name, key in (
        ("first flight", "first_flight_cg"),
        ("window, front end", "cg_front"),
        ("window, back end", "cg_back"),
    ):
        told = numbers[f"{key}_mm"], numbers[f"{key}_from_trailing_edge_mm"]
        assert marks[name] == pytest.approx(told, abs=2e-3), name


def test_first_flight_lies_inside_the_window_ahead_of_the_mark(texts):
    numbers = texts[0].best.numbers
    assert numbers.cg_front_mm < numbers.first_flight_cg_mm < numbers.cg_mm <= numbers.cg_back_mm
    chord = 325 + 45
    for ahead, behind in (("cg_from_trailing_edge_mm", "cg_mm"), ("cg_front_from_trailing_edge_mm", "cg_front_mm")):
        assert getattr(numbers, ahead) == pytest.approx(chord - getattr(numbers, behind), abs=1e-3)


@pytest.mark.thorough
def test_a_nose_heavy_build_is_told_what_helps_and_not_sent_to_fly(tmp_path, capsys):
    result = result_of(tmp_path, SHORT_BAY, AS_STOCK)
    said = _texts(result)
    command._print(result)
    said["terminal"] = re.sub(r"\s+", " ", capsys.readouterr().out)
    short = f"the wing balances {result.best.balance.missing_mm:.1f} mm ahead of the mark"
    for place in ("terminal", "page", "sheet"):
        assert short in said[place], place
    for place in ("page", "sheet"):  # the terminal breaks lines inside its columns
        assert "a lighter nose, ahead of the bays" in said[place] and "ballast at the motor" in said[place]
    assert result.best.numbers.first_flight_cg_mm is None
    assert "Do not fly it as it is: no first flight" in said["sheet"]
    assert "no window" in said["card"]
