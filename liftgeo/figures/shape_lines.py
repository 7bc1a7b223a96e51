"""Plain shapes drawn as lines: one weight a position, dashes for what is assumed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from numpy.typing import NDArray

from liftgeo.figures.style import GREY, INK, RUST
from liftgeo.outline.shapes import Shape, View

LIGHT_PT, MIDDLE_PT, HEAVY_PT = 0.7, 1.2, 2.0
STOCK = "#a3a3a3"
"""Grey of the unchanged mechanism below a changed one."""
SWEPT = "#dfeaf3"
"""Light band that a moving part sweeps; lighter in print than any line on it."""
DASHES = (0, (4.0, 2.0))
_ROUND = np.linspace(0.0, 2 * np.pi, 73)
_FILL = {"fixed": "#e9e9e9", "plate": "#f3e6dd"}
_LIGHTER = {"cable": 0.8, "symbol": 0.6}


def weights(count: int) -> tuple[float, ...]:
    """Return a weight of line for each of so many positions, the first the lightest [pt]."""
    if count == 1:
        return (HEAVY_PT,)
    if count == 2:
        return (LIGHT_PT, HEAVY_PT)
    return tuple(float(w) for w in np.linspace(LIGHT_PT, HEAVY_PT, count))


def curve(shape: Shape) -> NDArray[np.float64]:
    """Return the points of a shape's line, circles and closed shapes brought round."""
    if shape.is_circle:
        ring = np.stack([np.cos(_ROUND), np.sin(_ROUND)], axis=-1)
        found: NDArray[np.float64] = shape.points[0] + shape.radius_mm * ring
        return found
    return np.concatenate([shape.points, shape.points[:1]]) if shape.closed else shape.points


def plot_view(
    view: View,
    *,
    ax: Axes,
    weight_pt: float = HEAVY_PT,
    colour: str = "",
    fixed: bool = True,
    filled: Sequence[str] = tuple(_FILL),
) -> list[Line2D]:
    """Draw the shapes of a view; return their lines, each with the shape's name as its gid.

    Parameters
    ----------
    view : View
    ax : Axes
    weight_pt : float
        Of what moves [pt]; what stays is thin.
    colour : str, optional
        Of all of it; by default each role its own.
    fixed : bool
        Whether what does not move is drawn too.
    filled : sequence of str
        Roles whose areas are tinted.
    """
    lines = []
    for shape in view.shapes:
        stays = shape.role == "fixed" or shape.name == "casing"
        if stays and not fixed:
            continue
        points = curve(shape)
        looks = _looks(shape, LIGHT_PT if stays else weight_pt, colour)
        (drawn,) = ax.plot(points[:, 0], points[:, 1], gid=shape.name, **looks)
        lines.append(drawn)
        if shape.role in filled and not colour and (shape.closed or shape.is_circle):
            tint = _FILL[shape.role]
            ax.fill(points[:, 0], points[:, 1], facecolor=tint, edgecolor="none", zorder=1)
    return lines


def _looks(shape: Shape, weight_pt: float, colour: str) -> dict[str, Any]:
    """Return how the line of a shape looks."""
    own = {"cable": RUST, "fixed": GREY, "symbol": GREY}.get(shape.role, INK)
    return {
        "color": colour or own,
        "linewidth": weight_pt * _LIGHTER.get(shape.role, 1.0),
        "linestyle": DASHES if shape.assumed else "-",
        "solid_capstyle": "round",
        "zorder": 2.0 + weight_pt / 10,
    }
