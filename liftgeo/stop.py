"""Where the stroke ends, where the plates jump, and where the effort peaks."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np

from liftgeo.chain import FACES_PART, JOINTS, Parts, Position, Rates, position, taken
from liftgeo.parts.root import bracketed_root
from liftgeo.parts.values import Values

# Samples in each segment besides its two ends, enough to see every fold and hump of the laws here.
_SAMPLES = (0, 0, 2, 5, 11)


@dataclass(frozen=True)
class Limit:
    """One thing that ends the stroke: room left (below zero past it) and its rate over q."""

    room: Values
    rate: Values


@dataclass(frozen=True)
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
    """

    at: Values
    limit: Values
    jump_from: Values
    jump_to: Values
    folds: Values
    peak_at: Values

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


def limits(parts: Parts, p: Position) -> list[Limit]:
    """Return the room left to everything that can end the stroke."""
    lever, arm, unit = parts.lever.link, parts.arm.link, parts.release
    r = p.rates
    none = Rates(*(0.0,) * 14)
    d = none if r is None else r
    lever_end = lever.pull_mm(lever.last_rotation_rad) if lever.dead_centre else np.inf
    if not lever.dead_centre and np.all(np.isfinite(lever.last_rotation_rad)):
        lever_end = lever.pull_mm(lever.last_rotation_rad)
    unit_end = np.inf
    if np.all(np.isfinite(unit.last_rotation_rad)):
        unit_end = unit.travel_mm(unit.last_rotation_rad)
    return [
        Limit(parts.lever.hand_travel_mm - p.hand_travel_mm, -d.hand_travel),
        Limit(parts.release_max_rotation_rad - p.unit_rotation_rad, -d.unit_rotation),
        Limit(parts.arm.max_rotation_rad - p.arm_rotation_rad, -d.arm_rotation),
        Limit(parts.spring.last_deflection_mm - p.deflection_mm, -d.lift),
        Limit(lever_end - p.cable_pull_mm, -d.cable_pull),
        Limit(arm.last_rotation_rad - p.arm_rotation_rad, -d.arm_rotation),
        Limit(unit_end - p.rod_travel_mm, -d.rod_travel),
    ]


def _least_room(parts: Parts, p: Position) -> Values:
    rooms = [limit.room for limit in limits(parts, p)]
    return np.min(np.broadcast_arrays(*rooms), axis=0)


def _next_guess(parts: Parts, p: Position, at: Values) -> Values:
    """Return the nearest coordinate at which a limit would hold by its present rate."""
    guess = np.full(np.shape(at), np.inf)
    for limit in limits(parts, p):
        rate = np.asarray(limit.rate, float)
        step = np.where(rate < 0, limit.room / np.where(rate < 0, -rate, 1.0), np.inf)
        guess = np.fmin(guess, at + np.where(np.isnan(step), np.inf, step))
    return guess


def _first_zero(parts: Parts, low: Values, high: Values) -> Values:
    """Return where the room first runs out between two coordinates: safeguarded Newton steps."""
    at = low
    for _ in range(100):
        p = position(parts, at, rates=True)
        inside = _least_room(parts, p) > 0
        low, high = np.where(inside, at, low), np.where(inside, high, at)
        guess = _next_guess(parts, p, at)
        good = (guess >= low) & (guess <= high)
        new = np.where(good, guess, (low + high) / 2)
        small = 4e-16 * (1 + np.abs(at))
        done = (np.abs(new - at) <= small) | (high - low <= small)
        at = new
        if np.all(done):
            break
    return at


def _end(parts: Parts, shape: tuple[int, ...]) -> Values:
    """Return the first coordinate at which a limit holds, as the joints bracket it."""
    column = (len(JOINTS),) + (1,) * len(shape)
    joints = np.array(JOINTS).reshape(column)
    room = np.broadcast_to(_least_room(parts, position(parts, joints)), (len(JOINTS), *shape))
    over = room <= 0
    any_over = over.any(axis=0)
    first = np.where(any_over, over.argmax(axis=0), len(JOINTS))
    low = np.clip(first - 1.0, 0.0, FACES_PART)
    rest = parts.spring.last_deflection_mm - parts.installed_deflection_mm - parts.cushion_mm
    high = np.where(any_over, first * 1.0, FACES_PART + np.maximum(rest, 0.0))
    return _first_zero(parts, low, np.broadcast_to(high, shape))


