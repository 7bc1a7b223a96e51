"""Where the hand would have to come back: every jump of a stroke, and where it goes over centre."""

from __future__ import annotations

import numpy as np

from liftgeo.chain.course import Course, at_row, subset_root
from liftgeo.chain.linkage import Parts
from liftgeo.chain.positions import ROD_LOADS, position
from liftgeo.parts.values import Values

_MOST_JUMPS = 40
_SHARE_OF_CLAMP = 1e-9


def _landing(
    parts: Parts,
    shape: tuple[int, ...],
    course: Course,
    jumping: Values,
    first: Values,
    start: Values,
) -> tuple[Values, Values]:
    """Return where each jump ends, and where it does: travel reaches its level at the start again.

    Parameters
    ----------
    jumping, first, start : array
        Which mechanisms jump, the first sample at which travel falls, and where the jump begins.
    """
    points, travel = course.points, course.hand_travel_mm
    level = position(parts, start).hand_travel_mm
    rows = np.arange(len(points)).reshape((-1,) + (1,) * len(shape))
    again = (travel > level) & (rows > first) & (points > start)
    back = again.any(axis=0)
    beyond = np.where(back, again.argmax(axis=0), len(points) - 1)
    low = np.maximum(at_row(points, np.maximum(beyond - 1, 0)), start)
    lands = jumping & back
    end = subset_root(parts, shape, lands, low, at_row(points, beyond), "hand_travel_mm", level)
    return end, lands


def jumps_of(
    parts: Parts, shape: tuple[int, ...], course: Course, at: Values
) -> tuple[Values, Values]:
    """Return both ends of every jump, in order, of shape (J, *shape), J at least 1.

    Hand travel stops rising, and reaches its level again, or the end of the stroke. Both ends are
    `at` where a mechanism has no such jump.
    """
    points, speed = course.points, course.travel_rate
    falls = (speed < 0) | ((speed <= 0) & (course.lift_rate > 0))
    falls &= np.isfinite(speed) & (points < at) & (points > 0)
    none = np.broadcast_to(at, shape)
    starts, ends = [], []
    passed: Values = np.zeros(shape)
    for _ in range(_MOST_JUMPS):
        here = falls & (points > passed)
        jumping = here.any(axis=0)
        if not np.any(jumping):
            break
        first = here.argmax(axis=0)
        low = np.maximum(at_row(points, np.maximum(first - 1, 0)), passed)
        high = at_row(points, first)
        start = subset_root(parts, shape, jumping, low, high, "rates.hand_travel", 0.0)
        end, lands = _landing(parts, shape, course, jumping, first, start)
        starts.append(np.where(jumping, start, none))
        ends.append(np.where(lands, end, none))
        passed = ends[-1]
    if not starts:
        return none[None], none[None]
    return np.stack(starts), np.stack(ends)


def is_within(points: Values, starts: Values, ends: Values) -> Values:
    """Return which points lie inside one of the jumps, their ends left out."""
    inside: Values = np.zeros(np.shape(points), bool)
    for start, end in zip(starts, ends, strict=True):
        inside = inside | ((points > start) & (points < end))
    return inside


def over_centre_of(
    parts: Parts, shape: tuple[int, ...], course: Course, starts: Values, ends: Values
) -> tuple[Values, Values]:
    """Return where the rod force first falls below zero on the path, and where it is back.

    NaN where it nowhere does; the end of the stroke where it stays below.

    Parameters
    ----------
    starts, ends : array of shape (J, *shape)
        The jumps: what lies inside one is passed in no time.
    """
    points, rod = course.points, course.rod_force_n
    least = -_SHARE_OF_CLAMP * parts.clamp_force_n / parts.rod.finger_ratio
    on_path = ~is_within(points, starts, ends) & (points > ROD_LOADS)
    below = (rod < least) & on_path
    limp = below.any(axis=0)
    at: Values = np.full(shape, np.nan)
    if not np.any(limp):
        return at, at

    def crossing(which: Values, row: Values) -> Values:
        low, high = at_row(points, np.maximum(row - 1, 0)), at_row(points, row)
        return subset_root(parts, shape, which, low, high, "rod_force_n", 0.0)

    first = below.argmax(axis=0)
    rows = np.arange(len(points)).reshape((-1,) + (1,) * len(shape))
    back = on_path & (rod >= least) & (rows > first)
    returns = limp & back.any(axis=0)
    begins, over = crossing(limp, first), crossing(returns, back.argmax(axis=0))
    for start, end in zip(starts, ends, strict=True):
        begins = np.where((begins > start) & (begins < end), end, begins)
        over = np.where((over > start) & (over < end), start, over)
    over = np.where(returns, over, points[-1])
    return np.where(limp, begins, np.nan), np.where(limp, over, np.nan)
