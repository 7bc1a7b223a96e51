"""Readings round the rim of a lifted plate: the plane through them, and what is left over."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from liftgeo.parts.values import Values

FEWEST_READINGS = 3


@dataclass(frozen=True, eq=False, repr=False)
class RimPlane:
    """The plane that fits readings round a rim best.

    Attributes
    ----------
    mean_mm : float or array
        Height of its middle [mm].
    tilt_mm : float or array
        Highest less lowest point of the plane on the circle of the readings [mm].
    direction_rad : float or array
        Where round the rim it is highest [rad].
    residual_mm : float or array
        Greatest distance of a reading from the plane [mm]; 0 with three readings.
    """

    mean_mm: Values
    tilt_mm: Values
    direction_rad: Values
    residual_mm: Values


def even_angles_rad(count: int) -> tuple[float, ...]:
    """Return the places of readings evenly round the rim, the first at 0 [rad]."""
    return tuple(2 * np.pi * k / count for k in range(count))


def rim_plane(heights_mm: Values, angles_rad: Values) -> RimPlane:
    """Return the least-squares plane through readings round a rim.

    Parameters
    ----------
    heights_mm, angles_rad : sequence or array of shape (K,), or (N, K) for many rims
        Depths [mm], and where they were read [rad].

    Notes
    -----
    h = a + b cos(phi) + c sin(phi) by least squares. Source: derived in docs/theory.md, "The
    clutch end".
    """
    place = np.asarray(angles_rad, float)
    height = np.asarray(heights_mm, float)
    basis = np.stack([np.ones_like(place), np.cos(place), np.sin(place)], axis=-1)
    found = np.matmul(np.linalg.pinv(basis), height[..., None])
    left = height - np.matmul(basis, found)[..., 0]
    mean, along, across = (found[..., k, 0] for k in range(3))
    return RimPlane(
        mean,
        2 * np.hypot(along, across),
        np.arctan2(across, along),
        np.max(np.abs(left), axis=-1),
    )
