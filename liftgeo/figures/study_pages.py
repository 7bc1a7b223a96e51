"""One page for a study: a comparison, a ranking of inputs, a sizing. Plain data in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from matplotlib.figure import Figure

from liftgeo.figures.page import wrapped
from liftgeo.figures.studies import (
    Targets,
    plot_effort_overlay,
    plot_front,
    plot_sensitivity,
    plot_separation_overlay,
    plot_trade_map,
)
from liftgeo.figures.style import SINGLE_IN, styled
from liftgeo.figures.words import one_line
from liftgeo.results import Result

_WIDTH_IN = 7.4
_TITLE_PT = 11.0
_LEGEND_ROW_IN = 0.2
_SHOWN_MM, _SHOWN_N = 0.0005, 0.05


def _headed(figure: Figure, title: str) -> Figure:
    text = "\n".join(wrapped(one_line(title), _WIDTH_IN - 0.4, _TITLE_PT, "bold"))
    figure.suptitle(text, x=0.02, ha="left", fontsize=_TITLE_PT, fontweight="bold")
    return figure


@styled
def comparison_page(
    title: str,
    results: Mapping[str, Result],
    targets: Targets,
    *,
    units: str = "metric",
) -> Figure:
    """Return effort, separation and trade map of several variants on one page.

    Parameters
    ----------
    title : str
        Head of the page.
    results : mapping of str to Result
        Variants under their names, with their strokes; the first is the stock one.
    targets : (clearance_mm, hand_force_n)
        Drawn as lines.
    units : {"metric", "inch"}
        Units of the axes and labels.
    """
    legend = _LEGEND_ROW_IN * ((len(results) + 1) // 2)
    curves, trades = SINGLE_IN[1] + legend, 4.4
    figure = Figure(figsize=(_WIDTH_IN, 2 * curves + trades + 0.4), layout="constrained")
    axes = figure.subplots(3, 1, height_ratios=[curves, curves, trades])
    plot_effort_overlay(results, ax=axes[0], units=units, target_n=targets[1])
    plot_separation_overlay(results, ax=axes[1], units=units)
    points = [
        (name, r.full_lever.clearance_per_face_mm, r.peak.hand_force_n)
        for name, r in results.items()
    ]
    plot_trade_map(points, targets, ax=axes[2], units=units)
    return _headed(figure, title)


@styled
def sensitivity_page(
    title: str,
    rows: Sequence[tuple[str, float, float]],
    *,
    units: str = "metric",
) -> Figure:
    """Return what inputs do to clearance and to peak effort, as two fields of bars.

    Parameters
    ----------
    title : str
        Head of the page.
    rows : sequence of (label, clearance_mm, peak_n)
        What is changed, and what it does.
    units : {"metric", "inch"}
        Units of the axes and labels.
    """
    lifts = [(name, mm) for name, mm, _ in rows if abs(mm) > _SHOWN_MM]
    pulls = [(name, n) for name, _, n in rows if abs(n) > _SHOWN_N]
    heights = [1.1 + 0.3 * max(len(bars), 1) for bars in (lifts, pulls)]
    figure = Figure(figsize=(_WIDTH_IN, sum(heights) + 0.4), layout="constrained")
    axes = figure.subplots(2, 1, height_ratios=heights)
    plot_sensitivity(lifts, ax=axes[0], units=units)
    plot_sensitivity(
        pulls,
        quantity="peak hand force",
        dimension="force",
        ax=axes[1],
        units=units,
    )
    return _headed(figure, title)


@styled
def sizing_page(
    title: str,
    front: Sequence[Targets],
    chosen: Targets | None,
    stock: Targets,
    targets: Targets | None,
    *,
    tried: Sequence[Targets] = (),
    units: str = "metric",
) -> Figure:
    """Return the trade-off front of a sizing on one page.

    Parameters
    ----------
    title : str
        Head of the page.
    front, tried : sequence of (clearance_mm, peak_n)
        The front, and what else was tried.
    chosen : (clearance_mm, peak_n) or None
        The answer; None where it may not be proposed.
    stock : (clearance_mm, peak_n)
        The mechanism as it stands.
    targets : (clearance_mm, hand_force_n) or None
        Drawn as lines.
    units : {"metric", "inch"}
        Units of the axes and labels.
    """
    figure = Figure(figsize=(_WIDTH_IN, 5.6), layout="constrained")
    plot_front(
        front,
        tried=tried,
        chosen=chosen,
        stock=stock,
        targets=targets,
        ax=figure.add_subplot(),
        units=units,
    )
    return _headed(figure, title)
