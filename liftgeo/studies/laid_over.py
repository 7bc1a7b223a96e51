"""A drawing laid over a photograph: where each point of a file stands from its mark."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from liftgeo.errors import RequestError
from liftgeo.outline.shapes import View
from liftgeo.studies.drawn import Drawn, DrawnPosition
from liftgeo.studies.marks import CORNERS, SCALE_ENDS, Marks, check_all_there
from liftgeo.studies.pixels import PixelMap, Points, by_length, by_rectangle
from liftgeo.studies.trace import known_size


@dataclass(frozen=True, eq=False, repr=False)
class LaidOver:
    """Lever or arm of a drawing, brought onto its photograph.

    Attributes
    ----------
    part : {"lever", "arm"}
    by : {"length", "rectangle", "fit"}
        What gives the size: a known one, or what fits the marks best; then only the proportions
        are compared.
    mapping : PixelMap
        From pixels of the upright picture to millimetres of the frame that the drawing has.
    offsets_mm : dict of float
        How far each point of the drawing at rest stands from its mark [mm], by name; the pivot
        stands on its own.
    marks : Marks
    drawn : Drawn
    """

    part: str
    by: str
    mapping: PixelMap
    offsets_mm: dict[str, float]
    marks: Marks
    drawn: Drawn

    @property
    def worst(self) -> tuple[str, float]:
        """The point farthest from its mark, and how far [mm]."""
        name = max(self.offsets_mm, key=lambda each: self.offsets_mm[each])
        return name, self.offsets_mm[name]

    def view(self, position: DrawnPosition) -> View:
        """Return the shapes of the part at a position, in millimetres of its frame."""
        return self.drawn.views(position)[self.part]

    def to_dict(self) -> dict[str, Any]:
        """Return the shape of the JSON."""
        return {
            "part": self.part,
            "by": self.by,
            "offsets_mm": dict(self.offsets_mm),
            "scale_mm_per_px": self.mapping.scale_mm_per_px(self.marks.mean("pivot")),
        }


def laid_over(
    drawn: Drawn,
    marks: Marks,
    part: str | None = None,
    *,
    length: float | str | None = None,
    rectangle: str | tuple[float | str, float | str] | None = None,
) -> LaidOver:
    """Return a drawing laid over the photograph on which these marks were set.

    Parameters
    ----------
    drawn : Drawn
        From `liftgeo.drawn`.
    marks : Marks
        From `liftgeo.load_marks`: pivot, and pin, stop or hand; scale ends or corners for a size.
    part : {"lever", "arm"}, optional
        What the photograph shows; left out: a lever where a hand is marked, else the arm.
    length, rectangle : optional
        The known size, as `liftgeo.trace` takes it. Left out, the size that fits best.

    Raises
    ------
    RequestError
        Marks that are missing, a part without such points.

    Notes
    -----
    The drawn pivot lies on its mark; the drawing is turned about it, and mirrored where the
    photograph was taken from the other side, so that the squares of what is left to the other
    marks add up to least. In complex numbers the turn is that of the sum of target times conjugate
    mark (derived).
    """
    part = part or ("lever" if "hand" in marks else "arm")
    if part not in ("lever", "arm"):
        raise RequestError(f"The part {part} is not known. Choose lever or arm.")
    link = getattr(drawn.outline.as_drawn(), part)
    points = {
        name: place
        for name in ("pivot", "pin", "stop", "hand")
        if (place := getattr(link, name)) is not None
    }
    others = [name for name in points if name in marks and name != "pivot"]
    sized = length is not None or rectangle is not None
    check_all_there(marks, ("pivot",), "a drawing over a photograph")
    if len(others) < (1 if sized else 2):
        wanted = ", ".join(name for name in points if name != "pivot") or "no point of it"
        raise RequestError(
            f"Too few marks to lay the {part} over: besides the pivot the file places {wanted}; "
            f"mark {'one' if sized else 'two'} of them or more."
        )
    plain, by = _photograph(marks, length, rectangle)
    origin = marks.mean("pivot")
    at = plain.about(origin).to_mm(np.array([marks.mean(name) for name in others]))
    target = np.array([points[name] - points["pivot"] for name in others])
    best = min((_fitted(at, target, mirrored, sized) for mirrored in (False, True)), key=_left)
    mapping = plain.about(origin).then(_placed(best[0], points["pivot"]))
    offsets = {
        name: float(np.hypot(*(mapping.to_mm(marks.mean(name)) - points[name])))
        for name in ("pivot", *others)
    }
    offsets["pivot"] = 0.0
    return LaidOver(part, by, mapping, offsets, marks, drawn)


def _photograph(
    marks: Marks,
    length: float | str | None,
    rectangle: str | tuple[float | str, float | str] | None,
) -> tuple[PixelMap, str]:
    """Return the photograph's own map, and what gives its size."""
    if length is None and rectangle is None:
        return PixelMap(np.diag([1.0, -1.0, 1.0])), "fit"
    sizes = known_size(length, rectangle)
    names = SCALE_ENDS if len(sizes) == 1 else CORNERS
    check_all_there(marks, names, "--length" if len(sizes) == 1 else "--rectangle")
    places = np.array([marks.mean(name) for name in names])
    if len(sizes) == 1:
        return by_length(places, float(sizes[0])), "length"
    return by_rectangle(places, float(sizes[0]), float(sizes[1])), "rectangle"


def _fitted(
    at: Points, target: Points, mirrored: bool, sized: bool
) -> tuple[np.ndarray[Any, np.dtype[np.float64]], float]:
    """Return the matrix that turns marks onto points best, and the squares it leaves."""
    z, w = at[:, 0] + 1j * at[:, 1], target[:, 0] + 1j * target[:, 1]
    z = z.conj() if mirrored else z
    turn = complex((w * z.conj()).sum())
    size = abs(turn) if sized else float((abs(z) ** 2).sum())
    turn = turn / max(size, 1e-12)
    left = float((abs(w - turn * z) ** 2).sum())
    flip = -1.0 if mirrored else 1.0
    matrix = np.array([[turn.real, -flip * turn.imag], [turn.imag, flip * turn.real]])
    return matrix, left


def _left(fitted: tuple[object, float]) -> float:
    return fitted[1]


def _placed(
    matrix: np.ndarray[Any, np.dtype[np.float64]], pivot: Points
) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Return a turn with the pivot's place behind it, as a matrix of three rows."""
    whole = np.eye(3)
    whole[:2, :2] = matrix
    whole[:2, 2] = pivot
    return whole
