"""The effect of an open input: leaving out any key changes the result within its band. Rows, rank and total."""

import copy
import json
import tomllib

import numpy as np
import pytest
from helpers.places import STUDIES

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.anchor.full_throttle_defaults import with_full_throttle_defaults
from tradestudy.aircraft.model.speed_sweep import best_speed, best_speed_near
from tradestudy.commands.assess import bands
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import StudyFileError
from tradestudy.physics.propulsion.motor import MotorClass, motor_from_class
from tradestudy.physics.propulsion.pack import open_circuit_voltage
from tradestudy.report.words import input_effects as told
from tradestudy.results.json_form import json_data
from tradestudy.results.result import result_from_json
from tradestudy.study.assumed_values.apply_rules import ASSUMABLE
from tradestudy.study.reader import read_study, study_from_tables
from tradestudy.study.schema.study import STUDY_TABLES
from tradestudy.uncertainty import input_effects, inputs_with_bands, variants
from tradestudy.uncertainty.built_inputs import built_inputs

# values that a builder of the Lapwing would have measured for everything that the study leaves open
LAPWING_AS_IT_IS = {
    ("stock", "up_elevon"): "2 mm", ("stock", "not_listed_by_area"): 0.25, ("stock", "not_listed_by_joints"): 0.12,
    ("motor", "thrust_line_height"): "5 mm", ("pack", "cell"): "21700 5.0 Ah energy",
    ("equipment", 0, "power"): "9 W", ("drag_item", 0, "drag_area"): "14 cm2", ("bay", 0, "width"): "200 mm",
    ("bay", 0, "lid"): "4 mm", ("bay", 0, "floor"): "4 mm",
    ("elevon", "inner_end"): "110 mm", ("fin", 0, "height"): "170 mm", ("pack", "temperature"): "10 C",
    ("pack", "health"): "92 %", ("motor", "no_load_rise"): "50 %", ("motor", "winding_temperature"): "40 C",
    ("controller", "resistance"): "15 mohm", ("controller", "part_throttle_loss"): "9 %",
    ("built", "section_drag_factor"): 1.5, ("built", "wake_drag_factor"): 1.2,
    ("built", "drive_power_factor"): 1.07}  # fmt: skip
LAPWING_KEYS = (*LAPWING_AS_IT_IS, ("power", "capacity"), ("power", "pack_weight"))
# Leaving out these means that the part does not exist, that the tip has its airfoil's own thickness, or makes a
# variable free: no measured value with a band.
NOT_THERE = {("fin",), ("joiner",), ("rods",), ("known_flight",), ("stock", "tip_thickness")}
# The band of a listed part is that of its drag area, whatever its size. Without its kind it counts as all usual odds
# and ends together.
OF_LISTED_PARTS = {"width", "height", "length", "diameter", "kind"}
# Both ends of its band make the wing stronger than the demo's value between them, so neither shows that load.
WEAKEST_BETWEEN = {("stock", "centre_width")}
CHOICES = ("study", "stretch", "choices", "limits")
# Keys with a rule but no band: names, keys that only restate the short tables, and the arrangement of cells, which only
# affects whether the pack fits. Servos only bound what is refused, and those of a wing that flies hold what it needs.
NO_BAND = {
    ("bay", "name"), ("rods", "name"), ("equipment", "name"), ("equipment", "mass"), ("equipment", "from_nose"),
    ("drag_item", "kind"), ("elevon", "root_chord"), ("elevon", "tip_chord"), ("motor", "size"),
    ("motor", "speed_constant"), ("propeller", "size"), ("pack", "series"), ("pack", "parallel"), ("pack", "capacity"),
    ("pack", "weight"), ("pack", "bay"), ("pack", "cells_across"), ("pack", "cells_high"), ("bay", "raised_lid"),
    ("linkage", "servo_torque"), ("linkage", "servo_arm"), ("linkage", "horn"),
}  # fmt: skip
# If the result has its best inside the band (a rod in a stiffer place, a suitable trim), neither end shows it. Also,
# assumed lengths are whole millimetres. Tolerances: a thousandth of range; a tenth of a millimetre of balance, less
# than can be marked; 2 % of breaking load, far below the scatter of foam (a factor of two).
LOOKED_AT = [0, 1, 3]  # the pack's place follows from the balance mark
SLACK = np.array([1e-3 * 131e3, 1e-4, 1.0, 0.02 * 5.2])


