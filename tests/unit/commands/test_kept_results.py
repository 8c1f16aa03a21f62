"""The results of an earlier run: used again for the same inputs only."""

import errno
import importlib.metadata
import json
import os
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest
from helpers.invented.invented_result import bench
from helpers.places import ROOT

from tradestudy.commands.kept_results import (
    FLIPS,
    RECORD,
    drawing_fingerprint,
    inputs_text,
    keep_run,
    kept_result,
    kept_run,
    library_version,
    results_folder,
)
from tradestudy.files import noting_hashes, passing_over_files_in_use, write_atomically
from tradestudy.search.engines.record import Record, code_fingerprint, inputs_hash


@pytest.fixture()
def kept(tmp_path, godwit_study):
    """Return the folder of a result that was computed from the Godwit."""
    result = replace(bench(), inputs=inputs_hash(inputs_text(godwit_study)))
    (tmp_path / "summary.json").write_text(result.to_json(), encoding="utf-8")
    return tmp_path


def test_a_result_is_used_for_the_study_that_it_was_computed_from(kept, godwit_study):
    assert kept_result(kept, godwit_study).which_wing == (
        f"The stretched wing is the one that tradestudy run recommends, kept in {kept}."
    )


def test_a_result_of_a_study_changed_by_other_means_than_its_text_is_not_used(kept, godwit_study):
    changed = godwit_study.limits.model_copy(update={"climb": 12.0})
    assert kept_result(kept, replace(godwit_study, limits=changed)) is None


def test_a_result_of_another_code_is_not_used(kept, godwit_study, monkeypatch):
    monkeypatch.setattr("tradestudy.search.engines.record.code_fingerprint", lambda: "another")
    assert kept_result(kept, godwit_study) is None


@pytest.mark.parametrize("content", ["", "[]", "{}", "nested"])
def test_a_result_of_another_form_is_computed_again(kept, godwit_study, content):
    file = kept / "summary.json"
    if content == "nested":
        content = json.dumps(json.loads(file.read_text(encoding="utf-8")) | {"stock": {"numbers": [1]}})
    file.write_text(content, encoding="utf-8")
    assert kept_result(kept, godwit_study) is None


COMMAND = "tradestudy run godwit.toml"


@pytest.fixture()
def run_kept(kept, godwit_study):
    """Return the folder of a complete run, with a page, a table and a sheet."""
    page, sheet = kept / "report.html", kept / "sheets" / "sheet.pdf"
    with noting_hashes() as hashes:
        write_atomically(kept / "summary.json", (kept / "summary.json").read_bytes())
        write_atomically(page, b"page")
        write_atomically(sheet, b"sheet")
    record = Record(kept / RECORD, inputs_text(godwit_study))
    keep_run(record, kept, COMMAND, False, [kept / "summary.json", page], [sheet], hashes)
    record.close()
    return kept


def again(folder, study, command=COMMAND, anyway=False):
    return kept_run(folder, study, command, anyway, pytest.fail)


def test_studies_whose_names_lose_letters_have_folders_of_their_own():
    def folder(name):
        return results_folder(SimpleNamespace(study=SimpleNamespace(name=name), edits=())).as_posix()

    assert folder("My wing 2") == "results/my-wing-2"
    assert folder("Чайка") != folder("Крачка") and folder("Möwe") != folder("Mäwe")
    assert folder("Möwe") == folder("MO\N{COMBINING DIAERESIS}we")  # as some systems write the same letters
    assert all(part.isascii() for part in (folder("Чайка"), folder("Möwe"), folder("&")))


def test_a_run_with_nothing_changed_is_shown_again(run_kept, godwit_study):
    found = again(run_kept, godwit_study)
    assert found.result.to_json() == (run_kept / "summary.json").read_text(encoding="utf-8")
    assert found.written == [run_kept / "summary.json", run_kept / "report.html"]
    assert found.sheets == [run_kept / "sheets" / "sheet.pdf"]


def other_flips(folder, study, patched):
    record = Record(folder / RECORD, inputs_text(study))
    record.keep([(FLIPS, {"rows": []})])
    record.close()


def forget():
    code_fingerprint.cache_clear()
    drawing_fingerprint.cache_clear()
    library_version.cache_clear()


def other_version(patched, library):
    versions = importlib.metadata.version
    patched.setattr("importlib.metadata.version", lambda name: "0" if name == library else versions(name))
    forget()


def one_more_byte(patched, name):
    read, path = Path.read_bytes, ROOT / "tradestudy" / name
    assert path.is_file()
    patched.setattr(Path, "read_bytes", lambda one: read(one) + b" " * (one == path))
    forget()


CHANGES = {
    "a file": lambda folder, study, patched: (folder / "report.html").write_bytes(b"pagE"),
    "a file is gone": lambda folder, study, patched: (folder / "sheets" / "sheet.pdf").unlink(),
    "the record is gone": lambda folder, study, patched: (folder / RECORD).unlink(),
    "flips were found": other_flips,
    "the model": lambda folder, study, patched: one_more_byte(patched, "physics/body/clearance.py"),
    "the words": lambda folder, study, patched: one_more_byte(patched, "report/words/first_screen.py"),
    "the look": lambda folder, study, patched: one_more_byte(patched, "report/page/templates/page.css"),
    "the terminal": lambda folder, study, patched: one_more_byte(patched, "cli/run.py"),
    "numpy": lambda folder, study, patched: other_version(patched, "numpy"),
    "matplotlib": lambda folder, study, patched: other_version(patched, "matplotlib"),
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_run_is_computed_again_after_any_change(run_kept, godwit_study, monkeypatch, change):
    try:
        CHANGES[change](run_kept, godwit_study, monkeypatch)
        assert again(run_kept, godwit_study) is None
    finally:
        monkeypatch.undo()
        forget()


def test_a_run_of_another_study_or_by_another_command_is_computed_again(run_kept, godwit_study):
    changed = godwit_study.limits.model_copy(update={"climb": 12.0})
    assert again(run_kept, replace(godwit_study, limits=changed)) is None
    assert again(run_kept, replace(godwit_study, text=godwit_study.text + "\n")) is None
    assert again(run_kept, godwit_study, command="tradestudy run other.toml") is None
    assert again(run_kept, godwit_study, anyway=True) is None


def test_a_file_that_was_in_use_is_written_by_the_next_run(run_kept, godwit_study, monkeypatch):
    page = run_kept / "report.html"
    record = Record(run_kept / RECORD, inputs_text(godwit_study))
    with monkeypatch.context() as patched, passing_over_files_in_use(), noting_hashes() as hashes:
        patched.setattr(os, "replace", in_use)
        write_atomically(page, b"another page")
    keep_run(record, run_kept, COMMAND, False, [page], [], hashes)
    record.close()
    assert page.read_bytes() == b"page" and again(run_kept, godwit_study) is None


def in_use(part, file):
    raise PermissionError(errno.EACCES, "in use", str(file))
