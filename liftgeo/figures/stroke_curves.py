"""Curves over the hand's travel: effort, lift and separation, advantage."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from liftgeo.errors import RequestError
from liftgeo.figures import style
from liftgeo.figures.labels import notes_on
from liftgeo.figures.style import axes_for, axis_label, force, length, styled, titled
from liftgeo.outcome.bands import Band, Bands
from liftgeo.outcome.results import Result, StrokeTable
from liftgeo.quantities import unit_of
from liftgeo.words.names import EVENT_WORDS, LEAST_EFFORT, LETTING_BACK_BEGINS, TIMES_THE_HAND
from liftgeo.words.numbers import force_text, lift_text, travel_text

Array = NDArray[np.float64]

_SAME_MM = 1e-6


def stroke_of(result: Result) -> StrokeTable:
    """Return the stroke of a result.

    Raises
    ------
    RequestError
        The result was computed without its stroke.
    """
    if result.stroke is None:
        raise RequestError(
            "This result was computed without its stroke, so there is no curve to draw. "
            "Use liftgeo.stroke()."
        )
    return result.stroke


def jumps_of(table: StrokeTable) -> list[int]:
    """Return the rows after which the plates jump: the lift grows and the hand stands still."""
    still = np.diff(table.hand_travel_mm) <= _SAME_MM
    lifted = np.diff(table.plate_lift_mm) > _SAME_MM
    return [int(row) for row in np.flatnonzero(still & lifted)]


def parting_row(table: StrokeTable, hand_travel_mm: float) -> int:
    """Return the row at which the faces part: of rows at one hand travel the last still closed."""
    there = np.abs(table.hand_travel_mm - hand_travel_mm) <= _SAME_MM
    closed = np.flatnonzero(there & (table.separation_mm <= 0.0))
    return int(closed[-1] if len(closed) else np.argmax(there))


def broken_at(rows: list[int], values: Array) -> Array:
    """Return a column with a gap after each row at which the plates jump."""
    return np.insert(np.asarray(values, float), [row + 1 for row in rows], np.nan)


def _curve(ax: Axes, rows: list[int], across: Array, up: Array, label: str, **looks: Any) -> None:
    """Draw a curve that is broken where the plates jump."""
    ax.plot(broken_at(rows, across), broken_at(rows, up), label=label, **looks)


def _jump_lines(ax: Axes, rows: list[int], across: Array, up: Array) -> None:
    for row in rows:
        pair = slice(row, row + 2)
        ax.plot(across[pair], up[pair], label="plates jump", **style.JUMP)
        notes_on(ax).add("plates jump", across[row], 0.5 * (up[row] + up[row + 1]), ("e", "w"))


def _frame(ax: Axes, furthest: float, highest: float, room: float = 1.2) -> None:
    """Show travel and value from zero, with room above for labels."""
    ax.set_xlim(0.0, 1.02 * furthest if furthest > 0 else 1.0)
    ax.set_ylim(0.0, room * highest if highest > 0 else 1.0)


def _travel_label(units: str) -> str:
    return axis_label("hand travel", "length", units)


def _spread(values: Array, first: float, last: float, count: int = 9) -> NDArray[np.intp]:
    """Return rows spread over a share of a curve, its middle first."""
    rows = np.unique(np.linspace(first * (len(values) - 1), last * (len(values) - 1), count))
    rows = rows[np.argsort(np.abs(rows - rows.mean()), kind="stable")]
    return rows.round().astype(np.intp)


def _draw_band(
    ax: Axes, bands: Bands | None, name: str, of: Callable[[Any, str], Any], units: str
) -> None:
    """Draw a band lightly behind the curves."""
    if bands is not None:
        band: Band = getattr(bands, name)
        across = length(bands.hand_travel_mm, units)
        fill = ax.fill_between(across, of(band.low, units), of(band.high, units), **style.BAND)
        fill.set(zorder=1.2, gid="band")


def _highest(*levels: Any) -> float:
    """Return the greatest finite level of several arrays."""
    every = np.concatenate([np.ravel(np.asarray(x, float)) for x in levels])
    return float(every[np.isfinite(every)].max())


@styled
def plot_effort(
    result: Result,
    *,
    ax: Axes | None = None,
    units: str = "metric",
    target_n: float = 90.0,
    bands: Bands | None = None,
) -> Axes:
    """Draw the force at the hand over its travel, pulling and letting back.

    Parameters
    ----------
    result : Result
        From `liftgeo.stroke`.
    ax : Axes, optional
        Where to draw; without it on a new figure.
    units : {"metric", "inch"}
        Units of the axes and labels.
    target_n : float
        Hand force aimed at [N].
    bands : Bands, optional
        Where 90 in 100 lie, drawn behind the curve.

    Returns
    -------
    Axes

    Raises
    ------
    RequestError
        The result was computed without its stroke.

    Notes
    -----
    Letting back is paired with pulling by plate lift. At full lever the plates first stand still
    while friction turns round; the hand gives way a little as the cable eases (dotted).
    """
    table, ax = stroke_of(result), axes_for(ax)
    out, pull = length(table.hand_travel_mm, units), force(table.hand_force_n, units)
    home, back = length(table.return_hand_travel_mm, units), force(table.return_hand_force_n, units)
    rows = jumps_of(table)
    target, floor = force(target_n, units), force(result.effort.floor_n, units)
    over = [] if bands is None else force(bands.hand_force_n.high, units)
    _frame(ax, float(np.nanmax(out)), _highest(pull, target, over))
    _draw_band(ax, bands, "hand_force_n", force, units)
    ax.axhline(target, **style.TARGET)
    if floor > 0:
        ax.axhline(floor, **style.FLOOR)
    _curve(ax, rows, out, pull, "pulling", **style.PULLING)
    _curve(ax, rows, home, back, "letting back", **style.BACK)
    ax.plot([out[-1], home[-1]], [pull[-1], back[-1]], label=LETTING_BACK_BEGINS, **style.TURNING)
    _jump_lines(ax, rows, out, pull)
    _mark_peak_and_parting(ax, result, units)

    notes = notes_on(ax)
    middle = 0.5 * (out[-1] + home[-1]), 0.5 * (pull[-1] + back[-1])
    notes.add(LETTING_BACK_BEGINS.replace(": ", ":\n"), *middle, ("w", "nw", "sw"))
    _name_curve(ax, "pulling", out, pull, ("nw", "w", "n", "se", "e"))
    _name_curve(ax, "letting back", home, back, ("se", "s", "e", "nw", "n"))
    along = np.linspace(*ax.get_xlim(), 25)[1:-1]
    notes.add(f"target {force_text(target_n, units)}", along, target + 0 * along, ("n", "s"))
    if floor > 0:
        text = f"{LEAST_EFFORT}: {force_text(result.effort.floor_n, units)}"
        notes.add(text, along, floor + 0 * along, ("n", "s"))
    title = "Force at the hand" + ("; band: 90 in 100, pulling" if bands is not None else "")
    titled(ax, title, _travel_label(units), axis_label("hand force", "force", units))
    return ax


def _name_curve(ax: Axes, name: str, across: Array, up: Array, sides: tuple[str, ...]) -> None:
    """Write a curve's name beside it, somewhere it has left zero."""
    risen = np.flatnonzero(up > 0.25 * np.nanmax(up)) if np.nanmax(up) > 0 else np.arange(len(up))
    rows = risen[_spread(risen.astype(float), 0.05, 0.95)]
    notes_on(ax).add(name, across[rows], up[rows], sides)