def places(raw):
    """Return every place of a study's tables: complete tables, and each key of them."""
    for table, item in raw.items():
        yield (table,)
        if isinstance(item, dict):
            yield from ((table, key) for key in item)
        else:
            yield from ((table, index, key) for index, one in enumerate(item) for key in one)


def without(raw, place):
    left = copy.deepcopy(raw)
    item = left
    for step in place[:-1]:
        item = item[step]
    del item[place[-1]]
    return left


def stretched_as_held(study):
    """Return the wing half way to the longest span with the stock parts, all else as on the stock wing."""
    anchor = anchor_of(study)
    extension = 0.5 * (0.5 * sum(study.stretch.span) - study.stock.span)
    return variants.fixed_design(study, anchor, anchor.choice, {**anchor.variables, "extension": extension})


def band_of_left_out(study, raw, held, answer, known):
    """Return by how much the bands of the left-out inputs extend down and up, of shape (4,) each."""
    anchor = anchor_of(study) if any(str(used.low).startswith("x") for used in study.defaults_used) else None
    down, up = np.zeros(4), np.zeros(4)
    left_out = {used.key for used in study.defaults_used}
    built = (each for each in built_inputs(study, held.choice) if each[0].key in left_out)
    for each in (*inputs_with_bands.default_inputs(study, anchor), *(variants.Input(*one, "assumed") for one in built)):
        if each.used.key not in known:
            found = variants.input_variants(study, raw, held, each, answer).sides
            sides = [
                np.zeros(4),
                *(np.subtract(side.key_numbers, answer.key_numbers) for side in found if side is not None),
            ]
            down, up = down + np.min(sides, axis=0), up + np.max(sides, axis=0)
    return down, up


def banded(used):
    """Return (table, key) of the defaults of a study that have a band."""
    return {(used.place[0], used.place[-1]) for used in used if used.low is not None}


@pytest.mark.thorough
def test_leaving_out_any_one_input_moves_the_answer_within_its_band():
    """Check every key of a study that states all, one by one, and those that only a short study can leave open."""
    lapwing = tomllib.loads((STUDIES / "lapwing.toml").read_text(encoding="utf-8"))
    for place, value in LAPWING_AS_IT_IS.items():
        lapwing = variants.put(lapwing, place, value)
    godwit = tomllib.loads((STUDIES / "godwit.toml").read_text(encoding="utf-8"))
    wrong, seen, moved = [], set(), 0
    for name, raw, some in (("godwit", godwit, None), ("lapwing", lapwing, LAPWING_KEYS)):
        path = STUDIES / f"{name}.toml"
        truth = with_full_throttle_defaults(study_from_tables(raw, path, ""))
        held = stretched_as_held(truth)
        measured = np.array(variants.key_numbers(variants.evaluated_design(truth, held)[1]))
        known = {used.key for used in truth.defaults_used}
        for place in some or places(raw):
            if place in NOT_THERE or place[0] in CHOICES:
                continue
            if place[0] == "drag_item" and place[-1] in OF_LISTED_PARTS:
                continue
            left = without(raw, place)
            try:
                study = with_full_throttle_defaults(study_from_tables(left, path, ""))
            except StudyFileError:
                continue  # it must be stated
            answer = variants.variant_numbers(study, held)
            change = measured - np.array(answer.key_numbers)
            seen |= banded(used for used in study.defaults_used if used.key not in known)
            if np.any((np.abs(change) > SLACK)[LOOKED_AT]):
                moved += 1
                down, up = band_of_left_out(study, left, held, answer, known)
                looked_at = LOOKED_AT[:2] if place in WEAKEST_BETWEEN else LOOKED_AT
                if not ((down - SLACK <= change) & (change <= up + SLACK))[looked_at].all():
                    wrong.append((name, place, change.tolist(), down.tolist(), up.tolist()))
    assert not wrong
    assert moved > 15  # otherwise the bands were not tested
    with_rule = {(table, key) for table, key in ASSUMABLE if table not in CHOICES}
    by_schema = {
        (table, key)
        for table, one in STUDY_TABLES.items()
        for key, field in one.model.model_fields.items()
        if (field.json_schema_extra or {}).get("low") is not None
    }
    assert (with_rule | by_schema) - seen == NO_BAND


