"""Propeller coefficients from a blade-element model, for a measured blade or for a label (diameter and pitch) alone.

The disk is divided into annuli. In each one the inflow angle follows from the balance of blade force and momentum, with
Prandtl's tip loss. The sections are two-dimensional. The generic blade has the mean chord of 46 measured sport
propellers of 8 to 11 in. It has helical pitch plus a small offset, and the Clark Y section everywhere.

Confidence: LABEL_BAND compares this code with 74 measured propellers of 8 to 11 in. BLADE_BAND compares it with the 46
of them whose blade was measured. Each propeller is compared in its fastest series of measurements, at 3800 to 7200 rpm.
Source of the measurements: UIUC Propeller Database, vols 1-3, Brandt, Deters, Ananda, Dantsker and Selig;
tests/published/power/test_brandt_2015_all.py.

At lower speed the model is pessimistic, because its section polars stall too early below Re 40 000. The mean error of
static thrust is +2 % above 5500 rpm and -2 % near 5000. It is -9 % near 4200, -19 % near 3400 and -28 % near 2600.
Modelled peak
efficiency changes with rpm about twice as much as measured. Results are estimates: measure static thrust and current on
the bench before you rely on them. In shapes, ``...`` means any batch axes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from tradestudy.physics.sections.polar import alpha_polars

from .propeller_table import TWO_PI, PropellerTable, table_from_rows


class PropellerBand(NamedTuple):
    """Relative errors of the model against measured propellers: a mean, then three standard deviations. [-]"""

    power_bias: float  # mean error of shaft power at given speed and thrust; below zero the model is optimistic
    power: float  # standard deviation of shaft power at given speed and thrust
    rotation: float  # standard deviation of rotational speed at given speed and thrust
    static_thrust: float  # standard deviation of static thrust


LABEL_BAND = PropellerBand(-0.01, 0.08, 0.06, 0.14)
BLADE_BAND = PropellerBand(-0.03, 0.07, 0.05, 0.11)

BLADE_ANGLE_OFFSET = np.radians(0.8)  # added to the angle of helical pitch; fitted to 46 measured propellers [rad]
MEASURED_ANGLE_OFFSET = np.radians(0.9)  # added to angles measured on a blade; fitted to 31 of them [rad]
_BLADE_ANGLE_CAP = np.radians(42.0)  # largest blade angle, near the hub [rad]
_ROOT_CUT = 0.15  # radius where the working blade starts, over tip radius [-]
_TABLE_REVOLUTIONS = tuple(TWO_PI / 60 * turns for turns in (3500.0, 5000.0, 7000.0, 10000.0))  # [rad/s]
BLADE_STATIONS = np.linspace(0.15, 1.0, 18)  # radius over tip radius [-]
# Chord over tip radius at BLADE_STATIONS, mean of the 46 scanned blades [-]
# fmt: off
MEAN_CHORD = np.array(
    [
        0.150, 0.154, 0.162, 0.169, 0.174, 0.177, 0.178, 0.178, 0.176,
        0.173, 0.167, 0.160, 0.151, 0.141, 0.128, 0.113, 0.089, 0.060,
    ]
)
# fmt: on

# Clark Y section: ordinates of the original drawing in per cent of chord, as in NACA TR 502, 1934. They are from
# memory, and tested against the coordinate file of a general library.
_X = np.array([0, 1.25, 2.5, 5, 7.5, 10, 15, 20, 30, 40, 50, 60, 70, 80, 90, 95, 100]) / 100
_TOP = (
    np.array([3.5, 5.45, 6.5, 7.9, 8.85, 9.6, 10.69, 11.36, 11.7, 11.4, 10.52, 9.15, 7.35, 5.22, 2.8, 1.49, 0.12]) / 100
)
_BOTTOM = np.array([3.5, 1.93, 1.47, 0.93, 0.63, 0.42, 0.15, 0.03, 0, 0, 0, 0, 0, 0, 0, 0, 0]) / 100
CLARK_Y = np.column_stack([np.concatenate([_X[::-1], _X[1:]]), np.concatenate([_TOP[::-1], _BOTTOM[1:]])])


class Blade(NamedTuple):
    """Shape of a propeller's blade at annuli along its radius."""

    radius: np.ndarray  # middle of each annulus (n_annulus,) [m]
    width: np.ndarray  # radial width of each annulus (n_annulus,) [m]
    chord: np.ndarray  # chord in each annulus (n_annulus,) [m]
    angle: np.ndarray  # angle between chord line and propeller disk (n_annulus,) [rad]
    tip_radius: float  # radius of the blade tip [m]
    blades: int  # number of blades [-]


