"""Marks on a photograph: their names, how they are read from a table, how well they were set."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from liftgeo.errors import RequestError, nearest
from liftgeo.files import AnyPath, as_text, read_bytes, shown
from liftgeo.outcome.csv_text import csv_text
from liftgeo.plain_text import one_line

SCALE_ENDS = ("scale_1", "scale_2")
CORNERS = ("corner_1", "corner_2", "corner_3", "corner_4")
PART_POINTS = {"lever": ("pivot", "pin", "stop", "hand"), "arm": ("pivot", "pin", "stop")}
"""What is marked on each part."""
NAMES = (*SCALE_ENDS, *CORNERS, "pivot", "pin", "stop", "hand")

ALONE_HALF_WIDTH_PX = 1.0
"""How far off a mark may be that nobody set twice, 19 times in 20; common practice, no source."""

_PIXEL_SD = 1.0 / np.sqrt(12.0)
"""Standard deviation of a place that is known to a whole pixel: a rectangle one pixel wide."""
_MOST_ROWS = 2_000
_ONE_PIXEL = 0.5
_COLUMNS = ("name", "x", "y")
_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d{1,3})?")


@dataclass(frozen=True, eq=False)
class Marks:
    """Points marked on a photograph, each once or several times.

    Attributes
    ----------
    places : dict of array of shape (n, 2)
        By name, every mark [pixels]: from the upper left corner of the upright picture, y down.
    """

    places: Mapping[str, NDArray[np.float64]]

    def __contains__(self, name: str) -> bool:
        return name in self.places

    def mean(self, name: str) -> NDArray[np.float64]:
        """Return the mean of a point's marks, of shape (2,) [pixels]."""
        found: NDArray[np.float64] = self.places[name].mean(axis=0)
        return found

    def count(self, name: str) -> int:
        """Return how often a point was marked."""
        return len(self.places[name])

    def spread(self) -> tuple[float, int]:
        """Return the standard deviation of one mark in x or y [pixels], and its degrees of freedom.

        Pooled over all points that were marked more than once, since one hand marked them; NaN and
        0 where none was.

        Source: JCGM 100, Guide to the expression of uncertainty in measurement, 4.2 and H.3.6, for
        pooling (from memory).
        """
        squares, freedom = 0.0, 0
        for each in self.places.values():
            squares += float(((each - each.mean(axis=0)) ** 2).sum())
            freedom += 2 * (len(each) - 1)
        return (float(np.sqrt(squares / freedom)), freedom) if freedom else (float("nan"), 0)

    def standard_uncertainty_px(self, name: str) -> float:
        """Return half of the 95 % half-width of a point's mean in x and in y [pixels].

        Notes
        -----
        Of marks set once: `ALONE_HALF_WIDTH_PX`. Else Student's t times the pooled deviation over
        the root of the number of marks, and the rounding to whole pixels beside it.

        Source: JCGM 100, 4.3.7 (rectangle), 5.1.2 (sum of squares), G.3 (Student's t); from memory.
        """
        deviation, freedom = self.spread()
        if not freedom:
            return ALONE_HALF_WIDTH_PX / 2.0
        from scipy.special import stdtrit

        half = float(stdtrit(freedom, 0.975)) * deviation / np.sqrt(self.count(name))
        return float(np.hypot(half / 2.0, _PIXEL_SD))

    def to_csv(self) -> str:
        """Return the marks as CSV text, with the columns name, x, y in pixels."""
        rows = [(name, float(x), float(y)) for name, each in self.places.items() for x, y in each]
        return csv_text(_COLUMNS, rows)


def as_marks(places: Mapping[str, ArrayLike], size_px: tuple[int, int] | None = None) -> Marks:
    """Return marks by name as such, once nothing is wrong with them.

    Parameters
    ----------
    places : mapping of array-like
        One [x, y] by name, or several of shape (n, 2) [pixels].
    size_px : (int, int), optional
        Width and height of the upright picture.

    Raises
    ------
    RequestError
        A name that is not known, no finite number, a mark outside the picture, two at one pixel.
    """
    found = {}
    for name, given in places.items():
        _check_name(name, "")
        try:
            each = np.asarray(given, float)
        except (TypeError, ValueError):
            each = np.empty(0)
        each = each[None, :] if each.shape == (2,) else each
        if each.ndim != 2 or each.shape[-1] != 2 or not len(each):
            raise RequestError(f"The mark {name} takes [x, y], or several of them.")
        if not np.isfinite(each).all():
            raise RequestError(f"The mark {name} is no finite number.")
        found[name] = each
    marks = Marks(found)
    if size_px is not None:
        _check_inside(marks, size_px)
    _check_apart(marks)
    return marks


