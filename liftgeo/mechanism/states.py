"""What the file tells of the mechanism hot, and of it with the bars turned to full lock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from liftgeo.chain.linkage import Parts
from liftgeo.chain.states import pushed_back
from liftgeo.mechanism.key_facts import number
from liftgeo.parts.values import Values

Keys = Mapping[str, Any]

EXPANSION = {"aluminium": 23e-6, "magnesium": 26e-6, "cast iron": 11e-6, "steel": 11.5e-6}
"""Thermal expansion of a casing [1/K]; all from memory."""


def casing_expansion(keys: Keys) -> Values:
    """Return the casing's thermal expansion [1/K]: given, or of its material."""
    given = keys.get("warm.casing_expansion")
    return EXPANSION[str(keys["warm.casing_material"])] if given is None else given


def rod_growth_mm(keys: Keys) -> Values:
    """Return by how much heat shortens the way from unit to plate against the rod [mm].

    Casing and rod span the same stretch. A casing that grows more than its rod leaves a push rod
    short, so its float grows; it draws a pull rod tight.
    """
    length = keys["warm.casing_length"]
    casing = length * casing_expansion(keys)
    rod = keys.get("warm.rod_length", length) * number(keys, "warm.rod_expansion")
    tighter = (casing - rod) * keys["warm.temperature_rise"]
    return tighter if keys.get("rod.action", "pull") == "pull" else -tighter


def is_warmed(keys: Keys) -> bool:
    """Return whether the file tells what heat does."""
    return "warm.temperature_rise" in keys and "warm.casing_length" in keys


def heated(parts: Parts, keys: Keys) -> Parts:
    """Return the mechanism hot, as `[warm]` tells it."""
    friction = keys.get("warm.facing_friction")
    faces = parts.faces if friction is None else replace(parts.faces, friction=friction)
    return pushed_back(replace(parts, faces=faces), rod_growth_mm(keys))


def is_turned(keys: Keys) -> bool:
    """Return whether the file tells what full lock does to the cable."""
    return "cable.bend_turned" in keys or "cable.free_play_turned" in keys


def turned(parts: Parts, keys: Keys) -> Parts:
    """Return the mechanism with the bars at full lock: other bends, other slack."""
    cable = parts.cable
    bend = np.radians(keys["cable.bend_turned"]) if "cable.bend_turned" in keys else cable.bend_rad
    clearance = keys.get("cable.liner_clearance", 0.0)
    slack = cable.slack_mm + clearance * (bend - cable.bend_rad)
    if "cable.free_play_turned" in keys:
        slack = keys["cable.free_play_turned"] + keys.get("cable.seating", 0.0) + clearance * bend
    return replace(parts, cable=replace(cable, bend_rad=bend, slack_mm=np.maximum(slack, 0.0)))
