"""Shapes carried from the frame of a file's points to the link's own frame, and back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from liftgeo.errors import QuantityError
from liftgeo.quantities import read

SHAPES_OF = {
    "lever": ("lever.outline.points", "grip.place"),
    "arm": ("arm.outline.points", "casing.outlines"),
}
"""The keys that draw something in the frame of a lever or an arm."""

_Turn = Callable[[complex], complex]


def carried(
    laid: dict[str, Any], before: Mapping[str, Any], change: Mapping[str, Any], table: str
) -> None:
    """Carry the shapes of a file over where a change gives or takes away the link's points.

    Parameters
    ----------
    laid : dict
        Flat keys with the change laid over them; the shapes in it that the change does not give
        are replaced.
    before, change : mapping
        Flat keys of the file, and of the change.
    table : {"lever", "arm"}
    """
    had, has = (f"{table}.points.pivot" in keys for keys in (before, laid))
    names = [name for name in SHAPES_OF[table] if name in laid and name not in change]
    if had == has or not names:
        return
    try:
        turn = _to_own(before, table) if had else _from_own(laid, table)
        laid.update({name: _each(laid[name], turn) for name in names})
    except (QuantityError, TypeError, ValueError, KeyError, ZeroDivisionError):
        return  # a point that cannot be read is told of when the mechanism is built


def _at(value: Any) -> complex:
    x, y = value
    return complex(read(x, "length"), read(y, "length"))


def _axes(keys: Mapping[str, Any], table: str) -> tuple[complex, complex, bool]:
    """Return pivot, unit vector to the stop, and whether the pin lies clockwise of it."""
    pivot, pin, stop = (_at(keys[f"{table}.points.{name}"]) for name in ("pivot", "pin", "stop"))
    along = (stop - pivot) / abs(stop - pivot)
    return pivot, along, ((pin - pivot) * along.conjugate()).imag < 0


def _to_own(keys: Mapping[str, Any], table: str) -> _Turn:
    pivot, along, mirrored = _axes(keys, table)

    def turn(point: complex) -> complex:
        own = (point - pivot) * along.conjugate()
        return own.conjugate() if mirrored else own

    return turn


def _from_own(keys: Mapping[str, Any], table: str) -> _Turn:
    pivot, along, mirrored = _axes(keys, table)
    return lambda own: pivot + (own.conjugate() if mirrored else own) * along


def _each(value: Any, turn: _Turn) -> Any:
    """Return nested points, each of them turned."""
    if any(isinstance(each, list | tuple) for each in value):
        return [_each(each, turn) for each in value]
    found = turn(_at(value))
    return [found.real, found.imag]
