"""Release units: what turns the arm's rotation into rod travel, and the torque it takes.

Every kind answers the same questions. Torque is proportional to the rod load in all of them, so
each gives its *torque arm* (torque over load, in mm), pulling (+1) and letting back (-1).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from liftgeo.parts.curve import Curve
from liftgeo.parts.values import Values


class ReleaseUnit(Protocol):
    """What the chain needs of a release unit. Rotation [rad] and travel [mm] are 0 at rest."""

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation at which the unit can turn no further by its shape [rad]."""

    @property
    def dead_centre(self) -> bool:
        """Whether the last rotation is a dead centre (else the end of a measured table)."""

    def travel_mm(self, rotation_rad: Values) -> Values:
        """Rod travel at a rotation [mm]."""

    def slope_mm_per_rad(self, rotation_rad: Values) -> Values:
        """d(travel)/d(rotation) [mm/rad]."""

    def slope_rate(self, rotation_rad: Values) -> Values:
        """Second derivative of travel over rotation [mm/rad2]."""

    def rotation_rad(self, travel_mm: Values) -> Values:
        """Rotation at a rod travel [rad]; held at the last rotation beyond it."""

    def torque_arm_mm(self, rotation_rad: Values, way: int) -> Values:
        """Torque over rod load [mm]; below zero letting back, the unit holds itself."""

    def torque_arm_rate(self, rotation_rad: Values, way: int) -> Values:
        """d(torque arm)/d(rotation) [mm/rad]."""


def back_factor(efficiency: Values, way: int) -> Values:
    """Return torque over frictionless torque: 1/eta pulling, 2 - 1/eta letting back.

    Equal friction both ways; holds itself at eta <= 1/2.
    """
    return 1 / efficiency if way > 0 else 2 - 1 / efficiency


def torque_nmm(unit: ReleaseUnit, load_n: Values, rotation_rad: Values, way: int) -> Values:
    """Return the unit's torque under a rod load [N mm]."""
    return load_n * unit.torque_arm_mm(rotation_rad, way)


@dataclass(frozen=True, eq=False, repr=False)
class Linear:
    """Shared by the units whose travel is proportional to rotation."""

    @property
    def per_rad_mm(self) -> Values:
        """Travel per radian [mm]."""
        raise NotImplementedError

    @property
    def last_rotation_rad(self) -> Values:
        """Return infinity: the shape sets no end."""
        return np.inf

    @property
    def dead_centre(self) -> bool:
        """Return False: a linear unit has none."""
        return False

    def travel_mm(self, rotation_rad: Values) -> Values:
        """Rod travel [mm]."""
        return self.per_rad_mm * rotation_rad

    def slope_mm_per_rad(self, rotation_rad: Values) -> Values:
        """Travel per radian, the same everywhere [mm/rad]."""
        return self.per_rad_mm + 0.0 * rotation_rad

    def slope_rate(self, rotation_rad: Values) -> Values:
        """Return zero."""
        return 0.0 * (self.per_rad_mm + rotation_rad)

    def rotation_rad(self, travel_mm: Values) -> Values:
        """Rotation at a travel [rad]."""
        return travel_mm / self.per_rad_mm

    def torque_arm_rate(self, rotation_rad: Values, way: int) -> Values:
        """Return zero: the torque arm of a linear unit is constant."""
        return 0.0 * (self.per_rad_mm + rotation_rad)


