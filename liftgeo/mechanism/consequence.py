"""What a change sets, what it holds because the file gives it, and what follows without being said.

One radius is two machines: where a file gives the rest length the cable angle follows, where it
gives the angle the rest length does. Here both are said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from liftgeo.mechanism.laying import kind_of
from liftgeo.parts.triangle import Triangle
from liftgeo.quantities import DIMENSIONS, unit_of

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism

SHAFT_ANGLE = {"lever": "lever.pivot_angle", "arm": "arm.shaft_angle"}
"""Names of the angle at pivot or shaft from cable stop to pin, which no key of a file gives."""

NEEDED = "faces.separation_needed"
"""Name of the separation needed to run clear, which no key of a file gives."""


@dataclass(frozen=True)
class Held:
    """A number that stays because the file gives it, while others of its kind follow.

    Attributes
    ----------
    key : str
        Dotted key, or a name of `SHAFT_ANGLE`.
    value : float
        In the bare unit of its dimension.
    dimension : str
        Key in `liftgeo.quantities.DIMENSIONS`.
    """

    key: str
    value: float
    dimension: str


@dataclass(frozen=True)
class Followed:
    """A number that a change does not name, and moves.

    Attributes
    ----------
    key : str
        Dotted key that would say it, or a name of `SHAFT_ANGLE`, or `NEEDED`.
    before, after : float
        In the bare unit of its dimension.
    dimension : str
        Key in `liftgeo.quantities.DIMENSIONS`.
    """

    key: str
    before: float
    after: float
    dimension: str


@dataclass(frozen=True)
class Consequence:
    """What a change sets, holds and moves; empty tuples where nothing is to be said.

    Attributes
    ----------
    laid : tuple of str
        Keys that the change gives.
    held : tuple of Held
    followed : tuple of Followed
    """

    laid: tuple[str, ...] = ()
    held: tuple[Held, ...] = ()
    followed: tuple[Followed, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data, each number with its unit."""
        return {
            "set": list(self.laid),
            "held": [
                {"key": item.key, "value": item.value, "unit": unit_of(item.dimension)}
                for item in self.held
            ],
            "followed": [
                {
                    "key": item.key,
                    "before": item.before,
                    "after": item.after,
                    "unit": unit_of(item.dimension),
                }
                for item in self.followed
            ],
        }


Numbers = dict[str, tuple[float, str]]
"""Value and dimension of each number, by its key."""


def consequence(after: Mechanism, before: Mechanism | None = None) -> Consequence:
    """Return what a change sets, holds and moves.

    Parameters
    ----------
    after : Mechanism
        With the changes laid over it.
    before : Mechanism, optional
        What it is set against; left out, the unchanged file.
    """
    before = before or after.origin
    if before is None or before is after:
        return Consequence()
    laid = tuple(key for key in after.changed_keys if key not in before.changed_keys)
    held: list[Held] = []
    followed: list[Followed] = []
    with np.errstate(all="ignore"):
        for group in _GROUPS:
            old, new = dict(group(before)), dict(group(after))
            moved = [
                Followed(key, old[key][0], value, dimension)
                for key, (value, dimension) in new.items()
                if key in old and not _same(old[key][0], value, dimension)
            ]
            follows = [item for item in moved if item.key not in _said(laid)]
            if not follows:
                continue
            followed += _without_twins(follows)
            held += [
                Held(key, value, dimension)
                for key, (value, dimension) in new.items()
                if _is_held(key, after, laid) and key not in {item.key for item in moved}
            ]
    return Consequence(laid, tuple(held), tuple(followed))


def _same(old: float, new: float, dimension: str) -> bool:
    """Return whether two numbers read alike; also where one is not known."""
    step = 0.5 * 10.0 ** -DIMENSIONS[dimension].digits
    return not abs(new - old) >= max(step, 1e-6 * abs(old))


_SAYS = {"arm.hole": "arm.radius", "lever.hole": "lever.nipple_radius"}
_SAYS |= {"lever.travel": "lever.hand_travel"}
_HELD = {
    "lever.rest_length",
    "lever.cable_angle",
    "arm.rest_length",
    "arm.cable_angle",
    "lever.travel",
    "cable.free_play_at_hand",
    "cable.take_up_at_hand",
    "spring.installed_length",
    "spring.installed_deflection",
}


def _said(laid: tuple[str, ...]) -> set[str]:
    """Return keys whose value a change gives itself, by their own name or another."""
    return {*laid, *(_SAYS[key] for key in laid if key in _SAYS)}


