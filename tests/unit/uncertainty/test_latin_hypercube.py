"""Samples of several inputs at once, beside those of scipy."""

import numpy as np
import pytest
from scipy.stats import qmc

from tradestudy.uncertainty.latin_hypercube import latin_hypercube


@pytest.mark.parametrize("columns, count", [(1, 1), (3, 7), (40, 4096)])
def test_shares_are_those_of_scipy(columns, count):
    shares = latin_hypercube(columns, count, np.random.default_rng(5))
    assert np.array_equal(shares, qmc.LatinHypercube(columns, rng=np.random.default_rng(5)).random(count))
    # one in every part of each column
    assert (np.sort(np.ceil(shares * count), axis=0) == np.arange(1, count + 1)[:, None]).all()
