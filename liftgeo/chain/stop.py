"""Where the stroke ends, where the plates jump, and where the effort peaks."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np

from liftgeo.chain.course import (
    SLOWEST_SHARE,
    Course,
    at_row,
    course_of,
    joined,
    least_between,
    looked_into,
    middle_slope,
    sample_points,
    subset_root,
    with_readings,
)
from liftgeo.chain.jumps import is_within, jumps_of, over_centre_of
from liftgeo.chain.limits import Limits, closing_speed, limits
from liftgeo.chain.linkage import Parts, taken
from liftgeo.chain.positions import FACES_PART, JOINTS, ROD_LOADS, Position, position
from liftgeo.parts.values import Values, rows_of, spread


@dataclass(frozen=True, eq=False, repr=False)
class StrokeEnd:
    """The end of the stroke, its jumps and its peak, for every mechanism.

    Attributes
    ----------
    at : array
        Stroke coordinate of full lever.
    limit : array of int
        Index into `limit_names`.
    jumps_from, jumps_to : array of shape (J, ...)
        Ends of the jumps on the stroke coordinate, in order; both `at` where a mechanism has
        fewer.
    over_from, over_to : array
        Where the rod force first falls below zero on the way, and where it is back (`at` where it
        stays); NaN where it nowhere does.
    folds : array of bool
        Rod travel falls while the plates part: they jump with the arm held.
    peak_at, peak_n : array
        Stroke coordinate of the greatest hand force, and that force [N].
    full : Position
        The position at `at`.
    unsettled : array of bool
        Where few samples settled nothing and no search was made: the other numbers are void there.
    """

    at: Values
    limit: Values
    jumps_from: Values
    jumps_to: Values
    over_from: Values
    over_to: Values
    folds: Values
    peak_at: Values
    peak_n: Values
    full: Position
    unsettled: Values = False

    @property
    def jumps(self) -> Values:
        """Whether anything jumps."""
        return (self.jumps_to > self.jumps_from).any(axis=0)

    @property
    def over_centre(self) -> Values:
        """Whether the rod force falls below zero anywhere on the way."""
        return ~np.isnan(self.over_from)


def _first_zero(parts: Parts, ends: Limits, low: Values, high: Values) -> Values:
    """Return where the room first runs out between two coordinates: safeguarded Newton steps."""
    at, shape = low, np.shape(low)
    found: Values = np.zeros(shape, bool)
    for _ in range(100):
        p = position(parts, at, rates=True)
        assert p.rates is not None
        room, speed = ends.room(p, shape), closing_speed(p.rates, shape)
        inside = room.min(axis=0) > 0
        low, high = np.where(inside, at, low), np.where(inside, high, at)
        steps = np.where(speed > 0, room / np.where(speed > 0, speed, 1.0), np.inf)
        guess = at + np.fmin.reduce(steps, axis=0)
        small = 4e-16 * (1 + np.abs(at))
        # At a lever's dead centre its angle has no finite rate: a step of nothing is no end.
        stuck = (np.abs(guess - at) <= small) & (room.min(axis=0) < -1e-9)
        # An end that lies on the bracket's own end is missed by a rounding, not bisected towards.
        good = (guess >= low - small) & (guess <= high + small) & ~stuck
        new = np.where(good, np.minimum(np.maximum(guess, low), high), (low + high) / 2)
        done = (np.abs(new - at) <= small) | (high - low <= small)
        # One that is found stays, so that it is the same alone and among others.
        at = np.where(found, at, new)
        found = found | done
        if found.all():
            break
    return at


def _end(parts: Parts, ends: Limits, shape: tuple[int, ...]) -> Values:
    """Return the first coordinate at which a limit holds, as the joints bracket it."""
    joints = np.array(JOINTS).reshape((len(JOINTS),) + (1,) * len(shape))
    over = ends.room(position(parts, joints), (len(JOINTS), *shape)).min(axis=0) <= 0
    any_over = over.any(axis=0)
    first = np.where(any_over, over.argmax(axis=0), len(JOINTS))
    low = np.minimum(np.maximum(first - 1.0, 0.0), FACES_PART)
    rest = parts.spring.last_deflection_mm - parts.installed_deflection_mm - parts.cushion_mm
    high = np.where(any_over, first * 1.0, FACES_PART + np.maximum(rest, 0.0))
    return _first_zero(parts, ends, low, high)


def _with_jump_ends(parts: Parts, shape: tuple[int, ...], course: Course, end: StrokeEnd) -> Course:
    """Return the course with both ends of every jump among its samples."""
    ends = rows_of((*end.jumps_from, *end.jumps_to), shape)
    more = joined(course, course_of(ends, position(parts, ends, rates=True)))
    order = np.argsort(more.points, axis=0, kind="stable")
    return Course(*(np.take_along_axis(values, order, axis=0) for values in more))


def _promised(course: Course, end: StrokeEnd) -> Values:
    """Return how high the force may be between two neighbours, as far as a hump is promised there.

    Two tangents that meet above promise one. Where a lever's dead centre ends the stroke the force
    falls straight down: only the tangent before it says how high.
    """
    points, force, slope = course.points, course.hand_force_n, course.force_rate
    (low, high), (rise, fall) = (points[:-1], points[1:]), (slope[:-1], slope[1:])
    sheer = ~np.isfinite(fall) & (high == end.at)
    humps = (rise > 0) & ((fall < 0) | sheer) & (high - low > 1e-9)
    for start, landed in zip(end.jumps_from, end.jumps_to, strict=True):
        humps &= (high <= start) | (low >= landed)
    meeting = rise * force[1:] - fall * force[:-1] - rise * fall * (high - low)
    meeting = meeting / np.where(humps, rise - fall, 1.0)
    meeting = np.where(sheer, force[:-1] + rise * (high - low), meeting)
    return np.where(humps & ~np.isnan(meeting), meeting, -np.inf)


def _with_peak(parts: Parts, shape: tuple[int, ...], course: Course, end: StrokeEnd) -> StrokeEnd:
    """Return the end with its peak: the greatest force of a sample, or of a hump between two."""
    if np.any(end.jumps):
        course = _with_jump_ends(parts, shape, course, end)
    points, force = course.points, course.hand_force_n
    jumped = is_within(points, end.jumps_from, end.jumps_to)
    usable = np.where(jumped | np.isnan(force), -np.inf, force)
    at = at_row(points, usable.argmax(axis=0))
    top = usable.max(axis=0)
    promised = _promised(course, end)
    while True:
        best = promised.argmax(axis=0)
        worth = at_row(promised, best) > top
        if not np.any(worth):
            return replace(end, peak_at=at, peak_n=top)
        low, high = at_row(points, best), at_row(points, best + 1)
        # A slope that is none, at the very end, would give the root search no sign.
        sheer = worth & ~np.isfinite(at_row(course.force_rate, best + 1))
        high = np.where(sheer, high - 1e-9 * (high - low), high)
        found = subset_root(parts, shape, worth, low, high, "rates.hand_force", 0.0)
        there = np.where(worth, position(parts, found).hand_force_n, -np.inf)
        at, top = np.where(there > top, found, at), np.fmax(there, top)
        np.put_along_axis(promised, best[None, ...], -np.inf, axis=0)


def _searched(parts: Parts, shape: tuple[int, ...]) -> StrokeEnd:
    """Return the end of the stroke by samples over the whole of it, for every mechanism."""
    ends = limits(parts)
    at = _end(parts, ends, shape)
    for _ in range(4):
        points = sample_points(parts, at, shape)
        p = position(parts, points, rates=True)
        room = ends.room(p, points.shape).min(axis=0)
        # Beyond a dead centre the lever comes back: the end found may lie past another limit.
        early = (room <= 0) & (points < at * (1 - 1e-12)) | (room < -1e-9)
        early &= points > 0
        again = early.any(axis=0)
        if not again.any():
            break
        first = early.argmax(axis=0)
        low = at_row(points, np.maximum(first - 1, 0))
        high = at_row(points, first)
        low, high = np.where(again, low, at), np.where(again, high, at)
        at = np.where(again, _first_zero(parts, ends, low, high), at)
    full = position(parts, at)
    which = ends.room(full, shape).argmin(axis=0)
    assert p.rates is not None
    folds = (p.rates.rod_travel < 0) & (points >= FACES_PART)
    points = np.broadcast_to(points, (len(points), *shape))
    if not _turns_smoothly(parts):
        points = with_readings(parts, shape, points, p)
        p = position(parts, points, rates=True)
    course = looked_into(parts, shape, course_of(points, p))
    starts, ends_of = jumps_of(parts, shape, course, at)
    over = over_centre_of(parts, shape, course, starts, ends_of)
    found = StrokeEnd(
        at, which, starts, ends_of, *over, folds.any(axis=0), at, full.hand_force_n, full
    )
    return _with_peak(parts, shape, course, found)


# A few places at which a smooth law shows that there is nothing to search for: both sides of the
# joints after the float, and the middle of the piece in which the clamp force falls.
_FEW = np.array([1e-12, 1.0, 2.0, 3.0 - 1e-12, 3.0, 3.5, 4.0 - 1e-12, 4.0])
_AFTER_FLOAT = 4  # index of the first place at which the rod is loaded
_STEPS = 6
_NEAR = 1e-7
"""A Newton step this short leaves an error of its square."""


def _newton_after_parting(
    parts: Parts, ends: Limits, room: Values, speed: Values, shape: tuple[int, ...]
) -> tuple[Values, Values]:
    """Return where the stroke ends after the faces have parted, and where that was found.

    Parameters
    ----------
    room, speed : array of shape (7, *shape)
        As the faces part: the room left to each limit, and how fast it comes nearer.
    """
    open_ended = room.min(axis=0) > 0
    at: Values = np.full(shape, FACES_PART)
    done: Values = np.zeros(shape, bool)
    for _ in range(_STEPS):
        towards = speed > 0
        steps = np.where(towards, room / np.where(towards, speed, 1.0), np.inf)
        step = np.fmin.reduce(steps, axis=0)
        ahead = np.maximum(at + step, FACES_PART)
        near = np.abs(step) <= _NEAR
        at, done = np.where(done, at, ahead), done | near
        if np.all(done | ~open_ended | ~np.isfinite(at)):
            break
        p = position(parts, at, rates=True)
        assert p.rates is not None
        room, speed = ends.room(p, shape), closing_speed(p.rates, shape)
    return at, done & open_ended & np.isfinite(at)


def _is_plain(course: Course) -> Values:
    """Return where samples show that nothing jumps or peaks unseen, or goes over centre.

    Each piece after the float is judged by its slopes at both ends and the one amid it that its
    rise implies (exact for a cubic): travels that nowhere slow down to a seventh of their fastest
    do not turn round, and a force whose slope keeps its sign with a quarter to spare has no hump.
    """
    points, force = course.points, course.hand_force_n
    low, high = points[_AFTER_FLOAT:-1], points[_AFTER_FLOAT + 1 :]
    short = high - low < 1e-9
    length = np.where(short, 1.0, high - low)

    def slopes(value: Values, rate: Values) -> tuple[Values, Values, Values]:
        value, rate = value[_AFTER_FLOAT:], rate[_AFTER_FLOAT:]
        first, last = rate[:-1], rate[1:]
        return first, middle_slope(np.diff(value, axis=0), length, first, last), last

    first, amid, last = slopes(course.hand_travel_mm, course.travel_rate)
    slowest, fastest = np.minimum(first, last), np.maximum(first, last)
    moves = np.minimum(slowest, amid) > SLOWEST_SHARE * np.maximum(fastest, amid)
    first, amid, last = slopes(force, course.force_rate)
    least = 0.25 * np.minimum(np.abs(first), np.abs(last))
    even = (first * last < 0) | (amid * np.sign(first) >= least)
    forward = (course.slowest_rate[_AFTER_FLOAT:] > 0).all(axis=0)
    light = 2 * force[:_AFTER_FLOAT].max(axis=0) < force.max(axis=0)
    early = (course.travel_rate[:_AFTER_FLOAT] >= 0).all(axis=0)
    rod, rate = course.rod_force_n[_AFTER_FLOAT:], course.rod_rate[_AFTER_FLOAT:]
    pushed = least_between(rod, rate, length) >= -1e-9 * rod.max(axis=0)
    return (short | (moves & even & pushed)).all(axis=0) & forward & light & early


def _turns_smoothly(parts: Parts) -> bool:
    """Return whether lever, arm and release unit are smooth."""
    return not any(law.bends_rad for law in (parts.lever.link, parts.arm.link, parts.release))


def is_smooth(parts: Parts) -> bool:
    """Return whether all laws are smooth between the few places: else every stroke is searched."""
    laws = (parts.lever.link, parts.arm.link, parts.release, parts.spring)
    return not any(law.has_bends for law in laws)


def _few_places(parts: Parts, dimensions: int) -> Values:
    """Return the few places, of shape (places, 1 or more, ...).

    A spring that rubs adds both sides of where the clamp force begins to fall, amid a segment.
    """
    few = _FEW.reshape((-1,) + (1,) * (dimensions - 1))
    if not np.any(parts.spring_friction):
        return few
    falls = FACES_PART - 1 / (1 + np.asarray(parts.spring_friction, float))
    falls = falls.reshape(falls.shape or few.shape[1:])
    sides = np.stack([np.maximum(falls - 1e-12, ROD_LOADS), falls])
    few = np.broadcast_to(few, (len(few), *falls.shape))
    return np.concatenate([few[: _AFTER_FLOAT + 1], sides, few[_AFTER_FLOAT + 1 :]])


def _row(value: Values, k: int, dimensions: int) -> Values:
    """Return one row of everything in a position that has a leading axis of samples."""
    if isinstance(value, tuple):
        return type(value)(*(_row(item, k, dimensions) for item in value))
    return value[k] if np.ndim(value) == dimensions else value


def _by_few_samples(parts: Parts, shape: tuple[int, ...]) -> tuple[StrokeEnd, Values]:
    """Return the ends of strokes that few samples settle, and which those are."""
    ends, dimensions = limits(parts), 1 + len(shape)
    few = _few_places(parts, dimensions)
    p = position(parts, few, rates=True)  # what all mechanisms share is worked out once
    course = course_of(spread(few, (len(few), *shape)), p)
    p = _row(p, -1, dimensions)  # the rest of it is let go
    assert p.rates is not None
    room, speed = ends.room(p, shape), closing_speed(p.rates, shape)
    at, good = _newton_after_parting(parts, ends, room, speed, shape)
    later = rows_of([(FACES_PART + at) / 2, at], shape)
    q = position(parts, later, rates=True)
    course = joined(course, course_of(later, q))
    full = _row(q, 1, dimensions)
    room = ends.room(full, shape)
    good = good & (room.min(axis=0) > -1e-9) & _is_plain(course)
    nothing: Values = np.zeros(shape, bool)
    never: Values = np.full(shape, np.nan)
    found = StrokeEnd(
        at,
        room.argmin(axis=0),
        *(at[None], at[None]),
        *(never, never),
        nothing,
        at,
        full.hand_force_n,
        full,
    )
    return _with_peak(parts, shape, course, found), good


def stroke_end(parts: Parts, shape: tuple[int, ...], *, search: bool = True) -> StrokeEnd:
    """Return the first position, coming from rest, at which something ends the stroke.

    Parameters
    ----------
    parts : Parts
        Mechanisms whose numbers have shape () or `shape`.
    shape : tuple of int
        Shape of the batch; () for one mechanism.
    search : bool
        False leaves `unsettled` what few samples do not settle, to be gathered and searched later.

    Notes
    -----
    Most strokes are settled by a few samples, whose slopes prove that nothing jumps or ends them
    early. For the others the joints bracket the end, a safeguarded Newton search finds it; samples
    over the stroke make sure that nothing ended it before and show jumps and humps. Past a jump
    the first crossing along the stroke coordinate is the right one: the lever had not been that
    far before.
    """
    with np.errstate(all="ignore"):
        if not is_smooth(parts):
            return _searched(parts, shape)
        found, good = _by_few_samples(parts, shape)
        if np.all(good):
            return found
        if not shape:
            return _searched(parts, shape)
        rest = ~good
        if not search:
            return replace(found, unsettled=rest)
        others = _searched(taken(parts, rest, shape), (int(np.count_nonzero(rest)),))
        merged = {}
        for name in ("at", "limit", "over_from", "over_to", "folds", "peak_at", "peak_n"):
            value = np.array(getattr(found, name))
            value[rest] = getattr(others, name)
            merged[name] = value
        for name in ("jumps_from", "jumps_to"):
            ends_of = getattr(others, name)
            value = np.repeat(merged["at"][None], len(ends_of), axis=0)
            value[:, rest] = ends_of
            merged[name] = value
        return replace(found, **merged, full=position(parts, merged["at"]))


def path_pieces(parts: Parts, end: StrokeEnd) -> list[tuple[Values, Values]]:
    """Return the smooth pieces of the pulling path as (from, to), the jumps left out."""
    turning = FACES_PART - 1 / (1 + parts.spring_friction)
    marks = [0.0, 1.0, 2.0, 3.0, turning, FACES_PART, np.inf]
    pieces = []
    zero: Values = np.zeros(np.shape(end.at))
    for low, high in itertools.pairwise(marks):
        low, high = np.minimum(low, end.at), np.minimum(high, end.at)
        for start, landed in zip([zero, *end.jumps_to], [*end.jumps_from, end.at], strict=True):
            first = np.minimum(np.maximum(low, start), landed)
            pieces.append((first, np.minimum(np.maximum(high, start), landed)))
    return pieces
