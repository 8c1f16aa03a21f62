"""Door to `physics.flight.layout`: outline and weights of one choice."""

from functools import partial

import openmdao.api as om

from tradestudy.physics.flight import layout

from .complex_step import Stepped

INPUTS = {
    "extension": "m",
    "sweep": "rad",
    "washout": "rad",
    "rod_diameter": "m",
    "rod_pairs": None,
    "series": None,
    "parallel": None,
    "equipment_position": "m",
}
WING = ("extension", "sweep")  # washout turns the wing without changing its outline
# what each output depends on; the rest is structurally zero
DEPENDS = {
    "span": ("extension",),
    "area": ("extension",),
    "fin_area": WING,
    "fin_mean_chord": WING,
    "fin_side_area": WING,
    "fin_quarter_chord": WING,
    "pack_mass": ("series", "parallel"),
    "moment_without_pack": (*WING, "rod_diameter", "rod_pairs", "equipment_position"),
    "all_up_mass": (*WING, "rod_diameter", "rod_pairs", "series", "parallel"),
}
OUTPUTS = {
    "span": "m",
    "area": "m**2",
    "fin_area": "m**2",
    "fin_mean_chord": "m",
    "fin_side_area": "m**2",
    "fin_quarter_chord": "m",
    "pack_mass": "kg",
    "moment_without_pack": "kg*m",
    "all_up_mass": "kg",
}


class Shape(om.ExplicitComponent):
    """Outline numbers and weights; the variables are those of `layout.laid_out`."""

    def initialize(self):
        self.options.declare("data", types=layout.LayoutData, desc="what stays the same while the choices vary")

    def setup(self):
        for name, units in INPUTS.items():
            self.add_input(name, val=1.0, units=units)
        for name, units in OUTPUTS.items():
            self.add_output(name, val=1.0, units=units)
        for output, names in DEPENDS.items():
            self.declare_partials(output, names)
        self.stepped = Stepped(partial(layout.laid_out, self.options["data"]), DEPENDS)

    def compute(self, inputs, outputs):
        self.stepped.fill(inputs, outputs)

    def compute_partials(self, inputs, partials):
        self.stepped.fill_slopes(inputs, partials)
