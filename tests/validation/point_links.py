"""Levers, arms and release units as points on circles, built from one table of a file.

Source: derived here from geometry and statics alone; no published numbers. Part of the second
method in point_equilibrium.py, where its use and its limits are described. mm, N, rad, N·mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.interpolate import PchipInterpolator

Table = Mapping[str, Any]
Vector = tuple[float, float]


class BeyondThisCheckError(ValueError):
    """The file asks for something that this second method does not cover."""


# ---------------------------------------------------------------- reading the file


class Keys:
    """One table of the file; every key that is not asked for is refused at the end."""

    def __init__(self, file: Table, name: str) -> None:
        self.name, self.left = name, dict(file.get(name, {}))

    def __call__(self, key: str, default: Any = None) -> Any:
        value = self.left.pop(key, default)
        if isinstance(value, str) and key not in {"kind", "action", "balls", "running"}:
            raise BeyondThisCheckError(f"{self.name}.{key}: bare numbers only, not {value!r}")
        return value

    def has(self, key: str) -> bool:
        return key in self.left

    def compliance(self, key: str) -> float:
        """Deflection per load [mm/N, or rad per N·m for a shaft]; 0 where no stiffness is given."""
        stiffness = self(key)
        return 0.0 if stiffness is None else 1.0 / stiffness

    def finish(self, ignored: Iterable[str] = ()) -> None:
        unknown = set(self.left) - set(ignored)
        if unknown:
            raise BeyondThisCheckError(f"{self.name}: not covered: {', '.join(sorted(unknown))}")


# ---------------------------------------------------------------- points and bodies


def _cross(a: Vector, b: Vector) -> float:
    return a[0] * b[1] - a[1] * b[0]


def _minus(a: Vector, b: Vector) -> Vector:
    return (a[0] - b[0], a[1] - b[1])


def _rotated(a: Vector, angle_rad: float) -> Vector:
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    return (a[0] * c - a[1] * s, a[0] * s + a[1] * c)


def turned(start: Vector, now: Vector) -> float:
    """Angle from one direction to another [rad], counter-clockwise, from cross and dot."""
    return math.atan2(_cross(start, now), start[0] * now[0] + start[1] * now[1])


@dataclass(frozen=True)
class CablePin:
    """A body on a pivot (the origin) with a cable pin; the fixed cable stop may lie out of plane.

    `sense` is +1 where pulling turns the body counter-clockwise, -1 clockwise.
    """

    rest: Vector
    stop: Vector
    out_of_plane_mm: float
    sense: int
    lengthens: bool  # the lever draws pin and stop apart; the arm lets them come together

    @property
    def radius_mm(self) -> float:
        return math.hypot(*self.rest)

    def length_mm(self, pin: Vector) -> float:
        return math.hypot(*_minus(self.stop, pin), self.out_of_plane_mm)

    def pull_mm(self, pin: Vector) -> float:
        change = self.length_mm(pin) - self.length_mm(self.rest)
        return change if self.lengthens else -change

    def moment_arm_mm(self, pin: Vector) -> float:
        """Moment of a unit cable force about the pivot, against (lever) or with (arm) the pull."""
        moment = _cross(pin, _minus(self.stop, pin)) / self.length_mm(pin)
        return moment * self.sense * (-1 if self.lengthens else 1)

    def angle_rad(self, pin: Vector) -> float:
        return self.sense * turned(self.rest, pin)

    def cable_angle_deg(self, pin: Vector) -> float:
        """Angle at the pin between the lines to the pivot and to the stop, in space."""
        to_stop = _minus(self.stop, pin)
        along = -(pin[0] * to_stop[0] + pin[1] * to_stop[1])
        across = math.hypot(_cross(pin, to_stop), math.hypot(*pin) * self.out_of_plane_mm)
        return math.degrees(math.atan2(across, along))


@dataclass(frozen=True)
class CableCurve:
    """A body whose cable pull is a function of its angle: a drum, or a measured curve."""

    radius_mm: float  # of the point followed; any positive number for a measured curve
    pull_of_angle: Callable[[float], float]
    slope_of_angle: Callable[[float], float]
    last_rad: float  # end of the measured curve

    @property
    def rest(self) -> Vector:
        return (self.radius_mm, 0.0)

    def pull_mm(self, point: Vector) -> float:
        return self.pull_of_angle(self.angle_rad(point))

    def moment_arm_mm(self, point: Vector) -> float:
        return self.slope_of_angle(self.angle_rad(point))

    def angle_rad(self, point: Vector) -> float:
        return turned(self.rest, point)

    def cable_angle_deg(self, point: Vector) -> float:
        return 90.0 if math.isinf(self.last_rad) else math.nan


Body = CablePin | CableCurve


def _measured(
    angle_rad: np.ndarray, values: Iterable[float]
) -> tuple[Callable[[float], float], Callable[[float], float], float]:
    """Monotone cubic, its slope, its value at rest; end pieces go on, results stop at the end."""
    curve = PchipInterpolator(angle_rad, list(values), extrapolate=True)
    slope = curve.derivative()
    return (lambda a: float(curve(a))), (lambda a: float(slope(a))), float(curve(0.0))


def body_of(keys: Keys, radius_key: str, lengthens: bool) -> Body:
    """The lever (pulling lengthens pin to stop) or the arm that the file's table describes."""
    kind, offset = keys("kind", "pin"), keys("axial_offset", 0.0)
    if kind == "drum":
        radius = keys("drum_radius")
        return CableCurve(radius, lambda a: radius * a, lambda a: radius, math.inf)
    if kind == "profile":
        angle, pull = np.radians(keys("angle")), np.asarray(keys("pull"), float)
        curve, slope, start = _measured(angle, pull)
        return CableCurve(1.0, lambda a: curve(a) - start, slope, float(angle[-1]))
    if keys.has("points"):
        points = keys("points")
        shift = (keys("pivot_shift_x", 0.0), keys("pivot_shift_y", 0.0)) if lengthens else (0, 0)
        pivot, pin, stop = (tuple(map(float, points[k])) for k in ("pivot", "pin", "stop"))
        pivot = _shifted(pivot, pin, stop, shift)
        if "hand" in points:
            keys.left["hand_radius"] = math.dist(points["hand"], pivot)
        pin, stop = _minus(pin, pivot), _minus(stop, pivot)
    else:
        radius, distance = keys(radius_key), keys("stop_distance")
        to_stop = math.hypot(distance, offset)
        if keys.has("cable_angle"):
            delta = math.radians(keys("cable_angle"))
            across = radius * math.sin(delta)
            length = radius * math.cos(delta) + math.sqrt(to_stop**2 - across**2)
        else:
            length = keys("rest_length")
        # The pin lies on two circles: about the pivot, and about the stop.
        along = (radius**2 + to_stop**2 - length**2) / (2 * distance)
        pin, stop = (along, math.sqrt(radius**2 - along**2)), (distance, 0.0)
        if lengthens and keys.has("hand_angle"):
            pin, stop = _shifted_by_hand_angle(keys, pin, stop)
    moment = _cross(pin, _minus(stop, pin))
    sense = (1 if moment > 0 else -1) * (-1 if lengthens else 1)
    return CablePin(pin, stop, offset, sense, lengthens)


