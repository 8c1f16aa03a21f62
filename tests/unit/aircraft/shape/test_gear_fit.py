"""Things on board without room: each gets one message with line, key and millimetres."""

import math
import re

import pytest
from helpers.edited import edited
from helpers.places import GODWIT
from helpers.wings.dotterel import TEXT, written

from tradestudy.aircraft.shape.gear_fit import gear_rooms
from tradestudy.aircraft.shape.stock_fit import refuse_what_does_not_fit, stock_skin
from tradestudy.errors import StudyFileError
from tradestudy.study.reader import read_study

AUTOPILOT = 'from_nose = "252 mm"\nsize = ["22 mm", "36 mm", "10 mm"]'
LINK = 'from_nose = "232 mm"\nfrom_centre = "470 mm"\nside = "right"\nsize = ["30 mm", "20 mm", "8 mm"]'


def placed(place, out, size, side="right"):
    return f'from_nose = "{place} mm"\nfrom_centre = "{out} mm"\nside = "{side}"\nsize = {size}'.replace("'", '"')


def faults(folder, *edits):
    with pytest.raises(StudyFileError) as caught:
        refuse_what_does_not_fit(read_study(written(folder, *edits)))
    return caught.value.faults


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        # the bay is 24 mm long, and the thing 30 mm: 3 mm at each end
        (AUTOPILOT, AUTOPILOT.replace("22 mm", "30 mm"), "equipment[2].from_nose", "3 mm through the"),
        (AUTOPILOT, AUTOPILOT.replace("10 mm", "14.5 mm"), "equipment[2].size", "2.5 mm too high for the bay rear"),
        # the pack reaches from 54 to 194 mm, and its room 1 mm farther: 195 - (198 - 11) = 8 mm
        (AUTOPILOT, AUTOPILOT.replace("252", "198"), "equipment[2].from_nose", "into the pack and its room, by 8 mm"),
        # 20 mm from the tip the section has at most about 28 mm
        (LINK, placed(300, 620, ["30 mm", "20 mm", "30 mm"]), "equipment[5].from_nose", "It needs 34 mm of height"),
        (LINK, placed(100, 600, ["30 mm", "20 mm", "8 mm"]), "equipment[5].from_nose", "does not fit into the foam"),
        # the channel of the joiner, about 224 mm, reaches 180 mm out
        (LINK, placed(224, 150, ["20 mm", "20 mm", "8 mm"]), "equipment[5].from_nose", "the channel of the joiner"),
        # the satellites of 25 x 25 mm lie at 186, 300 mm: across, half of 25 and of 20 mm less 5 mm
        (LINK, placed(186, 305, ["30 mm", "20 mm", "8 mm"]), "equipment[5].from_nose", 'into "satellites", by 17.5 mm'),
    ],
)  # fmt: skip
def test_one_message_with_key_and_millimetres(tmp_path, old, new, key, words):
    (fault,) = faults(tmp_path, (old, new))
    assert fault.key == key and words in fault.message
    text = edited(TEXT, (old, new)).splitlines()
    assert text[fault.line - 1].startswith(key.rpartition(".")[2])


@pytest.mark.parametrize(("out", "beyond"), [(48, None), (45, 3), (73, 1)])
def test_a_bay_in_each_half_has_two_side_walls(tmp_path, out, beyond):
    """Check the autopilot of 36 mm in a bay from 30 to 90 mm from the centre line."""
    bay = 'from_nose = "240 mm"', 'from_nose = "240 mm"\nfrom_centre = "60 mm"'
    edits = bay, (AUTOPILOT, f'{AUTOPILOT}\nfrom_centre = "{out} mm"\nside = "both"')
    if beyond is None:
        refuse_what_does_not_fit(read_study(written(tmp_path, *edits)))
        return
    (fault,) = faults(tmp_path, *edits)
    assert fault.key == "equipment[2].from_centre" and f"{beyond} mm through the side wall" in fault.message


