"""The hill tractor as nested tables, to be changed key by key in the tests here. Invented."""

from __future__ import annotations

import copy
from typing import Any

from liftgeo import GeometryError, Mechanism
from liftgeo.errors import Fault
from liftgeo.mechanism import from_document

HILL: dict[str, Any] = {
    "title": "Hill tractor (invented)",
    "lever": {
        "nipple_radius": 26.0,
        "stop_distance": 42.0,
        "rest_length": 44.0,
        "hand_radius": 75.0,
        "hand_travel": 39.0,
    },
    "cable": {"free_play": 2.2, "bend": 150, "friction": 0.10, "stiffness": 240},
    "arm": {"radius": 38.0, "stop_distance": 95.0, "rest_length": 90.0, "return_torque": 0.3},
    "release": {
        "kind": "ball-ramp",
        "pitch_radius": 16.0,
        "ramp_angle": 14.0,
        "friction_angle": 1.0,
        "max_rotation": 25.0,
    },
    "rod": {"action": "pull", "end_float": 0.12, "stiffness": 25000},
    "spring": {
        "kind": "coned-disc",
        "outside_diameter": 120.0,
        "inside_diameter": 92.0,
        "thickness": 1.7,
        "cone_height": 3.4,
    },
    "stack": {"rim_depth": 30.5, "friction_plate": 8.0, "pressure_plate": 19.5},
    "faces": {
        "friction_plates": 1,
        "outside_diameter": 118.0,
        "inside_diameter": 84.0,
        "friction": 0.30,
        "cushion_travel": 0.25,
        "basket_runout": 0.05,
        "pressure_plate_runout": 0.05,
        "plate_runout": 0.20,
        "lift_tilt": 0.15,
    },
}

DRUM_LEVER = {"kind": "drum", "drum_radius": 20.0, "hand_radius": 80.0, "hand_travel": 45.0}
DRUM_ARM = {"kind": "drum", "drum_radius": 40.0}
COILS = {"kind": "coils", "count": 6, "rate": 30.0, "free_length": 40.0, "installed_length": 32.0}


def document(**tables: Any) -> dict[str, Any]:
    """Return the hill tractor with keys replaced.

    A table given as a dictionary with a kind replaces the whole table, None takes a table or key
    out, and anything else stands as it is.
    """
    result = copy.deepcopy(HILL)
    for table, keys in tables.items():
        if not isinstance(keys, dict) or "kind" in keys or table not in result:
            result[table] = keys
        else:
            result[table].update(keys)
            result[table] = {k: v for k, v in result[table].items() if v is not None}
    return {table: keys for table, keys in result.items() if keys is not None}


def mechanism(**tables: Any) -> Mechanism:
    """Return the mechanism of such a document."""
    return from_document(document(**tables), "hill.toml")


def coils_mechanism(**tables: Any) -> Mechanism:
    """Return the hill tractor on coil springs, without a stack of plates to measure."""
    return mechanism(**{"spring": COILS, "stack": None} | tables)


def faults(**tables: Any) -> list[Fault]:
    """Return what is wrong with such a document; none where it can be analysed."""
    try:
        mechanism(**tables)
    except GeometryError as error:
        return list(error.faults)
    return []


def fault(**tables: Any) -> Fault:
    """Return the only thing that is wrong with such a document."""
    found = faults(**tables)
    assert len(found) == 1, [f.text() for f in found]
    return found[0]
