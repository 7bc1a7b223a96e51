"""What the chain says of readings from the bench: the same positions, looked at where one reads."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from liftgeo.chain import ARM_MOVES, SLACK_TAKEN_UP, Position, position
from liftgeo.chain.at_hand import places
from liftgeo.mechanism.bench import ARM_HELD, AS_FITTED, LETTING_BACK, Reading
from liftgeo.outcome.outcome import Outcome
from liftgeo.parts.cable import BACK, PULLING
from liftgeo.parts.root import bracketed_root
from liftgeo.parts.values import Values

Array = NDArray[np.float64]

_PLACE_NAMES = {
    "hand_travel": "hand_travel_mm",
    "lever_angle": "lever_angle_rad",
    "arm_rotation": "arm_rotation_rad",
}
_ENOUGH_TENSION = 4.0
"""How far beyond the greatest wanted hand force the held arm resists, as a factor."""

_AT_REST: Mapping[str, Callable[[Outcome], Values]] = {
    "take_up": lambda o: o.clutch_end.take_up_mm,
    "clamp_force": lambda o: o.parts.clamp_force_n,
}


def _separation(outcome: Outcome, p: Position) -> Values:
    """Return the separation, signed where the faces do not part."""
    return p.signed_lift_mm - outcome.parts.cushion_mm


_AT: Mapping[str, Callable[[Outcome, Position], Values]] = {
    "separation": _separation,
    "plate_lift": lambda o, p: p.lift_mm,
    "hand_force": lambda o, p: p.hand_force_n,
    "hand_travel": lambda o, p: p.hand_travel_mm,
    "rod_travel": lambda o, p: p.rod_travel_mm,
    "cable_pull": lambda o, p: p.cable_pull_mm,
    "arm_rotation": lambda o, p: np.degrees(p.arm_rotation_rad),
    "rod_force": lambda o, p: p.rod_force_n,
    "cable_tension": lambda o, p: p.tension_n,
}


def predicted(readings: Sequence[Reading]) -> Callable[[Outcome], Array]:
    """Return what works out readings of an outcome: values of shape (readings, *shape).

    Parameters
    ----------
    readings : sequence of Reading
        Separation is signed: below zero where the faces do not part by so much.

    Notes
    -----
    A reading at a place on the stroke stands where the travel has first come so far; one beyond the
    end of a stroke is taken at its end. With the cable off the arm's rotation is the place: what
    lies between arm and plates does not know the cable. With the arm held the chain is that of an
    arm whose return torque never gives way. Units are bare. Source: docs/theory.md, "From the
    bench".
    """

    def of(outcome: Outcome) -> Array:
        found = np.empty((len(readings), *outcome.shape))
        for key, rows in _grouped(readings).items():
            place, direction, condition = key
            some = [readings[k] for k in rows]
            if place == "rest":
                for k in rows:
                    found[k] = _AT_REST[readings[k].quantity](outcome)
                continue
            if condition == ARM_HELD:
                p: Position = _arm_held(outcome, [float(r.at or 0.0) for r in some])
            else:
                p = _met(outcome, place, direction, some)
            for row, k in enumerate(rows):
                value = _AT[readings[k].quantity](outcome, p)
                found[k] = np.broadcast_to(value, (len(rows), *outcome.shape))[row]
        return found

    return of


def _grouped(readings: Sequence[Reading]) -> dict[tuple[str, str, str], list[int]]:
    """Return readings that are met at the same kind of place, by their numbers."""
    groups: dict[tuple[str, str, str], list[int]] = {}
    for k, reading in enumerate(readings):
        if reading.quantity in _AT_REST:
            key = ("rest", "", "")
        elif reading.at is None:
            key = ("full", reading.direction, AS_FITTED)
        else:
            key = (reading.place, reading.direction, reading.condition)
        groups.setdefault(key, []).append(k)
    return groups


def _met(outcome: Outcome, place: str, direction: str, some: Sequence[Reading]) -> Position:
    """Return the positions at which readings are taken, of shape (readings, *shape)."""
    back = direction == LETTING_BACK
    if place == "full":
        return outcome.back if back else outcome.full
    levels = np.array([r.at for r in some], float)
    if place != "hand_travel":
        levels = np.radians(levels)
    way = BACK if back else PULLING
    at = places(outcome.parts, outcome.end, outcome.shape, _PLACE_NAMES[place], levels, way)
    return position(outcome.parts, at, BACK) if back else outcome.pulled_to(at)


def _arm_held(outcome: Outcome, forces_n: Sequence[float]) -> Position:
    """Return where the lever stands under hand forces while the arm is held fast."""
    parts, shape = outcome.parts, outcome.shape
    wanted = np.array(forces_n).reshape((-1,) + (1,) * len(shape))
    lever, arm = parts.lever, parts.arm
    leverage = lever.hand_radius_mm / np.maximum(lever.link.at(0.0).moment_arm_mm, 1e-9)
    most_n = _ENOUGH_TENSION * max(max(forces_n), 1.0) * leverage
    held = replace(arm, return_torque_nmm=most_n * arm.link.at(0.0).moment_arm_mm)
    fast = replace(parts, arm=held)
    low, high = (np.zeros((len(forces_n), *shape)) + at for at in (SLACK_TAKEN_UP, ARM_MOVES))
    at = bracketed_root(lambda q: position(fast, q).hand_force_n - wanted, low, high)
    return position(fast, at)
