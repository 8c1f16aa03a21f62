"""The JSON Schema for editors: the example studies fit it, and wrong ones do not.

It is checked by the general library jsonschema if that is installed (it is no dependency), else by the checks here.
"""

import re
import tomllib

import pytest
from helpers.places import STUDIES

from tradestudy.quantities import UNITS
from tradestudy.study.json_schema import measurements_schema, study_schema
from tradestudy.study.schema.study import STUDY_TABLES, key_type

FILES = sorted(STUDIES.glob("*.toml"))


@pytest.fixture(scope="module")
def schema():
    return study_schema()


def faults(value, schema, place=""):
    """Return where a value does not fit a schema, for the keywords of JSON Schema that are used."""
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
    kind = schema.get("type")
    if kind and (not isinstance(value, types[kind]) or isinstance(value, bool) and kind != "boolean"):
        return [f"{place}: no {kind}"]
    misfits = [] if value in schema.get("enum", [value]) else [f"{place}: not one of the choices"]
    if isinstance(value, str):
        at_most = schema.get("maxLength", len(value))
        if not re.search(schema.get("pattern", ""), value) or not schema.get("minLength", 0) <= len(value) <= at_most:
            misfits.append(f"{place}: pattern or length")
    if isinstance(value, int | float) and not schema.get("minimum", value) <= value <= schema.get("maximum", value):
        misfits.append(f"{place}: out of range")
    if isinstance(value, list):
        if not schema.get("minItems", 0) <= len(value) <= schema.get("maxItems", len(value)):
            misfits.append(f"{place}: length")
        inner = schema.get("items", {})
        each = inner if isinstance(inner, list) else [inner] * len(value)
        misfits += [
            one
            for index, pair in enumerate(zip(value, each, strict=False))
            for one in faults(*pair, f"{place}[{index}]")
        ]
    if isinstance(value, dict):
        misfits += [f"{place}.{key}: missing" for key in schema.get("required", []) if key not in value]
        for key, one in value.items():
            if key not in schema["properties"]:
                misfits.append(f"{place}.{key}: unknown")
            else:
                misfits += faults(one, schema["properties"][key], f"{place}.{key}")
    return misfits


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
        ('span = "1300 mm"', 'span = "1300"', ".stock.span: pattern or length"),
        ('span = "1300 mm"', 'span = "1300 g"', ".stock.span: pattern or length"),
        ('span = "1300 mm"', "span = 1300", ".stock.span: no string"),
        ('span = "1300 mm"', 'sapn = "1300 mm"', ".stock.sapn: unknown"),
        ("[elevon]", "[elevator]", ".elevator: unknown"),
        ('scheme = "scaled"', 'scheme = "stretched"', ".stretch.scheme: not one of the choices"),
        ("reserve", "reserves", ".fly.reserves: unknown"),
    ],
)
def test_wrong_studies_do_not_fit(old, new, where, schema):
    text = (STUDIES / "godwit.toml").read_text(encoding="utf-8")
    assert old in text
    assert where in faults(tomllib.loads(text.replace(old, new, 1)), schema)


def test_every_key_has_its_meaning_and_its_default(schema):
    for name, table in STUDY_TABLES.items():
        table_schema = schema["properties"][name]
        for _ in range(2):  # through a list of tables, and one that may be a single table
            table_schema = table_schema.get("items", table_schema.get("anyOf", [table_schema])[-1])
        assert list(table_schema["properties"]) == list(table.model.model_fields)
        for key, field in table.model.model_fields.items():
            entry, one = key_type(field), table_schema["properties"][key]
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
    fields = [field for table in STUDY_TABLES.values() for field in table.model.model_fields.values()]
    assert count == sum(not field.is_required() and field.default is not None for field in fields)


def test_measurements_have_their_own_schema():
    schema = measurements_schema()
    assert faults({"columns": {"time": "t (s)", "amps": ["Curr", "A"], "volts": ["V", "V"]}}, schema) == []
    assert faults({"columns": {"amps": 3}}, schema) == [".columns.amps: fits none"]
