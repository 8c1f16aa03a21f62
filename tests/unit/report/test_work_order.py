"""The work order and the shopping list as a builder reads them: nothing to ask, and both name the same things."""

import math
from dataclasses import replace

import numpy as np
import pytest
from helpers.wings import plover
from helpers.wings.laid_wings import two_bricks

from tradestudy.commands.assess import assess
from tradestudy.report.build_sheet import gear_words, sheet_words
from tradestudy.report.work_order import openings, order
from tradestudy.report.work_order.kept_panels import NONE_KEPT, kept_parts, patch_rows, stay_words
from tradestudy.report.work_order.order import work_steps
from tradestudy.results.cutting import Mark
from tradestudy.results.outline import KeptApart
from tradestudy.study.reader import read_study

PLUG = 'scheme = "scaled"\nkeep = "sweep_angle"', 'scheme = "plug"'
TIP = 'scheme = "scaled"\nkeep = "sweep_angle"', 'scheme = "tip"'
SAME_FINS = 'fins = "hold_volume"', 'fins = "keep"'
ADDED = 35.0  # mm on each side, of a wing of plover.SPAN
# words of the steps -> the row of the shopping list that must be there
ASKED_FOR = {
    "plywood or laminate": "template board",
    "fine paper": "tape, pins and paper",
    "a few pins": "tape, pins and paper",
    "magnets": "magnets for lids, or tape",
    "push rod": "push rods",
    "horn ": "elevon horns",
    "light filler": "light filler",
    "screw the motor": "motor screws",
    "two screws": "fin screws",
    "boards at the back walls": "boards of bays, balsa",
    "polyurethane glue": "polyurethane glue",
    "slow epoxy": "slow epoxy",
    "contact glue": "contact glue",
    "spray adhesive": "spray adhesive",
    "leads: slit": "servo leads",
    "jig blocks": "jig blocks",
}


def wing(folder, *edits):
    """Return the Result of the Plover at the span of the tests, with a few parts of its study changed."""
    return assess(plover.written(folder, *edits), span=plover.SPAN)


@pytest.fixture(scope="module")
def cut_anew(tmp_path_factory):
    return wing(tmp_path_factory.mktemp("scaled"))


@pytest.fixture(scope="module")
def plugged(tmp_path_factory):
    return wing(tmp_path_factory.mktemp("plug"), PLUG, SAME_FINS, ('centre_width = "80 mm"', 'centre_width = "0 mm"'),
                ('width = "120 mm"', 'width = "92 mm"'))  # fmt: skip


@pytest.fixture(scope="module")
def tipped(tmp_path_factory):
    return wing(tmp_path_factory.mktemp("tip"), TIP, SAME_FINS)


def told(result, design=None):
    design = design or result.best
    return " ".join(line for _, lines in work_steps(design, kept_parts(design, result.stock)) for line in lines)


def test_pieces_are_named_as_they_lie_side_by_side(cut_anew, plugged, tipped):
    assert "Centre piece in the middle, on each side a panel, upside down in the upper beds" in told(cut_anew)
    assert "Plug in the middle, on each side a panel, on the jig blocks" in told(plugged)
    assert "Centre piece in the middle, on each side a panel and a tip piece, on the jig blocks" in told(tipped)
    assert "Template root (two of it)" in told(plugged) and "two of it" not in told(tipped)
    (where,) = sheet_words.stretch_words(plugged.best)
    assert f"one piece {2 * ADDED:.0f} mm wide across the centre line" in where and "on each side" not in where


def test_the_channel_of_the_joiner_is_open_at_the_side_that_is_up(cut_anew, plugged):
    """Foaming glue runs out of a channel that is open below: the wing lies with that side up, or it is the other."""
    anew, panels = told(cut_anew), told(plugged)
    assert "Open it from the lower side" in anew and "open at the lower side, which is up now" in anew
    assert "Foam to foam, upside down in the upper beds" in anew
    assert "Open it from the upper side" in panels and "open at the upper side, which is up now" in panels
    assert "upside down" not in panels.partition("Glue the rods")[0].partition("Weigh it ready")[0]


