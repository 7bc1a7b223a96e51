"""Flat keys, and laying a change over them: alternatives give way, kinds keep what they take."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Any

from liftgeo.mechanism.frames import SHAPES_OF, carried
from liftgeo.mechanism.settling import (
    ARM_SIDES,
    LEVER_SIDES,
    READINGS,
    of_table,
    points_to_sides,
    settle,
)
from liftgeo.mechanism.settling import Flat as Flat
from liftgeo.mechanism.tables import DEFAULT_KIND, TABLES, Table

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


# Keys that stand for each other: a file gives one option of each group; a change that gives one
# removes the others. A name also covers the keys below it (lever.points.pivot).
ALTERNATIVES: tuple[tuple[frozenset[str], ...], ...] = (
    (LEVER_SIDES, of_table("lever", "points")),
    (of_table("lever", "rest_length"), of_table("lever", "cable_angle")),
    (of_table("lever", "hand_travel"), of_table("lever", "travel")),
    (
        of_table("cable", "free_play"),
        of_table("cable", "free_play_at_hand"),
        of_table("cable", "take_up_at_hand"),
    ),
    (of_table("cable", "stiffness"), of_table("cable", "wire", "housing", "bracket_stiffness")),
    (ARM_SIDES, of_table("arm", "points")),
    (of_table("arm", "rest_length"), of_table("arm", "cable_angle")),
    (of_table("release", "friction"), of_table("release", "efficiency")),
    (of_table("rod", "stiffness"), of_table("rod", "length", "diameter")),
    (of_table("arm", "turned"), of_table("arm", "turned_by")),
    (of_table("release", "lead"), of_table("release", "rise", "rise_over")),
    (of_table("engine", "torque"), of_table("engine", "power", "speed")),
    (of_table("spring", "rate", "free_length"), READINGS),
    (of_table("spring", "readings"), of_table("spring", "loads", "lengths")),
    (of_table("spring", "installed_deflection", "installed_length"), STACK_GAP),
    (of_table("stack", "friction_plate"), of_table("stack", "friction_plate_free")),
    (
        of_table("faces", "lift_tilt", "lift_tilt_angle"),
        of_table("faces", "rim_heights", "rim_angles", "rim_diameter"),
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


def lay(flat: Mapping[str, Any], change: Mapping[str, Any]) -> Flat:
    """Return the keys of a file with a change laid over them; neither argument is touched."""
    result = dict(flat)
    for table in TABLES:
        kind = change.get(f"{table}.kind")
        if kind is None or kind == kind_of(result, table) or kind not in TABLES[table]:
            continue
        known = TABLES[table][kind].model_fields
        if f"{table}.points.pivot" in result:
            points_to_sides(result, table)  # the hand radius outlives the points
        for dotted in [k for k in result if k.startswith(f"{table}.")]:
            if dotted.split(".")[1] not in known:
                del result[dotted]
    settle(result, change)
    named = names_in(change)
    for options in ALTERNATIVES:
        given = [option for option in options if not named.isdisjoint(option)]
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
