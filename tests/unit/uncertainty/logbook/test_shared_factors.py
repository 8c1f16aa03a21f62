"""Shared factors of a type, against a published posterior, brute force and limits that are known."""

import numpy as np
import pytest
from scipy.stats import multivariate_normal, norm

from tradestudy.uncertainty.logbook.shared_factors import (
    NAMES,
    SHARES,
    Flown,
    flown_of,
    not_flown,
    shared_factors,
    shares_of,
    unlikeness,
    with_shares,
)

# Eight parallel experiments of Rubin (1981): estimated effects and their standard errors
EFFECTS = np.array([28.0, 8, -3, 7, -1, 1, 18, 12])
ERRORS = np.array([15.0, 10, 16, 11, 9, 11, 10, 18])
# Means and their Monte Carlo errors from posteriordb, eight_schools-eight_schools_noncentered (Magnusson et al., 2021):
# eight effects, their common mean, standard deviation between them. Its priors: normal(0, 5), half-Cauchy(0, 5).
MEANS = [6.1505, 4.9396, 3.9059, 4.7960, 3.6144, 4.0511, 6.3172, 4.8840, 4.4105, 3.6021]
MEAN_ERRORS = [0.0557, 0.0462, 0.0542, 0.0475, 0.0461, 0.0485, 0.0499, 0.0543, 0.0330, 0.0319]


def single(value, error, prior, label="one"):
    return Flown(np.array([prior]), np.array([[error**-2.0]]), np.array([value / error**2]), (label,))


def test_eight_published_experiments():
    """Check the closed form at each scatter between experiments, weighted by its likelihood, against means in print."""
    angles = (np.arange(300) + 0.5) / 300 * np.pi / 2  # equal steps have equal shares of a half-Cauchy
    found, logs = [], []
    for scatter in 5.0 * np.tan(angles):
        prior = np.hypot(5.0, scatter)
        wings = [single(*one, prior) for one in zip(EFFECTS, ERRORS, strict=True)]
        part, evidence = with_shares(wings, np.array([prior]), ("one",), np.array([(5.0 / prior) ** 2]))
        found.append([*part.own_mean[:, 0], part.common_mean[0], scatter])
        logs.append(evidence)
    weights = np.exp(np.array(logs) - max(logs))
    means = weights @ np.array(found) / weights.sum()
    # 3.5 errors: one of ten means in two hundred tries lies farther
    assert np.all(abs(means - MEANS) < 3.5 * np.array(MEAN_ERRORS))


def test_two_factors_against_the_whole_joint_normal():
    """Check all posteriors against conditioning the joint normal of common, own and read values by the general rule."""
    random = np.random.default_rng(3)
    share, prior = np.array([0.3, 0.8]), np.array([0.28, 0.09])
    steep = random.normal(size=(3, 1, 2))
    read = random.normal(0.0, 0.2, size=3)
    noise = np.array([0.1, 0.2, 0.05])
    wings = [
        Flown(prior, row.T @ row / off**2, row[0] * value / off**2, ("a", "b"))
        for row, value, off in zip(steep, read, noise, strict=True)
    ]
    found, evidence = with_shares(wings, prior, ("a", "b"), share)
    parts = np.zeros((4, 2, 10))  # ln(factor) of three wings and the next one, from two common and eight own parts
    for wing in range(4):
        for factor in range(2):
            parts[wing, factor, factor] = prior[factor] * np.sqrt(share[factor])
            parts[wing, factor, 2 + 2 * wing + factor] = prior[factor] * np.sqrt(1 - share[factor])
    slopes = np.einsum("wf,wfp->wp", steep[:, 0], parts[:3])
    spread = slopes @ slopes.T + np.diag(noise**2)
    gain = np.linalg.solve(spread, slopes).T
    mean, covariance = gain @ read, np.eye(10) - gain @ slopes
    assert np.allclose(found.next_mean, parts[3] @ mean)
    assert np.allclose(found.next_covariance, parts[3] @ covariance @ parts[3].T)
    for wing in range(3):
        assert np.allclose(found.own_mean[wing], parts[wing] @ mean)
        assert np.allclose(found.own_covariance[wing], parts[wing] @ covariance @ parts[wing].T)
    assert np.allclose(found.common_mean, prior * np.sqrt(share) * mean[:2])
    # the likelihood, up to what does not depend on the shares
    plain = multivariate_normal(np.zeros(3), spread).logpdf(read) - norm(0, noise).logpdf(read).sum()
    assert evidence == pytest.approx(plain, abs=1e-9)


