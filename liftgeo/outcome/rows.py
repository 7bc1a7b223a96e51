"""The rows of a stroke: where they stand on the stroke coordinate, and their columns."""

from __future__ import annotations

import numpy as np

from liftgeo.chain import FACES_PART, JOINTS, position
from liftgeo.outcome.outcome import Outcome
from liftgeo.parts.cable import BACK
from liftgeo.parts.values import Values, rows_of, spread


def stroke_coordinates(outcome: Outcome, positions: int) -> Values:
    """Return the stroke coordinates of the rows, shape (positions, ...), rest and events included.

    Rows are evenly spread in hand travel; the nearest row to each event is moved onto it.
    """
    end, shape = outcome.end, outcome.shape
    marks = [np.minimum(j, end.at) for j in JOINTS]
    jumps = [*end.jumps_from, *end.jumps_to] if np.any(end.jumps) else []
    marks += [*jumps, end.at]
    knots = np.sort(rows_of(marks, shape), axis=0)
    travel = spread(position(outcome.parts, knots).hand_travel_mm, knots.shape)
    travel = np.maximum.accumulate(np.where(np.isnan(travel), 0.0, travel), axis=0)
    column = (-1,) + (1,) * len(shape)
    share = np.linspace(0.0, 1.0, positions).reshape(column)
    rows = _along(knots, travel, share * travel[-1])

    special = [*outcome.event_at, end.peak_at, *map(outcome.landed, marks[2:4]), *jumps]
    at = rows_of(special, shape)
    at = np.sort(np.where(np.isnan(at), 0.0, at), axis=0)
    reached = _along(travel, knots, at) / np.where(travel[-1] > 0, travel[-1], 1.0)
    inner = (at > 0) & (at < end.at)
    slot = _slots(np.rint(reached * (positions - 1)).astype(int), at, inner, positions)
    here = np.take_along_axis(rows, slot, axis=0)
    np.put_along_axis(rows, slot, np.where(inner, at, here), axis=0)
    rows[0], rows[-1] = 0.0, end.at
    return np.sort(rows, axis=0)


def _slots(nearest: Values, at: Values, inner: Values, positions: int) -> Values:
    """Return a row for each place, in order: the nearest, or the next that is still free."""
    count = len(at)
    place = np.arange(count).reshape((-1,) + (1,) * (at.ndim - 1))
    other = np.ones(at.shape, bool)
    other[1:] = at[1:] != at[:-1]  # the same place twice takes one row
    taken = np.zeros(at.shape, int)
    np.cumsum(other[1:] & inner[:-1], axis=0, out=taken[1:])
    slot = np.maximum.accumulate(np.maximum(nearest, 1) - taken, axis=0) + taken
    first = np.maximum.accumulate(np.where(other, place, 0), axis=0)
    return np.minimum(slot, positions - 1 - count + first)


def _along(values: Values, knots: Values, wanted: Values) -> Values:
    """Return values at `wanted`, straight between knots (rows); steps in the knots are skipped."""
    k = np.zeros(np.broadcast(wanted, knots[0]).shape, int)
    for knot in knots[1:-1]:
        k += wanted >= knot
    low, first = (np.take_along_axis(rows, k, axis=0) for rows in (knots, values))
    high, last = (np.take_along_axis(rows, k + 1, axis=0) for rows in (knots, values))
    width = high - low
    step = (wanted - low) / np.where(width > 0, width, np.inf)
    return first + np.minimum(np.maximum(step, 0.0), 1.0) * (last - first)


def stroke_columns(outcome: Outcome, positions: int) -> dict[str, Values]:
    """Return the columns of the stroke, each of shape (positions, ...)."""
    return columns_at(outcome, stroke_coordinates(outcome, positions))


def columns_at(outcome: Outcome, at: Values) -> dict[str, Values]:
    """Return the columns of the stroke at stroke coordinates, each of their shape."""
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
    return {name: spread(column, np.shape(at)) for name, column in columns.items()}
