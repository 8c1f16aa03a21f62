"""Least-squares fit of factors on the model to all measurements. It extends the calibration against the stock wing.

Before the fit, every factor is log-normal about 1 (`priors`); those on losses multiply the factors of [built]. Every
reading is log-normal about the model (`hand_readings`, `log_readings`). The most probable factors minimise the sum of
squares of both deviations. Readings with large deviations have less weight (soft L1 loss above a few standard
deviations). The covariance is the inverse of the curvature at the minimum.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from tradestudy.aircraft.anchor.stiffness_calibration import TWIST_PRIOR
from tradestudy.aircraft.model.power_data import propeller_band
from tradestudy.study.schema.fitted import FACTOR_NAMES
from tradestudy.study.schema.study import Study
from tradestudy.uncertainty.fitted_inputs import charge_spread, log_spread

from .factored_wing import FitWing
from .hand_readings import STANDING, ReadingGroup, standing_spread
from .log_readings import SENSOR, sensor_name

# Standard deviations of ln(factor). All are common practice without a source, unless the study has a band.
_FOAM_DENSITY, _FOAM_MEASURED = 0.08, 0.03  # bead foam as delivered; the builder's own block, weighed
_COVERING = 0.15  # scatter from overlaps and glue
_HELD = 1e-3  # a factor that the study holds
_PROPELLER_MEASURED = 0.03  # measured curves of this propeller
_MOTOR_STATED, _MOTOR_ON_BENCH = 0.10, 0.05  # resistance from the maker; from a test of this motor
_CELLS, _CELLS_MEASURED = 0.20, 0.08  # resistance of cells; measured resistance
_FOAM_STIFFNESS = 0.5 * np.log(2.0)  # modulus of bead foam, with a factor of two as two standard deviations


def priors(study: Study) -> dict[str, float]:
    """Return the standard deviation of ln(factor) before the fit, by name. [-]"""
    bands = {used.key: (used.low, used.high) for used in study.defaults_used if used.low is not None}
    blade, built = propeller_band(study), study.built.spreads
    motor = _MOTOR_ON_BENCH if study.motor_test else log_spread(bands.get("motor.resistance")) or _MOTOR_STATED
    return {
        "foam_density": _FOAM_DENSITY if study.foam.density is None else _FOAM_MEASURED,
        "covering": _COVERING,
        "drag": max(built.section_drag, _HELD),
        "induced": max(built.wake_drag, _HELD),
        "drive_power": max(built.drive_power, _HELD),
        "propeller_power": blade.power if blade else _PROPELLER_MEASURED,
        "motor_resistance": motor,
        "pack_capacity": charge_spread(study),
        "pack_resistance": _CELLS_MEASURED if study.pack.resistance else _CELLS,
        "foam_stiffness": float(_FOAM_STIFFNESS),
        "film_bond": float(TWIST_PRIOR),
    }


_FAR = 2.5  # standard deviations above which a reading has clearly less weight
_STEP = 1e-5  # step of ln(factor) for derivatives
_COMPLEX_STEP = 1e-20
MOST_LOGS = 12


@dataclass(frozen=True)
class Fit:
    """The factors after the fit: ln(factor) with covariance, and standard deviations before. [-]

    ``names`` holds the factors of [fitted], then other free factors such as sensors. ``groups`` are the readings.
    """

    names: tuple[str, ...]
    prior: np.ndarray  # standard deviations before the fit (n,)
    mean: np.ndarray  # most probable ln(factor) (n,)
    covariance: np.ndarray  # covariance of ln(factor) (n, n)
    groups: tuple[ReadingGroup, ...]

    @property
    def deviation(self) -> np.ndarray:
        """Standard deviations of ln(factor) after the fit (n,). [-]"""
        return np.sqrt(np.diag(self.covariance))

    @property
    def factors(self) -> dict[str, float]:
        """The most probable values of all free factors."""
        return dict(zip(self.names, np.exp(self.mean).tolist(), strict=True))

    def of_model(self) -> tuple[np.ndarray, np.ndarray]:
        """Return mean (11,) and covariance (11, 11) of ln(factor) for the factors in `FACTOR_NAMES`."""
        count = len(FACTOR_NAMES)
        return self.mean[:count], self.covariance[:count, :count]


def fit_factors(wing: FitWing, groups: list[ReadingGroup]) -> Fit:
    """Return the fit of a stock wing to its readings. Without readings it equals the prior."""
    names, prior = _free_factors(wing.study, wing, groups)
    measured = np.concatenate([np.log(one.measured) for one in groups] or [np.zeros(0)])
    spread = np.concatenate([one.spread for one in groups] or [np.zeros(0)])

    def misses(logs):
        modelled = np.concatenate([np.log(predicted(one, names, logs)) for one in groups] or [np.zeros(0)])
        return np.concatenate([logs / prior, (modelled - measured) / spread])

    def slopes(logs):
        rows = [slopes_of(one, names, logs) / one.spread[:, None] for one in groups]
        return np.concatenate([np.diag(1 / prior), *rows])

    def robust(squares):
        loss = np.array([squares, np.ones_like(squares), np.zeros_like(squares)])
        far = squares[len(names) :] / _FAR**2
        loss[:, len(names) :] = [
            2 * _FAR**2 * (np.sqrt(1 + far) - 1),
            (1 + far) ** -0.5,
            -0.5 / _FAR**2 * (1 + far) ** -1.5,
        ]
        return loss

    best = least_squares(misses, np.zeros(len(names)), slopes, loss=robust, xtol=1e-10, ftol=1e-10, gtol=1e-10)
    weights = robust(misses(best.x) ** 2)[1]
    jacobian = slopes(best.x)
    return Fit(names, prior, best.x, np.linalg.inv(jacobian.T @ (weights[:, None] * jacobian)), tuple(groups))


def _free_factors(study: Study, wing: FitWing, groups: list[ReadingGroup]) -> tuple[tuple[str, ...], np.ndarray]:
    """Return the names of all free factors and their standard deviations (n,) before the fit. [-]

    Those of [fitted] come first.
    """
    spreads = priors(study)
    used = {name for one in groups for name in one.uses}
    if STANDING in used:
        spreads[STANDING] = standing_spread(wing)
    spreads |= {name: SENSOR for name in map(sensor_name, range(1, MOST_LOGS + 1)) if name in used}
    for one in groups:
        spreads |= one.own_priors
    return tuple(spreads), np.array(list(spreads.values()))


def predicted(one: ReadingGroup, names: tuple[str, ...], logs: np.ndarray) -> np.ndarray:
    """Return the model's prediction (n,) of a group. ``logs`` holds ln(factor) of all free factors."""
    return one.predict(by_name(names, logs))


