"""What a drawing is made of, as data: lines, circles, and where the mechanism stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

Points: TypeAlias = NDArray[np.float64]
"""Points [x, y] of shape (K, 2) [mm]."""

Role: TypeAlias = Literal["moving", "fixed", "cable", "plate", "symbol"]
"""What a shape is of: a part that moves, one that stays, wire or casing, a clutch plate, or a sign
that stands for something whose form the file does not give."""


@dataclass(frozen=True)
class Stand:
    """Where a mechanism stands: what each of its parts has turned or moved from rest.

    Attributes
    ----------
    lever_angle_rad, arm_rotation_rad, unit_rotation_rad : float
        Turns of blade, arm and release unit; shaft wind-up lies between the last two [rad].
    lever_pull_mm, arm_pull_mm : float
        Wire drawn in at the lever and at the arm [mm].
    rod_travel_mm, lift_mm, separation_mm : float
        Of the rod, the pressure plate, and the faces of the whole pack [mm].
    deflection_mm : float
        Of the clamping spring from free [mm]. NaN where the file does not give enough.
    """

    lever_angle_rad: float = 0.0
    arm_rotation_rad: float = 0.0
    unit_rotation_rad: float = 0.0
    lever_pull_mm: float = 0.0
    arm_pull_mm: float = 0.0
    rod_travel_mm: float = 0.0
    lift_mm: float = 0.0
    separation_mm: float = 0.0
    deflection_mm: float = 0.0


@dataclass(frozen=True, eq=False)
class Shape:
    """A line through points, or a circle about a point.

    Attributes
    ----------
    name : str
        What it is of: "blade", "cable", "ball" …; one name, one thing, at every position.
    role : {"moving", "fixed", "cable", "plate", "symbol"}
    points : array
        Of shape (K, 2) [mm]; of a circle its centre, shape (1, 2).
    radius_mm : float
        Of a circle [mm]; 0 for a line.
    closed : bool
        Whether the line closes to an area.
    assumed : bool
        Whether its form or place is not in the file: drawn dashed.
    """

    name: str
    role: Role
    points: Points
    radius_mm: float = 0.0
    closed: bool = False
    assumed: bool = False

    @property
    def is_circle(self) -> bool:
        """Whether it is a circle."""
        return self.radius_mm > 0.0

    @property
    def box(self) -> tuple[Points, Points]:
        """The lowest and the highest x and y it reaches [mm]."""
        return self.points.min(axis=0) - self.radius_mm, self.points.max(axis=0) + self.radius_mm


@dataclass(frozen=True, eq=False)
class View:
    """One part of the mechanism at one position, seen from one side.

    Attributes
    ----------
    name : {"lever", "arm", "release", "spring", "fingers", "plates"}
    shapes : tuple of Shape
    points : dict of array
        Named points to label: "pivot", "pin", "stop", "hand" … [mm].
    assumed : tuple of str
        Keys that the drawing needs and the file does not give.
    how : str
        What the view is where it is no plain view: "developed", "readings", "magnified"; else "".
    """

    name: str
    shapes: tuple[Shape, ...]
    points: dict[str, Points] = field(default_factory=dict)
    assumed: tuple[str, ...] = ()
    how: str = ""

    def named(self, name: str) -> Shape:
        """Return the shape of a name."""
        return next(shape for shape in self.shapes if shape.name == name)


@dataclass(frozen=True)
class Gap:
    """The least distance between two things through the stroke [mm], and where the hand is then."""

    what: str
    least_mm: float
    at_hand_travel_mm: float


@dataclass(frozen=True)
class StopAngle:
    """The greatest angle between a cable and the hole of its stop [deg], and where the hand is."""

    what: str
    most_deg: float
    at_hand_travel_mm: float


def line(
    name: str,
    role: Role,
    *points: Sequence[float] | Points,
    closed: bool = False,
    assumed: bool = False,
) -> Shape:
    """Return a line through points."""
    return Shape(name, role, np.array(points, float), closed=closed, assumed=assumed)


def circle(
    name: str,
    role: Role,
    centre: Sequence[float] | Points,
    radius_mm: float,
    *,
    assumed: bool = False,
) -> Shape:
    """Return a circle about a point."""
    return Shape(name, role, np.array([centre], float), float(radius_mm), assumed=assumed)


def box(
    name: str,
    role: Role,
    low: Sequence[float],
    high: Sequence[float],
    *,
    assumed: bool = False,
) -> Shape:
    """Return a rectangle between two corners."""
    (x0, y0), (x1, y1) = low, high
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    return line(name, role, *corners, closed=True, assumed=assumed)


def xy(x: float, y: float) -> Points:
    """Return one point."""
    return np.array([x, y], float)


def towards(angle_rad: float) -> Points:
    """Return the unit vector at an angle from +x."""
    return np.array([np.cos(angle_rad), np.sin(angle_rad)])
