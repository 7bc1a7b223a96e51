"""Where the stroke ends, where the plates jump, and where the effort peaks."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np

from liftgeo.chain.linkage import Parts, taken
from liftgeo.chain.positions import FACES_PART, JOINTS, Position, Rates, position
from liftgeo.parts.root import bracketed_root
from liftgeo.parts.values import Values

# Samples in each segment besides its two ends, enough to see every fold and hump of the laws
# here; a measured curve may have one between any two readings.
_SAMPLES = (0, 0, 2, 5, 11)
_SAMPLES_OF_CURVES = (0, 0, 9, 41, 59)


@dataclass(frozen=True, eq=False, repr=False)
class StrokeEnd:
    """The end of the stroke, the jump and the peak, for every mechanism.

    Attributes
    ----------
    at : array
        Stroke coordinate of full lever.
    limit : array of int
        Index into `limit_names`.
    jump_from, jump_to : array
        Ends of the plates' jump on the stroke coordinate; both `at` where there is none.
    folds : array of bool
        Rod travel falls while the plates part: they jump with the arm held.
    peak_at : array
        Stroke coordinate of the greatest hand force.
    full : Position
        The position at `at`.
    """

    at: Values
    limit: Values
    jump_from: Values
    jump_to: Values
    folds: Values
    peak_at: Values
    full: Position

    @property
    def jumps(self) -> Values:
        """Whether the plates jump."""
        return self.jump_to > self.jump_from


def limit_names(parts: Parts) -> tuple[str, ...]:
    """Return what each limit is called, in the order of `limits`."""
    lever_end = "dead-centre" if parts.lever.link.dead_centre else "table-end"
    arm_end = "dead-centre" if parts.arm.link.dead_centre else "arm-stop"
    unit_end = "dead-centre" if parts.release.dead_centre else "track-end"
    spring_end = parts.spring.end_name
    return ("grip", "track-end", "arm-stop", spring_end, lever_end, arm_end, unit_end)


@dataclass(frozen=True, eq=False, repr=False)
class Limits:
    """What each limit allows, in the order of `limit_names`; infinity where it never holds."""

    hand_travel_mm: Values
    unit_rotation_rad: Values
    arm_rotation_rad: Values
    deflection_mm: Values
    cable_pull_mm: Values
    arm_dead_centre_rad: Values
    rod_travel_mm: Values

    def room(self, p: Position, shape: tuple[int, ...]) -> Values:
        """Return the room left to each limit, below zero past it, of shape (7, *shape)."""
        room = np.empty((7, *shape))
        room[0] = self.hand_travel_mm - p.hand_travel_mm
        room[1] = self.unit_rotation_rad - p.unit_rotation_rad
        room[2] = self.arm_rotation_rad - p.arm_rotation_rad
        room[3] = self.deflection_mm - p.deflection_mm
        room[4] = self.cable_pull_mm - p.cable_pull_mm
        room[5] = self.arm_dead_centre_rad - p.arm_rotation_rad
        room[6] = self.rod_travel_mm - p.rod_travel_mm
        return room


def limits(parts: Parts) -> Limits:
    """Return what each limit of the mechanism allows."""
    lever, arm, unit = parts.lever.link, parts.arm.link, parts.release
    endless = isinstance(lever.last_rotation_rad, float) and np.isinf(lever.last_rotation_rad)
    pull = np.inf if endless else lever.pull_mm(lever.last_rotation_rad)
    travel: Values = np.inf
    if unit.dead_centre:
        travel = unit.travel_mm(unit.last_rotation_rad)
    return Limits(
        parts.lever.hand_travel_mm,
        parts.release_max_rotation_rad,
        parts.arm.max_rotation_rad,
        parts.spring.last_deflection_mm,
        pull,
        arm.last_rotation_rad if arm.dead_centre else np.inf,
        travel,
    )


def _closing_speed(rates: Rates, shape: tuple[int, ...]) -> Values:
    """Return how fast each limit comes nearer, of shape (7, *shape)."""
    speed = np.empty((7, *shape))
    speed[0] = rates.hand_travel
    speed[1] = rates.unit_rotation
    speed[2] = speed[5] = rates.arm_rotation
    speed[3] = rates.lift
    speed[4] = rates.cable_pull
    speed[6] = rates.rod_travel
    return speed


def _first_zero(parts: Parts, ends: Limits, low: Values, high: Values) -> Values:
    """Return where the room first runs out between two coordinates: safeguarded Newton steps."""
    at, shape = low, np.shape(low)
    found: Values = np.zeros(shape, bool)
    for _ in range(100):
        p = position(parts, at, rates=True)
        assert p.rates is not None
        room, speed = ends.room(p, shape), _closing_speed(p.rates, shape)
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


def _samples(counts: tuple[int, ...]) -> tuple[Values, Values]:
    """Return where each sample starts, and its share of the last segment's length."""
    starts: list[float] = []
    shares: list[float] = []
    for start, inner in zip(JOINTS, counts, strict=True):
        share = np.linspace(0.0, 1.0, inner + 2)
        if start == 0.0:
            share = np.insert(share, 1, 1e-12)  # just past rest, where the cable's drag is felt
        if start < FACES_PART:
            share[-1] = 1.0 - 1e-12  # just before the joint, where rates are those of the segment
            starts += list(start + share)
            shares += [0.0] * len(share)
        else:
            starts += [start] * len(share)
            shares += list(share)
    return np.array(starts), np.array(shares)


