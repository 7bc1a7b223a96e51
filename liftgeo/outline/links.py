"""Where the points of lever and arm stand: a mechanism's keys as coordinates in a plane.

Each of the two has a frame of its own: the pivot at the origin, +x to the cable stop, +y to the
pin's side at rest. A file that gives points keeps their frame. A pivot that a change moves is
moved in the frame of the unchanged lever, so that the two can be laid over one another.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.link_points import LinkPoints, axes, link_points, side

Point: TypeAlias = NDArray[np.float64]
"""A point [x, y] of shape (2,) [mm]."""

ASSUMED_HAND_ANGLE_DEG = 60.0
"""Angle from pin to hand at which a lever is drawn whose file does not say."""


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
        frame = np.stack(axes(self.pivot, self.stop, self.pin), axis=-1)
        pin, stop, hand = (
            None if point is None else (point - self.pivot) @ frame
            for point in (self.pin, self.stop, self.hand)
        )
        turning = self.turning * int(side(self.pivot, self.stop, self.pin))
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
    given : frozenset of str
        Those of the two whose points are in the file.
    """

    lever: LinkOutline
    arm: LinkOutline
    assumed: tuple[str, ...] = ()
    given: frozenset[str] = frozenset()

    def in_own_frame(self) -> Outline:
        """Return lever and arm each with its pivot at the origin and +x to its stop."""
        return replace(self, lever=self.lever.in_own_frame(), arm=self.arm.in_own_frame())

    def as_drawn(self) -> Outline:
        """Return each in its own frame, but where the file gives points in the frame of those."""
        own = self.in_own_frame()
        return replace(
            self,
            lever=self.lever if "lever" in self.given else own.lever,
            arm=self.arm if "arm" in self.given else own.arm,
        )

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
    given = frozenset(t for t in ("lever", "arm") if f"{t}.points.pivot" in keys)
    return Outline(lever, arm, assumed, given)


def _link(keys: Inward, table: str) -> LinkOutline:
    """Return the outline of one link."""
    found = link_points(keys, table)
    hand = _hand(keys, found) if table == "lever" else None
    offset = float(keys.get(f"{table}.axial_offset", 0.0))
    return LinkOutline(found.pivot, found.pin, found.stop, hand, int(found.turning), offset)


def _hand(keys: Inward, found: LinkPoints) -> Point:
    """Return the hand before the pivot is moved; at an assumed angle where none is given."""
    if "lever.points.hand" in keys:
        return np.array(keys["lever.points.hand"], float)
    at = np.radians(keys.get("lever.hand_angle", ASSUMED_HAND_ANGLE_DEG))
    if found.pin is not None:
        at = at + np.arctan2(found.pin[1], found.pin[0])
    return float(keys["lever.hand_radius"]) * _direction(at)


def _direction(angle_rad: float) -> Point:
    """Return the unit vector at an angle from +x."""
    return np.array([np.cos(angle_rad), np.sin(angle_rad)])
