"""Paper of a drawing: which scale fits, what stands in the middle, and a bar to measure by."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from liftgeo.figures.style import DRAWING_PT, INK
from liftgeo.outline.shapes import View

MM_PER_IN = 25.4
A4_MM = (210.0, 297.0)

_LARGER = (50.0, 20.0, 10.0, 5.0, 3.0, 2.0, 1.5)
_STEPS = (*_LARGER, 1.0, *(1 / step for step in _LARGER[::-1]), 0.01)
"""Enlargements and reductions as technical drawings have them (ISO 5455, from memory), and 1.5 and
3 between them, so that a sheet is filled."""
_BARS = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
_BAR_PAPER_MM = 42.0


class Box(NamedTuple):
    """What a drawing reaches [mm]."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def size(self) -> tuple[float, float]:
        """Width and height [mm]."""
        return self.right - self.left, self.top - self.bottom


def box_of(views: Iterable[View]) -> Box:
    """Return what several views reach together."""
    ends = [shape.box for view in views for shape in view.shapes]
    low = np.min([low for low, _ in ends], axis=0)
    high = np.max([high for _, high in ends], axis=0)
    return Box(float(low[0]), float(low[1]), float(high[0]), float(high[1]))


def room_mm(ax: Axes) -> tuple[float, float]:
    """Return width and height of Axes on paper [mm]."""
    place = ax.get_position()
    wide, tall = ax.figure.get_size_inches()  # type: ignore[union-attr]
    return place.width * wide * MM_PER_IN, place.height * tall * MM_PER_IN


class Pad(NamedTuple):
    """Room kept free around a drawing for dimensions, names and the scale bar, on paper [mm]."""

    left: float
    bottom: float
    right: float
    top: float

    def filled(self, box: Box, across: float) -> float:
        """Return how tall a room of a width is that a box fills with this margin [mm]."""
        wide, tall = (max(size, 1e-6) for size in box.size)
        return (across - self.left - self.right) * tall / wide + self.bottom + self.top


def scale_for(box: Box, room: tuple[float, float], pad: Pad) -> float:
    """Return the largest scale at which a box fits a room with a margin, paper over real."""
    wide, tall = (max(size, 1e-6) for size in box.size)
    inside = (max(room[0] - pad.left - pad.right, 1.0), max(room[1] - pad.bottom - pad.top, 1.0))
    for step in _STEPS:
        if wide * step <= inside[0] and tall * step <= inside[1]:
            return step
    return whole_room(box, room, pad)


def whole_room(box: Box, room: tuple[float, float], pad: Pad) -> float:
    """Return the scale at which a box fills a room with a margin, paper over real."""
    wide, tall = (max(size, 1e-6) for size in box.size)
    inside = (max(room[0] - pad.left - pad.right, 1.0), max(room[1] - pad.bottom - pad.top, 1.0))
    return min(inside[0] / wide, inside[1] / tall)


def scale_text(scale: float) -> str:
    """Return a scale as drawings say it: "1 : 2", "5 : 1"."""
    return f"{scale:.3g} : 1" if scale >= 1 else f"1 : {1 / scale:.3g}"


def lay_out(ax: Axes, box: Box, scale: float, pad: Pad) -> float:
    """Put a box into the middle of Axes at a scale; return units of the Axes for 1 mm of paper."""
    wide, tall = room_mm(ax)
    middle = (
        (box.left + box.right + (pad.right - pad.left) / scale) / 2,
        (box.bottom + box.top + (pad.top - pad.bottom) / scale) / 2,
    )
    half = wide / scale / 2, tall / scale / 2
    ax.set_xlim(middle[0] - half[0], middle[0] + half[0])
    ax.set_ylim(middle[1] - half[1], middle[1] + half[1])
    ax.set_aspect("equal", adjustable="box")
    ax.set_axis_off()
    return 1 / scale


def scale_bar(ax: Axes, scale: float, units: str = "metric") -> None:
    """Draw a bar of a round length at the lower left, with that length above it."""
    unit = 1.0 if units == "metric" else MM_PER_IN
    bars = _BARS if units == "metric" else tuple(b / 20 for b in _BARS)
    fitting = [b for b in bars if b * unit * scale <= _BAR_PAPER_MM]
    long = fitting[-1] if fitting else bars[0]
    left, bottom = ax.get_xlim()[0], ax.get_ylim()[0]
    per_mm = 1 / scale
    x, y = left + 1.5 * per_mm, bottom + 1.5 * per_mm
    reach = long * unit
    ends: list[NDArray[np.float64]] = [np.array([x, x, x, x + reach, x + reach, x + reach])]
    tick = 1.0 * per_mm
    up = np.array([y - tick, y + tick, y, y, y + tick, y - tick])
    ax.plot(ends[0], up, color=INK, linewidth=1.0, zorder=5, gid="scale bar")
    name = f"{long:g} {'mm' if units == 'metric' else 'in'}"
    ax.text(
        x + reach / 2,
        y + 0.6 * per_mm,
        name,
        ha="center",
        va="bottom",
        fontsize=DRAWING_PT,
        zorder=6,
    )