def _mark_peak_and_parting(ax: Axes, result: Result, units: str) -> None:
    """Mark the greatest force, and the place where the faces part, in one label where they meet."""
    peak, parting = result.peak, result.event("faces-part")
    at, top = length(peak.hand_travel_mm, units), force(peak.hand_force_n, units)
    same = parting.reached and abs(parting.hand_travel_mm - peak.hand_travel_mm) < _SAME_MM
    peak_text = f"peak {force_text(peak.hand_force_n, units)}"
    if parting.reached:
        row = parting_row(stroke_of(result), parting.hand_travel_mm)
        x = length(parting.hand_travel_mm, units)
        y = force(stroke_of(result).hand_force_n[row], units)
        words = f"faces part at {travel_text(parting.hand_travel_mm, units)}"
        ax.plot([x, x], [0.0, y], **style.EVENT)
        ax.plot(
            [x],
            [y],
            marker="o",
            color=style.INK,
            markerfacecolor="white",
            markersize=8.5,
            ls="None",
        )
        if same:
            peak_text += f"\n{words}"
        else:
            notes_on(ax).add(words, [x] * 3, [y, 0.6 * y, 0.2 * y], ("s", "se", "sw", "e", "w"))
    if peak.hand_force_n > 0:
        ax.plot([at], [top], marker="^", color=style.INK, markersize=5.0, ls="None", clip_on=False)
        notes_on(ax).add(peak_text, at, top, ("n", "nw", "ne", "w", "e"))


def _mark_events(ax: Axes, result: Result, units: str) -> None:
    """Mark every event that is reached, its name along its line."""
    for event in result.events:
        if event.reached:
            x = length(event.hand_travel_mm, units)
            ax.axvline(x, **style.EVENT)
            words = f"{EVENT_WORDS[event.name]} {travel_text(event.hand_travel_mm, units)}"
            heights = np.linspace(0.97, 0.03, 33) * ax.get_ylim()[1]
            at = np.full(33, x)
            notes_on(ax).add(words, at, heights, ("w", "e"), rotation=90.0, fontsize=8.0)


