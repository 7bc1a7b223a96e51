"""Whose uncertainty decides: first-order shares of a variance, and what knowing a number settles.

Both come from the samples at hand. The result is fitted by a sum of smooth functions, one of each
input; what an input's function varies by is its first-order share, and what is left over once some
inputs are known is the spread of the residuals.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_ENOUGH = 20_000
"""Samples that tell a certainty to a quarter of one in a hundred."""
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

    def certainty(self, names: Sequence[str], left: float = 0.0) -> float:
        """Return how sure "the result is 0 or more" can be once some inputs are known.

        The mean, over what they may turn out to be, of the greater of its chance and of the
        chance that it is not: 0.5 is a toss-up, 1 is certain.

        Parameters
        ----------
        names : sequence of str
            The inputs that become known.
        left : float
            Their half-widths then, as a share of those now: 0 is known exactly.

        Notes
        -----
        What is told of a part g of standard deviation s, with a share q = left**2 of its variance
        left, is (1 - q) g + sqrt(q (1 - q)) s e, e standard normal: exact where g is a multiple of
        a normal input. Source: derived in docs/theory.md, "What is not known".
        """
        result = self.result[:_ENOUGH]
        told = np.full(len(result), self.mean)
        for name in names:
            if name in self.parts:
                told = told + _told(name, self.parts[name][:_ENOUGH], min(1.0, left) ** 2)
        rest = np.sort(result - told)
        below = np.searchsorted(rest, np.sort(-told), side="left") / len(rest)
        return float(np.mean(np.maximum(below, 1 - below)))


def _told(name: str, part: Array, share: float) -> Array:
    """Return what is known of a part when this share of its variance is left."""
    if share == 0:
        return part
    own = np.random.default_rng(zlib.crc32(name.encode())).standard_normal(len(part))
    return np.asarray((1 - share) * part + np.sqrt(share * (1 - share)) * np.std(part) * own)


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


def totals(
    answer: Callable[[str, Array], Array],
    values: Mapping[str, Array],
    again: Mapping[str, Array],
    result: Array,
) -> dict[str, float]:
    """Return the total share of the variance of each input: alone, and together with others.

    Parameters
    ----------
    answer : callable
        Takes the name of an input and new values for it, all others staying as they were, and
        returns the results; NaN where there is none.
    values : mapping of arrays of shape (samples,)
        What was drawn, by input.
    again : mapping of arrays of shape (samples,)
        What each input is drawn anew as, independent of the first.
    result : array of shape (samples,)
        The results of what was drawn first.

    Notes
    -----
    Mean of (f(A) - f(A with input i drawn anew))**2 / 2, over the variance of f(A). Source: M. J.
    W. Jansen, Analysis of variance designs for model output, Computer Physics Communications 117
    (1999) 35-43 (from memory).
    """
    found = {}
    for name in values:
        other = answer(name, again[name])
        both = np.isfinite(other) & np.isfinite(result)
        whole = float(np.var(result[both])) if both.any() else 0.0
        apart = float(np.mean((result[both] - other[both]) ** 2)) / 2 if both.any() else 0.0
        found[name] = apart / whole if whole else 0.0
    return found


@dataclass(frozen=True, eq=False, repr=False)
class Dependent:
    """A result of samples whose inputs hang together, or beside which readings may be taken.

    What becomes known of the result is its regression on what is told, by polynomials of each; what
    is left over is the spread of the residuals. Inputs that are independent give what `Additive`
    gives.

    Attributes
    ----------
    inputs : mapping of arrays of shape (samples,)
        By name: inputs, and readings as they might turn out.
    result : array of shape (samples,)
    degree : int
        Of each polynomial.
    """

    inputs: Mapping[str, Array]
    result: Array
    degree: int = 3

    @property
    def parts(self) -> Mapping[str, Array]:
        """What is told from, by name."""
        return self.inputs

    def share(self, name: str) -> float:
        """First-order share of the variance of one input, the floor of the estimate taken off."""
        whole = float(np.var(self.result))
        if whole == 0:
            return 0.0
        table = self._table([name], 0.0)
        rest = float(np.var(self.result - self._told(table))) / whole
        columns = table.shape[1]
        floor = rest * columns / max(1, len(self.result) - columns - 1)
        return float(max(0.0, 1.0 - rest - floor))

    def certainty(self, names: Sequence[str], left: float = 0.0) -> float:
        """Return how sure "the result is 0 or more" can be once these are known.

        Parameters
        ----------
        names : sequence of str
        left : float
            Half-widths of the inputs then, as a share of those now: 0 is known exactly.

        Notes
        -----
        As of `Additive.certainty`. An input known less than exactly is told as a reading of it.
        """
        told = self._told(self._table(list(names), min(1.0, left) ** 2))
        rest = np.sort(self.result - told)
        below = np.searchsorted(rest, np.sort(-told), side="left") / len(rest)
        return float(np.mean(np.maximum(below, 1 - below)))

    def _table(self, names: Sequence[str], left: float) -> Array:
        """Return polynomials of what is told, shape (samples, columns)."""
        columns = [np.empty((len(self.result), 0))]
        for name in names:
            values = self.inputs[name]
            if left >= 1.0:
                continue
            if left > 0.0:
                own = np.random.default_rng(zlib.crc32(name.encode())).standard_normal(len(values))
                values = values + np.sqrt(left / (1.0 - left)) * np.std(values) * own
            columns.append(_columns(values, self.degree))
        return np.concatenate(columns, axis=1)

    def _told(self, table: Array) -> Array:
        mean = float(np.mean(self.result))
        if not table.shape[1]:
            return np.full(len(self.result), mean)
        weights = np.linalg.lstsq(_crossed(table), (self.result - mean) @ table, rcond=1e-9)[0]
        return np.asarray(mean + table @ weights)
