"""What `check` says about things on board: their room, what is too near with its line, and what does not fit."""

import json

from helpers.edited import edited
from helpers.wings.dotterel import TEXT, written

from tradestudy.__main__ import main

NEAR = 'from_centre = "420 mm"\nside = "left"', 'from_centre = "200 mm"\nside = "right"'
TALL = 'size = ["38 mm", "26 mm", "9 mm"]', 'size = ["38 mm", "26 mm", "30 mm"]'


def run(capsys, *arguments):
    code = main(list(arguments))
    return code, *capsys.readouterr()


def test_room_and_distances_of_equipment_in_the_outer_panels(capsys, tmp_path):
    path = str(written(tmp_path))
    assert "too near" not in (brief := " ".join(run(capsys, "check", path)[1].split()))
    assert "of things are far enough from each other" in brief
    code, out, err = run(capsys, "check", path, "--all")
    words = " ".join(out.split())
    assert (code, err) == (0, "")
    assert "autopilot: lies in the bay rear; buried, this size fits as far out as" in words
    assert "satellites and sender: 694.5 mm apart, at least 200 mm" in words
    assert "too near" not in words


def test_what_is_too_near_is_told_with_its_line(capsys, tmp_path):
    path = written(tmp_path, NEAR)
    code, out, _ = run(capsys, "check", str(path))
    place = edited(TEXT, NEAR).splitlines().index('from_nose = "186 mm"') + 1
    assert code == 0
    assert (
        f"too near line {place}, equipment[3].from_nose: satellites and sender: 74.5 mm apart, and 200 mm are asked "
        "(judgement, no source). Move satellites 126 mm farther out." in " ".join(out.split())
    )
    pair = json.loads(run(capsys, "check", str(path), "--json")[1])["kept_apart"][0]
    assert (pair["distance_mm"], pair["least_mm"], pair["kept"]) == (74.5, 200, False)
    assert (pair["line"], pair["outward_mm"], pair["aft_mm"]) == (place, 126, None)


def test_what_does_not_fit_ends_with_code_2(capsys, tmp_path):
    code, out, err = run(capsys, "check", str(written(tmp_path, TALL)))
    words = " ".join(err.split())
    place = edited(TEXT, TALL).splitlines().index('from_nose = "196 mm"') + 1
    assert (code, out) == (2, "")
    assert f'line {place} equipment[4].from_nose puts "sender" of 38 x 26 x 30 mm where it does not fit' in words
    # 30 mm and twice 6 mm below the slots of the rods over it
    assert "It needs 42 mm of height (30 mm, 6 mm above, 6 mm below)" in words and "mm too little." in words


def test_a_camera_in_the_nose_against_gear_far_back(capsys, tmp_path):
    """Check that rods over the bay of the gear far back are told: it reaches 30 mm out, and 240 to 264 mm back."""
    line = "pairs = 2\nchord_fraction = 0.30", "pairs = 1\nchord_fraction = 0.80\ntip_chord_fraction = 0.50"
    found = []
    for inner in (25, 35):
        ends = 'inner_end = "85 mm"\nouter_end = "600 mm"', f'inner_end = "{inner} mm"\nouter_end = "600 mm"'
        path = str(written(tmp_path, line, ends))
        code, out, _ = run(capsys, "check", path, "--json")
        assert code == 0
        found.append({room["name"]: room["rods_over"] for room in json.loads(out)["room_inside"]})
    assert found[0]["bay rear"] == ["rods main"] and found[1]["bay rear"] == found[0]["bay nose"] == []