def _shifted(pivot: Vector, pin: Vector, stop: Vector, shift: tuple[float, float]) -> Vector:
    """Pivot moved in the frame +x to the cable stop, +y to the pin's side; the rest stays."""
    to_stop = _minus(stop, pivot)
    size = math.hypot(*to_stop)
    ex = (to_stop[0] / size, to_stop[1] / size)
    side = 1 if _cross(ex, _minus(pin, pivot)) >= 0 else -1
    ey = (-side * ex[1], side * ex[0])
    return (
        pivot[0] + shift[0] * ex[0] + shift[1] * ey[0],
        pivot[1] + shift[0] * ex[1] + shift[1] * ey[1],
    )


def _shifted_by_hand_angle(keys: Keys, pin: Vector, stop: Vector) -> tuple[Vector, Vector]:
    direction = _rotated(pin, math.radians(keys("hand_angle")))
    scale = keys("hand_radius") / math.hypot(*direction)
    hand = (direction[0] * scale, direction[1] * scale)
    pivot = (keys("pivot_shift_x", 0.0), keys("pivot_shift_y", 0.0))
    keys.left["hand_radius"] = math.dist(hand, pivot)
    return _minus(pin, pivot), _minus(stop, pivot)


# ---------------------------------------------------------------- release units


@dataclass(frozen=True)
class Unit:
    """A release unit seen as a point on a circle that turns with the unit's shaft.

    `travel_gap_mm(point, y)` is zero where the rod travel y belongs to the point;
    `torque_nmm(point, y, load, way)` is the torque that moves or just holds the rod load.
    """

    rest: Vector
    sense: int
    travel_gap_mm: Callable[[Vector, float], float]
    torque_nmm: Callable[[Vector, float, float, int], float]
    last_rad: float = math.inf  # end of a measured curve

    def angle_rad(self, point: Vector) -> float:
        return self.sense * turned(self.rest, point)


def loss_factor(efficiency: float, way: int) -> float:
    """Torque or force needed over the loss-free one; the same friction both ways."""
    return 1 / efficiency if way > 0 else 2 - 1 / efficiency


def _wedge(
    rest: Vector, radius_mm: float, slope: Vector, loss_rad: float, collar_mm: float
) -> Unit:
    """A ramp or thread unrolled: the plate slides along `slope` (around, along the axis).

    The force across the wedge leans from the normal by the loss angle, against the motion.
    """
    size = math.hypot(*slope)
    tangent = (slope[0] / size, slope[1] / size)

    def gap(point: Vector, y: float) -> float:
        around = radius_mm * turned(rest, point)
        return _cross(tangent, (around, y)) / tangent[0]

    def torque(point: Vector, y: float, load: float, way: int) -> float:
        normal = (tangent[1], -tangent[0])  # from the rod's side into the driven plate
        force = _rotated(normal, way * loss_rad)
        return radius_mm * load * force[0] / -force[1] + way * load * collar_mm

    return Unit(rest, 1, gap, torque)


