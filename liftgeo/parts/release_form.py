"""The form of a release unit: what every kind of it gives, at one rotation of the arm."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, Protocol

from liftgeo.parts.cable import PULLING
from liftgeo.parts.values import Values


class UnitAt(NamedTuple):
    """A release unit at one position; each of a shape that broadcasts with the others.

    Attributes
    ----------
    rotation_rad, travel_mm : float or array
        Rotation [rad] and rod travel [mm] from rest.
    slope_mm_per_rad : float or array
        d(travel)/d(rotation) [mm/rad].
    torque_arm_mm : float or array
        Torque over rod load [mm]; below zero letting back, the unit holds itself.
    torque_arm_rate : float or array
        d(torque arm)/d(rotation) [mm/rad].
    """

    rotation_rad: Values
    travel_mm: Values
    slope_mm_per_rad: Values
    torque_arm_mm: Values
    torque_arm_rate: Values


class ReleaseUnit(Protocol):
    """What the chain needs of a release unit. Rotation [rad] and travel [mm] are 0 at rest."""

    @property
    def last_rotation_rad(self) -> Values:
        """Rotation at which the unit can turn no further by its shape [rad]."""

    @property
    def dead_centre(self) -> bool:
        """Whether the last rotation is a dead centre (else the end of a measured table)."""

    @property
    def has_bends(self) -> bool:
        """Whether the law bends on the way, so that few samples could miss a jump or a hump."""

    @property
    def bends_rad(self) -> Sequence[Values]:
        """Rotations at which the law bends, in order [rad]."""

    @property
    def loss_varies(self) -> bool:
        """Whether torque over frictionless torque varies with position."""

    @property
    def loss_bends_mm(self) -> tuple[Values, ...]:
        """Rod travels at which a loss that varies begins to, or varies otherwise [mm]."""

    def at(self, rotation_rad: Values, way: int = PULLING) -> UnitAt:
        """Return where the unit stands at a rotation [rad]."""

    def at_travel(self, travel_mm: Values, way: int = PULLING) -> UnitAt:
        """Return where the unit stands at a rod travel [mm]; held at its end beyond it."""


def back_factor(efficiency: Values, way: int) -> Values:
    """Return torque over frictionless torque: 1/eta pulling, 2 - 1/eta letting back.

    Equal friction both ways; holds itself at eta <= 1/2.
    """
    return 1 / efficiency if way > 0 else 2 - 1 / efficiency
