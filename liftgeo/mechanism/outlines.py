"""What a key takes that draws a shape: a line of points, places, or outlines that close."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Any, TypeAlias

from pydantic_core import PydanticCustomError

from liftgeo.mechanism.fields import Checked, Number
from liftgeo.parts.plane import as_complex, first_crossing
from liftgeo.quantities import Measured

Corner: TypeAlias = tuple[float, ...]
Line: TypeAlias = tuple[Corner, ...]

MOST_POINTS, MOST_OUTLINES = 100, 30
"""More than a hand would read off a drawing."""

_COORDINATE = Number("length")
_FOR_A_LINE = "For example [[0, 0], [60, 15], [120, 20]]."


def _fault(problem: str, remedy: str) -> PydanticCustomError:
    return PydanticCustomError("list", "{problem}", {"problem": problem, "remedy": remedy})


def is_point(value: object) -> bool:
    """Return whether a list is one point, not a list of points."""
    return isinstance(value, list | tuple) and not any(isinstance(x, list | tuple) for x in value)


def _point(value: object, place: str) -> Corner:
    if not is_point(value) or not isinstance(value, list | tuple) or len(value) != 2:
        raise _fault(f"{place} is not a point.", f"A point is [x, y]. {_FOR_A_LINE}")
    numbers = tuple(_COORDINATE.check(each) for each in value)
    if any(isinstance(number, Measured) for number in numbers):
        raise _fault(
            f"{place} carries a ± or a range, which a shape cannot use.",
            "Leave it out here. What the shape may be out by can stand on the width, or on the "
            "grip's diameter.",
        )
    return numbers


def _line(value: object, least: int, what: str) -> Line:
    """Return a list of points, none of them at the place of the one before."""
    if not isinstance(value, list | tuple):
        raise _fault(f"This must be a list of points: {what}.", _FOR_A_LINE)
    if len(value) > MOST_POINTS:
        raise _fault(f"{len(value)} points are too many.", f"At most {MOST_POINTS}.")
    found = tuple(_point(each, f"Point {k + 1}") for k, each in enumerate(value))
    for k, (one, other) in enumerate(pairwise(found)):
        if one == other:
            raise _fault(f"Points {k + 1} and {k + 2} are the same.", "Take one of them out.")
    if len(found) < least:
        count = "1 point" if len(found) == 1 else f"{len(found)} points"
        raise _fault(f"{count} cannot be {what}.", f"It needs {least} at least. {_FOR_A_LINE}")
    return found


def _not_crossing(points: Line, *, closed: bool = False) -> None:
    met = first_crossing(as_complex(points), closed=closed)
    if met is not None:
        one, other = (f"from point {k + 1} to {(k + 1) % len(points) + 1}" for k in met)
        raise _fault(
            f"It crosses or touches itself: the piece {one} meets that {other}.",
            "Give the points in order, along the line or round the outline.",
        )


def _middle_line(value: object) -> Line:
    found = _line(value, 2, "the middle line of a shape")
    _not_crossing(found)
    return found


def _place(value: object) -> Line:
    found = (_point(value, "This"),) if is_point(value) and value else _line(value, 1, "a place")
    _not_crossing(found)
    return found


def _outline(value: object) -> Line:
    if isinstance(value, list | tuple) and len(value) > 1 and value[0] == value[-1]:
        value = value[:-1]  # written as closed
    found = _line(value, 3, "an outline")
    _not_crossing(found, closed=True)
    return found


def _outlines(value: object) -> tuple[Line, ...]:
    if not isinstance(value, list | tuple):
        raise _fault("This must be a list of outlines.", _FOR_OUTLINES)
    if not value:
        remedy = "Give the corners of one at least, or put # before the key to leave it out."
        raise _fault("It holds no outline.", f"{remedy} {_FOR_OUTLINES}")
    if isinstance(value[0], list | tuple) and is_point(value[0]):
        return (_outline(value),)
    if len(value) > MOST_OUTLINES:
        raise _fault(f"{len(value)} outlines are too many.", f"At most {MOST_OUTLINES}.")
    found = []
    for k, each in enumerate(value):
        try:
            found.append(_outline(each))
        except PydanticCustomError as error:
            context = error.context or {}
            problem = f"Outline {k + 1}: {context['problem']}"
            raise _fault(problem, str(context["remedy"])) from None
    return tuple(found)


_FOR_OUTLINES = "For example [[[40, 0], [60, 0], [60, 25]]]: outlines, of points [x, y]."


@dataclass(frozen=True, eq=False)
class Shape(Checked):
    """What a key takes that draws a shape: nested points of one kind of number."""

    read: Callable[[object], tuple[Any, ...]]
    schema: dict[str, Any]
    each: Number = _COORDINATE

    def check(self, value: Any) -> tuple[Any, ...]:
        """Return the points as tuples.

        Raises
        ------
        PydanticCustomError
            With what is wrong and what would be right.
        """
        return self.read(value)

    def json_schema(self) -> dict[str, Any]:
        """Return the JSON Schema of the points."""
        return {**self.schema, "items": {**self.schema["items"], "unit": "mm"}}


def points_of(value: Any) -> Iterator[tuple[str, Corner]]:
    """Yield the points of a shape as read, each with its name: "point 2", "outline 1, point 2"."""
    for k, each in enumerate(value):
        if is_point(each):
            yield f"point {k + 1}", each
        else:
            yield from ((f"outline {k + 1}, {name}", point) for name, point in points_of(each))


_POINT_SCHEMA: dict[str, Any] = {
    "type": "array",
    "items": _COORDINATE.json_schema(),
    "minItems": 2,
    "maxItems": 2,
}


def _many(items: dict[str, Any], least: int, most: int) -> dict[str, Any]:
    return {"type": "array", "items": items, "minItems": least, "maxItems": most}


_OUTLINE_SCHEMA = _many(_POINT_SCHEMA, 3, MOST_POINTS + 1)
_ANY_OUTLINES = {
    "type": "array",
    "items": {},
    "anyOf": [_many(_OUTLINE_SCHEMA, 1, MOST_OUTLINES), _OUTLINE_SCHEMA],
}
_ANY_PLACE = {
    "type": "array",
    "items": {},
    "anyOf": [_many(_POINT_SCHEMA, 1, MOST_POINTS), _POINT_SCHEMA],
}

MiddleLine: TypeAlias = Annotated[
    tuple[Any, ...], Shape(_middle_line, _many(_POINT_SCHEMA, 2, MOST_POINTS))
]
Place: TypeAlias = Annotated[tuple[Any, ...], Shape(_place, _ANY_PLACE)]
Outlines: TypeAlias = Annotated[tuple[Any, ...], Shape(_outlines, _ANY_OUTLINES)]
