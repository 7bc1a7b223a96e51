"""A bracketed root search on many brackets at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from liftgeo.parts.values import Values


def bracketed_root(
    function: Callable[[Values], Values], low: Values, high: Values, steps: int = 80
) -> Values:
    """Return where `function` changes sign, one root for each bracket.

    Parameters
    ----------
    function : callable
        Takes and returns arrays of the brackets' shape.
    low, high : array
        Ends at which the function has opposite signs (or is zero).

    Notes
    -----
    T. R. Chandrupatla, A new hybrid quadratic/bisection algorithm, Advances in Engineering
    Software 28 (1997) 145-149 (from memory); held to SciPy's Brent search in tests.
    """
    a, b = np.asarray(high, float), np.asarray(low, float)
    fa, fb = np.asarray(function(a), float), np.asarray(function(b), float)
    c, fc = a, fa
    t = np.full(np.broadcast(a, fa).shape, 0.5)
    found, answer = np.zeros(t.shape, bool), a
    for _ in range(steps):
        x = a + t * (b - a)
        fx = np.asarray(function(x), float)
        same = np.sign(fx) == np.sign(fa)
        c, fc = np.where(same, a, b), np.where(same, fa, fb)
        b, fb = np.where(same, b, a), np.where(same, fb, fa)
        a, fa = x, fx
        nearer = np.abs(fa) < np.abs(fb)
        best, value = np.where(nearer, a, b), np.where(nearer, fa, fb)
        width = np.abs(b - a)
        room = 4 * np.finfo(float).eps * np.abs(best) + 1e-300
        share = np.where(width > 0, room / np.where(width > 0, width, 1.0), 1.0)
        # One that is found stays, so that it is the same alone and among others.
        answer = np.where(found, answer, best)
        found = found | (share >= 0.5) | (value == 0)
        if np.all(found):
            return answer
        with np.errstate(all="ignore"):
            xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
            inverse = (phi**2 < xi) & ((1 - phi) ** 2 < 1 - xi)
            step = fa / (fb - fa) * fc / (fb - fc)
            step = step + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        t = np.where(inverse & np.isfinite(step), step, 0.5)
        t = np.clip(t, np.minimum(share, 0.5), 1 - np.minimum(share, 0.5))
    return answer
