"""Small linear systems: batches in any order of memory, and matrices that have no inverse."""

import numpy as np
import pytest

from tradestudy.physics.linear import inverse, solved


@pytest.mark.parametrize("batch", [((), ()), ((2, 3), (2, 3)), ((3,), (2, 3)), ((2, 1), (3,))])
def test_solution_fulfils_the_system(random, batch):
    matrix, right = random.normal(size=(*batch[0], 5, 5)), random.normal(size=(*batch[1], 5, 2))
    for given in (matrix, matrix.swapaxes(-1, -2)):  # rows first and columns first in memory
        kept = given.copy()
        found = solved(given, right)
        assert given @ found == pytest.approx(np.broadcast_to(right, found.shape), abs=1e-12)
        assert found.shape == (given @ right).shape
        assert inverse(given) @ given == pytest.approx(np.broadcast_to(np.eye(5), given.shape), abs=1e-12)
        assert np.array_equal(given, kept)


def test_singular_matrix_is_refused():
    matrix = np.array([[1.0, 2.0], [2.0, 4.0]])
    with pytest.raises(np.linalg.LinAlgError):
        solved(matrix, np.ones((2, 1)))
    with pytest.raises(np.linalg.LinAlgError):
        inverse(matrix)
