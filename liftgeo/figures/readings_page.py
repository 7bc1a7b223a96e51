"""Readings from the bench over the curves before and after the fit, and what is left over."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure
from numpy.typing import NDArray

from liftgeo.figures import style
from liftgeo.figures.study_pages import headed
from liftgeo.figures.style import GREY, INK, RUST, axes_for, axis_label, styled, titled
from liftgeo.mechanism.bench import LETTING_BACK, QUANTITIES, Reading
from liftgeo.outcome.results import Result
from liftgeo.quantities import converted
from liftgeo.studies.diagnose import Diagnosis
from liftgeo.words.certainty import reading_words
from liftgeo.words.names import UNTITLED_FIGURE
from liftgeo.words.verdict import full_title, warning_texts

Array = NDArray[np.float64]

_COLUMNS = {
    ("hand_force", False): "hand_force_n",
    ("hand_force", True): "return_hand_force_n",
    ("separation", False): "separation_mm",
    ("plate_lift", False): "plate_lift_mm",
    ("rod_travel", False): "rod_travel_mm",
    ("cable_pull", False): "cable_pull_mm",
    ("arm_rotation", False): "arm_rotation_deg",
    ("rod_force", False): "rod_force_n",
    ("cable_tension", False): "cable_tension_n",
}
"""Readings that stand on a curve of the stroke, by quantity and whether letting back."""

WIDTH_IN, CURVE_IN, REST_IN, ROW_IN = 8.27, 2.7, 1.1, 0.2
_MOST_PANELS = 4
MARKS = {False: "o", True: "s"}
BEFORE: dict[str, Any] = {"color": GREY, "linestyle": (0, (5, 2)), "linewidth": 1.3}
BACK_BEFORE: dict[str, Any] = {"color": GREY, "linestyle": (0, (1, 1.5)), "linewidth": 1.5}
AFTER: dict[str, Any] = {"color": INK, "linestyle": "-", "linewidth": 1.9}
BACK_AFTER: dict[str, Any] = {"color": RUST, "linestyle": "-", "linewidth": 1.6}


def on_curves(readings: tuple[Reading, ...]) -> dict[str, list[Reading]]:
    """Return readings that stand on a curve over hand travel, by quantity, the most first."""
    found: dict[str, list[Reading]] = {}
    for reading in readings:
        back = reading.direction == LETTING_BACK
        here = reading.at is None or reading.place == "hand_travel"
        if (reading.quantity, back) in _COLUMNS and here and not reading.condition:
            found.setdefault(reading.quantity, []).append(reading)
    order = sorted(found, key=lambda name: -len(found[name]))[:_MOST_PANELS]
    return {name: found[name] for name in order}


def travel_of(reading: Reading, result: Result) -> float:
    """Return the hand travel at which a reading is drawn [mm]: at full lever where none is said."""
    if reading.at is not None:
        return reading.at
    if reading.direction == LETTING_BACK and result.stroke is not None:
        return float(result.stroke.return_hand_travel_mm[-1])
    return result.full_lever.hand_travel_mm


def draw_curve(
    ax: Axes, result: Result, quantity: str, back: bool, units: str, label: str, look: Any
) -> None:
    """Draw one quantity over hand travel, pulling or letting back."""
    table = result.stroke
    if table is None:
        return
    across = table.return_hand_travel_mm if back else table.hand_travel_mm
    dimension = QUANTITIES[quantity].dimension
    up = getattr(table, _COLUMNS[quantity, back])
    ax.plot(
        converted(across, "length", units), converted(up, dimension, units), label=label, **look
    )


@styled
def plot_readings(
    found: Diagnosis, quantity: str, *, ax: Axes | None = None, units: str = "metric"
) -> Axes:
    """Draw the readings of one quantity with what they may be out by, over both curves.

    Parameters
    ----------
    found : Diagnosis
        With readings.
    quantity : str
        One of `on_curves`.
    ax : Axes, optional
    units : {"metric", "inch"}
    """
    ax = axes_for(ax)
    readings = on_curves(found.mechanism.readings)[quantity]
    dimension = QUANTITIES[quantity].dimension
    ways = sorted({reading.direction == LETTING_BACK for reading in readings})
    for back in ways:
        word = ", letting back" if back else ""
        before = BACK_BEFORE if back else BEFORE
        draw_curve(ax, found.result, quantity, back, units, f"as the file says{word}", before)
        if found.after is not None:
            look = BACK_AFTER if back else AFTER
            draw_curve(ax, found.after, quantity, back, units, f"fitted{word}", look)
        here = [r for r in readings if (r.direction == LETTING_BACK) == back]
        ax.errorbar(
            converted(np.array([travel_of(r, found.after or found.result) for r in here]),
                      "length", units),
            converted(np.array([r.value for r in here]), dimension, units),
            yerr=converted(np.array([r.half_width for r in here]), dimension, units),
            fmt=MARKS[back],
            color="black",
            markerfacecolor="white",
            markersize=5.5,
            elinewidth=1.1,
            capsize=2.5,
            zorder=4,
            label=f"read, with its ±{word}",
        )  # fmt: skip
    name = quantity.replace("_", " ")
    titled(
        ax,
        name[0].upper() + name[1:],
        axis_label("hand travel", "length", units),
        axis_label(name, dimension, units),
    )
    ax.set_xlim(left=0.0)
    ax.set_ylim(bottom=0.0)
    ax.margins(y=0.08)
    ax.legend(loc="best")
    return ax


@styled
def plot_rests(found: Diagnosis, *, ax: Axes | None = None, units: str = "metric") -> Axes:
    """Draw how far each reading is from what all else leaves possible, in standard deviations.

    Parameters
    ----------
    found : Diagnosis
        With readings.
    ax : Axes, optional
    units : {"metric", "inch"}
        Of the places at the hand.
    """
    ax = axes_for(ax)
    rests = found.readings.residuals
    rows = np.arange(len(rests))[::-1]
    off = np.array([rest.standardised for rest in rests])
    ax.axvspan(-3.0, 3.0, facecolor=style.PALE, edgecolor="none", zorder=0)
    ax.axvline(0.0, **style.ZERO)
    ax.hlines(rows, 0.0, off, color=INK, linewidth=1.2)
    beyond = np.abs(off) > 3.0
    for some, mark, colour in ((~beyond, "o", INK), (beyond, "X", RUST)):
        ax.plot(off[some], rows[some], linestyle="none", marker=mark, color=colour)
    ax.set_yticks(rows, [reading_words(rest.reading, units) for rest in rests])
    ax.set_ylim(-0.7, len(rests) - 0.3)
    furthest = max(3.6, 1.1 * float(np.max(np.abs(off), initial=0.0)))
    ax.set_xlim(-furthest, furthest)
    titled(ax, "What is left over", "standard deviations; beyond 3 a reading contradicts", "")
    ax.grid(visible=False, axis="y")
    return ax


@styled
def curves_above(
    figure: Figure,
    panels: Sequence[str],
    rest_in: float,
    plot: Callable[[str, Axes], Axes],
    columns: int = 3,
) -> SubFigure:
    """Draw curves in two columns under one legend, and return what is left below, `rest_in` high.

    Parameters
    ----------
    panels : sequence of str
        Quantities, a curve each.
    rest_in : float
        Height of what comes below [in].
    plot : callable
        Takes a quantity and Axes, draws and returns them.
    columns : int
        Of the legend.
    """
    rows = -(-len(panels) // 2)
    parts = figure.subfigures(2, 1, height_ratios=[CURVE_IN * rows + 0.5, rest_in], squeeze=False)
    above: SubFigure = parts[0, 0]
    below: SubFigure = parts[1, 0]
    grid = above.add_gridspec(rows, 2)
    lines: dict[str, Artist] = {}
    for k, quantity in enumerate(panels):
        alone = k == len(panels) - 1 and k % 2 == 0
        cell = grid[k // 2, :] if alone else grid[k // 2, k % 2]
        ax = plot(quantity, above.add_subplot(cell))
        if (own := ax.get_legend()) is not None:
            own.remove()
        for line, label in zip(*ax.get_legend_handles_labels(), strict=True):
            lines.setdefault(label, line)
    above.legend(lines.values(), lines.keys(), loc="outside upper left", ncols=columns)
    return below


def readings_page(found: Diagnosis, units: str = "metric", *, bare: bool = False) -> Figure:
    """Return the readings over the curves before and after, and what is left over, on one page.

    Parameters
    ----------
    found : Diagnosis
        With readings.
    units : {"metric", "inch"}
        Units of the axes and labels.
    bare : bool
        Without title and cautions, for a page that says them beside it.
    """
    panels = list(on_curves(found.mechanism.readings))
    rows = -(-len(panels) // 2)
    rest_in = REST_IN + ROW_IN * len(found.readings.residuals)
    around_in = 0.6 if bare else 1.8
    size_in = (WIDTH_IN, CURVE_IN * rows + rest_in + around_in)
    figure = Figure(figsize=size_in, layout="constrained")
    title = full_title(found.result) or UNTITLED_FIGURE
    warned = [] if bare else warning_texts(found.result, found.mechanism, units)
    if not panels:
        plot_rests(found, ax=figure.add_subplot(), units=units)
        if bare:
            return figure
        return headed(figure, f"{title}: readings from the bench", warned)
    below = curves_above(
        figure,
        panels,
        rest_in,
        lambda name, ax: plot_readings(found, name, ax=ax, units=units),
    )
    plot_rests(found, ax=below.add_subplot(), units=units)
    if bare:
        return figure
    return headed(figure, f"{title}: readings from the bench", warned)
