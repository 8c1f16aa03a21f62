"""Calibration by a load test: known factors are found, reduced by the effect of the prior, and nonsense is refused."""

from dataclasses import replace

import numpy as np
import pytest
from helpers.places import GODWIT as STUDY_FILE

from tradestudy.aircraft.anchor.calibration import anchor_of, stretched_data
from tradestudy.aircraft.anchor.stiffness_calibration import (
    ANGLE_ERROR,
    BEND_PRIOR,
    READING_ERROR,
    RULER_ERROR,
    TWIST_PRIOR,
    LoadTestReading,
    most_probable_factors,
    with_stiffness_factors,
)
from tradestudy.aircraft.anchor.wing_on_bench import WingOnBench
from tradestudy.commands.assess import assess
from tradestudy.commands.requested_wing import RequestedWing
from tradestudy.commands.study_session import StudySession
from tradestudy.errors import RunFailed, StudyFileError
from tradestudy.report.words.load_test import load_test_rows, load_test_words
from tradestudy.study.reader import read_study

GODWIT = STUDY_FILE.read_text(encoding="utf-8")
STATION, MASS, TWIST_MASS, ARM = 0.50, 0.5, 0.12, 0.15


@pytest.fixture()
def wing(tmp_path):
    """Return a function for a Godwit whose study has these lines on its load test."""

    def read(**lines):
        keys = (f'{key} = "{value}"' for key, value in lines.items())
        file = tmp_path / "godwit.toml"
        file.write_text("\n".join([GODWIT, "[load_test]", *keys]), encoding="utf-8")
        return read_study(file)

    return read


@pytest.fixture(scope="module")
def bench(godwit_anchor):
    """Return a function for the stock Godwit on the bench, with stiffness factors (bending, torsion)."""

    def with_stiffness(bending=1.0, torsion=1.0):
        return WingOnBench(
            with_stiffness_factors(godwit_anchor.data.strength, (bending, torsion)),
            godwit_anchor.choice,
            godwit_anchor.variables,
        )

    return with_stiffness


def bent(rise):
    return {"tip_from_centre": f"{1e3 * STATION} mm", "tip_mass": f"{1e3 * MASS} g", "tip_rise": f"{1e3 * rise:.9f} mm"}


def turned(angle):
    return {
        "tip_from_centre": f"{1e3 * STATION} mm",
        "twist_mass": f"{1e3 * TWIST_MASS} g",
        "twist_arm": f"{1e3 * ARM} mm",
        "twist_angle": f"{np.degrees(angle):.9f} deg",
    }


# --- the weighting ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("factor", [0.7, 1.4, 2.0])
def test_known_factor_comes_back_less_the_pull_of_the_prior(factor):
    """Compare with two normal distributions of the logarithm: x = p^2 / (p^2 + m^2) ln(measured factor), any textbook.

    Here p is the standard deviation of the prior and m that of the measurement.
    """
    reading = LoadTestReading("tip_rise", "", 0.008 / factor, 0.008, 0.0, 0.12)
    (bending, torsion), (after, untouched) = most_probable_factors([reading])
    pull = BEND_PRIOR**2 / (BEND_PRIOR**2 + 0.12**2)
    # found to a step of 1e-14, which near a flat minimum is 1e-8
    assert np.log(bending) == pytest.approx(pull * np.log(factor), rel=1e-7) and torsion == pytest.approx(1.0)
    assert after == pytest.approx(0.12 * np.sqrt(pull)) and untouched == pytest.approx(TWIST_PRIOR)


def textbook_share(own, other, own_prior, other_prior, spread):
    """Return the share of a true factor that the fit finds from one reading of own * x + other * y.

    Here x and y have normal priors.
    """
    return own**2 * own_prior**2 / (own**2 * own_prior**2 + other**2 * other_prior**2 + spread**2)


@pytest.mark.parametrize(
    ("factor", "tolerance"), [(0.7, 0.03), (1.4, 0.03), (1.001, 1e-3)]
)  # the share of bending in the rise changes with the factor
def test_known_bend_comes_back_through_the_whole_chain(wing, bench, factor, tolerance):
    rise, own = bench(factor).rise(MASS, STATION), bench().rise(MASS, STATION)
    anchor = anchor_of(wing(**bent(rise)))
    # share of the bend due to torsion: the flat centre twists under bags behind it; on the rear rods it would be 0.15
    other = bench(np.sqrt(factor), 1e9).rise(MASS, STATION)
    other = 1 - other / bench(np.sqrt(factor)).rise(MASS, STATION)
    assert 0.03 < other < 0.1
    expected = textbook_share(1 - other, other, BEND_PRIOR, TWIST_PRIOR, np.hypot(READING_ERROR, RULER_ERROR / rise))
    assert np.log(anchor.stiffness_factors[0]) / np.log(factor) == pytest.approx(expected, abs=tolerance)
    tie = next(tie for tie in anchor.calibration if tie.what == "tips bent by 500 g")
    assert tie.measured == pytest.approx(1e3 * rise) and tie.before == pytest.approx(1e3 * own)
    after = WingOnBench(anchor.data.strength, anchor.choice, anchor.variables).rise(MASS, STATION)
    # linear in the inverse of each factor; tolerance: rounding
    assert tie.after == pytest.approx(1e3 * after, rel=1e-9)


