"""The drawing of lever or arm laid over its photograph."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patheffects import AbstractPathEffect, withStroke
from numpy.typing import NDArray

from liftgeo.figures.labels import notes_on
from liftgeo.figures.shape_lines import DASHES, HEAVY_PT, LIGHT_PT, curve, weights
from liftgeo.figures.study_pages import headed
from liftgeo.figures.style import INK, RUST, SMALL_PT, styled
from liftgeo.outline.shapes import Shape, View
from liftgeo.studies.drawn import Drawn
from liftgeo.studies.laid_over import LaidOver
from liftgeo.words.drawing import POINT_WORDS
from liftgeo.words.over_page import figure_title, legend_words

_WIDE_IN = 7.3
_TALLEST_IN, _LEAST_IN = 7.5, 3.0
_AROUND = 0.18
_HALO: list[AbstractPathEffect] = [withStroke(linewidth=4.0, foreground="white")]
_SAMPLES = 40  # places along a straight line: a tilted camera does not bend it, a circle it does


@styled
def plot_over(
    over: LaidOver,
    picture: NDArray[np.uint8],
    size_px: tuple[int, int],
    *,
    ax: Axes | None = None,
    units: str = "metric",
) -> Axes:
    """Draw lever or arm over its photograph: at rest heavy, elsewhere thin; marks as crosses.

    Parameters
    ----------
    over : LaidOver
    picture : array of shape (height, width, 3)
        The upright photograph, perhaps made smaller.
    size_px : (int, int)
        Width and height of the photograph itself.
    ax : Axes, optional
    units : {"metric", "inch"}
    """
    if ax is None:
        ax = Figure(figsize=(_WIDE_IN, 5.0), layout="constrained").add_subplot()
    width, height = size_px
    ax.imshow(picture, extent=(-0.5, width - 0.5, height - 0.5, -0.5), alpha=0.75)
    ax.set_axis_off()
    places = over.drawn.positions
    views = [over.view(place) for place in places]
    heavy = weights(len(views))[::-1]  # what must lie on the photograph is the lever at rest
    for k, (view, weight) in enumerate(zip(views, heavy, strict=True)):
        _draw_view(ax, over, view, weight, fixed=k == 0)
    for name in over.offsets_mm:
        x, y = over.marks.mean(name)
        cross = ax.plot(x, y, "+", color=RUST, markersize=11, markeredgewidth=1.6, gid="mark")[0]
        cross.set_path_effects(_HALO)
        notes_on(ax).add(POINT_WORDS[over.part][name], x, y, fontsize=SMALL_PT)
    left, right, top, bottom = _window(over, views, size_px)
    ax.set_xlim(left, right)
    ax.set_ylim(bottom, top)
    handles = [
        Line2D([], [], color=INK, linewidth=weight, label=word)
        for weight, word in zip(heavy, legend_words(over, units), strict=True)
    ]
    handles.append(
        Line2D([], [], color=RUST, marker="+", linestyle="", markersize=9, label="marked")
    )
    ax.legend(handles=handles, loc="upper center", bbox_to_anchor=(0.5, -0.01), ncols=len(handles))
    return ax


def _draw_view(ax: Axes, over: LaidOver, view: View, weight_pt: float, *, fixed: bool) -> None:
    for shape in view.shapes:
        stays = shape.role == "fixed" or shape.name == "casing"
        if stays and not fixed:
            continue
        pixels = over.mapping.to_px(_dense(shape))
        line = ax.plot(
            pixels[:, 0],
            pixels[:, 1],
            color=RUST if shape.name == "cable" else INK,
            linewidth=LIGHT_PT if stays else weight_pt,
            linestyle=DASHES if shape.assumed else "-",
            gid=shape.name,
        )[0]
        if weight_pt >= HEAVY_PT or stays:
            line.set_path_effects(_HALO)


def _dense(shape: Shape) -> NDArray[np.float64]:
    """Return a shape's line with places enough that it may be bent."""
    points = curve(shape)
    share = np.linspace(0.0, len(points) - 1.0, 1 + _SAMPLES * (len(points) - 1))
    at = np.arange(len(points))
    return np.stack([np.interp(share, at, points[:, k]) for k in (0, 1)], axis=-1)


def _window(
    over: LaidOver, views: Sequence[View], size_px: tuple[int, int]
) -> tuple[float, float, float, float]:
    """Return the part of the photograph to show: all that is drawn or marked, and some around."""
    places = [over.mapping.to_px(curve(shape)) for view in views for shape in view.shapes]
    places += [np.array([over.marks.mean(name)]) for name in over.offsets_mm]
    every = np.concatenate(places)
    low, high = every.min(axis=0), every.max(axis=0)
    around = _AROUND * float((high - low).max())
    low, high = low - around, high + around
    (width, height), (left, top), (right, bottom) = size_px, low, high
    return max(left, -0.5), min(right, width - 0.5), max(top, -0.5), min(bottom, height - 0.5)


@styled
def over_page(
    over: LaidOver,
    picture: NDArray[np.uint8],
    size_px: tuple[int, int],
    warnings: Sequence[str],
    *,
    units: str = "metric",
) -> Figure:
    """Return the drawing over the photograph as a figure to print, with what to beware of.

    Parameters
    ----------
    over : LaidOver
    picture, size_px : array, (int, int)
        The upright photograph, and the size of the photograph itself.
    warnings : sequence of str
        Names of the mechanism's stops and cautions.
    units : {"metric", "inch"}
    """
    drawn: Drawn = over.drawn
    left, right, top, bottom = _window(over, [over.view(p) for p in drawn.positions], size_px)
    tall = _WIDE_IN * (bottom - top) / max(right - left, 1.0)
    tall = min(max(tall, _LEAST_IN), _TALLEST_IN) + 1.6
    figure = Figure(figsize=(_WIDE_IN, tall), layout="constrained")
    plot_over(over, picture, size_px, ax=figure.add_subplot(), units=units)
    return headed(figure, figure_title(over, units), warnings)
