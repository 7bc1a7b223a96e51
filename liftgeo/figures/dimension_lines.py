"""Dimension lines on a drawing: extension lines, arrows, and the number above the line.

After the usual practice of technical drawing (ISO 129-1, from memory): thin lines, the number
above the line and along it, to be read from below or from the right; where there is no room
between the arrows they point inwards from outside.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon
from numpy.typing import NDArray

from liftgeo.figures.style import DRAWING_PT, GREY

LineStyle: TypeAlias = str | tuple[int, tuple[float, float]]
Point: TypeAlias = Sequence[float] | NDArray[np.float64]

DIMENSION_PT = DRAWING_PT
"""Size of the number [pt]."""
MM_PER_PT = 25.4 / 72

_GAP_MM, _OVER_MM = 0.8, 1.5  # from the point to its extension line, and past the dimension line
_ARROW_MM, _ARROW_HALF = 2.6, math.radians(9.0)
_THIN_PT = 0.55
_LETTER = 0.59  # mean width of a letter over its size
_ABOVE_MM = 0.5
_PAST_AXIS_MM = 3.0
_DOT_PT = 2.2
_DASHED: LineStyle = (0, (5.0, 3.0))
ARROW = "→"
"""Stands between two numbers of one line: what it was, and what it is."""


def plot_dimension(
    start: Point,
    end: Point,
    text: str,
    *,
    ax: Axes,
    offset_mm: float = 8.0,
    per_mm: float = 1.0,
    text_at: float = 0.5,
    half: bool = False,
    dashed: bool = False,
) -> Axes:
    """Draw the distance between two points as a dimension line beside them.

    Parameters
    ----------
    start, end : array
        The two points, of shape (2,), in the units of the Axes.
    text : str
        The number above the line; two of them joined by `ARROW` stand below each other where
        there is no room beside.
    ax : Axes
    offset_mm : float
        How far to the left of the way from start to end the line stands, on paper [mm]; below
        zero to its right.
    per_mm : float
        Units of the Axes that make 1 mm on paper.
    text_at : float
        Where the number stands along the line, 0 at its start and 1 at its end; of a half section
        above 1 past its arrow.
    half : bool
        Whether the start lies on the axis of a half section: the line passes the axis a little and
        has its arrow at the end alone.
    dashed : bool
        Whether the line is dashed, of a size that nobody measured.
    """
    a, b = np.asarray(start, float), np.asarray(end, float)
    apart = float(np.hypot(*(b - a)))
    if not apart > 0:
        return ax
    along = (b - a) / apart
    aside = np.array([-along[1], along[0]])
    side = math.copysign(1.0, offset_mm)
    looks = _DASHED if dashed else "-"
    for point in (b,) if half else (a, b):
        near = point + side * aside * min(_GAP_MM, abs(offset_mm)) * per_mm
        _thin(ax, near, point + side * aside * (abs(offset_mm) + _OVER_MM) * per_mm, looks)
    first, last = (point + aside * offset_mm * per_mm for point in (a, b))
    wide = max(text_width_mm(line) for line in text.splitlines())
    if not half and apart / per_mm <= wide + 2 * _ARROW_MM:
        text = _broken(ax, last, along, text, per_mm)
        wide = max(text_width_mm(line) for line in text.splitlines())
    if half:
        _half_line(ax, first, last, text, per_mm, looks, past=text_at > 1)
        return ax
    if apart / per_mm > wide + 2 * _ARROW_MM:
        _thin(ax, first, last, looks)
        _arrow(ax, first, -along, per_mm)
        _arrow(ax, last, along, per_mm)
        _text(ax, first + text_at * (last - first), along, text, per_mm)
        return ax
    beyond = (2 * _ARROW_MM + wide) * per_mm
    if _room(ax, last + beyond * along) < 0 < _room(ax, first - beyond * along):
        first, last, along = last, first, -along
    _thin(ax, first - 2 * _ARROW_MM * per_mm * along, last + beyond * along, looks)
    _arrow(ax, first, along, per_mm)
    _arrow(ax, last, -along, per_mm)
    middle = last + (1.5 * _ARROW_MM + wide / 2) * per_mm * along
    _text(ax, middle, along, text, per_mm)
    return ax


def _broken(
    ax: Axes, last: NDArray[np.float64], along: NDArray[np.float64], text: str, per_mm: float
) -> str:
    """Return a text that has no room between its arrows, on two lines where that is shorter."""
    if ARROW in text:
        return text.replace(f" {ARROW} ", f" {ARROW}\n")  # what it was, and below it what it is
    beyond = (2 * _ARROW_MM + text_width_mm(text)) * per_mm
    return text if _room(ax, last + beyond * along) > 0 else text.replace(" ", "\n", 1)


def _half_line(
    ax: Axes,
    first: NDArray[np.float64],
    last: NDArray[np.float64],
    text: str,
    per_mm: float,
    looks: LineStyle,
    *,
    past: bool,
) -> None:
    """Draw the line of a size across, of which only one half is drawn (ISO 129-1, from memory)."""
    apart = float(np.hypot(*(last - first)))
    along = (last - first) / apart
    wide = max(text_width_mm(each) for each in text.splitlines())
    lacking = wide + 2 * _ARROW_MM - apart / per_mm
    start = first - max(_PAST_AXIS_MM, lacking) * per_mm * along
    if _room(ax, first) < 0:  # the axis lies outside what is drawn: only the part's end of the line
        start = last - ((0.0 if past else wide) + 3 * _ARROW_MM) * per_mm * along
    _thin(ax, start, last, looks)
    _arrow(ax, last, along, per_mm)
    beyond = last + (wide / 2 + _ABOVE_MM) * per_mm * along
    _text(ax, beyond if past else (start + last) / 2, along, text, per_mm)


def plot_spot(start: Point, point: Point, text: str, *, ax: Axes, per_mm: float = 1.0) -> Axes:
    """Draw a leader line from a text to a spot on a part, a dot there (ISO 129-1, from memory).

    Parameters
    ----------
    start : array
        Where the leader begins and the text stands, above or below it by the way the leader runs;
        of shape (2,), in the units of the Axes.
    point : array
        The spot.
    text : str
    ax : Axes
    per_mm : float
        Units of the Axes that make 1 mm on paper.
    """
    a, b = np.asarray(start, float), np.asarray(point, float)
    _thin(ax, a, b)
    ax.plot([b[0]], [b[1]], marker="o", markersize=_DOT_PT, color=GREY, linestyle="", zorder=5)
    _text(ax, a, np.array([1.0, 0.0]), text, per_mm)
    return ax


def _room(ax: Axes, point: NDArray[np.float64]) -> float:
    """Return how far a point lies inside the Axes; below zero outside."""
    (left, right), (bottom, top) = ax.get_xlim(), ax.get_ylim()
    return float(min(point[0] - left, right - point[0], point[1] - bottom, top - point[1]))


def plot_arc_dimension(
    centre: Point,
    radius: float,
    angles_rad: tuple[float, float],
    text: str,
    *,
    ax: Axes,
    per_mm: float = 1.0,
    level: bool = False,
) -> Axes:
    """Draw the way along an arc as a dimension line on that arc.

    Parameters
    ----------
    centre : array
        Of shape (2,), in the units of the Axes.
    radius : float
        Of the dimension line, in the units of the Axes.
    angles_rad : tuple of float
        Where the arc begins and ends [rad].
    text : str
        The number beside it.
    ax : Axes
    per_mm : float
        Units of the Axes that make 1 mm on paper.
    level : bool
        Whether a thin line runs from the centre to where the arc begins.
    """
    middle = np.asarray(centre, float)
    first, last = angles_rad
    if first == last:
        return ax
    turns = np.linspace(first, last, 41)
    ways = np.stack([np.cos(turns), np.sin(turns)], axis=-1)
    points = middle + radius * ways
    ax.plot(points[:, 0], points[:, 1], color=GREY, linewidth=_THIN_PT, zorder=4)
    sense = math.copysign(1.0, last - first)
    for way, sign in ((ways[0], -sense), (ways[-1], sense)):
        tangent = sign * np.array([-way[1], way[0]])
        _arrow(ax, middle + radius * way, tangent, per_mm)
        _thin(
            ax, middle + (radius - 2.5 * per_mm) * way, middle + (radius + _OVER_MM * per_mm) * way
        )
    if level:
        _thin(ax, middle, middle + radius * ways[0])
    half = ways[len(ways) // 2]
    along = np.array([-half[1], half[0]])
    outside = middle + (radius + (0.5 * DIMENSION_PT * MM_PER_PT + 0.9) * per_mm) * half
    _text(ax, outside, along, text, per_mm, "center")
    return ax


def text_width_mm(text: str, size_pt: float = DIMENSION_PT) -> float:
    """Return about how wide a text is on paper [mm]."""
    return len(text) * _LETTER * size_pt * MM_PER_PT


def _thin(
    ax: Axes, first: NDArray[np.float64], last: NDArray[np.float64], looks: LineStyle = "-"
) -> None:
    ends = np.transpose([first, last])
    ax.plot(*ends, color=GREY, linewidth=_THIN_PT, linestyle=looks, zorder=4)


def _arrow(ax: Axes, tip: NDArray[np.float64], way: NDArray[np.float64], per_mm: float) -> None:
    """Draw a filled head that points along a way, its tip on a point."""
    aside = np.array([-way[1], way[0]]) * math.tan(_ARROW_HALF)
    back = tip - _ARROW_MM * per_mm * way
    ends = (_ARROW_MM * per_mm * aside, -_ARROW_MM * per_mm * aside)
    corners = np.array([tip, back + ends[0], back + ends[1]])
    ax.add_patch(Polygon(corners, closed=True, facecolor=GREY, edgecolor="none", zorder=4))


def _text(
    ax: Axes,
    middle: NDArray[np.float64],
    along: NDArray[np.float64],
    text: str,
    per_mm: float,
    stands: str = "bottom",
) -> None:
    """Write a number along a line, to be read from below or from the right."""
    angle = math.degrees(math.atan2(along[1], along[0]))
    if not -89.9 < angle <= 90.1:
        along, angle = -along, angle - math.copysign(180.0, angle)
    up = np.array([-along[1], along[0]])
    at = middle + (0.0 if stands == "center" else _ABOVE_MM) * per_mm * up
    ax.text(
        at[0],
        at[1],
        text,
        rotation=angle,
        rotation_mode="anchor",
        ha="center",
        va=stands,
        fontsize=DIMENSION_PT,
        zorder=5,
        bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 0.4},
    )
    # Labels look for a free spot between lines: an unseen one keeps them off the number.
    reach = max(text_width_mm(line) for line in text.splitlines()) / 2 * per_mm
    rise = (0.0 if stands == "center" else 0.5 * DIMENSION_PT * MM_PER_PT) * per_mm
    ends = [at + rise * up - reach * along, at + rise * up + reach * along]
    ax.plot(*np.transpose(ends), color="white", alpha=0.0, linewidth=3.0, zorder=0)
