"""Flat keys, and laying a change over them: alternatives give way, kinds keep what they take."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Any

import numpy as np

from liftgeo.mechanism.frames import SHAPES_OF, carried
from liftgeo.mechanism.tables import DEFAULT_KIND, TABLES, Table
from liftgeo.parts.values import Values
from liftgeo.quantities import read

Flat = dict[str, Any]

STACK_GAP = frozenset(
    f"stack.{name}"
    for name in (
        "rim_depth",
        "friction_plate",
        "friction_plate_free",
        "pressure_plate",
        "cover_recess",
        "shims",
        "plain_plate",
        "basket_face_skim",
        "rim_skim",
        "pressure_plate_skim",
    )
)


def _of(table: str, *names: str) -> frozenset[str]:
    return frozenset(f"{table}.{name}" for name in names)


_LEVER_SIDES = _of(
    "lever", "nipple_radius", "stop_distance", "rest_length", "cable_angle", "hand_radius"
)
_ARM_SIDES = _of("arm", "radius", "stop_distance", "rest_length", "cable_angle")

# Keys that stand for each other: a file gives one option of each group; a change that gives one
# removes the others. A name also covers the keys below it (lever.points.pivot).
ALTERNATIVES: tuple[tuple[frozenset[str], ...], ...] = (
    (_LEVER_SIDES, _of("lever", "points")),
    (_of("lever", "rest_length"), _of("lever", "cable_angle")),
    (_of("lever", "hand_travel"), _of("lever", "travel")),
    (
        _of("cable", "free_play"),
        _of("cable", "free_play_at_hand"),
        _of("cable", "take_up_at_hand"),
    ),
    (_of("cable", "stiffness"), _of("cable", "wire", "housing", "bracket_stiffness")),
    (_ARM_SIDES, _of("arm", "points")),
    (_of("arm", "rest_length"), _of("arm", "cable_angle")),
    (_of("release", "friction"), _of("release", "efficiency")),
    (_of("rod", "stiffness"), _of("rod", "length", "diameter")),
    (_of("spring", "installed_deflection", "installed_length"), STACK_GAP),
    (_of("stack", "friction_plate"), _of("stack", "friction_plate_free")),
    (
        _of("faces", "lift_tilt", "lift_tilt_angle"),
        _of("faces", "rim_heights", "rim_angles", "rim_diameter"),
    ),
)

TRAVELS = ("lever.hand_travel", "lever.travel")
BLADE_AND_GRIP = ("lever.outline.points", "lever.outline.width", "grip.diameter", "grip.place")
"""Shapes that, where neither of the travels is given, say where the lever comes to the grip."""


_INNER = frozenset(
    f"{table}.{name}"
    for table, kinds in TABLES.items()
    for model in kinds.values()
    for name, info in model.model_fields.items()
    for option in getattr(info.annotation, "__args__", ())
    if isinstance(option, type) and issubclass(option, Table)
)
"""Keys that hold a table: the points, the wire, the housing."""


def flatten(document: Mapping[str, Any], prefix: str = "") -> Flat:
    """Return nested tables as one dictionary of dotted keys; an empty one says nothing.

    Where no table belongs it stays, so that reading refuses it.
    """
    flat: Flat = {}
    for name, value in document.items():
        dotted = f"{prefix}{name}"
        if isinstance(value, Mapping) and (value or "." not in dotted or dotted in _INNER):
            flat.update(flatten(value, f"{dotted}."))
        else:
            flat[dotted] = value
    return flat


def nested(flat: Mapping[str, Any]) -> dict[str, Any]:
    """Return dotted keys as nested tables."""
    document: dict[str, Any] = {}
    for dotted, value in flat.items():
        *tables, name = dotted.split(".")
        place = document
        for table in tables:
            inner = place.get(table)
            if not isinstance(inner, dict):
                inner = place[table] = {}
            place = inner
        place[name] = value
    return document


def covers(option: Collection[str], dotted: str) -> bool:
    """Return whether a key belongs to an option: the key itself or one below it."""
    while dotted not in option:
        dotted, dot, _ = dotted.rpartition(".")
        if not dot:
            return False
    return True


def names_in(flat: Iterable[str]) -> frozenset[str]:
    """Return every key, and the name of every table it stands in."""
    found = set(flat)
    for dotted in tuple(found):
        while "." in dotted:
            dotted = dotted.rpartition(".")[0]
            found.add(dotted)
    return frozenset(found)


def kind_of(flat: Mapping[str, Any], table: str) -> str:
    """Return the kind a table is of: the given, the default, or the empty one."""
    if "" in TABLES[table]:
        return ""
    return str(flat.get(f"{table}.kind", DEFAULT_KIND.get(table, "")))


def models_of(flat: Mapping[str, Any]) -> Iterator[tuple[str, type[Table]]]:
    """Yield what the tables of these kinds take, each with the prefix of its keys."""
    for table, kinds in TABLES.items():
        model = kinds.get(kind_of(flat, table))
        if model is not None:
            yield f"{table}.", model


def _points_to_sides(flat: Flat, table: str) -> None:
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


def lay(flat: Mapping[str, Any], change: Mapping[str, Any]) -> Flat:
    """Return the keys of a file with a change laid over them; neither argument is touched."""
    result = dict(flat)
    for table in TABLES:
        kind = change.get(f"{table}.kind")
        if kind is None or kind == kind_of(result, table) or kind not in TABLES[table]:
            continue
        known = TABLES[table][kind].model_fields
        if f"{table}.points.pivot" in result:
            _points_to_sides(result, table)  # the hand radius outlives the points
        for dotted in [k for k in result if k.startswith(f"{table}.")]:
            if dotted.split(".")[1] not in known:
                del result[dotted]
    for table, sides in (("lever", _LEVER_SIDES), ("arm", _ARM_SIDES)):
        if any(k in sides for k in change) and f"{table}.points.pivot" in result:
            _points_to_sides(result, table)
    for options in ALTERNATIVES:
        given = [option for option in options if any(covers(option, k) for k in change)]
        if not given:
            continue
        for option in options:
            if option in given:
                continue
            for dotted in [k for k in result if covers(option, k)]:
                del result[dotted]
    result.update(change)
    for table in SHAPES_OF:
        carried(result, flat, change, table)
    reshaped = any(covers(("grip", "lever.outline"), k) for k in change)
    if reshaped and result.keys() >= {*BLADE_AND_GRIP} and change.keys().isdisjoint(TRAVELS):
        for dotted in TRAVELS:
            result.pop(dotted, None)
    return result


def untouched(
    flat: Mapping[str, Any], before: Mapping[str, Any], tables: Mapping[str, Table]
) -> dict[str, Table]:
    """Return those tables in which the keys are the very same as before."""
    keys = flat.keys() | before.keys()
    touched = {key.split(".")[0] for key in keys if flat.get(key) is not before.get(key)}
    return {name: table for name, table in tables.items() if name not in touched}


def given_twice(flat: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return pairs of keys that say the same thing twice: the one to keep, the one too many."""
    found, names = [], names_in(flat)
    for options in ALTERNATIVES:
        if sum(not names.isdisjoint(option) for option in options) < 2:
            continue
        used = [[k for k in flat if covers(option, k)] for option in options]
        used = [keys for keys in used if keys]
        found += [(used[0][0], keys[0]) for keys in used[1:]]
    return found