@pytest.mark.parametrize(("factor", "tolerance"), [(0.5, 0.03), (1.5, 0.03), (1.001, 1e-3)])  # tolerances as above
@pytest.mark.parametrize("by_edge", [False, True])
def test_known_twist_comes_back_through_the_whole_chain(wing, bench, factor, tolerance, by_edge):
    found = bench(1.0, factor).tip_twist(TWIST_MASS, STATION, ARM)
    lines, spread = turned(found.angle), np.hypot(READING_ERROR, ANGLE_ERROR / found.angle)
    if by_edge:
        del lines["twist_angle"]
        lines["edge_rise"], spread = (
            f"{1e3 * found.edge_rise:.9f} mm",
            np.hypot(READING_ERROR, RULER_ERROR / found.edge_rise),
        )
    anchor = anchor_of(wing(**lines))
    whole, stiff = (bench(1.0, each).tip_twist(TWIST_MASS, STATION, ARM)[by_edge] for each in (np.sqrt(factor), 1e9))
    other = stiff / whole  # share due to bending: a couple across a swept axis bends it
    assert 0.0 < other < 0.2
    expected = textbook_share(1 - other, other, TWIST_PRIOR, BEND_PRIOR, spread)
    assert np.log(anchor.stiffness_factors[1]) / np.log(factor) == pytest.approx(expected, abs=tolerance)


def test_both_readings_agree_with_a_grid(wing, bench):
    rise, angle = bench(1.3).rise(MASS, STATION), bench(1.3, 0.6).tip_twist(TWIST_MASS, STATION, ARM).angle
    anchor = anchor_of(
        wing(**bent(rise), **{key: value for key, value in turned(angle).items() if key != "tip_from_centre"})
    )
    logs = np.linspace(-0.9, 0.9, 601)
    bending, torsion = np.meshgrid(logs, logs, indexing="ij")
    parts = [
        (bench().rise(MASS, STATION), bench(2.0).rise(MASS, STATION), rise, np.hypot(READING_ERROR, RULER_ERROR / rise))
    ]
    parts += [
        (
            bench().tip_twist(TWIST_MASS, STATION, ARM).angle,
            bench(2.0).tip_twist(TWIST_MASS, STATION, ARM).angle,
            angle,
            np.hypot(READING_ERROR, ANGLE_ERROR / angle),
        )
    ]
    misfit = (bending / BEND_PRIOR) ** 2 + (torsion / TWIST_PRIOR) ** 2
    for whole, half, measured, spread in parts:  # linear in the inverse of each factor
        by_bending = 2 * (whole - half)
        model = by_bending * np.exp(-bending) + (whole - by_bending) * np.exp(-torsion)
        misfit += (np.log(measured / model) / spread) ** 2
    least = np.unravel_index(misfit.argmin(), misfit.shape)
    found = np.log(anchor.stiffness_factors)
    # tolerance: step of the grid
    np.testing.assert_allclose(found, [logs[least[0]], logs[least[1]]], atol=logs[1] - logs[0])
    weight = np.exp(-0.5 * (misfit - misfit.min()))
    read = [
        LoadTestReading(
            "tip_rise", "", parts[0][2], 2 * (parts[0][0] - parts[0][1]), 2 * parts[0][1] - parts[0][0], parts[0][3]
        ),
        LoadTestReading(
            "twist_angle", "", angle, 2 * (parts[1][0] - parts[1][1]), 2 * parts[1][1] - parts[1][0], parts[1][3]
        ),
    ]
    for value, spread in zip((bending, torsion), most_probable_factors(read)[1], strict=True):
        mean = (weight * value).sum() / weight.sum()
        deviation = np.sqrt((weight * (value - mean) ** 2).sum() / weight.sum())
        # tolerance: a normal distribution is fitted at the top of a nearly normal one
        assert spread == pytest.approx(deviation, rel=0.03)


# --- where the factors go -------------------------------------------------------------------------------------


