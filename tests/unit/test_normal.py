"""The normal distribution on arrays, against Python's own and SciPy's."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
import pytest
from scipy.special import ndtr, ndtri

from liftgeo.outcome.normal import quantile, share_below

NORMAL = NormalDist()
SHARES = np.concatenate([np.linspace(0.001, 0.999, 1999), [0.075, 0.925, 0.0749999, 0.9250001]])
TAILS = np.array([1e-300, 1e-100, 1e-20, 1.3e-11, 1e-11, 1e-6, 1 - 1e-6, 1 - 1e-12])


def test_the_quantile_is_that_of_pythons_own() -> None:
    theirs = [NORMAL.inv_cdf(share) for share in SHARES]
    assert quantile(SHARES) == pytest.approx(theirs, rel=2e-15, abs=2e-16)


def test_the_quantile_is_that_of_scipy_far_out() -> None:
    assert quantile(TAILS) == pytest.approx(ndtri(TAILS), rel=1e-14)


def test_the_quantile_keeps_the_shape_of_its_shares() -> None:
    block = SHARES[:12].reshape(3, 4)
    assert quantile(block).tolist() == quantile(SHARES[:12]).reshape(3, 4).tolist()
    assert quantile(np.empty(0)).shape == (0,)


@pytest.mark.parametrize("deviations", [-30.0, -8.0, -1.96, -0.3, 0.0, 0.7, 1.96, 6.0])
def test_the_share_below_is_that_of_scipy(deviations: float) -> None:
    assert share_below(deviations) == pytest.approx(float(ndtr(deviations)), rel=1e-13)
    assert share_below(deviations) == pytest.approx(NORMAL.cdf(deviations), abs=1e-15)


def test_nothing_lies_below_minus_infinity_and_all_below_infinity() -> None:
    assert (share_below(-math.inf), share_below(math.inf)) == (0.0, 1.0)


def test_share_and_quantile_are_each_others_inverse() -> None:
    back = [share_below(float(z)) for z in quantile(SHARES)]
    assert back == pytest.approx(SHARES.tolist(), rel=1e-14)