@dataclass(frozen=True, eq=False, repr=False)
class BallRamp(Linear):
    """Balls between two ramped plates, one of which turns.

    Parameters
    ----------
    pitch_radius_mm : float or array
        Radius of the circle of ball centres [mm].
    ramp_angle_rad, far_ramp_angle_rad : float or array
        Slope of the driven plate's ramps and of the other plate's (0: flat) [rad].
    friction_angle_rad : float or array
        Friction as an angle added to the slope [rad].
    rolling : bool
        False: the balls are seated in the driven plate and slide on the other.

    Notes
    -----
    A ball rolling without slip between two planes moves them apart along the bisector of the
    tangents, y = r theta tan((a1 + a2)/2); a flat far plate gives tan(a/2), not half of tan(a).
    Seated balls: y = r theta tan(a1). Torque R r tan(a +- rho). Source: derived in
    docs/theory.md, "Ball and ramp".
    """

    pitch_radius_mm: Values
    ramp_angle_rad: Values
    far_ramp_angle_rad: Values
    friction_angle_rad: Values = 0.0
    rolling: bool = True

    @property
    def mean_angle_rad(self) -> Values:
        """Slope along which the plates part [rad]."""
        if self.rolling:
            return (self.ramp_angle_rad + self.far_ramp_angle_rad) / 2
        return self.ramp_angle_rad + 0.0 * self.far_ramp_angle_rad

    @property
    def per_rad_mm(self) -> Values:
        """Travel per radian [mm]."""
        return self.pitch_radius_mm * np.tan(self.mean_angle_rad)

    @property
    def friction_to_roll(self) -> Values:
        """Coefficient of friction below which a ball between unequal ramps slides."""
        if not self.rolling:
            return 0.0
        return np.tan(np.abs(self.ramp_angle_rad - self.far_ramp_angle_rad) / 2)

    def torque_arm_mm(self, rotation_rad: Values, way: int) -> Values:
        """Torque over rod load [mm]."""
        angle = self.mean_angle_rad + way * self.friction_angle_rad
        return self.pitch_radius_mm * np.tan(angle) + 0.0 * rotation_rad


@dataclass(frozen=True, eq=False, repr=False)
class QuickThread(Linear):
    """A coarse multi-start thread.

    Notes
    -----
    Power-screw relations with friction f/cos(flank angle) and a collar on its mean diameter.
    Source: Budynas & Nisbett, Shigley's Mechanical Engineering Design, 9th ed., pp. 415-418,
    eqs (8-1) to (8-6).
    """

    lead_mm: Values
    mean_diameter_mm: Values
    flank_angle_rad: Values = 0.0
    friction: Values = 0.0
    collar_diameter_mm: Values = 0.0
    collar_friction: Values = 0.0

    @property
    def per_rad_mm(self) -> Values:
        """Travel per radian [mm]."""
        return self.lead_mm / (2 * np.pi)

    def torque_arm_mm(self, rotation_rad: Values, way: int) -> Values:
        """Torque over rod load, thread and collar [mm]."""
        rubbing = way * self.friction / np.cos(self.flank_angle_rad)
        round_mm = np.pi * self.mean_diameter_mm
        thread = self.mean_diameter_mm / 2 * (self.lead_mm + rubbing * round_mm)
        thread = thread / (round_mm - rubbing * self.lead_mm)
        collar = self.collar_friction * self.collar_diameter_mm / 2
        return thread + way * collar + 0.0 * rotation_rad


@dataclass(frozen=True, eq=False, repr=False)
class Rack(Linear):
    """A pinion on the arm's shaft pulling a toothed rod."""

    pinion_radius_mm: Values
    efficiency: Values = 1.0

    @property
    def per_rad_mm(self) -> Values:
        """Travel per radian [mm]."""
        return self.pinion_radius_mm

    def torque_arm_mm(self, rotation_rad: Values, way: int) -> Values:
        """Torque over rod load [mm]."""
        return self.pinion_radius_mm * back_factor(self.efficiency, way) + 0.0 * rotation_rad


class Shaped:
    """Shared by the units whose torque is load times slope times an efficiency."""

    efficiency: Values

    def slope_mm_per_rad(self, rotation_rad: Values) -> Values:
        """d(travel)/d(rotation) [mm/rad]."""
        raise NotImplementedError

    def slope_rate(self, rotation_rad: Values) -> Values:
        """Second derivative of travel [mm/rad2]."""
        raise NotImplementedError

    def torque_arm_mm(self, rotation_rad: Values, way: int) -> Values:
        """Torque over rod load [mm]."""
        return self.slope_mm_per_rad(rotation_rad) * back_factor(self.efficiency, way)

    def torque_arm_rate(self, rotation_rad: Values, way: int) -> Values:
        """d(torque arm)/d(rotation) [mm/rad]."""
        return self.slope_rate(rotation_rad) * back_factor(self.efficiency, way)


