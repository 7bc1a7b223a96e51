"""Figures of results: curves, budget, spring, the page, and the comparisons of studies.

Every `plot_*` takes `ax=`, returns Axes, computes nothing physical, and leaves matplotlib's
settings alone. matplotlib is loaded when the first figure is asked for. The page for the write-up
is `liftgeo.figures.page.page`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from liftgeo.figures.budget_bars import plot_budget
    from liftgeo.figures.output import render
    from liftgeo.figures.overlays import plot_beside
    from liftgeo.figures.page import single
    from liftgeo.figures.plan_page import plot_bought
    from liftgeo.figures.spread_plots import plot_clearance_spread, plot_shares
    from liftgeo.figures.spring_curve import plot_spring
    from liftgeo.figures.stroke_curves import plot_advantage, plot_effort, plot_lift
    from liftgeo.figures.studies import (
        plot_along_front,
        plot_effort_overlay,
        plot_front,
        plot_sensitivity,
        plot_separation_overlay,
        plot_trade_map,
        plot_wear,
    )

__all__ = [
    "Figure",
    "plot_advantage",
    "plot_along_front",
    "plot_beside",
    "plot_bought",
    "plot_budget",
    "plot_clearance_spread",
    "plot_effort",
    "plot_effort_overlay",
    "plot_front",
    "plot_lift",
    "plot_sensitivity",
    "plot_separation_overlay",
    "plot_shares",
    "plot_spring",
    "plot_trade_map",
    "plot_wear",
    "render",
    "single",
]


def __getattr__(name: str) -> Any:
    """Return a public name from its home, loaded on first use."""
    if name not in __all__:
        raise AttributeError(f"module 'liftgeo.figures' has no attribute '{name}'")
    from liftgeo.figures import (
        budget_bars,
        output,
        overlays,
        plan_page,
        spread_plots,
        spring_curve,
        stroke_curves,
        studies,
    )
    from liftgeo.figures import page as pages

    for home in (
        budget_bars,
        output,
        pages,
        overlays,
        plan_page,
        spread_plots,
        spring_curve,
        stroke_curves,
        studies,
    ):
        if hasattr(home, name):
            return getattr(home, name)
    raise AttributeError(name)
