"""OpenMDAO component of `physics.flight.strength`: utilisation of the wing, first failure, and tip deflection."""

import numpy as np
import openmdao.api as om

from tradestudy.physics.flight import strength
from tradestudy.physics.flight.records import STEP
from tradestudy.physics.flight.trimmed_flight import N_LEVEL, N_LOAD

from .half_wings import HalfWings
from .model_variables import declared

_SCALARS = ("extension", "sweep", "washout", "rod_diameter", "rod_pairs", "tip_chord")
OUTPUTS = ("utilisation", "failure_load_factor", "deflection_share")


class Structure(om.ExplicitComponent):
    """Component for the structure in every load condition.

    Outputs are utilisation, failure load factor, and tip deflection over semi-span.

    Conditions are independent, so one complex step along a strip serves all of them.
    """

    def initialize(self):
        self.options.declare("half_wings", types=HalfWings, desc="half wings, with what is the same for every design")
        self.options.declare("n_strip", types=int, desc="wing strips of the half wing")

    def setup(self):
        n_strip = self.options["n_strip"]
        strips = (N_LOAD, n_strip)
        shapes = {"load_factor": (N_LEVEL + N_LOAD,), "strip_lift": strips, "strip_moment": strips}
        for name in (*_SCALARS, *shapes):
            self.add_input(**declared(name, shapes.get(name, (1,))))
        condition = np.arange(N_LOAD)
        rows, cols = np.repeat(condition, n_strip), np.arange(N_LOAD * n_strip)
        self._kept = None
        for name in OUTPUTS:
            self.add_output(**declared(name, (N_LOAD,)))
            self.declare_partials(name, list(_SCALARS))
            self.declare_partials(name, "load_factor", rows=condition, cols=N_LEVEL + condition)
            self.declare_partials(name, ["strip_lift", "strip_moment"], rows=rows, cols=cols)

    def compute(self, inputs, outputs):
        scalars, factor = [inputs[name][0] for name in _SCALARS], inputs["load_factor"][N_LEVEL:]
        answer = self._answer(scalars, factor, inputs["strip_lift"], inputs["strip_moment"])
        for name in OUTPUTS:
            outputs[name] = answer[name]

    def compute_partials(self, inputs, partials):
        n_strip, n_scalar = self.options["n_strip"], len(_SCALARS)
        for name, slope in self._stepped(inputs).items():
            for index, scalar in enumerate(_SCALARS):
                partials[name, scalar] = slope[index]
            partials[name, "load_factor"] = slope[n_scalar]
            partials[name, "strip_lift"] = slope[n_scalar + 1 : n_scalar + 1 + n_strip].T.ravel()
            partials[name, "strip_moment"] = slope[n_scalar + 1 + n_strip :].T.ravel()

    def _answer(self, scalars, load_factor, strip_lift, strip_moment):
        half_wings, choice = (
            self.options["half_wings"],
            strength.WingChoice(**dict(zip(_SCALARS, scalars, strict=True))),
        )
        structure = strength.design_structure(
            half_wings.data,
            half_wings.of(choice),
            choice.extension,
            strength.StripForces(load_factor, strip_lift, strip_moment),
        )
        return {name: getattr(structure, name) for name in OUTPUTS}

    def _stepped(self, inputs):
        """Return derivatives of shape (direction, condition), from one complex batch.

        The result is stored until the inputs change.
        """
        here = {name: np.array(value) for name, value in inputs.items()}
        if self._kept is None or any(not np.array_equal(here[name], self._kept[0][name]) for name in here):
            n_strip, n_scalar = self.options["n_strip"], len(_SCALARS)
            direction = np.arange(n_scalar + 1 + 2 * n_strip)
            scalars = [here[name][0] + 1j * STEP * (direction == index) for index, name in enumerate(_SCALARS)]
            factor = here["load_factor"][N_LEVEL:] + 1j * STEP * (direction == n_scalar)[:, None]
            strip = np.arange(n_strip)
            moved = [
                here[name] + 1j * STEP * (direction[:, None] == first + strip)[:, None, :]
                for name, first in (("strip_lift", n_scalar + 1), ("strip_moment", n_scalar + 1 + n_strip))
            ]
            answer = self._answer(scalars, factor, *moved)
            self._kept = here, {name: value.imag / STEP for name, value in answer.items()}
        return self._kept[1]
