"""OpenMDAO component of `physics.flight.layout`: outline and weights of one design."""

from functools import partial

from tradestudy.physics.flight import layout

from .complex_step import SteppedComponent

_WING = ("extension", "sweep", "tip_chord")  # washout twists the wing and leaves its outline unchanged
# output -> the inputs that it depends on; all other derivatives are zero
_DEPENDS: dict[str, tuple[str, ...]] = {
    "span": ("extension",),
    "area": ("extension", "tip_chord"),
    "fin_area": _WING,
    "fin_mean_chord": _WING,
    "fin_side_area": _WING,
    "fin_quarter_chord": _WING,
    "pack_mass": ("series", "parallel"),
    "sliding_mass": ("series", "parallel"),
    "moment_without_pack": (*_WING, "rod_diameter", "rod_pairs", "series", "parallel", "equipment_position"),
    "all_up_mass": (*_WING, "rod_diameter", "rod_pairs", "series", "parallel"),
}


class Shape(SteppedComponent):
    """Component that computes outline and weights. Its inputs are those of `layout.design_shape`."""

    def initialize(self):
        self.options.declare("data", types=layout.LayoutData, desc="what is the same for every design")

    def setup(self):
        data = self.options["data"]
        self.declare(partial(layout.design_shape, data), _DEPENDS, {}, more_inputs=("washout",))
