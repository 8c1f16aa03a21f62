"""Glass rods of 3 mm over 1.5 m, as tests of structure use them."""

import numpy as np

from tradestudy.physics.structure.rods import RodSets

_GLASS = {
    "youngs_modulus": 40e9,
    "density": 2000.0,
    "tensile_strength": 690e6,
    "compressive_strength": 414e6,
    "diameter": 0.003,
    "pairs": 1.0,
    "chord_fraction": 0.3,
    "inner_end": 0.0,
    "outer_end": 1.5,
    "slot_depth": 0.005,
    "continuity": 1.0,
    "thickness_fraction": 0.1,
}


def glass_rods(count=1, **changes):
    """Return RodSets of ``count`` such sets, with some numbers changed; a changed number may be a list, one a set."""
    values = {name: np.asarray(value, float) for name, value in (_GLASS | changes).items()}
    return RodSets(**{name: np.broadcast_to(value, max(count, value.size)) for name, value in values.items()})
