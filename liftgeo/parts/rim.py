"""Readings round the rim of a lifted plate: the plane through them, and what is left over."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

FEWEST_READINGS = 3


@dataclass(frozen=True, eq=False, repr=False)
class RimPlane:
    """The plane that fits readings round a rim best.

    Attributes
    ----------
    mean_mm : float
        Height of its middle [mm].
    tilt_mm : float
        Highest less lowest point of the plane on the circle of the readings [mm].
    direction_rad : float
        Where round the rim it is highest [rad].
    residual_mm : float
        Greatest distance of a reading from the plane [mm]; 0 with three readings.
    """

    mean_mm: float
    tilt_mm: float
    direction_rad: float
    residual_mm: float


def even_angles_rad(count: int) -> tuple[float, ...]:
    """Return the places of readings evenly round the rim, the first at 0 [rad]."""
    return tuple(2 * np.pi * k / count for k in range(count))


def rim_plane(heights_mm: tuple[float, ...], angles_rad: tuple[float, ...]) -> RimPlane:
    """Return the least-squares plane through readings round a rim.

    Notes
    -----
    h = a + b cos(phi) + c sin(phi) by least squares. Source: derived in docs/theory.md, "The
    clutch end".
    """
    place = np.asarray(angles_rad, float)
    height = np.asarray(heights_mm, float)
    basis = np.column_stack([np.ones_like(place), np.cos(place), np.sin(place)])
    found = np.linalg.lstsq(basis, height, rcond=None)[0]
    left = height - basis @ found
    return RimPlane(
        float(found[0]),
        float(2 * np.hypot(found[1], found[2])),
        float(np.arctan2(found[2], found[1])),
        float(np.max(np.abs(left))),
    )
