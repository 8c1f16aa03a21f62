"""Every part of a result is a frozen dataclass whose fields have a sentence and a unit."""

import dataclasses
from types import NoneType, UnionType
from typing import Any, get_args, get_origin

import pytest
from helpers.invented.invented_grid import invented_grid
from helpers.invented.invented_payload import invented_payload

from tradestudy.quantities import ENDINGS
from tradestudy.results.field_specs import field_specs
from tradestudy.results.numbers import KEYS
from tradestudy.results.result import Result

# numbers without a unit, or with the unit in another field: counts, shares, coefficients, scaled values
WITHOUT_UNIT = {
    "short",
    "looked",
    "may_win",
    "build_price",
    "price_per_km_gained",
    "price_each",
    "price",
    "lift_coefficient",
    "lift_coefficient_other",
    "lift_slope",
    "lift_slope_other",
    "span_efficiency",
    "span_efficiency_other",
    "most",
    "needed",
    "active",
    "parts_requested",
    "at_most",
    "change",
    "examined",
    "impossible",
    "lost",
    "bound",
    "count",
    "count_per_wing",
    "draws",
    "each_half",
    "fin_volume",
    "gain",
    "glide_ratio",
    "met_share",
    "knee",
    "unexplained",
    "lift_to_drag",
    "low",
    "margin",
    "variance_shares",
    "measured",
    "before",
    "after",
    "members",
    "moment_coefficient",
    "thin_moment_coefficient",
    "pairs",
    "parallel",
    "pitch_control",
    "pitch_control_weak",
    "pitch_damping",
    "roll_control",
    "roll_control_weak",
    "roll_damping",
    "rod_pairs",
    "rounds",
    "score",
    "section_lift",
    "section_lift_limit",
    "sense",
    "series",
    "share",
    "short_period_damping",
    "slope",
    "solved",
    "thrust_to_weight",
    "total",
    "trimmed_lift_max",
    "utilisation",
    "value",
    "wings",
    "yaw_stiffness",
    "dihedral_effect",
    "dutch_roll_damping",
    "over_medians",
    "percentile",
    "high",
    "middle",
    "failure_load_factor",
    "limit_load_factor",
    "weak_failure_load_factor",
    "load_factor",
    "required_load_factor",
    "watts",
    "full_throttle_watts",
    "triangles",
}


def parts(kind=Result, seen=None):
    """Return all dataclasses in a result."""
    seen = {} if seen is None else seen
    if dataclasses.is_dataclass(kind):
        if kind not in seen:
            seen[kind] = None
            for spec in field_specs(kind):
                parts(spec.type, seen)
    else:
        for inner in get_args(kind):
            parts(inner, seen)
    return list(seen)


def numbers_in(kind):
    """Return whether a type is a number or holds numbers."""
    if kind in (int, float):
        return True
    return get_origin(kind) in (list, dict, UnionType) and any(numbers_in(one) for one in get_args(kind))


@pytest.mark.parametrize("kind", parts(), ids=lambda kind: kind.__name__)
def test_every_field_has_a_sentence_and_a_unit(kind):
    assert kind.__dataclass_params__.frozen and kind.__doc__ and not kind.__doc__.startswith(kind.__name__ + "(")
    for spec in field_specs(kind):
        assert spec.description.endswith(".") and spec.description[0].isupper(), spec.name
        assert len(spec.description.split()) <= 25, spec.name
        assert Any not in (spec.type, *get_args(spec.type)), spec.name
        if numbers_in(spec.type) and spec.name not in WITHOUT_UNIT:
            assert spec.unit, spec.name


def test_every_unit_at_the_end_of_a_name_is_known():
    names = {spec.name for kind in parts() for spec in field_specs(kind) if numbers_in(spec.type)}
    ended = {name for name in names if name not in WITHOUT_UNIT}
    assert all(any(name == ending or name.endswith(f"_{ending}") for ending in (*ENDINGS, "per_kg")) for name in ended)
    assert not WITHOUT_UNIT - {spec.name for kind in parts() for spec in field_specs(kind)}


def test_the_table_columns_are_the_numbers_of_a_design():
    assert KEYS[0] == "span_mm" and len(KEYS) == len(set(KEYS)) == len(field_specs(parts_named("DesignNumbers")))
    assert NoneType not in parts()


def parts_named(name):
    return next(kind for kind in parts() if kind.__name__ == name)


def test_a_grid_and_a_payload_study_tell_themselves_in_a_few_lines():
    """Check that a notebook shows the answer, not the whole text of the study."""
    grid, carried = invented_grid(), invented_payload()
    for result, words in ((grid, f"{len(grid.points)}, of which"), (carried, "410 g, then: launch speed against")):
        assert words in repr(result) and words in result._repr_html_()
        assert len(repr(result).splitlines()) < 16 and "GridPoint" not in repr(result)
