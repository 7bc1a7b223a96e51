"""Pivot, pin and cable stop of lever or arm as points in a plane, of one mechanism or many.

Each of the two has a frame of its own: the pivot at the origin, +x to the cable stop, +y to the
pin's side at rest. A file that gives points keeps their frame. Without a pin (a drum, a measured
link) +x lies any way; pulling turns a lever from +x to +y and an arm from +y to +x, as it does
with a pin.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from liftgeo.mechanism.key_facts import number
from liftgeo.mechanism.settling import MOVES
from liftgeo.mechanism.settling import OPENING as OPENING
from liftgeo.parts.moved_link import Moves
from liftgeo.parts.triangle import Triangle, rest_length_mm
from liftgeo.parts.values import Values

Keys = Mapping[str, Any]


MOVED = {
    "lever": (*MOVES["lever"], "lever.pivot_shift_x", "lever.pivot_shift_y"),
    "arm": MOVES["arm"],
}
"""Every key of lever or arm that moves a point of it."""


@dataclass(frozen=True, eq=False, repr=False)
class LinkPoints:
    """Lever or arm as points at rest, each [x, y] of shape (..., 2) [mm].

    Attributes
    ----------
    pivot : array
        What it turns about.
    pin, stop : array or None
        The moving cable end and the fixed cable stop; None where there is no such point.
    turning : array
        Way of pulling: +1 counter-clockwise in this frame, -1 clockwise.
    """

    pivot: Values
    pin: Values | None
    stop: Values | None
    turning: Values


def stacked(x: Values, y: Values) -> Values:
    """Return points of shape (..., 2) from their coordinates."""
    return np.stack(np.broadcast_arrays(np.asarray(x, float), np.asarray(y, float)), axis=-1)


def side(pivot: Values, stop: Values, pin: Values) -> Values:
    """Return +1 where the pin lies counter-clockwise of the stop about the pivot, else -1."""
    a, b = stop - pivot, pin - pivot
    return np.where(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0] >= 0, 1, -1)


def axes(pivot: Values, stop: Values, pin: Values) -> tuple[Values, Values]:
    """Return the unit vectors of a link's own frame, +x and +y, each of shape (..., 2)."""
    along = stop - pivot
    along = along / np.hypot(along[..., 0], along[..., 1])[..., None]
    up = side(pivot, stop, pin)[..., None] * np.stack([-along[..., 1], along[..., 0]], axis=-1)
    return along, up


def link_points(keys: Keys, table: str) -> LinkPoints:
    """Return the points of a lever or an arm.

    Parameters
    ----------
    keys : mapping
        Flat keys in file units: numbers or arrays of shape (N,), points of shape (2,) or (N, 2).
    table : {"lever", "arm"}

    Notes
    -----
    A pivot that a change moves is moved in the frame of the unchanged lever: pin and stop stay. A
    moved stop, another hole and a turn on the shaft are laid in the same frame.
    """
    opening = OPENING[table]
    if keys.get(f"{table}.kind", "pin") != "pin":
        return LinkPoints(np.zeros(2), None, None, np.asarray(opening))
    if f"{table}.points.pivot" in keys:
        pivot, pin, stop = (
            np.asarray(keys[f"{table}.points.{name}"], float) for name in ("pivot", "pin", "stop")
        )
    else:
        pivot, pin, stop = np.zeros(2), *_from_distances(keys, table)
    along, up = axes(pivot, stop, pin)
    moves = moves_of(keys, table)
    pin, stop = _moved_ends(moves, (along, up), pivot, pin, stop)
    if table == "lever":
        pivot = _moved(keys, pivot, along, up)
    return LinkPoints(pivot, pin, stop, opening * side(pivot, stop, pin))


def _from_distances(keys: Keys, table: str) -> tuple[Values, Values]:
    """Return pin and stop in the link's own frame."""
    pin = keys[f"{table}.nipple_radius" if table == "lever" else f"{table}.radius"]
    stop, offset = keys[f"{table}.stop_distance"], number(keys, f"{table}.axial_offset")
    rest = keys.get(f"{table}.rest_length")
    if rest is None:
        rest = rest_length_mm(pin, stop, np.radians(keys[f"{table}.cable_angle"]), offset)
    at = Triangle(pin, stop, rest, offset).rest_angle_rad
    return stacked(pin * np.cos(at), pin * np.sin(at)), stacked(stop, 0.0)


