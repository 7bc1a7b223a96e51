"""The rows of a stroke: where they stand on the stroke coordinate, and their columns."""

from __future__ import annotations

import numpy as np

from liftgeo.chain import FACES_PART, JOINTS, position
from liftgeo.outcome.outcome import Outcome
from liftgeo.parts.cable import BACK
from liftgeo.parts.values import Values


def stroke_coordinates(outcome: Outcome, positions: int) -> Values:
    """Return the stroke coordinates of the rows, shape (positions, ...), rest and events included.

    Rows are evenly spread in hand travel; the nearest row to each event is moved onto it.
    """
    end, shape = outcome.end, outcome.shape
    marks = [np.minimum(j, end.at) for j in JOINTS]
    jumps = [*end.jumps_from, *end.jumps_to] if np.any(end.jumps) else []
    marks += [*jumps, end.at]
    knots = np.sort(np.stack([np.broadcast_to(m, shape) for m in marks]), axis=0)
    travel = np.broadcast_to(position(outcome.parts, knots).hand_travel_mm, knots.shape)
    travel = np.maximum.accumulate(np.where(np.isnan(travel), 0.0, travel), axis=0)
    column = (-1,) + (1,) * len(shape)
    share = np.linspace(0.0, 1.0, positions).reshape(column)
    rows = _along(knots, travel, share * travel[-1])

    special = [*outcome.event_at, end.peak_at, *map(outcome.landed, marks[2:4]), *jumps]
    at = np.stack([np.broadcast_to(s, shape) for s in special])
    at = np.sort(np.where(np.isnan(at), 0.0, at), axis=0)
    reached = _along(travel, knots, at) / np.where(travel[-1] > 0, travel[-1], 1.0)
    slot = np.rint(reached * (positions - 1)).astype(int)
    inner = (at > 0) & (at < end.at)
    for k in range(len(at)):
        row = slot[k]
        if k:
            row = np.maximum(row, slot[k - 1] + inner[k - 1])
            row = np.where(at[k] == at[k - 1], slot[k - 1], row)
        slot[k] = np.minimum(np.maximum(row, 1), positions - 1 - len(at) + k)
        here = np.take_along_axis(rows, slot[k][None, ...], axis=0)
        np.put_along_axis(rows, slot[k][None, ...], np.where(inner[k], at[k], here), axis=0)
    rows[0], rows[-1] = 0.0, end.at
    return np.sort(rows, axis=0)


def _along(values: Values, knots: Values, wanted: Values) -> Values:
    """Return values at `wanted`, straight between knots (rows); steps in the knots are skipped."""
    found = np.broadcast_to(values[0], np.broadcast(wanted, knots[0]).shape).copy()
    for k in range(len(knots) - 1):
        width = knots[k + 1] - knots[k]
        if not np.any(width > 0):
            continue
        step = (wanted - knots[k]) / np.where(width > 0, width, 1.0)
        step = np.minimum(np.maximum(step, 0.0), 1.0)
        inside = (wanted >= knots[k]) & (width > 0)
        found = np.where(inside, values[k] + step * (values[k + 1] - values[k]), found)
    return found


def stroke_columns(outcome: Outcome, positions: int) -> dict[str, Values]:
    """Return the columns of the stroke, each of shape (positions, ...)."""
    at = stroke_coordinates(outcome, positions)
    parts = outcome.parts
    pull, back = outcome.pulled_to(at), position(parts, at, BACK)
    with np.errstate(all="ignore"):
        ideal = parts.lever.hand_radius_mm * pull.arm_moment_arm_mm
        ideal = ideal / (pull.lever_moment_arm_mm * pull.unit.slope_mm_per_rad)
        advantage = np.where(pull.hand_force_n > 0, pull.rod_force_n / pull.hand_force_n, np.nan)
    columns = {
        "hand_travel_mm": pull.hand_travel_mm,
        "lever_angle_deg": np.degrees(pull.lever_angle_rad),
        "cable_pull_mm": pull.cable_pull_mm,
        "arm_rotation_deg": np.degrees(pull.arm_rotation_rad),
        "rod_travel_mm": pull.rod_travel_mm,
        "plate_lift_mm": pull.lift_mm,
        "separation_mm": np.maximum(at - FACES_PART, 0.0),
        "hand_force_n": pull.hand_force_n,
        "return_hand_force_n": back.hand_force_n,
        "return_hand_travel_mm": back.hand_travel_mm,
        "cable_tension_n": pull.tension_n,
        "rod_force_n": pull.rod_force_n,
        "clamp_force_n": pull.clamp_force_n,
        "ideal_advantage": ideal,
        "advantage": advantage,
    }
    return {name: np.broadcast_to(column, at.shape) for name, column in columns.items()}
