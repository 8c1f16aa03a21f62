"""Parts compared on one wing: the wing's own row equals its own assessment, and the order is that of the purpose."""

import numpy as np
import pytest
from helpers.edited import edited
from helpers.invented.invented_result import sample_result
from helpers.places import GODWIT

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.aircraft.assessment.parts_comparison import parts_comparison
from tradestudy.aircraft.model.speed_sweep import SpeedSweep, best_speed
from tradestudy.physics.propulsion import drive_train
from tradestudy.report.words.flight_tables import part_heads, part_names, part_rows, part_words
from tradestudy.study.reader import read_study

TEXT = GODWIT.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def wing(tmp_path_factory):
    """Return the Godwit with two packs to try. One propeller keeps the motor within its rating, the other does not."""
    path = tmp_path_factory.mktemp("compared") / "godwit.toml"
    path.write_text(
        edited(
            TEXT, ("parallel = [2, 3, 4]", "parallel = [2]"), ('maximum_current = "34 A"', 'maximum_current = "27 A"')
        ),
        encoding="utf-8",
    )
    study = read_study(path)
    return study, anchor_of(study)


@pytest.fixture(scope="module")
def result(wing):
    study, anchor = wing
    return sample_result(compared=parts_comparison(study, anchor, anchor.choice, anchor.variables, 10.65))


def test_every_combination_is_there_once(result):
    rows = result.compared
    assert len(rows) == len({(row.propeller, row.motor, row.pack) for row in rows}) == 2 * 2 * 2
    assert sum(row.own for row in rows) == 1


def test_the_wings_own_row_is_its_own(wing, result):
    """Compare with the same wing evaluated alone: speeds to 0.05 km/h, what depends on them to 1e-4, the rest to
    digits."""
    study, anchor = wing
    own = next(row for row in result.compared if row.own)
    sweep = SpeedSweep(anchor.data, anchor.choice, anchor.variables)
    best = best_speed(sweep)
    steady = sweep.power_at(best)
    assert own.speed_kmh == pytest.approx(3.6 * best, abs=0.05)
    assert own.range_km == own.gain == pytest.approx(1e-3 * float(steady.range[0]), rel=1e-4)
    assert own.hold_a == pytest.approx(float(steady.mean_current[0]), rel=2e-3)  # its slope over 0.05 km/h
    assert own.top_speed_kmh == pytest.approx(3.6 * sweep.top_speed(11.0), abs=0.01)
    assert own.auw_g == pytest.approx(1840, abs=1e-3)  # as weighed
    area = float(sweep.shape.area)
    assert own.wing_loading_g_dm2 == pytest.approx(18.40 / area, rel=1e-5)
    full = drive_train.full_throttle(sweep.powertrain, np.zeros(1), sweep.data.power.air_density, 1.0, 9.0)
    assert own.thrust_to_weight == pytest.approx(float(full.shaft.thrust[0]) / (1.840 * 9.80665), rel=1e-4)
    assert own.w_per_kg == pytest.approx(float(full.pack_current[0] * full.pack_voltage[0]) / 1.840, rel=1e-4)
    assert own.first_rating_pct == pytest.approx(100 * float(full.shaft.motor_current[0]) / 27, rel=1e-4)


def test_best_first_and_what_breaks_something_last(result):
    rows = result.compared
    sound = [row for row in rows if not row.violations]
    assert rows[: len(sound)] == sound
    gains = [row.gain for row in sound]
    assert gains == sorted(gains, reverse=True)
    broken = next(row for row in rows if any("motor may carry" in why for why in row.violations))
    assert broken.full_throttle_motor_current_a > 27
    assert broken.first_rating == "motor" and broken.first_rating_pct > 100


def test_parts_do_what_parts_do(result):
    """Check that a slower winding turns slower and draws less, at equal propeller and pack.

    Fewer Ah fly less far, and weigh less.
    """
    rows = {(row.propeller, row.motor, row.pack): row for row in result.compared}
    own, slow = (rows["10x6", motor, "4S2P 21700 5.0 Ah"] for motor in ("the wing's own", "slower winding"))
    assert slow.full_throttle_current_a < own.full_throttle_current_a
    assert slow.top_speed_kmh < own.top_speed_kmh and slow.w_per_kg < own.w_per_kg
    less = rows["10x6", "the wing's own", "2.5 Ah high-current cells"]
    # half of the charge, on a wing lighter by a sixth
    assert 0.50 < less.range_km / own.range_km < 0.60 and less.auw_g < own.auw_g


def test_the_words_name_the_best_and_every_reason(result):
    letters, packs = part_names(result)
    assert letters == "Motors: A the wing's own, B slower winding."
    assert packs == "Packs: 1 4S2P 21700 5.0 Ah, 2 2.5 Ah high-current cells."
    best, *reasons = part_words(result)
    first, second, *_ = result.compared
    assert first.own and best == (
        f"The wing's own parts are best: it flies furthest, {100 * (first.gain / second.gain - 1):.1f} % more "
        "than the next best."
    )
    marked = [row[0].removeprefix("* ") for row in part_rows(result) if row[0].startswith("* ")]
    assert marked and all(any(name in reason for reason in reasons) for name in marked)
    assert {len(row) for row in part_rows(result)} == {len(part_heads(result))}
