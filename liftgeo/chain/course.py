"""The course of a stroke: what a search looks at, sampled from rest to full lever."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from functools import partial
from typing import NamedTuple

import numpy as np

from liftgeo.chain.linkage import Parts, taken
from liftgeo.chain.positions import FACES_PART, JOINTS, Position, position
from liftgeo.parts.root import bracketed_root
from liftgeo.parts.values import Values, rows_of, spread

# Samples in each segment besides its two ends, enough to see every fold and hump of the laws
# here; a measured curve may have one between any two readings.
_SAMPLES = (0, 0, 2, 5, 11)
_SAMPLES_OF_CURVES = (0, 0, 9, 41, 59)
_WITHIN_READINGS = (0.25, 0.5, 0.75)  # samples between two readings of a spring, as shares

# How closely a piece is looked into that may hide a dip: pieces at a time, samples in each, rounds.
_PIECES, _INNER, _ROUNDS = 4, 7, 2
_SHORTEST = 1e-7
SLOWEST_SHARE = 0.15
"""Travel that nowhere slows down below this share of its fastest does not turn round unseen."""


Turn = Callable[[Position], Values]
"""Gives the rotation of a lever, an arm or a release unit at a position."""


class Course(NamedTuple):
    """What the search looks at along the stroke; each of shape (samples, ...)."""

    points: Values
    hand_travel_mm: Values
    hand_force_n: Values
    travel_rate: Values
    force_rate: Values
    slowest_rate: Values
    lift_rate: Values
    rod_force_n: Values
    rod_rate: Values


def course_of(points: Values, p: Position) -> Course:
    """Return the course of the stroke through positions with rates."""
    r = p.rates
    assert r is not None
    slowest = np.minimum(np.minimum(r.rod_travel, r.arm_rotation), r.cable_pull)
    return Course(
        points,
        *(
            spread(value, points.shape)
            for value in (
                p.hand_travel_mm,
                p.hand_force_n,
                r.hand_travel,
                r.hand_force,
                slowest,
                r.lift,
                p.rod_force_n,
                r.rod_force,
            )
        ),
    )


def joined(first: Course, second: Course) -> Course:
    """Return two courses as one, row after row."""
    return Course(*(np.concatenate(pair) for pair in zip(first, second, strict=True)))


def _samples(counts: tuple[int, ...]) -> tuple[Values, Values]:
    """Return where each sample's segment starts, and its share of what is gone of it."""
    starts: list[float] = []
    shares: list[float] = []
    for start, inner in zip(JOINTS, counts, strict=True):
        share = np.linspace(0.0, 1.0, inner + 2)
        if start == 0.0:
            share = np.insert(share, 1, 1e-12)  # just past rest, where the cable's drag is felt
        if start < FACES_PART:
            share[-1] = 1.0 - 1e-12  # just before the joint, where rates are those of the segment
        starts += [start] * len(share)
        shares += list(share)
    return np.array(starts), np.array(shares)


_SMOOTH, _CURVED = _samples(_SAMPLES), _samples(_SAMPLES_OF_CURVES)


def sample_points(parts: Parts, at: Values, shape: tuple[int, ...]) -> Values:
    """Return coordinates over the whole stroke, both sides of every joint among them.

    So is every place at which the spring's load may turn, and some between two such.
    """
    laws = (parts.lever.link, parts.arm.link, parts.release, parts.spring)
    starts, shares = _CURVED if any(law.has_bends for law in laws) else _SMOOTH
    column = (len(starts),) + (1,) * len(shape)
    begins = starts.reshape(column)
    gone = np.maximum(at - begins, 0.0)  # a segment in which the stroke ends is sampled up to there
    gone = np.where(begins < FACES_PART, np.minimum(gone, 1.0), gone)
    points = np.minimum(begins + shares.reshape(column) * gone, at)
    turns = list(parts.spring.turns_mm)
    if parts.spring.has_bends:
        pairs = list(itertools.pairwise(turns))
        turns += [low + share * (high - low) for low, high in pairs for share in _WITHIN_READINGS]
    if not turns:
        return points
    parting = parts.installed_deflection_mm + parts.cushion_mm
    places = rows_of([FACES_PART + turn - parting for turn in turns], shape)
    places = np.where((places > FACES_PART) & (places < at), places, at)
    return np.sort(np.concatenate([np.broadcast_to(points, (column[0], *shape)), places]), axis=0)


