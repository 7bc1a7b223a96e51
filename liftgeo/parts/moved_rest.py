"""An arm and a release unit whose rest has moved back, as a worn facing or heat moves it.

Both are continued below their measured rest as straight lines, like slack and end float.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from liftgeo.parts.cable import PULLING
from liftgeo.parts.release_form import ReleaseUnit, UnitAt
from liftgeo.parts.triangle import Link, LinkAt
from liftgeo.parts.values import Values


@dataclass(frozen=True, eq=False, repr=False)
class LinkMovedBack:
    """A lever or arm that starts `back_rad` before its measured rest [rad], 0 or more."""

    link: Link
    back_rad: Values

    @property
    def _first_mm(self) -> Values:
        return self.link.at(0.0).moment_arm_mm

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation at which the link can turn no further [rad]."""
        return self.link.last_rotation_rad + self.back_rad

    @property
    def dead_centre(self) -> bool:
        """Whether the last rotation is a dead centre."""
        return self.link.dead_centre

    @property
    def has_bends(self) -> bool:
        """Return True: the law bends where the measured rest is passed."""
        return True

    @property
    def bends_rad(self) -> Sequence[Values]:
        """Rotations at which the law bends, the measured rest among them [rad]."""
        return (self.back_rad, *(bend + self.back_rad for bend in self.link.bends_rad))

    def at(self, rotation_rad: Values) -> LinkAt:
        """Return where the link stands at a rotation from the moved rest [rad]."""
        past = rotation_rad - self.back_rad
        inner = self.link.at(np.maximum(past, 0.0))
        pull = self._first_mm * np.minimum(rotation_rad, self.back_rad) + inner.pull_mm
        slope = np.where(past < 0, 0.0, inner.moment_arm_slope_mm)
        return LinkAt(rotation_rad, pull, inner.moment_arm_mm, slope)

    def at_pull(self, pull_mm: Values) -> LinkAt:
        """Return where the link stands at a cable pull [mm]."""
        first = self._first_mm
        past = pull_mm - first * self.back_rad
        inner = self.link.at_pull(np.maximum(past, 0.0))
        turn = np.minimum(pull_mm, first * self.back_rad) / first + inner.rotation_rad
        slope = np.where(past < 0, 0.0, inner.moment_arm_slope_mm)
        return LinkAt(turn, pull_mm, inner.moment_arm_mm, slope)

    def cable_angle_rad(self, rotation_rad: Values) -> Values:
        """Angle at the pin between the line to the pivot and the cable [rad]."""
        return self.link.cable_angle_rad(rotation_rad - self.back_rad)


@dataclass(frozen=True, eq=False, repr=False)
class UnitMovedBack:
    """A release unit that starts `back_rad` before its measured rest [rad], 0 or more."""

    unit: ReleaseUnit
    back_rad: Values

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation at which the unit can turn no further by its shape [rad]."""
        return self.unit.last_rotation_rad + self.back_rad

    @property
    def dead_centre(self) -> bool:
        """Whether the last rotation is a dead centre."""
        return self.unit.dead_centre

    @property
    def has_bends(self) -> bool:
        """Return True: the law bends where the measured rest is passed."""
        return True

    @property
    def loss_varies(self) -> bool:
        """Whether the share of a torque that rubbing takes varies with position."""
        return self.unit.loss_varies

    @property
    def loss_bends_mm(self) -> tuple[Values, ...]:
        """Rod travels at which the loss begins to vary, from the measured rest on [mm]."""
        moved = self.unit.at(0.0).slope_mm_per_rad * self.back_rad
        return (moved, *(moved + travel for travel in self.unit.loss_bends_mm))

    @property
    def bends_rad(self) -> Sequence[Values]:
        """Rotations at which the law bends, the measured rest among them [rad]."""
        return (self.back_rad, *(bend + self.back_rad for bend in self.unit.bends_rad))

    def at(self, rotation_rad: Values, way: int = PULLING) -> UnitAt:
        """Return where the unit stands at a rotation from the moved rest [rad]."""
        past = rotation_rad - self.back_rad
        inner = self.unit.at(np.maximum(past, 0.0), way)
        before = self.unit.at(0.0).slope_mm_per_rad * np.minimum(rotation_rad, self.back_rad)
        rate = np.where(past < 0, 0.0, inner.torque_arm_rate)
        return inner._replace(
            rotation_rad=rotation_rad,
            travel_mm=before + inner.travel_mm,
            torque_arm_rate=rate,
        )

    def at_travel(self, travel_mm: Values, way: int = PULLING) -> UnitAt:
        """Return where the unit stands at a rod travel [mm]."""
        first = self.unit.at(0.0).slope_mm_per_rad
        past = travel_mm - first * self.back_rad
        inner = self.unit.at_travel(np.maximum(past, 0.0), way)
        turn = np.minimum(travel_mm, first * self.back_rad) / first + inner.rotation_rad
        rate = np.where(past < 0, 0.0, inner.torque_arm_rate)
        return inner._replace(rotation_rad=turn, travel_mm=travel_mm, torque_arm_rate=rate)
