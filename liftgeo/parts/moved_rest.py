"""An arm and a release unit whose rest has moved back, as a worn facing or heat moves it.

Both are continued below their measured rest as straight lines, like slack and end float.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from liftgeo.parts.release import ReleaseUnit
from liftgeo.parts.triangle import Link
from liftgeo.parts.values import Values


@dataclass(frozen=True, eq=False, repr=False)
class LinkMovedBack:
    """A lever or arm that starts `back_rad` before its measured rest [rad], 0 or more."""

    link: Link
    back_rad: Values

    @property
    def _first_mm(self) -> Values:
        return self.link.moment_arm_mm(0.0)

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation at which the link can turn no further [rad]."""
        return self.link.last_rotation_rad + self.back_rad

    @property
    def dead_centre(self) -> bool:
        """Whether the last rotation is a dead centre."""
        return self.link.dead_centre

    def pull_mm(self, rotation_rad: Values) -> Values:
        """Cable pull at a rotation from the moved rest [mm]."""
        past = np.maximum(rotation_rad - self.back_rad, 0.0)
        before = np.minimum(rotation_rad, self.back_rad)
        return self._first_mm * before + self.link.pull_mm(past)

    def rotation_rad(self, pull_mm: Values) -> Values:
        """Rotation from the moved rest at a cable pull [rad]."""
        straight = self._first_mm * self.back_rad
        past = self.link.rotation_rad(np.maximum(pull_mm - straight, 0.0))
        return np.minimum(pull_mm, straight) / self._first_mm + past

    def moment_arm_mm(self, rotation_rad: Values) -> Values:
        """Moment arm of the cable [mm]."""
        return self.link.moment_arm_mm(np.maximum(rotation_rad - self.back_rad, 0.0))

    def moment_arm_slope_mm(self, rotation_rad: Values) -> Values:
        """d(moment arm)/d(rotation) [mm per rad]."""
        past = rotation_rad - self.back_rad
        slope = self.link.moment_arm_slope_mm(np.maximum(past, 0.0))
        return np.where(past < 0, 0.0, slope)

    def cable_angle_rad(self, rotation_rad: Values) -> Values:
        """Angle at the pin between the line to the pivot and the cable [rad]."""
        return self.link.cable_angle_rad(rotation_rad - self.back_rad)


@dataclass(frozen=True, eq=False, repr=False)
class UnitMovedBack:
    """A release unit that starts `back_rad` before its measured rest [rad], 0 or more."""

    unit: ReleaseUnit
    back_rad: Values

    @property
    def _first_mm(self) -> Values:
        return self.unit.slope_mm_per_rad(0.0)

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation at which the unit can turn no further by its shape [rad]."""
        return self.unit.last_rotation_rad + self.back_rad

    @property
    def dead_centre(self) -> bool:
        """Whether the last rotation is a dead centre."""
        return self.unit.dead_centre

    def _past(self, rotation_rad: Values) -> Values:
        return np.maximum(rotation_rad - self.back_rad, 0.0)

    def travel_mm(self, rotation_rad: Values) -> Values:
        """Rod travel at a rotation from the moved rest [mm]."""
        before = np.minimum(rotation_rad, self.back_rad)
        return self._first_mm * before + self.unit.travel_mm(self._past(rotation_rad))

    def rotation_rad(self, travel_mm: Values) -> Values:
        """Rotation from the moved rest at a rod travel [rad]."""
        straight = self._first_mm * self.back_rad
        past = self.unit.rotation_rad(np.maximum(travel_mm - straight, 0.0))
        return np.minimum(travel_mm, straight) / self._first_mm + past

    def slope_mm_per_rad(self, rotation_rad: Values) -> Values:
        """d(travel)/d(rotation) [mm/rad]."""
        return self.unit.slope_mm_per_rad(self._past(rotation_rad))

    def slope_rate(self, rotation_rad: Values) -> Values:
        """Second derivative of travel over rotation [mm/rad2]."""
        before = rotation_rad < self.back_rad
        return np.where(before, 0.0, self.unit.slope_rate(self._past(rotation_rad)))

    def torque_arm_mm(self, rotation_rad: Values, way: int) -> Values:
        """Torque over rod load [mm]."""
        return self.unit.torque_arm_mm(self._past(rotation_rad), way)

    def torque_arm_rate(self, rotation_rad: Values, way: int) -> Values:
        """d(torque arm)/d(rotation) [mm/rad]."""
        before = rotation_rad < self.back_rad
        return np.where(before, 0.0, self.unit.torque_arm_rate(self._past(rotation_rad), way))
