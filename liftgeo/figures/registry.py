"""The figures of one analysis by name; matplotlib is loaded when the first of them is drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, TypeAlias

from liftgeo import figures

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.results import Result

Plot: TypeAlias = "Callable[[Result, Mechanism, Axes, str], Axes]"
"""Draws a result, with the mechanism it was computed from, on Axes in the units given."""


def _effort(result: Result, mechanism: Mechanism, ax: Axes, units: str) -> Axes:
    from liftgeo.words.verdict import hand_force_target_n

    target_n = hand_force_target_n(mechanism)
    return figures.plot_effort(result, ax=ax, units=units, target_n=target_n)


FIGURES: Mapping[str, Plot] = {
    "effort": _effort,
    "lift": lambda result, _, ax, units: figures.plot_lift(result, ax=ax, units=units),
    "advantage": lambda result, _, ax, units: figures.plot_advantage(result, ax=ax, units=units),
    "budget": lambda result, _, ax, units: figures.plot_budget(result, ax=ax, units=units),
    "spring": lambda result, m, ax, units: figures.plot_spring(m, result, ax=ax, units=units),
}
"""Every figure that can be had on its own."""