def load_marks(path: AnyPath, size_px: tuple[int, int] | None = None) -> Marks:
    """Return the marks of a CSV file with the columns name, x, y in pixels.

    Parameters
    ----------
    path : path
    size_px : (int, int), optional
        Width and height of the upright picture.

    Raises
    ------
    FileError, RequestError
        The latter names the line.
    """
    what, kind = "table of marks", "a table of marks is a page of text"
    text = as_text(read_bytes(path, what=what, kind=kind), shown(path))
    return marks_of(text, shown(path), size_px)


def marks_of(text: str, source: str = "marks", size_px: tuple[int, int] | None = None) -> Marks:
    """Return the marks of a CSV text; semicolons, tabs and decimal commas are understood.

    Parameters
    ----------
    text, source : str
        The text, and the name shown in errors.
    size_px : (int, int), optional
        Width and height of the upright picture.

    Raises
    ------
    RequestError
    """
    rows = [(number, row) for number, row in _rows(text, source) if any(row)]
    if not rows:
        raise RequestError(f"{source} is empty. {_HOW}")
    number, head = rows[0]
    names = [cell.casefold() for cell in head]
    if not set(_COLUMNS) <= set(names):
        raise RequestError(
            f"{source}, line {number}: the first line names the columns name, x, y; here stands "
            f"{one_line(', '.join(head))}. {_HOW}"
        )
    columns = [names.index(column) for column in _COLUMNS]
    places: dict[str, list[list[float]]] = {}
    for number, row in rows[1:]:
        where = f"{source}, line {number}: "
        if len(row) != len(head):
            raise RequestError(
                f"{where}{len(row)} cells under {len(head)} columns. Where decimals follow a "
                "comma, part the cells by semicolons."
            )
        name, *cells = (row[column] for column in columns)
        name = re.sub(r"[\s-]+", "_", name.casefold())
        _check_name(name, where)
        place = [_number(cell, f"{where}{name} ") for cell in cells]
        places.setdefault(name, []).append(place)
    if not places:
        raise RequestError(f"{source} holds no marks. {_HOW}")
    try:
        return as_marks(places, size_px)
    except RequestError as error:
        raise RequestError(f"{source}: {error}") from None


_HOW = "A line each: name,x,y, as in pivot,812,640 (pixels; names: " + ", ".join(NAMES) + ")."


def _rows(text: str, source: str) -> list[tuple[int, list[str]]]:
    """Return the rows of a table with the number of the line of each, and their cells stripped."""
    text = text.removeprefix("\ufeff")
    first = next((line for line in text.splitlines() if line.strip()), "")
    mark = next((each for each in (";", "\t") if each in first), ",")
    try:
        reader = csv.reader(io.StringIO(text), delimiter=mark, strict=True)
        found = []
        for row in reader:
            cells = [cell.strip() for cell in row]
            if not (cells and cells[0].startswith("#")):
                found.append((reader.line_num, cells))
            if len(found) > _MOST_ROWS:
                raise RequestError(f"{source} has more than {_MOST_ROWS} lines of marks.")
    except csv.Error as error:
        raise RequestError(f"{source}, line {reader.line_num}: no table: {error}.") from None
    return found


def _number(cell: str, where: str) -> float:
    """Return a cell as a number of pixels."""
    plain = cell.replace(",", ".", 1).replace("−", "-")
    if not _NUMBER.fullmatch(plain):
        said = f"'{one_line(cell)}'" if cell else "nothing"
        raise RequestError(f"{where}has {said} where a number of pixels belongs.")
    return float(plain)


def _check_name(name: str, where: str) -> None:
    if name in NAMES:
        return
    near = nearest(name, NAMES)
    hint = f"Did you mean {near}?" if near else f"Names are {', '.join(NAMES)}."
    raise RequestError(f"{where}'{one_line(name)}' is not the name of a mark. {hint}")


def _check_inside(marks: Marks, size_px: tuple[int, int]) -> None:
    width, height = size_px
    for name, each in marks.places.items():
        for x, y in each:
            if not (-_ONE_PIXEL <= x <= width and -_ONE_PIXEL <= y <= height):
                raise RequestError(
                    f"The mark {name} at {x:g}, {y:g} lies outside the picture, which is {width} "
                    f"by {height} pixels when it is upright. Marks count from its upper left "
                    "corner, x to the right and y down."
                )


def _check_apart(marks: Marks) -> None:
    names = list(marks.places)
    for k, name in enumerate(names):
        for other in names[k + 1 :]:
            x, y = marks.mean(name)
            if np.hypot(*(marks.mean(other) - (x, y))) < _ONE_PIXEL:
                raise RequestError(
                    f"{name} and {other} are marked at one pixel ({x:g}, {y:g}): two different "
                    "points cannot be. Mark one of them again."
                )


def check_all_there(marks: Marks, wanted: Sequence[str], what: str) -> None:
    """Raise RequestError where points are not marked that something needs."""
    lacking = [name for name in wanted if name not in marks]
    if lacking:
        raise RequestError(f"Not marked: {', '.join(lacking)}. {what} needs {', '.join(wanted)}.")