@styled
def plot_lift(
    result: Result,
    *,
    ax: Axes | None = None,
    units: str = "metric",
    bands: Bands | None = None,
) -> Axes:
    """Draw plate lift and separation over the hand's travel, with the events on the way.

    Parameters
    ----------
    result : Result
        From `liftgeo.stroke`.
    ax : Axes, optional
        Where to draw; without it on a new figure.
    units : {"metric", "inch"}
        Units of the axes and labels.
    bands : Bands, optional
        Where 90 in 100 lie, drawn behind the separation.

    Returns
    -------
    Axes

    Raises
    ------
    RequestError
        The result was computed without its stroke.
    """
    table, ax = stroke_of(result), axes_for(ax)
    out = length(table.hand_travel_mm, units)
    lift, apart = length(table.plate_lift_mm, units), length(table.separation_mm, units)
    needed = length(result.full_lever.needed_mm, units)
    rows = jumps_of(table)
    over = [] if bands is None else length(bands.separation_mm.high, units)
    _frame(ax, float(np.nanmax(out)), _highest(lift, apart, needed, over), 1.3)
    _draw_band(ax, bands, "separation_mm", length, units)

    notes = notes_on(ax)
    if needed > 0:
        band = ax.axhspan(0.0, needed, facecolor=style.PALE, edgecolor="#bdbdbd", hatch="....")
        band.set_linewidth(0.0)
        ax.axhline(needed, color=style.GREY, linewidth=0.9)
        text = f"needed to run clear {lift_text(result.full_lever.needed_mm, units)}"
        along = np.linspace(*ax.get_xlim(), 25)[1:-1]
        notes.add(text, along, needed + 0 * along, ("n", "s"))
    _mark_events(ax, result, units)
    two = bool(np.max(np.abs(lift - apart)) > 1e-3 * ax.get_ylim()[1])
    if two:
        _curve(ax, rows, out, lift, "plate lift", **style.SECOND)
        _name_curve(ax, "plate lift", out, lift, ("nw", "w", "n", "se"))
    _curve(ax, rows, out, apart, "separation", **style.PULLING)
    _jump_lines(ax, rows, out, apart)
    name = "separation" if two else "separation,\nall of the plate lift"
    _name_curve(ax, name, out, apart, ("se", "e", "nw", "w"))
    ax.plot(
        [out[-1]],
        [apart[-1]],
        marker="s",
        color=style.INK,
        markersize=5.5,
        ls="None",
        clip_on=False,
    )
    end = lift_text(result.full_lever.separation_mm, units)
    notes.add(end, out[-1], apart[-1], ("n", "nw", "w", "s"))
    title = "Lift and separation" + ("; band: 90 clutches in 100" if bands is not None else "")
    titled(ax, title, _travel_label(units), axis_label("lift at the plate", "length", units))
    return ax


@styled
def plot_advantage(result: Result, *, ax: Axes | None = None, units: str = "metric") -> Axes:
    """Draw the advantage from hand to rod over the hand's travel, ideal and actual.

    Parameters
    ----------
    result : Result
        From `liftgeo.stroke`.
    ax : Axes, optional
        Where to draw; without it on a new figure.
    units : {"metric", "inch"}
        Units of the axes and labels.

    Returns
    -------
    Axes

    Raises
    ------
    RequestError
        The result was computed without its stroke.

    Notes
    -----
    Ideal: hand travel per rod travel from geometry alone. Actual: rod force per hand force; the
    gap is friction and return springs. Near a dead centre the ideal runs out of the picture.
    """
    table, ax = stroke_of(result), axes_for(ax)
    out = length(table.hand_travel_mm, units)
    ideal = np.where(np.isfinite(table.ideal_advantage), table.ideal_advantage, np.nan)
    actual = np.where(np.isfinite(table.advantage), table.advantage, np.nan)
    rows = jumps_of(table)
    shown = ideal[np.isfinite(ideal)]
    highest = min(float(shown.max()), 2.5 * float(np.median(shown))) if len(shown) else 1.0
    if np.isfinite(actual).any():
        highest = max(highest, float(np.nanmax(actual)))
    _frame(ax, float(np.nanmax(out)), highest)
    _curve(ax, rows, out, ideal, "ideal, from geometry alone", **style.SECOND)
    _curve(ax, rows, out, actual, "actual, after friction", **style.PULLING)
    _name_visible(ax, "ideal, from geometry alone", out, ideal, highest)
    _name_visible(ax, "actual, after friction", out, actual, highest)
    unit = unit_of("force", units)
    across, up = _travel_label(units), f"rod per hand force ({unit}/{unit})"
    titled(ax, TIMES_THE_HAND, across, up)
    return ax


def _name_visible(ax: Axes, name: str, across: Array, up: Array, highest: float) -> None:
    """Write a curve's name where it is inside the picture."""
    inside = np.flatnonzero(np.isfinite(up) & (up <= highest) & (up > 0))
    if len(inside):
        rows = inside[_spread(inside.astype(float), 0.05, 0.95)]
        notes_on(ax).add(name, across[rows], up[rows], ("n", "s", "nw", "se", "ne", "sw"))