def unmoved(keys: Keys, table: str) -> Keys:
    """Return the keys without what moves a point of lever or arm."""
    return {key: value for key, value in keys.items() if key not in MOVED[table]}


def turned_at_rest_rad(keys: Keys, table: str) -> Values:
    """Return by what a change turns lever or arm on its shaft, the way of pulling [rad].

    Pin and outline of the part turn by it; cable stop and casing stay.
    """
    return np.asarray(np.radians(number(keys, "arm.turned") if table == "arm" else 0.0))


def moves_of(keys: Keys, table: str) -> Moves:
    """Return what is moved on a lever or an arm, of one mechanism or many."""
    return Moves(
        keys.get(f"{table}.hole"),
        turned_at_rest_rad(keys, table),
        number(keys, f"{table}.stop_shift_x"),
        number(keys, f"{table}.stop_shift_y"),
        OPENING[table],
    )


Distances = tuple[Values, Values, Values, Values, Values]
"""Pivot to pin, pivot to stop, pin to stop, axial offset, pivot to hand [mm]."""


def moved_distances(
    keys: Keys, table: str, given: Distances, to_hand_rad: Values | None
) -> Distances:
    """Return the distances of lever or arm after pin, stop or the lever's pivot have moved.

    Parameters
    ----------
    keys : mapping
        Flat keys in file units.
    table : {"lever", "arm"}
    given : tuple
        Distances before the moves, returned as they are where nothing is moved [mm].
    to_hand_rad : float, array or None
        Angle at the pivot from pin to hand before the moves; None: not known [rad].
    """
    moves = moves_of(keys, table)
    x, y = (number(keys, f"lever.pivot_shift_{axis}") if table == "lever" else 0.0 for axis in "xy")
    shifted = to_hand_rad is not None and (np.any(x) or np.any(y))
    if moves.nothing and not shifted:
        return given
    radius, distance, rest, offset, hand = given
    at = Triangle(radius, distance, rest, offset).rest_angle_rad
    pin, stop = moves.pin_mm(radius, at), moves.stop_mm(distance)
    if not moves.nothing:
        rest = np.sqrt((pin[0] - stop[0]) ** 2 + (pin[1] - stop[1]) ** 2 + offset**2)
    if not shifted:
        x = y = 0.0
    else:
        hand_at = at + to_hand_rad
        hand = np.hypot(hand * np.cos(hand_at) - x, hand * np.sin(hand_at) - y)
    pin_mm, stop_mm = np.hypot(pin[0] - x, pin[1] - y), np.hypot(stop[0] - x, stop[1] - y)
    return pin_mm, stop_mm, rest, offset, hand


def _moved_ends(
    moves: Moves, frame: tuple[Values, Values], pivot: Values, pin: Values, stop: Values
) -> tuple[Values, Values]:
    """Return pin and stop where a change has moved them to."""
    if moves.nothing:
        return pin, stop
    along, up = frame
    inside = ((pin - pivot) * along).sum(axis=-1), ((pin - pivot) * up).sum(axis=-1)
    distance = ((stop - pivot) * along).sum(axis=-1)
    found = moves.pin_mm(np.hypot(*inside), np.arctan2(inside[1], inside[0]))
    ends = [
        pivot + np.asarray(x)[..., None] * along + np.asarray(y)[..., None] * up
        for x, y in (found, moves.stop_mm(distance))
    ]
    return ends[0], ends[1]


def _moved(keys: Keys, pivot: Values, along: Values, up: Values) -> Values:
    """Return the pivot where a change has moved it to."""
    x, y = number(keys, "lever.pivot_shift_x"), number(keys, "lever.pivot_shift_y")
    if not (np.any(x) or np.any(y)):
        return pivot
    return pivot + np.asarray(x)[..., None] * along + np.asarray(y)[..., None] * up
