"""A fit that says nothing of the pack's charge leaves the pack its own bands: health can only be worse than assumed."""

import pytest
from helpers.places import STUDIES
from helpers.readers.measured_file import measurements_from

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.study.reader import read_study
from tradestudy.uncertainty.fit.factored_wing import FitWing
from tradestudy.uncertainty.fit.fit_result import overlay
from tradestudy.uncertainty.fit.hand_readings import by_hand
from tradestudy.uncertainty.fit.least_squares import fit_factors
from tradestudy.uncertainty.fitted_inputs import charge_measured, deviation, fitted_directions
from tradestudy.uncertainty.inputs_with_bands import inputs_of

DUNLIN = STUDIES / "dunlin.toml"  # it does not state the health of its pack


@pytest.fixture(scope="module")
def wing():
    return FitWing(read_study(DUNLIN))


def fitted(wing, tmp_path, measured):
    fit = fit_factors(wing, by_hand(wing, measurements_from(measured, tmp_path)))
    file = tmp_path / "fitted.toml"
    file.write_text(overlay(wing, fit, "a test", wing.study.text), encoding="utf-8")
    return read_study(DUNLIN, file)


def keys_of(study):
    anchor = anchor_of(study)
    return {one.used.key for one in inputs_of(study, anchor, anchor.choice)}


def test_a_weight_leaves_the_health_of_the_pack_in_doubt_as_before(wing, tmp_path):
    study = fitted(wing, tmp_path, '[weighed]\nbare_halves = "150 g"\n')
    assert not charge_measured(study) and "pack.health" in keys_of(study)
    places = {place for _, sides in fitted_directions(study) for side in sides for place in side}
    assert ("fitted", "foam_density") in places
    assert ("fitted", "pack_capacity") not in places  # its error is counted once


def test_a_charger_replaces_the_health_of_the_pack(wing, tmp_path):
    cells = wing.train.pack
    charge = float(cells.parallel * cells.cell_capacity) / 3.6
    study = fitted(wing, tmp_path, f'[pack]\ncapacity = "{charge:.0f} mAh"\n')
    assert charge_measured(study) and "pack.health" not in keys_of(study)
    assert 0.0 < deviation(study, "pack_capacity") < 0.02
