"""The notebook of the studies runs, and its stored outputs are those of this program."""

import re

import pytest
from helpers.places import STUDIES
from helpers.readers.notebook_cells import read_notebook, run_cells


def words_of(outputs):
    """Return the printed words of a cell without numbers, and whether it shows a plot."""
    texts = [line for each in outputs for line in each.get("text", each.get("data", {}).get("text/plain", ""))]
    words = re.findall(r"[A-Za-z_]{3,}", "".join(texts))
    return words, any("image/png" in each.get("data", {}) for each in outputs)


@pytest.mark.thorough
def test_the_notebook_runs_and_shows_its_plots(monkeypatch):
    monkeypatch.chdir(STUDIES)
    notebook = read_notebook(STUDIES / "trade.ipynb")
    stored = [cell["outputs"] for cell in notebook["cells"] if cell["cell_type"] == "code"]
    assert [words_of(each) for each in run_cells(notebook)] == [words_of(each) for each in stored]
    assert sum(words_of(each)[1] for each in stored) == 2
