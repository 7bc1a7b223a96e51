"""One mechanism's whole result."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from functools import partial
from typing import TypeAlias

import numpy as np

from liftgeo.cautions import Case, Warning, found, written
from liftgeo.chain import budget
from liftgeo.errors import RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.convert import hand_force_target_n, slip_margin_target
from liftgeo.outcome import results, values
from liftgeo.outcome.blocks import spring, state, tilt, unit
from liftgeo.outcome.outcome import EVENTS, VERDICTS, Outcome, analysed
from liftgeo.outcome.partial import told
from liftgeo.outcome.rows import stroke_columns
from liftgeo.outcome.values import picked
from liftgeo.parts.values import Index, Values
from liftgeo.version import __version__

FEWEST_POSITIONS, MOST_POSITIONS = 100, 100_000


def check_positions(positions: int) -> None:
    """Raise RequestError for too few rows of a stroke, or more than anybody could read."""
    if positions < FEWEST_POSITIONS:
        raise RequestError(f"{positions} positions are too few; at least {FEWEST_POSITIONS}.")
    if positions > MOST_POSITIONS:
        raise RequestError(f"{positions} positions are too many; at most {MOST_POSITIONS}.")


def _event(outcome: Outcome, index: Index, k: int, full_travel_mm: float) -> results.Event:
    """Return one event of one element; all NaN where it is not reached."""
    if np.isnan(outcome.picked(outcome.event_at[k], index)):
        return results.Event(EVENTS[k], np.nan, np.nan, np.nan)
    travel = outcome.picked(outcome.events.hand_travel_mm[k], index)
    angle = outcome.picked(np.degrees(outcome.events.lever_angle_rad[k]), index)
    return results.Event(EVENTS[k], travel, angle, full_travel_mm - travel)


Columns: TypeAlias = Callable[[], Mapping[str, Values]]
"""Gives the columns of the stroke (`stroke_columns`) when they are asked for."""


def result_at(
    outcome: Outcome, index: Index, mechanism: Mechanism, columns: Columns | None
) -> results.Result:
    """Return one element of an outcome as a whole result.

    Parameters
    ----------
    index : tuple of int
        Element of the batch; () for one mechanism.
    mechanism : Mechanism
        Gives title and change.
    columns : callable or None
        Gives the columns of the stroke; None leaves it out.

    Raises
    ------
    GeometryError
        The mechanism hot, or at full lock, ends in no number.
    """
    result = results.Result.holding(
        {
            "title": mechanism.title,
            "change": mechanism.change,
            "version": __version__,
            "verdict": VERDICTS[int(outcome.picked(outcome.verdict, index))],
            "stopped_by": outcome.stop_names[int(outcome.picked(outcome.end.limit, index))],
            "turned": state(outcome.clutch_end.turned, index, "bars at full lock"),
            "hot": state(outcome.clutch_end.hot, index, "hot"),
        },
        {
            "full_lever": lambda: results.FullLeverResult(
                **picked(values.FULL_LEVER, outcome, index)
            ),
            "peak": lambda: results.Peak(**picked(values.PEAK, outcome, index)),
            "effort": lambda: results.Effort(**picked(values.EFFORT, outcome, index)),
            "events": lambda: _events(outcome, index),
            "budget": lambda: _budget(outcome, index),
            "capacity": lambda: results.Capacity(**picked(values.CAPACITY, outcome, index)),
            "bearing": lambda: results.BearingResult(**picked(values.BEARING, outcome, index)),
            "stroke": lambda: None if columns is None else _table(columns(), index),
            "warnings": lambda: _warnings(outcome, index, mechanism),
            "spring": lambda: spring(outcome, index),
            "hand": lambda: results.HandResult(**picked(values.HAND, outcome, index)),
            "unit": lambda: unit(outcome, index),
            "strength": lambda: results.StrengthResult(**picked(values.STRENGTH, outcome, index)),
            "tilt": lambda: tilt(outcome, index),
        },
    )
    return result if mechanism.level == "full" else told(result, mechanism.level)


def _events(outcome: Outcome, index: Index) -> tuple[results.Event, ...]:
    travel = outcome.picked(outcome.full.hand_travel_mm, index)
    return tuple(_event(outcome, index, k, travel) for k in range(len(EVENTS)))


def _budget(outcome: Outcome, index: Index) -> tuple[results.BudgetLine, ...]:
    left = [outcome.picked(x, index) for x in outcome.budget_left_mm]
    lost = [0.0] + [a - b for a, b in itertools.pairwise(left)]
    lines = zip(budget.ITEMS, lost, left, strict=True)
    return tuple(results.BudgetLine(*line) for line in lines)


def _table(columns: Mapping[str, Values], index: Index) -> results.StrokeTable:
    return results.StrokeTable(**{k: v[(slice(None), *index)] for k, v in columns.items()})


def _warnings(outcome: Outcome, index: Index, mechanism: Mechanism) -> tuple[Warning, ...]:
    if mechanism.level != "full":
        return written(mechanism)
    return found(Case(outcome, index), mechanism)


def stroke(mechanism: Mechanism, positions: int = 121) -> results.Result:
    """Return the whole result of one mechanism.

    Parameters
    ----------
    mechanism : Mechanism
        From `liftgeo.load`, or `.changed(...)`.
    positions : int
        Rows of the stroke, 100 at least; events are among them.

    Raises
    ------
    RequestError
        Fewer than 100 positions.
    """
    check_positions(positions)
    with np.errstate(all="ignore"):
        return result_of(mechanism, analysed(mechanism), positions)


def result_of(mechanism: Mechanism, outcome: Outcome, positions: int) -> results.Result:
    """Return the whole result of one mechanism whose outcome is found already."""
    return result_at(outcome, (), mechanism, partial(stroke_columns, outcome, positions))


def missed_targets(mechanism: Mechanism, result: results.Result) -> list[str]:
    """Return the targets a result misses, in words: clearance, hand force, slip margin."""
    keys, missed = mechanism.keys, []
    if result.verdict in ("no-release", "drags", "marginal") or (
        result.verdict == "slips" and not result.event("target-clear").reached
    ):
        missed.append("clearance")
    most = float(hand_force_target_n(keys))
    if result.peak.hand_force_n > most:
        missed.append(f"hand force, {result.peak.hand_force_n:.0f} N against {most:.0f} N")
    least = float(slip_margin_target(keys))
    if result.capacity.slip_margin < least:
        missed.append(f"slip margin, {result.capacity.slip_margin:.2f} against {least:.2f}")
    return missed
