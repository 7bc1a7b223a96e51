"""The mechanism as SVG that a slider moves: every shape at every place of the stroke, as text.

Nothing is computed in the page: each place comes from the solution that `liftgeo.stroke` finds.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from liftgeo.mechanism import Mechanism
from liftgeo.outline.shapes import Shape, View
from liftgeo.quantities import shown
from liftgeo.studies.drawn import Drawn, DrawnPosition, frames
from liftgeo.words.foot import as_worked
from liftgeo.words.numbers import force_text, lift_text, travel_text
from liftgeo.words.view_names import view_name

PLACES = 41
"""Places from rest to full lever between which the slider steps."""

_MARGIN = 0.06
_BARS_MM = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0)
_LONGEST_BAR = 0.3
_FINE = 2000.0  # parts of a view's width that are told apart


@dataclass(frozen=True)
class SceneShape:
    """One shape: what it is of, and where its points stand at each place, as SVG writes them.

    Attributes
    ----------
    name, role : str
        Of `liftgeo.outline.Shape`.
    radius : str
        Of a circle; empty for a line.
    closed, assumed : bool
    places : tuple of str
        "x,y x,y …" at each place [mm, y down]; a single one for what never moves.
    """

    name: str
    role: str
    radius: str
    closed: bool
    assumed: bool
    places: tuple[str, ...]


@dataclass(frozen=True)
class SceneView:
    """One view: its name in words, the box that it fills, its shapes, and a bar for its scale.

    Attributes
    ----------
    name, words : str
    left, top, width, height : float
        The view box [mm, y down].
    bar_mm, bar_down : float
        Length of the scale bar, and how far down it stands [mm].
    bar_words : str
        What the bar measures.
    shapes : tuple of SceneShape
    """

    name: str
    words: str
    left: float
    top: float
    width: float
    height: float
    bar_mm: float
    bar_down: float
    bar_words: str
    shapes: tuple[SceneShape, ...]

    @property
    def bar_points(self) -> str:
        """The scale bar as SVG writes it."""
        left = self.left + 0.02 * self.width
        return f"{left:.3f},{self.bar_down} {left + self.bar_mm:.3f},{self.bar_down}"

    @property
    def below(self) -> str:
        """What stands below the view."""
        return f"{self.words}; the bar is {self.bar_words}"


@dataclass(frozen=True)
class Scene:
    """A mechanism through its stroke.

    Attributes
    ----------
    views : tuple of SceneView
    travels : tuple of str
        How far the hand has come at each place, in words.
    said : tuple of str
        What can be read at each place: travel, what the faces have parted, the force.
    hand_travel_mm, separation_mm, hand_force_n : tuple of float
    dashed : tuple of str
        Keys that are drawn dashed because nobody gave them.
    """

    views: tuple[SceneView, ...]
    travels: tuple[str, ...]
    said: tuple[str, ...]
    hand_travel_mm: tuple[float, ...]
    separation_mm: tuple[float, ...]
    hand_force_n: tuple[float, ...]
    dashed: tuple[str, ...]

    def moving(self) -> dict[str, Any]:
        """Return what a script needs to move it: points by view and shape, and what is said."""
        return {
            "said": list(self.said),
            "shapes": {
                f"{view.name}-{k}": list(shape.places)
                for view in self.views
                for k, shape in enumerate(view.shapes)
                if len(shape.places) > 1
            },
        }

    def boxes(self) -> dict[str, dict[str, Any]]:
        """Return the box of each view, its scale bar and what stands below it, by its name."""
        return {
            view.name: {
                "box": [view.left, view.top, view.width, view.height],
                "bar": view.bar_points,
                "words": view.words,
                "below": view.below,
            }
            for view in self.views
        }

    def stand(self, place: int = -1) -> dict[str, Any]:
        """Return where all shapes stand at one place, for a script that has them drawn already."""
        return {
            "form": self.form,
            "boxes": self.boxes(),
            "shapes": {
                f"{view.name}-{k}": [shape.places[min(place, len(shape.places) - 1)], shape.radius]
                for view in self.views
                for k, shape in enumerate(view.shapes)
            },
        }

    @property
    def form(self) -> str:
        """What is drawn, but for where it stands: two scenes of one form have the same shapes."""
        said = [
            (view.name, s.role, s.closed, s.assumed, bool(s.radius))
            for view in self.views
            for s in view.shapes
        ]
        return hashlib.sha256(repr(said).encode()).hexdigest()[:12]


def scene(mechanism: Mechanism, units: str = "metric", places: int = PLACES) -> Scene:
    """Return a mechanism through its stroke, as a page draws it.

    Parameters
    ----------
    mechanism : Mechanism
        Lever and arm alone are enough.
    units : {"metric", "inch"}
        Units of what is said.
    places : int
        Places from rest to full lever, 2 at least.
    """
    return scene_of(frames(mechanism, places), units)


def scene_of(found: Drawn, units: str = "metric") -> Scene:
    """Return places that are worked out as a page draws them."""
    each = [found.views(position) for position in found.positions]
    views = tuple(_view([views[name] for views in each], found, units) for name in each[0])
    return Scene(
        views,
        tuple(travel_text(p.hand_travel_mm, units) for p in found.positions),
        tuple(as_worked(_said(p, units), found.mechanism) for p in found.positions),
        tuple(p.hand_travel_mm for p in found.positions),
        tuple(p.separation_mm for p in found.positions),
        tuple(p.hand_force_n for p in found.positions),
        found.dashed,
    )


def _said(position: DrawnPosition, units: str) -> str:
    """Return what can be read at a place."""
    said = f"hand {travel_text(position.hand_travel_mm, units)}"
    if np.isfinite(position.separation_mm):
        said += f", faces parted {lift_text(position.separation_mm, units)}"
    if np.isfinite(position.hand_force_n):
        said += f", pull {force_text(position.hand_force_n, units)}"
    return said


def _view(every: Sequence[View], found: Drawn, units: str) -> SceneView:
    """Return one view at all places."""
    corners = [corner for view in every for shape in view.shapes for corner in shape.box]
    low, high = np.min(corners, axis=0), np.max(corners, axis=0)
    size = np.maximum(high - low, 1e-3)
    edge = _MARGIN * float(size.max())
    digits = max(0, int(np.ceil(np.log10(_FINE / float(size.max())))))
    shapes = tuple(
        _shape([view.shapes[k] for view in every], digits) for k in range(len(every[0].shapes))
    )
    bar = max((b for b in _BARS_MM if b <= _LONGEST_BAR * size[0]), default=_BARS_MM[0])
    top = -float(high[1]) - edge
    return SceneView(
        every[0].name,
        view_name(every[0], found.magnified),
        round(float(low[0]) - edge, 3),
        round(top, 3),
        round(float(size[0]) + 2 * edge, 3),
        round(float(size[1]) + 3.5 * edge, 3),
        bar,
        round(top + float(size[1]) + 2.7 * edge, 3),
        shown(bar, "length", units, 0 if units == "metric" else 2),
        shapes,
    )


def _shape(every: Sequence[Shape], digits: int) -> SceneShape:
    """Return one shape at all places."""
    first = every[0]
    places = tuple(_written(shape, digits) for shape in every)
    return SceneShape(
        first.name,
        first.role,
        f"{first.radius_mm:.{digits}f}" if first.is_circle else "",
        first.closed,
        first.assumed,
        places if len(set(places)) > 1 else places[:1],
    )


def _written(shape: Shape, digits: int) -> str:
    return " ".join(_pair(x, -y, digits) for x, y in _pairs(shape.points.tolist()))


def _pairs(points: Iterable[Sequence[float]]) -> Iterable[tuple[float, float]]:
    return ((x, y) for x, y in points)


def _pair(x: float, y: float, digits: int) -> str:
    return f"{x + 0.0:.{digits}f},{y + 0.0:.{digits}f}"
