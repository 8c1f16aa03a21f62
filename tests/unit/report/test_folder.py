"""The folder of a result: what takes long is made before the first file is written."""

import pytest
from helpers.invented.invented_result import sample_result

from tradestudy.report.folder import save


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