class SectionPolars(NamedTuple):
    """Section lift and drag on a regular grid of angle of attack and logarithm of Reynolds number."""

    alpha: np.ndarray  # angle of attack, evenly spaced (n_alpha,) [rad]
    log_reynolds: np.ndarray  # natural logarithm of Reynolds number, evenly spaced (n_reynolds,) [-]
    cl: np.ndarray  # lift coefficient (n_alpha, n_reynolds) [-]
    cd: np.ndarray  # drag coefficient (n_alpha, n_reynolds) [-]


def section_polars(coordinates: np.ndarray = CLARK_Y) -> SectionPolars:
    """Return the polars of a propeller section for Reynolds numbers from 5 000 to 220 000.

    Parameters
    ----------
    coordinates : (n, 2) array
        Outline with unit chord, from the trailing edge over the top to the nose and back. [-]

    Returns
    -------
    SectionPolars

    Notes
    -----
    Above 18 degrees and below -10 degrees the polars change, within 8 degrees, to those of a broad flat plate. Its
    cl = 1.1 sin(2 a) and cd = 0.02 + 1.8 sin^2(a), with the angle of attack a, are common practice. Only annuli near
    the hub of a standing propeller reach such angles.
    """
    alpha = np.radians(np.arange(-24.0, 61.0))
    log_reynolds = np.linspace(np.log(5e3), np.log(2.2e5), 7)
    known = np.clip(alpha, np.radians(-14.0), np.radians(22.0))
    cl, cd, _ = alpha_polars(coordinates, known[:, None], np.exp(log_reynolds))
    excess = np.where(alpha > 0, alpha - np.radians(18.0), -np.radians(10.0) - alpha)
    share = np.clip(excess / np.radians(8.0), 0.0, 1.0)[:, None]
    plate_cl, plate_cd = 1.1 * np.sin(2 * alpha)[:, None], 0.02 + 1.8 * np.sin(alpha)[:, None] ** 2
    return SectionPolars(alpha, log_reynolds, (1 - share) * cl + share * plate_cl, (1 - share) * cd + share * plate_cd)


def generic_blade(diameter: float, pitch: float, blades: int = 2, annuli: int = 30) -> Blade:
    """Return the generic Blade for a label, ``diameter`` x ``pitch`` [m].

    ``blades`` and ``annuli`` are numbers [-]. Geometry: the blade angle at radius r is atan(pitch / (2 pi r)), at most
    42 degrees, plus 0.8 degrees. The chord is that of the mean blade. The pitch of real propellers is 0.85 to 1.31 of
    the label's.
    """
    tip = diameter / 2
    edges, middle = _annuli(annuli)
    angle = np.minimum(np.arctan(pitch / (TWO_PI * middle * tip)), _BLADE_ANGLE_CAP) + BLADE_ANGLE_OFFSET
    chord = np.interp(middle, BLADE_STATIONS, MEAN_CHORD) * tip
    return Blade(middle * tip, np.diff(edges) * tip, chord, angle, tip_radius=tip, blades=blades)


def measured_blade(diameter: float, station: Any, chord: Any, angle: Any, blades: int = 2, annuli: int = 30) -> Blade:
    """Return the Blade of a shape measured at stations along its radius.

    Parameters
    ----------
    diameter : float
        Diameter of the propeller. [m]
    station : (n_station,) array
        Radius over tip radius, rising. [-]
    chord : (n_station,) array
        Chord over tip radius. [-]
    angle : (n_station,) array
        Angle between chord line and propeller disk. [rad]
    blades, annuli : int
        Number of blades and of annuli. [-]

    Returns
    -------
    Blade
        Blade from the root radius of the generic blade outwards. It is linear between stations, constant outside them.

    Notes
    -----
    MEASURED_ANGLE_OFFSET is added to the angle. It is fitted to measured blades. Without it the modelled thrust reaches
    zero at too low a J on nearly every one of them. One of these has a known section and angles from its drawing. The
    offset corrects for angles read too low from photographs. It also corrects for thin-edged blades, which perform
    better than their modelled polars.
    """
    tip = diameter / 2
    edges, middle = _annuli(annuli)
    angle = np.interp(middle, station, angle) + MEASURED_ANGLE_OFFSET
    chord = np.interp(middle, station, chord) * tip
    return Blade(middle * tip, np.diff(edges) * tip, chord, angle, tip_radius=tip, blades=blades)


