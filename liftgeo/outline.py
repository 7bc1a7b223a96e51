"""Where the points of lever and arm stand: a mechanism's keys as coordinates in a plane.

Each of the two has a frame of its own: the pivot at the origin, +x to the cable stop, +y to the
pin's side at rest. A file that gives points keeps their frame. A pivot that a change moves is
moved in the frame of the unchanged lever, so that the two can be laid over one another.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.convert import sides
from liftgeo.mechanism.inward import Inward
from liftgeo.parts.triangle import Triangle

Point: TypeAlias = NDArray[np.float64]
"""A point [x, y] of shape (2,) [mm]."""

ASSUMED_HAND_ANGLE_DEG = 60.0
"""Angle from pin to hand at which a lever is drawn whose file does not say."""

_OPENING = {"lever": 1, "arm": -1}
"""Whether pulling opens the angle between stop and pin, or closes it."""
_SHIFTS = ("lever.pivot_shift_x", "lever.pivot_shift_y")


@dataclass(frozen=True, eq=False)
class LinkOutline:
    """Lever or arm as points in a plane, at rest and turned.

    Parameters
    ----------
    pivot : array
        The point that everything turns about [mm].
    pin, stop, hand : array or None
        The moving cable end and the hand at rest, and the fixed cable stop [mm]; None where a
        drum or a measured table leaves no such point.
    turning : {+1, -1}
        Way of pulling: +1 counter-clockwise in this frame.
    axial_offset_mm : float
        Distance of pin and stop out of the plane [mm].
    """

    pivot: Point
    pin: Point | None
    stop: Point | None
    hand: Point | None
    turning: int
    axial_offset_mm: float = 0.0

    def turned(self, at_rest: Point | None, rotation_rad: float) -> Point | None:
        """Return where a point of the moving part stands after a rotation [rad] from rest.

        Parameters
        ----------
        at_rest : array or None
            One point of shape (2,) or many of shape (K, 2) [mm].
        """
        if at_rest is None:
            return None
        cosine, sine = np.cos(rotation_rad), self.turning * np.sin(rotation_rad)
        turn = np.array([[cosine, sine], [-sine, cosine]])
        found: Point = self.pivot + (at_rest - self.pivot) @ turn
        return found

    def in_own_frame(self) -> LinkOutline:
        """Return the same link with its pivot at the origin, +x to the stop, +y to the pin."""
        if self.stop is None or self.pin is None:
            return self
        along = self.stop - self.pivot
        along = along / np.hypot(*along)
        up = _side(self.pivot, self.stop, self.pin) * np.array([-along[1], along[0]])
        frame = np.stack([along, up], axis=-1)
        pin, stop, hand = (
            None if point is None else (point - self.pivot) @ frame
            for point in (self.pin, self.stop, self.hand)
        )
        turning = self.turning * _side(self.pivot, self.stop, self.pin)
        return LinkOutline(np.zeros(2), pin, stop, hand, turning, self.axial_offset_mm)

    def at(self, rotation_rad: float) -> dict[str, Point | None]:
        """Return pivot, pin, stop and hand after a rotation [rad] from rest."""
        return {
            "pivot": self.pivot,
            "pin": self.turned(self.pin, rotation_rad),
            "stop": self.stop,
            "hand": self.turned(self.hand, rotation_rad),
        }


@dataclass(frozen=True, eq=False)
class Outline:
    """Lever and arm of one mechanism as points.

    Attributes
    ----------
    lever, arm : LinkOutline
    assumed : tuple of str
        Keys that the file does not give and a drawing needs.
    """

    lever: LinkOutline
    arm: LinkOutline
    assumed: tuple[str, ...] = ()

    def points(self, lever_angle_rad: float, arm_rotation_rad: float) -> dict[str, Point | None]:
        """Return every point by name, lever blade and arm turned that far from rest [rad].

        Names are `lever_pivot`, `lever_pin`, `lever_stop`, `lever_hand`, `arm_pivot`, `arm_pin`
        and `arm_stop`; None where the kind leaves no such point.
        """
        lever, arm = self.lever.at(lever_angle_rad), self.arm.at(arm_rotation_rad)
        found = {f"lever_{name}": point for name, point in lever.items()}
        return found | {f"arm_{name}": arm[name] for name in ("pivot", "pin", "stop")}


def outline(mechanism: Mechanism) -> Outline:
    """Return a mechanism's lever and arm as points, at its nominal numbers.

    Parameters
    ----------
    mechanism : Mechanism

    Notes
    -----
    Without `lever.hand_angle` the hand is put `ASSUMED_HAND_ANGLE_DEG` from the pin, which moves
    no number of the stroke; it is named in `assumed`.
    """
    keys = mechanism.inward
    lever, arm = (_link(keys, table) for table in ("lever", "arm"))
    known = "lever.hand_angle" in keys or "lever.points.hand" in keys
    assumed = () if known or lever.hand is None else ("lever.hand_angle",)
    return Outline(lever, arm, assumed)


def _link(keys: Inward, table: str) -> LinkOutline:
    """Return the outline of one link."""
    opening = _OPENING[table]
    if keys.get(f"{table}.kind", "pin") != "pin":
        hand = (
            keys.lever.hand_radius_mm * _direction(_to_hand_rad(keys)) if table == "lever" else None
        )
        return LinkOutline(np.zeros(2), None, None, hand, opening)
    pivot, pin, stop, hand = _points(keys, table)
    pivot = _moved(keys, table, pivot, pin, stop)
    offset = float(keys.get(f"{table}.axial_offset", 0.0))
    return LinkOutline(pivot, pin, stop, hand, opening * _side(pivot, stop, pin), offset)


def _points(keys: Inward, table: str) -> tuple[Point, Point, Point, Point | None]:
    """Return pivot, pin, stop and hand before anything is moved."""
    if f"{table}.points.pivot" in keys:
        pivot, pin, stop = (_given(keys, table, name) for name in ("pivot", "pin", "stop"))
        return pivot, pin, stop, _given(keys, table, "hand") if table == "lever" else None
    found = sides({k: v for k, v in keys.items() if k not in _SHIFTS}, table)
    at = float(Triangle(found.pin, found.stop, found.rest, found.offset).rest_angle_rad)
    hand = float(found.hand) * _direction(at + _to_hand_rad(keys)) if table == "lever" else None
    return np.zeros(2), float(found.pin) * _direction(at), np.array([float(found.stop), 0.0]), hand


def _given(keys: Inward, table: str, name: str) -> Point:
    """Return a point of the file [mm]."""
    return np.array(keys[f"{table}.points.{name}"], float)


def _to_hand_rad(keys: Inward) -> float:
    """Return the angle at the pivot from pin to hand, given or assumed [rad]."""
    return float(np.radians(keys.get("lever.hand_angle", ASSUMED_HAND_ANGLE_DEG)))


def _moved(keys: Inward, table: str, pivot: Point, pin: Point, stop: Point) -> Point:
    """Return the pivot where a change has moved it to."""
    if table != "lever":
        return pivot
    x, y = (float(keys.get(shift, 0.0)) for shift in _SHIFTS)
    along = (stop - pivot) / np.hypot(*(stop - pivot))
    up = _side(pivot, stop, pin) * np.array([-along[1], along[0]])
    found: Point = pivot + x * along + y * up
    return found


def _side(pivot: Point, stop: Point, pin: Point) -> int:
    """Return +1 where the pin lies counter-clockwise of the stop about the pivot, else -1."""
    a, b = stop - pivot, pin - pivot
    return 1 if a[0] * b[1] - a[1] * b[0] >= 0 else -1


def _direction(angle_rad: float) -> Point:
    """Return the unit vector at an angle from +x."""
    return np.array([np.cos(angle_rad), np.sin(angle_rad)])
