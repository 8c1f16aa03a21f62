"""Utilisation of each failure mode under given loads, for tests of rods and of failure modes."""

from tradestudy.physics.structure import failure_modes


def utilisations(stiffness, parts, cut, shear, bending_moment):
    """Return the utilisation of every mode, of shape (..., n_condition, n_mode, n_station). [-]

    The loads have the shape (..., n_condition, n_station).
    """
    unit = failure_modes.unit_utilisations(stiffness, parts, cut)
    return failure_modes.loaded_utilisations(unit, shear, bending_moment, failure_modes.one_way_modes(parts.rods))
