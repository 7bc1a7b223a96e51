"""What a partial answer tells: of every number, the table it needs; the others are left out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TypeVar

import numpy as np

from liftgeo.outcome import results

PARTIAL = "partial"
LEVELS = ("ratio", "lift", "effort", "full")

_RATIO = ("hand_travel_mm", "lever_angle_deg", "cable_pull_mm", "arm_rotation_deg")
_LIFT = (*_RATIO, "rod_travel_mm", "plate_lift_mm", "ideal_advantage")
_EFFORT = (
    *_LIFT,
    "hand_force_n",
    "return_hand_force_n",
    "return_hand_travel_mm",
    "cable_tension_n",
    "rod_force_n",
    "advantage",
)
_TOLD: Mapping[str, tuple[str, ...]] = {
    "ratio": (*_RATIO, "cable_to_arm_angle_deg"),
    "lift": (*_LIFT, "cable_to_arm_angle_deg"),
    "effort": (*_EFFORT, "cable_to_arm_angle_deg", "spring_to_stop_mm"),
}
"""Of full lever and of the stroke: what each level tells."""

_BUDGET: Mapping[str, tuple[str, ...]] = {
    "ratio": (),
    "lift": ("geometry", "free-play", "end-float"),
    "effort": (
        "geometry",
        "free-play",
        "lever-flex",
        "cable-stretch",
        "shaft-wind-up",
        "end-float",
        "rod-flex",
        "stop",
    ),
}

Block = TypeVar(
    "Block",
    results.FullLeverResult,
    results.Peak,
    results.Effort,
    results.Capacity,
    results.BearingResult,
    results.HandResult,
    results.StrengthResult,
)


def _only(block: Block, told: tuple[str, ...]) -> Block:
    """Return a block with NaN for every number that is not told."""
    return replace(block, **{n: np.nan for n in vars(block) if n not in told})


def _table(table: results.StrokeTable | None, told: tuple[str, ...]) -> results.StrokeTable | None:
    if table is None:
        return None
    nothing = np.full(len(table.hand_travel_mm), np.nan)
    return replace(table, **{n: nothing for n in vars(table) if n not in told})


def told(result: results.Result, level: str) -> results.Result:
    """Return a result without what needs a table that is missing; its verdict is "partial".

    Parameters
    ----------
    result : Result
        Worked out with stand-ins where a table is missing.
    level : {"ratio", "lift", "effort"}
        How far the file reaches.
    """
    names, lines = _TOLD[level], _BUDGET[level]
    loaded = level == "effort"
    return replace(
        result,
        verdict=PARTIAL,
        full_lever=_only(result.full_lever, names),
        peak=_only(result.peak, ("hand_force_n", "hand_travel_mm") if loaded else ()),
        effort=_only(result.effort, ("work_j",) if loaded else ()),
        events=tuple(_event(event, loaded or level == "lift") for event in result.events),
        budget=tuple(_line(line, lines) for line in result.budget),
        capacity=_only(result.capacity, ("clamp_force_n",) if loaded else ()),
        bearing=_only(result.bearing, tuple(vars(result.bearing)) if loaded else ()),
        hand=_only(result.hand, tuple(vars(result.hand)) if loaded else ()),
        strength=_only(result.strength, ("rod_buckling_load_n", "cable_breaking_load_n")),
        spring=result.spring if loaded else None,
        unit=result.unit if level != "ratio" else None,
        stroke=_table(result.stroke, names),
        turned=None,
        hot=None,
    )


def _event(event: results.Event, told: bool) -> results.Event:
    if told and event.name == "slack-taken-up":
        return event
    return results.Event(event.name, np.nan, np.nan, np.nan)


def _line(line: results.BudgetLine, told: tuple[str, ...]) -> results.BudgetLine:
    return line if line.item in told else results.BudgetLine(line.item, np.nan, np.nan)
