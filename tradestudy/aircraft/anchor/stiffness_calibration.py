"""Calibration of the stiffness by a load test of the stock wing.

There are two factors, one on the stiffness in bending (core shear included) and one on the stiffness in torsion. Before
any test, each factor is log-normal about 1. Each reading is log-normal about the modelled value. Both factors are
computed in one step: on a swept wing, each reading depends slightly on the other stiffness too.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from tradestudy.aircraft.anchor.wing_on_bench import WingOnBench
from tradestudy.aircraft.model.choices import Choice
from tradestudy.physics.flight.strength import StrengthData
from tradestudy.quantities import with_unit
from tradestudy.study.fault_lines import contradiction
from tradestudy.study.schema.search import LoadTestTable
from tradestudy.study.schema.study import Study

# Standard deviations of ln(stiffness factor) before any test. Bending: foam modulus is known within a factor of two,
# taken as two standard deviations. Core shear and slots make the deflection depend on it that strongly; no source.
# Torsion: the film's bond may transmit only 0.4 of the study's value, taken as two standard deviations.
BEND_PRIOR = 0.5 * np.log(2.0)
TWIST_PRIOR = 0.5 * np.log(2.5)
# Errors of a reading: a share of the reading (weights, support, creep of the foam), and the error of ruler or phone.
# Common practice, no source.
READING_ERROR = 0.05
RULER_ERROR = 0.001  # m; error of a difference of two heights, read at both tips
ANGLE_ERROR = np.radians(0.2)  # error of a difference of two angles
_FAR_OFF = 2.0  # prior standard deviations; a reading whose own factor lies farther off gets a flag
# Limits on the factor that matches one reading alone. Stiffer: twice the foam modulus with the stiffest rods, laid
# flush, gives less than three times. Softer in bending: likewise less than three times. Softer in torsion: without
# film, the foam alone keeps a tenth.
_STIFFEST, _SOFTEST_BEND, _SOFTEST_TWIST = 4.0, 0.25, 1 / 16


@dataclass(frozen=True)
class LoadTestReading:
    """One reading. The model predicts ``by_bending / bending_factor + by_torsion / torsion_factor``, SI."""

    key: str  # its key in the table [load_test]
    what: str  # description for the table of measured and modelled values
    measured: float
    by_bending: float
    by_torsion: float
    spread: float  # standard deviation of ln(measured) [-]

    @property
    def unit(self) -> str:
        """Unit shown to the user."""
        return "deg" if self.key == "twist_angle" else "mm"

    def modelled(self, factors) -> float:
        """Return the model's prediction, SI. ``factors`` is the pair (bending, torsion)."""
        return self.by_bending / factors[0] + self.by_torsion / factors[1]


@dataclass(frozen=True)
class StiffnessCalibration:
    """The stiffness factors from a load test. Pairs are (bending, torsion)."""

    factors: tuple[float, float]  # most probable factors [-]
    spreads: tuple[float, float]  # standard deviations of their logarithms after the test [-]
    bend: LoadTestReading | None
    twist: LoadTestReading | None
    flags: tuple[str, ...]


def with_stiffness_factors(data: StrengthData, factors: tuple[float, float]) -> StrengthData:
    """Return the structure's data with stiffness factors. ``factors`` is the pair (bending, torsion)."""
    return data._replace(bending_factor=factors[0], torsion_factor=factors[1])


def stiffness_calibration(
    study: Study, data: StrengthData, choice: Choice, variables: dict[str, float]
) -> StiffnessCalibration | None:
    """Return the stiffness factors from the study's load test, or None without a reading.

    Raises StudyContradicted if a reading requires a stiffness that no such wing has.
    """
    test = study.load_test
    bend, twist = readings(test, data, choice, variables) if test else (None, None)
    read: list[LoadTestReading] = []
    flags = []
    for name, each, prior, softest in (
        ("bending", bend, BEND_PRIOR, _SOFTEST_BEND),
        ("torsion", twist, TWIST_PRIOR, _SOFTEST_TWIST),
    ):
        if each is None:
            continue
        alone = _alone(each, name, most_probable_factors(read)[0])
        if not softest <= alone <= _STIFFEST:
            raise contradiction(study, ("load_test", each.key), _contradiction(name, each, alone))
        if abs(np.log(alone)) > _FAR_OFF * prior:
            flags.append(
                f"load_test.{each.key} alone asks for {alone:.2f} times the modelled stiffness in {name}, which is "
                "hard to believe: check the bags' weight, where they hung, and the rods"
            )
        read.append(each)
    return StiffnessCalibration(*most_probable_factors(read), bend, twist, tuple(flags)) if read else None


