"""One page for a study: a comparison, a ranking of inputs, a sizing. Plain data in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine
from matplotlib.ticker import MaxNLocator

from liftgeo.figures import style
from liftgeo.figures.overlays import beside_title, named, plot_beside
from liftgeo.figures.page import wrapped
from liftgeo.figures.studies import (
    BAR_NAME_IN,
    Targets,
    plot_along_front,
    plot_effort_overlay,
    plot_front,
    plot_sensitivity,
    plot_separation_overlay,
    plot_trade_map,
)
from liftgeo.figures.style import styled
from liftgeo.outcome.results import Result
from liftgeo.quantities import unit_of
from liftgeo.safety import WORK_SAFELY_IN_BRIEF
from liftgeo.words.lines import one_line
from liftgeo.words.verdict import unusable, warning_names

_WIDTH_IN = 8.27  # A4
_MARGIN_IN = 0.45
_FOOT_PT = 8.0
_TITLE_PT = 11.0
_LEGEND_ROW_IN = 0.2


class Along(NamedTuple):
    """An input along a trade-off front: its name in words, its values there, and the one found."""

    name: str
    dimension: str
    values: Sequence[float]
    chosen: float | None


_MOST_INPUTS = 4
MOST_OVERLAID = 4
"""Variants, the stock one left out, whose curves are drawn over each other."""
_ABREAST, _MANY_ROWS = 5, 3
_FIELDS_IN = 6.7
"""Width of the small fields of one row, together."""
_SHOWN_MM, _SHOWN_N = 0.0005, 0.05


def _named_warnings(results: Mapping[str, Result]) -> list[str]:
    """Return one text for all variants that have the same stops and cautions."""
    alike: dict[str, list[str]] = {}
    for name, result in results.items():
        alike.setdefault(warning_names(result), []).append(one_line(name))
    return [f"{', '.join(names)}. {said}" for said, names in alike.items() if said]


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
    many = len(results) - 1 > MOST_OVERLAID
    figure, ax = (_side_by_side if many else _overlaid)(results, targets, units)
    _trades(ax, results, targets, units)
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


def _told(results: Mapping[str, Result]) -> dict[str, Result]:
    """Return the variants under their names, with why one is not to be taken."""
    return {f"{n}: {unusable(r).upper()}" if unusable(r) else n: r for n, r in results.items()}


def _overlaid(results: Mapping[str, Result], targets: Targets, units: str) -> tuple[Figure, Axes]:
    """Return a page with the curves of a few variants over each other, and room for the trades."""
    legend = _LEGEND_ROW_IN * ((len(results) + 1) // 2)
    heights = [2.4, 2.4 + legend, 3.4]
    figure = Figure(figsize=(_WIDTH_IN, sum(heights) + 2 * _MARGIN_IN + 0.7), layout="constrained")
    axes = figure.subplots(3, 1, height_ratios=heights)
    told = _told(results)
    plot_effort_overlay(told, ax=axes[0], units=units, target_n=targets[1], legend=False)
    plot_separation_overlay(told, ax=axes[1], units=units)
    return figure, axes[2]


def _clearance_mm(result: Result) -> float:
    return result.full_lever.clearance_per_face_mm


def _peak_n(result: Result) -> float:
    return result.peak.hand_force_n


def _side_by_side(
    results: Mapping[str, Result], targets: Targets, units: str
) -> tuple[Figure, Axes]:
    """Return a page with many variants, each beside the stock one, and room for the trades.

    What each changes is drawn as bars; its effort in a small field of its own.
    """
    (_, stock), *others = _told(results).items()
    rows = -(-len(others) // _ABREAST)
    abreast = -(-len(others) // rows)  # as many in each row, as nearly as may be
    deepest = max(named(name, BAR_NAME_IN).count("\n") + 1 for name, _ in others)
    row_in, trades_in = (1.25, 3.1) if rows < _MANY_ROWS else (1.0, 2.5)  # all on A4
    field_in = _FIELDS_IN / abreast - 0.03
    more_in = 0.14 * rows * max(beside_title(name, field_in).count("\n") for name, _ in others)
    heights = [
        0.75 + (0.04 + 0.14 * deepest + 0.04 * (deepest > 1)) * len(others),
        0.1,
        0.35 + row_in * rows,
        trades_in,
    ]
    height_in = sum(heights) + more_in + 2 * _MARGIN_IN + 0.7
    figure = Figure(figsize=(_WIDTH_IN, height_in), layout="constrained")
    grid = figure.add_gridspec(4, 1, height_ratios=heights)
    pair: Any = grid[0].subgridspec(1, 2).subplots()
    left, right = pair
    for ax, quantity, dimension, of in (
        (left, "clearance per face", "length", _clearance_mm),
        (right, "peak hand force", "force", _peak_n),
    ):
        bars = [(name, of(r) - of(stock)) for name, r in others]
        plot_sensitivity(
            bars, quantity=quantity, dimension=dimension, ranked=False, ax=ax, units=units
        )
        low, high = ax.get_xlim()  # half as wide as the page: the numbers need more room
        room = 0.2 * (high - low)
        ax.set_xlim(low - room * (low < 0), high + room * (high > 0))
        ax.xaxis.set_major_locator(MaxNLocator(4, prune="both"))
        ax.set_title(f"{quantity[0].upper()}{quantity[1:]}", loc="left")
    right.tick_params(axis="y", labelleft=False)
    head = figure.add_subplot(grid[1])
    head.set_axis_off()
    head.set(xticks=[], yticks=[])
    words = "Force at the hand over its travel: grey and heavy as it stands, dark with the change"
    head.set_title(words, loc="left", fontsize=style.STYLE["axes.titlesize"], fontweight="bold")
    fields = (
        grid[2].subgridspec(rows, abreast).subplots(sharex=True, sharey=True, squeeze=False).ravel()
    )
    limits: list[tuple[float, float]] = []
    for place, ax in enumerate(fields):
        if place >= len(others):
            ax.set_axis_off()
            continue
        name, result = others[place]
        plot_beside(name, result, stock, ax=ax, units=units, target_n=targets[1], width_in=field_in)
        ax.set_title(ax.get_title(loc="left"), loc="left", fontsize=style.SMALL_PT)
        last, first = place + abreast >= len(others), place % abreast == 0
        ax.set_xlabel(unit_of("length", units) if last else "", fontsize=style.SMALL_PT)
        ax.set_ylabel(unit_of("force", units) if first else "", fontsize=style.SMALL_PT)
        ax.tick_params(labelbottom=last, labelleft=first, labelsize=style.SMALL_PT)
        limits.append((ax.get_xlim()[1], ax.get_ylim()[1]))
    fields[0].set(xlim=(0.0, max(x for x, _ in limits)), ylim=(0.0, max(y for _, y in limits)))
    return figure, figure.add_subplot(grid[3])


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
    inputs: Sequence[Along] = (),
    warnings: Sequence[str] = (),
    units: str = "metric",
) -> Figure:
    """Return the trade-off front of a sizing on one page, and what reaches each point of it.

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
    inputs : sequence of Along
        Inputs along the front, in fields below it; the first four.
    warnings : sequence of str
        What the proposed and the present mechanism are warned of, written below.
    units : {"metric", "inch"}
        Units of the axes and labels.
    """
    shown = inputs[:_MOST_INPUTS]
    heights = [5.2 if shown else 5.7, *(1.25 for _ in shown)]
    figure = Figure(figsize=(_WIDTH_IN, sum(heights) + 2 * _MARGIN_IN), layout="constrained")
    above, *fields = figure.subplots(
        len(heights), 1, height_ratios=heights, sharex=True, squeeze=False
    )[:, 0]
    plot_front(
        front,
        tried=tried,
        chosen=chosen,
        stock=stock,
        stock_struck=stock_struck,
        targets=targets,
        ax=above,
        units=units,
    )
    above.tick_params(labelbottom=True)
    for place, (ax, each) in enumerate(zip(fields, shown, strict=True)):
        along = [(point[0], value) for point, value in zip(front, each.values, strict=True)]
        own = None if chosen is None or each.chosen is None else (chosen[0], each.chosen)
        plot_along_front(
            along, name=each.name, dimension=each.dimension, chosen=own, ax=ax, units=units
        )
        if place < len(shown) - 1:
            ax.set_xlabel("")
    return headed(figure, title, warnings)
