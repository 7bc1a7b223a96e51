"""What the ± of the measurements does, on one page."""

from __future__ import annotations

from matplotlib.figure import Figure

from liftgeo.figures.page import say_as_worked
from liftgeo.figures.spread_plots import plot_clearance_spread, plot_shares
from liftgeo.figures.study_pages import headed
from liftgeo.figures.style import styled
from liftgeo.studies.spread import Spread
from liftgeo.words.names import UNTITLED_FIGURE
from liftgeo.words.spread_page import place_of, whole_title
from liftgeo.words.verdict import warning_texts

_WIDTH_IN, _CURVE_IN, _BAR_IN = 8.27, 3.6, 0.3
_MOST_BARS, _LEAST = 10, 0.005


@styled
def spread_page(spread: Spread, units: str = "metric") -> Figure:
    """Return where the clearance may lie, and whose ± decides it, on one page.

    Parameters
    ----------
    spread : Spread
        From `liftgeo.studies.spread.spread`.
    units : {"metric", "inch"}
        Units of the axes and labels.
    """
    known, full = spread.known, spread.result.full_lever
    totals = spread.total or {}
    shares = () if known is None else known.shares
    rows = [
        (place_of(item.key), item.share, totals.get(item.key))
        for item in shares[:_MOST_BARS]
        if item.share >= _LEAST
    ]
    bars = 1.1 + _BAR_IN * max(len(rows), 1)
    figure = Figure(figsize=(_WIDTH_IN, _CURVE_IN + bars + 2.6), layout="constrained")
    above, below = figure.subplots(2, 1, height_ratios=[_CURVE_IN, bars])
    target_mm = float(spread.mechanism.parts().faces.target_mm)
    if spread.distribution is None:
        own = full.clearance_per_face_mm
        edges, share = [own - 1e-3, own + 1e-3], [1.0]
    else:
        edges = spread.distribution.edges_mm.tolist()
        share = spread.distribution.share.tolist()
    plot_clearance_spread(
        edges,
        share,
        target_mm=target_mm,
        zones=spread.zones,
        slips=0.0 if known is None else known.odds.slips,
        measured_mm=full.clearance_per_face_mm,
        ax=above,
        units=units,
    )
    plot_shares(rows, ax=below, units=units)
    say_as_worked(figure.axes, spread.mechanism)
    title = whole_title(spread) or UNTITLED_FIGURE
    return headed(
        figure, f"{title}: what the ± does", warning_texts(spread.result, spread.mechanism, units)
    )