@pytest.mark.parametrize(("length", "is_crossed"), [("400 mm", False), ("760 mm", True)])
def test_slots_that_run_over_the_channel_are_cut_again(length, is_crossed, tmp_path):
    """A long joiner reaches out to where the swept main rods pass it: their slots at the bottom are closed by it."""
    result = wing(tmp_path, ('length = "400 mm"', f'length = "{length}"'))
    (channel,) = [solid for solid in result.best.body.solids if solid.kind == "channel"]
    low, high = np.min(channel.vertices_mm, axis=0), np.max(channel.vertices_mm, axis=0)
    rods = [np.array(one.vertices_mm) for one in result.best.body.solids if one.name.startswith("rod main bottom")]
    middles = [points[points[:, 1] > points[:, 1].max() - 1e-3].mean(0) for points in rods]
    inner = [points[points[:, 1] < points[:, 1].min() + 1e-3].mean(0) for points in rods]
    places = [a + share * (b - a) for a, b in zip(inner, middles, strict=True) for share in np.linspace(0, 1, 500)]
    assert any(np.all((low[:2] < place[:2]) & (place[:2] < high[:2])) for place in places) == is_crossed
    assert ("again through that strip" in told(result)) == is_crossed


def test_a_propeller_that_would_meet_the_trailing_edge_is_told(cut_anew):
    design = cut_anew.best
    root = design.cut.stations[0].trailing_edge_mm
    (disc,) = [solid for solid in design.body.solids if solid.kind == "propeller"]
    points = np.array(disc.vertices_mm)
    radius, front = np.ptp(points[:, 1]) / 2, points[:, 0].min()
    rows = design.cut.stations
    edge = np.interp(radius, [row.station_mm for row in rows], [row.trailing_edge_mm for row in rows])
    assert edge > root  # the edge is swept back, so it is nearest to the blades at their tips
    assert f"nearest trailing edge {front - edge:.1f} mm are left" in told(cut_anew)
    ahead = front - edge + 6.0
    moved = replace(disc, vertices_mm=(points - [ahead, 0.0, 0.0]).tolist())
    body = replace(design.body, solids=[moved if solid is disc else solid for solid in design.body.solids])
    words = told(cut_anew, replace(design, body=body))
    assert "blades would meet the trailing edge: it lies 6.0 mm behind their front" in words


def test_what_stays_in_panels_that_have_flown(plugged, tipped, cut_anew):
    kept = kept_parts(plugged.best, plugged.stock)
    assert "rear" in kept.rods and kept.across == () and "main" not in kept.rods  # the main rods cross the cut
    assert set(kept.kinds) == {"elevon", "fin", "pocket"}  # the saw goes through joiner and bay
    stay, new, old = stay_words(plugged.best, kept)
    assert old.startswith("Old rods main come out of the panels")
    assert "elevons with their hinges" in stay and "joiner" in new and "rear, across" in new
    assert f"foam {sum(core.litres for core in plugged.best.cut.cores if core.new):.1f} litres" in new
    ((where, pieces, size),) = patch_rows(plugged.best, kept)
    root = plugged.best.cut.sections[0]
    long, wide = map(float, size.split(" x "))
    assert (where, pieces) == ("plug", "2") and long == math.ceil(2 * ADDED + 24)
    assert root.foam_chord_mm + 24 < wide < 1.06 * root.foam_chord_mm + 25  # the skin is longer than its chord
    tips = kept_parts(tipped.best, tipped.stock)
    assert {"joiner", "bay", "pocket"} <= set(tips.kinds) and "rear" in tips.across
    assert "the joiner" in stay_words(tipped.best, tips)[0] and told(tipped).count("have it already") >= 5
    assert kept_parts(cut_anew.best, cut_anew.stock) == NONE_KEPT and stay_words(cut_anew.best, NONE_KEPT) == []


def test_other_rods_are_new_in_old_panels(plugged):
    thicker = replace(plugged.best, choices=replace(plugged.best.choices, rod_diameter_mm=9.0))
    assert kept_parts(thicker, plugged.stock).rods == ()


@pytest.mark.parametrize("name", ["cut_anew", "plugged", "tipped"])
def test_the_list_names_what_the_steps_ask_for(name, request):
    result = request.getfixturevalue(name)
    rows, words = {row.what for row in result.shopping}, told(result).lower()
    missing = {asked: row for asked, row in ASKED_FOR.items() if asked in words and row not in rows}
    assert not missing
    spare = {row for asked, row in ASKED_FOR.items() if row in rows} - {
        row for asked, row in ASKED_FOR.items() if asked in words
    }
    assert not spare


