"""The lift budget as steps: what the geometry gives, what each loss takes, what is left."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes

from liftgeo.figures import style
from liftgeo.figures.style import axes_for, axis_label, length, styled, titled
from liftgeo.outcome.bands import Bands
from liftgeo.outcome.results import BudgetLine, Result
from liftgeo.words.names import ITEM_WORDS
from liftgeo.words.numbers import lift_text

NIL_MM = 0.005
"""Losses below this, shown as 0.00, are left out [mm]."""

_GIVEN: dict[str, Any] = {"facecolor": style.INK, "edgecolor": style.INK}
_LOST: dict[str, Any] = {"facecolor": "#f2ded4", "edgecolor": style.RUST, "hatch": "////"}
_GAINED: dict[str, Any] = {"facecolor": "#dfe9ee", "edgecolor": style.INK, "hatch": "\\\\\\\\"}
_LEFT: dict[str, Any] = {"facecolor": "#b9c7d0", "edgecolor": style.INK}
_SHORT: dict[str, Any] = {"facecolor": "white", "edgecolor": "black", "hatch": "xxxx"}


def losses_of(result: Result) -> list[BudgetLine]:
    """Return the budget's losses that are worth a bar."""
    return [line for line in result.budget[1:] if abs(line.lost_mm) >= NIL_MM]


@styled
def plot_budget(
    result: Result,
    *,
    ax: Axes | None = None,
    units: str = "metric",
    bands: Bands | None = None,
) -> Axes:
    """Draw the lift budget as a staircase of bars, nil losses left out.

    Parameters
    ----------
    result : Result
        From `liftgeo.stroke`.
    ax : Axes, optional
        Where to draw; without it on a new figure.
    units : {"metric", "inch"}
        Units of the axes and labels.
    bands : Bands, optional
        Where 90 in 100 lie, drawn behind the last bar and written in brackets.

    Returns
    -------
    Axes

    Notes
    -----
    The last bar is what running clear leaves over, of the whole pack; below zero it is missing.
    """
    ax = axes_for(ax)
    given, losses, left = result.budget[0].left_mm, losses_of(result), result.budget[-1].left_mm
    words = [ITEM_WORDS[result.budget[0].item], *(ITEM_WORDS[line.item] for line in losses)]
    spans = [(0.0, given), *((line.left_mm, line.left_mm + line.lost_mm) for line in losses)]
    texts = [lift_text(given, units), *(_signed(-line.lost_mm, units) for line in losses)]
    looks = [_GIVEN, *(_LOST if line.lost_mm > 0 else _GAINED for line in losses)]
    each = lift_text(result.full_lever.clearance_per_face_mm, units)
    name = "left to run clear" if left >= 0 else "short of clear"
    words.append(f"{name}\n{each} a face")
    spans.append((0.0, left))
    band = None if bands is None else bands.budget_left_mm[result.budget[-1].item]
    texts.append(lift_text(left, units))
    if band is not None:
        texts[-1] += f"\n({_bare(band[0], units)} to {_bare(band[1], units)})"
    looks.append(_LEFT if left >= 0 else _SHORT)

    ends = [length(max(span), units) for span in (*spans, band or (0.0,))] + [0.0]
    starts = [length(min(span), units) for span in (*spans, band or (0.0,))] + [0.0]
    room = max(ends) - min(starts) or 1.0
    for row, ((start, end), text, fill) in enumerate(zip(spans, texts, looks, strict=True)):
        low, high = sorted((length(start, units), length(end, units)))
        place = row + 0.2 * (row == len(spans) - 1)  # two lines of text need more room
        bar = ax.barh(place, high - low, left=low, height=0.62, linewidth=0.9, **fill)
        bar[0].set_gid("bar")
        ground = {"facecolor": "white", "edgecolor": "none", "pad": 0.4}
        if row == len(spans) - 1 and band is not None:
            low, high = _draw_band(ax, place, band, units)
        at = max(high, 0.0) + 0.02 * room if row == len(spans) - 1 else high + 0.02 * room
        ax.text(at, place, text, va="center", fontsize=style.SMALL_PT + 0.5, bbox=ground)
    after = [length(line.left_mm, units) for line in (result.budget[0], *losses)]
    for row, level in enumerate(after):
        ax.plot([level, level], [row, row + 1], **style.FLOOR)
    ax.axvline(0.0, **style.ZERO)
    ax.set_yticks([*range(len(words) - 1), len(words) - 0.8], words)
    ax.set_ylim(len(words) - 0.1, -0.6)
    ax.set_xlim(min(starts) - 0.03 * room, max(ends) + 0.5 * room)
    ax.tick_params(axis="y", length=0.0)
    ax.grid(False, axis="y")
    titled(ax, "Where the lift goes", axis_label("lift at the plate", "length", units), "")
    return ax


def _draw_band(
    ax: Axes, place: float, band: tuple[float, float], units: str
) -> tuple[float, float]:
    """Draw the band of the last bar, lightly behind it, and return its ends in figure units."""
    low, high = (length(end, units) for end in band)
    bar = ax.barh(place, high - low, left=low, height=0.86, zorder=0.6, **style.BAND)
    bar[0].set_gid("band")
    return low, high


def _bare(value_mm: float, units: str) -> str:
    return lift_text(value_mm, units).split(" ")[0]


def _signed(value_mm: float, units: str) -> str:
    text = lift_text(value_mm, units)
    return text if text.startswith("−") else f"+{text}"