# --- rows, rank and total ----------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def opened(tmp_path_factory):
    """Return a Godwit with five more open inputs and its static margin from the stock wing: (work, result)."""
    lines = (STUDIES / "godwit.toml").read_text(encoding="utf-8").splitlines()
    gone = ("reserve =", "resistance =", "finish =", "static_margin =")
    foam = lines.index("[foam]") + 1
    power = next(index for index, line in enumerate(lines) if line.startswith('power = "6 W"'))
    kept = [line for index, line in enumerate(lines) if not line.startswith(gone) and index not in (foam, power)]
    file = tmp_path_factory.mktemp("bands") / "godwit.toml"
    file.write_text("\n".join(kept), encoding="utf-8")
    work = StudySession(read_study(file), "test")
    return work, bands(work, RequestedWing(span=1.4))


def rows(result):
    return {row.key: row for row in result.input_effects}


@pytest.mark.thorough
def test_every_assumed_and_measured_input_has_a_row(opened):
    work, result = opened
    found = rows(result)
    assert len(found) == len(result.input_effects)
    assumed = {used.key for used in work.study.defaults_used if used.low is not None}
    assert {key for key, row in found.items() if row.kind == "assumed"} == assumed
    assert {"stock.span", "stock.tip_set_back", "stock.flying_weight", "elevon.tip_chord"} <= {
        key for key, row in found.items() if row.kind == "measured"
    }


@pytest.mark.thorough
def test_an_item_of_a_list_is_named(opened):
    found = rows(opened[1])
    assert found["equipment[1].power"].name == "camera and video transmitter"
    assert found["drag_item[1].count"].name == "open camera nose" and found["fly.reserve"].name == ""


@pytest.mark.thorough
def test_effect_of_a_reserve_is_the_energy_of_that_charge(opened):
    """Check a reserve of 10 or 30 % of the charge rather than 20: range follows energy below the open-circuit voltage.

    The drop of voltage under load, a little larger at lower voltage, takes off some 1 %.
    """
    work, result = opened
    cells = work.anchor.data.power.powertrain.pack

    def energy(empty, full):
        return (full - empty) * float(np.mean(open_circuit_voltage(cells, np.linspace(empty, full, 201))))

    found, full = rows(result)["fly.reserve"].range_km, result.best.numbers.range_km
    more, less = energy(0.1, 0.2) / energy(0.2, 1), -energy(0.2, 0.3) / energy(0.2, 1)
    assert np.array(found) / full == pytest.approx([more, less], rel=0.03)


@pytest.mark.thorough
def test_effect_of_equipment_is_its_share_of_the_watts(opened):
    """Check power assumed 0 W that may be 8 W: range is proportional to one over the power.

    Voltage and a new best speed change that by a tenth.
    """
    low, high = rows(opened[1])["equipment[1].power"].range_km
    result = opened[1]
    watts = sum(result.best.watts.values()) * result.spread.over_medians["range_km"]  # at the medians of all inputs
    assert low == 0 and high / result.best.numbers.range_km == pytest.approx(-8 / (watts + 8), rel=0.10)


