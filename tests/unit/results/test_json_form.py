"""JSON of a result: exact both ways, results of earlier versions are read, and refusals name the place."""

import json
from dataclasses import is_dataclass, replace
from types import NoneType, UnionType
from typing import get_args, get_origin

import pytest
from helpers.invented.invented_result import broken_bench, purposes_of, sample_result
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tradestudy.errors import CommandError
from tradestudy.results.field_specs import field_specs
from tradestudy.results.result import Result, result_from_json

from .renamed_keys import RENAMED

NUMBER = st.floats(allow_nan=False, allow_infinity=False)
VALUES = {str: st.text(max_size=6), float: NUMBER, int: st.integers(-10**6, 10**6), bool: st.booleans(),
         NoneType: st.none()}  # fmt: skip


def values_of(kind):
    """Return a hypothesis strategy for any type in a result."""
    if kind in VALUES:
        return VALUES[kind]
    if is_dataclass(kind):
        return st.builds(kind, **{spec.name: values_of(spec.type) for spec in field_specs(kind)})
    inner = get_args(kind)
    if get_origin(kind) is UnionType:
        return st.one_of(*(values_of(one) for one in reversed(inner)))
    if get_origin(kind) is list:
        return st.lists(values_of(inner[0]), max_size=1)
    return st.dictionaries(VALUES[str], values_of(inner[1]), max_size=1)


@pytest.mark.thorough
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(values_of(Result))
def test_any_result_is_read_as_written(result):
    assert result_from_json(result.to_json()) == result


@pytest.mark.parametrize("result", [sample_result(), broken_bench()], ids=["sample", "bench"])
def test_sample_results_are_read_as_written(result):
    again = result_from_json(result.to_json())
    assert again == result and again.to_json() == result.to_json()
    assert json.loads(result.to_json())["success"] is result.success


def in_old_form(value, place=""):
    """Return JSON data as earlier versions wrote them: old keys, lists for some parts, {} for a missing part."""
    for old, new in RENAMED.items():
        (*above, old_name), new_name = old.split("/"), new.rpartition("/")[2]
        if isinstance(value, dict) and new_name in value and ends_with(place, above):
            if old_name == "0":
                return [in_old_form(each, place) for each in value.values()]
            value = {old_name if name == new_name else name: each for name, each in value.items()}
    if isinstance(value, dict):
        return {
            name: {}
            if each is None and name in ("pilot_card", "mission", "cutting", "spread", "prices")
            else in_old_form(each, f"{place}/{name}")
            for name, each in value.items()
        }
    if isinstance(value, list):
        return [in_old_form(each, f"{place}/*") for each in value]
    return value


def ends_with(place, above):
    return place.split("/")[-len(above) :] == above


def test_a_result_of_an_earlier_version_is_read():
    result = sample_result(purposes=purposes_of())
    old = in_old_form(json.loads(result.to_json()))
    assert isinstance(old["stock"]["outline"]["rods"][0], list) and old["stock"]["mission"]["minutes"] == 30.0
    del old["robust"], old["compared"], old["stock"]["load_test"]
    again = result_from_json(json.dumps(old | {"unknown_key": 1}))
    assert again == replace(result, compared=[])


@pytest.mark.parametrize(
    ("place", "value"),
    [
        ("stock/numbers/span_mm", "long"),
        ("stock/numbers", 3),
        ("front", None),
        ("stock/choices/series", 4.5),
        ("stock", None),
    ],
)
def test_a_wrong_value_is_refused_in_one_sentence(place, value):
    data = json.loads(sample_result().to_json())
    *above, last = place.split("/")
    part = data
    for name in above:
        part = part[name]
    part[last] = value
    with pytest.raises(CommandError, match=f"another version: {place} has another form now. Compute it again"):
        result_from_json(json.dumps(data))


def test_a_missing_value_is_refused():
    data = json.loads(sample_result().to_json())
    del data["stock"]["numbers"]["span_mm"]
    with pytest.raises(CommandError, match="stock/numbers/span_mm"):
        result_from_json(json.dumps(data))
