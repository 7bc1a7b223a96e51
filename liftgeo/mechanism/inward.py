"""A mechanism's keys turned inward: each part worked out once, when first asked for."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from liftgeo.cached import cached_property
from liftgeo.chain import ARM_MOVES, ROD_LOADS, Arm, Lever, Parts
from liftgeo.mechanism import convert, grip
from liftgeo.mechanism.convert import Sides
from liftgeo.mechanism.following import followed
from liftgeo.mechanism.key_facts import number
from liftgeo.parts.bearing import Bearing
from liftgeo.parts.release_form import ReleaseUnit
from liftgeo.parts.spring import Spring
from liftgeo.parts.values import Values


class Inward(Mapping[str, Any]):
    """The flat keys of one mechanism or many, and the parts they make in mm, N, rad and N mm.

    Parameters
    ----------
    keys : mapping
        Flat keys in the file's bare units: numbers or arrays of shape (N,), points and readings
        of shape (2,), (K,), (N, 2) or (N, K), and words. Not changed afterwards.
    carried_cushion_load_n : float or array, optional
        Cushion load of the unchanged file, where the file gives none [N].
    taken : collection of str
        Keys that were left out and are taken at usual values.
    """

    def __init__(
        self,
        keys: Mapping[str, Any],
        carried_cushion_load_n: Values = None,
        taken: Collection[str] = (),
    ) -> None:
        self._keys = followed(keys)
        self.taken = frozenset(taken)
        self._carried_cushion_load_n = carried_cushion_load_n

    def __getitem__(self, dotted: str) -> Any:
        return self._keys[dotted]

    def __iter__(self) -> Iterator[str]:
        return iter(self._keys)

    def __len__(self) -> int:
        return len(self._keys)

    @cached_property
    def lever_sides(self) -> Sides | None:
        """The lever's triangle; None where it is a drum or measured."""
        return self._sides("lever")

    @cached_property
    def arm_sides(self) -> Sides | None:
        """The arm's triangle; None where it is a drum or measured."""
        return self._sides("arm")

    def _sides(self, table: str) -> Sides | None:
        pin = self._keys.get(f"{table}.kind", "pin") == "pin"
        return convert.sides(self._keys, table) if pin else None

    def sides(self, table: str) -> Sides:
        """Return the triangle of a lever or arm that has one."""
        found = self.lever_sides if table == "lever" else self.arm_sides
        if found is None:
            raise ValueError(f"{table} has no triangle")
        return found

    @cached_property
    def grip_angle_rad(self) -> Values | None:
        """The blade's angle where its shape meets the grip [rad]; None where travel is given."""
        return grip.grip_angle_rad(self._keys) if grip.travel_from_shapes(self._keys) else None

    @cached_property
    def lever(self) -> Lever:
        """The hand lever."""
        return convert.lever(self._keys, self.lever_sides, self.grip_angle_rad)

    @cached_property
    def arm(self) -> Arm:
        """The arm on the casing; without its spring where no load at all is known."""
        arm = convert.arm(self._keys, self.arm_sides)
        if "spring.kind" in self._keys and "release.kind" in self._keys:
            return arm
        return replace(arm, return_torque_nmm=0.0, return_rate_nmm_per_rad=0.0)

    @cached_property
    def release(self) -> ReleaseUnit:
        """The release unit."""
        return convert.release_unit(self._keys)

    @cached_property
    def spring(self) -> Spring:
        """The clamping spring."""
        return convert.spring(self._keys)

    @cached_property
    def installed_deflection_mm(self) -> Values:
        """How far the spring is pressed at rest [mm]."""
        return convert.installed_deflection_mm(self._keys, self.spring)

    @cached_property
    def clamp_force_n(self) -> Values:
        """Clamp force at rest [N]."""
        return self.spring.load_n(self.installed_deflection_mm)

    @cached_property
    def bearing(self) -> Bearing | None:
        """The release bearing; None where the file has none."""
        return convert.bearing(self._keys)

    @cached_property
    def parts(self) -> Parts:
        """All parts, joined."""
        with np.errstate(all="ignore"):
            unit = self.release
            allowed = np.radians(number(self._keys, "release.max_rotation", np.inf))
            if not unit.dead_centre:
                allowed = np.minimum(allowed, unit.last_rotation_rad)
            found = Parts(
                self.lever,
                convert.cable(self._keys),
                self.arm,
                unit,
                allowed,
                convert.rod(self._keys),
                self.spring,
                self.installed_deflection_mm,
                number(self._keys, "spring.friction"),
                convert.faces(self._keys, self.clamp_force_n, self._carried_cushion_load_n),
            )
            reading = convert.play_at_hand(self._keys)
            if not reading:
                return found
            joint = ARM_MOVES if reading == "cable.free_play_at_hand" else ROD_LOADS
            slack = convert.slack_at_hand_mm(found, self._keys[reading], joint)
            return replace(found, cable=replace(found.cable, slack_mm=np.maximum(slack, 0.0)))
