"""The chain from the plates back to the hand: every step explicit, at one stroke coordinate.

The stroke coordinate q runs through five segments joined end to end:

    A  0..1  slack is taken up                (tension 0)
    B  1..2  the cable stretches              (arm still, tension rises to the return torque's)
    C  2..3  the arm turns through the end float (rod force 0)
    D  3..4  the clamp force falls to zero
    E  4..   the faces part, q - 4 = separation [mm]

Any joint may fall on the next one; the formulas do not ask.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from liftgeo.chain.linkage import Parts
from liftgeo.parts.cable import PULLING
from liftgeo.parts.release_form import UnitAt, back_factor
from liftgeo.parts.triangle import LinkAt
from liftgeo.parts.values import Values, counts

SLACK_TAKEN_UP, ARM_MOVES, ROD_LOADS, FACES_PART = 1.0, 2.0, 3.0, 4.0
LEAST_MOMENT_ARM_MM = 1e-9
JOINTS = (0.0, SLACK_TAKEN_UP, ARM_MOVES, ROD_LOADS, FACES_PART)


class Rates(NamedTuple):
    """Derivatives of a position over the stroke coordinate, within its segment."""

    lift: Values
    clamp_force: Values
    spring_load: Values
    rod_force: Values
    rod_travel: Values
    unit_rotation: Values
    unit_torque: Values
    arm_rotation: Values
    arm_pull: Values
    tension: Values
    cable_pull: Values
    lever_angle: Values
    hand_force: Values
    hand_travel: Values


class Position(NamedTuple):
    """Everything at one stroke coordinate, pulling or letting back."""

    at: Values
    lift_mm: Values
    signed_lift_mm: Values
    deflection_mm: Values
    clamp_force_n: Values
    spring_load_n: Values
    rod_force_n: Values
    rod_travel_mm: Values
    unit: UnitAt
    unit_torque_nmm: Values
    return_torque_nmm: Values
    arm: LinkAt
    tension_n: Values
    lever: LinkAt
    hand_tension_n: Values
    hand_force_n: Values
    hand_travel_mm: Values
    rates: Rates | None = None

    @property
    def unit_rotation_rad(self) -> Values:
        """Rotation of the release unit [rad]."""
        return self.unit.rotation_rad

    @property
    def arm_rotation_rad(self) -> Values:
        """Rotation of the arm [rad]."""
        return self.arm.rotation_rad

    @property
    def arm_moment_arm_mm(self) -> Values:
        """Moment arm of the cable at the arm [mm]."""
        return self.arm.moment_arm_mm

    @property
    def cable_pull_mm(self) -> Values:
        """Cable pull at the lever, slack and stretch included [mm]."""
        return self.lever.pull_mm

    @property
    def lever_angle_rad(self) -> Values:
        """Angle of the blade from rest [rad]."""
        return self.lever.rotation_rad

    @property
    def lever_moment_arm_mm(self) -> Values:
        """Moment arm of the cable at the lever [mm]."""
        return self.lever.moment_arm_mm


def _ramp(at: Values, start: float) -> Values:
    """Return the fraction of the segment that begins at `start`, 0 before and 1 after it."""
    return np.minimum(np.maximum(at - start, 0.0), 1.0)


def _signed_lift_mm(parts: Parts, slack_left: Values, float_left: Values) -> Values:
    """Return what slack and float not yet taken up are worth at the plate [mm], below zero.

    Arm and release unit are continued below rest as straight lines.
    """
    short = slack_left * parts.cable.slack_mm * parts.rest_slope
    short = short + float_left * parts.rod.float_mm
    return -short / parts.rod.finger_ratio


def _plates(parts: Parts, at: Values, way: int) -> tuple[Values, ...]:
    """Return lift, deflection, clamp force, spring load and rod force."""
    rest_n, friction = parts.clamp_force_n, parts.spring_friction
    held_n = (1.0 - _ramp(at, ROD_LOADS)) * rest_n * (1 + friction)
    clamp_n = np.minimum(held_n, rest_n)
    lift = parts.faces.cushion_compliance * (rest_n - clamp_n) + np.maximum(at - FACES_PART, 0.0)
    deflection = parts.installed_deflection_mm + lift
    if way > 0:
        spring_n = parts.spring.load_n(deflection) * (1 + friction)
        rod_n = (spring_n - held_n) / parts.rod.finger_ratio
    else:
        spring_n = parts.spring.load_n(deflection) * (1 - friction)
        rod_n = np.maximum(spring_n - clamp_n, 0.0) / parts.rod.finger_ratio
    return lift, deflection, clamp_n, spring_n, rod_n


def _arm_end(
    parts: Parts, travel: Values, rod_n: Values, stretching: Values, way: int
) -> tuple[UnitAt, Values, Values, LinkAt, Values]:
    """Return the unit, its torque, the return torque, the arm and the tension at a rod travel."""
    arm = parts.arm
    unit = parts.release.at_travel(travel, way)
    torque = rod_n * unit.torque_arm_mm
    if way < 0:
        holding = arm.return_torque_nmm + arm.return_rate_nmm_per_rad * unit.rotation_rad
        torque = np.maximum(torque, -holding)
    turned, return_nmm = unit.rotation_rad, arm.return_torque_nmm
    if counts(arm.shaft_compliance_rad_per_nmm):
        turned = turned + arm.shaft_compliance_rad_per_nmm * torque
    link = arm.link.at(turned)
    if counts(arm.return_rate_nmm_per_rad):
        return_nmm = return_nmm + arm.return_rate_nmm_per_rad * turned
    # At its dead centre and beyond it no tension turns the arm: huge, but no division by zero.
    link = link._replace(moment_arm_mm=np.maximum(link.moment_arm_mm, LEAST_MOMENT_ARM_MM))
    tension = stretching * (torque + return_nmm)
    tension = tension * (back_factor(arm.efficiency, way) / link.moment_arm_mm)
    return unit, torque, return_nmm, link, np.maximum(tension, 0.0)  # a cable cannot push


def _lever_end(
    parts: Parts, at: Values, pull: Values, tension: Values, way: int
) -> tuple[LinkAt, Values, Values, Values]:
    """Return the lever, the tension at the hand, hand force and hand travel at a cable pull."""
    lever = parts.lever
    link = lever.link.at_pull(pull)
    hand_tension = np.where(at > 0, parts.cable.hand_tension_n(tension, way), 0.0)
    factor = np.maximum(back_factor(lever.efficiency, way), 0.0) / lever.hand_radius_mm
    hand_n = hand_tension * link.moment_arm_mm * factor
    hand_mm = lever.hand_radius_mm * link.rotation_rad
    if counts(lever.compliance_mm_per_n):
        hand_mm = hand_mm + lever.compliance_mm_per_n * hand_n
    return link, hand_tension, hand_n, hand_mm


def position(parts: Parts, at: Values, way: int = PULLING, *, rates: bool = False) -> Position:
    """Return the whole chain at a stroke coordinate.

    Parameters
    ----------
    parts : Parts
        Numbers of shape () or (N,).
    at : float or array
        Stroke coordinate q, of a shape that broadcasts with the parts', e.g. (M, 1).
    way : {PULLING, BACK}
        Letting back is paired with pulling by plate lift, so both share the coordinate.
    rates : bool
        Also derive everything over q (pulling only).

    Notes
    -----
    Equations and symbols: docs/theory.md, "Chain". The result's fields have the broadcast shape
    or one that broadcasts to it.
    """
    cable, rod = parts.cable, parts.rod
    slack_share, float_share = _ramp(at, 0.0), _ramp(at, ARM_MOVES)
    lift, deflection, clamp_n, spring_n, rod_n = _plates(parts, at, way)
    travel = rod.finger_ratio * lift + rod.compliance_mm_per_n * rod_n
    travel = travel + float_share * rod.float_mm
    unit, torque, return_nmm, arm, tension = _arm_end(
        parts, travel, rod_n, _ramp(at, SLACK_TAKEN_UP), way
    )
    pull = slack_share * cable.slack_mm + arm.pull_mm
    pull = pull + tension * cable.stretch_per_newton(way)
    lever, hand_tension, hand_n, hand_mm = _lever_end(parts, at, pull, tension, way)
    signed = lift + _signed_lift_mm(parts, 1.0 - slack_share, 1.0 - float_share)
    found = Position(
        at=at,
        lift_mm=lift,
        signed_lift_mm=signed,
        deflection_mm=deflection,
        clamp_force_n=clamp_n,
        spring_load_n=spring_n,
        rod_force_n=rod_n,
        rod_travel_mm=travel,
        unit=unit,
        unit_torque_nmm=torque,
        return_torque_nmm=return_nmm,
        arm=arm,
        tension_n=tension,
        lever=lever,
        hand_tension_n=hand_tension,
        hand_force_n=hand_n,
        hand_travel_mm=hand_mm,
    )
    return found._replace(rates=_rates(parts, found)) if rates else found


def _rates(parts: Parts, p: Position) -> Rates:
    """Return the derivatives of a pulling position over its stroke coordinate."""
    cable, arm, lever, unit, rod = parts.cable, parts.arm, parts.lever, p.unit, parts.rod
    at, friction = p.at, parts.spring_friction
    in_a, in_b = at < SLACK_TAKEN_UP, (at >= SLACK_TAKEN_UP) & (at < ARM_MOVES)
    in_c, in_d = (at >= ARM_MOVES) & (at < ROD_LOADS), (at >= ROD_LOADS) & (at < FACES_PART)

    held = in_d * -(parts.clamp_force_n * (1 + friction))
    clamp = held
    if counts(friction):
        turning = in_d & (p.clamp_force_n >= parts.clamp_force_n) & (np.asarray(friction) > 0)
        clamp = np.where(turning, 0.0, held)
    lift = 1.0 * (at >= FACES_PART) - parts.faces.cushion_compliance * clamp
    spring = parts.spring.rate_n_per_mm(p.deflection_mm) * ((1 + friction) * lift)
    force = (spring - held) / rod.finger_ratio

    travel = in_c * rod.float_mm + rod.finger_ratio * lift + rod.compliance_mm_per_n * force
    unit_turn = travel / unit.slope_mm_per_rad
    torque = force * unit.torque_arm_mm + p.rod_force_n * unit.torque_arm_rate * unit_turn
    arm_turn, resisting = unit_turn, torque
    if counts(arm.shaft_compliance_rad_per_nmm):
        arm_turn = arm_turn + arm.shaft_compliance_rad_per_nmm * torque
    if counts(arm.return_rate_nmm_per_rad):
        resisting = torque + arm.return_rate_nmm_per_rad * arm_turn
    arm_mm_turn = p.arm.moment_arm_slope_mm * arm_turn
    per_torque = back_factor(arm.efficiency, PULLING) / p.arm_moment_arm_mm
    loaded = resisting * per_torque - p.tension_n * arm_mm_turn / p.arm_moment_arm_mm
    tension = in_b * p.return_torque_nmm * per_torque + (at >= ARM_MOVES) * loaded
    arm_pull = p.arm_moment_arm_mm * arm_turn
    stretch = cable.stretch_per_newton(PULLING) * tension
    pull = in_a * cable.slack_mm + arm_pull + stretch

    lever_turn = pull / p.lever_moment_arm_mm
    lever_mm_turn = p.lever.moment_arm_slope_mm * lever_turn
    leverage = back_factor(lever.efficiency, PULLING) / lever.hand_radius_mm
    hand = cable.gain(PULLING) * tension * p.lever_moment_arm_mm + p.hand_tension_n * lever_mm_turn
    hand = hand * leverage
    hand_travel = lever.hand_radius_mm * lever_turn
    if counts(lever.compliance_mm_per_n):
        hand_travel = hand_travel + lever.compliance_mm_per_n * hand
    return Rates(
        lift=lift,
        clamp_force=clamp,
        spring_load=spring,
        rod_force=force,
        rod_travel=travel,
        unit_rotation=unit_turn,
        unit_torque=torque,
        arm_rotation=arm_turn,
        arm_pull=arm_pull,
        tension=tension,
        cable_pull=pull,
        lever_angle=lever_turn,
        hand_force=hand,
        hand_travel=hand_travel,
    )
