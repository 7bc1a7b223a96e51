"""Monotone cubic curves through measured points (PCHIP), with slope, inverse and area.

Written here because importing SciPy costs several times the whole analysis; a test holds every
value to SciPy's.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from liftgeo.parts.values import Values

Knots = NDArray[np.float64]


def _end_slope(h0: Knots, h1: Knots, d0: Knots, d1: Knots) -> Knots:
    """Return the three-point end slope, limited so that the piece stays monotone."""
    slope = ((2 * h0 + h1) * d0 - h0 * d1) / (h0 + h1)
    turned = (np.sign(d0) != np.sign(d1)) & (np.abs(slope) > 3 * np.abs(d0))
    slope = np.where(turned, 3 * d0, slope)
    return np.where(np.sign(slope) != np.sign(d0), 0.0, slope)


LEAST_END_SHARE = 0.5
"""Least slope at an end of a law that must rise, as a share of the chord beside it."""


def _kept_rising(slope: Knots, chord: Knots) -> Knots:
    """Return an end slope that is at least half the chord beside it, for a chord above zero."""
    return np.where(chord > 0, np.maximum(slope, LEAST_END_SHARE * chord), slope)


def knot_slopes(x: Knots, y: Knots, *, rising: bool = False) -> Knots:
    """Return the slope at every knot: harmonic mean of the neighbouring chords.

    Parameters
    ----------
    x, y : array of shape (K,) or (K, N)
    rising : bool
        Keep both end slopes above zero: at least half the chord beside them. The three-point
        slope falls to that where the next step, of even steps, is twice as steep, and to nothing
        where it is three times as steep; a step so far from its neighbour tells nothing about the
        end. Source: derived in docs/theory.md, "Measured curves".

    Notes
    -----
    Source: F. N. Fritsch, J. Butland, A method for constructing local monotone piecewise cubic
    interpolants, SIAM J. Sci. Stat. Comput. 5 (1984), eq. (from memory); held to SciPy in tests.
    """
    h = np.diff(x, axis=0)
    chord = np.diff(y, axis=0) / h
    if len(x) == 2:
        return np.concatenate([chord, chord])
    before, after = chord[:-1], chord[1:]
    w1, w2 = 2 * h[1:] + h[:-1], h[1:] + 2 * h[:-1]
    same = before * after > 0
    mean = (w1 + w2) / (w1 / np.where(same, before, 1.0) + w2 / np.where(same, after, 1.0))
    first = _end_slope(h[0], h[1], chord[0], chord[1])
    last = _end_slope(h[-1], h[-2], chord[-1], chord[-2])
    if rising:
        first, last = _kept_rising(first, chord[0]), _kept_rising(last, chord[-1])
    return np.concatenate([first[None], np.where(same, mean, 0.0), last[None]])


class CurveAt(NamedTuple):
    """A curve at one place: value, slope and curvature (zero beyond the ends)."""

    value: Values
    slope: Values
    curvature: Values


@dataclass(frozen=True, eq=False, repr=False)
class Curve:
    """A curve y(x) through knots, cubic between them, straight beyond the ends.

    Parameters
    ----------
    x, y : array of shape (K,), or (K, N) for a curve of its own for each of N mechanisms, K >= 2
        Knots; x strictly rising. `inverse` needs y strictly rising too. With (K, N) every place
        asked for has a last axis of N, or is one number.
    rising : bool
        A law that rises everywhere, as a moment arm or a rod's travel must: no slope is zero.
    """

    x: Knots
    y: Knots
    rising: bool = False
    slopes: Knots = field(init=False, repr=False)

    def __post_init__(self) -> None:
        x, y = np.asarray(self.x, float), np.asarray(self.y, float)
        if x.ndim != y.ndim:
            x, y = np.broadcast_arrays(*(v if v.ndim == 2 else v[:, None] for v in (x, y)))
        object.__setattr__(self, "x", x)
        object.__setattr__(self, "y", y)
        object.__setattr__(self, "slopes", knot_slopes(x, y, rising=self.rising))

    @property
    def last_x(self) -> Values:
        """The last knot's x: a float, or an array of shape (N,)."""
        return self.x[-1]

    def some(self, index: Values) -> Curve:
        """Return the curves of some of the mechanisms; one curve for all of them stays as it is."""
        if self.x.ndim == 1:
            return self
        return Curve(self.x[:, index], self.y[:, index], self.rising)

    def _index(self, knots: Knots, inside: Values) -> Values:
        """Return the piece each place lies in."""
        last = len(knots) - 2
        if knots.ndim == 1:
            return np.clip(np.searchsorted(knots, inside, side="right") - 1, 0, last)
        k = np.zeros(np.broadcast_shapes(np.shape(inside), knots.shape[1:]), np.intp)
        for knot in knots[1:-1]:
            k += inside >= knot
        return k

    def _at(self, values: Knots, k: Values) -> Values:
        """Return the values at knots `k`."""
        return values[k] if values.ndim == 1 else values[k, np.arange(values.shape[1])]

    def _piece(self, x: Values) -> tuple[Values, Values, tuple[Values, ...], Values]:
        """Return distance into the piece, overshoot beyond the ends, cubic terms, index."""
        inside = np.minimum(np.maximum(x, self.x[0]), self.x[-1])
        k = self._index(self.x, inside)
        x0, y0, m0, m1 = (self._at(v, k) for v in (self.x, self.y, self.slopes, self.slopes[1:]))
        h = self._at(self.x[1:], k) - x0
        chord = (self._at(self.y[1:], k) - y0) / h
        quadratic = (3 * chord - 2 * m0 - m1) / h
        cubic = (m0 + m1 - 2 * chord) / h**2
        return inside - x0, x - inside, (y0, m0, quadratic, cubic), k

    def at(self, x: Values) -> CurveAt:
        """Return value, slope and curvature at x."""
        u, beyond, (a, b, c, d), _ = self._piece(x)
        slope = b + u * (2 * c + 3 * u * d)
        value = a + u * (b + u * (c + u * d)) + slope * beyond
        return CurveAt(value, slope, np.where(beyond == 0, 2 * c + 6 * u * d, 0.0))

    def value(self, x: Values) -> Values:
        """Return y at x."""
        return self.at(x).value

    def slope(self, x: Values) -> Values:
        """Return dy/dx at x."""
        return self.at(x).slope

    def area(self, x: Values) -> Values:
        """Return the integral of y from the first knot to x."""
        h = np.diff(self.x, axis=0)
        chord = np.diff(self.y, axis=0) / h
        m0, m1 = self.slopes[:-1], self.slopes[1:]
        c, d = (3 * chord - 2 * m0 - m1) / h, (m0 + m1 - 2 * chord) / h**2
        pieces = h * (self.y[:-1] + h * (m0 / 2 + h * (c / 3 + h * d / 4)))
        before = np.concatenate([np.zeros_like(pieces[:1]), np.cumsum(pieces, axis=0)])
        u, beyond, (a, b, cc, dd), k = self._piece(x)
        within = u * (a + u * (b / 2 + u * (cc / 3 + u * dd / 4)))
        end = a + u * (b + u * (cc + u * dd))
        slope = b + u * (2 * cc + 3 * u * dd)
        return self._at(before, k) + within + beyond * (end + slope * beyond / 2)

    def inverse(self, y: Values) -> Values:
        """Return x at y, for a curve that rises everywhere: bisection-guarded Newton steps."""
        y = np.asarray(y, float)
        inside = np.minimum(np.maximum(y, self.y[0]), self.y[-1])
        k = self._index(self.y, inside)
        low, high = self._at(self.x, k), self._at(self.x[1:], k)
        y0 = self._at(self.y, k)
        x = low + (high - low) * (inside - y0) / (self._at(self.y[1:], k) - y0)
        for _ in range(80):
            value, slope, _ = self.at(x)
            miss = value - inside
            low, high = np.where(miss <= 0, x, low), np.where(miss >= 0, x, high)
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