def test_a_thing_between_two_obstacles_is_sent_where_it_meets_neither(tmp_path):
    """Check a thing between bay and joiner: forward meets one, aft the other, and the place that is named has room."""
    crowded = placed(214, 60, ["30 mm", "20 mm", "8 mm"])
    (fault,) = faults(tmp_path, (LINK, crowded))
    assert "the wall of the bay nose" in fault.message and "the channel of the joiner" in fault.message
    assert "Move it" not in fault.message
    words = r"The nearest place with room is (\d+) mm behind the nose, (\d+) mm from the middle\."
    place, out = re.search(words, fault.message).groups()
    assert math.hypot(int(place) - 214, int(out) - 60) < 60
    refuse_what_does_not_fit(read_study(written(tmp_path, (LINK, placed(place, out, ["30 mm", "20 mm", "8 mm"])))))


def test_the_hole_keeps_clear_of_slots_of_rods_over_it(tmp_path):
    """Check that rods over a thing take the depth of their slots and 1 mm, instead of 2 mm of foam."""
    study = read_study(written(tmp_path))
    spare = {room.item.name: room.spare for room in gear_rooms(study, stock_skin(study))}
    shallow = read_study(written(tmp_path, ('slot_depth = "5 mm"', 'slot_depth = "3.5 mm"')))
    less = {room.item.name: room.spare for room in gear_rooms(shallow, stock_skin(shallow))}
    assert less["sender"] - spare["sender"] == pytest.approx(2 * 0.0015)  # both rods of a pair
    assert less["control link"] == pytest.approx(spare["control link"])  # no rod runs over it
    assert spare["autopilot"] is None  # in a bay


def test_a_size_shows_that_the_autopilot_of_the_godwit_may_stand_in_the_place_of_its_pack(tmp_path):
    """Check the Godwit: its autopilot at 215 mm is clear of the pack at 128 mm, which the search moves aft in the bay.

    The pack of 140 x 86 mm reaches to 198 mm. A thing of 40 mm at 215 mm starts at 195 mm, and the bay ends at 235 mm.
    """
    place, size = 'from_nose = "215 mm"\n', 'size = ["40 mm", "36 mm", "14 mm"]\n'
    path = tmp_path / "godwit.toml"
    path.write_text(edited(GODWIT.read_text(encoding="utf-8"), (place, place + size)), encoding="utf-8")
    with pytest.raises(StudyFileError, match="into the pack and its room"):
        refuse_what_does_not_fit(read_study(path))


def test_what_a_bay_holds_shortens_the_room_of_the_pack(tmp_path):
    from tradestudy.aircraft.anchor.calibration import stock_choice
    from tradestudy.aircraft.model.pack_fit import pack_fault, pack_reach

    study = read_study(written(tmp_path))
    # the bay from 42 to 210 mm: half the pack of 140 mm and 1 mm of room at each end
    assert pack_reach(study, stock_choice(study)) == pytest.approx((0.113, 0.139))
    behind = AUTOPILOT, 'from_nose = "203 mm"\nsize = ["10 mm", "36 mm", "10 mm"]'  # from 198 mm
    study = read_study(written(tmp_path, behind))
    refuse_what_does_not_fit(study)
    assert pack_reach(study, stock_choice(study)) == pytest.approx((0.113, 0.127))
    beside = 'from_centre = "56 mm"\nside = "left"\n' + behind[1].replace("36 mm", "16 mm")
    study = read_study(written(tmp_path, (AUTOPILOT, beside)))  # the pack is 74 mm wide
    assert pack_reach(study, stock_choice(study)) == pytest.approx((0.113, 0.139))
    long = AUTOPILOT, 'from_nose = "196 mm"\nsize = ["28 mm", "36 mm", "10 mm"]'  # from 182 mm: 140 mm are left
    study = read_study(written(tmp_path, long))
    words = "the nose bay has 140 mm left by other things in it: 2 mm too little; laid in 2 rows of 4 it would fit"
    assert words in pack_fault(study, stock_choice(study))