def readings(
    test: LoadTestTable, data: StrengthData, choice: Choice, variables: dict[str, float]
) -> tuple[LoadTestReading | None, LoadTestReading | None]:
    """Return the readings in bending and in torsion, None for a missing one. Stiffness factors in ``data`` are 1."""
    bend, twist = None, None
    # twice the bending stiffness halves the part due to bending and leaves the part due to torsion
    bench, stiff = (
        WingOnBench(with_stiffness_factors(data, (factor, 1.0)), choice, variables) for factor in (1.0, 2.0)
    )
    station = bench.station if test.tip_from_centre is None else test.tip_from_centre
    if test.tip_mass is not None and test.tip_rise is not None:
        full, half = (each.rise(test.tip_mass, station) for each in (bench, stiff))
        bend = LoadTestReading(
            "tip_rise",
            f"tips bent by {with_unit(test.tip_mass, 'g')}",
            test.tip_rise,
            2 * (full - half),
            2 * half - full,
            float(np.hypot(READING_ERROR, RULER_ERROR / test.tip_rise)),
        )
    if test.twist_mass is not None and test.twist_arm is not None:
        turned = [each.tip_twist(test.twist_mass, station, test.twist_arm) for each in (bench, stiff)]
        words = f"{with_unit(test.twist_mass, 'g')} moved behind the rods"
        if test.twist_angle is not None:
            full, half = (each.angle for each in turned)
            twist = LoadTestReading(
                "twist_angle",
                f"tip turned by {words}",
                test.twist_angle,
                2 * (full - half),
                2 * half - full,
                float(np.hypot(READING_ERROR, ANGLE_ERROR / test.twist_angle)),
            )
        elif test.edge_rise is not None:
            full, half = (each.edge_rise for each in turned)
            twist = LoadTestReading(
                "edge_rise",
                f"trailing edge moved by {words}",
                test.edge_rise,
                2 * (full - half),
                2 * half - full,
                float(np.hypot(READING_ERROR, RULER_ERROR / test.edge_rise)),
            )
    return bend, twist


def most_probable_factors(read: list[LoadTestReading]) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the most probable factors (bending, torsion) and the standard deviations of their logarithms.

    Minimises a sum of squares. Its terms are ln(factor) over its prior standard deviation, and ln(measured / modelled)
    over that of the reading. The standard deviations of the result come from the derivatives of these terms.
    """

    def misses(logs):
        factors = np.exp(logs)
        return np.array(
            [
                logs[0] / BEND_PRIOR,
                logs[1] / TWIST_PRIOR,
                *(np.log(each.measured / each.modelled(factors)) / each.spread for each in read),
            ]
        )

    def slopes(logs):
        bending, torsion = np.exp(-logs)
        rows = [[each.by_bending * bending, each.by_torsion * torsion] for each in read]
        return np.array(
            [
                [1 / BEND_PRIOR, 0.0],
                [0.0, 1 / TWIST_PRIOR],
                *(np.array(row) / sum(row) / each.spread for row, each in zip(rows, read, strict=True)),
            ]
        )

    best = least_squares(misses, np.zeros(2), slopes, xtol=1e-14, ftol=1e-14, gtol=1e-14)
    spreads = np.sqrt(np.diag(np.linalg.inv(best.jac.T @ best.jac)))
    bending, torsion = np.exp(best.x).tolist()
    return (bending, torsion), (float(spreads[0]), float(spreads[1]))


def _alone(each: LoadTestReading, name: str, factors: tuple[float, float]) -> float:
    """Return the factor on one stiffness with which the model matches one reading. It is infinite if none does.

    The factor on the other stiffness is taken from ``factors``.
    """
    own, other = (
        (each.by_bending, each.by_torsion / factors[1])
        if name == "bending"
        else (each.by_torsion, each.by_bending / factors[0])
    )
    left = each.measured - other
    return own / left if left > 0 else np.inf


def _contradiction(name: str, each: LoadTestReading, alone: float) -> str:
    stiff = alone > _STIFFEST
    much = "more than any stiffness" if alone == np.inf else f"{alone:.3g} times the modelled stiffness"
    bag = "tip_mass" if name == "bending" else "twist_mass and load_test.twist_arm"
    return (
        f"is {with_unit(each.measured, each.unit, 1)} where the model says "
        f"{with_unit(each.modelled((1.0, 1.0)), each.unit, 1)}: {much} in {name}, and no wing of this foam and these "
        f"rods is so {'stiff' if stiff else 'soft'}. Read it again, weigh load_test.{bag}, and look whether the middle "
        f"{'was free' if stiff else 'stayed where it was'} and [[rods]] is right."
    )