def test_every_stretched_wing_carries_the_factors(wing, bench, godwit_anchor, godwit_study):
    study = wing(**bent(bench(0.7).rise(MASS, STATION)))
    anchor = anchor_of(study)
    longer = anchor.variables | {"extension": 0.15}
    choice = replace(anchor.choice, propeller="11x7")
    tested, plain = (
        WingOnBench(stretched_data(one, each, choice, 10.0).strength, anchor.choice, longer)
        for one, each in ((study, anchor), (godwit_study, godwit_anchor))
    )
    bending, torsion = anchor.stiffness_factors
    assert bending < 0.85
    for name, factor in (
        ("bending_rigidity", bending),
        ("torsional_rigidity", torsion),
        ("shear_compliance", 1 / bending),
    ):
        np.testing.assert_allclose(getattr(tested.half.beam, name), factor * getattr(plain.half.beam, name), rtol=1e-12)
    # strength does not change, and the factor is reported
    np.testing.assert_array_equal(tested.half.beam.unit_utilisation, plain.half.beam.unit_utilisation)
    assert anchor.reference.failure_load_factor == pytest.approx(godwit_anchor.reference.failure_load_factor, rel=1e-12)
    sentences = " ".join(anchor.not_measured)
    assert (
        "One bend cannot tell" in sentences
        and "No twist was read" in sentences
        and "says nothing of strength" in sentences
    )
    untested = " ".join(godwit_anchor.not_measured)
    assert "No bend was read" in untested and "No twist was read" in untested and "nothing of strength" not in untested
    assert godwit_anchor.stiffness_factors == (1.0, 1.0)


def test_a_softer_twist_takes_control_away_sooner(wing, bench, godwit_anchor):
    anchor = anchor_of(wing(**turned(bench(1.0, 0.5).tip_twist(TWIST_MASS, STATION, ARM).angle)))
    assert anchor.stiffness_factors[1] < 0.6
    # torque by lift grows with speed squared: half the stiffness gives 0.71 of the speed; bending has a small effect
    ratio = anchor.reference.control_speed / godwit_anchor.reference.control_speed
    assert ratio == pytest.approx(np.sqrt(anchor.stiffness_factors[1]), abs=0.06)


# --- what it cannot be ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("factor", "words"),
    [
        (
            (5.0, 1.0),
            ("load_test.tip_rise is ", "5 times the modelled stiffness in bending", "is so stiff", "middle was free"),
        ),
        ((0.2, 1.0), ("0.2 times the modelled stiffness in bending", "is so soft", "stayed where it was")),
        ((1.0, 5.0), ("load_test.twist_angle is ", "5 times the modelled stiffness in torsion", "is so stiff")),
        ((1.0, 0.05), ("0.05 times the modelled stiffness in torsion", "is so soft")),
    ],
)
def test_a_stiffness_that_cannot_be_ends_the_run(wing, bench, factor, words):
    made = bench(*factor)
    lines = (
        bent(made.rise(MASS, STATION))
        if factor[1] == 1
        else turned(made.tip_twist(0.15, STATION, ARM).angle) | {"twist_mass": "150 g"}
    )
    study = wing(**lines)
    with pytest.raises(RunFailed) as raised:
        anchor_of(study)
    said = str(raised.value)
    assert said.startswith(f"{study.path}: ") and all(word in said for word in words), said


def test_less_bend_than_torsion_alone_gives_is_refused_too(wing, bench):
    study = wing(**bent(0.5 * bench(1e9).rise(6.0, STATION)) | {"tip_mass": "6 kg"})
    with pytest.raises(RunFailed, match="more than any stiffness in bending"):
        anchor_of(study)


def test_a_doubtful_reading_is_flagged_and_weighed(wing, bench):
    anchor = anchor_of(wing(**bent(bench(0.4).rise(MASS, STATION))))
    assert any("load_test.tip_rise alone asks for 0.4" in flag for flag in anchor.flags)
    assert 0.4 < anchor.stiffness_factors[0] < 0.6
    assert not any("load_test" in flag for flag in anchor_of(wing(**bent(bench(0.7).rise(MASS, STATION)))).flags)


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (
            {"tip_mass": "500 g"},
            "load_test.tip_mass is given without load_test.tip_rise; give that too, or leave this out.",
        ),
        (
            {"twist_mass": "100 g", "twist_arm": "150 mm"},
            "load_test.twist_mass is given without load_test.twist_angle or load_test.edge_rise; give that "
            "too, or leave this out.",
        ),
        (
            {"twist_angle": "3 deg"},
            "load_test.twist_angle is given without load_test.twist_mass and load_test.twist_arm; "
            "give that too, or leave this out.",
        ),
        (
            {"twist_mass": "100 g", "twist_arm": "150 mm", "twist_angle": "3 deg", "edge_rise": "8 mm"},
            "load_test.edge_rise and load_test.twist_angle give the same thing; remove one of them.",
        ),
        (
            {"tip_from_centre": "660 mm"},
            "load_test.tip_from_centre is 660 mm from the centre line; hang the bags between 195 mm and the tip "
            "(650 mm).",
        ),
        (
            {"tip_mass": "12 kg", "tip_rise": "9 mm"},
            'load_test.tip_mass is "12 kg"; allowed is 20 g to 10 kg. Is that 12 oz?',
        ),
    ],
)
def test_half_a_reading_is_refused(wing, lines, said):
    with pytest.raises(StudyFileError) as raised:
        wing(**lines)
    assert [fault.message for fault in raised.value.faults] == [said]


