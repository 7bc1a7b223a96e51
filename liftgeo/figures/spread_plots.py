"""What the ± of the measurements does: where the clearance may lie, and whose ± decides."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import ArrayLike

from liftgeo.figures import style
from liftgeo.figures.overlays import named
from liftgeo.figures.style import axes_for, axis_label, length, styled, titled

_ZONES: tuple[tuple[str, dict[str, Any]], ...] = (
    ("drags", {"facecolor": "#f2ded4", "edgecolor": "#c9a08b", "hatch": "////"}),
    ("marginal", {"facecolor": "#f1f1f1", "edgecolor": "#b5b5b5", "hatch": "...."}),
    ("clear", {"facecolor": "white", "edgecolor": "none"}),
)
_ROOM_ABOVE = 1.42  # for the names of the zones
_WIDE_ENOUGH = 0.16  # of the picture: a zone with room for its name across


def _in_hundred(share: float) -> str:
    if 0 < share < 0.01:
        return "<1 in 100"
    return ">99 in 100" if 0.99 < share < 1 else f"{100 * share:.0f} in 100"


def _draw_zones(
    ax: Axes, bounds: tuple[float, float, float, float], shares: Sequence[float] | None
) -> None:
    """Draw the zones of the verdict between their bounds, with their names on top."""
    (low, high), top = ax.get_xlim(), ax.get_ylim()[1]
    ground = {"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 0.8}
    for k, (name, looks) in enumerate(_ZONES):
        left, right = bounds[k], bounds[k + 1]
        if right <= left:
            continue
        ax.axvspan(left, right, zorder=0.4, linewidth=0.0, gid=f"zone-{name}", **looks)
        words = name if shares is None else f"{name}\n{_in_hundred(shares[k])}"
        narrow = (right - left) / (high - low) < _WIDE_ENOUGH
        ax.text(
            0.5 * (left + right),
            0.97 * top,
            words.replace("\n", ", ") if narrow else words,
            ha="center",
            va="top",
            rotation=90.0 if narrow else 0.0,
            fontsize=style.SMALL_PT if narrow else style.SMALL_PT + 1,
            fontweight="bold",
            bbox=ground,
            zorder=6,
        )


@styled
def plot_clearance_spread(
    edges_mm: ArrayLike,
    share: ArrayLike,
    *,
    target_mm: float = 0.0,
    zones: Sequence[float] | None = None,
    slips: float = 0.0,
    measured_mm: float | None = None,
    ax: Axes | None = None,
    units: str = "metric",
) -> Axes:
    """Draw where the clearance per face may lie, over the zones of the verdict.

    Parameters
    ----------
    edges_mm : array of shape (steps + 1,)
        Edges of the steps [mm].
    share : array of shape (steps,)
        Share of the clutches in each.
    target_mm : float
        Clearance per face wanted [mm]; below it, and above 0, it is marginal.
    zones : sequence of 3 floats, optional
        Share of the clutches that hold the engine and drag, are marginal, or run clear.
    slips : float
        Share of the clutches that slip, wherever their clearance lies; said above the zones.
    measured_mm : float, optional
        The clearance at given and usual values [mm], marked.
    ax : Axes, optional
        Where to draw; without it on a new figure.
    units : {"metric", "inch"}
        Units of the axes and labels.

    Notes
    -----
    "Drags" is hatched with strokes, "marginal" with dots, "clear" not at all.
    """
    ax = axes_for(ax)
    edges = length(np.asarray(edges_mm, float), units)
    heights, target = np.asarray(share, float), length(max(target_mm, 0.0), units)
    low, high = min(float(edges[0]), 0.0), max(float(edges[-1]), target, 0.0)
    room = 0.14 * (high - low)
    low, high, top = low - room, high + room, _ROOM_ABOVE * float(heights.max())
    ax.set_xlim(low, high)
    ax.set_ylim(0.0, top)
    _draw_zones(ax, (low, 0.0, target, high), zones)
    ax.stairs(heights, edges, fill=True, color="#7d93a3", zorder=2)
    ax.stairs(heights, edges, color=style.INK, linewidth=1.2, zorder=3)
    ax.axvline(0.0, **style.ZERO)
    if target > 0:
        ax.axvline(target, **style.TARGET)
    if measured_mm is not None:
        at = length(measured_mm, units)
        mark: dict[str, Any] = {"marker": "^", "color": "black", "markersize": 8.0, "ls": "None"}
        ax.plot([at], [0.0], clip_on=False, zorder=7, label="at given and usual values", **mark)
        ax.legend(loc="upper right", bbox_to_anchor=(1.0, -0.08), borderaxespad=0.0, borderpad=0.0)
    ax.set_yticks([])
    ax.spines["left"].set_visible(False)
    across = axis_label("clearance per face", "length", units)
    title = "Where the clearance may lie; the higher, the more clutches"
    if slips > 0:
        title += f"\nSLIPS, wherever it lies: {_in_hundred(slips)}; of the others:"
    titled(ax, title, across, "")
    return ax


@styled
def plot_shares(
    rows: Sequence[tuple[str, float, float | None]],
    *,
    ax: Axes | None = None,
    units: str = "metric",
) -> Axes:
    """Draw whose ± decides the clearance, as bars, the greatest first.

    Parameters
    ----------
    rows : sequence of (label, first, total)
        An input, the share of the variance it decides by itself, and with others (or None).
    ax : Axes, optional
        Where to draw; without it on a new figure.
    units : {"metric", "inch"}
        Shares are the same in both.

    Notes
    -----
    First-order shares are solid; the outline reaches to the total share.
    """
    del units
    ax = axes_for(ax, (style.SINGLE_IN[0], 1.2 + 0.32 * max(len(rows), 1)))
    if not rows:
        titled(ax, "Whose ± decides it", "", "")
        ax.set_axis_off()
        said = "No number has a ± or a range that moves the clearance."
        ax.text(0.0, 0.9, said, transform=ax.transAxes, va="top", fontsize=style.SMALL_PT)
        return ax
    reach = max([0.01, *(100 * max(x for x in row[1:] if x is not None) for row in rows)])
    for row, (_, first, total) in enumerate(rows):
        if total is not None:
            ax.barh(
                row,
                100 * total,
                height=0.7,
                facecolor="none",
                edgecolor="black",
                linewidth=1.0,
                linestyle=(0, (3, 1.5)),
                gid="total",
            )
        looks: dict[str, Any] = {"facecolor": style.INK, "edgecolor": style.INK}
        ax.barh(row, 100 * first, height=0.45, gid="first", **looks)
        text = (
            f"{100 * first:.0f} %" if total is None else f"{100 * first:.0f}, {100 * total:.0f} %"
        )
        at = 100 * max(first, total or 0.0) + 0.02 * reach
        ax.text(at, row, text, va="center", fontsize=style.SMALL_PT)
    ax.axvline(0.0, **style.ZERO)
    ax.set_yticks(range(len(rows)), [named(label, 2.2) for label, _, _ in rows])
    ax.set_ylim(max(len(rows), 1) - 0.4, -0.6)
    ax.set_xlim(0.0, 1.3 * reach)
    ax.tick_params(axis="y", length=0.0)
    ax.grid(False, axis="y")
    if any(total is not None for _, _, total in rows):
        title = "Whose ± decides it: alone (solid), with others (outline)"
    else:
        title = "Whose ± decides it"
    titled(ax, title, "share of the variance (%)", "")
    return ax
