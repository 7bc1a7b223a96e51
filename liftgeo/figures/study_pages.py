"""One page for a study: a comparison, a ranking of inputs, a sizing. Plain data in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine

from liftgeo.figures.page import wrapped
from liftgeo.figures.studies import (
    Targets,
    plot_effort_overlay,
    plot_front,
    plot_sensitivity,
    plot_separation_overlay,
    plot_trade_map,
)
from liftgeo.figures.style import styled
from liftgeo.outcome.results import Result
from liftgeo.safety import WORK_SAFELY_IN_BRIEF
from liftgeo.words.lines import one_line
from liftgeo.words.verdict import unusable, warning_names

_WIDTH_IN = 8.27  # A4
_MARGIN_IN = 0.45
_FOOT_PT = 8.0
_TITLE_PT = 11.0
_LEGEND_ROW_IN = 0.2
_SHOWN_MM, _SHOWN_N = 0.0005, 0.05


def _named_warnings(results: Mapping[str, Result]) -> list[str]:
    """Return one text for each variant that has a stop or a caution."""
    said = {name: warning_names(result) for name, result in results.items()}
    return [f"{one_line(name)}. {names}" for name, names in said.items() if names]


def headed(figure: Figure, title: str, warnings: Sequence[str] = ()) -> Figure:
    """Return a figure with margins to print, its title above, warnings and cautions below.

    The figure grows by the lines of the warnings.
    """
    across_in = figure.get_size_inches()[0] - 2 * _MARGIN_IN
    named = [line for text in warnings for line in wrapped(text, across_in, _FOOT_PT)]
    figure.set_figheight(figure.get_figheight() + len(named) * _FOOT_PT * 1.3 / 72)
    width, height = figure.get_size_inches()
    across, down = _MARGIN_IN / width, _MARGIN_IN / height
    inside = width - 2 * _MARGIN_IN
    head = wrapped(one_line(title), inside, _TITLE_PT, "bold")
    figure.text(across, 1 - down, "\n".join(head), va="top", fontsize=_TITLE_PT, fontweight="bold")
    foot = [*named, *wrapped(WORK_SAFELY_IN_BRIEF, inside, _FOOT_PT)]
    figure.text(across, down, "\n".join(foot), va="bottom", fontsize=_FOOT_PT)
    above, below = (
        (len(lines) + 0.5) * points * 1.3 / 72 / height
        for lines, points in ((head, _TITLE_PT), (foot, _FOOT_PT))
    )
    engine = figure.get_layout_engine()
    if isinstance(engine, ConstrainedLayoutEngine):
        engine.set(rect=(across, down + below, 1 - 2 * across, 1 - 2 * down - above - below))
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
    curves, trades = 2.4 + legend, 3.4
    height = 2 * curves + trades + 2 * _MARGIN_IN + 0.7
    figure = Figure(figsize=(_WIDTH_IN, height), layout="constrained")
    axes = figure.subplots(3, 1, height_ratios=[curves, curves, trades])
    told = {f"{n}: {unusable(r).upper()}" if unusable(r) else n: r for n, r in results.items()}
    plot_effort_overlay(told, ax=axes[0], units=units, target_n=targets[1])
    plot_separation_overlay(told, ax=axes[1], units=units)
    _trades(axes[2], results, targets, units)
    return headed(figure, title, _named_warnings(results))


@styled
def trade_page(
    results: Mapping[str, Result],
    targets: Targets,
    *,
    units: str = "metric",
    size_in: tuple[float, float] = (6.3, 4.0),
) -> Figure:
    """Return the trade map of several variants alone, for a page that says title and cautions.

    Parameters
    ----------
    results : mapping of str to Result
        Variants under their names; the first is the stock one.
    targets : (clearance_mm, hand_force_n)
        Lines of the trade map.
    units : {"metric", "inch"}
        Units of the axes and labels.
    size_in : (float, float)
        Size of the figure [in].
    """
    figure = Figure(figsize=size_in, layout="constrained")
    _trades(figure.add_subplot(), results, targets, units)
    return figure


def _trades(ax: Axes, results: Mapping[str, Result], targets: Targets, units: str) -> None:
    """Draw the trade map, what slips or does not release struck through."""
    points = [
        (name, r.full_lever.clearance_per_face_mm, r.peak.hand_force_n)
        for name, r in results.items()
    ]
    struck = {name: reason for name, r in results.items() if (reason := unusable(r))}
    plot_trade_map(points, targets, struck=struck, ax=ax, units=units)


@styled
def sensitivity_page(
    title: str,
    rows: Sequence[tuple[str, float, float]],
    result: Result,
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
    result : Result
        Of the mechanism as it stands: its stops and cautions are named below.
    units : {"metric", "inch"}
        Units of the axes and labels.
    """
    lifts = [(name, mm) for name, mm, _ in rows if abs(mm) > _SHOWN_MM]
    pulls = [(name, n) for name, _, n in rows if abs(n) > _SHOWN_N]
    heights = [1.1 + 0.3 * max(len(bars), 1) for bars in (lifts, pulls)]
    figure = Figure(figsize=(_WIDTH_IN, sum(heights) + 2 * _MARGIN_IN + 0.7), layout="constrained")
    axes = figure.subplots(2, 1, height_ratios=heights)
    plot_sensitivity(lifts, ax=axes[0], units=units)
    plot_sensitivity(
        pulls,
        quantity="peak hand force",
        dimension="force",
        ax=axes[1],
        units=units,
    )
    named = warning_names(result)
    return headed(figure, title, [named] if named else [])


@styled
def sizing_page(
    title: str,
    front: Sequence[Targets],
    chosen: Targets | None,
    stock: Targets,
    targets: Targets | None,
    *,
    tried: Sequence[Targets] = (),
    stock_struck: str = "",
    warnings: Sequence[str] = (),
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
    stock_struck : str
        Why the mechanism as it stands must not be taken for good; "" where nothing does.
    warnings : sequence of str
        What the proposed and the present mechanism are warned of, written below.
    units : {"metric", "inch"}
        Units of the axes and labels.
    """
    figure = Figure(figsize=(_WIDTH_IN, 6.6), layout="constrained")
    plot_front(
        front,
        tried=tried,
        chosen=chosen,
        stock=stock,
        stock_struck=stock_struck,
        targets=targets,
        ax=figure.add_subplot(),
        units=units,
    )
    return headed(figure, title, warnings)
