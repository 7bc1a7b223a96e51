"""Where on the stroke the hand, or the lever's blade, has come so far."""

from __future__ import annotations

import numpy as np

from liftgeo.chain.course import sample_points
from liftgeo.chain.linkage import Parts
from liftgeo.chain.positions import position
from liftgeo.chain.stop import StrokeEnd, path_pieces
from liftgeo.parts.cable import PULLING
from liftgeo.parts.root import bracketed_root
from liftgeo.parts.values import Values

_SAMPLES = 17
"""Samples of each smooth piece: the hand only goes forward in it, the blade may waver."""
_SAME = 1e-12
"""What has come so near, over 1 mm or 1 rad or its own size, is there."""


def where(
    parts: Parts,
    end: StrokeEnd,
    *,
    hand_travel_mm: float | None = None,
    lever_angle_rad: float | None = None,
) -> float:
    """Return the first stroke coordinate at which the hand, or the blade, has come so far.

    Parameters
    ----------
    parts, end : Parts, StrokeEnd
        One mechanism, and where its stroke ends.
    hand_travel_mm, lever_angle_rad : float, optional
        One of the two, within the stroke [mm, rad].

    Notes
    -----
    Each smooth piece of the pulling path is sampled; a root search goes between the first sample
    that has come so far and the one before it. While the plates jump the hand stands still: what
    the blade springs over there is reached where they land.
    """
    name = "lever_angle_rad" if hand_travel_mm is None else "hand_travel_mm"
    level = lever_angle_rad if hand_travel_mm is None else hand_travel_mm
    assert level is not None
    wanted = level - _SAME * max(1.0, abs(level))

    def reached(at: Values) -> Values:
        return np.broadcast_to(getattr(position(parts, at), name), np.shape(at))

    for low, high in path_pieces(parts, end):
        if not high > low:
            continue
        points = np.linspace(low, high, _SAMPLES)
        there = reached(points) >= wanted
        if not there.any():
            continue
        first = int(there.argmax())
        if first == 0 or not reached(points[first]) > level:
            return float(points[first])  # there, or short of it by a rounding alone
        return float(
            bracketed_root(lambda at: reached(at) - level, points[first - 1], points[first])
        )
    return float(end.at)


_ROOT_STEPS = 16


def places(
    parts: Parts,
    end: StrokeEnd,
    shape: tuple[int, ...],
    name: str,
    levels: Values,
    way: int = PULLING,
) -> Values:
    """Return the first stroke coordinates at which a travel has come so far, of many mechanisms.

    Parameters
    ----------
    parts, end : Parts, StrokeEnd
        The mechanisms, of one shape, and where their strokes end.
    shape : tuple of int
        Theirs.
    name : str
        A travel of a position that grows along the stroke: "hand_travel_mm", "lever_angle_rad",
        "arm_rotation_rad".
    levels : array of shape (M,)
        How far; what a stroke does not reach is taken at its end.
    way : {PULLING, BACK}
        Letting back, the hand's travel is that of the return.

    Returns
    -------
    array of shape (M, *shape)

    Notes
    -----
    Samples along the stroke bracket each level, and a root search of a few steps goes between them.
    While the plates jump the hand stands still: a level met there is taken before the jump.
    """

    def reached(at: Values) -> Values:
        return np.broadcast_to(getattr(position(parts, at, way), name), np.shape(at))

    points = sample_points(parts, end.at, shape)
    points = np.broadcast_to(points, (len(points), *shape))
    travel = reached(points)
    travel = np.maximum.accumulate(np.where(np.isnan(travel), -np.inf, travel), axis=0)
    wanted = np.asarray(levels, float).reshape((-1,) + (1,) * len(shape))
    there = travel[None] >= (wanted - _SAME * np.maximum(1.0, np.abs(wanted)))[:, None]
    first = np.where(there.any(axis=1), there.argmax(axis=1), len(points) - 1)
    low, high = (np.take_along_axis(points, np.maximum(k, 0), axis=0) for k in (first - 1, first))
    beyond = ~there.any(axis=1)
    # What is short of a level by a rounding alone is there: no root lies between the samples.
    short = np.take_along_axis(travel, first, axis=0) < wanted
    at = bracketed_root(lambda q: reached(q) - wanted, low, high, steps=_ROOT_STEPS)
    return np.where(
        beyond, np.broadcast_to(end.at, shape), np.where((first == 0) | short, high, at)
    )
