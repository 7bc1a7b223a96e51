"""Why a number of a measuring sheet has no letter on its drawings."""

from __future__ import annotations

from collections.abc import Mapping

NO_LETTER = (
    "A row without a letter has nothing to draw: a count, a load, a word to ring, or a figure from "
    "a list."
)
"""Said once, at the head of a sheet."""

COUNT, LOAD, WORD, LISTED, UNMEASURED = (
    "a count",
    "a load or rate",
    "a word",
    "listed",
    "unmeasured",
)

_ROUND_THE_AXIS = "counted round the axis, which the half section does not show"
_AS_FREE_PLAY = "as with straight bars"
_ON_THE_DRAWING = "a point that is named on the drawing"
_CHANGED_ONLY = "set by a change, not measured on what is there"
NOT_IN_VIEW: Mapping[str, str] = {
    "lever.axial_offset": "square to the paper",
    "arm.axial_offset": "square to the paper",
    "lever.stop_direction": "the hole of the stop is too small to show",
    "arm.stop_direction": "the hole of the stop is too small to show",
    **{f"lever.points.{p}": _ON_THE_DRAWING for p in ("pivot", "pin", "stop", "hand")},
    **{f"arm.points.{p}": _ON_THE_DRAWING for p in ("pivot", "pin", "stop")},
    **{f"lever.{k}": _CHANGED_ONLY for k in (
        "hole", "stop_shift_x", "stop_shift_y", "pivot_shift_x", "pivot_shift_y")},
    **{f"arm.{k}": _CHANGED_ONLY for k in ("hole", "turned", "stop_shift_x", "stop_shift_y")},
    "cable.bend_turned": _AS_FREE_PLAY,
    "cable.free_play_turned": _AS_FREE_PLAY,
    "casing.least_gap": "wanted, not measured",
    "bearing.bore": "the bearing is not drawn",
    "bearing.axial_play": "the bearing is not drawn",
    "warm.casing_length": "along the casing, of which nothing else is drawn",
    "warm.rod_length": "along the casing, of which nothing else is drawn",
    "faces.rim_angles": _ROUND_THE_AXIS,
    "faces.pressure_plate_runout_angle": _ROUND_THE_AXIS,
    "faces.lift_tilt_angle": _ROUND_THE_AXIS,
    "release.max_rotation": "seen along the shaft, which this view is not",
}  # fmt: skip
"""Lengths and angles that are measured and that no drawing of the sheet can show, with why."""


def why_undrawn(key: str, form: str, dimension: str, how: str) -> str:
    """Return why a number has nothing to draw; "" where a drawing should have it.

    Parameters
    ----------
    key : str
    form : {"number", "list", "word"}
    dimension : str
        Of a number: "length", "angle", "force" …
    how : str
        How it is measured; "" where it hardly can be.
    """
    if form == "word":
        return WORD
    if not how:
        return UNMEASURED
    if how.startswith("count") or "teeth: " in how:
        return COUNT
    if how.startswith(("see its", "its data sheet", "your choice", "estimate")):
        return LISTED
    if dimension not in ("length", "angle"):
        return LOAD
    return NOT_IN_VIEW.get(key, "")