def _is_held(key: str, after: Mechanism, laid: tuple[str, ...]) -> bool:
    """Return whether a change leaves a number because the file gives it, or a hand keeps it."""
    table = key.partition(".")[0]
    if key == SHAFT_ANGLE.get(table):
        return f"{table}.hole" in laid
    return key in _HELD and key in after.given and key not in _said(laid)


def _without_twins(found: list[Followed]) -> list[Followed]:
    """Return what follows, without a length that only says another way how far a spring is pressed.

    The angle at the shaft, too, is said by rest length and cable angle.
    """
    keys = {item.key for item in found}
    gone = {"spring.installed_length"} if "spring.installed_deflection" in keys else set()
    gone |= {*SHAFT_ANGLE.values()}
    return [item for item in found if item.key not in gone]


Line = tuple[str, tuple[float, str]]


def _triangle(mechanism: Mechanism, table: str) -> Iterator[Line]:
    if table not in mechanism.tables or kind_of(mechanism.keys, table) != "pin":
        return
    sides = mechanism.inward.sides(table)
    radius = "lever.nipple_radius" if table == "lever" else "arm.radius"
    yield radius, (float(sides.pin), "length")
    yield f"{table}.stop_distance", (float(sides.stop), "length")
    yield f"{table}.rest_length", (float(sides.rest), "length")
    yield f"{table}.cable_angle", (float(sides.cable_angle_deg), "angle")
    offset = float(mechanism.keys.get(f"{table}.axial_offset", 0.0))
    triangle = Triangle(float(sides.pin), float(sides.stop), float(sides.rest), offset)
    yield SHAFT_ANGLE[table], (float(np.degrees(triangle.rest_angle_rad)), "angle")


def _lever(mechanism: Mechanism) -> Iterator[Line]:
    yield from _triangle(mechanism, "lever")


def _hand(mechanism: Mechanism) -> Iterator[Line]:
    lever = mechanism.inward.lever
    yield "lever.hand_radius", (float(lever.hand_radius_mm), "length")
    yield "lever.hand_travel", (float(lever.hand_travel_mm), "length")
    yield from _keys(mechanism.keys, {"lever.travel": "angle"})


def _arm(mechanism: Mechanism) -> Iterator[Line]:
    yield from _keys(mechanism.keys, {"arm.turned": "angle"})
    yield from _triangle(mechanism, "arm")


def _play(mechanism: Mechanism) -> Iterator[Line]:
    readings = ("cable.free_play_at_hand", "cable.take_up_at_hand")
    if not any(key in mechanism.keys for key in readings):
        return
    yield "cable.free_play", (float(mechanism.parts().cable.slack_mm), "length")
    yield from _keys(mechanism.keys, dict.fromkeys(readings, "length"))


def _release(mechanism: Mechanism) -> Iterator[Line]:
    yield from _keys(mechanism.keys, {"release.lead": "length"})


def _spring(mechanism: Mechanism) -> Iterator[Line]:
    if "spring" not in mechanism.tables:
        return
    yield from _keys(mechanism.keys, {"spring.rate": "rate", "spring.free_length": "length"})
    pressed = float(mechanism.inward.installed_deflection_mm)
    yield "spring.installed_deflection", (pressed, "length")
    yield (
        "spring.installed_length",
        (float(mechanism.inward.spring.free_height_mm) - pressed, "length"),
    )


def _faces(mechanism: Mechanism) -> Iterator[Line]:
    if "faces" in mechanism.tables:
        yield NEEDED, (float(mechanism.parts().faces.needed_mm), "length")


def _engine(mechanism: Mechanism) -> Iterator[Line]:
    yield from _keys(mechanism.keys, {"engine.torque": "torque"})


def _keys(keys: Mapping[str, Any], wanted: Mapping[str, str]) -> Iterator[Line]:
    """Yield keys that are there as single numbers."""
    for key, dimension in wanted.items():
        value = keys.get(key)
        if isinstance(value, float | int) and not isinstance(value, bool):
            yield key, (float(value), dimension)


_GROUPS: tuple[Callable[[Mechanism], Iterator[Line]], ...] = (
    _lever,
    _hand,
    _arm,
    _play,
    _release,
    _spring,
    _faces,
    _engine,
)
"""Numbers that hang together: where one of a group follows, what is held in it is said too."""
