"""Values that a workshop can make of a machine's numbers, the one that goes furthest first."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TypeAlias

import numpy as np

from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.convert import is_wet
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.remedy_goals import GOALS
from liftgeo.mechanism.runouts import lift_tilt
from liftgeo.outcome.outcome import analysed

Keys: TypeAlias = dict[str, float]
Tries: TypeAlias = Callable[[Mechanism], Iterator[Keys]]

_MOST_TRIES = 8
_FACING = {False: 0.38, True: 0.14}
"""The most grip that data sheets give a facing, dry and wet."""


def now_of(mechanism: Mechanism, key: str) -> float | None:
    """Return a number of the file, or as it is taken; None where it has none."""
    value = mechanism.keys.get(key)
    if value is None and key == "faces.lift_tilt" and "faces.rim_heights" in mechanism.keys:
        return float(np.max(lift_tilt(mechanism.keys)[0]))
    if key == "arm.cable_angle" and value is None and kind_of(mechanism.keys, "arm") == "pin":
        return float(mechanism.inward.sides("arm").cable_angle_deg)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def on_step(key: str, value: float) -> float:
    """Return the multiple of a key's workshop step that is nearest to a value."""
    step = GOALS[key].step
    return round(round(value / step) * step, 6)


def _goal(mechanism: Mechanism, key: str) -> float | None:
    return mechanism.remedy_goals.get(key, GOALS[key].value)


def _between(key: str, first: float, last: float) -> list[float]:
    """Return values from the first towards the last, which is left out, on the key's steps."""
    found = [on_step(key, x) for x in np.linspace(first, last, _MOST_TRIES + 1)[:-1]]
    if abs(found[0] - first) > 1e-9:
        found[0] = first  # a file's own target is taken as it is
    return list(dict.fromkeys(x for x in found if abs(x - last) >= 0.5 * GOALS[key].step))


def towards(*keys: str, less: bool = True, needs_given: bool = False) -> Tries:
    """Return tries that bring the first of some keys that the machine has to its goal.

    Milder values follow, nearer and nearer to what it has.

    Parameters
    ----------
    *keys : str
    less : bool
        Whether less is better.
    needs_given : bool
        Whether it must have been measured: what is taken as usual is measured first.
    """

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        for key in keys:
            now, goal = now_of(mechanism, key), _goal(mechanism, key)
            if now is None or goal is None or (needs_given and key not in mechanism.given):
                continue
            if (now - goal if less else goal - now) >= 0.5 * GOALS[key].step:
                for value in _between(key, goal, now):
                    yield {key: value}
                return

    return tries


def scaled(key: str, *shares: float, needs: str = "") -> Tries:
    """Return tries of a key at some shares of what the machine has; a file's own target first."""

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        now = now_of(mechanism, key)
        if now is None or now <= 0 or (needs and needs not in mechanism.given):
            return
        own = mechanism.remedy_goals.get(key)
        if own is not None and (own - now) * (shares[0] - 1.0) > 0:
            yield {key: own}
            return
        for share in shares:
            value = on_step(key, share * now)
            if value > 0 and value != now:
                yield {key: value}

    return tries


def moved(key: str, *steps: float, needs: str = "") -> Tries:
    """Return tries of a key moved by some amounts."""

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        now = now_of(mechanism, key)
        if now is None or (needs and needs not in mechanism.given):
            return
        for step in steps:
            yield {key: on_step(key, now + step)}

    return tries


def either(*options: Tries) -> Tries:
    """Return the tries of the first option that has any."""

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        for option in options:
            found = list(option(mechanism))
            if found:
                yield from found
                return

    return tries


def both(*options: Tries) -> Tries:
    """Return tries of several keys at once, each as far as it goes; milder ones in step."""

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        found = [each for each in (list(option(mechanism)) for option in options) if each]
        if not found:
            return
        for k in range(max(len(each) for each in found)):
            keys: Keys = {}
            for each in found:
                keys |= each[min(k, len(each) - 1)]
            yield keys

    return tries


