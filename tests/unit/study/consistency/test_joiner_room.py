"""Where the joiner's channel may lie: clear of every bay and its divider, since all are in the middle of the section.

The channel is 2.5 diameters wide. That of a joiner of 8 mm reaches 10 mm to either side.
"""

import pytest
from helpers.wings.fitting_wings import PLAIN, read_tables

from tradestudy.errors import StudyFileError

# the bay ends at 215 mm and its divider at 218 mm
JOINER = {"material": "carbon", "diameter": "8 mm", "length": "300 mm"}
SHALLOW = {"name": "small", "from_nose": "245 mm", "length": "20 mm", "width": "40 mm", "depth": "8 mm"}


def read(folder, place, *bays):
    return read_tables(PLAIN | {"joiner": JOINER | {"from_nose": place}, "bay": [*PLAIN["bay"], *bays]}, folder)


def test_beside_a_divider(tmp_path):
    assert read(tmp_path, "228 mm").joiner.from_nose == pytest.approx(0.228)
    with pytest.raises(StudyFileError) as raised:
        read(tmp_path, "227 mm")
    assert [fault.message for fault in raised.value.faults] == [
        'joiner.from_nose is 227 mm: its channel of 20 mm goes through bay[1] ("nose"), 45 mm to 218 mm behind the '
        "nose with its divider. Write at least 228 mm, or at most 35 mm, or move the bay."
    ]


def test_a_shallow_bay_has_no_room_for_it_below(tmp_path):
    with pytest.raises(StudyFileError) as raised:
        read(tmp_path, "255 mm", SHALLOW)
    assert [fault.message for fault in raised.value.faults] == [
        'joiner.from_nose is 255 mm: its channel of 20 mm goes through bay[2] ("small"), 245 mm to 265 mm behind the '
        "nose. Write at least 275 mm, or at most 235 mm, or move the bay."
    ]
