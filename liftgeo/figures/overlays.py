"""Several variants over each other: their effort, and how far their faces part."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.transforms import ScaledTranslation

from liftgeo.figures import style
from liftgeo.figures.labels import notes_on
from liftgeo.figures.page import wrapped
from liftgeo.figures.stroke_curves import broken_at, jumps_of, stroke_of
from liftgeo.figures.style import axes_for, axis_label, force, length, look_of, styled, titled
from liftgeo.outcome.results import Result
from liftgeo.words.lines import one_line
from liftgeo.words.numbers import force_text, lift_text

_LEGEND_IN = 2.4  # width of a name in a legend
_LEGEND_BELOW_IN = 0.5  # from the axis down: ticks and axis label stand between
_FIELD_IN = 1.3  # width of a name above a field of many
_SAME_MM = 1e-9


def named(label: str, width_in: float = _LEGEND_IN) -> str:
    """Return a name from a file, broken into lines no wider than a width [in]."""
    return "\n".join(wrapped(one_line(label), width_in, style.SMALL_PT))


def _legend(ax: Axes, count: int) -> None:
    """Put the names of the curves under the axes, two abreast, clear of the axis label."""
    if not count:
        return
    below = ScaledTranslation(0.0, -_LEGEND_BELOW_IN, ax.figure.dpi_scale_trans)
    ax.legend(
        loc="upper left",
        bbox_to_anchor=(0.0, 0.0),
        bbox_transform=ax.transAxes + below,
        ncols=min(2, count),
        fontsize=style.SMALL_PT,
        frameon=False,
        handlelength=4.2,
        borderaxespad=0.0,
    )


def _overlay_size(count: int) -> tuple[float, float]:
    width, height = style.SINGLE_IN
    return width, height + 0.2 * ((count + 1) // 2)


@styled
def plot_effort_overlay(
    results: Mapping[str, Result],
    *,
    ax: Axes | None = None,
    units: str = "metric",
    target_n: float | None = 90.0,
    legend: bool = True,
) -> Axes:
    """Draw the hand force, pulling, of several variants over each other.

    Parameters
    ----------
    results : mapping of str to Result
        Variants under the names they are to bear, with their strokes; the first is the stock one.
    ax : Axes, optional
        Where to draw; without it on a new figure. The legend stands under the Axes.
    units : {"metric", "inch"}
        Units of the axes and labels.
    target_n : float, optional
        Hand force aimed at [N]; None draws no line.
    legend : bool
        Whether the names stand below; not where other Axes on the page bear them.

    Raises
    ------
    RequestError
        A result was computed without its stroke.
    """
    ax = axes_for(ax, _overlay_size(len(results)))
    highest, furthest = 0.0 if target_n is None else force(target_n, units), 0.0
    if target_n is not None:
        ax.axhline(highest, **style.TARGET)
    for index, (label, result) in enumerate(results.items()):
        table = stroke_of(result)
        rows = jumps_of(table)
        out, pull = length(table.hand_travel_mm, units), force(table.hand_force_n, units)
        ax.plot(broken_at(rows, out), broken_at(rows, pull), label=named(label), **look_of(index))
        highest, furthest = max(highest, float(pull.max())), max(furthest, float(out.max()))
    ax.set_xlim(0.0, 1.02 * furthest or 1.0)
    ax.set_ylim(0.0, 1.12 * highest or 1.0)
    if target_n is not None:
        along = np.linspace(*ax.get_xlim(), 25)[1:-1]
        text = f"target {force_text(target_n, units)}"
        notes_on(ax).add(text, along, 0 * along + force(target_n, units), ("n", "s"))
    across = axis_label("hand travel", "length", units)
    titled(ax, "Force at the hand, pulling", across, axis_label("hand force", "force", units))
    _legend(ax, len(results) if legend else 0)
    return ax


@styled
def plot_separation_overlay(
    results: Mapping[str, Result],
    *,
    ax: Axes | None = None,
    units: str = "metric",
    legend: bool = True,
) -> Axes:
    """Draw how far the faces part over the hand's travel, of several variants over each other.

    Parameters
    ----------
    results : mapping of str to Result
        Variants under the names they are to bear, with their strokes; the first is the stock one.
    ax : Axes, optional
        Where to draw; without it on a new figure. The legend stands under the Axes.
    units : {"metric", "inch"}
        Units of the axes and labels.
    legend : bool
        Whether the names stand below; not where other Axes on the page bear them.

    Raises
    ------
    RequestError
        A result was computed without its stroke.

    Notes
    -----
    The separation needed is a shaded band where all variants need the same, else its own mark on
    each curve, where the faces begin to run clear.
    """
    ax = axes_for(ax, _overlay_size(len(results)))
    notes, furthest, marked = notes_on(ax), 0.0, False
    needed = [result.full_lever.needed_mm for result in results.values()]
    one_need = bool(needed) and max(needed) - min(needed) <= _SAME_MM
    highest = length(max(needed, default=0.0), units)
    for index, (label, result) in enumerate(results.items()):
        table, clear = stroke_of(result), result.event("running-clear")
        rows = jumps_of(table)
        out, apart = length(table.hand_travel_mm, units), length(table.separation_mm, units)
        ax.plot(broken_at(rows, out), broken_at(rows, apart), label=named(label), **look_of(index))
        highest, furthest = max(highest, float(apart.max())), max(furthest, float(out.max()))
        if not one_need and clear.reached:
            at = length(clear.hand_travel_mm, units), length(result.full_lever.needed_mm, units)
            marks: dict[str, Any] = {"marker": "x", "color": "black", "ls": "None"}
            ax.plot(*at, markersize=7.0, zorder=4, label=None if marked else "runs clear", **marks)
            marked = True
    ax.set_xlim(0.0, 1.02 * furthest or 1.0)
    ax.set_ylim(0.0, 1.12 * highest or 1.0)
    if one_need and needed[0] > 0:
        level = length(needed[0], units)
        band = ax.axhspan(0.0, level, facecolor=style.PALE, edgecolor="#bdbdbd", hatch="....")
        band.set_linewidth(0.0)
        ax.axhline(level, color=style.GREY, linewidth=0.9)
        along = np.linspace(*ax.get_xlim(), 25)[1:-1]
        notes.add(
            f"needed to run clear {lift_text(needed[0], units)}", along, 0 * along + level, "ns"
        )
    across, up = (
        axis_label("hand travel", "length", units),
        axis_label("separation", "length", units),
    )
    titled(ax, "How far the faces part", across, up)
    _legend(ax, len(results) if legend else 0)
    return ax


def beside_title(name: str, width_in: float = _FIELD_IN) -> str:
    """Return what stands above a small field, broken into lines no wider than a width [in]."""
    return "\n".join(wrapped(one_line(name), width_in, style.SMALL_PT, "bold"))


@styled
def plot_beside(
    name: str,
    result: Result,
    stock: Result,
    *,
    ax: Axes | None = None,
    units: str = "metric",
    target_n: float | None = 90.0,
    width_in: float = _FIELD_IN,
) -> Axes:
    """Draw the hand force, pulling, of one variant over that of the stock one, which is heavier.

    Parameters
    ----------
    name : str
        What the variant is called; it stands above.
    result, stock : Result
        With their strokes.
    ax : Axes, optional
        Where to draw; without it on a new figure.
    units : {"metric", "inch"}
        Units of the axes and labels.
    target_n : float, optional
        Hand force aimed at [N]; None draws no line.
    width_in : float
        Width that the name may take, where Axes are given [in].

    Raises
    ------
    RequestError
        A result was computed without its stroke.
    """
    width_in = style.SINGLE_IN[0] if ax is None else width_in
    ax = axes_for(ax)
    highest, furthest = 0.0 if target_n is None else force(target_n, units), 0.0
    if target_n is not None:
        ax.axhline(highest, **style.TARGET)
    for index, (label, each) in enumerate((("as it stands", stock), (name, result))):
        table = stroke_of(each)
        rows = jumps_of(table)
        out, pull = length(table.hand_travel_mm, units), force(table.hand_force_n, units)
        looks = {"color": "#8c8c8c", "linewidth": 3.2} if index == 0 else style.PULLING
        ax.plot(broken_at(rows, out), broken_at(rows, pull), label=named(label), **looks)
        highest, furthest = max(highest, float(pull.max())), max(furthest, float(out.max()))
    ax.set_xlim(0.0, 1.02 * furthest or 1.0)
    ax.set_ylim(0.0, 1.12 * highest or 1.0)
    across = axis_label("hand travel", "length", units)
    titled(ax, beside_title(name, width_in), across, axis_label("hand force", "force", units))
    return ax
