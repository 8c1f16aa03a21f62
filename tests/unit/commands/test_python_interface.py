"""What ``import tradestudy as ts`` gives: every function is there, documented with an example, and refuses plainly."""

import inspect

import matplotlib.figure
import numpy as np
import pytest
from helpers.invented.invented_result import sample_result
from helpers.places import GODWIT

import tradestudy as ts
from tradestudy.results.grid_result import SHAPE_KEYS, GridAxis, GridPoint, GridResult, GridStock
from tradestudy.study.dialog.questions import QUESTIONS

FUNCTIONS = (
    "load new edit keys check assess cruise optimise stretch front grid flips bands spread fit log note card compare "
    "run save buildsheet problem figure payload variants"
).split()


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_function_is_documented_with_an_example(name):
    function = getattr(ts, name)
    words = inspect.getdoc(function)
    assert f"ts.{name}(" in words, "there is no example"
    assert "Raises" in words or "Options and errors" in words or "rrors" in words
    assert name in dir(ts)


def test_a_bare_number_is_refused_and_si_is_taken():
    study = ts.load(GODWIT)
    with pytest.raises(ts.TradestudyError, match=r"fly.wind = 3: fly.wind is 3, without a unit"):
        ts.edit(study, {"fly.wind": 3})
    assert ts.edit(study, {"fly.wind": ts.SI(3)}).fly.wind == 3.0
    with pytest.raises(ts.TradestudyError, match="changed after it was read, and not by ts.edit"):
        object_changed = ts.edit(study, {"fly.wind": "5 m/s"})
        object.__setattr__(object_changed, "fly", study.fly)
        ts.edit(object_changed, {"fly.wind": "4 m/s"})


def test_keys_and_a_new_study():
    found = ts.keys("wind")
    assert "fly.wind" in [line.key for line in found] and len(found.to_dataframe()) == len(found)
    study = ts.new("whimbrel", {question.name: question.example for question in QUESTIONS})
    assert study.study.name == "whimbrel" and 'span = "' in study.text
    with pytest.raises(ts.TradestudyError, match="spann is no question. Not answered: span, chords,"):
        ts.new("whimbrel", {"spann": "1 m"})


def invented_grid():
    axes = [GridAxis("span", "span", "mm", [1300.0, 1400.0], False), GridAxis("parallel", "cells", "", [2, 3, 4], True)]
    shape = dict.fromkeys(SHAPE_KEYS)
    points = [
        GridPoint([span, cells], 50.0, distance, distance, 1800.0, cells < 4, "x", "x", 0.1, "x", shape)
        for span in axes[0].values
        for cells in axes[1].values
        for distance in [None if cells == 4 else 0.01 * span * cells]
    ]
    stock = GridStock([1300.0, 2], 60.0, 60.0, 1800.0)
    return GridResult("Godwit", "", "grid", {}, axes, "range_km", "range", "km", "", points, stock)


def test_a_grid_as_an_xarray_data_set_has_its_units():
    pytest.importorskip("xarray")
    found = invented_grid()
    data = found.to_xarray()
    assert dict(data.sizes) == {"span": 2, "parallel": 3} and data.span.attrs["units"] == "mm"
    assert data.range_km.attrs == {"units": "km", "long_name": "range"} and data.auw_g.attrs["units"] == "g"
    assert float(data.range_km.sel(span=1400, parallel=3)) == pytest.approx(42.0)
    assert np.isnan(data.range_km.sel(span=1300, parallel=4)) and not bool(data.met.sel(span=1300, parallel=4))


def test_figures_are_those_of_matplotlib():
    assert isinstance(ts.figure(invented_grid()), matplotlib.figure.Figure)
    with pytest.raises(ts.TradestudyError, match='There is no figure "span_trad". Did you mean span_trade?'):
        ts.figure(sample_result(), "span_trad")
    with pytest.raises(ts.TradestudyError, match="lacks the data"):
        ts.figure(sample_result(span_trade=[]), "span_trade")


def test_two_results_side_by_side():
    table = ts.compare(sample_result(), sample_result()).to_dataframe()
    assert "span_mm" in list(table["number"]) and set(table["difference"]) == {0.0}
