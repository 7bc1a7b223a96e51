"""Which keys a file leaves out that every machine has, and what they are taken as."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from itertools import chain
from typing import TYPE_CHECKING, Any

from liftgeo.mechanism import key_facts
from liftgeo.mechanism.grip import travel_from_shapes
from liftgeo.mechanism.laying import ALTERNATIVES, covers, kind_of
from liftgeo.mechanism.tables import TABLES
from liftgeo.mechanism.usual import Taken, UsualFor, range_for
from liftgeo.quantities import DIMENSIONS, Measured

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism

Keys = Mapping[str, Any]

ALWAYS = ("cable", "arm", "rod")
"""Tables whose keys count as left out even where the whole table is."""


def _wire_alone(keys: Keys) -> bool:
    return any(key.startswith("cable.wire.") for key in keys)


def _plain_plates(keys: Keys) -> bool:
    plates = keys.get("stack.plain_plates", keys.get("faces.friction_plates", 1) - 1)
    return bool(plates > 0)


# Keys that not every machine has, and when it does. Of a friction and an efficiency an eccentric
# takes the one it can use: friction needs the radius of its round.
_ASKED_WHERE: dict[str, Callable[[Keys], bool]] = {
    "grip.allowance": travel_from_shapes,
    "cable.housing.stiffness": _wire_alone,
    "release.friction": lambda keys: (
        keys.get("release.kind") != "eccentric" or bool(keys.get("release.cam_radius"))
    ),
    "release.efficiency": lambda keys: (
        keys.get("release.kind") != "eccentric" or not keys.get("release.cam_radius")
    ),
    "rod.end_float": lambda keys: "cable.take_up_at_hand" not in keys,
    "rod.stiffness": lambda keys: "rod.length" not in keys,
    "rod.mount_stiffness": lambda keys: "rod.length" in keys,
    "rod.finger_stiffness": lambda keys: keys.get("rod.finger_ratio", 1.0) != 1.0,
    "faces.plain_plate_runout": _plain_plates,
}
AT_THE_PLATE = ("rod.stiffness", "rod.mount_stiffness")


def _said_otherwise(dotted: str, keys: Keys) -> bool:
    """Return whether a key stands in for this one."""
    for options in ALTERNATIVES:
        own = next((option for option in options if covers(option, dotted)), None)
        if own is None:
            continue
        others = [option for option in options if option is not own]
        if any(covers(option, key) for option in others for key in keys):
            return True
    return False


def usual_keys(keys: Keys, tables: Collection[str]) -> Iterator[tuple[str, UsualFor, str]]:
    """Yield each key with a usual value that these kinds take: key, ranges, bare unit."""
    for table, kinds in TABLES.items():
        model = kinds.get(kind_of(keys, table))
        if model is None or not (table in tables or table in ALWAYS):
            continue
        for dotted, info in key_facts.keys_of(model, f"{table}.").items():
            usual = (info.json_schema_extra or {}).get("usual")
            if usual is not None:
                number = key_facts.number_in(info)
                assert number is not None
                yield dotted, usual, DIMENSIONS[number.dimension].unit


def left_out(
    keys: Keys, tables: Collection[str], machine: Collection[str], condition: str
) -> tuple[Taken, ...]:
    """Return every key that is left out, with its usual value and range.

    Parameters
    ----------
    keys : mapping
        Flat keys that are given, changes and defaults laid over them.
    tables : collection of str
        Tables that are there.
    machine : collection of str
        Kinds of machine, of the unchanged file.
    condition : str
        "rebuilt", "used" or "worn".
    """
    found = []
    for dotted, usual, unit in usual_keys(keys, tables):
        asked = _ASKED_WHERE.get(dotted)
        if dotted in keys or (asked is not None and not asked(keys)):
            continue
        if _said_otherwise(dotted, keys):
            continue
        its = range_for(usual, machine, condition)
        if dotted in AT_THE_PLATE:
            its = its.times(1 / float(keys.get("rod.finger_ratio", 1.0)) ** 2)
        found.append(Taken(dotted, its.value, its.low, its.high, unit, its.source, its.log))
    return tuple(found)


def is_exact(mechanism: Mechanism) -> bool:
    """Return whether all was given, without a ± or a range, and nothing was read on the bench."""
    if mechanism.taken or mechanism.readings:
        return False
    values = (v if isinstance(v, tuple) else (v,) for v in mechanism.keys.values())
    return not any(isinstance(each, Measured) for each in chain.from_iterable(values))
