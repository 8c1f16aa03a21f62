"""One design with its study: the input of all functions in assessment and workshop."""

from __future__ import annotations

from functools import cached_property

from tradestudy.physics.flight import strength
from tradestudy.study.schema.study import Study

from .choices import Choice, study_with_choice
from .evaluation import Wings
from .model_data import ModelData
from .speed_sweep import SpeedSweep
from .structure_data import weak_strength_data


class EvaluatedDesign(SpeedSweep):
    """A `SpeedSweep` with its study, in which the parts of its choice are in place.

    Attributes, cheapest first: ``study``, ``data``, ``choice`` and ``variables`` are its inputs. ``wings`` holds the
    lattice solution, ``evaluation`` every output at cruise, and ``speed_card`` the curves over speed.
    """

    def __init__(
        self, study: Study, data: ModelData, choice: Choice, variables: dict[str, float], wings: Wings | None = None
    ):
        super().__init__(data, choice, variables, wings)
        self.study = study_with_choice(study, choice)

    @cached_property
    def weak_strength(self) -> list[strength.StrengthData]:
        """The structure's data with weak materials, and with weak strength but nominal stiffness of the foam."""
        return weak_strength_data(self.study, self.data.strength)
