"""Results of one design never take the place of a run's."""

from dataclasses import replace

import pytest
from invented_result import sample_result

from tradestudy.cli.folders import folder_of_one_wing


@pytest.mark.parametrize(("command", "inside"), [("run", True), ("cruise", False)])
def test_a_run_stays_where_it_is(tmp_path, command, inside):
    """Check a folder that holds a run, and one that holds another command's results or nothing."""
    result = replace(sample_result(), command=f"tradestudy {command} studies/godwit.toml")
    assert folder_of_one_wing(tmp_path, "cruise") == tmp_path
    (tmp_path / "summary.json").write_text(result.to_json(), encoding="utf-8")
    assert folder_of_one_wing(tmp_path, "cruise") == (tmp_path / "cruise" if inside else tmp_path)
