"""Lever and arm: what turns a rotation into cable pull (triangle, drum or measured profile).

All three answer the same four questions, so that the chain never asks which it has: pull at a
rotation, rotation at a pull, moment arm (their exact derivative) and the slope of the moment arm.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from liftgeo.parts.curve import Curve
from liftgeo.parts.values import Values


class Link(Protocol):
    """What the chain needs of a lever or an arm. Rotations [rad] and pulls [mm] are 0 at rest."""

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation at which the link can turn no further [rad]."""

    @property
    def dead_centre(self) -> bool:
        """Whether the last rotation is a dead centre (else the end of a measured table)."""

    def pull_mm(self, rotation_rad: Values) -> Values:
        """Cable pull at a rotation [mm]."""

    def rotation_rad(self, pull_mm: Values) -> Values:
        """Rotation at a cable pull [rad]."""

    def moment_arm_mm(self, rotation_rad: Values) -> Values:
        """Moment arm of the cable, d(pull)/d(rotation) [mm]."""

    def moment_arm_slope_mm(self, rotation_rad: Values) -> Values:
        """d(moment arm)/d(rotation) [mm per rad]."""

    def cable_angle_rad(self, rotation_rad: Values) -> Values:
        """Angle at the pin between the line to the pivot and the cable [rad]."""


def _arccos(cosine: Values) -> Values:
    """Return the angle, held at 0 and 180 degrees beyond them."""
    return np.arccos(np.minimum(np.maximum(cosine, -1.0), 1.0))


def rest_length_mm(
    pin_radius_mm: Values,
    stop_distance_mm: Values,
    cable_angle_rad: Values,
    axial_offset_mm: Values = 0.0,
) -> Values:
    """Return the distance from pin to stop for a cable angle measured at the pin [mm].

    Notes
    -----
    Law of cosines at the pin, l = r cos(delta) + sqrt(d**2 + h**2 - r**2 sin(delta)**2), the only
    layout when d > r. NaN where none exists. Source: derived in docs/theory.md, "Triangle".
    """
    r, d, h = pin_radius_mm, stop_distance_mm, axial_offset_mm
    across = r * np.sin(cable_angle_rad)
    return r * np.cos(cable_angle_rad) + np.sqrt(d**2 + h**2 - across**2)


