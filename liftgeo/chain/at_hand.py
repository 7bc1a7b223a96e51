"""Where on the stroke the hand, or the lever's blade, has come so far."""

from __future__ import annotations

import numpy as np

from liftgeo.chain.linkage import Parts
from liftgeo.chain.positions import position
from liftgeo.chain.stop import StrokeEnd, path_pieces
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
        if first == 0:
            return float(points[0])
        return float(
            bracketed_root(lambda at: reached(at) - level, points[first - 1], points[first])
        )
    return float(end.at)
