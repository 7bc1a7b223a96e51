"""Readings before and after the work over the curves of the sums, and how far they agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from liftgeo.figures import style
from liftgeo.figures.readings_page import (
    AFTER,
    BACK_AFTER,
    BACK_BEFORE,
    BEFORE,
    CURVE_IN,
    MARKS,
    REST_IN,
    ROW_IN,
    WIDTH_IN,
    curves_above,
    draw_curve,
    on_curves,
    travel_of,
)
from liftgeo.figures.study_pages import headed
from liftgeo.figures.style import INK, RUST, axes_for, axis_label, styled, titled
from liftgeo.mechanism.bench import LETTING_BACK, QUANTITIES, Reading
from liftgeo.outcome.results import Result
from liftgeo.quantities import converted
from liftgeo.studies.after_work import AfterWork
from liftgeo.words.certainty import reading_words
from liftgeo.words.names import UNTITLED_FIGURE
from liftgeo.words.verdict import titled as with_change


@dataclass(frozen=True, eq=False)
class Sides:
    """What stands on either side of the work.

    Attributes
    ----------
    results : (Result, Result)
        What the sums say before, and with the change.
    readings : (sequence of Reading, sequence of Reading)
        What was read before and after.
    """

    results: tuple[Result, Result]
    readings: tuple[Sequence[Reading], Sequence[Reading]]

    def quantities(self) -> list[str]:
        """Return what was read on a curve over hand travel, the most first."""
        return list(on_curves((*self.readings[0], *self.readings[1])))


@styled
def plot_before_after(
    sides: Sides, quantity: str, *, ax: Axes | None = None, units: str = "metric"
) -> Axes:
    """Draw the readings of one quantity before and after, with their ±, over both curves.

    Parameters
    ----------
    sides : Sides
    quantity : str
        One of `sides.quantities()`.
    ax : Axes, optional
    units : {"metric", "inch"}
    """
    ax = axes_for(ax)
    dimension = QUANTITIES[quantity].dimension
    lines = ((BEFORE, BACK_BEFORE), (AFTER, BACK_AFTER))
    whole = zip(("before", "after"), sides.results, sides.readings, lines, strict=True)
    for word, result, readings, looks in whole:
        own = on_curves(tuple(readings)).get(quantity, [])
        for back in sorted({reading.direction == LETTING_BACK for reading in own}):
            way = ", letting back" if back else ""
            said = "as the file stands" if word == "before" else "with the change"
            draw_curve(ax, result, quantity, back, units, f"sums {said}{way}", looks[back])
            here = [r for r in own if (r.direction == LETTING_BACK) == back]
            ax.errorbar(
                converted(np.array([travel_of(r, result) for r in here]), "length", units),
                converted(np.array([r.value for r in here]), dimension, units),
                yerr=converted(np.array([r.half_width for r in here]), dimension, units),
                **_read_look(word, back),
                label=f"read {word}{way}",
            )
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


def _read_look(word: str, back: bool) -> dict[str, Any]:
    """Return how readings are marked: hollow before, filled within it after; squares letting back.

    Where both stand at one place a ring is seen about the one after.
    """
    return {
        "fmt": MARKS[back],
        "color": "black",
        "markerfacecolor": "white" if word == "before" else "black",
        "markersize": 8.0 if word == "before" else 4.5,
        "elinewidth": 1.1,
        "capsize": 4.0 if word == "before" else 2.5,
        "zorder": 4 if word == "before" else 5,
    }


@styled
def plot_agreement(found: AfterWork, *, ax: Axes | None = None, units: str = "metric") -> Axes:
    """Draw how far each change was from what the sums said, over what both may be out by.

    Parameters
    ----------
    found : AfterWork
    ax : Axes, optional
    units : {"metric", "inch"}
        Of the places in the readings' names.
    """
    ax = axes_for(ax)
    off = np.array([row.away for row in found.rows])
    rows = np.arange(len(off))[::-1]
    ax.axvspan(-1.0, 1.0, facecolor=style.PALE, edgecolor="none", zorder=0)
    ax.axvline(0.0, **style.ZERO)
    shown = np.nan_to_num(off)
    ax.hlines(rows, 0.0, shown, color=INK, linewidth=1.2)
    agrees = np.array([row.agrees for row in found.rows])
    for some, mark, colour in ((agrees, "o", INK), (~agrees, "X", RUST)):
        ax.plot(shown[some], rows[some], linestyle="none", marker=mark, color=colour)
    ax.set_yticks(rows, [reading_words(row.reading, units) for row in found.rows])
    ax.set_ylim(-0.7, len(off) - 0.3)
    furthest = max(1.3, 1.1 * float(np.max(np.abs(shown), initial=0.0)))
    ax.set_xlim(-furthest, furthest)
    titled(
        ax,
        "Changed by more or less than the sums said",
        "over what both may be out by together; beyond 1 it is not as they said",
        "",
    )
    ax.grid(visible=False, axis="y")
    return ax


@styled
def after_page(
    found: AfterWork, sides: Sides, warnings: Sequence[str] = (), units: str = "metric"
) -> Figure:
    """Return the readings before and after over the curves, and how far they agree, on one page.

    Parameters
    ----------
    found : AfterWork
    sides : Sides
    warnings : sequence of str
        Of the clutch before and after, said below.
    units : {"metric", "inch"}
    """
    panels = sides.quantities()
    rows = -(-len(panels) // 2)
    rest_in = REST_IN + ROW_IN * len(found.rows)
    figure = Figure(figsize=(WIDTH_IN, CURVE_IN * rows + rest_in + 1.8), layout="constrained")
    title = f"{with_change(found.title or UNTITLED_FIGURE, found.change)}: before and after"
    if not panels:
        plot_agreement(found, ax=figure.add_subplot(), units=units)
        return headed(figure, title, warnings)
    below = curves_above(
        figure,
        panels,
        rest_in,
        lambda quantity, ax: plot_before_after(sides, quantity, ax=ax, units=units),
        columns=2,
    )
    plot_agreement(found, ax=below.add_subplot(), units=units)
    return headed(figure, title, warnings)
