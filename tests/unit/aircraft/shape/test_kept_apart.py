"""What must be kept apart on the Dotterel, with distances by hand, and what to do about those that are too near."""

import pytest
from helpers.wings.dotterel import written
from helpers.wings.laid_wings import two_bricks

from tradestudy.aircraft.shape.kept_apart import distance_words, stock_pairs
from tradestudy.study.reader import read_study

RIGHT = 'from_centre = "420 mm"\nside = "left"', 'from_centre = "200 mm"\nside = "right"'  # sender near the satellites
OWN = '[stretch]\nscheme = "scaled"'


def pairs_of(folder, *edits):
    return {(pair.one, pair.other): pair for pair in stock_pairs(read_study(written(folder, *edits)))}


def mm(length):
    return None if length is None else pytest.approx(1e3 * length)


def test_every_distance_by_hand(tmp_path):
    found = {names: round(1e3 * pair.distance, 1) for names, pair in pairs_of(tmp_path).items()}
    assert found == {
        # 300 mm right to 420 mm left, less half of 25 and of 26 mm; along the flight direction they overlap
        ("satellites", "sender"): 694.5,
        # leads on the centre line, from the pack at 124 to the motor at 362 mm; less half of 25 mm
        ("satellites", "power leads"): 287.5,
        # 890 mm less half of 20 and of 26 mm across, and 36 mm less half of 30 and of 38 mm along
        ("control link", "sender"): round((867**2 + 2**2) ** 0.5, 1),
        # the joiner ends 180 mm from the centre: 420 - 13 - 180 across, 28 - 19 along, less its radius of 4 mm
        ("sender", "carbon"): round((227**2 + 9**2) ** 0.5 - 4, 1),
        # 470 - 10 - 180 across; along, 8 mm less half of 30 mm is an overlap
        ("control link", "carbon"): 276.0,
    }


def test_the_least_distances_are_those_of_the_catalogue(tmp_path):
    least = {names: (round(1e3 * pair.least), pair.origin) for names, pair in pairs_of(tmp_path).items()}
    judged = "judgement, no source"
    assert least == {
        ("satellites", "sender"): (200, judged),
        ("satellites", "power leads"): (100, judged),
        ("control link", "sender"): (400, judged),
        ("sender", "carbon"): (50, judged),
        ("control link", "carbon"): (50, judged),
    }


def test_how_far_out_one_has_to_go(tmp_path):
    pair = pairs_of(tmp_path, RIGHT)["satellites", "sender"]
    # 300 - 200 mm, less half of 25 and of 26 mm; 200 mm are reached 125.5 mm farther out, in steps of 1 mm
    assert 1e3 * pair.distance == pytest.approx(74.5)
    assert not pair.kept and 1e3 * pair.outward == pytest.approx(126)
    assert pair.aft is None  # 200 mm aft of the sender there is no foam any more
    words = distance_words(pair)
    assert "74.5 mm apart, and 200 mm are asked (judgement, no source). Move satellites 126 mm farther out." in words
    farther = 'from_nose = "186 mm"\nfrom_centre = "300 mm"', 'from_nose = "186 mm"\nfrom_centre = "426 mm"'
    moved = pairs_of(tmp_path, RIGHT, farther)["satellites", "sender"]
    assert moved.kept and 1e3 * moved.distance == pytest.approx(200.5)


def test_how_far_aft_one_has_to_go(tmp_path):
    # the compass beside the leads: 110 mm out, less 12.5 mm; at 262 mm it is still beside the motor's lead to 362 mm
    near = 'from_nose = "186 mm"\nfrom_centre = "300 mm"', 'from_nose = "186 mm"\nfrom_centre = "110 mm"'
    pair = pairs_of(tmp_path, near)["satellites", "power leads"]
    assert 1e3 * pair.distance == pytest.approx(97.5) and not pair.kept
    assert 1e3 * pair.outward == pytest.approx(3) and pair.aft is None
    # an antenna ahead of the joiner: 224 - 170 mm, less half of 30 and the radius of 4: 35 mm. It has to pass it by
    # 224 - 170 + 4 + 15 + 50 = 123 mm
    ahead = 'from_nose = "232 mm"\nfrom_centre = "470 mm"', 'from_nose = "170 mm"\nfrom_centre = "120 mm"'
    carbon = pairs_of(tmp_path, ahead)["control link", "carbon"]
    assert 1e3 * carbon.distance == pytest.approx(35) and 1e3 * carbon.aft == pytest.approx(123)


def test_a_table_of_the_study_replaces_the_usual_distance(tmp_path):
    table = '[[keep_apart]]\nbetween = ["GPS", "video transmitter"]\ndistance = "800 mm"\n'
    pair = pairs_of(tmp_path, (OWN, table + OWN))["satellites", "sender"]
    assert (1e3 * pair.least, pair.origin, pair.kept) == (pytest.approx(800), "keep_apart", False)
    none = '[[keep_apart]]\nbetween = ["satellites", "sender"]\ndistance = "0 mm"\n'
    assert ("satellites", "sender") not in pairs_of(tmp_path, (OWN, none + OWN))
    more = '[[keep_apart]]\nbetween = ["camera", "pack"]\ndistance = "20 mm"\n'
    # the pack is 140 mm long: two cells of 65 mm and 10 mm of leads
    assert 1e3 * pairs_of(tmp_path, (OWN, more + OWN))["camera", "pack"].distance == pytest.approx(124 - 14 - 70)


def test_rods_of_carbon_count_in_both_halves(tmp_path):
    carbon = '[[rods]]\nname = "main"\nmaterial = "glass"', '[[rods]]\nname = "main"\nmaterial = "carbon"'
    pairs = pairs_of(tmp_path, carbon)
    # the two main rods lie 45 mm apart, a pair fore and aft of 0.30 of the chord; the sender is on the left
    # at 420 mm the leading edge is at 145.7 mm and the foam chord 233 mm: 215.6 mm, less 22.5 for the first pair.
    # The sender covers 177 to 215 mm, so the first pair runs through it as seen from above
    assert pairs["sender", "carbon"].distance == 0.0
    assert 0 < pairs["control link", "carbon"].distance < 0.05


def test_both_of_two_packs_count(tmp_path):
    """Check a thing 120 mm to the left of the middle, beside the brick there: its middle at 45, half of it 22 mm."""
    thing = (
        '[stretch]\nfins = "hold_volume"',
        '[[equipment]]\nname = "needle"\nmass = "4 g"\nfrom_nose = "123 mm"\nfrom_centre = "120 mm"\nside = "left"\n'
        'size = "none"\n[[keep_apart]]\nbetween = ["needle", "pack"]\ndistance = "60 mm"\n'
        '[stretch]\nfins = "hold_volume"',
    )
    (pair,) = [one for one in stock_pairs(read_study(two_bricks(tmp_path, thing))) if "needle" in (one.one, one.other)]
    assert 1e3 * pair.distance == pytest.approx(120 - 45 - 22) and not pair.kept
