"""Lever or arm read off a photograph: points in millimetres, each with its ±."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from liftgeo.errors import QuantityError, RequestError
from liftgeo.outcome.csv_text import csv_text
from liftgeo.outcome.html_table import html_table
from liftgeo.quantities import Measured, read
from liftgeo.studies.marks import (
    CORNERS,
    PART_POINTS,
    SCALE_ENDS,
    Marks,
    as_marks,
    check_all_there,
)
from liftgeo.studies.pixels import PixelMap, Points, by_length, by_rectangle
from liftgeo.version import __version__

Array: TypeAlias = NDArray[np.float64]

_STEP_PX, _STEP_SHARE = 1e-3, 1e-6
"""Steps of the differences by which a ± is carried on: of a mark, and of a known size."""

_DISTANCES = {
    "lever": {
        "nipple_radius": ("pivot", "pin"),
        "stop_distance": ("pivot", "stop"),
        "rest_length": ("pin", "stop"),
        "hand_radius": ("pivot", "hand"),
    },
    "arm": {
        "radius": ("pivot", "pin"),
        "stop_distance": ("pivot", "stop"),
        "rest_length": ("pin", "stop"),
    },
}
"""What a calliper would measure between two points."""


@dataclass(frozen=True, eq=False, repr=False)
class Traced:
    """Points of a lever or an arm, read off a photograph.

    Attributes
    ----------
    part : {"lever", "arm"}
    by : {"length", "rectangle"}
        What the size was known by.
    points_mm : dict of (x, y)
        By name [mm]; the pivot's mark is the origin, x to the right and y upwards as in the picture
        (by a rectangle: along its edges).
    plus_minus_mm : dict of float
        95 % half-width of each point in any direction [mm], by name: from marks and known size.
    distances_mm : dict of Measured
        What a calliper would measure, by key, with its ± [mm].
    scale_mm_per_px : float
        Size of a pixel at the pivot [mm].
    mapping : PixelMap
        From pixels of the upright picture to these millimetres, and back.
    marks : Marks
        What was marked.
    size_mm : tuple of float
        The known length, or width and height [mm].
    """

    part: str
    by: str
    points_mm: dict[str, tuple[float, float]]
    plus_minus_mm: dict[str, float]
    distances_mm: dict[str, Measured]
    scale_mm_per_px: float
    mapping: PixelMap
    marks: Marks
    size_mm: tuple[float, ...]

    @property
    def largest_plus_minus_mm(self) -> float:
        """The widest ± of the points [mm]."""
        return max(self.plus_minus_mm.values())

    @property
    def reach_mm(self) -> float:
        """The longest of the part's distances [mm]."""
        return max(map(float, self.distances_mm.values()))

    def keys(self) -> dict[str, list[str]]:
        """Return the points as a geometry file takes them: texts with ±, by dotted key."""
        found = {}
        for name, place in self.points_mm.items():
            half = self.plus_minus_mm[name]
            digits = min(max(2, 1 - math.floor(math.log10(half))), 9) if half > 0 else 6
            texts = [f"{value:.{digits}f}" for value in place]
            plain = [text if text.strip("-0.") else text.lstrip("-") for text in texts]
            found[f"{self.part}.points.{name}"] = [f"{t} ± {half:.{digits}f} mm" for t in plain]
        return found

    def to_dict(self) -> dict[str, Any]:
        """Return the shape of the JSON."""
        return {
            "part": self.part,
            "points": {name: list(place) for name, place in self.points_mm.items()},
            "plus_minus_mm": self.largest_plus_minus_mm,
            "scale_mm_per_px": self.scale_mm_per_px,
            "point_plus_minus_mm": dict(self.plus_minus_mm),
            "distances": [
                {"key": f"{self.part}.{key}", "value_mm": float(each)}
                | {"plus_minus_mm": each.half_width}
                for key, each in self.distances_mm.items()
            ],
            "by": self.by,
            "size_mm": list(self.size_mm),
            "marks": [
                {"name": name, "x_px": x, "y_px": y, "count": self.marks.count(name)}
                for name in self.marks.places
                for x, y in [self.marks.mean(name).tolist()]
            ],
            "version": __version__,
        }

    def to_csv(self) -> str:
        """Return the points as CSV text: name, x_mm, y_mm, plus_minus_mm."""
        rows = [(name, *place, self.plus_minus_mm[name]) for name, place in self.points_mm.items()]
        return csv_text(("name", "x_mm", "y_mm", "plus_minus_mm"), rows)

    def _repr_html_(self) -> str:
        rows = [(name, *place, self.plus_minus_mm[name]) for name, place in self.points_mm.items()]
        return html_table(f"{self.part}, by a photograph", rows, ("", "x mm", "y mm", "± mm"))


