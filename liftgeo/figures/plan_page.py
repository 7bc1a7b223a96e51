"""What money buys: clearance and effort of sets of changes over their cost. Plain data in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from liftgeo.figures import style
from liftgeo.figures.labels import notes_on
from liftgeo.figures.study_pages import headed
from liftgeo.figures.style import axes_for, axis_label, styled, titled
from liftgeo.quantities import converted
from liftgeo.words.lines import one_line
from liftgeo.words.numbers import said

Array = NDArray[np.float64]

_WIDTH_IN, _HEIGHT_IN = 8.27, 7.2  # A4 across


@dataclass(frozen=True)
class Mark:
    """A set of changes to be named in a figure.

    Attributes
    ----------
    letter, names : str
        What stands beside the mark, and what it stands for.
    cost, clearance_mm, peak_n : float
    reaches, chosen : bool
        Whether it reaches what is wanted, and whether it is the one proposed.
    """

    letter: str
    names: str
    cost: float
    clearance_mm: float
    peak_n: float
    reaches: bool
    chosen: bool


@dataclass(frozen=True)
class Limits:
    """What is wanted, as lines: clearance per face [mm] and peak hand force [N]; None: not."""

    clearance_mm: float | None
    peak_n: float | None


def _draw_sets(ax: Axes, x: Array, y: Array, *, more_is_better: bool) -> None:
    """Draw every set as a dot, and a line along the best that each sum buys."""
    dots = ax.plot(x, y, marker=".", color="#a8a8a8", markersize=3.0, ls="None", label="sets")
    dots[0].set(zorder=1.5, gid="cloud")
    order = np.lexsort((-y if more_is_better else y, x))
    best = (np.maximum if more_is_better else np.minimum).accumulate(y[order])
    along = np.append(x[order], ax.get_xlim()[1])
    words = f"{'most' if more_is_better else 'least'} for the money"
    line = ax.plot(along, np.append(best, best[-1]), label=words, **style.FLOOR)
    line[0].set(drawstyle="steps-post", zorder=2.0)


def _draw_limit(ax: Axes, limit: float, dimension: str, units: str) -> None:
    level = converted(limit, dimension, units)
    ax.axhline(level, **style.TARGET)
    along = np.linspace(*ax.get_xlim(), 25)[-2:0:-1]
    words = f"wanted {said(limit, dimension, units)}"
    notes_on(ax).add(words, along, 0 * along + level, ("n", "s"))


@styled
def plot_bought(
    marks: Sequence[tuple[str, float, float, bool, bool]],
    cloud: Sequence[tuple[float, float]] = (),
    *,
    quantity: str,
    dimension: str,
    more_is_better: bool,
    limit: float | None = None,
    ax: Axes | None = None,
    units: str = "metric",
) -> Axes:
    """Draw one quantity of sets of changes over what they cost.

    Parameters
    ----------
    marks : sequence of (letter, cost, value, reaches, chosen)
        Sets to be named; the value in the bare unit. What reaches the wants is filled, the chosen
        one a diamond.
    cloud : sequence of (cost, value)
        All sets: small dots, and a line along the best that each sum buys.
    quantity : str
        What is drawn.
    dimension : str
        Its dimension, a key of `quantities.DIMENSIONS`.
    more_is_better : bool
        Which way the line goes.
    limit : float, optional
        What is wanted, as a line.
    ax : Axes, optional
        Where to draw; without it on a new figure.
    units : {"metric", "inch"}
        Units of the axis and labels.
    """
    ax = axes_for(ax, (style.SINGLE_IN[0], 3.6))
    points = np.array([*cloud, *((cost, value) for _, cost, value, _, _ in marks)], float)
    points = points.reshape(-1, 2)
    points = points[np.isfinite(points).all(axis=1)]
    x, y = points[:, 0], converted(points[:, 1], dimension, units)
    levels = [*y.tolist(), *([] if limit is None else [converted(limit, dimension, units)])]
    widest = float(x.max()) if len(x) and x.max() > 0 else 1.0
    low, high = (min(levels), max(levels)) if levels else (0.0, 1.0)
    room = 0.14 * ((high - low) or abs(high) or 1.0)
    ax.set_xlim(-0.04 * widest, 1.06 * widest)
    ax.set_ylim(low - room, high + room)
    ax.xaxis.set_major_locator(MaxNLocator(nbins=9))
    if low < 0 < high:
        ax.axhline(0.0, **style.ZERO)
    notes = notes_on(ax)
    if limit is not None:
        _draw_limit(ax, limit, dimension, units)
    if len(x):
        _draw_sets(ax, x, y, more_is_better=more_is_better)
    for letter, cost, value, reaches, chosen in marks:
        height = converted(value, dimension, units)
        if not np.isfinite([cost, height]).all():
            continue
        face = style.RUST if chosen else style.INK if reaches else "white"
        size = 8.5 if chosen else 6.5
        shape: dict[str, Any] = {"marker": "D" if chosen else "o", "ls": "None", "markersize": size}
        shape |= {"color": style.INK, "markerfacecolor": face}
        ax.plot([cost], [height], zorder=4.0, label=letter, **shape)
        notes.add(letter, cost, height, ("n", "ne", "nw", "e", "s", "se", "sw", "w"))
    up = axis_label(quantity, dimension, units)
    titled(ax, f"{quantity[:1].upper()}{quantity[1:]} over cost", "", up)
    return ax


@styled
def plan_figure(
    title: str,
    marks: Sequence[Mark],
    cloud: Sequence[tuple[float, float, float]],
    limits: Limits,
    *,
    warnings: Sequence[str] = (),
    units: str = "metric",
) -> Figure:
    """Return clearance and peak effort over cost on one page, the sets named below.

    Parameters
    ----------
    title : str
        Head of the page.
    marks : sequence of Mark
    cloud : sequence of (cost, clearance_mm, peak_n)
        All sets that may be chosen, or some of them.
    limits : Limits
    warnings : sequence of str
        What the sets are warned of, written below.
    units : {"metric", "inch"}
        Units of the axes and labels.
    """
    figure = Figure(figsize=(_WIDTH_IN, _HEIGHT_IN), layout="constrained")
    axes = figure.subplots(2, 1, sharex=True)
    plot_bought(
        [(m.letter, m.cost, m.clearance_mm, m.reaches, m.chosen) for m in marks],
        [(cost, mm) for cost, mm, _ in cloud],
        quantity="clearance per face",
        dimension="length",
        more_is_better=True,
        limit=limits.clearance_mm,
        ax=axes[0],
        units=units,
    )
    plot_bought(
        [(m.letter, m.cost, m.peak_n, m.reaches, m.chosen) for m in marks],
        [(cost, n) for cost, _, n in cloud],
        quantity="peak hand force",
        dimension="force",
        more_is_better=False,
        limit=limits.peak_n,
        ax=axes[1],
        units=units,
    )
    axes[1].set_xlabel("cost (your own money)")
    key = "Filled: reaches what is wanted. Diamond: the cheapest that does. Dots: all sets."
    named = [f"{m.letter}: {one_line(m.names)}" for m in marks]
    return headed(figure, title, [*named, key, *warnings])
