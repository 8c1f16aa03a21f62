"""The blade-element model against every measured propeller of 8 to 11 in.

J.B. Brandt, R.W. Deters, G.K. Ananda, O.D. Dantsker, M.S. Selig, UIUC Propeller Database, Vols 1-3: 74 propellers of
8 to 11 in, each at its fastest sweep. For 46 of them the blade was measured as well. The model is tested with the
measured blade, and with the blade that is estimated from the label (diameter and pitch) alone.

The model has two free constants, for chord and angle offset. They are fitted here by mean rotational speed at given
thrust. The fit uses the 31 scanned blades of seven families (ma, mas, mae, magf, grcp, grcsp, grsn). The constants are
tested on the nine others (gwsdd, gwssf, da4002, da4022, da4052, nr640, ance, ancf, kavfk), with 33 labels and 15
blades.

The tolerances are those of an independent model of the same kind on 46 of these propellers. Shaft power at given speed
and thrust is within 15 % for nine in ten. Two standard deviations of rotational speed are 8 % with the blade and 14 %
with the label alone; those of static thrust are 18 and 30 %. Peak efficiency is from 6 points below to 13 above.

Two standard deviations hold 95 of a hundred. By chance (binomial) it may be 87 of a hundred among 33 propellers.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from tradestudy.physics.propulsion import propeller_blade
from tradestudy.physics.propulsion.propeller_blade import (
    blade_coefficients,
    generic_blade,
    measured_blade,
    section_polars,
)

DATA = Path(__file__).parents[1] / "data"
RPM = 2 * np.pi / 60
INCH = 0.0254
FITTED = {"ma", "mas", "mae", "magf", "grcp", "grcsp", "grsn"}
SHARES = ("70", "85", "100")  # advance ratios J of the comparison, in per cent of the J of peak efficiency
# 3D-printed blades whose scan is 1 to 3 degrees steeper than their design. They were left out after an independent
# model had shown great errors with them.
STEEP_SCANS = {"da4002 9.0x4.76", "da4022 9.0x6.75", "da4052 9.0x6.75"}
ADVANCE_RATIO = np.linspace(0.02, 1.25, 60)


def _rows(name):
    with open(DATA / name, encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@pytest.fixture(scope="module")
def polars():
    return section_polars()


@pytest.fixture(scope="module")
def propellers():
    scans = {}
    for row in _rows("uiuc_blades.csv"):
        station = [float(row[key]) for key in ("r_over_R", "c_over_R", "beta_deg")]
        scans.setdefault((row["volume"], row["propeller"]), []).append(station)
    found = []
    for row in _rows("uiuc_propellers.csv"):
        numbers = {key: float(value or "nan") for key, value in row.items() if key not in ("propeller", "family")}
        scan = scans.get((row["volume"], row["propeller"]))
        found.append(row | numbers | {"scan": None if scan is None else np.array(scan)})
    return found


def _label(one):
    return generic_blade(one["diameter_in"] * INCH, one["pitch_in"] * INCH)


def _scanned(one):
    station, chord, angle = one["scan"].T
    return measured_blade(one["diameter_in"] * INCH, station, chord, np.radians(angle))


def _errors(one, blade, polars):
    """Return the errors of static thrust and peak efficiency [points/100], then of power and speed at the three J."""
    static, _ = blade_coefficients(blade, polars, 0.0, one["static_rpm"] * RPM)
    thrust, power = blade_coefficients(blade, polars, ADVANCE_RATIO, one["rpm"] * RPM)
    pulls = np.cumprod(thrust > 0.002).astype(bool)
    fine = np.linspace(0.1, ADVANCE_RATIO[pulls][-1], 1500)
    thrust, power = (np.interp(fine, ADVANCE_RATIO[pulls], values[pulls]) for values in (thrust, power))
    found = [static / one["CT_static"] - 1, (fine * thrust / power).max() - one["peak_efficiency"]]
    for share in SHARES:
        at = float(share) / 100 * one["peak_J"]
        # equal speed and thrust means equal CT/J^2; power is then proportional to CP/J^3 and rotational speed to 1/J
        same = np.interp(-one[f"CT_{share}"] / at**2, -thrust / fine**2, fine)
        found += [np.interp(same, fine, power) / same**3 / (one[f"CP_{share}"] / at**3) - 1, at / same - 1]
    return found


def _within(errors, static, rotation):
    """Return the share of propellers inside each band, by the name of the band."""

    def share(values, low, high):
        values = values[np.isfinite(values)]  # three propellers have no static row
        return float(np.mean((low <= values) & (values <= high)))

    return {
        "static": share(errors[:, 0], -static, static),
        "efficiency": share(errors[:, 1], -0.06, 0.13),
        "power": min(share(errors[:, k], -0.15, 0.15) for k in (2, 4, 6)),
        "rotation": min(share(errors[:, k], -rotation, rotation) for k in (3, 5, 7)),
    }


def _fitted_offset(monkeypatch, name, propellers, blade_of, polars):
    """Return the angle offset with which the mean rotational speed of the fitted families is right. [deg]"""
    fitted = [one for one in propellers if one["family"] in FITTED and one["scan"] is not None]
    tried, mean = (0.0, 1.0, 2.0), []
    for degrees in tried:
        monkeypatch.setattr(propeller_blade, name, np.radians(degrees))
        mean.append(np.mean([_errors(one, blade_of(one), polars)[5] for one in fitted]))
    return len(fitted), float(np.interp(0.0, mean[::-1], tried[::-1]))


def test_label_alone_on_families_it_was_not_fitted_to(monkeypatch, propellers, polars):
    scans = [one["scan"] for one in propellers if one["family"] in FITTED and one["scan"] is not None]
    chord = np.mean([np.interp(propeller_blade.BLADE_STATIONS, scan[:, 0], scan[:, 1]) for scan in scans], axis=0)
    # The constant is the mean of all 46. The standard deviation between blades is 0.023 of the radius; a third of it
    # is allowed.
    assert chord == pytest.approx(propeller_blade.MEAN_CHORD, abs=0.008)
    monkeypatch.setattr(propeller_blade, "MEAN_CHORD", chord)
    built_in = np.degrees(propeller_blade.BLADE_ANGLE_OFFSET)
    count, offset = _fitted_offset(monkeypatch, "BLADE_ANGLE_OFFSET", propellers, _label, polars)
    assert count == 31
    # scatter of 6 % in speed over sqrt(31) is 1 %, which is the effect of 0.25 degrees
    assert offset == pytest.approx(built_in, abs=0.25)
    monkeypatch.setattr(propeller_blade, "BLADE_ANGLE_OFFSET", np.radians(offset))
    others = [one for one in propellers if one["family"] not in FITTED]
    errors = np.array([_errors(one, _label(one), polars) for one in others])
    assert len(errors) == 33
    found = _within(errors, 0.30, 0.14)
    assert found["power"] >= 0.90 and min(found.values()) >= 0.87
    assert abs(errors[:, 5].mean()) < 2 * 0.06 / 33**0.5  # rotational speed has no bias beyond chance


def test_measured_blade_on_families_it_was_not_fitted_to(monkeypatch, propellers, polars):
    built_in = np.degrees(propeller_blade.MEASURED_ANGLE_OFFSET)
    _, offset = _fitted_offset(monkeypatch, "MEASURED_ANGLE_OFFSET", propellers, _scanned, polars)
    assert offset == pytest.approx(built_in, abs=0.1)  # tolerance: the constant is rounded to a tenth of a degree
    others = [one for one in propellers if one["family"] not in FITTED and one["scan"] is not None]
    assert len(others) == 15
    monkeypatch.setattr(propeller_blade, "MEASURED_ANGLE_OFFSET", np.radians(offset))
    errors = np.array([_errors(one, _scanned(one), polars) for one in others if one["propeller"] not in STEEP_SCANS])
    found = _within(errors, 0.18, 0.08)
    assert found["power"] >= 0.90 and min(found.values()) >= 0.87


@pytest.mark.parametrize("blade_of, static, rotation, count", [(_label, 0.30, 0.14, 74), (_scanned, 0.18, 0.08, 46)])
def test_every_propeller_with_the_constants_built_in(propellers, polars, blade_of, static, rotation, count):
    """Check that nine in ten are inside each band, or 87 of a hundred for rotational speed with the measured blade.

    Three of the scanned blades are known to be too steep.
    """
    errors = np.array(
        [_errors(one, blade_of(one), polars) for one in propellers if blade_of is _label or one["scan"] is not None]
    )
    assert len(errors) == count
    found = _within(errors, static, rotation)
    assert min(found[name] for name in ("static", "power")) >= 0.89
    assert min(found.values()) >= 0.87
    assert abs(errors[:, 4].mean()) < 0.05  # power: the reference model of this kind is 4 % optimistic


@pytest.mark.parametrize(
    "blade_of, band", [(_label, propeller_blade.LABEL_BAND), (_scanned, propeller_blade.BLADE_BAND)]
)
def test_bands_told_to_a_person_are_those_of_all_propellers(propellers, polars, blade_of, band):
    """Compare the reported band with mean and scatter over all propellers, at 0.85 of the J of peak efficiency.

    The tolerance of 0.006 is the rounding of the band to whole per cents.
    """
    errors = np.array(
        [_errors(one, blade_of(one), polars) for one in propellers if blade_of is _label or one["scan"] is not None]
    )
    told = errors[:, 4].mean(), errors[:, 4].std(), errors[:, 5].std(), np.nanstd(errors[:, 0])
    assert told == pytest.approx(band, abs=0.006)
