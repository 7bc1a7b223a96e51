"""Lever and arm: what turns a rotation into cable pull (triangle, drum or measured profile).

All three answer the same question, so that the chain never asks which it has: where they stand at
a rotation, or at a pull, with the moment arm (the exact derivative) and its slope.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

import numpy as np

from liftgeo.parts.curve import Curve
from liftgeo.parts.values import Values


class LinkAt(NamedTuple):
    """A lever or an arm at one position; each of a shape that broadcasts with the others.

    Attributes
    ----------
    rotation_rad, pull_mm : float or array
        Rotation [rad] and cable pull [mm] from rest.
    moment_arm_mm : float or array
        Moment arm of the cable, d(pull)/d(rotation) [mm].
    moment_arm_slope_mm : float or array
        d(moment arm)/d(rotation) [mm per rad].
    """

    rotation_rad: Values
    pull_mm: Values
    moment_arm_mm: Values
    moment_arm_slope_mm: Values


class Link(Protocol):
    """What the chain needs of a lever or an arm. Rotations [rad] and pulls [mm] are 0 at rest."""

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation at which the link can turn no further [rad]."""

    @property
    def dead_centre(self) -> bool:
        """Whether the last rotation is a dead centre (else the end of a measured table)."""

    @property
    def has_bends(self) -> bool:
        """Whether the law bends on the way, so that few samples could miss a jump or a hump."""

    @property
    def bends_rad(self) -> Sequence[Values]:
        """Rotations at which the law bends, in order [rad]."""

    def at(self, rotation_rad: Values) -> LinkAt:
        """Return where the link stands at a rotation [rad]."""

    def at_pull(self, pull_mm: Values) -> LinkAt:
        """Return where the link stands at a cable pull [mm]; held at its end beyond it."""

    def cable_angle_rad(self, rotation_rad: Values) -> Values:
        """Angle at the pin between the line to the pivot and the cable [rad]."""


_SHORTEST_MM = 1e-9


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
    _rest_sine: Values = field(init=False, repr=False)
    _rest_cosine: Values = field(init=False, repr=False)

    def __post_init__(self) -> None:
        r, d, h = self.pin_radius_mm, self.stop_distance_mm, self.axial_offset_mm
        squares = r**2 + d**2 + h**2
        angle = _arccos((squares - self.rest_length_mm**2) / (2 * r * d))
        object.__setattr__(self, "_sides", r * d)
        object.__setattr__(self, "_squares", squares)
        object.__setattr__(self, "rest_angle_rad", angle)
        object.__setattr__(self, "_rest_sine", r * d * np.sin(angle))
        object.__setattr__(self, "_rest_cosine", r * d * np.cos(angle))

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation to dead centre [rad]."""
        rest = self.rest_angle_rad
        return np.pi - rest if self.sense > 0 else rest

    @property
    def dead_centre(self) -> bool:
        """Return True: a triangle ends at its dead centre."""
        return True

    @property
    def has_bends(self) -> bool:
        """Return False: a triangle's law is smooth."""
        return False

    @property
    def bends_rad(self) -> Sequence[Values]:
        """Return nothing: the law is smooth."""
        return ()

    def at(self, rotation_rad: Values) -> LinkAt:
        """Return where the link stands; the pull is written so that small turns lose no digits."""
        half = (self.sense / 2) * rotation_rad
        sine, cosine = np.sin(half), np.cos(half)
        rest_sine, rest_cosine = self._rest_sine, self._rest_cosine
        middle_sine = rest_sine * cosine + rest_cosine * sine  # sines, times the sides, half way
        middle_cosine = rest_cosine * cosine - rest_sine * sine
        across = middle_cosine * cosine - middle_sine * sine
        length = np.sqrt(self._squares - 2 * across)
        arm = (middle_sine * cosine + middle_cosine * sine) / length
        pull = (4 * self.sense) * (middle_sine * sine) / (length + self.rest_length_mm)
        return LinkAt(rotation_rad, pull, arm, self.sense * (across - arm**2) / length)

    def at_pull(self, pull_mm: Values) -> LinkAt:
        """Return where the link stands at a cable pull [mm]; held at the dead centre beyond it.

        A pull longer than the cable itself is such a one: no length is below zero.
        """
        length = np.maximum(self.rest_length_mm + self.sense * pull_mm, _SHORTEST_MM)
        cosine = (self._squares - length**2) / (2 * self._sides)
        cosine = np.minimum(np.maximum(cosine, -1.0), 1.0)
        turn = self.sense * (np.arccos(cosine) - self.rest_angle_rad)
        arm = self._sides * np.sqrt((1.0 - cosine) * (1.0 + cosine)) / length
        slope = self.sense * (self._sides * cosine - arm**2) / length
        return LinkAt(turn, pull_mm, arm, slope)

    def cable_angle_rad(self, rotation_rad: Values) -> Values:
        """Angle at the pin between the line to the pivot and the cable [rad]."""
        angle = self.rest_angle_rad + self.sense * rotation_rad
        across = np.cos(angle)
        length = np.sqrt(self._squares - 2 * self._sides * across)
        return _arccos((self.pin_radius_mm - self.stop_distance_mm * across) / length)


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

    @property
    def has_bends(self) -> bool:
        """Return False: a drum's law is straight."""
        return False

    @property
    def bends_rad(self) -> Sequence[Values]:
        """Return nothing: the law is smooth."""
        return ()

    def at(self, rotation_rad: Values) -> LinkAt:
        """Return where the drum stands at a rotation [rad]."""
        return LinkAt(rotation_rad, self.radius_mm * rotation_rad, self.radius_mm, 0.0)

    def at_pull(self, pull_mm: Values) -> LinkAt:
        """Return where the drum stands at a pull [mm]."""
        return LinkAt(pull_mm / self.radius_mm, pull_mm, self.radius_mm, 0.0)

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
        return self.curve.last_x

    @property
    def dead_centre(self) -> bool:
        """Return False: a table ends, it has no dead centre."""
        return False

    @property
    def has_bends(self) -> bool:
        """Return True: a measured law may bend between any two readings."""
        return True

    @property
    def bends_rad(self) -> Sequence[Values]:
        """The readings' rotations [rad]."""
        return tuple(self.curve.x)

    def at(self, rotation_rad: Values) -> LinkAt:
        """Return where the link stands at a rotation [rad]."""
        return LinkAt(rotation_rad, *self.curve.at(rotation_rad))

    def at_pull(self, pull_mm: Values) -> LinkAt:
        """Return where the link stands at a pull [mm]."""
        turn = self.curve.inverse(pull_mm)
        _, arm, slope = self.curve.at(turn)
        return LinkAt(turn, pull_mm, arm, slope)

    def cable_angle_rad(self, rotation_rad: Values) -> Values:
        """Return NaN: a table of pulls does not tell the cable's angle."""
        return np.nan * (rotation_rad + 0.0)
