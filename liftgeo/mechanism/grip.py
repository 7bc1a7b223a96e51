"""Where the blade meets the grip: hand travel from the shapes of both."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from liftgeo.mechanism.key_facts import number
from liftgeo.mechanism.laying import BLADE_AND_GRIP, TRAVELS, covers
from liftgeo.mechanism.link_points import link_points
from liftgeo.parts.contact import first_contact_rad
from liftgeo.parts.plane import as_complex
from liftgeo.parts.values import Values

Keys = Mapping[str, Any]

_ONLY_DRAWN = ("arm.outline", "casing", "lever.stop_direction", "arm.stop_direction")


def shaped(keys: Keys) -> bool:
    """Return whether the file gives both shapes, blade and grip."""
    return all(key in keys for key in BLADE_AND_GRIP)


def travel_from_shapes(keys: Keys) -> bool:
    """Return whether hand travel is where the blade meets the grip, not a number of the file."""
    return shaped(keys) and not any(key in keys for key in TRAVELS)


def idle(keys: Keys, dotted: str) -> bool:
    """Return whether no number of the stroke goes by a key: it only draws, or warns.

    So do blade and grip beside a hand travel that is given.
    """
    if covers(_ONLY_DRAWN, dotted):
        return True
    return covers(("grip", "lever.outline"), dotted) and not travel_from_shapes(keys)


def contact_rad(keys: Keys, allowance_mm: Values = 0.0, way: int = 1) -> Values:
    """Return the blade's angle at which it meets the grip [rad]; 0 at rest already, NaN never.

    Parameters
    ----------
    keys : mapping
        With both shapes; numbers or arrays of shape (N,).
    allowance_mm : float or array
        What stays between them [mm].
    way : {+1, -1}
        -1: turned against the way of pulling.
    """
    lever = link_points(keys, "lever")
    reach = (keys["lever.outline.width"] + keys["grip.diameter"]) / 2 + allowance_mm
    return first_contact_rad(
        as_complex(keys["lever.outline.points"]),
        as_complex(keys["grip.place"]),
        reach,
        as_complex(lever.pivot),
        way * lever.turning,
    )


def grip_angle_rad(keys: Keys) -> Values:
    """Return the blade's angle at full lever from both shapes and the allowance [rad]."""
    return contact_rad(keys, number(keys, "grip.allowance"))


def hand_travel_mm(keys: Keys, hand_radius_mm: Values, at_grip_rad: Values | None) -> Values:
    """Return hand travel from rest to grip: given, from the blade's angle, or from its shape [mm].

    Parameters
    ----------
    at_grip_rad : float, array or None
        The blade's angle where it meets the grip, where that is asked.
    """
    if "lever.hand_travel" in keys:
        return keys["lever.hand_travel"]
    if at_grip_rad is not None:
        return hand_radius_mm * at_grip_rad
    return hand_radius_mm * np.radians(keys["lever.travel"])
