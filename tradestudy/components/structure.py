"""Door to `physics.strength`: what the wing carries, what breaks, how far it bends."""

import numpy as np
import openmdao.api as om

from tradestudy.physics import flight, strength

from .complex_step import STEP

SCALARS = {"extension": "m", "sweep": "rad", "washout": "rad", "rod_diameter": "m", "rod_pairs": None}
N_LEVEL, N_LOAD = len(flight.LEVEL_CONDITIONS), len(flight.LOAD_CONDITIONS)
OUTPUTS = {"utilisation": None, "failure_load_factor": None, "tip_deflection": "m", "deflection_share": None}


class Structure(om.ExplicitComponent):
    """Utilisation, failure load factor and tip deflection in every load condition.

    Conditions do not touch each other, so one step along a strip serves all of them at once.
    """

    def initialize(self):
        self.options.declare("data", types=strength.StrengthData, desc="what stays the same while the choices vary")
        self.options.declare("n_strip", types=int, desc="wing strips of the half wing")

    def setup(self):
        n_strip = self.options["n_strip"]
        for name, units in SCALARS.items():
            self.add_input(name, val=1.0, units=units)
        self.add_input("load_factor", shape=N_LEVEL + N_LOAD)
        self.add_input("strip_lift", shape=(N_LOAD, n_strip), units="N")
        self.add_input("strip_moment", shape=(N_LOAD, n_strip), units="N*m")
        condition = np.arange(N_LOAD)
        rows, cols = np.repeat(condition, n_strip), np.arange(N_LOAD * n_strip)
        for name, units in OUTPUTS.items():
            self.add_output(name, shape=N_LOAD, units=units)
            self.declare_partials(name, list(SCALARS))
            self.declare_partials(name, "load_factor", rows=condition, cols=N_LEVEL + condition)
            self.declare_partials(name, ["strip_lift", "strip_moment"], rows=rows, cols=cols)

    def _answer(self, scalars, load_factor, strip_lift, strip_moment):
        found = strength.wing_structure(self.options["data"], *scalars, load_factor, strip_lift, strip_moment)
        return {"utilisation": found.greatest_utilisation, "failure_load_factor": found.failure_load_factor,
                "tip_deflection": found.tip_deflection,
                "deflection_share": strength.deflection_share(self.options["data"], scalars[0], found.tip_deflection)}

    def compute(self, inputs, outputs):
        scalars = [inputs[name][0] for name in SCALARS]
        answer = self._answer(scalars, inputs["load_factor"][N_LEVEL:], inputs["strip_lift"], inputs["strip_moment"])
        for name in OUTPUTS:
            outputs[name] = answer[name]

    def compute_partials(self, inputs, partials):
        n_strip, n_scalar = self.options["n_strip"], len(SCALARS)
        total = n_scalar + 1 + 2 * n_strip
        direction = np.arange(total)
        scalars = [inputs[name][0] + 1j * STEP * (direction == index) for index, name in enumerate(SCALARS)]
        factor = inputs["load_factor"][N_LEVEL:] + 1j * STEP * (direction == n_scalar)[:, None]
        strip = np.arange(n_strip)
        stepped = []
        for index, name in enumerate(("strip_lift", "strip_moment")):
            first = n_scalar + 1 + index * n_strip
            stepped.append(inputs[name] + 1j * STEP * (direction[:, None] == first + strip)[:, None, :])
        for name, value in self._answer(scalars, factor, *stepped).items():
            slope = value.imag / STEP
            for index, scalar in enumerate(SCALARS):
                partials[name, scalar] = slope[index]
            partials[name, "load_factor"] = slope[n_scalar]
            partials[name, "strip_lift"] = slope[n_scalar + 1: n_scalar + 1 + n_strip].T.ravel()
            partials[name, "strip_moment"] = slope[n_scalar + 1 + n_strip:].T.ravel()
