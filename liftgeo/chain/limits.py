"""What ends a stroke: the limits of a mechanism, and the room left to each at a position."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from liftgeo.chain.linkage import Parts
from liftgeo.chain.positions import Position, Rates
from liftgeo.parts.values import Values


def limit_names(parts: Parts) -> tuple[str, ...]:
    """Return what each limit is called, in the order of `limits`."""
    lever_end = "dead-centre" if parts.lever.link.dead_centre else "table-end"
    arm_end = "dead-centre" if parts.arm.link.dead_centre else "arm-stop"
    unit_end = "dead-centre" if parts.release.dead_centre else "track-end"
    spring_end = parts.spring.end_name
    return ("grip", "track-end", "arm-stop", spring_end, lever_end, arm_end, unit_end)


@dataclass(frozen=True, eq=False, repr=False)
class Limits:
    """What each limit allows, in the order of `limit_names`; infinity where it never holds."""

    hand_travel_mm: Values
    unit_rotation_rad: Values
    arm_rotation_rad: Values
    deflection_mm: Values
    cable_pull_mm: Values
    arm_dead_centre_rad: Values
    rod_travel_mm: Values

    def room(self, p: Position, shape: tuple[int, ...]) -> Values:
        """Return the room left to each limit, below zero past it, of shape (7, *shape)."""
        room = np.empty((7, *shape))
        room[0] = self.hand_travel_mm - p.hand_travel_mm
        room[1] = self.unit_rotation_rad - p.unit_rotation_rad
        room[2] = self.arm_rotation_rad - p.arm_rotation_rad
        room[3] = self.deflection_mm - p.deflection_mm
        room[4] = self.cable_pull_mm - p.cable_pull_mm
        room[5] = self.arm_dead_centre_rad - p.arm_rotation_rad
        room[6] = self.rod_travel_mm - p.rod_travel_mm
        return room


def limits(parts: Parts) -> Limits:
    """Return what each limit of the mechanism allows."""
    lever, arm, unit = parts.lever.link, parts.arm.link, parts.release
    endless = isinstance(lever.last_rotation_rad, float) and np.isinf(lever.last_rotation_rad)
    pull = np.inf if endless else lever.at(lever.last_rotation_rad).pull_mm
    travel: Values = np.inf
    if unit.dead_centre:
        travel = unit.at(unit.last_rotation_rad).travel_mm
    return Limits(
        parts.lever.hand_travel_mm,
        parts.release_max_rotation_rad,
        parts.arm.max_rotation_rad,
        parts.spring.last_deflection_mm,
        pull,
        arm.last_rotation_rad if arm.dead_centre else np.inf,
        travel,
    )


def closing_speed(rates: Rates, shape: tuple[int, ...]) -> Values:
    """Return how fast each limit comes nearer, of shape (7, *shape)."""
    speed = np.empty((7, *shape))
    speed[0] = rates.hand_travel
    speed[1] = rates.unit_rotation
    speed[2] = speed[5] = rates.arm_rotation
    speed[3] = rates.lift
    speed[4] = rates.cable_pull
    speed[6] = rates.rod_travel
    return speed