@dataclass(frozen=True, eq=False, repr=False)
class Triangle:
    """A pin on a radius, a fixed cable stop, and the straight cable between them.

    `rest_angle_rad` is the angle at the pivot between pin and stop at rest.

    Parameters
    ----------
    pin_radius_mm, stop_distance_mm, rest_length_mm : float or array
        Pivot to pin, pivot to stop, pin to stop at rest [mm].
    axial_offset_mm : float or array
        Distance of pin and stop out of each other's plane [mm].
    sense : {+1, -1}
        +1: turning lengthens the cable side (hand lever); -1: turning shortens it (arm).

    Notes
    -----
    l**2 = r**2 + d**2 + h**2 - 2 r d cos(gamma), moment arm p = dl/dgamma = r d sin(gamma)/l.
    The unsigned angle gamma (0 to 180 deg) covers a cable that comes from either side.
    Source: law of cosines; derived in docs/theory.md, "Triangle".
    """

    pin_radius_mm: Values
    stop_distance_mm: Values
    rest_length_mm: Values
    axial_offset_mm: Values = 0.0
    sense: int = 1
    rest_angle_rad: Values = field(init=False, repr=False)
    _sides: Values = field(init=False, repr=False)
    _squares: Values = field(init=False, repr=False)

    def __post_init__(self) -> None:
        r, d, h = self.pin_radius_mm, self.stop_distance_mm, self.axial_offset_mm
        squares = r**2 + d**2 + h**2
        angle = _arccos((squares - self.rest_length_mm**2) / (2 * r * d))
        object.__setattr__(self, "_sides", r * d)
        object.__setattr__(self, "_squares", squares)
        object.__setattr__(self, "rest_angle_rad", angle)

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation to dead centre [rad]."""
        rest = self.rest_angle_rad
        return np.pi - rest if self.sense > 0 else rest

    @property
    def dead_centre(self) -> bool:
        """Return True: a triangle ends at its dead centre."""
        return True

    def _length_mm(self, angle_rad: Values) -> Values:
        return np.sqrt(self._squares - 2 * self._sides * np.cos(angle_rad))

    def pull_mm(self, rotation_rad: Values) -> Values:
        """Cable pull at a rotation [mm], written so that small rotations lose no digits."""
        rest, turn = self.rest_angle_rad, self.sense * rotation_rad
        length = self._length_mm(rest + turn)
        squares = 4 * self._sides * np.sin(rest + turn / 2) * np.sin(turn / 2)
        return self.sense * squares / (length + self.rest_length_mm)

    def rotation_rad(self, pull_mm: Values) -> Values:
        """Rotation at a cable pull [rad]; held at the dead centre beyond it."""
        length = self.rest_length_mm + self.sense * pull_mm
        angle = _arccos((self._squares - length**2) / (2 * self._sides))
        return self.sense * (angle - self.rest_angle_rad)

    def moment_arm_mm(self, rotation_rad: Values) -> Values:
        """Moment arm of the cable [mm]."""
        angle = self.rest_angle_rad + self.sense * rotation_rad
        return self._sides * np.sin(angle) / self._length_mm(angle)

    def moment_arm_slope_mm(self, rotation_rad: Values) -> Values:
        """d(moment arm)/d(rotation) [mm per rad]."""
        angle = self.rest_angle_rad + self.sense * rotation_rad
        length = self._length_mm(angle)
        arm = self._sides * np.sin(angle) / length
        return self.sense * (self._sides * np.cos(angle) - arm**2) / length

    def cable_angle_rad(self, rotation_rad: Values) -> Values:
        """Angle at the pin between the line to the pivot and the cable [rad]."""
        angle = self.rest_angle_rad + self.sense * rotation_rad
        cosine = self.pin_radius_mm - self.stop_distance_mm * np.cos(angle)
        return _arccos(cosine / self._length_mm(angle))


@dataclass(frozen=True, eq=False, repr=False)
class Drum:
    """A cable wound on a constant radius: pull = r * rotation."""

    radius_mm: Values

    @property
    def last_rotation_rad(self) -> Values:
        """Return infinity: a drum has no dead centre."""
        return np.inf

    @property
    def dead_centre(self) -> bool:
        """Return False: a drum has none."""
        return False

    def pull_mm(self, rotation_rad: Values) -> Values:
        """Cable pull [mm]."""
        return self.radius_mm * rotation_rad

    def rotation_rad(self, pull_mm: Values) -> Values:
        """Rotation at a pull [rad]."""
        return pull_mm / self.radius_mm

    def moment_arm_mm(self, rotation_rad: Values) -> Values:
        """Return the drum radius at every rotation [mm]."""
        return self.radius_mm + 0.0 * rotation_rad

    def moment_arm_slope_mm(self, rotation_rad: Values) -> Values:
        """Return zero: the radius is constant."""
        return 0.0 * (self.radius_mm + rotation_rad)

    def cable_angle_rad(self, rotation_rad: Values) -> Values:
        """Return 90 degrees: the cable leaves a drum along its tangent."""
        return np.pi / 2 + 0.0 * (self.radius_mm + rotation_rad)


@dataclass(frozen=True, eq=False, repr=False)
class MeasuredLink:
    """Measured pull against angle, monotone cubic between the readings.

    Parameters
    ----------
    curve : Curve
        Pull [mm] over rotation [rad], both rising from 0.
    """

    curve: Curve

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation at the end of the table [rad]."""
        return self.curve.x[-1]

    @property
    def dead_centre(self) -> bool:
        """Return False: a table ends, it has no dead centre."""
        return False

    def pull_mm(self, rotation_rad: Values) -> Values:
        """Cable pull [mm]."""
        return self.curve.value(rotation_rad)

    def rotation_rad(self, pull_mm: Values) -> Values:
        """Rotation at a pull [rad]."""
        return self.curve.inverse(pull_mm)

    def moment_arm_mm(self, rotation_rad: Values) -> Values:
        """Moment arm [mm]."""
        return self.curve.slope(rotation_rad)

    def moment_arm_slope_mm(self, rotation_rad: Values) -> Values:
        """d(moment arm)/d(rotation) [mm per rad]."""
        return self.curve.curvature(rotation_rad)

    def cable_angle_rad(self, rotation_rad: Values) -> Values:
        """Return NaN: a table of pulls does not tell the cable's angle."""
        return np.nan * (rotation_rad + 0.0)
