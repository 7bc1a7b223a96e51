"""Rules of the lever's and the arm's triangle: it closes, and stands off dead centre."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from liftgeo.errors import Reason
from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.key_facts import number
from liftgeo.mechanism.link_points import MOVED, link_points, unmoved
from liftgeo.mechanism.rule import Rule, Text, length
from liftgeo.parts.values import Values


def _side_key(table: str) -> Callable[[Inward], str]:
    def key(keys: Inward) -> str:
        for name in ("rest_length", "cable_angle"):
            if f"{table}.{name}" in keys:
                return f"{table}.{name}"
        return f"{table}.points"

    return key


_WORDS = {
    "lever": ("nipple", "cable stop", "nipple centre to cable stop with the lever at rest"),
    "arm": ("cable end", "cable stop", "cable end to stop with the arm at rest"),
}


def _closes(table: str) -> Callable[[Inward], Values]:
    def holds(keys: Inward) -> Values:
        s = keys.sides(table)
        flat = s.flat_rest
        return (flat >= np.abs(s.pin - s.stop)) & (flat <= s.pin + s.stop)

    return holds


def _off_dead_centre(table: str) -> Callable[[Inward], Values]:
    def holds(keys: Inward) -> Values:
        s = keys.sides(table)
        longest, shortest = s.pin + s.stop, np.abs(s.pin - s.stop)
        room = 1e-9 * longest
        return (s.flat_rest < longest - room) & (s.flat_rest > shortest + room)

    return holds


def _triangle_text(table: str) -> Text:
    pin, stop, how = _WORDS[table]

    def text(keys: Inward) -> tuple[str, str]:
        s = keys.sides(table)
        shortest = np.hypot(np.abs(s.pin - s.stop), s.offset)
        longest = np.hypot(s.pin + s.stop, s.offset)
        aside = f", {length(abs(s.offset))} out of one plane," if s.offset else ""
        return (
            f"A {pin} {length(s.pin)} from the pivot and a {stop} {length(s.stop)} from it{aside} "
            f"cannot be {length(s.rest)} apart.",
            f"Possible: {length(shortest)} to {length(longest)}. Measure {how}.",
        )

    return text


def _dead_centre_text(table: str) -> Text:
    pin, stop, how = _WORDS[table]

    def text(keys: Inward) -> tuple[str, str]:
        return (
            f"At rest the {table} stands at dead centre: pivot, {pin} and {stop} lie in one line, "
            "so the cable has no moment arm.",
            f"Turn the {table} off dead centre, or check {how}.",
        )

    return text


def _angle_fits(table: str) -> Callable[[Inward], Values]:
    pin = "lever.nipple_radius" if table == "lever" else "arm.radius"

    def holds(keys: Inward) -> Values:
        if f"{table}.cable_angle" not in keys:
            return np.asarray(True)
        offset = number(keys, f"{table}.axial_offset")
        return np.hypot(keys[f"{table}.stop_distance"], offset) > keys[pin]

    return holds


def _angle_text(table: str) -> Text:
    pin = "lever.nipple_radius" if table == "lever" else "arm.radius"

    def text(keys: Inward) -> tuple[str, str]:
        r, d = keys[pin], keys[f"{table}.stop_distance"]
        delta = np.radians(keys[f"{table}.cable_angle"])
        inside = d**2 - (r * np.sin(delta)) ** 2
        if inside < 0 or r * np.cos(delta) <= 0:
            fits = "No layout fits"
        else:
            roots = r * np.cos(delta) + np.array([-1, 1]) * np.sqrt(inside)
            fits = " and ".join(length(v) for v in roots if v > 0) + " would both fit"
        return (
            f"With the stop {length(d)} from the pivot and the cable end {length(r)} from it, the "
            f"cable angle does not settle the layout. {fits}.",
            f"Give {table}.rest_length instead.",
        )

    return text


def _keeps_side(table: str) -> Callable[[Inward], Values]:
    def holds(keys: Inward) -> Values:
        if not any(has(keys, name) for name in MOVED[table]):
            return np.asarray(True)
        points = link_points(keys, table)
        before = link_points(unmoved(keys, table), table)
        return np.asarray(points.turning == before.turning)

    return holds


def has(keys: Inward, name: str) -> bool:
    """Return whether something is moved at all."""
    return bool(np.any(np.asarray(keys.get(name, 0.0), float)))


def _moved_key(table: str) -> Callable[[Inward], str]:
    def key(keys: Inward) -> str:
        return next((name for name in MOVED[table] if has(keys, name)), table)

    return key


def _side_text(table: str) -> Text:
    pin, stop, _ = _WORDS[table]

    def text(keys: Inward) -> tuple[str, str]:
        return (
            f"Moved so far, {pin} and {stop} change sides about the pivot: pulling would turn the "
            f"{table} the other way.",
            "Move it less, or the other way.",
        )

    return text


def _arm_can_turn(keys: Inward) -> Values:
    return number(keys, "arm.turned") < keys["arm.max_rotation"]


_TURNED_TOO_FAR = Rule(
    Reason.OUT_OF_RANGE,
    ("arm.turned", "arm.max_rotation"),
    _arm_can_turn,
    lambda keys: "arm.turned_by" if "arm.turned_by" in keys else "arm.turned",
    lambda keys: (
        f"Turned by {float(keys['arm.turned']):g} deg the arm stands beyond the "
        f"{float(keys['arm.max_rotation']):g} deg that the casing allows it.",
        "Turn it less; arm.max_rotation counts from where it rests now.",
    ),
    ("arm", "pin"),
    reads=("arm.turned", "arm.turned_by", "arm.splines", "arm.max_rotation"),
)


def triangle_rules(table: str) -> tuple[Rule, ...]:
    """Return the rules of one triangle: lever or arm."""
    closes, dead = (
        (Reason.LEVER_TRIANGLE, Reason.LEVER_DEAD_CENTRE)
        if table == "lever"
        else (Reason.ARM_TRIANGLE, Reason.ARM_DEAD_CENTRE)
    )
    pin = (table, "pin")
    key = _side_key(table)
    names = ["stop_distance", "rest_length", "cable_angle", "axial_offset", "points"]
    names += ["nipple_radius"] if table == "lever" else ["radius"]
    reads = (*(f"{table}.{name}" for name in names), *MOVED[table])

    def rule(reason: Reason, holds: Callable[[Inward], Values], text: Text) -> Rule:
        return Rule(reason, (table,), holds, key, text, pin, reads)

    return (
        rule(closes, _angle_fits(table), _angle_text(table)),
        rule(closes, _closes(table), _triangle_text(table)),
        rule(dead, _off_dead_centre(table), _dead_centre_text(table)),
        Rule(dead, (table,), _keeps_side(table), _moved_key(table), _side_text(table), pin, reads),
        *((_TURNED_TOO_FAR,) if table == "arm" else ()),
    )
