"""Timings taken in turn, and what they say of one another."""

from __future__ import annotations

import math
import statistics
import time
from collections.abc import Callable, Sequence


def clocked(work: Callable[[], object]) -> float:
    """Return the time some work takes in this process [s]."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def in_turn(*timings: Callable[[], float], rounds: int) -> list[list[float]]:
    """Return several rounds of each timing, taken in turn after one that does not count [s].

    Every other round goes backwards, so that none is always the one after a rest.
    """
    for timing in timings:
        timing()
    found: list[list[float]] = [[] for _ in timings]
    for turn in range(rounds):
        order = list(enumerate(timings))
        for place, timing in order if turn % 2 == 0 else reversed(order):
            found[place].append(timing())
    return found


def median_ratio(above: Sequence[float], below: Sequence[float]) -> float:
    """Return the median over the rounds of one timing over another."""
    return statistics.median(a / b for a, b in zip(above, below, strict=True))


def slope(points: Sequence[tuple[float, float]]) -> float:
    """Return the exponent p of y = c x**p that fits best on a double-logarithmic chart."""
    line = statistics.linear_regression(*zip(*[map(math.log, p) for p in points], strict=True))
    return line.slope
