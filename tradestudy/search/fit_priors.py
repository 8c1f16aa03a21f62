"""What is believed of each factor before anything is measured: log-normal about 1, from the study's own bands."""

from __future__ import annotations

import numpy as np

from tradestudy.quantities import split_quantity
from tradestudy.study.schema import Study

from .known_flight import PRIOR_SPREAD
from .load_tie import TWIST_PRIOR
from .power_inputs import propeller_band
from .spread_ends import AT_THE_ENDS

# Standard deviations of ln(factor). All common practice without a source, unless the study has a band.
FOAM_DENSITY, FOAM_MEASURED = 0.08, 0.03  # bead foams as delivered; of one's own block on a scale
COVERING = 0.15  # overlaps, glue
INDUCED = 0.04  # wake model and planform as built
PROPELLER_MEASURED = 0.03  # curves of this propeller, measured
MOTOR_TOLD, MOTOR_ON_BENCH = 0.10, 0.05  # resistance by the maker, by a test of this motor
CAPACITY, CELLS, CELLS_TOLD = 0.02, 0.20, 0.08  # label; resistance of cells, of a pack measured
FOAM_STIFFNESS = 0.5 * np.log(2.0)  # modulus of bead foam: a factor of two is two standard deviations


def priors(study: Study) -> dict[str, float]:
    """Return the standard deviation of ln(factor) by name. [-]"""
    bands = {used.key: (used.low, used.high) for used in study.defaults_used if used.low is not None}
    blade = propeller_band(study)
    motor = MOTOR_ON_BENCH if study.motor_test else _band(bands, "motor.resistance") or MOTOR_TOLD
    charge = np.linalg.norm([CAPACITY, *(_band(bands, key) for key in ("pack.health", "power.capacity"))])
    return {
        "foam_density": FOAM_DENSITY if study.foam.density is None else FOAM_MEASURED,
        "covering": COVERING, "drag": PRIOR_SPREAD, "induced": INDUCED,
        "propeller_power": blade.power if blade else PROPELLER_MEASURED, "motor_resistance": motor,
        "pack_capacity": float(charge), "pack_resistance": CELLS_TOLD if study.pack.resistance else CELLS,
        "foam_stiffness": float(FOAM_STIFFNESS), "film_bond": float(TWIST_PRIOR)}


def _band(bands: dict, key: str) -> float:
    """Return a band of the study as a standard deviation of the logarithm; its ends are where nine of ten lie. [-]"""
    if key not in bands:
        return 0.0
    low, high = (split_quantity(str(side).removeprefix("x"))[0] for side in bands[key])
    return float(np.log(high / low) / 2 / AT_THE_ENDS) if low > 0 else 0.0
