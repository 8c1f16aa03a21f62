"""The balance told from the trailing edge, by hand on an invented wing: 325 mm of foam and 45 mm of elevon."""

import pytest
from helpers.wings import plover

from tradestudy.aircraft.anchor.calibration import anchor_of
from tradestudy.errors import StudyFileError
from tradestudy.study.reader import read_study
from tradestudy.uncertainty.inputs_with_bands import RULER, measured_inputs
from tradestudy.uncertainty.variants import put

NOSE = 'balance_from_nose = "183 mm"'


def test_balance_ahead_of_the_trailing_edge_is_the_rest_of_the_chord(tmp_path):
    study = read_study(plover.written(tmp_path, (NOSE, 'balance_from_trailing_edge = "187 mm"')))
    assert study.stock.balance_from_nose == pytest.approx(0.325 + 0.045 - 0.187, abs=1e-9)
    assert not [used for used in study.defaults_used if used.key == "stock.balance_from_nose"]  # it was told


def test_both_ways_give_the_same_model(tmp_path):
    one, other = (
        anchor_of(read_study(plover.written(tmp_path / name, *edits)))
        for name, edits in (("nose", ()), ("edge", ((NOSE, 'balance_from_trailing_edge = "187 mm"'),)))
        if not (tmp_path / name).mkdir()
    )
    assert one.reference.static_margin == pytest.approx(other.reference.static_margin, abs=1e-9)


@pytest.mark.parametrize(
    ("told", "message"),
    [
        (
            f'{NOSE}\nbalance_from_trailing_edge = "187 mm"',
            "stock.balance_from_trailing_edge and stock.balance_from_nose give the same thing; remove one of them.",
        ),
        (
            "",
            "stock.balance_from_nose is missing: balance point behind the nose, ready to fly (5 mm to 1500 mm).",
        ),
        (
            'balance_from_trailing_edge = "60 mm"',
            "stock.balance_from_trailing_edge is 60 mm, which is 310 mm behind the nose, at ",
        ),
    ],
)
def test_balance_that_is_told_twice_never_or_wrong(tmp_path, told, message):
    with pytest.raises(StudyFileError) as fault:
        read_study(plover.written(tmp_path, (NOSE, told)))
    assert message in str(fault.value)


def test_reading_error_of_the_ruler_is_that_of_the_datum_in_use(tmp_path):
    study = read_study(plover.written(tmp_path, (NOSE, 'balance_from_trailing_edge = "187 mm"')))
    (found,) = (one for one in measured_inputs(study) if "balance" in one.used.key)
    assert found.used.key == "stock.balance_from_trailing_edge"
    (place,) = found.sides[0]
    raw = put({"stock": {"balance_from_trailing_edge": "187 mm"}}, place, found.sides[0][place])
    assert raw["stock"] == {"balance_from_trailing_edge": f"{187 - 1e3 * RULER:.6f} mm"}
