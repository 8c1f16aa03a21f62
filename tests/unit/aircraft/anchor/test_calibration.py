"""Calibration against the stock wing: measured numbers are reproduced, flights are weighted, nonsense is refused."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.places import GODWIT as STUDY_FILE

from tradestudy.aircraft.anchor.calibration import anchor_of, stretched_data
from tradestudy.aircraft.anchor.drag_calibration import (
    FLIGHT_SPREAD,
    charge_by_factors,
    factor_spreads,
    factors_by_charge,
)
from tradestudy.aircraft.anchor.trim_calibration import with_moment_and_losses
from tradestudy.aircraft.model.limit_bounds import limits_of
from tradestudy.aircraft.model.speed_sweep import SpeedSweep, best_speed
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import StudyContradicted
from tradestudy.physics.flight.built_wing import CLEAN, BuiltFactors
from tradestudy.physics.propulsion import pack
from tradestudy.study.reader import read_study

GODWIT = STUDY_FILE.read_text(encoding="utf-8")
CHORD = 36.0  # mm, mean chord of the Godwit's elevon: (46 + 26) / 2
CAPACITY = 10000.0  # mAh, 2 cells of 5 Ah in parallel


@pytest.fixture()
def wing(tmp_path):
    """Return a function for a Godwit read from a file, with up-elevon [mm], known flight (km, min, mAh) and edits."""

    def read(up_elevon=None, flight=None, **replaced):
        text = GODWIT
        for key, value in replaced.items():
            line = next(line for line in text.splitlines() if line.startswith(f"{key} ="))
            assert text.count(line) == 1, line
            text = text.replace(line, f'{key} = "{value}"' if isinstance(value, str) else f"{key} = {value}")
        if up_elevon is not None:
            text = text.replace("[elevon]", f'up_elevon = "{up_elevon} mm"\n\n[elevon]', 1)
        if flight is not None:
            text += '\n[known_flight]\ndistance = "{} km"\ntime = "{} min"\ncharge_used = "{} mAh"\n'.format(*flight)
        file = tmp_path / "godwit.toml"
        file.write_text(text, encoding="utf-8")
        return read_study(file)

    return read


def losses_of(data):
    """Return the three factors of a model's data."""
    return BuiltFactors(
        data.level.section_drag_factor, data.flight.wake_drag_factor, data.power.powertrain.drive_power_factor
    )


def rows(anchor):
    return {tie.what: tie for tie in anchor.calibration}


def charge(anchor, speed, used, factors=CLEAN):
    """Return charge per distance [mAh/km] by the speed card, with losses times ``factors``, down to a share used."""
    data = with_moment_and_losses(anchor.data, 0.0, BuiltFactors(*factors))
    data = replace(data, power=data.power._replace(reserve=1 - used))
    return float(SpeedSweep(data, anchor.choice, anchor.variables).power_at(speed).charge_per_metre[0]) / 3.6e-3


def flight_of(anchor, kmh, factors=CLEAN, used=0.6):
    """Return a flight (km, min, mAh) as the model itself predicts it, with its losses times ``factors``."""
    distance = used * CAPACITY / charge(anchor, kmh / 3.6, used, factors)
    return distance, 60 * distance / kmh, used * CAPACITY


# --- what was measured comes back --------------------------------------------------------------------------


@pytest.mark.parametrize("flight", [None, (60, 60, 4000)])
@pytest.mark.parametrize("up", [-1.5, 0, 4, 5.5])
def test_stock_wing_weighs_balances_and_trims_as_measured(wing, up, flight):
    anchor = anchor_of(wing(up, flight))
    speed = 60 / 3.6 if flight else anchor.variables["cruise_speed"]  # 60 km in 60 min
    sweep = SpeedSweep(anchor.data, anchor.choice, anchor.variables)
    # angle from height and chord by trigonometry; the solution is one linear solve, so the tolerance is rounding
    assert sweep.level(speed).elevon[0] == pytest.approx(-np.arcsin(up / CHORD), abs=1e-10)
    found = rows(anchor)
    for what, measured in (("flying weight", 1840), ("balance behind the nose", 189), ("up-elevon in cruise", up)):
        assert found[what].measured == pytest.approx(measured, abs=1e-9)
        assert found[what].after == pytest.approx(measured, abs=1e-9)  # tolerance: rounding
    assert abs(found["flying weight"].before - 1840) > 50 and abs(found["up-elevon in cruise"].before - up) > 0.1
    # cruise is still the best speed; its curve is flat, so the last step of the offset moves it by less than 0.1 km/h
    assert anchor.variables["cruise_speed"] == pytest.approx(best_speed(sweep), abs=0.1 / 3.6)


