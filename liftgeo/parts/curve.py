"""Monotone cubic curves through measured points (PCHIP), with slope, inverse and area.

Written here because importing SciPy costs several times the whole analysis; a test holds every
value to SciPy's.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from liftgeo.parts.values import Values

if TYPE_CHECKING:
    from numpy.typing import NDArray


def _end_slope(h0: float, h1: float, d0: float, d1: float) -> float:
    """Return the three-point end slope, limited so that the piece stays monotone."""
    slope = ((2 * h0 + h1) * d0 - h0 * d1) / (h0 + h1)
    if np.sign(slope) != np.sign(d0):
        return 0.0
    if np.sign(d0) != np.sign(d1) and abs(slope) > 3 * abs(d0):
        return 3 * d0
    return float(slope)


def knot_slopes(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the slope at every knot: harmonic mean of the neighbouring chords.

    Source: F. N. Fritsch, J. Butland, A method for constructing local monotone piecewise cubic
    interpolants, SIAM J. Sci. Stat. Comput. 5 (1984), eq. (from memory); held to SciPy in tests.
    """
    h = np.diff(x)
    chord = np.diff(y) / h
    if len(x) == 2:
        return np.array([chord[0], chord[0]])
    slopes = np.zeros_like(y)
    for k in range(1, len(x) - 1):
        if chord[k - 1] * chord[k] > 0:
            w1, w2 = 2 * h[k] + h[k - 1], h[k] + 2 * h[k - 1]
            slopes[k] = (w1 + w2) / (w1 / chord[k - 1] + w2 / chord[k])
    slopes[0] = _end_slope(h[0], h[1], chord[0], chord[1])
    slopes[-1] = _end_slope(h[-1], h[-2], chord[-1], chord[-2])
    return slopes


@dataclass(frozen=True, eq=False, repr=False)
class Curve:
    """A curve y(x) through knots, cubic between them, straight beyond the ends.

    Parameters
    ----------
    x, y : array of shape (K,), K >= 2
        Knots; x strictly rising. `inverse` needs y strictly rising too.
    """

    x: NDArray[np.float64]
    y: NDArray[np.float64]
    slopes: NDArray[np.float64] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        x, y = np.asarray(self.x, float), np.asarray(self.y, float)
        object.__setattr__(self, "x", x)
        object.__setattr__(self, "y", y)
        object.__setattr__(self, "slopes", knot_slopes(x, y))

    def _piece(self, x: Values) -> tuple[Values, Values, tuple[Values, ...], Values]:
        """Return distance into the piece, overshoot beyond the ends, cubic terms, index."""
        inside = np.clip(x, self.x[0], self.x[-1])
        k = np.clip(np.searchsorted(self.x, inside, side="right") - 1, 0, len(self.x) - 2)
        h = self.x[k + 1] - self.x[k]
        chord = (self.y[k + 1] - self.y[k]) / h
        m0, m1 = self.slopes[k], self.slopes[k + 1]
        quadratic = (3 * chord - 2 * m0 - m1) / h
        cubic = (m0 + m1 - 2 * chord) / h**2
        return inside - self.x[k], x - inside, (self.y[k], m0, quadratic, cubic), k

    def value(self, x: Values) -> Values:
        """Return y at x."""
        u, beyond, (a, b, c, d), _ = self._piece(x)
        slope = b + u * (2 * c + 3 * u * d)
        return a + u * (b + u * (c + u * d)) + slope * beyond

    def slope(self, x: Values) -> Values:
        """Return dy/dx at x."""
        u, _, (_, b, c, d), _ = self._piece(x)
        return b + u * (2 * c + 3 * u * d)

    def curvature(self, x: Values) -> Values:
        """Return d2y/dx2 at x (zero beyond the ends)."""
        u, beyond, (_, _, c, d), _ = self._piece(x)
        return np.where(beyond == 0, 2 * c + 6 * u * d, 0.0)

    def area(self, x: Values) -> Values:
        """Return the integral of y from the first knot to x."""
        h = np.diff(self.x)
        chord = np.diff(self.y) / h
        m0, m1 = self.slopes[:-1], self.slopes[1:]
        c, d = (3 * chord - 2 * m0 - m1) / h, (m0 + m1 - 2 * chord) / h**2
        pieces = h * (self.y[:-1] + h * (m0 / 2 + h * (c / 3 + h * d / 4)))
        before = np.concatenate([[0.0], np.cumsum(pieces)])
        u, beyond, (a, b, cc, dd), k = self._piece(x)
        within = u * (a + u * (b / 2 + u * (cc / 3 + u * dd / 4)))
        end = a + u * (b + u * (cc + u * dd))
        slope = b + u * (2 * cc + 3 * u * dd)
        return before[k] + within + beyond * (end + slope * beyond / 2)

    def inverse(self, y: Values) -> Values:
        """Return x at y, for a curve that rises everywhere: bisection-guarded Newton steps."""
        y = np.asarray(y, float)
        inside = np.clip(y, self.y[0], self.y[-1])
        k = np.clip(np.searchsorted(self.y, inside, side="right") - 1, 0, len(self.y) - 2)
        low, high = self.x[k].astype(float), self.x[k + 1].astype(float)
        x = low + (high - low) * (inside - self.y[k]) / (self.y[k + 1] - self.y[k])
        for _ in range(80):
            miss = self.value(x) - inside
            low, high = np.where(miss <= 0, x, low), np.where(miss >= 0, x, high)
            slope = self.slope(x)
            step = x - miss / np.where(slope > 0, slope, 1.0)
            good = (slope > 0) & (step >= low) & (step <= high)
            new = np.where(good, step, (low + high) / 2)
            done = np.all(np.abs(new - x) <= 1e-15 * (1 + np.abs(x)))
            x = new
            if done:
                break
        end = self.slope(x)
        beyond = y - inside
        return x + np.where(beyond != 0, beyond / np.where(end > 0, end, np.inf), 0.0)
