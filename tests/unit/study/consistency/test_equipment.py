"""Sides, bays and pairs of equipment: each error names line and key, and says what is allowed."""

import pytest
from helpers.wings.dotterel import written

from tradestudy.errors import StudyFileError
from tradestudy.study.reader import read_study

AUTOPILOT = 'from_nose = "252 mm"\n'
OWN = '[stretch]\nscheme = "scaled"'


def table(*between, distance="100 mm"):
    names = ", ".join(f'"{name}"' for name in between)
    return OWN, f'[[keep_apart]]\nbetween = [{names}]\ndistance = "{distance}"\n{OWN}'


@pytest.mark.parametrize(
    ("edit", "key", "words"),
    [
        (('from_centre = "300 mm"\nside = "right"', 'from_centre = "300 mm"'), "equipment[3].from_centre",
         'is 300 mm, but no side is given: write side = "left" or "right", or "both" for one in each half.'),
        ((AUTOPILOT, AUTOPILOT + 'side = "left"\n'), "equipment[2].side", "but from_centre is not given"),
        (('from_nose = "282 mm"', 'from_nose = "282 mm"\nfrom_centre = "20 mm"'), "controller.from_centre",
         'write side = "left" or "right".'),
        ((AUTOPILOT, AUTOPILOT + 'bay = "raer"\n'), "equipment[2].bay", "Did you mean rear?"),
        ((AUTOPILOT, AUTOPILOT + 'bays = ["rear", "tail"]\n'), "equipment[2].bays", "Bays: nose, rear."),
        ((AUTOPILOT, AUTOPILOT + 'bay = "nose"\nbays = ["rear"]\n'), "equipment[2].bay", "not among its bays"),
        ((AUTOPILOT, AUTOPILOT + 'bays = ["rear"]\nmay_move = ["240 mm", "260 mm"]\n'), "equipment[2].bays",
         "give one of them"),
        ((AUTOPILOT, AUTOPILOT + 'bay = "nose"\n'), "equipment[2].from_nose", "(42 mm to 210 mm behind the nose)"),
        (('kind = "autopilot"', 'kind = "autopliot"'), "equipment[2].kind", "Did you mean autopilot?"),
        (('size = ["22 mm", "36 mm", "10 mm"]', 'size = ["22 mm", "36 mm"]'), "equipment[2].size", "has 2 values"),
        (table("GPS", "vidoe transmitter"), "keep_apart[1].between", "Did you mean video transmitter?"),
        (table("GPS", "GPS"), "keep_apart[1].between", "twice; write two different things"),
        (table("GPS", "carbon", distance="3 m"), "keep_apart[1].distance", "allowed is 0 mm to 2000 mm"),
    ],
)  # fmt: skip
def test_errors(tmp_path, edit, key, words):
    with pytest.raises(StudyFileError) as caught:
        read_study(written(tmp_path, edit))
    assert any(fault.key.startswith(key) and words in fault.message for fault in caught.value.faults), caught.value


def test_a_bay_alone_gives_a_place(tmp_path):
    """Check the place by hand: in the rear bay the middle; in the nose bay the longer part beside the pack."""
    study = read_study(written(tmp_path, (AUTOPILOT, 'bay = "rear"\n')))
    assert study.equipment[1].from_nose == pytest.approx(0.252)  # the bay lies at 240 to 264 mm
    assert any(used.key == "equipment[2].from_nose" and used.value == "252 mm" for used in study.defaults_used)
    size = 'size = ["22 mm", "36 mm", "10 mm"]', 'size = ["10 mm", "36 mm", "10 mm"]'
    aft = read_study(written(tmp_path, (AUTOPILOT, 'bay = "nose"\n'), size))
    # ahead of the pack and its room there are 53 - 42 = 11 mm, behind it 210 - 195 = 15 mm
    assert aft.equipment[1].from_nose == pytest.approx(0.2025, abs=6e-4)  # to a millimetre
    long = read_study(written(tmp_path, (AUTOPILOT, 'bays = ["nose", "rear"]\n')))
    assert long.equipment[1].from_nose == pytest.approx(0.199)  # too long for either part: at the back wall


def test_typical_sizes_go_by_kind(tmp_path):
    study = read_study(written(tmp_path))
    assert study.equipment[0].outside_size is None  # a camera reaches out of the foam
    assert study.equipment[1].outside_size == pytest.approx((0.022, 0.036, 0.010))  # its own
    assert study.equipment[2].outside_size == pytest.approx((0.025, 0.025, 0.009))  # the larger one: GPS, not compass
    none = read_study(written(tmp_path, ('kind = ["GPS", "compass"]', 'kind = ["GPS", "compass"]\nsize = "none"')))
    assert none.equipment[2].outside_size is None
    outside = read_study(written(tmp_path, ('kind = ["GPS", "compass"]', 'kind = ["GPS", "camera"]')))
    assert outside.equipment[2].outside_size is None  # a camera has no typical size
