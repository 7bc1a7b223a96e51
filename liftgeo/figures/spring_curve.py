"""The clamping spring: load against deflection, and where this clutch stands on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes

from liftgeo.chain import Parts
from liftgeo.figures import style
from liftgeo.figures.labels import notes_on
from liftgeo.figures.style import axes_for, axis_label, force, length, styled, titled
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.results import Result
from liftgeo.parts.spring import ConedDisc, MeasuredSpring, Spring
from liftgeo.parts.values import Values
from liftgeo.words.names import END_WORDS
from liftgeo.words.numbers import force_text


@dataclass(frozen=True)
class Landmark:
    """A named point of the spring's curve, and how it is marked."""

    name: str
    deflection_mm: float
    marker: str
    filled: bool


def landmarks(parts: Parts, result: Result) -> list[Landmark]:
    """Return the points worth marking: installed, full lever, peak, valley, and the end."""
    spring = parts.spring
    installed = float(parts.installed_deflection_mm)
    found = [
        Landmark("installed", installed, "o", True),
        Landmark("full lever", installed + result.full_lever.plate_lift_mm, "s", True),
    ]
    peak, valley = turning_points_mm(parts)
    last = float(spring.last_deflection_mm)
    found += [Landmark("peak", x, "^", False) for x in peak if x < last]
    found += [Landmark("valley", x, "v", False) for x in valley if x < last]
    if isinstance(spring, ConedDisc):
        found.append(Landmark("flat", float(spring.flat_deflection_mm), "X", False))
    elif np.isfinite(float(spring.known_end_mm)):
        name = END_WORDS[spring.end_name]
        found.append(Landmark(name, float(spring.known_end_mm), "X", False))
    return found


def turning_points_mm(parts: Parts) -> tuple[list[float], list[float]]:
    """Return the deflections at which the load peaks, and at which it is least in between [mm]."""
    spring = parts.spring
    if isinstance(spring, ConedDisc):
        peak, valley = (float(x) for x in spring.turning_deflections_mm)
        return [x for x in (peak,) if np.isfinite(x)], [x for x in (valley,) if np.isfinite(x)]
    if isinstance(spring, MeasuredSpring):  # its pieces are monotone: it turns at readings only
        x, y = spring.curve.x, spring.curve.y
        rises = np.sign(np.diff(y))
        turns = [(k + 1, rises[k]) for k in range(len(rises) - 1) if rises[k] * rises[k + 1] < 0]
        return (
            [float(x[k]) for k, way in turns if way > 0],
            [float(x[k]) for k, way in turns if way < 0],
        )
    return [], []


@styled
def plot_spring(
    mechanism: Mechanism | Parts, result: Result, *, ax: Axes | None = None, units: str = "metric"
) -> Axes:
    """Draw the spring's load against its deflection, with the clutch's place on it.

    Parameters
    ----------
    mechanism : Mechanism or Parts
        What the result was computed from.
    result : Result
        From `liftgeo.stroke`.
    ax : Axes, optional
        Where to draw; without it on a new figure.
    units : {"metric", "inch"}
        Units of the axes and labels.

    Returns
    -------
    Axes
    """
    parts = mechanism.parts() if isinstance(mechanism, Mechanism) else mechanism
    spring, ax = parts.spring, axes_for(ax)
    marks = landmarks(parts, result)
    installed, full = marks[0].deflection_mm, marks[1].deflection_mm
    end = float(spring.last_deflection_mm)
    if not np.isfinite(float(spring.known_end_mm)):  # nothing ends there: show what is used
        end = min(end, 1.2 * max(mark.deflection_mm for mark in marks))

    def load(deflection_mm: Values) -> Values:
        return force(spring.load_n(deflection_mm), units)

    across = np.linspace(0.0, end, 241)
    used = np.linspace(installed, full, 60)
    ax.plot(length(across, units), load(across), label="spring", **style.PULLING)
    ax.plot(
        length(used, units), load(used), label="stroke", color=style.RUST, linewidth=4.5, alpha=0.55
    )
    if isinstance(spring, MeasuredSpring):
        ax.plot(
            length(spring.curve.x, units),
            force(spring.curve.y, units),
            marker="+",
            color=style.INK,
            markersize=6.0,
            ls="None",
            label="readings",
        )
    highest = max(float(np.max(spring.load_n(across))), 1.0)
    lowest = min(float(np.min(spring.load_n(across))), 0.0)
    room = 0.1 * (highest - lowest)
    ax.set_ylim(force(lowest - room * (lowest < 0), units), force(1.26 * highest, units))
    ax.set_xlim(0.0, length(1.04 * end, units))
    if lowest < 0:
        ax.axhline(0.0, **style.ZERO)
    _mark(ax, spring, marks, units)
    deflection = axis_label("deflection from free", "length", units)
    titled(ax, _title(parts, installed), deflection, axis_label("load", "force", units))
    return ax


def _mark(ax: Axes, spring: Spring, marks: list[Landmark], units: str) -> None:
    """Mark and name the points, those of the spring itself first."""
    for mark in sorted(marks, key=lambda mark: mark.filled):
        x, load_n = length(mark.deflection_mm, units), float(spring.load_n(mark.deflection_mm))
        ax.plot(
            [x],
            [force(load_n, units)],
            marker=mark.marker,
            color=style.INK,
            ls="None",
            markerfacecolor=style.INK if mark.filled else "white",
            markersize=7.0,
        )
        sides = ("se", "s", "sw", "e") if mark.filled else ("n", "ne", "nw", "s")
        notes_on(ax).add(
            f"{mark.name}\n{force_text(load_n, units)}", x, force(load_n, units), sides
        )


def _title(parts: Parts, installed_mm: float) -> str:
    """Return on which side of its peak the spring sits, where it has one."""
    peaks, valleys = turning_points_mm(parts)
    if not peaks or not float(parts.spring.last_deflection_mm) > peaks[0]:
        return "Spring"
    if installed_mm < peaks[0]:
        return "Spring: before its peak"
    if valleys and installed_mm > valleys[0]:
        return "Spring: past its valley"
    return "Spring: past its peak"
