"""The JSON Schema that editors use: the studies that come along fit it, wrong ones do not.

Checked by the general library jsonschema where one is installed (no dependency of ours), else by what is asked of
structure here.
"""

import re
import tomllib

import pytest
from places import STUDIES

from tradestudy.quantities import UNITS
from tradestudy.study.json_schema import measurements_schema, study_schema
from tradestudy.study.measurements import MEASUREMENT_TABLES as MEASUREMENTS
from tradestudy.study.schema.study import TABLES, key_type

FILES = sorted(STUDIES.glob("*.toml"))


@pytest.fixture(scope="module")
def schema():
    return study_schema()


def faults(value, schema, place=""):
    """Return where a value does not fit a schema, by the words of JSON Schema that ours uses."""
    known = {
        "$schema",
        "title",
        "type",
        "additionalProperties",
        "properties",
        "required",
        "description",
        "items",
        "minItems",
        "maxItems",
        "uniqueItems",
        "anyOf",
        "enum",
        "pattern",
        "minLength",
        "maxLength",
        "minimum",
        "maximum",
        "default",
    }
    assert set(schema) <= known, set(schema) - known
    if "anyOf" in schema:
        tried = [faults(value, each, place) for each in schema["anyOf"]]
        return [] if not all(tried) else [f"{place}: fits none"]
    types = {"object": dict, "array": list, "string": str, "number": (int, float), "integer": int, "boolean": bool}
    wanted = schema.get("type")
    if wanted and (not isinstance(value, types[wanted]) or isinstance(value, bool) and wanted != "boolean"):
        return [f"{place}: no {wanted}"]
    found = [] if value in schema.get("enum", [value]) else [f"{place}: not one of the choices"]
    if isinstance(value, str):
        at_most = schema.get("maxLength", len(value))
        if not re.search(schema.get("pattern", ""), value) or not schema.get("minLength", 0) <= len(value) <= at_most:
            found.append(f"{place}: pattern or length")
    if isinstance(value, int | float) and not schema.get("minimum", value) <= value <= schema.get("maximum", value):
        found.append(f"{place}: out of range")
    if isinstance(value, list):
        if not schema.get("minItems", 0) <= len(value) <= schema.get("maxItems", len(value)):
            found.append(f"{place}: length")
        inner = schema.get("items", {})
        each = inner if isinstance(inner, list) else [inner] * len(value)
        found += [
            one
            for index, pair in enumerate(zip(value, each, strict=False))
            for one in faults(*pair, f"{place}[{index}]")
        ]
    if isinstance(value, dict):
        found += [f"{place}.{key}: missing" for key in schema.get("required", []) if key not in value]
        for key, one in value.items():
            if key not in schema["properties"]:
                found.append(f"{place}.{key}: unknown")
            else:
                found += faults(one, schema["properties"][key], f"{place}.{key}")
    return found


@pytest.mark.parametrize("study", FILES, ids=lambda path: path.stem)
def test_studies_fit(study, schema):
    given = tomllib.loads(study.read_text(encoding="utf-8"))
    assert faults(given, schema) == []
    try:
        import jsonschema
    except ImportError:
        return
    jsonschema.Draft7Validator.check_schema(schema)
    assert [error.message for error in jsonschema.Draft7Validator(schema).iter_errors(given)] == []


@pytest.mark.parametrize(
    "old, new, where",
    [
        ('span = "1240 mm"', 'span = "1240"', ".stock.span: pattern or length"),
        ('span = "1240 mm"', 'span = "1240 g"', ".stock.span: pattern or length"),
        ('span = "1240 mm"', "span = 1240", ".stock.span: no string"),
        ('span = "1240 mm"', 'sapn = "1240 mm"', ".stock.sapn: unknown"),
        ("[elevon]", "[elevator]", ".elevator: unknown"),
        ('scheme = "scaled"', 'scheme = "stretched"', ".stretch.scheme: not one of the choices"),
        ("reserve", "reserves", ".fly.reserves: unknown"),
    ],
)
def test_wrong_ones_do_not_fit(old, new, where, schema):
    text = (STUDIES / "godwit.toml").read_text(encoding="utf-8")
    assert old in text
    assert where in faults(tomllib.loads(text.replace(old, new, 1)), schema)


def test_every_key_says_what_it_means_and_what_leaving_it_out_does(schema):
    for name, table in TABLES.items():
        told = schema["properties"][name]
        for _ in range(2):  # through a list of tables, and one that may stand alone
            told = told.get("items", told.get("anyOf", [told])[-1])
        assert list(told["properties"]) == list(table.model.model_fields)
        for key, field in table.model.model_fields.items():
            entry, one = key_type(field), told["properties"][key]
            assert entry.allowed in one["description"] and entry.meaning[1:] in one["description"]
            assert field.is_required() or "Left out: " in one["description"]
            units = [unit for unit in UNITS.get(entry.kind.rpartition(", ")[2], {}) if unit]
            assert not units or f"Units: {', '.join(units)}." in one["description"]
    assert schema["properties"]["limits"]["properties"]["climb"]["default"] == "2 m/s"
    assert "null" not in str(schema) and schema["required"] == ["stock", "stretch"]


def test_a_default_fits_its_own_key(schema):
    count = 0
    for table in schema["properties"].values():
        inner = table.get("items", table.get("anyOf", [table])[-1])
        for key, one in inner["properties"].items():
            if "default" in one:
                count += 1
                assert faults(one["default"], one) == [], key
    fields = [field for table in TABLES.values() for field in table.model.model_fields.values()]
    assert count == sum(not field.is_required() and field.default is not None for field in fields)


def test_measurements_have_a_schema_of_their_own():
    schema = measurements_schema(MEASUREMENTS)
    assert faults({"columns": {"time": "t (s)", "amps": ["Curr", "A"], "volts": ["V", "V"]}}, schema) == []
    assert faults({"columns": {"amps": 3}}, schema) == [".columns.amps: fits none"]
