"""Figures of studies: trades, sensitivities, wear; plain data in. Overlays are in `overlays`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from liftgeo.figures import style
from liftgeo.figures.labels import notes_on
from liftgeo.figures.overlays import named, plot_effort_overlay, plot_separation_overlay
from liftgeo.figures.page import wrapped
from liftgeo.figures.style import axes_for, axis_label, force, length, styled, titled
from liftgeo.quantities import DIMENSIONS, converted
from liftgeo.words.lines import one_line
from liftgeo.words.numbers import force_text, lift_text, said

__all__ = [
    "Targets",
    "plot_along_front",
    "plot_effort_overlay",
    "plot_front",
    "plot_sensitivity",
    "plot_separation_overlay",
    "plot_trade_map",
    "plot_wear",
]

BAR_NAME_IN = 1.9
"""Width of a name beside a bar [in]."""
ALONG_TITLE_IN = 6.0
"""Width of the name of an input above its field [in]."""
JUMP = 0.2
"""A step of this share of all that an input covers is a jump to another part of its range.

Of few points it must be 2.5 times an even step.
"""

_BESIDE_AXES_IN = 0.9
"""Width that numbers and name of the upright axis take, and the margins of a figure [in]."""

Targets = tuple[float, float]
"""Clearance wanted per face [mm], and hand force wanted [N]."""


def _trade_axes(ax: Axes, points: Sequence[Targets], targets: Targets | None, units: str) -> None:
    """Set limits and names of clearance against effort, and draw the targets as lines."""
    every = [*points, *([targets] if targets else [])]
    x, y = (np.array([p[k] for p in every], float) for k in (0, 1))
    x, y = length(x[np.isfinite(x)], units), force(y[np.isfinite(y)], units)
    low, high = (float(x.min()), float(x.max())) if len(x) else (0.0, 1.0)
    room = 0.22 * ((high - low) or abs(high) or length(0.1, units))
    ax.set_xlim(low - room, high + room)
    bottom, top = (float(y.min()), float(y.max())) if len(y) else (0.0, 1.0)
    room = 0.22 * ((top - bottom) or abs(top) or 1.0)
    ax.set_ylim(max(bottom - room, 0.0), top + room)
    ax.axvline(0.0, color="#9a9a9a", linewidth=0.8)
    across = axis_label("clearance per face", "length", units)
    titled(ax, "Clearance against effort", across, axis_label("peak hand force", "force", units))
    if targets is None:
        return
    wanted_x, wanted_y = length(targets[0], units), force(targets[1], units)
    ax.axvline(wanted_x, **style.TARGET)
    ax.axhline(wanted_y, **style.TARGET)
    xs, ys = ax.get_xlim(), ax.get_ylim()
    good = ax.fill_between(
        [wanted_x, xs[1]], ys[0], wanted_y, facecolor="#eef1ee", edgecolor="#c4cbc4"
    )
    good.set(hatch="//", linewidth=0.0, zorder=0.5)
    notes = notes_on(ax)
    along, over = np.linspace(*xs, 25)[1:-1], np.linspace(*ys, 25)[1:-1]
    force_words = f"target {force_text(targets[1], units)}"
    notes.add(force_words, along, 0 * along + wanted_y, ("n", "s"))
    clear_words = f"target {lift_text(targets[0], units)}"
    notes.add(clear_words, 0 * over + wanted_x, over[::-1], ("w", "e"), rotation=90.0)


def _in_field(point: Targets, targets: Targets | None) -> bool:
    """Return whether a point lies where both targets are met."""
    return targets is not None and point[0] >= targets[0] and point[1] <= targets[1]


def _cross_out(ax: Axes, x: float, y: float) -> None:
    ax.plot([x], [y], marker="x", color=style.RUST, ls="None", markersize=13.0, zorder=5)


def _name_below(ax: Axes, kept_out: Sequence[str]) -> None:
    """Name below the axis what is not drawn on the hatched ground."""
    if kept_out:
        place = ax.get_subplotspec()
        abreast = place.get_gridspec().ncols if place is not None else 1
        figure = ax.figure
        wide_in = float(figure.bbox.width) / float(figure.dpi) / abreast - _BESIDE_AXES_IN
        smaller = style.SMALL_PT / style.STYLE["axes.labelsize"]
        told = named(f"Struck out, not drawn: {'; '.join(kept_out)}.", wide_in * smaller)
        ax.set_xlabel(f"{ax.get_xlabel()}\n{told}")


@styled
def plot_trade_map(
    points: Sequence[tuple[str, float, float]],
    targets: Targets | None = None,
    *,
    struck: Mapping[str, str] | None = None,
    ax: Axes | None = None,
    units: str = "metric",
) -> Axes:
    """Draw clearance per face against peak effort, one named mark a variant.

    Parameters
    ----------
    points : sequence of (label, clearance_mm, peak_n)
        Variants: name, net clearance per face [mm], greatest hand force [N]; the first, the stock
        one, is marked with a filled square. Points that are not finite are left out.
    targets : (clearance_mm, hand_force_n), optional
        Drawn as lines; where both are met the ground is hatched.
    struck : mapping of label to reason, optional
        Variants that slip or do not release: crossed out, and never drawn on the hatched ground;
        those are named below the axis.
    ax : Axes, optional
        Where to draw; without it on a new figure.
    units : {"metric", "inch"}
        Units of the axes and labels.
    """
    ax, struck = axes_for(ax, (style.SINGLE_IN[0], 4.6)), struck or {}
    _trade_axes(ax, [(x, y) for _, x, y in points], targets, units)
    notes = notes_on(ax)
    kept_out: list[str] = []
    for index, (label, clearance_mm, peak_n) in enumerate(points):
        x, y = length(clearance_mm, units), force(peak_n, units)
        if not np.isfinite([x, y]).all():
            continue
        if label in struck and _in_field((clearance_mm, peak_n), targets):
            kept_out.append(f"{one_line(label)} {struck[label]}")
            continue
        stock: dict[str, Any] = {"marker": "o", "markerfacecolor": "white", "markersize": 7.0}
        if index == 0:
            stock = {"marker": "s", "markerfacecolor": style.INK, "markersize": 8.0}
        ax.plot([x], [y], color=style.INK, ls="None", label=named(label), **stock)
        words = label
        if label in struck:
            _cross_out(ax, x, y)
            words = f"{label}: {struck[label].upper()}"
        notes.add(named(words, 1.5), x, y, ("e", "ne", "se", "w", "nw", "sw", "n", "s"))
    _name_below(ax, kept_out)
    return ax


@styled
def plot_front(
    front: Sequence[Targets],
    *,
    tried: Sequence[Targets] = (),
    chosen: Targets | None = None,
    stock: Targets | None = None,
    stock_struck: str = "",
    targets: Targets | None = None,
    ax: Axes | None = None,
    units: str = "metric",
) -> Axes:
    """Draw the least effort for each clearance that can be had, and what was tried.

    Parameters
    ----------
    front : sequence of (clearance_mm, peak_n)
        The trade-off curve: nothing tried is better in both [mm, N]; any order.
    tried : sequence of (clearance_mm, peak_n)
        Everything that was tried.
    chosen, stock : (clearance_mm, peak_n), optional
        The variant proposed, and the mechanism as it stands.
    stock_struck : str
        Why the mechanism as it stands must not be taken for good; "" where nothing speaks against
        it. Crossed out, and never drawn on the hatched ground.
    targets : (clearance_mm, hand_force_n), optional
        Drawn as lines; where both are met the ground is hatched.
    ax : Axes, optional
        Where to draw; without it on a new figure.
    units : {"metric", "inch"}
        Units of the axes and labels.
    """
    ax = axes_for(ax, (style.SINGLE_IN[0], 4.6))
    given = [point for point in (chosen, stock) if point is not None]
    _trade_axes(ax, [*front, *tried, *given], targets, units)
    notes = notes_on(ax)
    if len(tried):
        cloud = np.array(tried, float)
        marks: dict[str, Any] = {"marker": ".", "color": "#a8a8a8", "markersize": 3.0, "ls": "None"}
        line = ax.plot(
            length(cloud[:, 0], units), force(cloud[:, 1], units), label="tried", **marks
        )
        line[0].set(zorder=1.5, gid="cloud")
    stands = "as it stands" + (f": {stock_struck.upper()}" if stock_struck else "")
    if stock_struck and stock is not None and _in_field(stock, targets):
        _name_below(ax, [f"as it stands {stock_struck}"])
        stock = None
    elif stock_struck and stock is not None:
        _cross_out(ax, length(stock[0], units), force(stock[1], units))
    for name, point, mark in ((stands, stock, "s"), ("proposed", chosen, "D")):
        if point is not None and np.isfinite(point).all():
            x, y = length(point[0], units), force(point[1], units)
            ax.plot(
                [x],
                [y],
                marker=mark,
                color=style.RUST,
                markeredgecolor="black",
                ls="None",
                markersize=8.0,
                zorder=4,
                label=name,
            )
            notes.add(name, x, y, ("se", "e", "s", "w", "ne"))
    if len(front):
        best = np.array(sorted(front), float)
        x, y = length(best[:, 0], units), force(best[:, 1], units)
        ax.plot(x, y, label="least effort", marker="o", markersize=3.5, **style.PULLING)
        order = np.argsort(np.abs(np.arange(len(x)) - len(x) / 2), kind="stable")
        notes.add("least effort for\nthis clearance", x[order], y[order], ("nw", "n", "w", "se"))
    return ax


@styled
def plot_along_front(
    points: Sequence[tuple[float, float]],
    *,
    name: str,
    dimension: str,
    chosen: tuple[float, float] | None = None,
    ax: Axes | None = None,
    units: str = "metric",
) -> Axes:
    """Draw which value of an input reaches each clearance at the least effort.

    Parameters
    ----------
    points : sequence of (clearance_mm, value)
        Of the trade-off curve, the value in the bare unit of its dimension; any order.
    name : str
        The input in words; it stands above.
    dimension : str
        Its dimension, a key of `quantities.DIMENSIONS`.
    chosen : (clearance_mm, value), optional
        The variant proposed.
    ax : Axes, optional
        Where to draw; without it on a new figure.
    units : {"metric", "inch"}
        Units of the axes and labels.

    Notes
    -----
    The line breaks where the value jumps: there another part of its range gives the least effort,
    and no value between gives what lies between.
    """
    ax = axes_for(ax)
    rows = np.array(sorted(points), float).reshape(-1, 2)
    x, y = length(rows[:, 0], units), converted(rows[:, 1], dimension, units)
    wide = max(JUMP, 2.5 / max(len(y) - 1, 1)) * np.ptp(y) if len(y) else 0.0
    breaks = np.flatnonzero(np.abs(np.diff(y)) > wide) + 1
    x, y = np.insert(x, breaks, np.nan), np.insert(y, breaks, np.nan)
    ax.plot(x, y, label="least effort", marker="o", markersize=3.5, **style.PULLING)
    if chosen is not None:
        ax.plot(
            [length(chosen[0], units)],
            [converted(chosen[1], dimension, units)],
            marker="D",
            color=style.RUST,
            markeredgecolor="black",
            ls="None",
            markersize=8.0,
            zorder=4,
            label="proposed",
        )
    ax.margins(y=0.2)
    across = axis_label("clearance per face", "length", units)
    title = wrapped(one_line(name), ALONG_TITLE_IN, style.STYLE["axes.titlesize"], "bold")
    titled(ax, "\n".join(title), across, axis_label("value", dimension, units))
    return ax


@styled
def plot_sensitivity(
    rows: Sequence[tuple[str, float]],
    *,
    quantity: str = "clearance per face",
    dimension: str = "length",
    ranked: bool = True,
    ax: Axes | None = None,
    units: str = "metric",
) -> Axes:
    """Draw what each single change does to one quantity, as bars from zero, the greatest first.

    Parameters
    ----------
    rows : sequence of (label, effect)
        What is changed, and by how much the quantity changes with it, in the bare unit of its
        dimension. Rows that are not finite are left out.
    quantity : str
        What changes.
    dimension : str
        Its dimension, a key of `quantities.DIMENSIONS`: "length", "force", "ratio" ...
    ranked : bool
        Whether the greatest comes first; else they stand in the order given.
    ax : Axes, optional
        Where to draw; without it on a new figure.
    units : {"metric", "inch"}
        Units of the axes and labels.

    Notes
    -----
    A rise is filled, a fall is hatched.
    """
    kept = [row for row in rows if np.isfinite(row[1])]
    kept = sorted(kept, key=lambda row: -abs(row[1])) if ranked else kept
    ax = axes_for(ax, (style.SINGLE_IN[0], 1.1 + 0.3 * max(len(kept), 1)))
    effects = [converted(float(effect), dimension, units) for _, effect in kept]
    reach = max((abs(effect) for effect in effects), default=0.0) or 1.0
    for row, ((_, effect), width) in enumerate(zip(kept, effects, strict=True)):
        rise: dict[str, Any] = {"facecolor": style.INK, "edgecolor": style.INK}
        fall: dict[str, Any] = {"facecolor": "#f2ded4", "edgecolor": style.RUST, "hatch": "////"}
        ax.barh(row, width, height=0.62, linewidth=0.9, **(rise if width >= 0 else fall))
        digits = None if units == "inch" else DIMENSIONS[dimension].digits + 1
        text = said(float(effect), dimension, units, digits)
        text = f"+{text}" if effect > 0 else text
        gap, side = (0.02 * reach, "left") if width >= 0 else (-0.02 * reach, "right")
        ax.text(width + gap, row, text, va="center", ha=side, fontsize=style.SMALL_PT)
    ax.axvline(0.0, **style.ZERO)
    ax.set_yticks(range(len(kept)), [named(label, BAR_NAME_IN) for label, _ in kept])
    ax.set_ylim(max(len(kept), 1) - 0.4, -0.6)
    low, high = min([0.0, *effects]), max([0.0, *effects])
    low, high = low - 0.5 * reach * (low < 0), high + 0.5 * reach * (high > 0)
    ax.set_xlim(*((low, high) if high > low else (-1.0, 1.0)))
    ax.tick_params(axis="y", length=0.0)
    ax.grid(False, axis="y")
    titled(
        ax,
        f"What changes the {quantity}",
        axis_label(f"change of {quantity}", dimension, units),
        "",
    )
    return ax


@styled
def plot_wear(
    wear_mm: Sequence[float],
    values: Sequence[float],
    *,
    quantity: str,
    dimension: str,
    target: float | None = None,
    line_words: str = "target",
    wear_limit_mm: float | None = None,
    riding_mm: float | None = None,
    ax: Axes | None = None,
    units: str = "metric",
) -> Axes:
    """Draw one quantity as the facings wear; call it once for each, on Axes that share wear.

    Parameters
    ----------
    wear_mm, values : sequence of float
        Wear of the pack [mm], and the quantity there in the bare unit of its dimension.
    quantity : str
        What is drawn: "clearance per face", "peak hand force", "clamp force" ...
    dimension : str
        Its dimension, a key of `quantities.DIMENSIONS`.
    target : float, optional
        A line to stay above or below, in the same unit.
    line_words : str
        What the line is.
    wear_limit_mm, riding_mm : float, optional
        Wear at which the facings are done, and at which the lever begins to ride [mm].
    ax : Axes, optional
        Where to draw; without it on a new figure.
    units : {"metric", "inch"}
        Units of the axes and labels.
    """
    ax = axes_for(ax)
    notes = notes_on(ax)
    worn = length(np.asarray(wear_mm, float), units)
    shown = converted(np.asarray(values, float), dimension, units)
    marks = [length(x, units) for x in (wear_limit_mm, riding_mm) if x is not None]
    furthest = max([*worn[np.isfinite(worn)].tolist(), *marks], default=1.0) or 1.0
    levels = shown[np.isfinite(shown)].tolist()
    levels += [] if target is None else [converted(target, dimension, units)]
    low, high = min([0.0, *levels]), max([0.0, *levels])
    room = 0.16 * (high - low or 1.0)
    ax.set_xlim(0.0, 1.03 * furthest)
    ax.set_ylim(low - room * (low < 0), high + room)
    if low < 0:
        ax.axhline(0.0, **style.ZERO)
    if target is not None:
        level = converted(target, dimension, units)
        ax.axhline(level, **style.TARGET)
        along = np.linspace(*ax.get_xlim(), 25)[1:-1]
        words = f"{line_words} {said(target, dimension, units)}"
        notes.add(words, along, 0 * along + level, ("n", "s"))
    for name, at_mm, looks in (
        ("facings done", wear_limit_mm, style.EVENT),
        ("lever rides", riding_mm, style.FLOOR),
    ):
        if at_mm is not None:
            x, heights = length(at_mm, units), np.linspace(*ax.get_ylim(), 25)[-2:0:-1]
            ax.axvline(x, **looks)
            words = f"{name} {lift_text(at_mm, units)}"
            notes.add(words, 0 * heights + x, heights, ("w", "e"), rotation=90.0)
    ax.plot(worn, shown, label=quantity, marker="o", markersize=3.5, **style.PULLING)
    across, up = (
        axis_label("wear of the pack", "length", units),
        axis_label(quantity, dimension, units),
    )
    titled(ax, f"{quantity[:1].upper()}{quantity[1:]} as the facings wear", across, up)
    return ax
