"""How hard each mode of failure is used by given loads, for tests of rods and of the modes."""

from tradestudy.physics.structure import failure_modes


def utilisations(stiffness, foam, rods, joiner, shear, bending_moment, bay_half_width, remaining_foam):
    """Return every mode (..., n_condition, n_mode, n_station) for loads (..., n_condition, n_station). [-]"""
    unit = failure_modes.unit_utilisations(stiffness, foam, rods, joiner, bay_half_width, remaining_foam)
    return failure_modes.loaded_utilisations(unit, shear, bending_moment, failure_modes.one_way_modes(rods))
