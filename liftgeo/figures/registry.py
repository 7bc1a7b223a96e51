"""The figures of one analysis by name; matplotlib is loaded when the first of them is drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.results import Result

Plot: TypeAlias = "Callable[[Result, Mechanism, Axes, str], Axes]"
"""Draws a result, with the mechanism it was computed from, on Axes in units."""


def _effort(result: Result, mechanism: Mechanism, ax: Axes, units: str) -> Axes:
    from liftgeo.figures.stroke_curves import plot_effort
    from liftgeo.words.verdict import hand_force_target_n

    return plot_effort(result, ax=ax, units=units, target_n=hand_force_target_n(mechanism))


def _lift(result: Result, mechanism: Mechanism, ax: Axes, units: str) -> Axes:
    from liftgeo.figures.stroke_curves import plot_lift

    return plot_lift(result, ax=ax, units=units)


def _advantage(result: Result, mechanism: Mechanism, ax: Axes, units: str) -> Axes:
    from liftgeo.figures.stroke_curves import plot_advantage

    return plot_advantage(result, ax=ax, units=units)


def _budget(result: Result, mechanism: Mechanism, ax: Axes, units: str) -> Axes:
    from liftgeo.figures.budget_bars import plot_budget

    return plot_budget(result, ax=ax, units=units)


def _spring(result: Result, mechanism: Mechanism, ax: Axes, units: str) -> Axes:
    from liftgeo.figures.spring_curve import plot_spring

    return plot_spring(mechanism, result, ax=ax, units=units)


FIGURES: Mapping[str, Plot] = {
    "effort": _effort,
    "lift": _lift,
    "advantage": _advantage,
    "budget": _budget,
    "spring": _spring,
}
"""Every figure that can be had on its own."""
