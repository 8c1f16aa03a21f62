"""How much fin there is against yaw. What a strip has left before it stalls stands in `level`."""

from __future__ import annotations


def fin_volume(fin_area, fin_arm, wing_area, span):
    """Return the fin volume coefficient: fin area times its arm behind the balance point over area and span. [-]"""
    return fin_area * fin_arm / (wing_area * span)
