"""The clutches that the tests start from. All invented: no machine was measured.

There is one base clutch, base_clutch.toml beside this file, and what varies it: keys put over it,
one part of another kind, and the sound clutch, which is the base without anything to warn of. The
shipped examples are not used: they may change, what tests expect of these numbers may not.
"""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path
from typing import Any

import liftgeo
from liftgeo.errors import Fault
from liftgeo.mechanism import from_document
from liftgeo.mechanism.tables import DEFAULT_KIND, TABLES

Document = dict[str, Any]

BASE_FILE = Path(__file__).with_name("base_clutch.toml")
BASE_TEXT = BASE_FILE.read_text(encoding="utf-8")
BASE: Document = tomllib.loads(BASE_TEXT)
CHANGES: Document = BASE.pop("changes")
TEXT_WITHOUT_CHANGES = BASE_TEXT[: BASE_TEXT.index("# Changes")]

# What the base is laid over with to raise no warning at all.
SOUND: Document = {
    "title": "Sound clutch (invented)",
    "lever": {"hand_angle": None, "blade_length": 130.0},
    "cable": {
        "free_play": 2.0,
        "bend": 90,
        "friction": 0.08,
        "drag": 1.0,
        "stiffness": None,
        "wire": {
            "construction": "7x19",
            "material": "stainless",
            "diameter": 2.38,
            "length": 700,
        },
    },
    "release": {"ball_diameter": 8.0, "ball_count": 3, "groove_radius": 4.3},
    "rod": {
        "action": "push",
        "end_float": 0.15,
        "stiffness": None,
        "length": 150,
        "diameter": 8.0,
    },
    "faces": {
        "running": "dry",
        "material": "moulded",
        "cushion_travel": 0.15,
        "basket_runout": None,
        "pressure_plate_runout": None,
        "plate_runout": 0.10,
        "lift_tilt": None,
        "rim_heights": [3.0, 3.02, 3.0, 2.98],
        "facing_thickness": 3.0,
        "wear_limit": 0.5,
    },
    "bearing": {
        "kind": "deep-groove",
        "static_rating": 16000,
        "dynamic_rating": 20000,
        "speed": 3000,
        "duty": 0.1,
    },
    "engine": {"torque": 25, "primary_ratio": 2.0, "peak_factor": 1.1},
    "targets": {"hand_force": 150},
}

# One table of every kind but the base's own; each fits the base in place of its table.
KINDS: dict[str, dict[str, Document]] = {
    "lever": {
        "drum": {"drum_radius": 20.0, "hand_radius": 80.0, "hand_travel": 45.0},
        "profile": {
            "angle": [0, 30, 60],
            "pull": [0, 12, 23],
            "hand_radius": 80,
            "hand_travel": 40,
        },
    },
    "arm": {
        "drum": {"drum_radius": 40.0},
        "profile": {"angle": [0, 20, 40], "pull": [0, 14, 27]},
    },
    "release": {
        "quick-thread": {"lead": 25, "mean_diameter": 24},
        "rack": {"pinion_radius": 4.5},
        "crank": {"crank_radius": 5, "rest_angle": -10},
        "eccentric": {"eccentricity": 5, "rest_angle": -10},
        "profile": {"angle": [0, 10, 20, 30], "travel": [0.0, 0.8, 1.6, 2.4]},
    },
    "spring": {
        "coils": {"count": 6, "rate": 30.0, "free_length": 40.0, "installed_length": 32.0},
        "table": {
            "deflection": [0.0, 2.0, 4.0, 6.0],
            "load": [0.0, 900.0, 1700.0, 2400.0],
            "installed_deflection": 4.5,
        },
    },
}
for _table, _kinds in KINDS.items():
    for _kind, _keys in _kinds.items():
        _kinds[_kind] = {"kind": _kind, **_keys}
    _own = BASE[_table].get("kind", DEFAULT_KIND.get(_table))
    if {_own, *_kinds} != set(TABLES[_table]):
        raise LookupError(f"the kinds of [{_table}] are {sorted(TABLES[_table])}: put each here")

DRUM_LEVER, DRUM_ARM, COILS = KINDS["lever"]["drum"], KINDS["arm"]["drum"], KINDS["spring"]["coils"]


def laid(base: Document, tables: Document) -> Document:
    """Return a document with keys replaced.

    A table given with a kind replaces the whole table, None takes a table or key out, and anything
    else stands as it is.
    """
    result = copy.deepcopy(base)
    for table, keys in tables.items():
        if not isinstance(keys, dict) or "kind" in keys or table not in result:
            result[table] = copy.deepcopy(keys)
        else:
            result[table].update(copy.deepcopy(keys))
            result[table] = {k: v for k, v in result[table].items() if v is not None}
    return {table: keys for table, keys in result.items() if keys is not None}


def document(**tables: Any) -> Document:
    """Return the base clutch, without its changes, with keys replaced as `laid` does."""
    return laid(BASE, tables)


def mechanism(**tables: Any) -> liftgeo.Mechanism:
    """Return the mechanism of such a document."""
    return from_document(document(**tables), BASE_FILE.name)


def changeable(**tables: Any) -> liftgeo.Mechanism:
    """Return the mechanism of such a document with the base clutch's changes."""
    return from_document(laid(document(changes=CHANGES), tables), BASE_FILE.name)


COSTS: dict[str, float] = {
    "longer-arm": 15,
    "shorter-arm": 18,
    "moved-pivot": 60,
    "better-cable": 40,
    "less-play": 0,
    "steeper-ramp": 75,
    "thick-plate": 30,
    "skimmed-faces": 55,
}


def priced(
    costs: dict[str, float] = COSTS, tables: Document | None = None, **more: Document
) -> liftgeo.Mechanism:
    """Return the base clutch with these of its changes, each with its cost, and some more."""
    whole = changeable()
    changes: dict[str, Any] = dict.fromkeys(whole.changes)
    changes |= {name: {**CHANGES[name], "cost": cost} for name, cost in costs.items()}
    return changeable(changes=changes | more, **(tables or {}))


def coils_mechanism(**tables: Any) -> liftgeo.Mechanism:
    """Return the base clutch on coil springs, without a stack of plates to measure."""
    return mechanism(**{"spring": COILS, "stack": None} | tables)


def sound_mechanism(**tables: Any) -> liftgeo.Mechanism:
    """Return the sound clutch with keys replaced, as `laid` does."""
    return from_document(laid(document(**SOUND), tables))


def sound(**keys: Any) -> liftgeo.Mechanism:
    """Return the sound clutch with a change laid over it; `__` stands for the dot of a key."""
    found = sound_mechanism()
    return found.changed({k.replace("__", "."): v for k, v in keys.items()}) if keys else found


def faults(**tables: Any) -> list[Fault]:
    """Return what is wrong with such a document; none where it can be analysed."""
    try:
        mechanism(**tables)
    except liftgeo.GeometryError as error:
        return list(error.faults)
    return []


def fault(**tables: Any) -> Fault:
    """Return the only thing that is wrong with such a document."""
    found = faults(**tables)
    assert len(found) == 1, [f.text() for f in found]
    return found[0]