def test_every_stretched_wing_carries_the_ties(wing):
    study = wing(4, (60, 60, 5200))
    anchor, own = anchor_of(study), anchor_of(wing())
    # otherwise the rest of the test shows nothing
    assert abs(anchor.moment_offset) > 0.002 and min(anchor.factors) > 1.005
    for propeller in ("10x6", "11x7"):
        choice = replace(own.choice, propeller=propeller)
        data, plain = stretched_data(study, anchor, choice, 10.0), stretched_data(wing(), own, choice, 10.0)
        shift = data.flight.camber.moment_coefficient - plain.flight.camber.moment_coefficient
        assert shift == pytest.approx(anchor.moment_offset, abs=1e-15)  # tolerance: rounding
        times = [mine / theirs for mine, theirs in zip(losses_of(data), losses_of(plain), strict=True)]
        assert times[:2] == pytest.approx(anchor.factors[:2], rel=1e-12)
        # of what the flight says of the drive, the part that is about the propeller does not hold for another one:
        # 0.09 of the drive, 0.08 of a propeller known by its label
        share = 1.0 if propeller == "10x6" else 0.09**2 / (0.09**2 + 0.08**2)
        assert np.log(times[2]) == pytest.approx(share * np.log(anchor.factors.drive_power), rel=1e-9)
        assert data.layout.unlisted == anchor.unlisted
    # on a stretched wing too, the elevon follows the offset: trailing edge further up than with the section's own
    # moment
    longer = anchor.variables | {"extension": 0.1, "cruise_speed": 15.0}
    calibrated, uncalibrated = (SpeedSweep(each, anchor.choice, longer).level(15.0) for each in (data, plain))
    assert calibrated.elevon[0] < uncalibrated.elevon[0] - np.radians(0.5)
    # tolerance: rounding
    fins = [each.other[0] - data.level.parts_drag_area for each in (calibrated, uncalibrated)]
    assert fins[0] / fins[1] == pytest.approx(anchor.factors.section_drag, rel=1e-12)


@pytest.mark.parametrize("flight", [None, (60, 60, 4000)])
def test_stock_wing_cruises_as_its_purpose_asks(wing, flight):
    study = wing(2, flight)
    study = replace(study, fly=study.fly.model_copy(update={"purpose": "usual_flight"}))
    anchor = anchor_of(study)
    sweep = SpeedSweep(anchor.data, anchor.choice, anchor.variables)
    for purpose, same in (("usual_flight", True), ("distance", False)):
        best = best_speed(sweep, purpose)
        assert (abs(anchor.variables["cruise_speed"] - best) < 0.1 / 3.6) == same  # tolerance as above
    speed = 60 / 3.6 if flight else anchor.variables["cruise_speed"]
    assert sweep.level(speed).elevon[0] == pytest.approx(-np.arcsin(2 / CHORD), abs=1e-10)


def test_no_elevon_in_cruise_leaves_the_stretched_wing_some(wing):
    study = wing(0)
    study = replace(study, limits=study.limits.model_copy(update={"up_elevon": None}))
    anchor = anchor_of(study)
    limits = {limit.name: limit for limit in limits_of(study, anchor.reference, anchor.choice, 1)}
    assert abs(anchor.reference.elevon) < 1e-9
    assert limits["down_elevon"].bound == pytest.approx(np.radians(1))
    assert -limits["up_elevon"].bound == pytest.approx(np.radians(1 + 2))  # a little more than the stock wing


def test_nothing_measured_changes_nothing_and_is_reported(wing):
    anchor = anchor_of(wing())
    assert anchor.moment_offset == 0 and anchor.factors == CLEAN
    assert list(rows(anchor)) == ["flying weight", "balance behind the nose"]
    kept = " ".join(anchor.not_measured)
    assert "stock.up_elevon" in kept and "No flight was measured" in kept
    sweep = SpeedSweep(anchor.data, anchor.choice, anchor.variables)
    height = -CHORD * np.sin(sweep.level(anchor.variables["cruise_speed"]).elevon[0])
    assert f"{height:.1f} mm up at {3.6 * anchor.variables['cruise_speed']:.0f} km/h" in kept


