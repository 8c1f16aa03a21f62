"""Results of another command never take the place of a run's."""

from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from helpers.invented.invented_result import sample_result

from tradestudy.cli import folders, session
from tradestudy.cli.folders import folder_of_results
from tradestudy.cli.options import Search


def of_command(command):
    """Return an invented result of a command."""
    return replace(sample_result(), command=f"tradestudy {command} studies/godwit.toml")


@pytest.mark.parametrize(("command", "inside"), [("run", True), ("cruise", False)])
def test_a_run_stays_where_it_is(tmp_path, command, inside):
    """Check a folder that holds a run, and one that holds another command's results or nothing."""
    assert folder_of_results(tmp_path, "cruise") == tmp_path
    (tmp_path / "summary.json").write_text(of_command(command).to_json(), encoding="utf-8")
    assert folder_of_results(tmp_path, "cruise") == (tmp_path / "cruise" if inside else tmp_path)


@pytest.mark.parametrize("command", ["stretch", "optimise", "front", "cruise"])
def test_searches_and_single_wings_write_beside_a_run(tmp_path, monkeypatch, capsys, command):
    """Check that the page of a run is as it was after a search or a command on one wing into its folder."""

    @contextmanager
    def opened(*asked, **options):
        yield None

    monkeypatch.setattr(session, "open_session", opened)
    monkeypatch.setattr(
        folders, "write_results", lambda result, folder, anyway=False: save(result.command, folder / "report.html")
    )

    def save(text, path):
        path.parent.mkdir(exist_ok=True)
        path.write_text(text)

    def compute(known):
        if command == "cruise":
            return session.compute_design(command, Path("a.toml"), tmp_path, None, lambda opened: known)
        return session.compute_search(command, Path("a.toml"), Search(tmp_path, None, None, None), lambda opened: known)

    (tmp_path / "summary.json").write_text(of_command("run").to_json(), encoding="utf-8")
    (tmp_path / "report.html").write_text("the run")
    result = of_command(command)
    assert compute(result) is result
    assert (tmp_path / "report.html").read_text() == "the run"
    assert (tmp_path / command / "report.html").read_text() == result.command
    assert f"these are in {tmp_path / command}" in capsys.readouterr().err
