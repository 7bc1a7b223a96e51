"""What money buys: sets of changes that none beats in cost, clearance and effort at once."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

ALIKE = 1e-9
"""Numbers nearer than this count as equal: money, mm or N."""


def undominated(cost: Array, clearance: Array, peak: Array, size: Array) -> list[int]:
    """Return the places of the sets that none beats, by rising cost.

    A set is beaten by one that costs no more, clears no less and pulls no heavier; of sets alike in
    all three that with the fewest changes stays, and of those the first.

    Parameters
    ----------
    cost, clearance, peak : array of shape (N,)
        Money; mm per face; N. All finite.
    size : array of shape (N,)
        How many changes each holds.
    """
    order = np.lexsort((np.arange(len(cost)), size, peak, -clearance, np.round(cost, 9)))
    kept: list[int] = []
    # The stairs of what was seen: clearances that fall, each with the least peak down to there.
    stairs: list[float] = []
    peaks: list[float] = []
    for place in order:
        c, p = -float(clearance[place]), float(peak[place])
        at = bisect_left(stairs, c + ALIKE)
        if at and peaks[at - 1] <= p + ALIKE:
            continue
        kept.append(int(place))
        end = at
        while end < len(stairs) and peaks[end] >= p:
            end += 1
        start = bisect_left(stairs, c)
        stairs[start:end] = [c]
        peaks[start:end] = [p]
    return kept


def ladder(cost: Sequence[float], score: Sequence[float], least_gain: float) -> list[int]:
    """Return the places, by rising cost, of what scores better than all that costs less.

    Parameters
    ----------
    cost, score : sequence of float
        A smaller score is better.
    least_gain : float
        A rung that gains less than this over the one below is left out.
    """
    order = sorted(range(len(cost)), key=lambda k: (cost[k], score[k]))
    found: list[int] = []
    for k in order:
        if not found or score[k] < score[found[-1]] - least_gain:
            found.append(k)
    return found
