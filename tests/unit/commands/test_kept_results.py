"""The results of an earlier run: used again for the same inputs only."""

import json
from dataclasses import replace

import pytest
from invented_result import bench

from tradestudy.commands.kept_results import inputs_text, kept_result
from tradestudy.search.engines.record import inputs_hash


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
