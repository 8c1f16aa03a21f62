"""Servos of which a study says nothing: by their mass in the list of equipment, or by the weight of the wing."""

import pytest
from helpers.wings import turnstone

from tradestudy.study.reader import read_study

LINKAGE = '[linkage]\nservo_torque = "19 N cm"\nservo_arm = "11 mm"\nhorn = "16 mm"\n'


def study(folder, *edits):
    return read_study(turnstone.written(folder, *edits))


def test_torque_follows_the_mass_of_the_servos(tmp_path):
    """Check 0.7 N cm per gram of the pair: 31 g in the study, with or without the word in its name."""
    found = study(tmp_path, (LINKAGE, ""))
    assert found.linkage.servo_torque == pytest.approx(0.22)  # 21.7 N cm, written with two digits
    assert (found.linkage.servo_arm, found.linkage.horn) == (0.010, 0.015)
    assert found.linkage_as_built is None
    by_kind = study(tmp_path, (LINKAGE, ""), ('name = "servos"', 'name = "actuators"\nkind = "servo"'))
    assert by_kind.linkage.servo_torque == pytest.approx(0.22)


@pytest.mark.parametrize(("weight", "torque"), [("590 g", 0.084), ("980 g", 0.17), ("2600 g", 0.29)])
def test_without_servos_on_the_list_the_weight_of_the_wing_says_their_class(tmp_path, weight, torque):
    unnamed = (
        (LINKAGE, ""),
        ('name = "servos"', 'name = "actuators"'),
        ('"980 g"', f'"{weight}"'),
        ('"1.63 kg"', '"3 kg"'),
    )
    assert study(tmp_path, *unnamed).linkage.servo_torque == pytest.approx(torque)


def test_one_measured_value_makes_a_linkage_as_built(tmp_path):
    found = study(tmp_path, (LINKAGE, '[linkage]\nservo_arm = "12 mm"\n'))
    assert found.linkage_as_built is found.linkage and found.linkage.servo_arm == 0.012
