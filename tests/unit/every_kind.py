"""Mechanisms with every kind of part, every loss, every way a stroke can end; all invented."""

from __future__ import annotations

import copy
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from liftgeo.mechanism import Mechanism, from_document

TESTS = Path(__file__).resolve().parents[1]


def _table(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


_BASE = _table(TESTS / "base_clutch.toml")


def _base(**over: dict[str, Any]) -> dict[str, Any]:
    """Return the base clutch with keys laid over its tables; None takes a key out."""
    found = copy.deepcopy({k: v for k, v in _BASE.items() if k != "changes"})
    for table, keys in over.items():
        found.setdefault(table, {}).update(keys)
        found[table] = {k: v for k, v in found[table].items() if v is not None}
    return found


def _whole(path: Path) -> dict[str, Any]:
    """Return an example with the friction of its facing: the whole answer needs it."""
    found = _table(path)
    found["faces"].setdefault("friction", 0.30)
    return found


_WIRE = {"construction": "1x19", "material": "stainless", "diameter": 2.5, "length": 900.0}
DOCUMENTS: dict[str, dict[str, Any]] = {
    **_table(TESTS / "validation" / "point_equilibrium_scenarios.toml"),
    **{p.stem: _whole(p) for p in sorted((TESTS.parent / "geometries").glob("*.toml"))},
    "base-clutch": _BASE,
    "arm on a drum": _base() | {"arm": {"kind": "drum", "drum_radius": 40.0, "return_torque": 0.3}},
    "ends in the slack": _base(lever={"hand_travel": 3.0}),
    "ends as the cable stretches": _base(lever={"hand_travel": 7.0}),
    "ends in the float": _base(lever={"hand_travel": 10.0}),
    "ends on the cushion": _base(lever={"hand_travel": 24.0}),
    "no cushion, not released": _base(faces={"cushion_travel": 0.0}, lever={"hand_travel": 20.0}),
    "rubbing spring": _base(spring={"friction": 0.05}),
    "rubbing spring, not released": _base(spring={"friction": 0.05}, lever={"hand_travel": 20.0}),
    "wire and casing": _base(
        cable={"stiffness": None, "wire": _WIRE, "housing": {"stiffness": 900.0}}
    ),
    "take-up at the hand": _base(cable={"free_play": None, "take_up_at_hand": 12.0}),
    "free play at the hand": _base(cable={"free_play": None, "free_play_at_hand": 7.0}),
    "holds itself": _base(release={"friction_angle": 15.0}),
    "end of the track": _base(
        release={"max_rotation": 8.0}, lever={"stiffness": 50.0, "efficiency": 0.9}
    ),
    "run-outs with angles": _base(
        faces={"pressure_plate_runout_angle": 10.0, "lift_tilt_angle": 100.0}
    ),
    "moved pivot": _base(lever={"hand_angle": -100.0, "pivot_shift_x": 1.0, "pivot_shift_y": -0.5}),
    "arm holds itself": _base(arm={"efficiency": 0.45}),
    "lever holds itself": _base(lever={"efficiency": 0.45}),
}
NAMES = list(DOCUMENTS)


@cache
def mechanism_of(name: str) -> Mechanism:
    return from_document(DOCUMENTS[name], name, "nothing")
