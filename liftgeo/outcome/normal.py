"""The normal distribution on arrays; SciPy's would cost more to import than the whole answer."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Rational approximations of the inverse, each a numerator and a denominator, highest power first.
_MIDDLE = (
    (
        2509.0809287301227,
        33430.57558358813,
        67265.7709270087,
        45921.95393154987,
        13731.69376550946,
        1971.5909503065513,
        133.14166789178438,
        3.3871328727963665,
    ),
    (
        5226.495278852854,
        28729.085735721943,
        39307.89580009271,
        21213.794301586597,
        5394.196021424751,
        687.1870074920579,
        42.31333070160091,
        1.0,
    ),
)
_TAIL = (
    (
        0.0007745450142783414,
        0.022723844989269184,
        0.2417807251774506,
        1.2704582524523684,
        3.6478483247632045,
        5.769497221460691,
        4.630337846156546,
        1.4234371107496835,
    ),
    (
        1.0507500716444169e-09,
        0.0005475938084995345,
        0.015198666563616457,
        0.14810397642748008,
        0.6897673349851,
        1.6763848301838038,
        2.053191626637759,
        1.0,
    ),
)
_FAR_TAIL = (
    (
        2.0103343992922881e-07,
        2.7115555687434876e-05,
        0.0012426609473880784,
        0.026532189526576124,
        0.29656057182850487,
        1.7848265399172913,
        5.463784911164114,
        6.657904643501103,
    ),
    (
        2.0442631033899397e-15,
        1.421511758316446e-07,
        1.8463183175100548e-05,
        0.0007868691311456133,
        0.014875361290850615,
        0.1369298809227358,
        0.599832206555888,
        1.0,
    ),
)


def _polynomial(terms: tuple[float, ...], r: Array) -> Array:
    found = np.full(r.shape, terms[0])
    for term in terms[1:]:
        found *= r
        found += term
    return found


def _ratio(terms: tuple[tuple[float, ...], tuple[float, ...]], r: Array) -> Array:
    return _polynomial(terms[0], r) / _polynomial(terms[1], r)


def quantile(share: Array) -> Array:
    """Return how many standard deviations lie below a share of the normal distribution.

    Parameters
    ----------
    share : array
        Above 0 and below 1.

    Notes
    -----
    Source: M. J. Wichura, Algorithm AS 241, The percentage points of the normal distribution,
    Applied Statistics 37 (1988) 477-484, constants as in Python's own statistics module (read
    there); held to it in tests.
    """
    share = np.asarray(share, float)
    q = share - 0.5
    found = np.empty(q.shape)
    middle = np.abs(q) <= 0.425
    inner = q[middle]
    found[middle] = inner * _ratio(_MIDDLE, 0.180625 - inner * inner)
    outer = share[~middle]
    r = np.sqrt(-np.log(np.minimum(outer, 1.0 - outer)))
    tail = _ratio(_TAIL, r - 1.6)
    far = r > 5.0
    tail[far] = _ratio(_FAR_TAIL, r[far] - 5.0)
    found[~middle] = np.copysign(tail, q[~middle])
    return found


def share_below(deviations: float) -> float:
    """Return the share of the normal distribution below so many standard deviations."""
    return 0.5 * math.erfc(-deviations / math.sqrt(2.0))


_STEP, _FAR = 1.0 / 256.0, 9.0


@cache
def _knots() -> tuple[Array, Array]:
    """Return the shares below evenly spaced places, and the density there."""
    places = np.arange(-_FAR, _FAR + 0.5 * _STEP, _STEP)
    shares = np.array([share_below(x) for x in places.tolist()])
    return shares, np.exp(-0.5 * places**2) / math.sqrt(2.0 * math.pi)


def shares_below(deviations: Array) -> Array:
    """Return the shares of a normal distribution below so many standard deviations, to 1e-12.

    Notes
    -----
    Between places a 256th apart a cubic with the right values and slopes at both ends; it errs by
    (1/256)**4/384 times the fourth derivative, 1.4 at the most.
    """
    shares, density = _knots()
    at = (np.clip(deviations, -_FAR, _FAR - 1e-9) + _FAR) / _STEP
    low = at.astype(np.intp)
    t = at - low
    first, last = shares[low], shares[low + 1]
    rise = last - first
    start, finish = _STEP * density[low] - rise, _STEP * density[low + 1] - rise
    bend = t * (1.0 - t) * (start * (1.0 - t) - finish * t)
    return np.asarray(np.clip(first + rise * t + bend, 1e-16, 1.0 - 1e-16))