def _ball_ramp(keys: Keys) -> Unit:
    radius, first = keys("pitch_radius"), math.radians(keys("ramp_angle"))
    second = math.radians(keys("far_ramp_angle", math.degrees(first)))
    loss, balls = math.radians(keys("friction_angle", 0.0)), keys("balls", "rolling")
    # A rolling ball covers the same way on both ramps: the plates part along the sum of the
    # unit vectors along the two ramps. A seated ball only slides along the first.
    slope = (math.cos(first), math.sin(first))
    if balls == "rolling":
        slope = (slope[0] + math.cos(second), slope[1] + math.sin(second))
    return _wedge((radius, 0.0), radius, slope, loss, 0.0)


def _quick_thread(keys: Keys) -> Unit:
    radius, lead = keys("mean_diameter") / 2, keys("lead")
    # The flank leans: more normal force, hence more friction, for the same axial load.
    loss = math.atan(keys("friction", 0.0) / math.cos(math.radians(keys("flank_angle", 0.0))))
    collar = keys("collar_friction", 0.0) * (keys("collar_diameter", 0.0) / 2)
    return _wedge((radius, 0.0), radius, (2 * math.pi * radius, lead), loss, collar)


def _rack(keys: Keys) -> Unit:
    radius, efficiency = keys("pinion_radius"), keys("efficiency", 1.0)
    return Unit(
        (0.0, radius),
        -1,
        lambda p, y: y - radius * -turned((0.0, radius), p),
        lambda p, y, load, way: _cross((0.0, radius), (-load, 0.0)) * loss_factor(efficiency, way),
    )


def _crank(keys: Keys) -> Unit:
    """Crank pin; x along the rod, the crank's rest angle counted from the normal to it."""
    radius, link, offset = keys("crank_radius"), keys("link_length"), keys("offset", 0.0)
    angle, efficiency = math.radians(keys("rest_angle")), keys("efficiency", 1.0)
    rest = (radius * math.sin(angle), radius * math.cos(angle))
    if link is None:

        def slot_torque(pin: Vector, y: float, load: float, way: int) -> float:
            return _cross(pin, (-load, 0.0)) * loss_factor(efficiency, way)

        return Unit(rest, -1, lambda pin, y: y - (pin[0] - rest[0]), slot_torque)
    rest_end = (rest[0] - math.sqrt(link**2 - (rest[1] - offset) ** 2), offset)

    def gap(pin: Vector, y: float) -> float:
        return math.dist(pin, (rest_end[0] + y, offset)) - link

    def torque(pin: Vector, y: float, load: float, way: int) -> float:
        along = _minus((rest_end[0] + y, offset), pin)
        force = (-load, -load * along[1] / along[0])  # along the link, load along the rod
        return _cross(pin, force) * loss_factor(efficiency, way)

    return Unit(rest, -1, gap, torque)


def _eccentric(keys: Keys) -> Unit:
    """Centre of a round cam under a flat follower; friction acts where they touch."""
    size, angle = keys("eccentricity"), math.radians(keys("rest_angle"))
    cam, friction = keys("cam_radius", 0.0), keys("friction")
    efficiency = keys("efficiency", 1.0)
    rest = (size * math.cos(angle), size * math.sin(angle))

    def torque(centre: Vector, y: float, load: float, way: int) -> float:
        contact = (centre[0], centre[1] + cam)
        if friction is None:
            return -_cross(contact, (0.0, -load)) * loss_factor(efficiency, way)
        slides = way * math.copysign(1.0, contact[1])  # the way the cam runs where they touch
        return -_cross(contact, (slides * friction * load, -load))

    return Unit(rest, 1, lambda centre, y: y - (centre[1] - rest[1]), torque)


def _profile(keys: Keys) -> Unit:
    angle, efficiency = np.radians(keys("angle")), keys("efficiency", 1.0)
    curve, slope, start = _measured(angle, keys("travel"))
    rest = (1.0, 0.0)

    def torque(point: Vector, y: float, load: float, way: int) -> float:
        return load * slope(turned(rest, point)) * loss_factor(efficiency, way)

    return Unit(rest, 1, lambda p, y: y - (curve(turned(rest, p)) - start), torque, angle[-1])


_UNITS: dict[str, Callable[[Keys], Unit]] = {
    "ball-ramp": _ball_ramp,
    "quick-thread": _quick_thread,
    "rack": _rack,
    "crank": _crank,
    "eccentric": _eccentric,
    "profile": _profile,
}


def unit_of(keys: Keys) -> Unit:
    """The release unit that the file's table describes."""
    return _UNITS[keys("kind")](keys)
