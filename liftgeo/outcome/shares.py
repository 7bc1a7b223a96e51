"""Whose uncertainty decides: first-order shares of a variance, and what knowing a number settles.

Both come from the samples at hand. The result is fitted by a sum of smooth functions, one of each
input; what an input's function varies by is its first-order share, and what is left over once some
inputs are known is the spread of the residuals.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_ALIKE = 1e-6
_ONE_THREAD = 250_000
"""Multiplications up to which a matrix product stays on one thread."""


def _columns(values: Array, degree: int) -> Array:
    """Return orthonormal polynomials of one input over its samples, shape (samples, degree)."""
    spread = float(np.std(values))
    if spread == 0 or not np.isfinite(spread):
        return np.empty((len(values), 0))
    score = (values - np.mean(values)) / spread
    score = np.clip(score, -6, 6)
    found = [np.ones(len(values))]
    for _ in range(degree):
        raised = score * found[-1]
        for lower in found:
            raised -= lower * (lower @ raised / len(values))
        size = float(np.sqrt(raised @ raised / len(values)))
        if size < _ALIKE:  # no more different values than that
            break
        found.append(raised / size)
    return np.stack(found[1:], axis=1)


def _crossed(table: Array) -> Array:
    """Return the table's columns multiplied with one another and summed over the samples.

    Block by block, each small enough for one thread: a library that shares such a product out to
    several waits longer for them than it takes.
    """
    rows, columns = table.shape
    block = max(1, _ONE_THREAD // columns**2)
    whole = rows // block * block
    blocks = table[:whole].reshape(-1, block, columns)
    rest = table[whole:]
    crossed = np.matmul(blocks.transpose(0, 2, 1), blocks).sum(axis=0)
    return np.asarray(crossed + rest.T @ rest)


@dataclass(frozen=True, eq=False, repr=False)
class Additive:
    """A result as a mean, a smooth part of each input, and what is left over.

    Attributes
    ----------
    mean : float
        Mean of the result.
    parts : dict of arrays of shape (samples,)
        What each input adds, by its name; of mean 0.
    result : array of shape (samples,)
    degree : int
        Degree of each input's polynomial.
    """

    mean: float
    parts: Mapping[str, Array]
    result: Array
    degree: int

    def share(self, name: str) -> float:
        """First-order share of the variance of one input, the floor of the estimate taken off."""
        whole = float(np.var(self.result))
        if whole == 0 or name not in self.parts:
            return 0.0
        raw = float(np.mean(self.parts[name] ** 2)) / whole
        rest = float(np.var(self.result - self.mean - sum(self.parts.values()))) / whole
        floor = rest * self.degree / max(1, len(self.result) - self.degree * len(self.parts) - 1)
        return max(0.0, raw - floor)

    def certainty(self, names: Sequence[str]) -> float:
        """Return how sure "the result is 0 or more" can be once some inputs are known.

        The mean, over what they may turn out to be, of the greater of its chance and of the
        chance that it is not: 0.5 is a toss-up, 1 is certain.
        """
        told = sum((self.parts[name] for name in names if name in self.parts), np.zeros(1))
        told = np.broadcast_to(self.mean + told, self.result.shape)
        rest = np.sort(self.result - told)
        below = np.searchsorted(rest, np.sort(-told), side="left") / len(rest)
        return float(np.mean(np.maximum(below, 1 - below)))


def additive(inputs: Mapping[str, Array], result: Array, degree: int = 3) -> Additive:
    """Return a result fitted by a sum of polynomials, one of each input, by least squares.

    Parameters
    ----------
    inputs : mapping of arrays of shape (samples,)
        Independent inputs by name.
    result : array of shape (samples,)
        Finite numbers.
    degree : int
        Degree of each polynomial; fewer where there are few samples.
    """
    room = max(1, (len(result) // 4) // max(1, len(inputs)))
    degree = max(1, min(degree, room))
    columns = {name: _columns(np.asarray(values, float), degree) for name, values in inputs.items()}
    mean = float(np.mean(result))
    table = np.concatenate([np.empty((len(result), 0)), *columns.values()], axis=1)
    if table.shape[1] == 0 or len(result) < 2:
        return Additive(mean, {}, result, degree)
    weights = np.linalg.lstsq(_crossed(table), (result - mean) @ table, rcond=1e-9)[0]
    parts, at = {}, 0
    for name, own in columns.items():
        parts[name] = own @ weights[at : at + own.shape[1]]
        at += own.shape[1]
    return Additive(mean, parts, result, degree)
