"""Where the curves of a stroke may lie: what 5 and 95 of 100 clutches measured alike lie below."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from liftgeo.chain import budget
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.drawing import Drawn, draw
from liftgeo.outcome.outcome import outcome_of
from liftgeo.outcome.results import Result
from liftgeo.outcome.rows import stroke_columns

Array = NDArray[np.float64]

MOST_STROKES = 400
"""Strokes that a band is drawn from."""

_POSITIONS = 101
_LOW, _HIGH = 0.05, 0.95
_ROUNDING = 1e-9
_REACHED = 0.5  # of the strokes; further out a band says little


@dataclass(frozen=True, eq=False, repr=False)
class Band:
    """A low and a high along a curve, arrays of shape (travels,)."""

    low: Array
    high: Array


@dataclass(frozen=True, eq=False, repr=False)
class Bands:
    """The bands of a stroke, from 5 to 95 of 100.

    Attributes
    ----------
    hand_travel_mm : array of shape (travels,)
        Where the curves are compared [mm].
    hand_force_n, separation_mm : Band
        Pulling [N], and what the faces are apart [mm]; NaN past the travel that half of the
        strokes reach.
    budget_left_mm : mapping of str to (low, high)
        Lift left after each line of the budget [mm].
    strokes : int
        How many strokes they come from.
    """

    hand_travel_mm: Array
    hand_force_n: Band
    separation_mm: Band
    budget_left_mm: Mapping[str, tuple[float, float]]
    strokes: int


def _band(values: Array) -> Band:
    """Return the band over the first axis; NaN where less than half of the values are known."""
    enough = np.mean(np.isfinite(values), axis=0) >= _REACHED
    low = np.full(values.shape[1:], np.nan)
    high = low.copy()
    if np.any(enough):
        low[enough], high[enough] = np.nanquantile(values[:, enough], (_LOW, _HIGH), axis=0)
    return Band(low, high)


def _up_to(travels: Array, end_mm: float) -> Array:
    """Return travels, those beyond the end of a stroke by its rounding brought back to it."""
    return np.where(travels <= end_mm * (1 + _ROUNDING), np.minimum(travels, end_mm), travels)


def _ends(values: Array) -> tuple[float, float]:
    """Return the band of a single number."""
    low, high = np.quantile(values, (_LOW, _HIGH))
    return float(low), float(high)


def bands(drawn: Drawn, hand_travel_mm: ArrayLike) -> Bands:
    """Return the bands of hand force, separation and budget of mechanisms already drawn.

    Parameters
    ----------
    drawn : Drawn
        From `known.draw`; of many samples the first 400 are followed through their strokes.
    hand_travel_mm : array of shape (travels,)
        Hand travels at which the strokes are compared [mm]; rising, or standing still.
    """
    travels = np.asarray(hand_travel_mm, float)
    chosen = np.flatnonzero(drawn.good)[:MOST_STROKES]
    batch, shape = drawn.batch, (len(chosen),)
    over = {key: values[chosen] for key, values in batch.over.items()}
    carried = None if batch.carried_n is None else batch.carried_n[chosen]
    with np.errstate(all="ignore"):
        outcome = outcome_of(drawn.mechanism.varied(over).inward(over, carried), shape)
        columns = stroke_columns(outcome, _POSITIONS)
        left = [np.broadcast_to(x, shape) for x in outcome.budget_left_mm]
    reached = columns["hand_travel_mm"]

    def along(name: str) -> Array:
        rows = [
            np.interp(_up_to(travels, found[-1]), found, column, right=np.nan)
            for found, column in zip(reached.T, columns[name].T, strict=True)
        ]
        return np.array(rows).reshape(len(chosen), len(travels))

    return Bands(
        travels,
        _band(along("hand_force_n")),
        _band(along("separation_mm")),
        {item: _ends(values) for item, values in zip(budget.ITEMS, left, strict=True)},
        len(chosen),
    )


def bands_of(mechanism: Mechanism, result: Result) -> Bands | None:
    """Return the bands of a mechanism along its own stroke; None where nothing is uncertain."""
    drawn = draw(mechanism, MOST_STROKES)
    if drawn is None or result.stroke is None or not np.any(drawn.good):
        return None
    return bands(drawn, result.stroke.hand_travel_mm)
