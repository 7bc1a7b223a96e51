"""Release units: what turns the arm's rotation into rod travel, and the torque it takes.

Every kind answers one question: where it stands at a rotation, or at a rod travel. Torque is
proportional to the rod load in all of them, so a position gives its *torque arm* (torque over
load, in mm), pulling (+1) and letting back (-1).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from liftgeo.parts.cable import PULLING
from liftgeo.parts.curve import Curve
from liftgeo.parts.release_form import UnitAt, back_factor
from liftgeo.parts.values import Values


class Linear:
    """Shared by the units whose travel is proportional to rotation, with a constant torque arm."""

    per_rad_mm: Values
    torque_arms_mm: tuple[Values, Values]

    def _set(self, per_rad_mm: Values, pulling_mm: Values, back_mm: Values) -> None:
        """Keep what every position shares: travel per radian and both torque arms [mm]."""
        object.__setattr__(self, "per_rad_mm", per_rad_mm)
        object.__setattr__(self, "torque_arms_mm", (pulling_mm, back_mm))

    @property
    def last_rotation_rad(self) -> Values:
        """Return infinity: the shape sets no end."""
        return np.inf

    @property
    def dead_centre(self) -> bool:
        """Return False: a linear unit has none."""
        return False

    @property
    def has_bends(self) -> bool:
        """Return False: the law is straight."""
        return False

    @property
    def bends_rad(self) -> Sequence[Values]:
        """Return nothing: the law is smooth."""
        return ()

    @property
    def loss_varies(self) -> bool:
        """Return False: the torque arm is the same everywhere."""
        return False

    @property
    def loss_bends_mm(self) -> tuple[Values, ...]:
        """Return no travel: the loss does not vary."""
        return ()

    def at(self, rotation_rad: Values, way: int = PULLING) -> UnitAt:
        """Return where the unit stands at a rotation [rad]."""
        arm = self.torque_arms_mm[0 if way > 0 else 1]
        return UnitAt(rotation_rad, self.per_rad_mm * rotation_rad, self.per_rad_mm, arm, 0.0)

    def at_travel(self, travel_mm: Values, way: int = PULLING) -> UnitAt:
        """Return where the unit stands at a rod travel [mm]."""
        arm = self.torque_arms_mm[0 if way > 0 else 1]
        return UnitAt(travel_mm / self.per_rad_mm, travel_mm, self.per_rad_mm, arm, 0.0)


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
    per_rad_mm: Values = field(init=False, repr=False)
    torque_arms_mm: tuple[Values, Values] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        angle, loss, radius = self.mean_angle_rad, self.friction_angle_rad, self.pitch_radius_mm
        arms = (radius * np.tan(angle + way * loss) for way in (1, -1))
        self._set(radius * np.tan(angle), *arms)

    @property
    def mean_angle_rad(self) -> Values:
        """Slope along which the plates part [rad]."""
        if self.rolling:
            return (self.ramp_angle_rad + self.far_ramp_angle_rad) / 2
        return self.ramp_angle_rad + 0.0 * self.far_ramp_angle_rad

    @property
    def friction_to_roll(self) -> Values:
        """Coefficient of friction below which a ball between unequal ramps slides."""
        if not self.rolling:
            return 0.0
        return np.tan(np.abs(self.ramp_angle_rad - self.far_ramp_angle_rad) / 2)


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
    per_rad_mm: Values = field(init=False, repr=False)
    torque_arms_mm: tuple[Values, Values] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self._set(self.lead_mm / (2 * np.pi), self._torque_arm_mm(1), self._torque_arm_mm(-1))

    def _torque_arm_mm(self, way: int) -> Values:
        """Torque over rod load, thread and collar [mm]."""
        rubbing = way * self.friction / np.cos(self.flank_angle_rad)
        round_mm = np.pi * self.mean_diameter_mm
        thread = self.mean_diameter_mm / 2 * (self.lead_mm + rubbing * round_mm)
        thread = thread / (round_mm - rubbing * self.lead_mm)
        collar = self.collar_friction * self.collar_diameter_mm / 2
        return thread + way * collar


@dataclass(frozen=True, eq=False, repr=False)
class Rack(Linear):
    """A pinion on the arm's shaft pulling a toothed rod."""

    pinion_radius_mm: Values
    efficiency: Values = 1.0
    per_rad_mm: Values = field(init=False, repr=False)
    torque_arms_mm: tuple[Values, Values] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        arms = (self.pinion_radius_mm * back_factor(self.efficiency, way) for way in (1, -1))
        self._set(self.pinion_radius_mm, *arms)


