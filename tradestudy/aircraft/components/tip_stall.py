"""OpenMDAO component of `physics.flight.tip_stall`: the stall, and the lift left at the tips."""

from tradestudy.physics.flight import layout, level_drag, tip_stall
from tradestudy.physics.geometry.mesh import half_wing_mesh

from .complex_step import SteppedComponent
from .flow import approach_shapes


class LiftLeftAtTips(SteppedComponent):
    """Component that computes the stall speed, and the lift left at the tips when the first strip stalls."""

    def initialize(self):
        self.options.declare("data", types=level_drag.LevelData, desc="what is the same for every design")

    def setup(self):
        level = self.options["data"]
        data = level.flight.layout
        n_strip = layout.strip_count(data)

        def left(extension, strip_area, **approach):
            wing = layout.wing_outline(data, extension, data.stock.sweep, data.stock.washout)
            shares = tip_stall.tip_shares(wing, half_wing_mesh(wing))
            return tip_stall.tip_stall(level, shares, strip_area, tip_stall.StallApproach(**approach))

        shapes = {"strip_area": (n_strip,), **approach_shapes(n_strip)}
        self.declare(left, dict.fromkeys(("tips_left", "stall_speed"), ("extension", *shapes)), shapes)
