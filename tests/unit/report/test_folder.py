"""The folder of a result: what takes long is made before the first file is written."""

import pytest
from helpers.invented.invented_result import sample_result

from tradestudy.report.folder import left_by_earlier_runs, save


@pytest.mark.parametrize("late", ["figures.all_figures.draw_all", "figures.all_figures.as_bytes", "page.page.page"])
def test_nothing_is_written_before_all_is_drawn(late, tmp_path, monkeypatch):
    """Check that a run stopped while it draws leaves the files of the last result as they are, all of them."""
    from tradestudy.report.figures.all_figures import Drawn

    def stopped(*given):
        raise KeyboardInterrupt

    monkeypatch.setattr("tradestudy.report.figures.all_figures.draw_all", lambda result: {"speed": Drawn(None, b"")})
    monkeypatch.setattr("tradestudy.report.page.page.page", lambda *given: "")
    monkeypatch.setattr(f"tradestudy.report.{late}", stopped)
    with pytest.raises(KeyboardInterrupt):
        save(sample_result(), tmp_path)
    assert list(tmp_path.rglob("*.*")) == []


def test_files_of_an_earlier_run_are_named_and_those_of_others_are_not(tmp_path):
    old = ["acceptance.pdf", "shopping.csv", "figures/span_trade.svg", "figures/span_trade.png", "templates/root.svg"]
    new = ["build_sheet.pdf", "wings.csv", "figures/speed.svg"]
    others = ["payload.csv", "grid_span.csv", "figures/grid_span.svg", "templates/mine.txt", "notes.csv"]
    for name in (*old, *new, *others):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).touch()
    written = [tmp_path / name for name in new]
    named = ["acceptance.pdf", "shopping.csv", "templates", "figures/span_trade"]
    assert left_by_earlier_runs(tmp_path, written) == named
    assert left_by_earlier_runs(tmp_path, [tmp_path / name for name in (*old, *new)]) == []
    (tmp_path / "templates" / "tip.svg").touch()
    assert "templates/root.svg" in left_by_earlier_runs(tmp_path, [tmp_path / "templates" / "tip.svg"])
    assert left_by_earlier_runs(tmp_path / "none", []) == []