def test_result_carries_ties_in_edge_units(wing):
    result = StudySession(wing(2, (60, 60, 5200)), "test").stock_result()
    assert [tie.unit for tie in result.calibration] == ["g", "mm", "mm", "mAh/km"]
    assert result.calibration[3].measured == pytest.approx(5200 / 60)
    assert any("One flight cannot tell drag of the section" in line for line in result.calibration_notes)
    assert result.stock.numbers.auw_g == pytest.approx(1840, abs=1e-4)  # tolerance: digits of the result
    # the parts of drag still sum to the total: power that moves the wing, over speed and dynamic pressure
    numbers, curves = result.stock.numbers, result.stock.curves
    drag = np.interp(numbers.cruise_speed_kmh, curves.speed_kmh, curves.drag_n)
    density = 1.225 * (1 - 2.25577e-5 * 100) ** 4.2559  # ISO 2533 at 100 m
    pressure = 0.5 * density * (numbers.cruise_speed_kmh / 3.6) ** 2
    # tolerance 0.3 %: the curve is drawn through points
    assert sum(result.stock.drag_cm2.values()) == pytest.approx(1e4 * drag / pressure, rel=3e-3)
    # the flight's factors move neither listed parts nor the clean section, only the rows of what is built
    plain = StudySession(wing(), "test").stock_result().stock
    assert result.stock.drag_cm2["hatch edge"] == pytest.approx(plain.drag_cm2["hatch edge"], abs=1e-3)
    clean = result.stock.drag_cm2["section drag"] + result.stock.drag_cm2["fins"]
    factor = 1.25 * anchor_of(wing(2, (60, 60, 5200))).factors.section_drag
    # tolerance: digits of the result
    assert result.stock.drag_cm2["section and fins as built"] == pytest.approx((factor - 1) * clean, abs=5e-3)


# --- the three losses --------------------------------------------------------------------------------------


def test_flight_as_modelled_changes_nothing(wing):
    anchor = anchor_of(wing(flight=flight_of(anchor_of(wing()), 62)))
    assert anchor.factors == pytest.approx(CLEAN, abs=1e-9)  # tolerance: digits of the file
    tie = rows(anchor)["charge for a kilometre"]
    assert tie.before == pytest.approx(tie.measured, rel=1e-9) and tie.after == pytest.approx(tie.measured, rel=1e-9)


@pytest.mark.parametrize(("true", "kmh"), [((1.3, 1.2, 1.1), 75), ((0.75, 0.9, 0.95), 85)])
def test_flight_with_other_losses_is_shared_by_their_doubt(wing, true, kmh):
    """Check the textbook weighting of one measurement among three normal laws, exact if the model were linear.

    Its slopes change by some per cent over the range. They are taken by differences through the speed card, half way.
    """
    own = anchor_of(wing())
    anchor = anchor_of(wing(flight=flight_of(own, kmh, true)))
    logs, prior = np.log(anchor.factors), np.array(factor_spreads(wing()))
    way = np.exp(0.5 * np.log(true))
    slopes = [
        np.log(charge(own, kmh / 3.6, 0.6, way * np.exp(1e-4 * each)) / charge(own, kmh / 3.6, 0.6, way)) / 1e-4
        for each in np.eye(3)
    ]
    tie = rows(anchor)["charge for a kilometre"]
    miss = np.log(tie.measured / tie.before)
    gain = prior**2 * slopes / (np.sum((prior * slopes) ** 2) + FLIGHT_SPREAD**2)
    assert logs == pytest.approx(gain * miss, abs=0.05 * abs(miss))
    assert tie.before == pytest.approx(charge(own, kmh / 3.6, 0.6), rel=1e-9)
    assert tie.after == pytest.approx(charge(own, kmh / 3.6, 0.6, anchor.factors), rel=1e-9)
    assert min(tie.before, tie.measured) < tie.after < max(tie.before, tie.measured)


@pytest.mark.parametrize("slopes", [(0.2, 0.1, 1.0), (0.5, 0.3, 0.9)])
@pytest.mark.parametrize("measured", [-0.9, 0.03, 0.4])
def test_weighting_of_normal_laws(slopes, measured):
    """Compare with priors N(0, p^2) and a measurement N(e x, m^2): mean and covariance of the product, any textbook."""
    prior, slopes = np.array([0.28, 0.18, 0.12]), np.array(slopes)
    logs, covariance = factors_by_charge(lambda x: slopes @ x, measured, prior)
    expected = np.linalg.inv(np.diag(prior**-2) + np.outer(slopes, slopes) / FLIGHT_SPREAD**2)
    assert covariance == pytest.approx(expected, rel=1e-9)
    assert logs == pytest.approx(expected @ slopes * measured / FLIGHT_SPREAD**2, rel=1e-9)


def test_a_factor_without_doubt_is_held(wing):
    study = wing(flight=(60, 60, 6000))
    held = study.built.model_copy(update={"section_drag_spread": 0.0, "drive_power_spread": 0.0})
    anchor = anchor_of(replace(study, built=held))
    assert anchor.factors.section_drag == anchor.factors.drive_power == 1 and anchor.factors.wake_drag > 1.05


