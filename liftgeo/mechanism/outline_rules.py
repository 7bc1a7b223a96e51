"""Rules between shapes: a blade that comes to its grip, an arm clear of its casing."""

from __future__ import annotations

import numpy as np

from liftgeo.errors import Reason
from liftgeo.mechanism import grip
from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.key_facts import number
from liftgeo.mechanism.laying import BLADE_AND_GRIP
from liftgeo.mechanism.link_points import link_points, turned_at_rest_rad
from liftgeo.mechanism.rule import Rule, fixed, length
from liftgeo.parts.contact import apart_at_rest_mm
from liftgeo.parts.plane import as_complex, lines_apart_mm
from liftgeo.parts.values import Values

_FRAME = {
    "lever": "a frame with the pivot at the origin, +x to the cable stop, +y to the nipple's side",
    "arm": "a frame with the shaft at the origin, +x to the cable stop, +y to the cable end's side",
}


def _frame(keys: Inward, table: str) -> str:
    """Return in which frame the shapes of lever or arm belong."""
    if f"{table}.points.pivot" in keys:
        return f"the frame of {table}.points"
    return _FRAME[table]


def _starts_clear(keys: Inward) -> Values:
    at_grip = keys.grip_angle_rad
    return np.asarray(True) if at_grip is None else ~np.asarray(at_grip <= 0)


def _meets(keys: Inward) -> Values:
    at_grip = keys.grip_angle_rad
    return np.asarray(True) if at_grip is None else ~np.isnan(at_grip)


def _gap_at_rest_mm(keys: Inward) -> float:
    """Return what lies between blade and bare grip at rest, below 0 where they overlap [mm]."""
    blade, place = (as_complex(keys[k])[:, None] for k in ("lever.outline.points", "grip.place"))
    widths = keys["lever.outline.width"] + keys["grip.diameter"]
    return float(np.squeeze(apart_at_rest_mm(blade, place)) - widths / 2)


def _touching_key(keys: Inward) -> str:
    return "grip.allowance" if _gap_at_rest_mm(keys) > 0 else "grip.place"


def _touching_text(keys: Inward) -> tuple[str, str]:
    gap = _gap_at_rest_mm(keys)
    if gap > 0:
        return (
            f"At rest {length(gap)} lie between blade and grip; an allowance of "
            f"{length(number(keys, 'grip.allowance'))} leaves the lever no travel.",
            "Give what really stays between them at full lever; 0 where the blade comes to the "
            "bare grip.",
        )
    return (
        f"At rest the blade of lever.outline overlaps the grip already, by {length(-gap)}.",
        f"Measure both, lever at rest, in {_frame(keys, 'lever')}.",
    )


def _never_text(keys: Inward) -> tuple[str, str]:
    problem = "Turned the way of pulling, the blade of lever.outline never meets the grip."
    if not np.isnan(grip.contact_rad(keys, number(keys, "grip.allowance"), way=-1)):
        way = "the nipple goes away from the cable stop"
        if keys.get("lever.kind", "pin") != "pin":
            way = "it turns from +x to +y"
        return (
            f"{problem} Turned the other way it would.",
            f"Pulled, {way}: measure both, lever at rest, in {_frame(keys, 'lever')}.",
        )
    return (
        f"{problem} It turns past it.",
        "Draw the blade to its tip, and the grip along its whole length; or give "
        "lever.hand_travel.",
    )


def _arm_gaps_mm(keys: Inward) -> list[Values]:
    """Return the gap at rest between the arm and each outline of the casing [mm]."""
    line, half = as_complex(keys["arm.outline.points"]), keys["arm.outline.width"] / 2
    turned: Values = turned_at_rest_rad(keys, "arm")
    turn, pivot = np.asarray(1.0 + 0.0j), np.asarray(0.0j)
    if np.any(turned):  # else one line, in any batch, and without the arm's own sides
        link = link_points(keys, "arm")
        turn, pivot = np.exp(1j * link.turning * turned), as_complex(link.pivot)
    turn, pivot = np.broadcast_arrays(turn, pivot)
    shape = turn.shape
    each = zip(pivot.ravel(), turn.ravel(), strict=True)
    lines = [about + (line - about) * by for about, by in each]
    gaps: list[Values] = []
    for outline in keys["casing.outlines"]:
        edge = as_complex(outline)
        apart = [lines_apart_mm(at, edge, closed=True) for at in lines]
        gaps.append(np.reshape(apart, shape) - half)
    return gaps


def _arm_starts_clear(keys: Inward) -> Values:
    return np.min(np.stack(_arm_gaps_mm(keys)), axis=0) > 0


def _arm_text(keys: Inward) -> tuple[str, str]:
    gaps = [float(gap) for gap in _arm_gaps_mm(keys)]
    which = int(np.argmin(gaps))
    name = "the outline" if len(gaps) == 1 else f"outline {which + 1}"
    how = "touches" if gaps[which] == 0 else "overlaps"
    if np.any(turned_at_rest_rad(keys, "arm")):
        return (
            f"Turned on its shaft (arm.turned), the arm of arm.outline {how} {name} of the casing "
            "at rest already.",
            "Turn it less, or the other way; where the file itself is wrong, "
            f"measure both in {_frame(keys, 'arm')}.",
        )
    return (
        f"At rest the arm of arm.outline {how} {name} of the casing already.",
        f"Leave out the boss that the arm turns over; measure both in {_frame(keys, 'arm')}.",
    )


# What has a say in where the blade meets the grip.
_GRIP_KEYS = ("lever", "grip")

OUTLINE_RULES: tuple[Rule, ...] = (
    Rule(
        Reason.GRIP_CONTACT,
        BLADE_AND_GRIP,
        _starts_clear,
        _touching_key,
        _touching_text,
        reads=_GRIP_KEYS,
        forms=True,
    ),
    Rule(
        Reason.GRIP_CONTACT,
        BLADE_AND_GRIP,
        _meets,
        fixed("grip.place"),
        _never_text,
        reads=_GRIP_KEYS,
        forms=True,
    ),
    Rule(
        Reason.ARM_TRIANGLE,
        ("arm.outline.points", "arm.outline.width", "casing.outlines"),
        _arm_starts_clear,
        fixed("casing.outlines"),
        _arm_text,
    ),
)