@dataclass(frozen=True, eq=False, repr=False)
class CrankWithSlot(Shaped):
    """A crank pin working in a slot across the rod: y = r (sin(psi) - sin(psi0))."""

    crank_radius_mm: Values
    rest_angle_rad: Values
    efficiency: Values = 1.0

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation to dead centre [rad]."""
        return np.pi / 2 - self.rest_angle_rad

    @property
    def dead_centre(self) -> bool:
        """Return True."""
        return True

    def travel_mm(self, rotation_rad: Values) -> Values:
        """Rod travel [mm]."""
        half = rotation_rad / 2
        return 2 * self.crank_radius_mm * np.cos(self.rest_angle_rad + half) * np.sin(half)

    def slope_mm_per_rad(self, rotation_rad: Values) -> Values:
        """d(travel)/d(rotation) [mm/rad]."""
        return self.crank_radius_mm * np.cos(self.rest_angle_rad + rotation_rad)

    def slope_rate(self, rotation_rad: Values) -> Values:
        """Second derivative of travel [mm/rad2]."""
        return -self.crank_radius_mm * np.sin(self.rest_angle_rad + rotation_rad)

    def rotation_rad(self, travel_mm: Values) -> Values:
        """Rotation at a travel [rad]."""
        sine = np.sin(self.rest_angle_rad) + travel_mm / self.crank_radius_mm
        return np.arcsin(np.clip(sine, -1.0, 1.0)) - self.rest_angle_rad


@dataclass(frozen=True, eq=False, repr=False)
class CrankWithLink(Shaped):
    """A crank and a link to the rod: the slider-crank with offset.

    Notes
    -----
    X(psi) = r sin(psi) - sqrt(L**2 - (r cos(psi) - e)**2), psi counted from the normal to the rod
    line; y = X(psi0 + theta) - X(psi0). Source: R. L. Norton, Design of Machinery, "Slider-crank
    position solution" (from memory); derived in docs/theory.md, "Crank".
    """

    crank_radius_mm: Values
    link_length_mm: Values
    rest_angle_rad: Values
    offset_mm: Values = 0.0
    efficiency: Values = 1.0

    @property
    def dead_centre(self) -> bool:
        """Return True."""
        return True

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation at which crank and link lie in one line [rad]."""
        reach = self.link_length_mm - self.crank_radius_mm
        end = -np.sqrt(np.maximum(reach**2 - self.offset_mm**2, 0.0))
        return np.arctan2(end, self.offset_mm) + np.pi - self.rest_angle_rad

    def _root(self, angle_rad: Values) -> tuple[Values, Values]:
        beside = self.crank_radius_mm * np.cos(angle_rad) - self.offset_mm
        return beside, np.sqrt(np.maximum(self.link_length_mm**2 - beside**2, 0.0))

    def _slider_mm(self, angle_rad: Values) -> Values:
        return self.crank_radius_mm * np.sin(angle_rad) - self._root(angle_rad)[1]

    def travel_mm(self, rotation_rad: Values) -> Values:
        """Rod travel [mm], as differences of products so that small turns lose no digits."""
        start, end = self.rest_angle_rad, self.rest_angle_rad + rotation_rad
        beside0, root0 = self._root(start)
        beside1, root1 = self._root(end)
        half = rotation_rad / 2
        rise = 2 * self.crank_radius_mm * np.cos(start + half) * np.sin(half)
        aside = -2 * self.crank_radius_mm * np.sin(start + half) * np.sin(half)
        return rise + aside * (beside1 + beside0) / (root1 + root0)

    def slope_mm_per_rad(self, rotation_rad: Values) -> Values:
        """d(travel)/d(rotation) [mm/rad]."""
        angle = self.rest_angle_rad + rotation_rad
        beside, root = self._root(angle)
        r = self.crank_radius_mm
        return r * np.cos(angle) - beside * r * np.sin(angle) / root

    def slope_rate(self, rotation_rad: Values) -> Values:
        """Second derivative of travel [mm/rad2]."""
        angle = self.rest_angle_rad + rotation_rad
        beside, root = self._root(angle)
        r = self.crank_radius_mm
        sine, cosine = r * np.sin(angle), r * np.cos(angle)
        return -sine + (sine**2 - beside * cosine) / root + (beside * sine) ** 2 / root**3

    def rotation_rad(self, travel_mm: Values) -> Values:
        """Rotation at a travel [rad]: the crank pin on two circles, in closed form."""
        slider = self._slider_mm(self.rest_angle_rad) + travel_mm
        reach = np.hypot(slider, self.offset_mm)
        r = self.crank_radius_mm
        cosine = (r**2 + reach**2 - self.link_length_mm**2) / (2 * r * reach)
        line = np.arctan2(slider, self.offset_mm)
        return line + np.arccos(np.clip(cosine, -1.0, 1.0)) - self.rest_angle_rad


