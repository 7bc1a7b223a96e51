"""Points and distances of one linkage say the same: every column of the stroke, to 1e-12."""

from __future__ import annotations

import copy
import math

import numpy as np
from hypothesis import given, settings
from mechanisms import documents, read

import liftgeo


def by_distances(document):
    """Return the same file with the distances between its points in place of them."""
    other = copy.deepcopy(document)
    for table, radius in (("lever", "nipple_radius"), ("arm", "radius")):
        points = other[table].pop("points")
        pivot, pin, stop = (points[name] for name in ("pivot", "pin", "stop"))
        other[table][radius] = math.dist(pivot, pin)
        other[table]["stop_distance"] = math.dist(pivot, stop)
        other[table]["rest_length"] = math.dist(pin, stop)
        if table == "lever":
            other[table]["hand_radius"] = math.dist(pivot, points["hand"])
    return other


@settings(max_examples=40, derandomize=True)
@given(documents(lever=("points",), arm=("points",)))
def test_the_whole_stroke_is_the_same_to_1e_12(document) -> None:
    ours, theirs = (liftgeo.stroke(read(d)).table() for d in (document, by_distances(document)))
    assert ours.dtype == theirs.dtype
    for name in ours.dtype.names:
        size = float(np.nanmax(np.abs(ours[name]), initial=1.0))
        np.testing.assert_allclose(theirs[name], ours[name], rtol=1e-12, atol=1e-12 * size)
