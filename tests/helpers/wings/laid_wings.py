"""Studies of the Plover with packs in practice: a high brick, bricks in two bays, cores cut anew."""

from helpers.wings.plover import written

OWN_BAY = ("cut_to_pack = false", "cut_to_pack = true")
CUT = ('rod_length_sold = "1 m"', 'rod_length_sold = "1 m"\ncan_cut_cores = true\nsweep = ["14 deg", "28 deg"]')
BRICK = """[[pack_choice]]
name = "brick"
cell = "pouch 4.0 Ah"
series = 4
parallel = 1
weight = "430 g"
size = ["138 mm", "44 mm", "36 mm"]
maximum_current = "60 A"
[choices]
pack = ["brick"]
raised_lid = ["0 mm", "3 mm", "6 mm"]
"""
_BESIDE = (  # rods that end beside the bay
    'chord_fraction = 0.40\nouter_end = "590 mm"\nslot_depth = "5 mm"\nat_centre = "cross over"',
    'chord_fraction = 0.40\ninner_end = "75 mm"\nouter_end = "590 mm"\nslot_depth = "5 mm"\nat_centre = "ends"',
)
_BAY = (
    'from_nose = "45 mm"\nlength = "170 mm"\nwidth = "120 mm"\ndepth = "26 mm"\ndivider = "2 mm"',
    'from_nose = "45 mm"\nfrom_centre = "45 mm"\nlength = "170 mm"\nwidth = "46.5 mm"\ndepth = "28 mm"',
)
_TWO_BRICKS = (
    'cell = "21700 5.0 Ah"\nseries = 4\nparallel = 2\ncells_across = 4\ncells_high = 1\n',
    'cell = "pouch 5.0 Ah"\nseries = 3\nparallel = 2\ncapacity = "10 Ah"\nweight = "760 g"\n'
    'size = ["138 mm", "44 mm", "25 mm"]\npacks = 2\ncells_across = 1\n',
)
_IN_LINE = (
    _BAY[0],
    'from_nose = "45 mm"\nlength = "85 mm"\nwidth = "50 mm"\ndepth = "22.5 mm"\n'
    '[[bay]]\nname = "aft"\nfrom_nose = "134 mm"\nlength = "85 mm"\nwidth = "50 mm"\ndepth = "22.5 mm"',
)
_SMALL_BRICKS = (
    _TWO_BRICKS[0] + 'bay = "main"\nfrom_nose = "123 mm"',
    'cell = "pouch 5.0 Ah"\nseries = 3\nparallel = 2\ncapacity = "4.6 Ah"\nweight = "440 g"\n'
    'size = ["78 mm", "44 mm", "20 mm"]\npacks = 2\ncells_across = 1\nbay = "main"\nfrom_nose = "86 mm"\n'
    'second_bay = "aft"\nsecond_from_nose = "175 mm"',
)


def cut_anew(folder, *edits, more=""):
    """Write the Plover with cores that are cut anew, and return its path."""
    return _with(written(folder, OWN_BAY, CUT, *edits), more)


def high_brick(folder):
    """Write the Plover with a brick on trial that is too high for its section, and lids that may be raised."""
    return cut_anew(folder, more=BRICK)


def high_brick_in_a_bay_that_stays(folder, height="26 mm"):
    """Write the Plover, whose bay of 26 mm stays, with a brick on trial of some height, and lids that may be raised."""
    brick = BRICK.replace('"36 mm"', f'"{height}"').replace('["0 mm", "3 mm", "6 mm"]', '["6 mm", "3 mm"]')
    return _with(written(folder, _BESIDE), brick)


def two_bricks(folder, *edits):
    """Write the Plover with two bricks, each in a bay of one half wing."""
    return written(folder, _BAY, _TWO_BRICKS, *edits)


def one_behind_the_other(folder):
    """Write the Plover with two small bricks, one in each of two bays on the centre line."""
    return written(folder, _IN_LINE, _SMALL_BRICKS)


def _with(path, more):
    path.write_text(path.read_text(encoding="utf-8") + more, encoding="utf-8")
    return path