class Shaped:
    """Shared by the units whose torque is load times slope times an efficiency."""

    efficiency: Values

    @property
    def dead_centre(self) -> bool:
        """Return True: the slope falls to nothing where crank and rod stand in one line."""
        return True

    @property
    def has_bends(self) -> bool:
        """Return False: the law is smooth."""
        return False

    @property
    def bends_rad(self) -> Sequence[Values]:
        """Return nothing: the law is smooth."""
        return ()

    @property
    def loss_varies(self) -> bool:
        """Return False: the efficiency is the same everywhere."""
        return False

    @property
    def loss_bends_mm(self) -> tuple[Values, ...]:
        """Return no travel: a loss that varies does so smoothly."""
        return ()

    def _found(
        self, rotation_rad: Values, travel_mm: Values, slope: Values, bend: Values, way: int
    ) -> UnitAt:
        """Return a position from travel, its slope and that slope's own [mm, mm/rad, mm/rad2]."""
        factor = back_factor(self.efficiency, way)
        return UnitAt(rotation_rad, travel_mm, slope, slope * factor, bend * factor)


class SineLift(Shaped):
    """Shared by the units that lift by the sine of their angle: y = r (sin(psi) - sin(psi0))."""

    rest_angle_rad: Values

    @property
    def throw_mm(self) -> Values:
        """The radius r that turns [mm]."""
        raise NotImplementedError

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation to dead centre [rad]."""
        return np.pi / 2 - self.rest_angle_rad

    def at(self, rotation_rad: Values, way: int = PULLING) -> UnitAt:
        """Return where the unit stands at a rotation [rad]."""
        half = rotation_rad / 2
        travel = 2 * self.throw_mm * np.cos(self.rest_angle_rad + half) * np.sin(half)
        return self._turned(rotation_rad, travel, way)

    def at_travel(self, travel_mm: Values, way: int = PULLING) -> UnitAt:
        """Return where the unit stands at a rod travel [mm]."""
        sine = np.sin(self.rest_angle_rad) + travel_mm / self.throw_mm
        turn = np.arcsin(np.minimum(np.maximum(sine, -1.0), 1.0)) - self.rest_angle_rad
        return self._turned(turn, travel_mm, way)

    def _turned(self, rotation_rad: Values, travel_mm: Values, way: int) -> UnitAt:
        angle, r = self.rest_angle_rad + rotation_rad, self.throw_mm
        return self._found(rotation_rad, travel_mm, r * np.cos(angle), -r * np.sin(angle), way)


@dataclass(frozen=True, eq=False, repr=False)
class CrankWithSlot(SineLift):
    """A crank pin working in a slot across the rod: y = r (sin(psi) - sin(psi0))."""

    crank_radius_mm: Values
    rest_angle_rad: Values
    efficiency: Values = 1.0

    @property
    def throw_mm(self) -> Values:
        """The crank radius [mm]."""
        return self.crank_radius_mm


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
    def last_rotation_rad(self) -> Values:
        """Rotation at which crank and link lie in one line [rad]."""
        reach = self.link_length_mm - self.crank_radius_mm
        end = -np.sqrt(np.maximum(reach**2 - self.offset_mm**2, 0.0))
        return np.arctan2(end, self.offset_mm) + np.pi - self.rest_angle_rad

    def _root(self, angle_rad: Values) -> tuple[Values, Values]:
        beside = self.crank_radius_mm * np.cos(angle_rad) - self.offset_mm
        return beside, np.sqrt(np.maximum(self.link_length_mm**2 - beside**2, 0.0))

    def at(self, rotation_rad: Values, way: int = PULLING) -> UnitAt:
        """Return where the crank stands; the travel is written so that small turns lose nothing."""
        start = self.rest_angle_rad
        beside0, root0 = self._root(start)
        beside1, root1 = self._root(start + rotation_rad)
        r, half = self.crank_radius_mm, rotation_rad / 2
        rise = 2 * r * np.cos(start + half) * np.sin(half)
        aside = -2 * r * np.sin(start + half) * np.sin(half)
        travel = rise + aside * (beside1 + beside0) / (root1 + root0)
        return self._turned(rotation_rad, travel, way)

    def at_travel(self, travel_mm: Values, way: int = PULLING) -> UnitAt:
        """Return where the crank stands at a rod travel: its pin on two circles, in closed form."""
        r, start = self.crank_radius_mm, self.rest_angle_rad
        slider = r * np.sin(start) - self._root(start)[1] + travel_mm
        reach = np.hypot(slider, self.offset_mm)
        cosine = (r**2 + reach**2 - self.link_length_mm**2) / (2 * r * reach)
        line = np.arctan2(slider, self.offset_mm)
        turn = line + np.arccos(np.minimum(np.maximum(cosine, -1.0), 1.0)) - start
        return self._turned(turn, travel_mm, way)

    def _turned(self, rotation_rad: Values, travel_mm: Values, way: int) -> UnitAt:
        angle, r = self.rest_angle_rad + rotation_rad, self.crank_radius_mm
        beside, root = self._root(angle)
        sine, cosine = r * np.sin(angle), r * np.cos(angle)
        slope = cosine - beside * sine / root
        bend = -sine + (sine**2 - beside * cosine) / root + (beside * sine) ** 2 / root**3
        return self._found(rotation_rad, travel_mm, slope, bend, way)


@dataclass(frozen=True, eq=False, repr=False)
class Eccentric(SineLift):
    """A round eccentric under a flat follower: y = e (sin(psi) - sin(psi0)).

    Notes
    -----
    Torque R (e cos(psi) +- mu |Rc + e sin(psi)|), or R j/eta when an efficiency is given instead
    of a friction: the follower rubs at that radius, on whichever side of the axis it touches.
    Source: statics of the contact point; derived in docs/theory.md, "Eccentric".
    """

    eccentricity_mm: Values
    rest_angle_rad: Values
    cam_radius_mm: Values = 0.0
    friction: Values = 0.0
    efficiency: Values = 1.0

    @property
    def throw_mm(self) -> Values:
        """The eccentricity [mm]."""
        return self.eccentricity_mm

    @property
    def loss_varies(self) -> bool:
        """Whether the follower rubs, at a radius that changes as the eccentric turns."""
        return bool(np.any(self.friction))

    @property
    def loss_bends_mm(self) -> tuple[Values, ...]:
        """Rod travel at which the follower touches level with the shaft, where rubbing turns."""
        return (-self.cam_radius_mm - self.eccentricity_mm * np.sin(self.rest_angle_rad),)

    def _found(
        self, rotation_rad: Values, travel_mm: Values, slope: Values, bend: Values, way: int
    ) -> UnitAt:
        found = super()._found(rotation_rad, travel_mm, slope, bend, way)
        rubs, radius = way * self.friction, self.cam_radius_mm - bend
        return found._replace(
            torque_arm_mm=found.torque_arm_mm + rubs * np.abs(radius),
            torque_arm_rate=found.torque_arm_rate + rubs * np.sign(radius) * slope,
        )


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

    def at(self, rotation_rad: Values, way: int = PULLING) -> UnitAt:
        """Return where the unit stands at a rotation [rad]."""
        return self._found(rotation_rad, *self.curve.at(rotation_rad), way)

    def at_travel(self, travel_mm: Values, way: int = PULLING) -> UnitAt:
        """Return where the unit stands at a rod travel [mm]."""
        turn = self.curve.inverse(travel_mm)
        return self._found(turn, travel_mm, *self.curve.at(turn)[1:], way)