def test_most_probable_is_the_least_of_many_near_it(wing):
    """Check that no step of 0.02 in any direction is more probable, for a flight far from linear."""
    study = wing(flight=(60, 60, 7000))
    anchor = anchor_of(wing())
    log_charge = charge_by_factors(study.known_flight, SpeedSweep(anchor.data, anchor.choice, anchor.variables))
    measured = np.log(study.known_flight.charge_used / study.known_flight.distance)
    prior = np.array(factor_spreads(study))

    def misfit(logs):
        return np.sum((logs / prior) ** 2) + ((measured - log_charge(logs)) / FLIGHT_SPREAD) ** 2

    best = np.log(anchor_of(study).factors)
    steps = np.random.default_rng(4).normal(size=(60, 3))
    steps *= 0.02 / np.linalg.norm(steps, axis=1)[:, None]
    assert all(misfit(best + step) > misfit(best) for step in steps)


def test_discharge_is_that_of_the_flight(wing):
    """Check that the discharge is that of the flight.

    Voltage falls with charge, so half the charge gives less per kilometre.
    """
    half, whole = (anchor_of(wing(flight=flight_of(anchor_of(wing()), 62, CLEAN, used))) for used in (0.4, 0.95))
    assert half.factors == pytest.approx(CLEAN, abs=1e-9) and whole.factors == pytest.approx(CLEAN, abs=1e-9)
    assert rows(half)["charge for a kilometre"].before < 0.99 * rows(whole)["charge for a kilometre"].before


# --- doubts and contradictions -----------------------------------------------------------------------------


def flagged(anchor, words):
    return any(words in flag for flag in anchor.flags)


def test_doubtful_measurements_are_flagged(wing):
    assert flagged(anchor_of(wing(9)), "the measured trim asks for") and not flagged(
        anchor_of(wing(3)), "measured trim"
    )
    anchor = anchor_of(wing(flight=(40, 40, 10000)))
    assert flagged(anchor, "times the charge that the model expects")
    assert flagged(anchor_of(wing(flight=(60, 60, 1500))), "times the charge that the model expects")
    assert flagged(anchor, "expect less range") and flagged(anchor_of(wing(flight=(60, 60, 1500))), "expect more range")
    near = anchor_of(wing(flight=(60, 60, 4700)))
    assert not flagged(near, "flight asks") and not flagged(near, "expect")


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"flying_weight": "1200 g"}, ("stock.flying_weight is 1200 g", "listed parts come to")),
        ({"balance_from_nose": "215 mm"}, ("215 mm", "behind its neutral point")),
        ({"flight": (30, 70, 3000)}, ("is 26 km/h", "stalls at 3")),
        ({"flight": (10, 70, 3000)}, ("is 9 km/h", "stalls at 3")),
        ({"flight": (135, 60, 9000)}, ("is 135 km/h", "reaches 112 km/h")),
        ({"flight": (60, 60, 1.09 * CAPACITY)}, ("10900 mAh", f"holds {CAPACITY:.0f} mAh")),
        ({"resistance": "2 ohm"}, ("motor cannot keep the stock wing in the air", "full throttle gives 1.")),
        ({"up_elevon": 19}, ("19.0 mm", "36 mm deep")),  # more than half the chord
        ({"up_elevon": -16.5}, ("-16.5 mm", "more than 25 deg")),  # asin(16.5 / 36) = 27.3 deg
        (
            {"balance_from_nose": "115 mm", "effectiveness": 0.2, "washout": "-3 deg"},
            ("deg of up-elevon", "more than 25 deg"),
        ),
    ],
)
def test_contradiction_is_refused_with_the_keys_to_check(wing, changes, words):
    study = wing(**changes)
    with pytest.raises(StudyContradicted) as raised:
        anchor_of(study)
    said = str(raised.value)
    assert said.startswith(f"{study.path}: ") and all(word in said for word in words), said
    (fault,) = raised.value.faults
    table, _, key = fault.key.partition(".")
    assert study.text.split("\n")[fault.line - 1].startswith(f"{key} =" if key else f"[{table}]")


def test_slack_lets_near_misses_pass(wing):
    stall, own = anchor_of(wing()).reference.stall_speed, anchor_of(wing())
    top = SpeedSweep(own.data, own.choice, own.variables).top_speed(1.02 * stall)
    for speed in (0.93 * stall, 1.07 * top):
        assert anchor_of(wing(flight=(40, 40e3 / speed / 60, 9000))).factors.section_drag > 0
    # more than the stated capacity: discharged from full to empty
    full = anchor_of(wing(flight=(130, 130, 1.07 * CAPACITY)))
    speed = 1e3 / 60
    assert rows(full)["charge for a kilometre"].before == pytest.approx(charge(own, speed, 1.0), rel=1e-9)
    assert CAPACITY * 3.6 == pytest.approx(
        float(pack.pack_capacity(SpeedSweep(own.data, own.choice, own.variables).powertrain.pack))
    )
