"""The figures of one analysis by name; matplotlib is loaded when the first of them is drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, TypeAlias

from liftgeo import figures

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.bands import Bands
    from liftgeo.outcome.results import Result

Plot: TypeAlias = "Callable[[Result, Mechanism, Axes, str, Bands | None], Axes]"
"""Draws a result, with the mechanism it was computed from, on Axes in the units given, and behind
it where 90 in 100 clutches lie."""


def _effort(
    result: Result, mechanism: Mechanism, ax: Axes, units: str, bands: Bands | None
) -> Axes:
    from liftgeo.words.verdict import hand_force_target_n

    target_n = hand_force_target_n(mechanism)
    return figures.plot_effort(result, ax=ax, units=units, target_n=target_n, bands=bands)


FIGURES: Mapping[str, Plot] = {
    "effort": _effort,
    "lift": lambda r, _, ax, units, bands: figures.plot_lift(r, ax=ax, units=units, bands=bands),
    "advantage": lambda r, _, ax, units, __: figures.plot_advantage(r, ax=ax, units=units),
    "budget": lambda r, _, ax, units, bands: figures.plot_budget(
        r, ax=ax, units=units, bands=bands
    ),
    "spring": lambda r, m, ax, units, _: figures.plot_spring(m, r, ax=ax, units=units),
}
"""Every figure that can be had on its own."""
