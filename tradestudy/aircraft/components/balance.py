"""Door to `physics.flight.balance`: where the pack must sit, and how much fin there is."""

import openmdao.api as om

from tradestudy.physics.flight import balance

from .complex_step import Stepped

INPUTS = {
    "centre_of_gravity": "m",
    "all_up_mass": "kg",
    "moment_without_pack": "kg*m",
    "pack_mass": "kg",
    "fin_side_area": "m**2",
    "fin_quarter_chord": "m",
    "area": "m**2",
    "span": "m",
}
DEPENDS = {
    "pack_position": ("centre_of_gravity", "all_up_mass", "moment_without_pack", "pack_mass"),
    "fin_volume": ("centre_of_gravity", "fin_side_area", "fin_quarter_chord", "area", "span"),
}
OUTPUTS = {"pack_position": "m", "fin_volume": None}


class Balance(om.ExplicitComponent):
    """Pack position and fin volume coefficient."""

    def setup(self):
        for name, units in INPUTS.items():
            self.add_input(name, val=1.0, units=units)
        for name, units in OUTPUTS.items():
            self.add_output(name, val=1.0, units=units)
        for output, names in DEPENDS.items():
            self.declare_partials(output, names)
        self.stepped = Stepped(balance.balanced, DEPENDS)

    def compute(self, inputs, outputs):
        self.stepped.fill(inputs, outputs)

    def compute_partials(self, inputs, partials):
        self.stepped.fill_slopes(inputs, partials)
