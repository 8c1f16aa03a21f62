"""The package from Python and in a notebook: names imported on use, display of objects, tables, and refusals."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest
from helpers.invented.invented_result import sample_result
from helpers.invented.invented_wing import design
from helpers.places import ROOT

import tradestudy as ts
from tradestudy.commands import assess, optimise, study_session, trade
from tradestudy.commands.recommended_wing import RecommendedWing
from tradestudy.commands.requested_wing import RequestedWing, requested_wing

DUNLIN = ROOT / "studies" / "dunlin.toml"


def test_importing_loads_nothing_and_reading_a_study_no_model():
    script = (
        "import sys; import tradestudy as ts; first = set(sys.modules); study = ts.load('studies/dunlin.toml'); "
        "repr(study); heavy = {'openmdao', 'aerosandbox', 'matplotlib', 'scipy', 'pandas', 'neuralfoil'}; "
        "print(sorted(first & {*heavy, 'numpy', 'pydantic'}), sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True)
    assert (done.stdout, done.stderr) == ("[] []\n", "")


def test_every_documented_name_exists():
    names = {
        "load",
        "assess",
        "optimise",
        "stretch",
        "front",
        "run",
        "problem",
        "save",
        "Study",
        "Result",
        "Design",
        "result_from_json",
        "TradestudyError",
    }
    assert names <= set(dir(ts)) and all(callable(getattr(ts, name)) for name in names)
    with pytest.raises(AttributeError, match="no attribute 'optimize'"):
        ts.optimize  # noqa: B018


def test_assess_from_python(capsys):
    told = []
    result = ts.assess(DUNLIN, span="46 in", tell=told.append)
    assert told == ["calibrating the model against the stock wing", "what each wing can carry"]
    assert capsys.readouterr().out == ""
    assert result.command == "tradestudy assess dunlin.toml"
    assert result.best.numbers.span_mm == pytest.approx(46 * 25.4, abs=0.001)
    # calibration: the study file states 25.5 oz (of 28.349523125 g) and 150 mm for the wing that flies
    assert result.stock.numbers.auw_g == pytest.approx(25.5 * 28.349523125, abs=0.01)  # rounded to a hundredth
    assert result.stock.numbers.cg_mm == pytest.approx(150, abs=0.001)  # rounded to a thousandth


class Opened(study_session.StudySession):
    """A session that notes how it was opened, and prepares nothing."""

    seen: list

    def __init__(self, study, *given, **named):
        self.study = study
        self.seen.append((study, *given, named))

    def close(self):
        self.seen.append("closed")


@pytest.fixture
def seen(monkeypatch):
    """Return the list of how sessions are opened and closed."""
    Opened.seen = []
    monkeypatch.setattr(study_session, "StudySession", Opened)
    return Opened.seen


@pytest.mark.parametrize(
    "name, module, inner",
    [
        ("optimise", optimise, "left_out"),
        ("stretch", trade, "best_at_medians"),
        ("run", trade, "span_trade_at_medians"),
    ],
)
def test_each_call_opens_its_study_and_closes_it(name, module, inner, monkeypatch, seen):
    """Check that each call opens its study and closes it. The first step of the command ends it here."""

    def ends(session, *given, **named):
        raise ValueError(session)

    monkeypatch.setattr(Opened, "best_results", ends, raising=False)
    monkeypatch.setattr(module, inner, ends)
    study = ts.load(DUNLIN)
    with pytest.raises(ValueError) as ended:
        getattr(ts, name)(study, workers=2, record="kept.sqlite")
    assert isinstance(ended.value.args[0], Opened) and seen[1:] == ["closed"]
    assert seen[0][:2] == (study, f"tradestudy {name} dunlin.toml")
    assert seen[0][-1] == {"record": Path("kept.sqlite"), "workers": 2, "cluster": None}


def test_an_open_session_is_used_as_it_is_and_stays_open(monkeypatch, seen, godwit_study):
    session = Opened(godwit_study)
    monkeypatch.setattr(session, "stock_result", lambda: sample_result(), raising=False)
    monkeypatch.setattr(session, "requested_design", lambda wing, otherwise: (wing, otherwise), raising=False)
    monkeypatch.setattr(session, "requested_variables", lambda wing: {}, raising=False)
    monkeypatch.setattr(session, "design", lambda *which: which, raising=False)
    monkeypatch.setattr(assess, "recommended_wing", lambda session: RecommendedWing("kept", "the kept one"))
    monkeypatch.setattr(assess, "shopping_list", lambda *_: None)
    monkeypatch.setattr(assess, "with_largest_payloads", lambda session, result: result)
    session.anchor, session.space = None, SimpleNamespace(slowest_speed=12.0)
    result = assess.assess(session, span="1300 mm")
    assert result.best == (RequestedWing(span=1.3), "kept") and len(seen) == 1
    assert result.which_wing == (
        "The stretched wing is the kept one; as asked for: span 1300 mm; all else as recommended."
    )
    assert result.instead == ("kept", "recommended")
    unchanged = assess.assess(session)
    assert unchanged.which_wing == "The stretched wing is the kept one." and unchanged.instead is None


def test_front_names_what_it_trades(monkeypatch, godwit_study, seen):
    asked = []
    monkeypatch.setattr(trade, "best_at_medians", lambda session, every_choice: "optimum")
    monkeypatch.setattr(trade, "drawn_result", lambda session, result: result)
    monkeypatch.setattr(trade, "with_recommended", lambda session, result: result)
    monkeypatch.setattr(trade, "with_largest_payloads", lambda session, result: result)
    monkeypatch.setattr(trade, "_with_front", lambda session, *more: asked.append(more))
    ts.front(godwit_study)
    ts.front(godwit_study, "climb", "span", 9)
    assert asked == [("optimum", "range", "flying_weight", 25), ("optimum", "climb", "span", 9)]
    with pytest.raises(ts.TradestudyError, match="Did you mean climb"):
        ts.front(godwit_study, "clim")


def test_a_study_shows_itself(godwit_study):
    lines = repr(godwit_study).splitlines()
    assert lines[0].startswith("Study Godwit (") and max(map(len, lines[1:])) <= 80
    assert "  stock wing  span 1300 mm, 1840 g, balances 189 mm behind the nose" in lines
    assert "  to stretch  scheme scaled, span 1300 mm to 1800 mm" in lines


def test_a_result_and_a_wing_show_themselves():
    result = sample_result()
    text = repr(result)
    assert "stock " in text and "1160 mm, 1010 g, 41.0 km, 62 km/h, 4S1P" in text
    assert "to build" in text and "1480 mm; 1392 to 1608 mm does as well" in text and "8 in span_trade" in text
    assert (
        repr(result.best) == "<Design best: 1517 mm, 1571 g, 81.3 km, 57 km/h, 4S2P, 2 pairs of 3 mm rods, "
        "10x7 propeller>"
    )
    missed = replace(result.best, limits=[replace(result.best.limits[0], met=False)])
    assert "breaks: pack as far forward as it can lie" in repr(missed)


def test_html_shows_hostile_words_as_text(godwit_study):
    hostile = '<script>alert("x")</script>'
    about = godwit_study.study.model_copy(update={"name": hostile, "note": hostile})
    wing = design(hostile)
    result = sample_result(study_name=hostile, best=wing, command=hostile)
    for thing in (replace(godwit_study, study=about), wing, result):
        page = thing._repr_html_()
        assert "<script" not in page and "&lt;script&gt;" in page and page.count("<table>") == 1


def test_a_table_of_every_wing():
    result = sample_result()
    table = result.to_dataframe()
    assert list(table["where"]) == [
        "stock",
        "recommended",
        "best",
        "alternatives",
        *["span_trade"] * 8,
        *["front"] * 6,
        *["steps"] * 2,
    ]
    assert list(table.loc[table["where"] == "front", "auw_g"]) == [wing.numbers.auw_g for wing in result.front]
    assert set(table["choice_propeller"]) == {"10x7"}
    one = result.best.to_dataframe()
    assert len(one) == 1 and one["span_mm"][0] == 1517.0 and one["active_limits"][0] == "pack_forward; slowest_flight"


def test_without_pandas_a_table_is_refused_in_a_sentence(monkeypatch):
    monkeypatch.setitem(sys.modules, "pandas", None)
    with pytest.raises(ts.TradestudyError) as refused:
        sample_result().to_dataframe()
    assert str(refused.value) == "to_dataframe needs the library pandas: python -m pip install pandas"


def test_a_result_is_saved_like_that_of_a_run(tmp_path, monkeypatch):
    monkeypatch.setattr("tradestudy.report.figures.all_figures.FIGURES", {})  # figures are tested elsewhere
    monkeypatch.setattr("tradestudy.report.page.page.page", lambda *asked: "page")
    result = sample_result()
    written = {file.name for file in ts.save(result, str(tmp_path / "new" / "folder"))}
    assert {"summary.json", "wings.csv", "pilot_card.txt", "report.html"} <= written
    again = ts.result_from_json((tmp_path / "new" / "folder" / "summary.json").read_text(encoding="utf-8"))
    assert again.best.numbers == result.best.numbers
    (tmp_path / "taken").write_text("", encoding="utf-8")
    with pytest.raises(ts.TradestudyError, match="Cannot write into"):
        ts.save(result, tmp_path / "taken")


@pytest.mark.parametrize(
    "asked, message",
    [
        ({"span": 1300}, 'span is 1300; text is wanted, with its unit, such as "1300 mm".'),
        ({"span": "1300"}, 'span "1300" needs one of: mm, cm, m, in, ft, um.'),
        ({"span": "13 m"}, 'span "13 m" is beyond what these wings can be.'),
        (
            {"sapn": "1300 mm"},
            "sapn is not known. Did you mean span? Known are span, sweep, washout, tip_chord, static_margin, "
            "cruise_speed, parallel, rod_diameter, rod_pairs, propeller.",
        ),
        ({"parallel": "3"}, "parallel is 3; a whole number from 1 to 12 is wanted."),
        ({"cruise_speed": 14.0}, 'cruise_speed is 14.0; text is wanted, with its unit, such as "14.0 km/h".'),
        ({"static_margin": 7}, 'static_margin is 7; text is wanted, with its unit, such as "7 %".'),
        ({"propeller": "9by6"}, 'propeller "9by6" is not diameter x pitch'),
    ],
)
def test_invalid_requests_are_refused(asked, message):
    with pytest.raises(ts.TradestudyError) as refused:
        requested_wing(asked)
    assert str(refused.value) == message


def test_valid_requests_are_read():
    assert requested_wing({"span": "52 in", "rod_diameter": "4mm", "parallel": 3, "sweep": None}) == RequestedWing(
        span=52 * 0.0254, rod_diameter=0.004, parallel=3
    )


def test_a_problem_of_the_stock_wing_s_parts_or_of_others():
    """Check the problem for the named parts. All others are the stock wing's. Names and units are OpenMDAO's own."""
    stock = ts.problem(DUNLIN)
    other = ts.problem(DUNLIN, {"rod_diameter": "4 mm"})
    assert float(stock.get_val("rod_diameter", units="mm")[0]) != 4.0
    assert float(other.get_val("rod_diameter", units="mm")[0]) == pytest.approx(4.0)
    assert float(other.get_val("series")[0]) == float(stock.get_val("series")[0])
    stock.run_model()
    assert stock.get_val("range", units="km")[0] > 1.0
    with pytest.raises(ts.TradestudyError, match="rod_size is not known"):
        ts.problem(DUNLIN, {"rod_size": "4 mm"})
