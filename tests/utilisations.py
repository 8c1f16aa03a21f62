"""How hard each mode of failure is used by given loads, for tests of rods and of the modes."""

from tradestudy.physics.structure import failure_modes


def utilisations(stiffness, parts, cut, shear, bending_moment):
    """Return every mode (..., n_condition, n_mode, n_station) for loads (..., n_condition, n_station). [-]"""
    unit = failure_modes.unit_utilisations(stiffness, parts, cut)
    return failure_modes.loaded_utilisations(unit, shear, bending_moment, failure_modes.one_way_modes(parts.rods))
