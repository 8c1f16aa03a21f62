"""Section polars from the neural-network surrogate (imported when first needed)."""

from __future__ import annotations

import numpy as np


def alpha_polars(coordinates, alpha, reynolds, critical_amplification=9.0, forced_transition=(1.0, 1.0),
                 model_size="large"):
    """Return lift, drag and moment coefficients of a section over angle of attack and Reynolds number.

    Parameters
    ----------
    coordinates : (n, 2) array
        Section outline from the trailing edge over the top to the nose and back, unit chord. [-]
    alpha : (...) array
        Angle of attack. [rad]
    reynolds : (...) array
        Reynolds number, broadcast with alpha. [-]
    critical_amplification : float
        Transition amplification exponent (9 is a quiet tunnel). [-]
    forced_transition : (2,) sequence
        Chord fraction where the top and bottom boundary layers are tripped; 1 is free. [-]

    Returns
    -------
    cl, cd, cm : (...) arrays
        Coefficients, moment about the quarter chord, nose up positive. [-]
    """
    import aerosandbox as asb
    import neuralfoil

    section = asb.Airfoil(name="section", coordinates=np.asarray(coordinates)).to_kulfan_airfoil()
    alpha, reynolds = np.broadcast_arrays(np.asarray(alpha, float), np.asarray(reynolds, float))
    answer = neuralfoil.get_aero_from_kulfan_parameters(
        section.kulfan_parameters, np.degrees(alpha).ravel(), reynolds.ravel(), n_crit=critical_amplification,
        xtr_upper=forced_transition[0], xtr_lower=forced_transition[1], model_size=model_size)
    return tuple(np.reshape(answer[key], alpha.shape) for key in ("CL", "CD", "CM"))