def _annuli(count: int) -> tuple[np.ndarray, np.ndarray]:
    """Return edges (count + 1,) and middles (count,) of annuli, over tip radius. [-]

    Annuli are narrower towards the tip, where the tip loss varies.
    """
    edges = _ROOT_CUT + (1 - _ROOT_CUT) * np.sin(np.linspace(0, np.pi / 2, count + 1))
    return edges, (edges[1:] + edges[:-1]) / 2


def blade_coefficients(
    blade: Blade, polars: SectionPolars, advance_ratio: Any, revolutions: Any, kinematic_viscosity: float = 1.48e-5
) -> tuple[np.ndarray, np.ndarray]:
    """Return thrust and power coefficient of a propeller by a momentum balance in each annulus.

    Parameters
    ----------
    blade : Blade
    polars : SectionPolars
    advance_ratio : (...) array
        Advance ratio J, zero or more. [-]
    revolutions : (...) array
        Rotational speed. [rad/s]
    kinematic_viscosity : float
        Kinematic viscosity of the air. [m^2/s]

    Returns
    -------
    thrust_coefficient, power_coefficient : (...) arrays
        Coefficients CT and CP. [-]

    Notes
    -----
    Algebra of blade element and momentum. Axial and angular momentum of an annulus with the radius r give

        (4 F sin^2 f - s Cn) Omega r = V (4 F sin f cos f + s Ct).

    f is the inflow angle, Omega the rotational speed and V the flight speed. F is Prandtl's tip factor and s the
    solidity B c/(2 pi r), with B blades of the chord c. The force coefficients are Cn = cl cos f - cd sin f and
    Ct = cl sin f + cd cos f. The equation is valid down to V = 0 and is solved by bisection.

    The Reynolds number includes rotation, flight speed and chord, but no induced flow. Compressibility is left out: the
    tip Mach number is below 0.3 in the measurements used for comparison. Stall delay by rotation is left out: it would
    improve the agreement for wide blades and worsen it for narrow ones.
    """
    advance_ratio, revolutions = np.broadcast_arrays(np.asarray(advance_ratio, float), np.asarray(revolutions, float))
    rotation = revolutions[..., None] * blade.radius
    flight = (advance_ratio * revolutions / TWO_PI * 2 * blade.tip_radius)[..., None]
    log_reynolds = np.log(np.sqrt(rotation**2 + flight**2) * blade.chord / kinematic_viscosity)
    cl, cd = _polars_at_reynolds(polars, log_reynolds)
    solidity = blade.blades * blade.chord / (TWO_PI * blade.radius)
    inflow, normal, tangential = _inflow(
        blade, alpha_grid=polars.alpha, cl=cl, cd=cd, solidity=solidity, rotation=rotation, flight=flight
    )
    tip_factor = _tip_factor(blade, np.sin(inflow))
    # relative speed W from the balance of angular momentum: W (cos f + s Ct / (4 F sin f)) = Omega r
    relative = rotation / (np.cos(inflow) + solidity * tangential / (4 * tip_factor * np.sin(inflow)))
    pressure = (
        0.5 * relative**2 * blade.blades * blade.chord * blade.width
    )  # force coefficients times this give force over air density
    thrust = (pressure * normal).sum(-1)
    torque = (pressure * tangential * blade.radius).sum(-1)
    turns, diameter = revolutions / TWO_PI, 2 * blade.tip_radius
    return thrust / (turns**2 * diameter**4), torque * TWO_PI / (turns**2 * diameter**5)


def table_from_label(
    diameter: float, pitch: float, polars: SectionPolars, blades: int = 2, kinematic_viscosity: float = 1.48e-5
) -> PropellerTable:
    """Return the PropellerTable of the generic blade with this ``diameter`` and ``pitch`` [m], as in ``generic_blade``.

    ``polars`` come from ``section_polars``. ``blades`` is the number of blades [-], and ``kinematic_viscosity`` is that
    of the air [m^2/s]. The rows are at _TABLE_REVOLUTIONS, from a standing propeller to slightly above the J of zero
    thrust.
    """
    return table_from_blade(generic_blade(diameter, pitch, blades), pitch, polars, kinematic_viscosity)


