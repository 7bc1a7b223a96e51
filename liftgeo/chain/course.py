"""The course of a stroke: what a search looks at, sampled from rest to full lever."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from liftgeo.chain.linkage import Parts, taken
from liftgeo.chain.positions import FACES_PART, JOINTS, Position, position
from liftgeo.parts.root import bracketed_root
from liftgeo.parts.values import Values, spread

# Samples in each segment besides its two ends, enough to see every fold and hump of the laws
# here; a measured curve may have one between any two readings.
_SAMPLES = (0, 0, 2, 5, 11)
_SAMPLES_OF_CURVES = (0, 0, 9, 41, 59)


class Course(NamedTuple):
    """What the search looks at along the stroke; each of shape (samples, ...)."""

    points: Values
    hand_travel_mm: Values
    hand_force_n: Values
    travel_rate: Values
    force_rate: Values
    slowest_rate: Values
    lift_rate: Values


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
            )
        ),
    )


def joined(first: Course, second: Course) -> Course:
    """Return two courses as one, row after row."""
    return Course(*(np.concatenate(pair) for pair in zip(first, second, strict=True)))


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


def sample_points(parts: Parts, at: Values, shape: tuple[int, ...]) -> Values:
    """Return coordinates over the whole stroke, both sides of every joint among them."""
    laws = (parts.lever.link, parts.arm.link, parts.release, parts.spring)
    starts, shares = _CURVED if any(law.has_bends for law in laws) else _SMOOTH
    column = (len(starts),) + (1,) * len(shape)
    last = np.maximum(at - FACES_PART, 0.0)
    return np.minimum(starts.reshape(column) + shares.reshape(column) * last, at)


def at_row(rows: Values, index: Values) -> Values:
    """Return the value in the row of each element's own index."""
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
