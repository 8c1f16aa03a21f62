"""OpenMDAO component of `physics.flight.level_drag`: section drag, total drag and stall margins in level flight."""

from typing import Any, NamedTuple

import numpy as np
import openmdao.api as om

from tradestudy.physics.flight import level_drag

from .complex_step import Stepped
from .model_variables import declared

_SCALARS = ("fin_area", "fin_mean_chord", "cruise_speed")
STRIPWISE = ("lift_coefficient", "log_reynolds", "strip_deflection")


class Other(NamedTuple):
    """Drag of everything except the strips of the wing."""

    drag_area: Any  # array of shape (any batch, n_level) [m^2]


class Section(om.ExplicitComponent):
    """Component that computes total drag area and the stall margin of every strip.

    Its derivatives come from the interpolation tables.
    """

    def initialize(self):
        self.options.declare("data", types=level_drag.LevelData, desc="what is the same for every design")
        self.options.declare("n_strip", types=int, desc="wing strips of the half wing")

    def setup(self):
        n_strip = self.options["n_strip"]
        strips = (level_drag.N_LEVEL, n_strip)
        shapes = {
            **dict.fromkeys(STRIPWISE, strips),
            "strip_area": (n_strip,),
            "induced_drag_area": (level_drag.N_LEVEL,),
        }
        for name in (*_SCALARS, *shapes):
            self.add_input(**declared(name, shapes.get(name, (1,))))
        self.add_output(**declared("drag_area", (level_drag.N_LEVEL,)))
        self.add_output(**declared("stall_margin", strips))
        every = np.arange(level_drag.N_LEVEL * n_strip)
        condition = np.arange(level_drag.N_LEVEL)
        for name in STRIPWISE:
            self.declare_partials("stall_margin", name, rows=every, cols=every)
            self.declare_partials("drag_area", name, rows=np.repeat(condition, n_strip), cols=every)
        self.declare_partials("drag_area", "strip_area")
        self.declare_partials("drag_area", "induced_drag_area", rows=condition, cols=condition, val=1.0)
        self.declare_partials("drag_area", list(_SCALARS))
        self._kept = None
        self._other = Stepped(self._other_drag, {"drag_area": _SCALARS})

    def _other_drag(self, **scalars):
        return Other(level_drag.other_drag_area(self.options["data"], **scalars))

    def _strips(self, inputs):
        """Return section drag and stall margins with their derivatives, stored until the inputs change."""
        here = [np.array(inputs[name]) for name in STRIPWISE]
        if self._kept is None or any(not np.array_equal(a, b) for a, b in zip(here, self._kept[0], strict=True)):
            lift, reynolds, deflection = here
            self._kept = here, level_drag.strip_state(self.options["data"], lift, reynolds, deflection)
        return self._kept[1]

    def compute(self, inputs, outputs):
        other = self._other.value({name: inputs[name] for name in _SCALARS})["drag_area"]
        level = level_drag.level_drag(
            self.options["data"], self._strips(inputs), inputs["strip_area"], inputs["induced_drag_area"], other
        )
        outputs["drag_area"], outputs["stall_margin"] = level.drag_area, level.stall_margin

    def compute_partials(self, inputs, partials):
        data = self.options["data"]
        strips = self._strips(inputs)
        section_drag, margin = strips.section_drag, strips.stall_margin
        for index, name in enumerate(STRIPWISE, start=1):
            partials["stall_margin", name] = margin[index].ravel()
            partials["drag_area", name] = (
                2 * data.section_drag_factor * section_drag[index] * inputs["strip_area"]
            ).ravel()
        partials["drag_area", "strip_area"] = 2 * data.section_drag_factor * section_drag[0]
        for pair, slope in self._other.slopes({name: inputs[name] for name in _SCALARS}).items():
            partials[pair] = slope