def by_name(names: tuple[str, ...], logs: np.ndarray) -> Mapping[str, float]:
    """Return the factors by name from their logarithms."""
    return dict(zip(names, np.exp(logs).tolist(), strict=True))


def slopes_of(one: ReadingGroup, names: tuple[str, ...], logs: np.ndarray) -> np.ndarray:
    """Return d ln(prediction) / d ln(factor) of shape (n_reading, n_free). It is zero for unused factors."""
    places = [place for place, name in enumerate(names) if name in one.uses]
    if one.is_complex_safe:
        return _complex_slopes(one, names, logs, places)
    return log_slopes(lambda at: predicted(one, names, at), logs, places)


def _complex_slopes(one: ReadingGroup, names: tuple[str, ...], logs: np.ndarray, places: list[int]) -> np.ndarray:
    """Return the same as `slopes_of`, by one call with a complex step of each factor."""
    steps = np.zeros((len(places), len(logs)))
    steps[np.arange(len(places)), places] = _COMPLEX_STEP
    stepped = np.exp(logs + 1j * steps)
    modelled = one.predict({name: stepped[:, [place]] for place, name in enumerate(names)})
    slopes = np.zeros((len(one.measured), len(logs)))
    slopes[:, places] = (modelled.imag / modelled.real / _COMPLEX_STEP).T
    return slopes


def log_slopes(function: Callable[[np.ndarray], np.ndarray], logs: np.ndarray, places: Iterable[int]) -> np.ndarray:
    """Return d ln(function) / d ln(factor) of shape (n, n_free), by central differences.

    Only columns ``places`` are computed.
    """
    slopes = np.zeros((np.size(function(logs)), len(logs)))
    for place in places:
        step = _STEP * (np.arange(len(logs)) == place)
        slopes[:, place] = (np.log(function(logs + step)) - np.log(function(logs - step))) / (2 * _STEP)
    return slopes
