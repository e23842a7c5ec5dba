"""The normal-normal posterior against worked figures of textbooks.

Gelman, Carlin, Stern, Dunson, Vehtari, Rubin, *Bayesian Data Analysis*, 3rd ed., 2013, section 2.5: the
posterior precision is the sum of prior and data precision, the mean their weighted mean. From memory.

P. M. Lee, *Bayesian Statistics: An Introduction*, section 2.2, the age of a rock: prior N(370, 20^2),
measured 421 with sd 8, posterior N(413, 7^2) after rounding. From memory.
"""

from __future__ import annotations

import math

import pytest

from loomready.loomside.learning.estimate import Observation, Prior, estimate, posterior


def test_the_age_of_a_rock_by_two_methods() -> None:
    """From memory."""
    mean, sd = posterior(370.0, 20.0, [(421.0, 8.0)])
    assert abs(mean - 413) < 1.1  # the book rounds precisions on the way
    assert round(sd) == 7


@pytest.mark.parametrize("count", [1, 4, 25])
def test_n_equal_measurements_count_as_their_mean_with_sd_over_root_n(count: int) -> None:
    """mu_n = (mu_0/tau^2 + n ybar/sigma^2) / (1/tau^2 + n/sigma^2), Gelman et al., 2.5. From memory."""
    one_by_one = posterior(0.10, 0.04, [(0.07, 0.02)] * count)
    at_once = posterior(0.10, 0.04, [(0.07, 0.02 / math.sqrt(count))])
    by_hand = (0.10 / 0.04**2 + count * 0.07 / 0.02**2) / (1 / 0.04**2 + count / 0.02**2)
    assert one_by_one == pytest.approx(at_once)
    assert one_by_one[0] == pytest.approx(by_hand)


def test_an_estimate_is_that_posterior_with_measuring_and_straying_together() -> None:
    found = estimate(Prior(370.0, 20.0, spread=4.8), [Observation(421.0, 6.4, "rock")])
    assert (found.mean, found.sd) == pytest.approx(posterior(370.0, 20.0, [(421.0, 8.0)]))