def test_both_lids_of_two_bays_have_their_magnets(tmp_path):
    result = assess(two_bricks(tmp_path), span=plover.SPAN)
    rows = {row.what: row.count_per_wing for row in result.shopping}
    # two for each lid: one lid in each half
    lids = sum(1 + (min(p[1] for p in one.vertices_mm) >= 0) for one in result.best.body.solids if one.kind == "lid")
    assert lids >= 2 and rows["magnets for lids, or tape"] == 2 * lids and rows["parallel lead"] == 1


def test_blocks_of_the_jig_can_be_cut(plugged, cut_anew):
    assert min(row.front_block_mm for row in plugged.best.cut.jig) >= 10.0
    # with beds the heights are a check, for which the wing touches the table
    assert min(row.front_block_mm for row in cut_anew.best.cut.jig) < 10.0


def test_strips_and_both_sides_of_the_hinge_have_film(cut_anew):
    cut = cut_anew.best.cut
    behind = cut.film[2]
    points = np.array([(row.station_mm, row.hinge_mm) for row in cut.stations])
    assert behind.length_mm >= np.hypot(*np.diff(points, axis=0).T).sum()  # from the centre line to the tip
    assert cut.film[3].count == 4


def test_a_servo_on_top_has_its_horn_on_top(tmp_path):
    linkage = "[pack]", '[linkage]\nservo_arm = "10 mm"\nhorn = "14 mm"\n[pack]'
    below = assess(plover.written(tmp_path, linkage), span=plover.SPAN)
    assert "straight below the hinge line" in told(below)
    pockets = [replace(pocket, side="top") for pocket in below.best.cut.pockets]
    above = replace(below.best, cutting=replace(below.best.cutting, pockets=pockets))
    assert "straight above the hinge line" in told(below, above)
    assert read_study(plover.written(tmp_path, linkage)).pocket[0].side == "bottom"


def test_blocks_are_set_by_a_height_above_their_bottom(cut_anew):
    """The lowest point of both ends, level with their twist, lies 5 mm above the bottom of the block."""
    cut = cut_anew.best.cut
    lowest = 0.0
    for section in cut.sections:
        turn = np.radians(section.washout_deg)
        level = np.array(section.z_mm) * np.cos(turn) + np.array(section.x_mm) * np.sin(turn)
        lowest = min(lowest, level.min())
    assert f"equally high: {5.0 - lowest:.1f} mm above it." in told(cut_anew)


def test_packs_go_in_from_above_once_the_halves_are_turned_over(cut_anew, plugged):
    assert "Turn the halves over into the lower beds. Put in the pack" in told(cut_anew)
    assert "Turn the halves over" not in told(plugged)  # on the jig blocks they lie upper side up from the start


def test_slots_that_cross_are_told_where_a_wing_has_some(cut_anew, monkeypatch):
    cross, over = "cut in both halves now", "Where two slots cross"
    assert cross in told(cut_anew) and over in told(cut_anew)
    short = [slot for slot in openings.slots_of(cut_anew.best) if not slot.across and not slot.other_half]
    for room in (openings, order):
        monkeypatch.setattr(room, "slots_of", lambda design: short)
    assert cross not in told(cut_anew) and over not in told(cut_anew)


def test_things_without_a_size_are_not_put_where_no_room_is(cut_anew):
    design = cut_anew.best
    (channel,) = [solid for solid in design.body.solids if solid.kind == "channel"]
    points = np.array(channel.vertices_mm)
    back, tip = points[:, 0].max(), points[:, 1].max()

    def told_at(x, y, side=""):
        gear = [*design.cut.gear, Mark("buzzer", x, 0.0, y, side)]
        return told(cut_anew, replace(design, cutting=replace(design.cutting, gear=gear)))

    clash = "As listed, buzzer lies at the joiner channel: move it."
    assert clash in told_at(back + 2.9, 0.0) and clash in told_at(back - 1.0, tip - 1.0, "left")
    assert clash not in told_at(back + 3.1, 0.0) and clash not in told_at(back - 1.0, tip + 3.1, "both")


def test_a_recess_is_not_cut_for_a_thing_that_has_to_move(cut_anew):
    design = cut_anew.best
    name = "camera"  # it lies in the foam, outside all bays
    pair = KeptApart(name, "power leads", 0.0, 100.0, False, "judgement, no source", f"Move {name} 100 mm farther out.")

    def told_with(one):
        return told(cut_anew, replace(design, outline=replace(design.outline, kept_apart=[one])))

    assert f"asks to move {name}, too near" in told_with(pair)
    assert "asks to move" not in told_with(replace(pair, kept=True, remedy=""))