def _sample_points(at: Values, shape: tuple[int, ...]) -> Values:
    """Return coordinates over the whole stroke, both sides of every joint among them."""
    points: list[Values] = []
    for start, inner in zip(JOINTS, _SAMPLES, strict=True):
        share = np.linspace(0.0, 1.0, inner + 2)
        if start < FACES_PART:
            share[-1] = 1.0 - 1e-12
            points.extend(np.minimum(start + s, at) for s in share)
        else:
            length = np.maximum(at - start, 0.0)
            points.extend(np.minimum(start + s * length, at) for s in share)
    return np.stack([np.broadcast_to(p, shape) for p in points])


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
    rising = np.broadcast_to(p.rates.hand_travel, points.shape) > 0
    moves = np.broadcast_to(p.rates.lift, points.shape) > 0
    falls = ~rising & moves & (points < at) & (points > 0)
    falls &= np.isfinite(np.broadcast_to(p.rates.hand_travel, points.shape))
    jumps = falls.any(axis=0)
    if not np.any(jumps):
        return at, at
    first = falls.argmax(axis=0)
    low, high = _at_row(points, np.maximum(first - 1, 0)), _at_row(points, first)
    start = _subset_root(parts, shape, jumps, low, high, "rates.hand_travel", 0.0)
    level = position(parts, start).hand_travel_mm
    travel = np.broadcast_to(p.hand_travel_mm, points.shape)
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
    force = np.broadcast_to(p.hand_force_n, points.shape)
    slope = np.broadcast_to(p.rates.hand_force, points.shape)
    jumped = (points > end.jump_from) & (points < end.jump_to)
    usable: Values = np.where(jumped | np.isnan(force), -np.inf, force)
    best: Values = usable.argmax(axis=0)
    last = len(points) - 1
    at, rate = _at_row(points, best), _at_row(slope, best)
    before, after = np.maximum(best - 1, 0), np.minimum(best + 1, last)
    fell = (rate < 0) & (_at_row(slope, before) > 0) & (_at_row(points, before) < at)
    rose = (rate > 0) & (_at_row(slope, after) < 0) & (_at_row(points, after) > at)
    low = np.where(fell, _at_row(points, before), at)
    high = np.where(rose, _at_row(points, after), at)
    hump = (fell | rose) & ~end.jumps & (high - low > 1e-9)
    found = _subset_root(parts, shape, hump, low, high, "rates.hand_force", 0.0)
    return np.where(hump, found, at)


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
        at = _end(parts, shape)
        for _ in range(4):
            points = _sample_points(at, shape)
            p = position(parts, points, rates=True)
            room = np.broadcast_to(_least_room(parts, p), points.shape)
            early = (room <= 0) & (points < at * (1 - 1e-12)) & (points > 0)
            again = early.any(axis=0)
            if not np.any(again):
                break
            first = early.argmax(axis=0)
            low = _at_row(points, np.maximum(first - 1, 0))
            high = _at_row(points, first)
            nearer = _first_zero(parts, np.where(again, low, at), np.where(again, high, at))
            at = np.where(again, nearer, at)
        rooms = [limit.room for limit in limits(parts, position(parts, at))]
        which = np.argmin(np.stack(np.broadcast_arrays(*rooms)), axis=0)
        rates = p.rates
        assert rates is not None
        moving = (points >= FACES_PART) & (points < at)
        folds = (np.broadcast_to(rates.rod_travel, points.shape) < 0) & moving
        start, end = _jump(parts, shape, points, p, at)
        full = StrokeEnd(at, which, start, end, folds.any(axis=0), at)
        return replace(full, peak_at=_peak(parts, shape, points, p, full))


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
