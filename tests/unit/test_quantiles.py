"""Quantiles of samples, against NumPy's own."""

from __future__ import annotations

import numpy as np
import pytest

from liftgeo.outcome.quantiles import quantiles

SHARES = (0.0, 0.025, 0.05, 1 / 3, 0.5, 0.95, 0.975, 1.0)


@pytest.mark.parametrize("count", [1, 2, 3, 41, 1999, 2000])
def test_quantiles_are_those_of_numpy_to_the_last_digit(count: int) -> None:
    values = np.random.default_rng(count).normal(1.0, 3.0, count)
    assert quantiles(values, SHARES) == np.quantile(values, SHARES).tolist()


def test_samples_that_are_alike_have_one_quantile() -> None:
    assert quantiles(np.full(7, 0.1), SHARES) == [0.1] * len(SHARES)