# --- loads, expected readings and words ---------------------------------------------------------------------------


@pytest.fixture(scope="module")
def assessed_result(godwit_study):
    """Return the assessed stock wing of the Godwit, and one stretched by 300 mm."""
    return assess(StudySession(godwit_study, "test"), RequestedWing(span=1.4))


def test_tests_of_stiffness_stay_below_where_they_stop(assessed_result):
    for design in (assessed_result.stock, assessed_result.best):
        for test, reading in (("bend", "rise_mm"), ("twist", "angle_deg")):
            plan = getattr(design.load_test, test)
            assert 0 < plan.mass_g <= 0.6 * plan.stop_mass_g
            assert 0 < getattr(plan, reading) <= getattr(plan, f"weak_{reading}")
            # linear: the expected reading at the load to stop is proportional
            assert getattr(plan, f"stop_{reading}") / getattr(plan, reading) == pytest.approx(
                plan.stop_mass_g / plan.mass_g, rel=1e-3
            )  # tolerance: digits of the result


def test_bags_of_the_proof_load_bend_the_centre_as_the_pull_up_does(assessed_result):
    for design in (assessed_result.stock, assessed_result.best):
        proof, pull_up = design.load_test.proof, next(row for row in design.structure if row.condition == "pull up")
        scale = proof.load_factor / pull_up.load_factor
        assert scale == pytest.approx(min(1.0, pull_up.failure_load_factor / 1.5 / pull_up.load_factor), rel=0.02)
        moment = design.curves.bending_moment_nm[0] * scale
        # the centre is flat, so sweep has no effect
        bags = sum(9.80665e-6 * bag.mass_g * bag.station_mm for bag in proof.bags)
        # masses are rounded to 5 g of some 500, places to 5 mm of some 240 on average
        assert bags + proof.own_moment_nm == pytest.approx(moment, rel=0.015)
        assert proof.moment_nm == pytest.approx(bags + proof.own_moment_nm, rel=1e-3)  # tolerance: digits of the result
        # The test uses about as much strength as the pull-up itself. Bags load the foam at the cut differently than
        # lift.
        used = 100 * proof.load_factor / pull_up.failure_load_factor
        assert proof.used_pct == pytest.approx(used, rel=0.05) and proof.used_pct <= proof.weak_used_pct
        assert all(0.9 < row.bench_nm / row.flight_nm < 1.3 for row in proof.along)


def test_the_load_test_in_words(assessed_result):
    rows = load_test_rows(assessed_result)
    assert [row[0] for row in rows] == [
        f"{wing}, {test}" for wing in ("stock", "stretched") for test in ("bend", "twist", "proof load")
    ]
    bend = assessed_result.stock.load_test.bend
    assert rows[0][1:3] == (
        # at the end of the front rods: 305 (610 - 40) / 610 + 0.25 (328 - (328 - 172) (610 - 40) / 610) = 330.6
        f"{bend.mass_g:.0f} g, 610 mm from the centre line, 331 mm behind the nose",
        f"tips {bend.rise_mm:.1f} mm",
    )
    words = load_test_words(assessed_result)
    for needed in (
        "Stand beside it",
        "soft floor",
        "gloves",
        "a crack",
        "upside down",
        "Strap the middle down",
        "[load_test]",
    ):
        assert any(needed in line for line in words), needed
    tests = assessed_result.stock.load_test
    weaker = replace(
        assessed_result.stock, load_test=replace(tests, proof=replace(tests.proof, required_load_factor=9.0))
    )
    assert any(
        "do not load it, or fly it, that far" in line
        for line in load_test_words(replace(assessed_result, stock=weaker))
    )
    assert load_test_words(replace(assessed_result, stock=replace(weaker, load_test=None), best=None)) == []
