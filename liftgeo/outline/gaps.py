"""Distances between what a file outlines, at any turn of lever and arm: by Shapely.

Every function takes turns of any shape, those of many mechanisms too. A line with width is all
that lies within half of its width of its middle line, so a distance to it is one to the middle
line less half the width, and what it sweeps is what its middle line sweeps, widened.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np

from liftgeo.mechanism.grip import shaped
from liftgeo.mechanism.link_points import LinkPoints, link_points, turned_at_rest_rad
from liftgeo.parts.values import Values

Keys = Mapping[str, Any]
Turned: TypeAlias = Callable[[Values, Values], Values]
"""Blade angle and arm rotation [rad] to a distance [mm] or an angle [rad], of their shape."""

ARM_TO_CASING, CABLE_TO_CASING = "arm to casing", "arm cable to casing"
BLADE_TO_GRIP = "blade to grip"

SWEPT_STEP_RAD = np.radians(0.25)
_DRAWN = ("lever.outline.points", "grip.place", "arm.outline.points", "casing.outlines")
_DIRECTIONS = ("lever.stop_direction", "arm.stop_direction")


@dataclass(frozen=True, eq=False, repr=False)
class Through:
    """A distance or an angle through the stroke, of one mechanism or many.

    Attributes
    ----------
    what : str
        Between which two things, or at which stop.
    utmost : float or array
        The least distance [mm], below 0 where they overlap, or the greatest angle [rad].
    at_hand_travel_mm : float or array
        Where the hand is then [mm].
    meets_at_hand_travel_mm, meets_at_arm_rad : float or array
        Where the hand and the arm are when they first touch; NaN where they do not, or of an angle.
    """

    what: str
    utmost: Values
    at_hand_travel_mm: Values
    meets_at_hand_travel_mm: Values = np.nan
    meets_at_arm_rad: Values = np.nan


def outlined(keys: Keys) -> bool:
    """Return whether a file outlines anything, or says where a stop points."""
    return any(key in keys for key in _DRAWN) or any(
        np.any(keys.get(key, 0.0)) for key in _DIRECTIONS
    )


def turned(line: Values, link: LinkPoints, rotation_rad: Values) -> Values:
    """Return points of a moving part after a rotation from rest, of shape (..., K, 2) [mm].

    Parameters
    ----------
    line : array
        Points of shape (K, 2), or (..., K, 2) for many mechanisms [mm].
    rotation_rad : float or array
        Of any shape (...) [rad].
    """
    angle = np.asarray(rotation_rad * link.turning)[..., None]
    pivot = np.asarray(link.pivot, float)[..., None, :]
    away = np.asarray(line, float) - pivot
    x = away[..., 0] * np.cos(angle) - away[..., 1] * np.sin(angle)
    y = away[..., 0] * np.sin(angle) + away[..., 1] * np.cos(angle)
    found: Values = pivot + np.stack([x, y], axis=-1)
    return found


def distances(keys: Keys) -> dict[str, Turned]:
    """Return every distance between what the file outlines, by what it lies between.

    Below 0 they overlap: by half the narrower width at least where a middle line lies inside.
    """
    found: dict[str, Turned] = {}
    if shaped(keys):
        found[BLADE_TO_GRIP] = _blade_to_grip(keys)
    outlines = keys.get("casing.outlines", ())
    link = link_points(keys, "arm")
    for k, outline in enumerate(outlines):
        which = f" {k + 1}" if len(outlines) > 1 else ""
        if "arm.outline.points" in keys:
            found[ARM_TO_CASING + which] = _arm_to_casing(keys, link, outline)
        if link.pin is not None:
            found[CABLE_TO_CASING + which] = _cable_to_casing(keys, link, outline)
    return found


def _blade_to_grip(keys: Keys) -> Turned:
    import shapely

    link = link_points(keys, "lever")
    place = keys["grip.place"]
    grip = shapely.Point(place[0]) if len(place) == 1 else shapely.LineString(place)
    reach = (keys["lever.outline.width"] + keys["grip.diameter"]) / 2

    def gap(blade_rad: Values, arm_rad: Values) -> Values:
        line = turned(keys["lever.outline.points"], link, blade_rad)
        return shapely.distance(shapely.linestrings(line), grip) - reach

    return gap


def _arm_to_casing(keys: Keys, link: LinkPoints, outline: Any) -> Turned:
    import shapely

    casing, half = shapely.Polygon(outline), keys["arm.outline.width"] / 2
    at_rest = turned_at_rest_rad(keys, "arm")

    def gap(blade_rad: Values, arm_rad: Values) -> Values:
        line = turned(keys["arm.outline.points"], link, arm_rad + at_rest)
        return shapely.distance(shapely.linestrings(line), casing) - half

    return gap


def _cable_to_casing(keys: Keys, link: LinkPoints, outline: Any) -> Turned:
    import shapely

    casing, half = shapely.Polygon(outline), keys.get("cable.wire.diameter", 0.0) / 2

    def gap(blade_rad: Values, arm_rad: Values) -> Values:
        assert link.pin is not None
        assert link.stop is not None
        pin = turned(link.pin[..., None, :], link, arm_rad)
        stop = np.broadcast_to(link.stop[..., None, :], pin.shape)
        cable = shapely.linestrings(np.concatenate([stop, pin], axis=-2))
        return shapely.distance(cable, casing) - half

    return gap


def stop_angles(keys: Keys) -> dict[str, Turned]:
    """Return the angle between the cable and the axis of its stop's hole, at lever and arm.

    Without `stop_direction` the hole is taken to point along the cable at rest.
    """
    found: dict[str, Turned] = {}
    for table in ("lever", "arm"):
        link = link_points(keys, table)
        if link.pin is not None:
            found[f"cable at the {table}'s stop"] = _stop_angle(keys, table, link)
    return found


def _stop_angle(keys: Keys, table: str, link: LinkPoints) -> Turned:
    pin, stop = np.asarray(link.pin, float), np.asarray(link.stop, float)
    offset = np.asarray(keys.get(f"{table}.axial_offset", 0.0), float)
    to_pin, to_pivot = pin - stop, link.pivot - stop
    across = to_pivot[..., 0] * to_pin[..., 1] - to_pivot[..., 1] * to_pin[..., 0]
    away = np.where(across >= 0, 1.0, -1.0)  # the way that leads farther from the pivot
    aside = away * np.radians(keys.get(f"{table}.stop_direction", 0.0))
    x = to_pin[..., 0] * np.cos(aside) - to_pin[..., 1] * np.sin(aside)
    y = to_pin[..., 0] * np.sin(aside) + to_pin[..., 1] * np.cos(aside)

    def angle(blade_rad: Values, arm_rad: Values) -> Values:
        rotation = blade_rad if table == "lever" else arm_rad
        there = turned(pin[..., None, :], link, rotation)[..., 0, :] - stop
        both = there[..., 0] * x + there[..., 1] * y + offset**2
        normal = (
            there[..., 1] * offset - offset * y,
            offset * x - there[..., 0] * offset,
            there[..., 0] * y - there[..., 1] * x,
        )
        return np.arctan2(np.sqrt(sum(part**2 for part in normal)), both)

    return angle


def swept(line: Values, width_mm: float, link: LinkPoints, rotation_rad: float) -> Any:
    """Return what a line with width sweeps from rest to a rotation, as one Shapely shape [mm].

    Parameters
    ----------
    line : array
        Its middle line at rest, of shape (K, 2) [mm].
    rotation_rad : float
        [rad].
    """
    import shapely

    steps = max(2, 1 + int(np.ceil(abs(rotation_rad) / SWEPT_STEP_RAD)))
    places = turned(line, link, np.linspace(0.0, rotation_rad, steps))
    corners = np.stack([places[:-1, :-1], places[:-1, 1:], places[1:, 1:], places[1:, :-1]], axis=2)
    patches = shapely.convex_hull(shapely.multipoints(corners.reshape(-1, 4, 2)))
    middle = shapely.union_all(patches)
    return middle.buffer(width_mm / 2, quad_segs=32)