@dataclass(frozen=True, eq=False, repr=False)
class Eccentric:
    """A round eccentric under a flat follower: y = e (sin(psi) - sin(psi0)).

    Notes
    -----
    Torque R (e cos(psi) +- mu (Rc + e sin(psi))), or R j/eta when an efficiency is given instead
    of a friction. Source: statics of the contact point; derived in docs/theory.md, "Eccentric".
    """

    eccentricity_mm: Values
    rest_angle_rad: Values
    cam_radius_mm: Values = 0.0
    friction: Values = 0.0
    efficiency: Values = 1.0

    def _crank(self) -> CrankWithSlot:
        return CrankWithSlot(self.eccentricity_mm, self.rest_angle_rad, self.efficiency)

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation to the highest point [rad]."""
        return self._crank().last_rotation_rad

    @property
    def dead_centre(self) -> bool:
        """Return True."""
        return True

    def travel_mm(self, rotation_rad: Values) -> Values:
        """Rod travel [mm]."""
        return self._crank().travel_mm(rotation_rad)

    def slope_mm_per_rad(self, rotation_rad: Values) -> Values:
        """d(travel)/d(rotation) [mm/rad]."""
        return self._crank().slope_mm_per_rad(rotation_rad)

    def slope_rate(self, rotation_rad: Values) -> Values:
        """Second derivative of travel [mm/rad2]."""
        return self._crank().slope_rate(rotation_rad)

    def rotation_rad(self, travel_mm: Values) -> Values:
        """Rotation at a travel [rad]."""
        return self._crank().rotation_rad(travel_mm)

    def torque_arm_mm(self, rotation_rad: Values, way: int) -> Values:
        """Torque over rod load [mm]."""
        high = self.eccentricity_mm * np.sin(self.rest_angle_rad + rotation_rad)
        rubbing = way * self.friction * (self.cam_radius_mm + high)
        return self._crank().torque_arm_mm(rotation_rad, way) + rubbing

    def torque_arm_rate(self, rotation_rad: Values, way: int) -> Values:
        """d(torque arm)/d(rotation) [mm/rad]."""
        angle = self.rest_angle_rad + rotation_rad
        rubbing = way * self.friction * self.eccentricity_mm * np.cos(angle)
        return self._crank().torque_arm_rate(rotation_rad, way) + rubbing


@dataclass(frozen=True, eq=False, repr=False)
class MeasuredUnit(Shaped):
    """Measured travel against angle, monotone cubic between the readings.

    Parameters
    ----------
    curve : Curve
        Travel [mm] over rotation [rad], both rising from 0.
    """

    curve: Curve
    efficiency: Values = 1.0

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation at the end of the table [rad]."""
        return self.curve.x[-1]

    @property
    def dead_centre(self) -> bool:
        """Return False: a table ends, it has no dead centre."""
        return False

    def travel_mm(self, rotation_rad: Values) -> Values:
        """Rod travel [mm]."""
        return self.curve.value(rotation_rad)

    def slope_mm_per_rad(self, rotation_rad: Values) -> Values:
        """d(travel)/d(rotation) [mm/rad]."""
        return self.curve.slope(rotation_rad)

    def slope_rate(self, rotation_rad: Values) -> Values:
        """Second derivative of travel [mm/rad2]."""
        return self.curve.curvature(rotation_rad)

    def rotation_rad(self, travel_mm: Values) -> Values:
        """Rotation at a travel [rad]."""
        return self.curve.inverse(travel_mm)
