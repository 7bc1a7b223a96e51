"""Least distances through the stroke between what a file outlines, and how cables leave stops."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from liftgeo.chain import JOINTS
from liftgeo.outline.gaps import Through, Turned, distances, outlined, stop_angles
from liftgeo.parts.values import Values

if TYPE_CHECKING:
    from liftgeo.outcome.outcome import Outcome

ROWS = 41
"""Places of each segment of the stroke that are looked at before the least is closed in on."""
_CLOSER, _ROUNDS = 13, 6


def gaps(outcome: Outcome) -> tuple[Through, ...]:
    """Return the least of every distance between what the file outlines; none: nothing drawn."""
    if not outlined(outcome.keys):
        return ()
    rows = _rows(outcome)
    return tuple(_through(outcome, what, of, rows) for what, of in distances(outcome.keys).items())


def stops(outcome: Outcome) -> tuple[Through, ...]:
    """Return the greatest angle of each cable to its stop; none where nothing is drawn."""
    if not outlined(outcome.keys):
        return ()
    rows = _rows(outcome)
    found = []
    for what, of in stop_angles(outcome.keys).items():
        at, angle = _utmost(outcome, lambda *turns, of=of: -of(*turns), rows)
        found.append(Through(what, -angle, outcome.pulled_to(at).hand_travel_mm))
    return tuple(found)


def _rows(outcome: Outcome) -> Values:
    """Return stroke coordinates from rest to full lever, joints among them, shape (rows, ...)."""
    end = np.broadcast_to(outcome.end.at, outcome.shape)
    marks = [np.minimum(joint, end) for joint in JOINTS] + [end]
    share = np.linspace(0.0, 1.0, ROWS).reshape((-1,) + (1,) * end.ndim)
    return np.concatenate([low + share * (high - low) for low, high in pairwise(marks)])


def _of_stroke(outcome: Outcome, of: Turned, at: Values) -> Values:
    """Return a distance at stroke coordinates."""
    place = outcome.pulled_to(outcome.landed(at))
    return of(
        np.broadcast_to(place.lever_angle_rad, at.shape),
        np.broadcast_to(place.arm_rotation_rad, at.shape),
    )


def _through(outcome: Outcome, what: str, of: Turned, rows: Values) -> Through:
    at, least = _utmost(outcome, of, rows)
    met = _first_met(outcome, of, rows)
    touch = outcome.pulled_to(outcome.landed(met))
    never = np.isnan(met)
    return Through(
        what,
        least,
        outcome.pulled_to(at).hand_travel_mm,
        np.where(never, np.nan, touch.hand_travel_mm),
        np.where(never, np.nan, touch.arm_rotation_rad),
    )


def _pick(rows: Values, k: Values) -> Values:
    """Return one row of each column."""
    return np.take_along_axis(rows, np.asarray(k)[None], axis=0)[0]


def _closer(low: Values, high: Values) -> Values:
    share = np.linspace(0.0, 1.0, _CLOSER).reshape((-1,) + (1,) * np.ndim(low))
    return low + share * (high - low)


def _utmost(outcome: Outcome, of: Turned, rows: Values) -> tuple[Values, Values]:
    """Return where a value is least on the stroke, and how small it is there."""
    for _ in range(_ROUNDS):
        values = _of_stroke(outcome, of, rows)
        k, last = np.argmin(values, axis=0), len(rows) - 1
        best = _pick(rows, k), _pick(values, k)
        rows = _closer(_pick(rows, np.maximum(k - 1, 0)), _pick(rows, np.minimum(k + 1, last)))
    return outcome.landed(best[0]), best[1]


def _first_met(outcome: Outcome, of: Turned, rows: Values) -> Values:
    """Return where a value first comes to 0 or below; NaN where it does not."""
    met: Values = np.nan
    for _ in range(_ROUNDS):
        touching = _of_stroke(outcome, of, rows) <= 0
        k = np.argmax(touching, axis=0)
        met = np.where(touching.any(axis=0), _pick(rows, k), met)
        rows = _closer(_pick(rows, np.maximum(k - 1, 0)), _pick(rows, k))
    return met
