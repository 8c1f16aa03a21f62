"""Conversion factors against their legal definitions, and text as a person writes it."""

import math
import re

import numpy as np
import pytest

from tradestudy.quantities import (
    ENDINGS,
    UNITS,
    at_edge,
    from_edge,
    from_si,
    kind_of_unit,
    parse_quantity,
    split_quantity,
    to_si,
    unit_of_name,
)

EXACT = 1e-14


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        # NIST SP 811 (2008), appendix B.8: exact by definition
        ("1 in", "length", 0.0254),
        ("1 ft", "length", 0.3048),
        ("1 lb", "mass", 0.45359237),
        ("1 oz", "mass", 0.028349523125),
        ("1 mph", "speed", 0.44704),
        ("1 kn", "speed", 1852 / 3600),
        ("1 mi", "distance", 1609.344),
        ("1 Wh", "energy", 3600.0),
        ("1 Ah", "charge", 3600.0),
        ("1 rpm", "rotation", math.pi / 30),
        ("180 deg", "angle", math.pi),
        ("32 F", "temperature", 273.15),
        ("212 F", "temperature", 373.15),
        ("0 C", "temperature", 273.15),
        ("1 g/dm2", "areal_mass", 0.1),
        ("36 km/h", "speed", 10.0),
        ("1 rpm/V", "speed_constant", math.pi / 30),
        ("1 Wh/km", "energy_per_distance", 3.6),
        ("1 mAh/km", "charge_per_distance", 3.6e-3),
        ("1 N/mm2", "pressure", 1e6),
        ("38 um", "length", 38e-6),
        ("1 kg cm", "moment", 9.80665e-2),
        ("1 N cm", "moment", 1e-2),
        ("1 oz in", "moment", 7.06155181422604e-3),
    ],
)
def test_exact_factors(text, kind, value):
    assert parse_quantity(text, kind) == pytest.approx(value, rel=EXACT)


@pytest.mark.parametrize("kind", UNITS)
def test_both_ways(kind):
    for unit in UNITS[kind]:
        assert from_si(to_si(12.5, unit, kind), unit, kind) == pytest.approx(12.5, rel=1e-13)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("52 in", 52.0, "in"),
        (" -1.5e-3  m ", -1.5e-3, "m"),
        ("12mm", 12.0, "mm"),
        (".5 deg", 0.5, "deg"),
        ("3 dm²", 3.0, "dm2"),
        ("38 µm", 38.0, "um"),
        ("5", 5.0, ""),
        ("+2. V", 2.0, "V"),
    ],
)
def test_split(text, value, unit):
    assert split_quantity(text) == (value, unit)


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        ("wide", "length", '"wide" does not start with a number'),
        ("3 stone", None, '"3 stone" has no known unit'),
        ("3 kg", "length", '"3 kg" needs one of: mm, cm, m, in, ft, um'),
        ("3", "mass", '"3" needs one of: g, kg, oz, lb'),
    ],
)
def test_messages_for_what_cannot_be_read(text, kind, message):
    with pytest.raises(ValueError, match=f"^{re.escape(message)}$"):
        parse_quantity(text, kind)


def test_c_alone_is_a_temperature():
    assert kind_of_unit("C") == "temperature"
    assert parse_quantity("25 C") == pytest.approx(298.15)
    assert kind_of_unit("furlong") is None


def test_a_name_at_the_edge_ends_in_its_unit():
    assert all(unit in UNITS[kind] for kind, unit in ENDINGS.values())
    assert unit_of_name("mah_per_km") == ("charge_per_distance", "mAh/km")
    assert unit_of_name("range_km") == ("distance", "km")
    assert unit_of_name("wing_loading_g_dm2") == ("areal_mass", "g/dm2")
    assert unit_of_name("failure_load_factor") == ("number", "")


def test_si_values_convert_to_the_unit_of_their_name():
    values = at_edge(
        span_mm=1.2,
        cruise_speed_kmh=np.array(10.0),
        motor_c=300.15,
        spiral_time_s=None,
        first_rating="cell",
        elevon_deg=np.array([math.pi, 0.0]),
    )
    assert values["span_mm"] == pytest.approx(1200) and values["cruise_speed_kmh"] == pytest.approx(36)
    assert type(values["cruise_speed_kmh"]) is float
    assert (
        values["motor_c"] == pytest.approx(27) and values["spiral_time_s"] is None and values["first_rating"] == "cell"
    )
    assert values["elevon_deg"] == pytest.approx([180, 0])
    assert from_edge("span_mm", values["span_mm"]) == pytest.approx(1.2)
