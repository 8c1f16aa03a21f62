"""Invented draws of a wing, so that no test has to compute them."""

from tradestudy.results.inputs import SpreadPercentiles, SpreadResult
from tradestudy.uncertainty.range_band import SPREAD_QUANTITIES

LOW, OVER = 0.8, 0.93  # low end over the middle, and the middle over the value at the medians


def invented_draws(low=LOW, over=OVER):
    """Return draws whose ranges and times have these shares; currents go with one over them."""
    more = {"cruise_current_a": 1 / over}
    same = ("auw_g", "balance_mm", "pack_mm", "failure_load_factor", "cruise_speed_kmh", "stall_speed_kmh")
    shares = {name: 1.0 if name in same else more.get(name, over) for name in SPREAD_QUANTITIES}
    ends = {name: [100 * low, 100.0, 100 / low] for name in SPREAD_QUANTITIES}
    return SpreadResult(SpreadPercentiles(**ends), {}, [], 4096, shares)