def trace(
    marks: Marks | Mapping[str, ArrayLike],
    part: str,
    *,
    length: float | str | None = None,
    rectangle: str | tuple[float | str, float | str] | None = None,
    size_px: tuple[int, int] | None = None,
) -> Traced:
    """Return the points of a lever or an arm in millimetres, from marks on a photograph.

    Parameters
    ----------
    marks : Marks or mapping
        By name, [x, y] or several of shape (n, 2) [pixels], from the upper left corner of the
        upright picture, y down: scale_1 and scale_2, or corner_1 to corner_4; pivot, pin, stop,
        and for a lever hand.
    part : {"lever", "arm"}
    length : float or str, optional
        From scale_1 to scale_2, a number [mm] or a text with unit and ±.
    rectangle : str or (width, height), optional
        "W,H", or both as numbers [mm] or texts: from corner_1 to corner_2, and on to corner_3.
        Corrects a tilted camera.
    size_px : (int, int), optional
        Width and height of the upright picture: marks outside it are then refused.

    Raises
    ------
    RequestError
        Marks that are missing, not known, outside the picture or at one pixel; corners that cross;
        no known size, or two.

    Notes
    -----
    Every ± is carried on by the map's own slopes, marks and sizes taken as independent: a
    point's variance is the largest of any direction. The error of the scale, which all points
    share, stands in each. What lies nearer or farther than the known size is not in the ±:
    `out_of_plane_share`.
    """
    if part not in PART_POINTS:
        raise RequestError(f"The part {part} is not known. Choose {' or '.join(PART_POINTS)}.")
    sizes = known_size(length, rectangle)
    found = marks if isinstance(marks, Marks) else as_marks(marks, size_px)
    known = SCALE_ENDS if rectangle is None else CORNERS
    option = "--length" if rectangle is None else "--rectangle"
    check_all_there(found, known, option)
    check_all_there(found, PART_POINTS[part], f"--part {part}")
    return _Reading(found, part, known, sizes).traced()


def known_size(
    length: float | str | None, rectangle: str | tuple[float | str, float | str] | None
) -> tuple[float, ...]:
    """Return the known length, or width and height [mm]; `Measured` where a ± is given.

    Raises
    ------
    RequestError
        None is given or both, or what is given is no length.
    """
    if (length is None) == (rectangle is None):
        both = "not both" if length is not None else "as in --length 100mm"
        raise RequestError(
            f"Give the known size: --length of a rule, or --rectangle W,H of a card; {both}."
        )
    if length is not None:
        return (_size(length, "--length"),)
    sides = _sides(rectangle) if isinstance(rectangle, str) else tuple(rectangle or ())
    if len(sides) != 2:
        raise RequestError(
            f"--rectangle {rectangle}: it takes width and height, as in --rectangle 85.6,53.98 or "
            '--rectangle "210 mm, 297 mm"; decimals follow a point.'
        )
    return tuple(_size(side, "--rectangle") for side in sides)


def _sides(text: str) -> tuple[str, ...]:
    """Return the two sides of "W,H"; a unit behind the last holds for both."""
    sides = [side.strip() for side in re.split(r"[,;×]", text)]
    unit = re.search(r"[^\W\d_]+$", sides[-1])
    if unit and sides[0][-1:].isdigit():
        sides[0] = f"{sides[0]} {unit[0]}"
    return tuple(sides)


def _size(given: float | str, option: str) -> float:
    try:
        value = read(given, "length")
    except QuantityError as error:
        raise RequestError(f"{option} {given}: {error}") from None
    if not 1e-3 <= value <= 1e6:
        raise RequestError(f"{option} {given}: a length above 0, from 0.001 mm to 1 km.")
    if isinstance(value, Measured) and value.half_width >= value:
        raise RequestError(f"{option} {given}: its ± is as wide as the length itself.")
    return value