@pytest.mark.thorough
def test_the_balance_mark_moves_with_the_stock_wing_that_was_measured(opened):
    """Check that two millimetres of margin on one wing are two on the other, since they share their chords.

    Their mean chords differ by 1 % at most, as the centre piece keeps its width.
    """
    found = rows(opened[1])["stock.balance_from_nose"]
    assert found.balance_mm == pytest.approx((-2, 2), rel=0.02)


@pytest.mark.thorough
def test_a_margin_that_the_study_asks_for_stays(opened):
    work, _ = opened
    study = read_study(STUDIES / "godwit.toml")
    held = stretched_as_held(study)
    assert held.over_stock == frozenset() and stretched_as_held(work.study).over_stock == {"static_margin"}
    nominal = variants.key_numbers(variants.evaluated_design(study, held)[1])
    other = variants.possible_variant(
        study, variants.given_tables(study), {("stock", "balance_from_nose"): "191 mm"}, held
    )
    moved = variants.KeyNumbers(*np.subtract(other.key_numbers, nominal))
    assert moved.balance == pytest.approx(0, abs=1e-9)  # rounding; margin and neutral point are both constant
    # The stock wing's balance then determines where the mass not itemised is, so the pack moves the other way. Its
    # weight (0.6 kg) balances the moment of 1.84 kg over 2 mm.
    assert moved.pack == pytest.approx(-0.002 * 1.84 / work.anchor.data.layout.cell_mass / 8 / 1.06, rel=0.06)


@pytest.mark.thorough
def test_a_share_is_of_the_value_in_use(opened):
    """Check x0.6 to x1.6 of the rule for motor classes, computed by the rule itself."""
    from tradestudy.catalogue import catalogue_part

    work, _ = opened
    one = catalogue_part("motor_classes", "28 mm")
    rule = motor_from_class(
        MotorClass(*(one[name] for name in MotorClass._fields)), work.study.motor.speed_constant, work.study.motor.mass
    )
    inputs = inputs_with_bands.default_inputs(work.study, work.anchor)
    each = next(each for each in inputs if each.used.key == "motor.resistance")
    written = [float(side["motor", "resistance"].split()[0]) for side in each.sides]
    assert written == pytest.approx([0.6e3 * rule.resistance, 1.6e3 * rule.resistance], rel=1e-4)  # digits written


@pytest.mark.thorough
def test_rank_total_and_what_to_measure_first(opened):
    _, result = opened
    known = result.uncertainty

    def most(row, name):
        return max((abs(side) for side in getattr(row, name) if side is not None), default=0.0)

    for row in result.input_effects:  # a tenth of the range weighs as much as 6 mm of balance mark
        score = most(row, "range_km") / (0.1 * result.best.numbers.range_km) + most(row, "balance_mm") / 6
        assert row.score == pytest.approx(score, abs=2e-3)  # tolerance: digits of the result
    scores = [row.score for row in result.input_effects]
    assert scores == sorted(scores, reverse=True) and scores[0] > 0.5
    counted = [row for row in result.input_effects if not row.key.startswith("fly.")]
    for name in ("range_km", "balance_mm", "pack_mm", "failure_load_factor"):  # one band, not two ways of adding
        low, _, high = getattr(result.spread.percentiles, name)
        assert getattr(known, name) == pytest.approx(0.5 * (high - low), abs=6e-3)  # tolerance: digits
    first = next(row for row in counted if row.kind == "assumed")
    assert f"easure {first.key} (" in known.measure_first and "it moves the range by " in known.measure_first
    assert known.strength_first.startswith("For strength find out foam.material (")