def with_readings(parts: Parts, shape: tuple[int, ...], points: Values, p: Position) -> Values:
    """Return sampled coordinates with those added at which a measured law passes its readings.

    However near two readings lie, what the law does between them is seen.

    Parameters
    ----------
    points : array of shape (samples, ...)
        Coordinates in order, the first at rest, and `p` the positions there.
    """
    found = [np.broadcast_to(points, (len(points), *shape))]
    laws: tuple[tuple[Sequence[Values], Turn], ...] = (
        (parts.lever.link.bends_rad, lambda p: p.lever.rotation_rad),
        (parts.arm.link.bends_rad, lambda p: p.arm.rotation_rad),
        (parts.release.bends_rad, lambda p: p.unit.rotation_rad),
    )
    for bends, of in laws:
        if not bends:
            continue
        levels = rows_of(bends, shape)
        turn = np.broadcast_to(of(p), found[0].shape)
        past = (turn[None] >= levels[:, None]) & (found[0] > 0)
        row = np.where(past.any(axis=1), past.argmax(axis=1), len(points) - 1)
        low, high = (np.take_along_axis(found[0], k, axis=0) for k in (np.maximum(row - 1, 0), row))
        at = bracketed_root(partial(_miss, parts, of, levels), low, high, steps=60)
        found.append(at)
        found += [at[:-1] + share * np.diff(at, axis=0) for share in _WITHIN_READINGS]
    return np.sort(np.concatenate(found), axis=0)


def _miss(parts: Parts, of: Turn, levels: Values, at: Values) -> Values:
    """Return by how much a rotation misses some levels at coordinates."""
    return of(position(parts, at)) - levels


def at_row(rows: Values, index: Values) -> Values:
    """Return the value in the row of each element's own index."""
    if not np.ndim(index):
        return rows[index]
    return np.take_along_axis(rows, index[None, ...], axis=0)[0]


def subset_root(
    parts: Parts,
    shape: tuple[int, ...],
    mask: Values,
    low: Values,
    high: Values,
    quantity: str,
    level: Values,
) -> Values:
    """Return `low`, and where the mask holds the coordinate at which a quantity has a level."""
    if not np.any(mask):
        return low
    chosen = taken(parts, mask, shape)
    wanted = np.asarray(np.broadcast_to(level, shape)[mask], float)

    def miss(at: Values) -> Values:
        p = position(chosen, at, rates=True)
        value: Values = p
        for name in quantity.split("."):
            value = getattr(value, name)
        return value - wanted

    found = np.array(np.broadcast_to(low, shape), float)
    found[mask] = bracketed_root(miss, found[mask], np.broadcast_to(high, shape)[mask])
    return found


def middle_slope(rise: Values, length: Values, first: Values, last: Values) -> Values:
    """Return the slope amid a piece of a smooth law, from its rise and the slopes at its ends."""
    return 1.5 * rise / length - (first + last) / 4


def least_between(value: Values, rate: Values, length: Values) -> Values:
    """Return what each piece of a smooth law does not fall below: the least of its control points.

    Exact as a bound for a cubic, which stays within the hull of them (Bernstein's form).
    """
    first, last = value[:-1] + length * rate[:-1] / 3, value[1:] - length * rate[1:] / 3
    ends = np.minimum(value[:-1], value[1:])
    return np.minimum(ends, np.minimum(first, last))


def _hiding(course: Course) -> Values:
    """Return how likely each piece hides a turn of travel or rod force; 0 or less: it does not."""
    length = np.diff(course.points, axis=0)
    short = length < _SHORTEST
    length = np.where(short, 1.0, length)
    first, last = course.travel_rate[:-1], course.travel_rate[1:]
    amid = middle_slope(np.diff(course.hand_travel_mm, axis=0), length, first, last)
    fastest = np.maximum(np.maximum(np.abs(first), np.abs(last)), np.abs(amid))
    least = np.minimum(np.minimum(first, last), amid)
    # Travel that dips, or comes up within a jump, in a piece that rises or falls at both its ends.
    doubt = np.where(first * last < 0, 1.0, SLOWEST_SHARE - least / fastest)
    most = np.maximum(np.maximum(first, last), amid)
    doubt = np.where((first < 0) & (last < 0) & (most < 0), 0.0, doubt)
    rod = course.rod_force_n
    dips = (np.minimum(rod[:-1], rod[1:]) > 0) & (least_between(rod, course.rod_rate, length) < 0)
    doubt = np.where(dips, 1.0, doubt)
    return np.where(short | ~np.isfinite(doubt) | (course.points[:-1] <= 0), 0.0, doubt * length)


def looked_into(parts: Parts, shape: tuple[int, ...], course: Course) -> Course:
    """Return the course with more samples in those pieces that may hide a turn."""
    inner = np.linspace(0.0, 1.0, _INNER + 2)[1:-1]
    inner = inner.reshape((-1, 1) + (1,) * len(shape))
    for _ in range(_ROUNDS):
        doubt = _hiding(course)
        if not np.any(doubt > 0):
            break
        worst = np.argsort(-doubt, axis=0)[:_PIECES]
        wanted = np.take_along_axis(doubt, worst, axis=0) > 0
        low = np.take_along_axis(course.points, worst, axis=0)
        high = np.take_along_axis(course.points, worst + 1, axis=0)
        more = np.where(wanted, low + inner * (high - low), course.points[-1])
        more = more.reshape((-1, *shape))
        course = joined(course, course_of(more, position(parts, more, rates=True)))
        order = np.argsort(course.points, axis=0, kind="stable")
        course = Course(*(np.take_along_axis(column, order, axis=0) for column in course))
    return course
