"""What speaks against a remedy, and how much it gives of what it is for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from liftgeo.cautions import ABOUT_THE_FILE
from liftgeo.cautions.rule import CAUTION, STOP
from liftgeo.studies.remedy_ways import BACK, EFFORT, GRIP, LIFT, PLAY

if TYPE_CHECKING:
    from liftgeo.studies.remedies import State

RIDES_MM = 0.3
"""Wear to riding that a remedy must leave [mm], unless the machine has less already; the line of
the caution "wear-to-riding"."""
_ONLY_WHEN_CLEAR = "clear-late"
"""A caution that only a clutch that runs clear can have; one that drags is no better off."""


def against(base: State, after: State, gives: str) -> str:
    """Return why a remedy is not to be offered; "" where nothing speaks against it."""
    known = set(base.warned)
    if base.clearance_per_face_mm < 0:
        known.add((CAUTION, _ONLY_WHEN_CLEAR))
    known.add((CAUTION, "drags"))  # told by the clearance beside it
    if (STOP, "no-release") in known:
        known.add((STOP, "drags"))
    for severity, key in after.warned:
        lasting = (STOP, key) in known or (severity == CAUTION and (CAUTION, key) in known)
        if not lasting and key not in ABOUT_THE_FILE:
            return key
    if after.verdict in ("slips", "no-release") and base.verdict != after.verdict:
        return after.verdict
    wanted = any(short.what == "slip_margin" for short in after.short)
    if gives != GRIP and wanted and after.slip_margin < base.slip_margin - 1e-9:
        return "takes-grip"
    if after.wear_to_riding_mm < min(RIDES_MM, base.wear_to_riding_mm) - 1e-9:
        return "little-wear-left"
    return ""


def gain(base: State, after: State, gives: str) -> float:
    """Return how much of what it is for a remedy gives, in its own unit."""
    return {
        LIFT: after.clearance_per_face_mm - base.clearance_per_face_mm,
        EFFORT: base.peak_hand_force_n - after.peak_hand_force_n,
        GRIP: after.slip_margin - base.slip_margin,
        BACK: after.return_hand_force_n - base.return_hand_force_n,
        PLAY: min(after.wear_to_riding_mm, RIDES_MM) - min(base.wear_to_riding_mm, RIDES_MM),
    }[gives]