def test_one_flight_comes_first_where_it_narrows_the_band_more_than_any_value():
    def row(kind, low, high):
        pair = (0.0, 0.0)
        return input_effects.InputEffect("motor.mass", "1 g", "", "", (low, high), pair, pair, pair, kind, 1.0)

    rows, band, without = [row("assumed", -8.0, 3.0)], (90.0, 110.0), (94.0, 106.0)
    flight = input_effects.measure_first(rows, band, (95.0, 106.0), without)
    assert flight.startswith("Before you build, write down one flight of the stock wing")
    assert "from 90\N{EN DASH}110 to about 95\N{EN DASH}106 km" in flight
    for after in ((93.0, 106.0), ()):
        assert input_effects.measure_first(rows, band, after, without) == (
            "Measure motor.mass (mass with wires and mount screws) first: it moves the range by \N{MINUS SIGN}8.0 to "
            "+3.0 km."
        )
    assert input_effects.measure_first([row("measured", -8.0, 3.0)], band, (99.0, 101.0), without).startswith(
        "Everything was given"
    )
    assert input_effects.measure_first([]) == ""


@pytest.mark.thorough
def test_a_flight_takes_what_it_tells_out_of_the_band(opened):
    """Check a flight with the charge to expect: the losses absorb most of what affects both wings.

    These are equipment, motor and finish. What the flight leaves is about its own error of 10 %.
    """
    known, (_, expected, _) = opened[1].uncertainty, opened[1].spread.percentiles.range_km
    low, high = known.range_after_flight_km
    assert 0.2 * known.range_km < 0.5 * (high - low) < 0.9 * known.range_km
    assert low < expected < high


@pytest.mark.thorough
def test_the_best_speed_is_found_in_one_look(opened):
    work, _ = opened
    held = variants.fixed_design(work.study, work.anchor, work.anchor.choice, work.anchor.variables)
    flown, _ = variants.evaluated_design(work.study, held)
    best = best_speed(flown)
    for off in (0.8, 1.0, 1.2):
        found = best_speed_near(flown, "distance", off * best)
        # a parabola through three points 3 % of speed apart: very little of the range is lost
        assert flown.gain_at(found)[0] == pytest.approx(flown.gain_at(best)[0], rel=1e-4)


@pytest.mark.thorough
def test_rows_survive_json_and_come_greatest_first(opened):
    _, result = opened
    again = result_from_json(result.to_json())
    assert json.loads(result.to_json())["uncertainty"] == json_data(again.uncertainty)
    assert again.uncertainty == result.uncertainty
    order = [row.key for row in again.input_effects if row.kind in ("assumed", "listed")]
    assert [each.key for each, _ in told.assumed_inputs(again)] == order
    assert told.change_words([None, -3.2], "range_km") == "not possible / \N{MINUS SIGN}3.2"
    assert told.change_words([0.01, -0.02], "range_km") == ""
    assert told.change_words([None, None], "range_km") == "not possible"
    assert any(line == result.uncertainty.measure_first for line in told.uncertainty_words(again))
    assert told.uncertainty_words(type(result)(**{**vars(result), "uncertainty": None})) == []


def test_a_value_is_put_in_its_place_and_the_tables_given_stay():
    raw = {"stock": {"span": "1 m"}, "rods": {"diameter": "3 mm"}}
    before = copy.deepcopy(raw)
    assert variants.put(raw, ("stock", "span"), "2 m")["stock"] == {"span": "2 m"}
    assert variants.put(raw, ("rods", 0, "pairs"), 2)["rods"] == [{"diameter": "3 mm", "pairs": 2}]
    assert variants.put(raw, ("fin", 1, "height"), "9 mm")["fin"] == [{}, {"height": "9 mm"}]
    assert variants.put(raw, ("fly", "reserve"), "10 %")["fly"] == {"reserve": "10 %"}
    assert variants.put(raw, ("rods", 0, "diameter"), None)["rods"] == [{}]
    assert raw == before


@pytest.mark.thorough
def test_a_wing_that_cannot_be_is_no_change(opened):
    work, _ = opened
    held = variants.fixed_design(work.study, work.anchor, work.anchor.choice, work.anchor.variables)
    for place, value in (
        (("elevon", "inner_end"), "610 mm"),
        (("stock", "balance_from_nose"), "230 mm"),
        (("foam", "material"), "lead"),
    ):
        assert variants.possible_variant(work.study, variants.given_tables(work.study), {place: value}, held) is None
