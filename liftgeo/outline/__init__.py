"""A mechanism as points and plain shapes in a plane, at any position: data, no picture.

`outline` gives lever and arm as points; `views` everything that a drawing shows, from the keys and
the place where the mechanism stands.
"""

from __future__ import annotations

from liftgeo.outline.links import ASSUMED_HAND_ANGLE_DEG, LinkOutline, Outline, Point, outline
from liftgeo.outline.shapes import Gap, Shape, Stand, StopAngle, View
from liftgeo.outline.views import views

__all__ = [
    "ASSUMED_HAND_ANGLE_DEG",
    "Gap",
    "LinkOutline",
    "Outline",
    "Point",
    "Shape",
    "Stand",
    "StopAngle",
    "View",
    "outline",
    "views",
]