def test_leads_pass_the_joiner_where_foam_is_left(cut_anew, plugged, monkeypatch):
    assert "pass the joiner in the strip that closes its channel" in told(cut_anew)
    assert "pass the joiner below its channel" in told(plugged)
    places = [
        place._replace(below=7.9) if place.kind == "channel" else place
        for place in openings.places_of(plugged.best.body)
    ]
    monkeypatch.setattr(openings, "places_of", lambda body: places)
    assert "Keep clear of the joiner: pass its ends." in told(plugged)


def test_foam_that_is_higher_than_the_elevon_is_told(cut_anew):
    design = cut_anew.best
    faces = [abs(section.z_mm[0] - section.z_mm[-1]) for section in design.cut.sections]
    words = f"The foam there is {faces[0]:.1f} mm high at the root and {faces[-1]:.1f} mm at the tip"
    for sheet, is_told in ((max(faces) - 0.6, True), (max(faces) - 0.4, False)):
        elevon = replace(design.cut.elevon, thickness_mm=sheet)
        assert (words in told(cut_anew, replace(design, cutting=replace(design.cutting, elevon=elevon)))) == is_told


def test_tips_are_sanded_for_fins_that_lean(cut_anew):
    design = cut_anew.best
    for cant, toe in ((0.0, 0.0), (4.0, 0.0), (0.0, 1.0)):
        fins = [replace(fin, cant_deg=cant, toe_deg=toe) for fin in design.cut.fins]
        words = told(cut_anew, replace(design, cutting=replace(design.cutting, fins=fins)))
        assert ("Sand the end of the tip" in words) == bool(cant or toe)


def test_a_rod_across_is_told_with_its_share_of_each_half(cut_anew):
    (rods,) = [rods for rods in cut_anew.best.cut.rods if rods.at_centre == "lap"]
    (note,) = [note for note in sheet_words.rod_notes(cut_anew.best) if note.startswith(f"{rods.name}:")]
    assert f"{rods.across_mm / 2:.0f} mm of it in each half" in note and "on each side" not in note


def test_equipment_that_comes_over_is_named_below_the_list(cut_anew):
    (note,) = gear_words.not_listed_notes(cut_anew.best, cut_anew)
    rows = {row.what for row in cut_anew.shopping}
    for mark in cut_anew.best.cut.gear:
        is_bought = mark.name in rows or mark.name in ("pack", "motor", "controller") or "servo" in mark.name
        assert (mark.name in note) != is_bought


def test_the_channel_of_the_joiner_has_depths_at_both_ends(cut_anew, plugged):
    """The floor is the far side of the channel, and depths are measured from the skin through which it is opened."""
    for result, is_lower in ((cut_anew, True), (plugged, False)):
        (channel,) = [solid for solid in result.best.body.solids if solid.kind == "channel"]
        low, high = np.min(channel.vertices_mm, axis=0), np.max(channel.vertices_mm, axis=0)
        depths = []
        for y in (0.0, high[1]):
            sections = [section for section in result.best.body.skin]
            where = np.array([section.y_mm for section in sections])
            after = min(max(int(np.searchsorted(where, y)), 1), len(where) - 1)
            share = (y - where[after - 1]) / (where[after] - where[after - 1])
            points = (1 - share) * np.array(sections[after - 1].points_mm) + share * np.array(sections[after].points_mm)
            nose = int(np.argmin(points[:, 0]))
            halves = [points[: nose + 1], points[nose:]]
            z = [np.interp((low[0] + high[0]) / 2, *half[np.argsort(half[:, 0])].T) for half in halves]
            depths.append(high[2] - min(z) if is_lower else max(z) - low[2])
        words = "from the lower side" if is_lower else "from the upper side"
        assert f"{words}, {depths[0]:.1f} mm deep at the centre line and {depths[1]:.1f} mm at its ends" in told(result)


def test_the_weight_for_a_light_tip_is_told_where_it_is_put(cut_anew):
    design = cut_anew.best
    assert "By the list it balances" not in told(cut_anew) and "without that weight" not in told(cut_anew)
    heavy = replace(design, numbers=replace(design.numbers, side_balance_mm=6.6, tip_weight_g=16.0))
    assert "By the list it balances 6.6 mm to the right: 16 g in the left tip" in told(cut_anew, heavy)
    assert "g expected, without that weight." in told(cut_anew, heavy)
