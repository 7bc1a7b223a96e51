"""How unevenly the pressure plate stands: its run-out, and the tilt it is lifted with."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from liftgeo.parts.rim import FEWEST_READINGS, RimPlane, even_angles_rad, rim_plane
from liftgeo.parts.values import Values


def read_plane(keys: Mapping[str, Any]) -> RimPlane | None:
    """Return the plane through the readings round the rim; None where there are none."""
    heights = keys.get("faces.rim_heights")
    if heights is None:
        return None
    angles = keys.get("faces.rim_angles")
    count = readings(keys, "faces.rim_heights")
    return rim_plane(heights, even_angles_rad(count) if angles is None else np.radians(angles))


def readings(keys: Mapping[str, Any], dotted: str) -> int:
    """Return how many readings a key holds, of one mechanism or each of many."""
    return int(np.shape(keys[dotted])[-1])


def rim_read_apart(keys: Mapping[str, Any]) -> Values:
    """Return whether every reading round the rim has its angle, three of them different."""
    angles = np.asarray(keys["faces.rim_angles"], float)
    around = np.sort(np.round(angles, 9) % 360.0, axis=-1)
    apart = 1 + np.count_nonzero(np.diff(around, axis=-1) > 0, axis=-1)
    matched = readings(keys, "faces.rim_angles") == readings(keys, "faces.rim_heights")
    return np.asarray(matched & (apart >= FEWEST_READINGS))


def lift_tilt(keys: Mapping[str, Any]) -> tuple[Values, Values | None]:
    """Return how unevenly the plate lifts, as read on the run-outs' diameter, and where [mm, deg].

    Readings round the rim are scaled from their own circle; where they were taken tells the
    direction only if their angles are given.
    """
    plane = read_plane(keys)
    if plane is None:
        return keys.get("faces.lift_tilt", 0.0), keys.get("faces.lift_tilt_angle")
    outside = keys["faces.outside_diameter"]
    read_on = keys.get("faces.runout_diameter", outside)
    scale = read_on / keys.get("faces.rim_diameter", outside)
    direction = np.degrees(plane.direction_rad) if "faces.rim_angles" in keys else None
    return plane.tilt_mm * scale, direction


def pressure_plate_runout_mm(keys: Mapping[str, Any]) -> Values:
    """Return run-out and lift tilt of the pressure plate together [mm], as read.

    They add as vectors where both carry an angle, because both ride on the pressure plate.
    """
    runout = keys.get("faces.pressure_plate_runout", 0.0)
    tilt, b = lift_tilt(keys)
    a = keys.get("faces.pressure_plate_runout_angle")
    if a is None or b is None:
        return runout + tilt
    between = np.radians(a - b)
    return np.sqrt(runout**2 + tilt**2 + 2 * runout * tilt * np.cos(between))
