"""Least squares with or without a prior, on a model that takes many sets of parameters at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_STEP = 1e-3
"""Of a parameter's scale: four places so far apart give slopes to some 1e-12 of a smooth law."""

_POLISHED = 6


@dataclass(frozen=True, eq=False, repr=False)
class Fit:
    """What least squares found.

    Attributes
    ----------
    values : array of shape (parameters,)
    covariance : array of shape (parameters, parameters)
        For the deviations given; of unknown ones, for their estimate.
    residuals : array of shape (readings,)
        Reading less model, in standard deviations.
    slopes : array of shape (readings, parameters)
        Of the model, in standard deviations of the readings.
    squares : float
        Sum of the squared residuals, those of the prior among them.
    """

    values: Array
    covariance: Array
    residuals: Array
    slopes: Array
    squares: float

    @property
    def deviations(self) -> Array:
        """Standard deviations of the parameters."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))


def least_squares(
    model: Callable[[Array], Array],
    readings: Array,
    deviations: Array | None,
    start: Array,
    scale: Array,
    *,
    prior: bool = False,
    tolerance: float = 1e-12,
) -> Fit:
    """Return the parameters that agree best with readings.

    Parameters
    ----------
    model : callable
        Takes parameters of shape (N, parameters), returns predictions of shape (readings, N).
    readings : array of shape (readings,)
    deviations : array of shape (readings,), or None
        Standard deviation of each; None: one unknown one for all, estimated from what is left over.
    start, scale : arrays of shape (parameters,)
        Where to begin, and by how much each parameter may be expected to move.
    prior : bool
        Whether the parameters are standard normal before any reading.
    tolerance : float
        Of steps, squares and slopes.

    Notes
    -----
    SciPy's trust-region search, with slopes by four places a parameter, all in one call. Bounds
    need no care: a number counted in standard deviations cannot leave its distribution's bounds;
    those of lmfit would bend the prior, which is why it is not used.
    """
    from scipy.optimize import least_squares as search

    known = np.ones(len(readings)) if deviations is None else deviations
    if not len(start):
        own = (readings - model(start[None])[:, 0]) / (1.0 if deviations is None else deviations)
        return Fit(start, np.empty((0, 0)), own, np.empty((len(readings), 0)), float(own @ own))
    count, most = len(start), len(readings) + (len(start) if prior else 0)

    def rest(at: Array) -> Array:
        own = (model(at[None])[:, 0] - readings) / known
        own = np.where(np.isfinite(own), own, 1e6)
        return np.concatenate([own, at]) if prior else own

    def slopes(at: Array) -> Array:
        own = _slopes(model, at, scale) / known[:, None]
        return np.concatenate([own, np.eye(count)])[:most]

    found = search(
        rest,
        start,
        jac=slopes,
        x_scale=scale,
        ftol=tolerance,
        xtol=tolerance,
        gtol=tolerance,
        max_nfev=200,
    )
    at, squares = np.asarray(found.x), float(2.0 * found.cost)
    for _ in range(_POLISHED):  # the search stops where the squares no longer tell places apart
        there = at - np.linalg.lstsq(slopes(at), rest(at), rcond=None)[0]
        if not (again := float(rest(there) @ rest(there))) <= squares * (1 + 1e-12):
            break
        at, squares = there, again
    own = _slopes(model, at, scale) / known[:, None]
    covariance = np.linalg.inv(own.T @ own + (np.eye(count) if prior else 0.0))
    if deviations is None:
        covariance = covariance * squares / max(1, len(readings) - count)
    return Fit(at, np.asarray(covariance, float), -rest(at)[: len(readings)], own, squares)


def _slopes(model: Callable[[Array], Array], at: Array, scale: Array) -> Array:
    """Return slopes of the model at one set of parameters, shape (readings, parameters)."""
    count = len(at)
    steps = np.diag(_STEP * scale)
    places = np.concatenate([at + k * steps for k in (-2, -1, 1, 2)])
    before2, before, ahead, ahead2 = np.split(model(places), 4, axis=1)
    found = (before2 - 8 * before + 8 * ahead - ahead2) / (12 * _STEP * scale[None, :count])
    return np.where(np.isfinite(found), found, 0.0)
