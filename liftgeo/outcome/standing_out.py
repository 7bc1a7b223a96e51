"""Readings that stand out from what the file and all other readings leave possible."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from liftgeo.outcome.evidence import Evidence

Array = NDArray[np.float64]

_MOST_ANEW = 8
_NO_SAY = 1e6
"""How many times wider a reading's ± is made so that it says nothing."""
CONTRADICTS = 3.0
"""Standard deviations from which a reading contradicts what the file and the others leave."""


def standardised(rest: Array, slopes: Array) -> Array:
    """Return residuals over what they may be: each reading against the file and all others.

    Parameters
    ----------
    rest : array of shape (readings,)
        At the likeliest place, in standard deviations of the readings.
    slopes : array of shape (readings, width)

    Notes
    -----
    The residual over sqrt(1 - h), h the leverage of the reading: the same as its distance from what
    all but it predict, over the standard deviation of that distance, in linear problems. Source:
    R. D. Cook, S. Weisberg, Residuals and Influence in Regression, 1982, ch. 2 (from memory).
    """
    bent = slopes.T @ slopes + np.eye(slopes.shape[1])
    leverage = np.einsum("ij,ji->i", slopes, np.linalg.solve(bent, slopes.T))
    return np.asarray(rest / np.sqrt(np.maximum(1.0 - leverage, 1e-12)))


def left_by_others(evidence: Evidence, which: int) -> float:
    """Return how far a reading lies from what the file and all other readings leave possible.

    Parameters
    ----------
    evidence : Evidence
    which : int
        The reading, by its place among them.

    Returns
    -------
    float
        In standard deviations of that distance.

    Notes
    -----
    The likeliest place is found anew without the reading, and the prediction's own deviation there
    added to the reading's. The same as `standardised` in linear problems; where the reading alone
    drags the likeliest place to where slopes say nothing, this still does.
    """
    wide = [
        replace(reading, half_width=_NO_SAY * reading.half_width) if k == which else reading
        for k, reading in enumerate(evidence.readings)
    ]
    others = Evidence(evidence.mechanism, evidence.inputs, tuple(wide))
    place = others.likeliest(np.zeros(evidence.width))
    rest, slopes = evidence.around(place)
    _, own = others.around(place)
    bent = own.T @ own + np.eye(evidence.width)
    reach = float(slopes[which] @ np.linalg.solve(bent, slopes[which]))
    return float(rest[which] / np.sqrt(1.0 + reach))


def away_from_others(evidence: Evidence, top: Array) -> Array:
    """Return how far each reading lies from what the file and all others leave possible.

    Parameters
    ----------
    evidence : Evidence
    top : array of shape (width,)
        Where numbers and readings agree best.

    Returns
    -------
    array of shape (readings,)
        In standard deviations. What the slopes at `top` make stand out is looked at again, the
        likeliest place found anew without it: of very many readings those that stand out most.
    """
    found = standardised(*evidence.around(top))
    order = np.argsort(-np.abs(found))
    for k in order[np.abs(found[order]) > CONTRADICTS][:_MOST_ANEW].tolist():
        found[k] = left_by_others(evidence, k)
    return found
