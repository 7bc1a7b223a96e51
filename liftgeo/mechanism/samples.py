"""Invented sizes for a part of every kind: pictures and sheets of what nobody has measured yet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from liftgeo.kinds import KINDS

SAMPLES: Mapping[str, Mapping[str, Mapping[str, Any]]] = {
    "lever": {
        "pin": {
            "nipple_radius": 27,
            "stop_distance": 43,
            "rest_length": 46,
            "hand_radius": 78,
            "hand_travel": 42,
        },
        "drum": {"drum_radius": 20, "hand_radius": 78, "hand_travel": 42},
        "profile": {
            "angle": [0, 15, 30],
            "pull": [0, 7, 13],
            "hand_radius": 78,
            "hand_travel": 40,
        },
    },
    "arm": {
        "pin": {"radius": 36, "stop_distance": 92, "rest_length": 88},
        "drum": {"drum_radius": 34},
        "profile": {"angle": [0, 15, 30], "pull": [0, 9, 17]},
    },
    "release": {
        "ball-ramp": {"pitch_radius": 17, "ramp_angle": 15, "ball_diameter": 9, "ball_count": 3},
        "quick-thread": {"lead": 24, "mean_diameter": 22},
        "rack": {"pinion_radius": 5},
        "crank": {"crank_radius": 6, "link_length": 18, "offset": 3, "rest_angle": -25},
        "eccentric": {"eccentricity": 5, "cam_radius": 12, "rest_angle": -25},
        "profile": {"angle": [0, 15, 30], "travel": [0.0, 1.2, 2.5]},
    },
    "spring": {
        "coned-disc": {
            "outside_diameter": 60,
            "inside_diameter": 30,
            "thickness": 3.0,
            "cone_height": 9.0,
            "installed_deflection": 2.0,
            "in_series": 2,
        },
        "coils": {"count": 6, "rate": 32, "free_length": 46, "installed_length": 36},
        "table": {"deflection": [0, 4, 8], "load": [0, 900, 1700], "installed_deflection": 5},
    },
}
"""Sizes of each kind of a table that has kinds; invented, of no machine."""

_REST: Mapping[str, Mapping[str, Any]] = {
    "cable": {},
    "rod": {"action": "pull"},
    "faces": {
        "friction_plates": 1,
        "outside_diameter": 130,
        "inside_diameter": 90,
        "running": "dry",
    },
}
"""The tables without kinds that a whole answer needs; invented."""


def sample_table(table: str, kind: str) -> dict[str, Any]:
    """Return one table of a kind as a document has it, of invented sizes.

    Raises
    ------
    KeyError
        No such table, or no such kind of it.
    """
    return {"kind": kind, **SAMPLES[table][kind]}


def sample_document(kinds: Mapping[str, str]) -> dict[str, Any]:
    """Return a whole document of invented sizes.

    Parameters
    ----------
    kinds : mapping
        Kind of "lever", "arm", "release" and "spring"; the first of those left out.
    """
    found = {t: sample_table(t, kinds.get(t, KINDS[t][0])) for t in SAMPLES}
    return {**found, **{table: dict(keys) for table, keys in _REST.items()}}