class _Reading:
    """One reading: the marks and known sizes as one list of numbers, and what follows of them."""

    def __init__(
        self, marks: Marks, part: str, known: tuple[str, ...], sizes: tuple[float, ...]
    ) -> None:
        self.marks, self.part, self.known, self.sizes = marks, part, known, sizes
        self.names = PART_POINTS[part]
        used = (*known, *self.names)
        self.at = {name: slice(2 * k, 2 * k + 2) for k, name in enumerate(used)}
        self.places = np.concatenate([*(marks.mean(n) for n in used), [float(s) for s in sizes]])
        marked = [marks.standard_uncertainty_px(name) for name in used for _ in "xy"]
        self.uncertainties = np.array([*marked, *map(_standard, sizes)])
        self.origin_px = marks.mean("pivot")
        self.mapping = self.map_of(self.places)
        self.check_in_sight()
        self.nominal = self.mapping.to_mm(self.points_px(self.places))

    def map_of(self, places: Array) -> PixelMap:
        """Return the map by the marks and sizes of a list of numbers, the pivot its origin."""
        fixed = np.array([places[self.at[name]] for name in self.known])
        sizes = places[-len(self.sizes) :]
        make = by_length if len(self.sizes) == 1 else by_rectangle
        return make(fixed, *sizes).about(self.origin_px)

    def points_px(self, places: Array) -> Points:
        """Return the part's points of a list of numbers [pixels]."""
        return np.array([places[self.at[name]] for name in self.names])

    def check_in_sight(self) -> None:
        """Raise RequestError where a point lies past the horizon of the rectangle's plane."""
        everything = [self.marks.mean(name) for name in (*self.known, *self.names)]
        depths = self.mapping.depth(np.array(everything))
        if not (np.all(depths > 0) or np.all(depths < 0)):
            raise RequestError(
                "A mark lies past the horizon of the rectangle's plane, where no point of the part "
                "can be. Mark the corners again, or take the photograph squarer to the part."
            )

    def points_mm(self, places: Array) -> Points:
        """Return the part's points [mm], turned so that they lie best on those of the reading.

        A turn of all of them together is nobody's error: it moves no distance.
        """
        found = self.map_of(places).to_mm(self.points_px(places))
        if len(self.sizes) == 1:
            return found
        (a, b), (c, d) = found.T, self.nominal.T
        angle = math.atan2(float((a * d - b * c).sum()), float((a * c + b * d).sum()))
        cosine, sine = math.cos(angle), math.sin(angle)
        turned: Points = found @ np.array([[cosine, sine], [-sine, cosine]])
        return turned

    def rates(self) -> Array:
        """Return how each number of the list moves the points, by central differences.

        Returns
        -------
        array of shape (points, 2, numbers)
        """
        steps = np.full(len(self.places), _STEP_PX)
        steps[-len(self.sizes) :] = _STEP_SHARE * self.places[-len(self.sizes) :]
        return np.stack(
            [
                (self.points_mm(self.places + move) - self.points_mm(self.places - move))
                / (2 * step)
                for move, step in zip(np.diag(steps), steps, strict=True)
            ],
            axis=-1,
        )

    def distances(self, spread: Array) -> dict[str, Measured]:
        """Return what a calliper would measure [mm], by the points' spread of shape (k, 2, n)."""
        found = {}
        for key, ends in _DISTANCES[self.part].items():
            first, last = (self.names.index(name) for name in ends)
            way = self.nominal[last] - self.nominal[first]
            length = float(np.hypot(*way))
            moves = (way / length) @ (spread[last] - spread[first])
            found[key] = Measured(length, 2.0 * float(np.hypot.reduce(moves)))
        return found

    def traced(self) -> Traced:
        """Return the points, and what is known of them."""
        spread = self.rates() * self.uncertainties
        variance = np.linalg.eigvalsh(spread @ np.swapaxes(spread, -1, -2))[:, -1]
        widths = 2.0 * np.sqrt(np.maximum(variance, 0.0))
        return Traced(
            part=self.part,
            by="length" if len(self.sizes) == 1 else "rectangle",
            points_mm={n: (x, y) for n, (x, y) in zip(self.names, self.tidy(), strict=True)},
            plus_minus_mm=dict(zip(self.names, widths.tolist(), strict=True)),
            distances_mm=self.distances(spread),
            scale_mm_per_px=self.mapping.scale_mm_per_px(self.origin_px),
            mapping=self.mapping,
            marks=self.marks,
            size_mm=tuple(map(float, self.sizes)),
        )

    def tidy(self) -> list[list[float]]:
        """Return the points as lists, the pivot at 0 exactly."""
        places = self.nominal.copy()
        places[self.names.index("pivot")] = 0.0
        return [[float(x), float(y)] for x, y in places + 0.0]


def _standard(size: float) -> float:
    return size.standard_uncertainty if isinstance(size, Measured) else 0.0


def out_of_plane_share(off_mm: float, distance_mm: float) -> float:
    """Return by what share lengths come out too small for a rule that lies nearer than the part.

    Parameters
    ----------
    off_mm : float
        How much nearer to the camera the rule lies; negative: farther [mm].
    distance_mm : float
        From the camera's lens to the part [mm].

    Notes
    -----
    A camera at Z shows a length in proportion to 1/Z. A rule nearer by ΔZ looks larger by
    Z/(Z - ΔZ), so that a pixel counts for too little: lengths come out short by ΔZ/Z, exactly.

    Source: M. A. Sutton and others, Optics and Lasers in Engineering 46 (2008) 746, abstract
    (read): false strain ΔZ/Z.
    """
    return off_mm / distance_mm


def tilt_shares(tilt_deg: float, span_mm: float, distance_mm: float) -> tuple[float, float]:
    """Return the two errors of a tilted camera, as shares of a length.

    Parameters
    ----------
    tilt_deg : float
        Between the camera's axis and the square onto the part [deg].
    span_mm : float
        From the rule to what is measured, along the tilt [mm].
    distance_mm : float
        From the camera's lens to the rule [mm].

    Returns
    -------
    foreshortened, perspective : float
        By how much a length along the tilt comes out short against one across it, 1 - cos; and by
        how much the scale has changed a span away, span·sin/distance.

    Notes
    -----
    Derived from the pinhole camera: a point u along the tilt stands at depth Z + u sin τ.
    """
    tilt = math.radians(tilt_deg)
    return 1.0 - math.cos(tilt), span_mm * math.sin(tilt) / distance_mm
