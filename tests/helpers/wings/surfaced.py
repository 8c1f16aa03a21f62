"""The Godwit with more surfaces: an elevon outlined by points, an inboard fin, and tip fins that extend downwards."""

from helpers.edited import edited

ELEVON = """root_chord = "46 mm"                   # behind the foam, at the root (a fixed strip where there is \
no elevon)
tip_chord = "26 mm"
inner_end = "85 mm"                    # from the centre line
outer_end = "630 mm"
"""
OUTLINE = """outline = [["70 mm", "45 mm"], ["300 mm", "45 mm"], ["600 mm", "22 mm"]]
"""
FIN = """behind_leading_edge = "20 mm"          # fin's bottom leading edge behind the wing tip's leading edge
material = "corrugated sheet 3 mm"
"""
MORE_FINS = """behind_leading_edge = "20 mm"
depth_below = "50 mm"
material = "corrugated sheet 3 mm"

[[fin]]
from_centre = "210 mm"
height = "90 mm"
root_chord = "110 mm"
tip_chord = "70 mm"
set_back = "40 mm"
behind_leading_edge = "120 mm"
cant = "20 deg"
toe = "2 deg"
material = "balsa"
"""


def surfaced(godwit: str) -> str:
    """Return the text of the Godwit's study with these surfaces."""
    return edited(godwit, (ELEVON, OUTLINE), (FIN, MORE_FINS))
