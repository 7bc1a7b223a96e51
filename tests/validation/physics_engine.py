"""A clutch's lever, cable, arm, release unit and rod in a physics engine, brought to rest.

An outside check of the elastic chain. Nothing here comes from liftgeo: a mechanism is told in plain
numbers (plain_mechanism.py), a general-purpose rigid-body engine (MuJoCo) is given its bodies,
wires and springs (engine_bodies.py), the lever is drawn to the wanted position as by hand, and what
the engine comes to rest at (coming_to_rest.py) is read off. Frictionless: friction has no single
position of rest.

Units: mm, N, N·mm, rad. All travels are zero at rest and grow as the lever closes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import mujoco
from coming_to_rest import NotSettledError, Rest, draw_to, find_rest
from engine_bodies import cushion_rate_n_per_mm, model_text
from plain_mechanism import (
    Drum,
    Eccentric,
    LinearUnit,
    LinkCrank,
    Mechanism,
    PinTriangle,
    SlotCrank,
)

__all__ = [
    "Drum",
    "Eccentric",
    "LinearUnit",
    "LinkCrank",
    "Mechanism",
    "NotSettledError",
    "PinTriangle",
    "Settled",
    "SlotCrank",
    "settle",
    "settle_at_hand",
]

_EQUALITY = int(mujoco.mjtConstraint.mjCNSTR_EQUALITY)
_LIMIT = int(mujoco.mjtConstraint.mjCNSTR_LIMIT_JOINT)


@dataclass(frozen=True)
class Settled:
    """Where the engine came to rest.

    Attributes
    ----------
    hand_travel_mm : float
        Blade angle times hand radius [mm].
    lever_angle_rad : float
        Rotation of the part of the lever that carries the pin or drum [rad].
    cable_pull_mm : float
        By how much the wire grew between lever pin and stop, slack and stretch included [mm].
    cable_taken_at_arm_mm : float
        By how much the wire shrank between arm stop and pin [mm].
    arm_rotation_rad, unit_rotation_rad : float
        They differ by the wind-up of the shaft [rad].
    rod_travel_mm : float
        At the release unit [mm].
    plate_lift_mm : float
        Pressure plate from its clamped position, cushion expansion included [mm].
    cable_tension_n, rod_force_n, clamp_force_n : float
        Tension of the wire, pull in the rod, force between the faces [N].
    hand_force_n : float
        At right angles to the hand radius [N]: the reaction of what holds the lever.
    leftover : float
        Largest acceleration and constraint error left, in mm or rad; see coming_to_rest.py.
    """

    hand_travel_mm: float
    lever_angle_rad: float
    cable_pull_mm: float
    cable_taken_at_arm_mm: float
    arm_rotation_rad: float
    unit_rotation_rad: float
    rod_travel_mm: float
    plate_lift_mm: float
    cable_tension_n: float
    rod_force_n: float
    clamp_force_n: float
    hand_force_n: float
    leftover: float


def settle(mechanism: Mechanism, lever_angle_rad: float) -> Settled:
    """Hold the lever at an angle [rad] and let all else come to rest.

    Raises
    ------
    ValueError
        The lever has a flexible blade: what the hand holds is then not the lever's angle.
    NotSettledError
        The engine found no rest.
    """
    if mechanism.blade_stiffness_n_per_mm is not None:
        raise ValueError("A flexible blade is held at the hand: use settle_at_hand.")
    return _Engine(mechanism, "lever").settle(lever_angle_rad)


def settle_at_hand(mechanism: Mechanism, hand_travel_mm: float) -> Settled:
    """Hold the blade where the hand has travelled so far [mm] and let all else come to rest.

    Raises
    ------
    NotSettledError
        The engine found no rest.
    """
    return _Engine(mechanism, "blade").settle(hand_travel_mm / mechanism.hand_radius_mm)


class _Engine:
    """The engine with one mechanism loaded."""

    def __init__(self, mechanism: Mechanism, held: str) -> None:
        self.mechanism = mechanism
        self.model = mujoco.MjModel.from_xml_string(model_text(mechanism, held))
        self.data = mujoco.MjData(self.model)
        mujoco.mj_forward(self.model, self.data)
        self.at_rest = {name: self._length(name) for name in ("cable", "at_lever", "at_arm")}
        slack_until = self.at_rest["cable"] + mechanism.cable_slack_mm
        self.model.tendon_lengthspring[self.model.tendon("cable").id] = (0, slack_until)
        self.data.qfrc_applied[self._joint("arm")] = -mechanism.arm_return_torque_nmm
        self.data.qfrc_applied[self._joint("plate")] = -mechanism.spring_preload_n

    def settle(self, held_angle_rad: float) -> Settled:
        """Draw the held joint to an angle [rad], wait for rest, read everything off."""
        hold = self.model.equality("hold").id
        draw_to(self.model, self.data, hold, held_angle_rad)
        rest = find_rest(self.model, self.data)
        m = self.mechanism
        turned = {name: self._place(name) for name in ("blade", "lever", "arm", "unit")}
        torque = rest.reaction[_EQUALITY, hold]
        return Settled(
            hand_travel_mm=m.hand_radius_mm * turned["blade"],
            lever_angle_rad=turned["lever"],
            cable_pull_mm=self._length("at_lever") - self.at_rest["at_lever"],
            cable_taken_at_arm_mm=self.at_rest["at_arm"] - self._length("at_arm"),
            arm_rotation_rad=turned["arm"],
            unit_rotation_rad=turned["unit"],
            rod_travel_mm=self._unit_travel(),
            plate_lift_mm=self._place("plate"),
            cable_tension_n=self._pull("cable"),
            rod_force_n=self._pull("rod"),
            clamp_force_n=self._clamp_force(rest),
            hand_force_n=torque / m.hand_radius_mm,
            leftover=rest.leftover,
        )

    def _joint(self, name: str) -> int:
        return int(self.model.joint(name).dofadr[0])

    def _place(self, joint: str) -> float:
        return float(self.data.qpos[self._joint(joint)])

    def _length(self, tendon: str) -> float:
        return float(self.data.ten_length[self.model.tendon(tendon).id])

    def _pull(self, tendon: str) -> float:
        """Return the force [N] of a spring that only pulls, by the engine's own length of it."""
        number = self.model.tendon(tendon).id
        stretch = self._length(tendon) - self.model.tendon_lengthspring[number, 1]
        return float(self.model.tendon_stiffness[number] * max(0.0, stretch))

    def _unit_travel(self) -> float:
        """Return what the release unit offers the rod [mm], whether the rod takes it up or not."""
        unit = self.mechanism.unit
        if isinstance(unit, LinearUnit):
            return unit.lead_mm_per_rad * self._place("unit")
        if isinstance(unit, Eccentric):
            # A follower without load need not lie on the cam: go by the cam.
            now = self.data.geom("disc").xpos[0]
            return float(now - unit.eccentricity_mm * math.sin(unit.rest_angle_rad))
        return self._place("rod_end")

    def _clamp_force(self, rest: Rest) -> float:
        if not cushion_rate_n_per_mm(self.mechanism):
            return rest.reaction[_LIMIT, self.model.joint("plate").id]
        number = self.model.tendon("cushion").id
        pressed = self.model.tendon_lengthspring[number, 0] - self._length("cushion")
        return float(self.model.tendon_stiffness[number] * max(0.0, pressed))
