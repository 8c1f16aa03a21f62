"""Where and when a strip runs out of lift."""

from __future__ import annotations


def stall_margin(lift_coefficient, highest, lowest, load_factor):
    """Return how much section lift is left on every strip, (..., n_condition, n_strip). [-]

    Positive load factors are measured against the largest section lift coefficient, negative ones against the
    smallest. ``load_factor`` is a plain (n_condition,) array: which side counts never changes within a study.
    """
    upright = (load_factor > 0)[:, None]
    return upright * (highest - lift_coefficient) + (1 - upright) * (lift_coefficient - lowest)


def fin_volume(fin_area, fin_arm, wing_area, span):
    """Return the fin volume coefficient: fin area times its arm behind the balance point over area and span. [-]"""
    return fin_area * fin_arm / (wing_area * span)
