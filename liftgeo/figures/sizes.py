"""Sizes that a drawing shows: lengths, angles, and spots where something is measured."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from matplotlib.axes import Axes

from liftgeo.figures.dimension_lines import (
    Point,
    plot_arc_dimension,
    plot_dimension,
    plot_spot,
    text_width_mm,
)
from liftgeo.figures.drawing_paper import Box
from liftgeo.mechanism import Mechanism
from liftgeo.outline.shapes import Shape, View

_SPOT_MM = 3.0  # from what is drawn there to where a leader begins
_APART_MM = 2.0
_LEAST_MM, _LEAST_DEG = 0.25, 0.5
_PAST = 1.1
_LONG = 9  # letters


@dataclass(frozen=True)
class Length:
    """A distance to dimension: its key, its ends, and how far beside them [mm of paper].

    `part` is written around the number, as "π × {}"; `beyond_mm` of the part itself lie between
    the ends and the room beside it. Of a `half` section the start lies on the axis, and the number
    is the whole, across, and stands `past` the arrow if so said. Without a key it follows from
    others. An angle laid out along a line has
    its `number_deg`.
    """

    key: str
    start: Point
    end: Point
    offset_mm: float
    part: str = "{}"
    beyond_mm: float = 0.0
    half: bool = False
    number_deg: float | None = None
    past: bool = False

    @property
    def size(self) -> float:
        """What the number says [mm]; of an angle that is laid out along a line, that [deg]."""
        if self.number_deg is not None:
            return self.number_deg
        apart = float(np.hypot(*(np.asarray(self.end, float) - np.asarray(self.start, float))))
        return apart * (2.0 if self.half else 1 / np.pi if "π" in self.part else 1.0)


@dataclass(frozen=True)
class Angle:
    """An angle to dimension: its key, its centre, its radius [mm], and its two sides [rad].

    From the first side a thin line is drawn where `level` says that no edge lies there.
    """

    key: str
    centre: Point
    radius_mm: float
    sides_rad: tuple[float, float]
    level: bool = True

    @property
    def size(self) -> float:
        """What the number says [deg]."""
        first, last = self.sides_rad
        return float(np.degrees(abs(last - first)))


@dataclass(frozen=True)
class Spot:
    """A place that is measured and has no length to draw: its key, and a point on the part."""

    key: str
    point: Point


Size: TypeAlias = Length | Angle | Spot
Sized: TypeAlias = tuple[tuple[Shape, ...], list[Size]]
"""What is drawn beside a view, and the sizes of both."""
SizesOf: TypeAlias = Callable[[Mechanism, View, Box, bool], Sized]
"""Sizes of a part by its mechanism, its view at rest, what the drawing reaches, and whether it is
drawn to be measured (True), else through its stroke."""


@dataclass(frozen=True)
class Said:
    """What is written at a size, and whether the file gives it; its lines are dashed if not."""

    text: str
    given: bool = True


def plot_sizes(
    sizes: Sequence[Size], said: Mapping[str, Said], *, ax: Axes, per_mm: float, box: Box
) -> None:
    """Draw those sizes that something is said of.

    Parameters
    ----------
    sizes : sequence
    said : mapping of str to Said
        By key; of a size without a key, by "".
    ax : Axes
    per_mm : float
        Units of the Axes that make 1 mm on paper.
    box : Box
        What is drawn there: leaders to spots begin above it.
    """
    sizes = [_or_spot(size, per_mm) for size in sizes]
    for size in sizes:
        found = said.get(size.key)
        if found is None or isinstance(size, Spot):
            continue
        if isinstance(size, Length):
            beside = size.offset_mm + np.copysign(size.beyond_mm / per_mm, size.offset_mm)
            text = across_text(found.text) if size.half else size.part.format(found.text)
            plot_dimension(
                size.start,
                size.end,
                text,
                ax=ax,
                offset_mm=float(beside),
                per_mm=per_mm,
                text_at=_PAST if size.past else 0.5,
                half=size.half,
                dashed=not found.given,
            )
        else:
            plot_arc_dimension(
                size.centre,
                size.radius_mm,
                size.sides_rad,
                found.text,
                ax=ax,
                per_mm=per_mm,
                level=size.level,
            )
    _plot_spots([s for s in sizes if isinstance(s, Spot) and s.key in said], said, ax, per_mm, box)


def across_text(text: str) -> str:
    """Return the number of a size across, its ± below it where it would be long."""
    return f"⌀ {text}" if len(text) < _LONG else f"⌀ {text}".replace(" ±", "\n±")


def _or_spot(size: Size, per_mm: float) -> Size:
    """Return a spot in place of what is too small to draw a line along."""
    if isinstance(size, Length):
        apart = np.hypot(*(np.asarray(size.end, float) - np.asarray(size.start, float)))
        return size if apart >= _LEAST_MM * per_mm else Spot(size.key, size.start)
    if isinstance(size, Angle) and size.size < _LEAST_DEG:
        first = size.sides_rad[0]
        way = np.array([np.cos(first), np.sin(first)])
        return Spot(size.key, np.asarray(size.centre, float) + size.radius_mm * way)
    return size


def _plot_spots(
    spots: Sequence[Spot], said: Mapping[str, Said], ax: Axes, per_mm: float, box: Box
) -> None:
    """Draw leaders to spots, their letters in one row above all, none over another."""
    together: dict[tuple[float, ...], list[str]] = {}
    for spot in spots:
        place = tuple(float(v) for v in np.asarray(spot.point, float))
        together.setdefault(place, []).append(said[spot.key].text)
    found = sorted((place, ", ".join(texts)) for place, texts in together.items())
    if not found:
        return
    wide = [(text_width_mm(text) + _APART_MM) * per_mm for _, text in found]
    at = np.array([place[0] for place, _ in found])
    need = np.array([(a + b) / 2 for a, b in pairwise(wide)])
    least = np.concatenate([[0.0], np.cumsum(need)])
    # The nearest places in order and that far apart, to the right of the first, then in the mean.
    spread = np.maximum.accumulate(at - least) + least
    spread -= float(np.mean(spread - at))
    level = box.top + _SPOT_MM * per_mm
    for (place, text), x in zip(found, spread, strict=True):
        plot_spot((float(x), level), place, text, ax=ax, per_mm=per_mm)


def keys_of_sizes(sizes: Sequence[Size]) -> tuple[str, ...]:
    """Return the keys of sizes that have one."""
    return tuple(dict.fromkeys(size.key for size in sizes if size.key))
