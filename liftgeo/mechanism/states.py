"""The same mechanism in another state: worn, hot, or with the bars turned to full lock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from liftgeo.chain import Parts
from liftgeo.parts.moved_rest import LinkMovedBack, UnitMovedBack
from liftgeo.parts.values import Values

Keys = Mapping[str, Any]


def wear_to_riding_mm(parts: Parts) -> Values:
    """Return how far the pressure plate may sink before the rod is loaded at rest [mm].

    Notes
    -----
    (float + j slack/p)/i: the rod first loses its float, then pushes unit and arm back until the
    cable's slack is gone. The rod can only open the clutch, pulling or pushing, and the plate
    sinks the other way, so both kinds lose float. Source: derived in docs/theory.md, "The clutch
    end".
    """
    slope = parts.release.slope_mm_per_rad(0.0) / parts.arm.link.moment_arm_mm(0.0)
    return (parts.rod.float_mm + slope * parts.cable.slack_mm) / parts.rod.finger_ratio


def pushed_back(parts: Parts, rod_mm: Values) -> Parts:
    """Return the mechanism after the plate's end of the rod has moved `rod_mm` towards rest.

    Parameters
    ----------
    rod_mm : float or array
        Movement of the plate's end of the rod, the unit and the casing standing still [mm]; below
        zero it widens the float.

    Notes
    -----
    The float is used up first, then unit and arm turn back and the slack shrinks; both are
    continued below their rest as straight lines. Slack below zero means that the rod is loaded at
    rest; it is then kept at zero, and what is found is better than the truth.
    """
    unit, arm, cable = parts.release, parts.arm, parts.cable
    left = parts.rod.float_mm - rod_mm
    found = replace(parts, rod=replace(parts.rod, float_mm=np.maximum(left, 0.0)))
    if not np.any(left < 0):
        return found
    back = np.maximum(-left, 0.0) / unit.slope_mm_per_rad(0.0)
    slack = cable.slack_mm - back * arm.link.moment_arm_mm(0.0)
    torque = arm.return_torque_nmm - arm.return_rate_nmm_per_rad * back
    return replace(
        found,
        cable=replace(cable, slack_mm=np.maximum(slack, 0.0)),
        release=UnitMovedBack(unit, back),
        release_max_rotation_rad=parts.release_max_rotation_rad + back,
        arm=replace(
            arm,
            link=LinkMovedBack(arm.link, back),
            return_torque_nmm=np.maximum(torque, 0.0),
            max_rotation_rad=arm.max_rotation_rad + back,
        ),
    )


def worn(parts: Parts, pack_wear_mm: Values, *, readjusted: bool = False) -> Parts:
    """Return the mechanism with so much worn off all its facings together [mm].

    Parameters
    ----------
    pack_wear_mm : float or array
        How far the pressure plate has sunk towards the basket [mm].
    readjusted : bool
        True: float and slack have been set again as they were.
    """
    eased = replace(
        parts, installed_deflection_mm=parts.installed_deflection_mm - np.asarray(pack_wear_mm)
    )
    if readjusted:
        return eased
    return pushed_back(eased, parts.rod.finger_ratio * np.asarray(pack_wear_mm))


def rod_growth_mm(keys: Keys) -> Values:
    """Return by how much heat shortens the way from unit to plate against the rod [mm].

    Casing and rod span the same stretch. A casing that grows more than its rod leaves a push rod
    short, so its float grows; it draws a pull rod tight.
    """
    length = keys["warm.casing_length"]
    casing = length * keys["warm.casing_expansion"]
    rod = keys.get("warm.rod_length", length) * keys["warm.rod_expansion"]
    tighter = (casing - rod) * keys["warm.temperature_rise"]
    return tighter if keys["rod.action"] == "pull" else -tighter


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
