"""How unevenly the pressure plate stands: its run-out, and the tilt it is lifted with."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from liftgeo.parts.rim import RimPlane, even_angles_rad, rim_plane
from liftgeo.parts.values import Values


def read_plane(keys: Mapping[str, Any]) -> RimPlane | None:
    """Return the plane through the readings round the rim; None where there are none."""
    heights = keys.get("faces.rim_heights")
    if heights is None:
        return None
    angles = keys.get("faces.rim_angles")
    places = even_angles_rad(len(heights)) if angles is None else np.radians(angles)
    return rim_plane(heights, tuple(places))


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