def table_from_blade(
    blade: Blade, pitch: float, polars: SectionPolars, kinematic_viscosity: float = 1.48e-5
) -> PropellerTable:
    """Return the PropellerTable of a Blade. Arguments and definition are as for ``table_from_label``.

    ``pitch`` [m] only limits the range of J.
    """
    revolutions, diameter = np.asarray(_TABLE_REVOLUTIONS), 2 * blade.tip_radius
    advance_ratio = np.linspace(0.0, 1.5 * pitch / diameter + 0.25, 32)[:, None]
    thrust, power = blade_coefficients(blade, polars, advance_ratio, revolutions, kinematic_viscosity)
    advance_ratio, revolutions = np.broadcast_arrays(advance_ratio, revolutions)
    keep = np.cumprod(((thrust > -0.02) & (power > 0.15 * power[0])).all(axis=1)).astype(bool)
    return table_from_rows(
        diameter, advance_ratio[keep].ravel(), thrust[keep].ravel(), power[keep].ravel(), revolutions[keep].ravel()
    )


def blade_pitch(blade: Blade) -> float:
    """Return the helical pitch at three quarters of the radius. This is a definition. [m]"""
    radius = 0.75 * blade.tip_radius
    return float(TWO_PI * radius * np.tan(np.interp(radius, blade.radius, blade.angle)))


def _polars_at_reynolds(polars: SectionPolars, log_reynolds: np.ndarray) -> tuple[np.ndarray, ...]:
    """Return cl and cd (..., n_annulus, n_alpha), by linear interpolation in the logarithm of Reynolds number. [-]"""
    step = polars.log_reynolds[1] - polars.log_reynolds[0]
    place = np.clip((log_reynolds - polars.log_reynolds[0]) / step, 0, len(polars.log_reynolds) - 1)
    first = np.minimum(place.astype(int), len(polars.log_reynolds) - 2)
    share = (place - first)[..., None]
    lower, upper = first, first + 1
    return tuple((1 - share) * table.T[lower] + share * table.T[upper] for table in (polars.cl, polars.cd))


def _tip_factor(blade: Blade, sine: np.ndarray) -> np.ndarray:
    reach = blade.blades / 2 * (blade.tip_radius - blade.radius) / blade.radius
    return 2 / np.pi * np.arccos(np.exp(-reach / sine))


def _force(
    alpha_grid: np.ndarray, cl: np.ndarray, cd: np.ndarray, alpha: np.ndarray, inflow: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Return force coefficients normal and tangential to the disk, by linear interpolation in alpha. [-]"""
    step = alpha_grid[1] - alpha_grid[0]
    place = np.clip((alpha - alpha_grid[0]) / step, 0, len(alpha_grid) - 1.001)
    first = place.astype(int)
    share = place - first
    values = []
    for table in (cl, cd):
        lower = np.take_along_axis(table, first[..., None], -1)[..., 0]
        upper = np.take_along_axis(table, first[..., None] + 1, -1)[..., 0]
        values.append(lower + share * (upper - lower))
    sine, cosine = np.sin(inflow), np.cos(inflow)
    return values[0] * cosine - values[1] * sine, values[0] * sine + values[1] * cosine


def _inflow(
    blade: Blade,
    alpha_grid: np.ndarray,
    cl: np.ndarray,
    cd: np.ndarray,
    solidity: np.ndarray,
    rotation: np.ndarray,
    flight: np.ndarray,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return inflow angle [rad], normal and tangential coefficient [-], by bisection to 1e-6 rad.

    All have the shape (..., n_annulus).
    """
    low = np.full(rotation.shape, 1e-4)
    high = np.full(rotation.shape, 1.4)
    for _ in range(21):  # 1.4 / 2^21 = 7e-7
        inflow = (low + high) / 2
        normal, tangential = _force(alpha_grid, cl, cd, blade.angle - inflow, inflow)
        sine = np.sin(inflow)
        swirl = 4 * _tip_factor(blade, sine) * sine
        balance = (swirl * sine - solidity * normal) * rotation - flight * (
            swirl * np.cos(inflow) + solidity * tangential
        )
        low, high = np.where(balance < 0, inflow, low), np.where(balance < 0, high, inflow)
    inflow = (low + high) / 2
    normal, tangential = _force(alpha_grid, cl, cd, blade.angle - inflow, inflow)
    return inflow, normal, tangential
