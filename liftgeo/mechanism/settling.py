"""One way of saying a thing turned into another, so that a part of it can change alone.

Points become distances, a moved arm the triangle that it leaves, a spring's readings their line.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from pydantic_core import PydanticCustomError

from liftgeo.mechanism.fields import Pairs
from liftgeo.mechanism.tables import TABLES
from liftgeo.parts.moved_link import Moves
from liftgeo.parts.spring_line import SpringLine
from liftgeo.parts.triangle import Triangle, rest_length_mm
from liftgeo.parts.values import Values
from liftgeo.quantities import read

Flat = dict[str, Any]


def of_table(table: str, *names: str) -> frozenset[str]:
    """Return dotted keys of a table."""
    return frozenset(f"{table}.{name}" for name in names)


LEVER_SIDES = of_table(
    "lever", "nipple_radius", "stop_distance", "rest_length", "cable_angle", "hand_radius"
)
ARM_SIDES = of_table("arm", "radius", "stop_distance", "rest_length", "cable_angle")
SIDES = {"lever": LEVER_SIDES, "arm": ARM_SIDES}
READINGS = of_table("spring", "readings", "loads", "lengths")
LINE = of_table("spring", "rate", "free_length")
MOVES = {
    "lever": ("lever.hole", "lever.stop_shift_x", "lever.stop_shift_y"),
    "arm": ("arm.hole", "arm.turned", "arm.turned_by", "arm.stop_shift_x", "arm.stop_shift_y"),
}
"""Keys of what a hand moves on a lever or an arm."""
OPENING = {"lever": 1, "arm": -1}
"""Whether pulling opens the angle between stop and pin, or closes it."""


def spelled_out(flat: Mapping[str, Any]) -> Flat:
    """Return flat keys with pairs of readings as two lists; pairs with a fault stay as they are."""
    given = flat.get("spring.readings")
    if given is None or "coils" not in TABLES["spring"]:
        return dict(flat)
    info = TABLES["spring"]["coils"].model_fields["readings"]
    pairs = next(found for found in info.metadata if isinstance(found, Pairs))
    try:
        loads, lengths = pairs.columns(given)
    except PydanticCustomError:
        return dict(flat)
    if not loads:
        return dict(flat)
    columns = {"spring.loads": loads, "spring.lengths": lengths}
    found: Flat = {}
    for key, value in flat.items():
        found |= columns if key == "spring.readings" else {key: value}
    return found


def settle(flat: Flat, change: Mapping[str, Any]) -> None:
    """Turn what a change replaces in part into a form whose parts stand by themselves."""
    for table, sides in SIDES.items():
        if any(key in sides for key in change):
            if f"{table}.points.pivot" in flat:
                points_to_sides(flat, table)
            _moves_to_sides(flat, table)
        elif any(key.startswith(f"{table}.points") for key in change):
            _without_moves(flat, table)
    if any(key in LINE for key in change) and "spring.loads" in flat:
        _readings_to_line(flat)


def _readings_to_line(flat: Flat) -> None:
    """Replace a spring's readings by the rate and free length of the line through them."""
    given = [flat.get(f"spring.{name}") for name in ("loads", "lengths")]
    if not all(isinstance(column, list | tuple) for column in given):
        return
    loads, lengths = (
        np.array([read(x, dimension) for x in flat.get(f"spring.{name}", ())], float)
        for name, dimension in (("loads", "force"), ("lengths", "length"))
    )
    if len(loads) < 2 or len(loads) != len(lengths):
        return
    line = SpringLine(loads, lengths)
    flat["spring.rate"] = float(line.rate_n_per_mm)
    flat["spring.free_length"] = float(line.free_length_mm)
    for key in READINGS:
        flat.pop(key, None)


def _number(flat: Flat, key: str, dimension: str, default: float = 0.0) -> float:
    value = flat.get(key)
    return default if value is None or value == "" else float(read(value, dimension))


def _without_moves(flat: Flat, table: str) -> None:
    for key in MOVES[table]:
        flat.pop(key, None)


def _moves_to_sides(flat: Flat, table: str) -> None:
    """Replace what was moved by the triangle that it leaves."""
    radius = "lever.nipple_radius" if table == "lever" else "arm.radius"
    stop_key, rest_key, angle = (
        f"{table}.{name}" for name in ("stop_distance", "rest_length", "cable_angle")
    )
    turned = _number(flat, f"{table}.turned", "angle")
    if "arm.turned_by" in flat and table == "arm":
        turned = 360 * _number(flat, "arm.turned_by", "ratio")
        turned /= _number(flat, "arm.splines", "ratio", math.nan)
    hole = _number(flat, f"{table}.hole", "length", math.nan)
    moves = Moves(
        None if math.isnan(hole) else hole,
        np.radians(turned),
        _number(flat, f"{table}.stop_shift_x", "length"),
        _number(flat, f"{table}.stop_shift_y", "length"),
        OPENING[table],
    )
    known = radius in flat and stop_key in flat and (rest_key in flat or angle in flat)
    if moves.nothing or not known:
        return
    pin, stop = _number(flat, radius, "length"), _number(flat, stop_key, "length")
    offset = _number(flat, f"{table}.axial_offset", "length")
    if rest_key in flat:
        rest: Values = _number(flat, rest_key, "length")
    else:
        rest = rest_length_mm(pin, stop, np.radians(_number(flat, angle, "angle")), offset)
    pin_at = moves.pin_mm(pin, Triangle(pin, stop, rest, offset).rest_angle_rad)
    stop_at = moves.stop_mm(stop)
    flat[radius], flat[stop_key] = float(np.hypot(*pin_at)), float(np.hypot(*stop_at))
    flat[rest_key] = math.hypot(pin_at[0] - stop_at[0], pin_at[1] - stop_at[1], offset)
    flat.pop(angle, None)
    _without_moves(flat, table)


def points_to_sides(flat: Flat, table: str) -> None:
    """Replace points by the distances between them, so that one distance can change alone."""
    names = {"pivot": None, "pin": None, "stop": None, "hand": None}
    points = {}
    for name in names:
        given = flat.get(f"{table}.points.{name}")
        if given is not None:
            points[name] = [read(number, "length") for number in given]
    if not {"pivot", "pin", "stop"} <= points.keys():
        return
    offset = read(flat.get(f"{table}.axial_offset", 0.0), "length")
    radius = "nipple_radius" if table == "lever" else "radius"
    flat[f"{table}.{radius}"] = math.dist(points["pivot"], points["pin"])
    flat[f"{table}.stop_distance"] = math.dist(points["pivot"], points["stop"])
    flat[f"{table}.rest_length"] = math.hypot(math.dist(points["pin"], points["stop"]), offset)
    if "hand" in points:
        flat[f"{table}.hand_radius"] = math.dist(points["pivot"], points["hand"])
        flat[f"{table}.hand_angle"] = float(np.degrees(hand_angle_rad(**points)))
    for name in names:
        flat.pop(f"{table}.points.{name}", None)


def hand_angle_rad(pivot: Values, pin: Values, stop: Values, hand: Values) -> Values:
    """Return the angle at the pivot from pin to hand, positive away from the stop [rad].

    Points [x, y] of shape (2,), or (N, 2) for many levers.
    """
    pivot = np.asarray(pivot, float)

    def turn(start: Values, end: Values) -> Values:
        a, b = start - pivot, end - pivot
        across = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
        return np.arctan2(across, a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1])

    sense = np.where(turn(stop, pin) >= 0, 1.0, -1.0)
    return sense * turn(pin, hand)