_SMOOTH, _CURVED = _samples(_SAMPLES), _samples(_SAMPLES_OF_CURVES)


def _sample_points(parts: Parts, at: Values, shape: tuple[int, ...]) -> Values:
    """Return coordinates over the whole stroke, both sides of every joint among them."""
    measured = (parts.lever.link, parts.arm.link, parts.release, parts.spring)
    starts, shares = _CURVED if any(hasattr(part, "curve") for part in measured) else _SMOOTH
    column = (len(starts),) + (1,) * len(shape)
    last = np.maximum(at - FACES_PART, 0.0)
    return np.minimum(starts.reshape(column) + shares.reshape(column) * last, at)


def _at_row(rows: Values, index: Values) -> Values:
    return np.take_along_axis(rows, index[None, ...], axis=0)[0]


def _subset_root(
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


def _jump(
    parts: Parts, shape: tuple[int, ...], points: Values, p: Position, at: Values
) -> tuple[Values, Values]:
    """Return both ends of the first jump: hand travel stops rising, and reaches its level again."""
    assert p.rates is not None
    speed = p.rates.hand_travel
    falls = (speed <= 0) & (p.rates.lift > 0) & (points < at) & (points > 0) & np.isfinite(speed)
    jumps = falls.any(axis=0)
    if not np.any(jumps):
        return at, at
    first = falls.argmax(axis=0)
    low, high = _at_row(points, np.maximum(first - 1, 0)), _at_row(points, first)
    start = _subset_root(parts, shape, jumps, low, high, "rates.hand_travel", 0.0)
    level = position(parts, start).hand_travel_mm
    travel = p.hand_travel_mm
    rows = np.arange(len(points)).reshape((-1,) + (1,) * len(shape))
    again = (travel > level) & (rows > first) & (points > start)
    back = again.any(axis=0)
    beyond = np.where(back, again.argmax(axis=0), len(points) - 1)
    low, high = _at_row(points, np.maximum(beyond - 1, 0)), _at_row(points, beyond)
    low = np.maximum(low, start)
    lands = jumps & back
    end = _subset_root(parts, shape, lands, low, high, "hand_travel_mm", level)
    end = np.where(lands, end, at)
    return np.where(jumps, start, at), np.where(jumps, end, at)


def _peak(
    parts: Parts, shape: tuple[int, ...], points: Values, p: Position, end: StrokeEnd
) -> Values:
    """Return where the hand force is greatest: a sample, or the smooth hump beside it."""
    assert p.rates is not None
    force, slope = p.hand_force_n, p.rates.hand_force
    jumped = (points > end.jump_from) & (points < end.jump_to)
    usable = np.where(jumped | np.isnan(force), -np.inf, force)
    at = _at_row(points, usable.argmax(axis=0))
    top = usable.max(axis=0)
    # The tangents of two neighbours that meet above the best sample promise a hump between them.
    (low, high), (rise, fall) = (points[:-1], points[1:]), (slope[:-1], slope[1:])
    humps = (rise > 0) & (fall < 0) & (high - low > 1e-9)
    humps &= (high <= end.jump_from) | (low >= end.jump_to)
    meeting = rise * force[1:] - fall * force[:-1] - rise * fall * (high - low)
    meeting = np.where(humps, meeting / np.where(humps, rise - fall, 1.0), -np.inf)
    best = meeting.argmax(axis=0)
    promised = _at_row(meeting, best) > top
    low, high = _at_row(low, best), _at_row(high, best)
    found = _subset_root(parts, shape, promised, low, high, "rates.hand_force", 0.0)
    candidates = [np.where(promised, found, at)] if np.any(promised) else []
    if np.any(end.jumps):
        candidates += [end.jump_from, end.jump_to]
    for candidate in candidates:
        there = position(parts, candidate).hand_force_n
        at, top = np.where(there > top, candidate, at), np.fmax(there, top)
    return at


def stroke_end(parts: Parts, shape: tuple[int, ...]) -> StrokeEnd:
    """Return the first position, coming from rest, at which something ends the stroke.

    Parameters
    ----------
    parts : Parts
        Mechanisms whose numbers have shape () or `shape`.
    shape : tuple of int
        Shape of the batch; () for one mechanism.

    Notes
    -----
    The joints bracket the end, a safeguarded Newton search finds it; samples over the stroke make
    sure that nothing ended it before and show jumps and humps. Past a jump the first crossing
    along the stroke coordinate is the right one: the lever had not been that far before.
    """
    with np.errstate(all="ignore"):
        ends = limits(parts)
        at = _end(parts, ends, shape)
        for _ in range(4):
            points = _sample_points(parts, at, shape)
            p = position(parts, points, rates=True)
            room = ends.room(p, points.shape).min(axis=0)
            # Beyond a dead centre the lever comes back: the end found may lie past another limit.
            early = (room <= 0) & (points < at * (1 - 1e-12)) | (room < -1e-9)
            early &= points > 0
            again = early.any(axis=0)
            if not again.any():
                break
            first = early.argmax(axis=0)
            low = _at_row(points, np.maximum(first - 1, 0))
            high = _at_row(points, first)
            low, high = np.where(again, low, at), np.where(again, high, at)
            at = np.where(again, _first_zero(parts, ends, low, high), at)
        full = position(parts, at)
        which = ends.room(full, shape).argmin(axis=0)
        rates = p.rates
        assert rates is not None
        moving = points >= FACES_PART
        folds = (rates.rod_travel < 0) & moving
        start, end = _jump(parts, shape, points, p, at)
        found = StrokeEnd(at, which, start, end, folds.any(axis=0), at, full)
        return replace(found, peak_at=_peak(parts, shape, points, p, found))


def path_pieces(parts: Parts, end: StrokeEnd) -> list[tuple[Values, Values]]:
    """Return the smooth pieces of the pulling path as (from, to), the jump left out."""
    turning = FACES_PART - 1 / (1 + parts.spring_friction)
    marks = [0.0, 1.0, 2.0, 3.0, turning, FACES_PART, np.inf]
    pieces = []
    for low, high in itertools.pairwise(marks):
        low, high = np.minimum(low, end.at), np.minimum(high, end.at)
        pieces.append((np.minimum(low, end.jump_from), np.minimum(high, end.jump_from)))
        if np.any(end.jumps):
            pieces.append((np.maximum(low, end.jump_to), np.maximum(high, end.jump_to)))
    return pieces
