"""Labels that find a free spot: beside what they name, off the curves and off each other.

The spots are chosen while the figure is drawn, when its size and the place of its axes are known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backend_bases import RendererBase
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle
from matplotlib.text import Text
from matplotlib.transforms import Bbox, IdentityTransform
from numpy.typing import NDArray

from liftgeo.figures.style import GREY, SMALL_PT

Array = NDArray[np.float64]

_SIDES = {
    "e": (1.0, 0.0),
    "w": (-1.0, 0.0),
    "n": (0.0, 1.0),
    "s": (0.0, -1.0),
    "ne": (1.0, 1.0),
    "nw": (-1.0, 1.0),
    "se": (1.0, -1.0),
    "sw": (-1.0, -1.0),
}
_GAPS_PT = (4.0, 9.0, 16.0, 26.0, 40.0, 58.0, 80.0)
_LEADER_FROM_PT = 12.0
_STEP_PT = 1.5  # how closely a curve is sampled, and the size of a cell
_CLEAR_PT = 5.0  # from an anchor to where its leader must meet nothing
_LEADER_SAMPLES = 24
_MARGIN_PT = 1.5  # kept free around a label
_OUTSIDE, _ON_LABEL, _THROUGH_LABEL, _NEARER_ANOTHER = 1e6, 1e5, 300.0, 30.0
_ON_CURVE, _ON_THIN_LINE, _ON_MARKER = 6.0, 1.2, 150.0
_THIN_PT = 1.0
_LATER = 6.0  # how much the last of several points is disliked against the first
_PASSES = 3
_ACROSS = (-1.0, -0.5, 0.0, 0.5, 1.0)  # a marker, sampled
_OUTWARD = np.array([-1.0, -1.0, 1.0, 1.0])


@dataclass
class Note:
    """One label: its text, the points it may stand beside, and the sides it likes best."""

    text: Text
    leader: Line2D
    points: Array
    sides: tuple[str, ...]
    box: Array = field(default_factory=lambda: np.full(4, np.nan))


class Obstacles:
    """How bad each spot of an Axes is to cover: curves, markers and bars on a grid of cells.

    Parameters
    ----------
    inside : Bbox
        The Axes [pixels].
    cell : float
        Size of a cell [pixels].
    points, weights : array
        Points not to cover [pixels], shape (P, 2), and how bad each is.
    """

    def __init__(self, inside: Bbox, cell: float, points: Array, weights: Array) -> None:
        self.corner, self.cell = np.array(inside.min), cell
        shape = np.maximum(np.ceil(np.array(inside.size) / cell).astype(int), 1)
        self.shape = shape
        place = np.floor((points - self.corner) / cell).astype(int)
        seen = ((place >= 0) & (place < shape)).all(axis=1)
        flat = place[seen, 0] * shape[1] + place[seen, 1]
        self.cells = np.bincount(flat, weights[seen], minlength=int(shape.prod())).reshape(shape)
        self.sums = np.zeros(shape + 1)
        self.sums[1:, 1:] = self.cells.cumsum(axis=0).cumsum(axis=1)

    def covered(self, boxes: Array) -> Array:
        """Return the weight under each box, shape (C,)."""
        low = np.clip(np.floor((boxes[:, :2] - self.corner) / self.cell), 0, self.shape).astype(int)
        high = np.clip(np.ceil((boxes[:, 2:] - self.corner) / self.cell), 0, self.shape).astype(int)
        (x0, y0), (x1, y1) = low.T, high.T
        sums = self.sums
        weights: Array = sums[x1, y1] - sums[x0, y1] - sums[x1, y0] + sums[x0, y0]
        return weights

    def met(self, starts: Array, ends: Array) -> Array:
        """Return the weight along the straight way from each start to each end, shape (C,)."""
        share = np.linspace(0.0, 1.0, _LEADER_SAMPLES)[None, :, None]
        way = starts[:, None] * (1.0 - share) + ends[:, None] * share
        place = np.floor((way - self.corner) / self.cell).astype(int)
        inside = ((place >= 0) & (place < self.shape)).all(axis=-1)
        place = np.clip(place, 0, self.shape - 1)
        weights: Array = (self.cells[place[..., 0], place[..., 1]] * inside).sum(axis=1)
        return weights


@dataclass(frozen=True)
class Spots:
    """Candidates: boxes [pixels], shape (C, 4), their anchors, and how disliked each is."""

    boxes: Array
    anchors: Array
    dislike: Array


class Notes(Artist):
    """The labels of one Axes."""

    def __init__(self) -> None:
        super().__init__()
        self.notes: list[Note] = []
        self.set_in_layout(False)
        self.set_zorder(6)

    def add(
        self,
        text: str,
        across: Any,
        up: Any,
        sides: Sequence[str] = ("ne", "nw", "se", "sw"),
        **looks: Any,
    ) -> None:
        """Add a label beside a point, or beside whichever of several points has room.

        Parameters
        ----------
        text : str
            The label; may have several lines.
        across, up : float or array
            The point or points, in the data units of the Axes.
        sides : sequence of str
            Points of the compass, the best first; those left out come last.
        **looks
            How the text looks, as matplotlib's Text takes it.
        """
        points = np.column_stack([np.atleast_1d(across), np.atleast_1d(up)]).astype(float)
        points = points[np.isfinite(points).all(axis=1)]
        if not len(points):
            return
        looks = {"fontsize": SMALL_PT + 0.5, "linespacing": 1.1, **looks}
        label = Text(0.0, 0.0, text, ha="left", va="bottom", **looks)
        label.set_bbox({"facecolor": "white", "edgecolor": "none", "alpha": 0.8, "pad": 0.6})
        leader = Line2D([], [], color=GREY, linewidth=0.6)
        for artist in (label, leader):
            artist.set_transform(IdentityTransform())
        rest = tuple(side for side in _SIDES if side not in sides)
        self.notes.append(Note(label, leader, points, (*sides, *rest)))

    def get_children(self) -> list[Artist]:
        """Return texts and leaders."""
        return [artist for note in self.notes for artist in (note.leader, note.text)]

    def draw(self, renderer: RendererBase) -> None:
        """Find the spots, then draw leaders and texts."""
        if not self.get_visible() or not self.notes:
            return
        self.place(renderer)
        for artist in self.get_children():
            artist.set_figure(self.figure)
            artist.draw(renderer)

    def place(self, renderer: RendererBase) -> None:
        """Put every label on its best spot, each looked at again once the others stand."""
        assert self.axes is not None
        scale = _pixels_per_pt(renderer)
        inside = self.axes.get_window_extent(renderer).padded(-_MARGIN_PT * scale)
        obstacles = _obstacles(self.axes, scale)
        spots = [self._spots(note, renderer, inside, obstacles) for note in self.notes]
        single = {
            id(n): found.anchors[0]
            for n, found in zip(self.notes, spots, strict=True)
            if len(n.points) == 1
        }
        for note, found in zip(self.notes, spots, strict=True):
            found.dislike[:] += _doubt(found, [a for key, a in single.items() if key != id(note)])
        for _ in range(_PASSES):
            for note, found in zip(self.notes, spots, strict=True):
                others = [n.box for n in self.notes if n is not note and np.isfinite(n.box).all()]
                best = int(np.argmin(found.dislike + _crowding(found, others, _MARGIN_PT * scale)))
                _settle(note, found.boxes[best], found.anchors[best], scale)

    def _spots(
        self, note: Note, renderer: RendererBase, inside: Bbox, obstacles: Obstacles
    ) -> Spots:
        """Return the candidates of one label."""
        assert self.axes is not None
        note.text.set_figure(self.figure)
        note.text.set_position((0.0, 0.0))
        size = note.text.get_window_extent(renderer)
        scale = _pixels_per_pt(renderer)
        near = self.axes.transData.transform(note.points)
        ways = np.array([_SIDES[side] for side in note.sides])
        rank, liked, gap = (
            axis.ravel() for axis in np.indices((len(near), len(ways), len(_GAPS_PT)))
        )
        anchors, gaps_pt = near[rank], np.array(_GAPS_PT)[gap]
        boxes = _boxes(anchors, ways[liked], gaps_pt * scale, size.width, size.height)
        dislike = 0.25 * gaps_pt + 1.5 * liked + _LATER * rank / max(len(near), 1)
        margin = _MARGIN_PT * scale
        dislike += _outside(boxes, inside) + obstacles.covered(boxes + margin * _OUTWARD)
        far = gaps_pt >= _LEADER_FROM_PT
        dislike[far] += _crossing(boxes[far], anchors[far], obstacles, _CLEAR_PT * scale)
        return Spots(boxes, anchors, dislike)


def _pixels_per_pt(renderer: RendererBase) -> float:
    scale: Any = renderer.points_to_pixels(1.0)
    return float(scale)


def notes_on(ax: Axes) -> Notes:
    """Return the labels of an Axes, made on first use."""
    for artist in ax.artists:
        if isinstance(artist, Notes):
            return artist
    notes = Notes()
    ax.add_artist(notes)
    return notes


def _boxes(anchors: Array, ways: Array, gaps: Array, width: float, height: float) -> Array:
    """Return [left, bottom, right, top] of a label on one side of each anchor, shape (C, 4)."""
    size = np.array([width, height])
    straight = (ways == 0).any(axis=1)
    reach = np.where(straight, gaps, 0.75 * gaps)
    low = anchors + ways * reach[:, None] - size * 0.5 * (1.0 - ways)
    return np.hstack([low, low + size])


def _obstacles(ax: Any, pixels_per_pt: float) -> Obstacles:
    """Return points on all lines, markers and bars of an Axes, and how bad each is to cover."""
    points, weights = [np.empty((0, 2))], [np.empty(0)]
    for line in ax.lines:
        if not line.get_visible():
            continue
        path = line.get_transform().transform_path(line.get_path()).vertices
        path = np.asarray(path, float)
        path = path[np.isfinite(path).all(axis=1)]
        if line.get_linestyle() != "None" and len(path) > 1:
            sampled = _sampled(path, _STEP_PT * pixels_per_pt)
            thin = line.get_linewidth() < _THIN_PT
            points.append(sampled)
            weights.append(np.full(len(sampled), _ON_THIN_LINE if thin else _ON_CURVE))
        elif line.get_gid() == "cloud":
            points.append(path)
            weights.append(np.full(len(path), _ON_THIN_LINE))
        elif line.get_marker() not in ("None", "", None) and len(path):
            reach = 0.5 * line.get_markersize() * pixels_per_pt
            corners = reach * np.array([[x, y] for x in _ACROSS for y in _ACROSS])
            around = (path[:, None, :] + corners[None]).reshape(-1, 2)
            points.append(around)
            weights.append(np.full(len(around), _ON_MARKER))
    for patch in ax.patches:
        if isinstance(patch, Rectangle) and patch.get_gid() == "bar":
            corners = np.asarray(patch.get_transform().transform_path(patch.get_path()).vertices)
            sampled = _sampled(corners, _STEP_PT * pixels_per_pt)
            points.append(sampled)
            weights.append(np.full(len(sampled), _ON_CURVE))
    cell = _STEP_PT * pixels_per_pt
    return Obstacles(ax.bbox, cell, np.concatenate(points), np.concatenate(weights))


def _sampled(path: Array, step: float) -> Array:
    """Return points along a path, no further apart than a step."""
    start, span = path[:-1], np.diff(path, axis=0)
    counts = np.clip(np.ceil(np.hypot(span[:, 0], span[:, 1]) / step), 1, 4000).astype(int)
    which = np.repeat(np.arange(len(start)), counts)
    first = np.repeat(np.cumsum(counts) - counts, counts)
    share = (np.arange(len(which)) - first) / counts[which]
    return np.concatenate([start[which] + share[:, None] * span[which], path[-1:]])


def _outside(boxes: Array, inside: Bbox) -> Array:
    """Return how bad it is that boxes stick out of the axes."""
    low, high = np.array(inside.min), np.array(inside.max)
    over = np.maximum(low - boxes[:, :2], boxes[:, 2:] - high).max(axis=1)
    return np.where(over > 0, _OUTSIDE + over, 0.0)


def _crossing(boxes: Array, anchors: Array, obstacles: Obstacles, clear: float) -> Array:
    """Return how bad it is that leaders run over curves on their way to the boxes."""
    ends = _nearest(boxes, anchors)
    away = ends - anchors
    apart = np.maximum(np.hypot(away[:, 0], away[:, 1]), 1e-9)[:, None]
    return obstacles.met(anchors + away * np.minimum(clear / apart, 1.0), ends)


def _doubt(spots: Spots, others: list[Array]) -> Array:
    """Return how bad each spot is for standing nearer to what another label names."""
    near = np.hypot(*(_nearest(spots.boxes, spots.anchors) - spots.anchors).T)
    cost = np.zeros(len(near))
    for other in others:
        far = np.hypot(
            *(_nearest(spots.boxes, np.broadcast_to(other, spots.anchors.shape)) - other).T
        )
        cost += np.where(far < near, _NEARER_ANOTHER, 0.0)
    return cost


def _crowding(spots: Spots, others: list[Array], margin: float) -> Array:
    """Return how bad each spot is for the labels that stand already."""
    cost = np.zeros(len(spots.boxes))
    if not others:
        return cost
    low, high = spots.boxes[:, :2], spots.boxes[:, 2:]
    share = np.linspace(0.0, 1.0, 12)[None, :, None]
    ends = _nearest(spots.boxes, spots.anchors)[:, None]
    leaders = spots.anchors[:, None] * (1 - share) + ends * share
    for other in others:
        shared = np.minimum(high, other[2:]) - np.maximum(low, other[:2]) + margin
        cost += np.where((shared > 0).all(axis=1), _ON_LABEL + shared.prod(axis=1), 0.0)
        through = ((leaders > other[:2]) & (leaders < other[2:])).all(axis=-1).any(axis=-1)
        cost += _THROUGH_LABEL * through
    return cost


def _nearest(boxes: Array, anchors: Array) -> Array:
    """Return the point of each box nearest to its anchor."""
    return np.clip(anchors, boxes[..., :2], boxes[..., 2:])


def _settle(note: Note, box: Array, anchor: Array, pixels_per_pt: float) -> None:
    """Put a label into its box, with a leader where it stands off."""
    note.box = box
    note.text.set_position((box[0], box[1]))
    end = _nearest(box, anchor)
    away = end - anchor
    apart = float(np.hypot(*away))
    if apart < _LEADER_FROM_PT * pixels_per_pt:
        note.leader.set_data([], [])
        return
    start = anchor + away / apart * 3.5 * pixels_per_pt
    note.leader.set_data([start[0], end[0]], [start[1], end[1]])
