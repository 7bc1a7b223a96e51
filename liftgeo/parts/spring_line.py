"""A coil spring weighed at some lengths: one straight line through the readings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from liftgeo.parts.values import Values


@dataclass(frozen=True, eq=False, repr=False)
class SpringLine:
    """Loads at lengths, and the straight line through them.

    Parameters
    ----------
    loads_n, lengths_mm : array of shape (..., K)
        K readings of one spring, or of many [N], [mm].

    Notes
    -----
    Least squares of load upon length: F = k (L0 - L) with k = -Σ(L - L̄)(F - F̄)/Σ(L - L̄)² and
    L0 = L̄ + F̄/k. Source: the normal equations, derived in docs/theory.md, "Spring"; held against
    numpy.polyfit and scipy.stats.linregress.
    """

    loads_n: Values
    lengths_mm: Values

    @property
    def _parts(self) -> tuple[Values, Values, Values, Values]:
        """Mean load and length, and the readings about them."""
        load, length = self.loads_n.mean(axis=-1), self.lengths_mm.mean(axis=-1)
        return load, length, self.loads_n - load[..., None], self.lengths_mm - length[..., None]

    @property
    def rate_n_per_mm(self) -> Values:
        """Rate of the spring [N/mm]; NaN or infinite where no length differs."""
        _, _, loads, lengths = self._parts
        with np.errstate(all="ignore"):
            return -(loads * lengths).sum(axis=-1) / (lengths**2).sum(axis=-1)

    @property
    def free_length_mm(self) -> Values:
        """Length at which the line meets no load [mm]."""
        load, length, _, _ = self._parts
        with np.errstate(all="ignore"):
            return length + load / self.rate_n_per_mm

    @property
    def misfits_n(self) -> Values:
        """Each load less the line's, of shape (..., K) [N]."""
        gap = self.free_length_mm[..., None] - self.lengths_mm
        return self.loads_n - self.rate_n_per_mm[..., None] * gap

    @property
    def standard_misfit_n(self) -> Values:
        """Standard deviation of the loads about the line, K - 2 free; 0 of two readings [N]."""
        free = np.shape(self.loads_n)[-1] - 2
        squares = (self.misfits_n**2).sum(axis=-1)
        return np.sqrt(squares / free) if free > 0 else 0.0 * squares