def test_a_wing_fitted_alone_is_told_as_it_was_read():
    random = np.random.default_rng(4)
    prior, slopes = np.array([0.28, 0.2, 0.09]), random.normal(size=(4, 3))
    read = random.normal(0, 0.3, 4)
    precision = np.diag(prior**-2.0) + slopes.T @ slopes / 0.1**2
    covariance = np.linalg.inv(precision)
    one = flown_of(covariance @ slopes.T @ read / 0.1**2, covariance, prior, "abc")
    assert np.allclose(one.information, slopes.T @ slopes / 0.1**2)
    assert np.allclose(one.pull, slopes.T @ read / 0.1**2)


def test_without_wings_the_next_one_has_its_prior():
    prior = np.linspace(0.1, 0.3, len(NAMES))
    found = shared_factors([], prior, NAMES)
    assert np.allclose(found.next_covariance, np.diag(prior**2)) and not found.next_mean.any()
    assert np.allclose(np.diag(found.common_covariance) / prior**2, found.share)
    assert set(SHARES) == set(NAMES) and np.all((shares_of() > 0) & (shares_of() < 1))


def test_a_factor_with_another_label_learns_nothing():
    prior, share = np.array([0.2, 0.2]), np.array([0.5, 0.5])
    wing = Flown(prior, np.diag([1e6, 1e6]), np.array([1e5, 1e5]), ("foam", "motor A"))
    found = shared_factors([wing] * 5, prior, ("foam", "motor B"), share)
    assert found.next_mean[0] > 0.05 and found.next_covariance[0, 0] < 0.8 * 0.2**2
    assert found.next_mean[1] == 0.0 and found.next_covariance[1, 1] == pytest.approx(0.2**2)


def test_builds_that_scatter_are_told_from_builds_that_agree():
    """Check that flights move the share, and that the next band is wide where builds scatter."""
    prior, share = np.array([0.3]), np.array([0.5])

    def next_of(values):
        return shared_factors([single(value, 0.03, 0.3) for value in values], prior, ("one",), share)

    agree, scatter = next_of([0.2] * 8), next_of([0.5, -0.1, 0.4, 0.0, 0.6, -0.2, 0.3, 0.1])
    assert agree.share[0] > 0.6 > 0.5 > scatter.share[0]
    assert agree.next_mean[0] == pytest.approx(0.2, abs=0.02)
    assert agree.next_covariance[0, 0] < 0.5 * scatter.next_covariance[0, 0] < 0.9 * 0.3**2


def test_a_wing_unlike_the_others_is_named():
    wings = [single(value, 0.05, 0.2) for value in (0.05, 0.1, 0.0, 0.06, 0.9)]
    chances = unlikeness(wings, np.array([0.5]))
    assert chances[-1] < 0.001 and min(chances[:-1]) > 0.01
    assert unlikeness([not_flown(np.array([0.2]), ("one",))], np.array([0.5]))[0] == 1.0


def test_chances_of_unlikeness_are_even():
    """Check with wings drawn from the model that one in ten has a chance below one in ten."""
    random = np.random.default_rng(7)
    share, below = np.array([0.5]), 0
    for _ in range(100):
        own = 0.2 * (np.sqrt(0.5) * random.normal() + np.sqrt(0.5) * random.normal(size=4))
        wings = [single(value + 0.05 * random.normal(), 0.05, 0.2) for value in own]
        below += (unlikeness(wings, share)[0]) < 0.1
    assert 0.01 < below / 100 < 0.19  # 0.1 within three standard deviations of 100 draws


def test_shares_must_name_every_factor_in_order():
    assert list(shares_of()) == [SHARES[name] for name in NAMES]
