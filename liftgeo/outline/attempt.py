"""What a file that cannot be analysed says of lever and arm, as far as it can be drawn.

A triangle that does not close is drawn as what it is: the circle on which the pin must lie about
the pivot, and the circle on which it must lie about the cable stop, which do not meet.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from liftgeo.errors import LiftgeoError, QuantityError
from liftgeo.mechanism.laying import flatten, lay
from liftgeo.mechanism.tables import TABLES
from liftgeo.outline.shapes import Points, Shape, View, circle, line, towards, xy
from liftgeo.quantities import read

PIN_KEYS = {"lever": "nipple_radius", "arm": "radius"}
_PIN_ANGLE_RAD = math.radians(75.0)  # where a pin is drawn of which only its radius is known


@dataclass(frozen=True)
class Attempt:
    """The three distances of lever or arm, as far as they can be read.

    Attributes
    ----------
    table : {"lever", "arm"}
    pin_mm, stop_mm, rest_mm : float
        Pivot to pin, pivot to stop, pin to stop [mm]; NaN where not given or not readable.
    """

    table: str
    pin_mm: float = math.nan
    stop_mm: float = math.nan
    rest_mm: float = math.nan

    @property
    def whole(self) -> bool:
        """Whether all three distances are known."""
        return not any(math.isnan(v) for v in (self.pin_mm, self.stop_mm, self.rest_mm))

    @property
    def apart_mm(self) -> float:
        """How far the two circles are from touching [mm]; 0 where they meet, NaN if not known."""
        if not self.whole:
            return math.nan
        too_short = abs(self.pin_mm - self.stop_mm) - self.rest_mm
        too_long = self.rest_mm - (self.pin_mm + self.stop_mm)
        return max(too_short, too_long, 0.0)

    @property
    def missed(self) -> tuple[Points, Points] | None:
        """The two points of the circles that lie nearest to each other; None where they meet.

        Both circles have their centres on x, so they come nearest there.
        """
        r, d, rest = self.pin_mm, self.stop_mm, self.rest_mm
        if not self.apart_mm > 0:
            return None
        if rest > r + d:
            return xy(d - rest, 0.0), xy(-r, 0.0)
        if r > d:
            return xy(d + rest, 0.0), xy(r, 0.0)
        return xy(r, 0.0), xy(d - rest, 0.0)

    @property
    def pin(self) -> Points | None:
        """Where the pin lies, on both circles [mm]; None where they do not meet."""
        if not self.whole or self.apart_mm > 0:
            return None
        r, d, rest = self.pin_mm, self.stop_mm, self.rest_mm
        across = (r**2 + d**2 - rest**2) / (2 * d)
        return xy(across, math.sqrt(max(r**2 - across**2, 0.0)))

    def view(self) -> View:
        """Return what can be drawn, with "pivot", "stop" and "pin" where they are known."""
        shapes: list[Shape] = []
        points: dict[str, Points] = {"pivot": xy(0.0, 0.0)}
        known = [v for v in (self.pin_mm, self.stop_mm, self.rest_mm) if not math.isnan(v)]
        reach = max(known, default=1.0)
        pin = self.pin
        if not math.isnan(self.stop_mm):
            points["stop"] = xy(self.stop_mm, 0.0)
            across = xy(0.0, 0.05 * reach)
            stop = points["stop"]
            shapes.append(line("casing end", "fixed", stop - across, stop + across))
        if not math.isnan(self.pin_mm):
            shapes.append(circle("reach of the pin", "symbol", (0, 0), self.pin_mm, assumed=True))
            points["pin"] = self.pin_mm * towards(_PIN_ANGLE_RAD) if pin is None else pin
            shapes.append(line("radius", "moving", points["pivot"], points["pin"]))
        if not math.isnan(self.rest_mm) and "stop" in points:
            stop = points["stop"]
            reached = circle("reach of the cable", "cable", stop, self.rest_mm, assumed=True)
            shapes.append(reached)
            end = stop + self.rest_mm * towards(np.pi - _PIN_ANGLE_RAD) if pin is None else pin
            points["end"] = end
            shapes.append(line("cable", "cable", end, stop))
        shapes.append(circle("pivot", "fixed", (0.0, 0.0), 0.03 * reach))
        return View(self.table, tuple(shapes), points)


def attempts(document: Mapping[str, Any], changes: Sequence[str] = ()) -> dict[str, Attempt]:
    """Return what a parsed geometry file says of lever and arm, whatever is wrong with it.

    Parameters
    ----------
    document : mapping
        Nested tables as TOML gives them.
    changes : sequence of str
        Names of its changes to lay over it; one that cannot be laid is passed over.
    """
    body = {k: v for k, v in document.items() if k in TABLES and isinstance(v, Mapping)}
    keys = flatten(body)
    listed = document.get("changes")
    for name in changes:
        change = listed.get(name) if isinstance(listed, Mapping) else None
        if isinstance(change, Mapping):
            laid = {k: v for k, v in flatten(change).items() if k.split(".")[0] in TABLES}
            try:
                keys = lay(keys, laid)
            except (LiftgeoError, KeyError, TypeError, ValueError):
                continue
    return {table: _attempt(keys, table) for table in ("lever", "arm")}


def _attempt(keys: Mapping[str, Any], table: str) -> Attempt:
    """Return the distances of one link, from keys or from points."""
    pivot, pin, stop = (_point(keys, f"{table}.points.{n}") for n in ("pivot", "pin", "stop"))
    if pivot is not None and pin is not None and stop is not None:
        distances = (math.dist(pivot, pin), math.dist(pivot, stop), math.dist(pin, stop))
        return Attempt(table, *distances)
    names = (PIN_KEYS[table], "stop_distance", "rest_length")
    r, d, rest = (_length(keys.get(f"{table}.{name}")) for name in names)
    offset = _length(keys.get(f"{table}.axial_offset"))
    if not math.isnan(offset) and rest > offset:
        rest = math.sqrt(rest**2 - offset**2)
    return Attempt(table, r, d, rest)


def _length(value: object) -> float:
    """Return a length above 0 [mm]; NaN for anything else."""
    if value is None or isinstance(value, bool):
        return math.nan
    try:
        found = float(read(value, "length"))
    except QuantityError:
        return math.nan
    return found if 0 < found < math.inf else math.nan


def _point(keys: Mapping[str, Any], dotted: str) -> tuple[float, float] | None:
    """Return a point [mm]; None where it cannot be read."""
    value = keys.get(dotted)
    if not isinstance(value, list | tuple) or len(value) != 2:
        return None
    try:
        x, y = (float(read(number, "length")) for number in value)
    except QuantityError:
        return None
    return (x, y) if math.isfinite(x) and math.isfinite(y) else None
