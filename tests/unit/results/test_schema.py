"""The JSON Schema of summary.json is up to date, and written results conform to it."""

import json

import jsonschema
import pytest
from helpers.invented.invented_result import broken_bench, sample_result

from tradestudy.commands.assess import assess
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.commands.study_session import StudySession
from tradestudy.results import schema


@pytest.fixture(scope="module")
def validator():
    shipped = json.loads(schema.FILE.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(shipped)
    return jsonschema.Draft202012Validator(shipped)


def test_the_file_is_current():
    assert schema.FILE.read_text(encoding="utf-8") == schema.text()


def test_it_has_units_and_sentences():
    numbers = schema.schema()["$defs"]["DesignNumbers"]["properties"]
    assert numbers["span_mm"] == {"type": "number", "description": "Span from tip to tip.", "unit": "mm"}
    assert numbers["twist_off_kmh"]["anyOf"] == [{"type": "number"}, {"type": "null"}]


@pytest.mark.parametrize("result", [sample_result(), broken_bench()], ids=["sample", "bench"])
def test_invented_results_conform(validator, result):
    assert [error.message for error in validator.iter_errors(json.loads(result.to_json()))] == []


def test_computed_results_conform(validator, godwit_study):
    data = json.loads(assess(StudySession(godwit_study, "assess"), RequestedWing()).to_json())
    assert [error.message for error in validator.iter_errors(data)] == []
    data["stock"]["numbers"]["span_mm"] = "long"
    del data["stock"]["numbers"]["auw_g"]
    assert len(list(validator.iter_errors(data))) == 2