def another_arm(*shares: float) -> Tries:
    """Return tries of another hole in a pin arm, the cable meeting it at the angle of now."""

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        if kind_of(mechanism.keys, "arm") != "pin":
            return
        sides = mechanism.inward.sides("arm")
        angle = on_step("arm.cable_angle", float(sides.cable_angle_deg))
        own = mechanism.remedy_goals.get("arm.radius")
        radius = float(sides.pin)
        for value in [share * radius for share in shares] if own is None else [own]:
            if (value - radius) * (shares[0] - 1.0) > 0:
                yield {"arm.radius": on_step("arm.radius", value), "arm.cable_angle": angle}

    return tries


def square_arm(mechanism: Mechanism) -> Iterator[Keys]:
    """Yield the angle at rest with which the cable stands square at half its pull.

    The angle falls as the arm comes round, by some part of its rotation; that part is read off the
    machine, first as it is, then turned.
    """
    if kind_of(mechanism.keys, "arm") != "pin":
        return
    rest = float(mechanism.inward.sides("arm").cable_angle_deg)
    own = mechanism.remedy_goals.get("arm.cable_angle")
    wanted = rest if own is None else own
    for _ in range(4 if own is None else 0):
        turned = mechanism.parts({"arm.cable_angle": wanted})
        outcome = analysed(mechanism, {"arm.cable_angle": wanted})
        half = turned.arm.link.cable_angle_rad(0.5 * outcome.full.arm_rotation_rad)
        wanted = float(np.clip(wanted + 90.0 - np.degrees(half), 50.0, 150.0))
    if not np.isfinite(wanted):
        return
    if abs(wanted - rest) >= 3.0:
        for share in (1.0, 0.5):
            yield {"arm.cable_angle": on_step("arm.cable_angle", rest + share * (wanted - rest))}


def longer_lever(mechanism: Mechanism) -> Iterator[Keys]:
    """Yield a longer blade that turns as far: its travel grows with it."""
    now, travel = (now_of(mechanism, f"lever.{name}") for name in ("hand_radius", "hand_travel"))
    own = mechanism.remedy_goals.get("lever.hand_radius")
    if now is None:
        return
    for radius in [1.2 * now, 1.1 * now] if own is None else [own]:
        if radius > now:
            new = on_step("lever.hand_radius", radius)
            more = {} if travel is None else {"lever.hand_travel": round(travel * new / now, 1)}
            yield {"lever.hand_radius": new, **more}


def more_grip(mechanism: Mechanism) -> Iterator[Keys]:
    """Yield a facing with more friction, as far as data sheets of its kind go."""
    now, most = now_of(mechanism, "faces.friction"), _FACING[bool(is_wet(mechanism.keys))]
    own = mechanism.remedy_goals.get("faces.friction", most)
    if now is not None and "faces.friction" in mechanism.given and now < own - 0.005:
        for share in (1.2, 1.1):
            yield {"faces.friction": min(on_step("faces.friction", share * now), own)}


def further(mechanism: Mechanism) -> Iterator[Keys]:
    """Yield more rotation where the arm or the unit ends the stroke before the grip does."""
    outcome = analysed(mechanism)
    stopped = outcome.stop_names[int(outcome.picked(outcome.end.limit, ()))]
    key = {"arm-stop": "arm.max_rotation", "track-end": "release.max_rotation"}.get(stopped)
    if key is not None:
        yield from moved(key, 6.0, 3.0)(mechanism)


def another_unit(*shares: float) -> Tries:
    """Return tries of a faster or slower release unit of the same kind."""
    keys = ("ramp_angle", "lead", "pinion_radius", "crank_radius", "eccentricity")
    return either(*(scaled(f"release.{key}", *shares) for key in keys))


def more_play(mechanism: Mechanism) -> Iterator[Keys]:
    """Yield more play where the clutch rides, or soon will."""
    for key, amounts in (
        ("cable.free_play", (1.5, 1.0, 0.5)),
        ("cable.free_play_at_hand", (4.0, 2.0)),
        ("cable.take_up_at_hand", (4.0, 2.0)),
    ):
        now = now_of(mechanism, key)
        if now is not None and key in mechanism.keys:
            for amount in reversed(amounts):
                yield {key: on_step(key, now + amount)}
            return
