"""One design with its study: the input of all functions in assessment and workshop."""

from __future__ import annotations

from functools import cached_property

from tradestudy.aircraft.shape.pack_bay import bay_of_pack, study_with_bay
from tradestudy.physics.flight import strength
from tradestudy.physics.geometry import planform
from tradestudy.study.schema.study import Study

from .choices import Choice, chosen_pack_size, study_with_choice
from .evaluation import Wings, pack_places
from .model_data import ModelData
from .speed_sweep import SpeedSweep
from .structure_data import weak_strength_data

SAME_LENGTH = 0.5e-3  # a smaller difference cannot be built [m]
_SAME = {"sweep": 1e-3, "washout": 1e-3, "tip_chord": SAME_LENGTH}  # the same, in rad and m


class EvaluatedDesign(SpeedSweep):
    """A `SpeedSweep` with its study, in which the parts of its choice are in place.

    Attributes, cheapest first: ``study``, ``data``, ``choice`` and ``variables`` are its inputs. ``wings`` holds the
    lattice solution, ``evaluation`` every output at cruise, and ``speed_card`` the curves over speed.
    """

    def __init__(
        self, study: Study, data: ModelData, choice: Choice, variables: dict[str, float], wings: Wings | None = None
    ):
        super().__init__(data, choice, variables, wings)
        self._study = study_with_choice(study, choice)

    @cached_property
    def study(self) -> Study:
        """The study with the parts of the choice in place, and the pack's bay where this design has it."""
        if self.data.layout.pack_bay is None:
            return self._study
        place, size = float(pack_places(self.wings)), chosen_pack_size(self._study, self.choice)
        return study_with_bay(self._study, bay_of_pack(self._study, size, place, self.choice.raised_lid))

    def at_cruise(self, speed: float) -> EvaluatedDesign:
        """Return the same wing with another cruise speed [m/s]. What does not depend on it is not computed again."""
        other = EvaluatedDesign(
            self._study, self.data, self.choice, self.variables | {"cruise_speed": speed}, self.wings
        )
        kept = ("own_stall", "stall_ahead", "fastest", "speed_card")
        other.__dict__.update({name: value for name, value in self.__dict__.items() if name in kept})
        return other

    @property
    def keeps_panels(self) -> bool:
        """Whether the wing has the panels and rods of the stock wing; see `has_stock_panels`."""
        return has_stock_panels(self._study, self.data, self.choice, self.variables)

    @property
    def elevon_chord(self) -> float:
        """Mean chord of the elevon, as `StockWing.elevon_chord`, with the tip chord of the design. [m]"""
        return planform.with_tip_chord(self.data.layout.stock, self.variables["tip_chord"]).elevon_chord

    @cached_property
    def weak_strength(self) -> list[strength.StrengthData]:
        """The structure's data with weak materials, and with weak strength but nominal stiffness of the foam."""
        return weak_strength_data(self._study, self.data.strength)


def has_stock_panels(study: Study, data: ModelData, choice: Choice, variables: dict[str, float]) -> bool:
    """Return whether a design has the panels and rods of the stock wing. A search may end within rounding of them.

    ``study`` has the parts of the choice. A piece at root or tip that has no length leaves the panels as they are.
    """
    stock, rods = data.layout.stock, study.rods[:1]
    drawn_anew = data.layout.scheme == "scaled"
    same = [abs(variables[name] - getattr(stock, name)) < _SAME[name] for name in _SAME if drawn_anew]
    chosen = [(choice.rod_diameter, choice.rod_pairs)] * len(rods)
    as_stock = chosen == [(rod.diameter, rod.pairs) for rod in rods]
    return abs(variables["extension"]) < SAME_LENGTH and all(same) and as_stock
