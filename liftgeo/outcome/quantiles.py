"""Quantiles of samples; NumPy's would cost more to load than many an answer takes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def quantiles(values: Array, shares: Sequence[float]) -> list[float]:
    """Return what given shares of some numbers lie below, on straight lines between the sorted.

    The very numbers of `numpy.quantile`, which loads NumPy's masked arrays to sort what it is asked
    for.

    Parameters
    ----------
    values : array of shape (N,)
        Finite, one at least.
    shares : sequence of float
        From 0 to 1.
    """
    place = (len(values) - 1) * np.asarray(shares, float)
    first = np.floor(place).astype(int)
    ordered = np.sort(values)
    low, high = ordered[first], ordered[np.minimum(first + 1, len(values) - 1)]
    along, step = place - first, high - low
    found: list[float] = np.where(
        along < 0.5, low + step * along, high - step * (1.0 - along)
    ).tolist()
    return found
