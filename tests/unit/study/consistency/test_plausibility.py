"""Values that lie in their own ranges but not together: impossible ones are refused, doubtful ones are said.

The wing is the invented one of foam and film alone.
"""

from dataclasses import replace

import pytest
from helpers.wings import odd_wings

from tradestudy.errors import StudyFileError
from tradestudy.study.consistency.plausibility import doubts
from tradestudy.study.line_numbers import dotted
from tradestudy.study.reader import read_study

FLIGHT = '\n[known_flight]\ndistance = "{}"\ntime = "{}"\ncharge_used = "{}"\n'
FLY = '[fly]\nnever_exceed_speed = "110 km/h"'
RECEIVER = 'mass = "20 g"\nfrom_nose = "190 mm"'
CELLS = 'cell = "18650 2.5 Ah"'  # 3S2P: 15 Ah cells, 5000 mAh at 10.8 V or 54 Wh as printed, 63 Wh when full
FIN = 'behind_leading_edge = "30 mm"'  # root 140 mm; the wing's chord at the tip is 170 mm and 30 mm of elevon


def with_flight(*words):
    return (FLY, FLY + FLIGHT.format(*words))


IMPOSSIBLE = [
    (
        (CELLS, f'{CELLS}\nweight = "10 g"'),
        "pack.weight is 10 g for 54 Wh: 5400 Wh/kg, and no cell holds more than 450.",
    ),
    (
        (FIN, 'behind_leading_edge = "200 mm"'),
        "fin[1].behind_leading_edge is 200 mm: with a root_chord of 140 mm the fin touches nothing; the chord there is "
        "200 mm.",
    ),
    (
        (FIN, 'behind_leading_edge = "-140 mm"'),
        "fin[1].behind_leading_edge is -140 mm: with a root_chord of 140 mm the fin touches nothing; the chord there "
        "is 200 mm.",
    ),
    (
        (RECEIVER, f'{RECEIVER}\nmay_move = ["100 mm", "189 mm"]'),
        "equipment[1].may_move is 100 mm to 189 mm, but from_nose is 190 mm: today it lies outside its own range.",
    ),
    (
        (RECEIVER, f'{RECEIVER}\nfrom_centre = "621 mm"\nside = "left"'),
        "equipment[1].from_centre is 621 mm, beyond the tip: half of stock.span is 620 mm.",
    ),
    (  # 0.05 Ah x 3 x 4.2 V = 0.63 Wh; 58 km x 1.15 kg x 9.80665 m/s2 / 2268 J = 288
        with_flight("58 km", "60 min", "50 mAh"),
        "known_flight.charge_used is 50 mAh, at most 0.63 Wh: to fly 58 km on that, the wing would glide 288 to 1 with "
        "a drive that loses nothing. The best sailplanes glide 70 to 1.",
    ),
    (  # 0.8 W for 2 h is 1.6 Wh
        with_flight("2 km", "2 h", "100 mAh"),
        "known_flight.charge_used is 100 mAh, at most 1.26 Wh, but the equipment alone needs 1.6 Wh in "
        "known_flight.time.",
    ),
    (
        with_flight("290 km", "30 min", "5000 mAh"),
        "known_flight.distance over known_flight.time is 580 km/h, above fly.never_exceed_speed (110 km/h).",
    ),
]
NEARLY = [
    (CELLS, f'{CELLS}\nweight = "121 g"'),
    (FIN, 'behind_leading_edge = "199 mm"'),
    (RECEIVER, f'{RECEIVER}\nmay_move = ["100 mm", "190 mm"]'),
    (RECEIVER, f'{RECEIVER}\nfrom_centre = "620 mm"\nside = "left"'),
    with_flight("14 km", "45 min", "50 mAh"),
    with_flight("2 km", "94 min", "100 mAh"),
    with_flight("55 km", "30 min", "5000 mAh"),
]
DOUBTFUL = [
    ((CELLS, f'{CELLS}\nweight = "150 g"'), "pack.weight is 150 g for 54 Wh: 360 Wh/kg; 50 to 285 is usual."),
    ((CELLS, f'{CELLS}\nweight = "1100 g"'), "pack.weight is 1100 g for 54 Wh: 49 Wh/kg; 50 to 285 is usual."),
    (
        (FIN, 'behind_leading_edge = "180 mm"'),
        "fin[1].behind_leading_edge is 180 mm: only 20 mm of the fin's root lie along the wing.",
    ),
    (  # the tip: 235 mm + 170 mm + 30 mm
        (RECEIVER, RECEIVER.replace("190", "640")),
        "equipment[1].from_nose is 640 mm, far off the wing, which reaches from 0 mm to 435 mm.",
    ),
    (
        (RECEIVER, f'{RECEIVER}\npower = "45 W"\n[[equipment]]\nname = "more"\nmass = "0 g"\nfrom_nose = "1 mm"'),
        "equipment[1].power is 45 W, and all equipment draws 45.8 W; up to 40 W is usual.",
    ),
    (
        ("110 km/h", "300 km/h"),
        "fly.never_exceed_speed is 300 km/h; small foam wings fly up to 252 km/h.",
    ),
    ((FLY, f"{FLY}\nhardest_pull = 15"), "fly.hardest_pull is 15; small foam wings are flown up to 12."),
    ((FLY, f'{FLY}\nreserve = "60 %"'), "fly.reserve is 60 %; 15 to 30 % is usual."),
]
NOT_DOUBTFUL = [
    (CELLS, f'{CELLS}\nweight = "191 g"'),
    (FIN, 'behind_leading_edge = "164 mm"'),
    (RECEIVER, RECEIVER.replace("190", "634")),
    ("110 km/h", "250 km/h"),
]


@pytest.mark.parametrize(("edit", "message"), IMPOSSIBLE)
def test_impossible_values_are_refused_at_their_line(edit, message, tmp_path):
    path = odd_wings.written(tmp_path, "foam alone", edit)
    with pytest.raises(StudyFileError) as raised:
        read_study(path)
    (fault,) = raised.value.faults
    assert fault.message == message
    row = path.read_text(encoding="utf-8").split("\n")[fault.line - 1]
    assert row.startswith(f"{fault.key.split('.')[1]} =")


@pytest.mark.parametrize("edit", NEARLY)
def test_what_could_just_be_is_read(edit, tmp_path):
    read_study(odd_wings.written(tmp_path, "foam alone", edit))


@pytest.mark.parametrize(("edit", "message"), DOUBTFUL)
def test_doubtful_values_are_named(edit, message, tmp_path):
    found = doubts(read_study(odd_wings.written(tmp_path, "foam alone", edit)))
    assert [f"{dotted(place)} {sentence}" for place, sentence in found] == [message]


@pytest.mark.parametrize("edit", [("[stock]", "[stock]"), *NOT_DOUBTFUL])
def test_usual_values_are_no_doubt(edit, tmp_path):
    assert doubts(read_study(odd_wings.written(tmp_path, "foam alone", edit))) == []


@pytest.mark.parametrize("loading", [0.96, 14.0])
def test_an_unusual_wing_loading_is_named(loading, godwit_study):
    """Check the area by hand: 80 mm of 374 mm, and two panels of 610 mm with mean chord (374 + 198) / 2 mm."""
    area = 0.08 * 0.374 + 1.22 * 0.286
    stock = godwit_study.stock.model_copy(update={"flying_weight": loading * area})
    ((place, sentence),) = doubts(replace(godwit_study, stock=stock))
    assert dotted(place) == "stock.flying_weight" and f", {loading:g} kg/m2 of wing; 1 to 12" in sentence
