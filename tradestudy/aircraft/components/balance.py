"""OpenMDAO component of `physics.flight.balance`: the place of the pack and the fin volume coefficient."""

from tradestudy.physics.flight import balance

from .complex_step import SteppedComponent

# output -> the inputs that it depends on; all other derivatives are zero
_DEPENDS = {
    "pack_position": ("centre_of_gravity", "all_up_mass", "moment_without_pack", "sliding_mass"),
    "fin_volume": ("centre_of_gravity", "fin_side_area", "fin_quarter_chord", "area", "span"),
}


class Balance(SteppedComponent):
    """Component that computes pack position and fin volume coefficient."""

    def setup(self):
        self.declare(balance.design_balance, _DEPENDS)
