"""What a change holds and what follows from it, in one sentence."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from liftgeo.mechanism.consequence import NEEDED, SHAFT_ANGLE, consequence
from liftgeo.quantities import DIMENSIONS, shown
from liftgeo.words.lines import wrapped

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.mechanism.consequence import Consequence, Followed, Held

_TABLES = {"spring": "springs", "faces": "plates"}
_NAMES = {
    "nipple_radius": "pivot to nipple",
    "radius": "shaft to cable end",
    "stop_distance": "pivot to cable stop",
    "hand_radius": "pivot to hand",
    "travel": "lever angle at the grip",
    "free_play": "slack at the lever",
    "free_play_at_hand": "free play at the hand",
    "take_up_at_hand": "take-up at the hand",
    "installed_deflection": "pressed at rest",
    "turned": "turned on its shaft",
}
_WHOLE = {
    "arm.stop_distance": "shaft to cable stop",
    SHAFT_ANGLE["lever"]: "angle at the pivot",
    SHAFT_ANGLE["arm"]: "angle at the shaft",
    NEEDED: "separation needed to run clear",
}
_FINE = {"cable.free_play", NEEDED}


def name_of(key: str) -> str:
    """Return what a number is called beside the name of its table: "rest length"."""
    name = key.partition(".")[2]
    return _WHOLE.get(key, _NAMES.get(name, name.replace("_", " ")))


def _digits(key: str, dimension: str, units: str) -> int | None:
    if dimension != "length" or key in _FINE:
        return None
    return 1 if units == "metric" else 2


def _text(key: str, value: float, dimension: str, units: str, digits: int | None) -> str:
    text = shown(value, dimension, units, digits)
    return text if key not in _FINE or units != "metric" else shown(value, dimension, units, 2)


def _held(item: Held, units: str) -> str:
    digits = _digits(item.key, item.dimension, units)
    return (
        f"{name_of(item.key)} held at {_text(item.key, item.value, item.dimension, units, digits)}"
    )


def _followed(item: Followed, units: str, verb: str) -> str:
    digits = _digits(item.key, item.dimension, units)
    pair = item.after, item.before
    texts = [_text(item.key, value, item.dimension, units, digits) for value in pair]
    if texts[0] == texts[1]:
        fine = DIMENSIONS[item.dimension].digits + (2 if units == "inch" else 0)
        texts = [shown(value, item.dimension, units, fine) for value in pair]
    return f"{name_of(item.key)} {verb}{texts[0]} (was {texts[1].split()[0]})"


def follow_text(found: Consequence, units: str) -> str:
    """Return what a change holds and what follows, without a full stop; "" where nothing does."""
    told = []
    for table, group in groupby(found.followed, key=lambda item: item.key.partition(".")[0]):
        held = [_held(item, units) for item in found.held if item.key.startswith(f"{table}.")]
        moved = [
            _followed(item, units, "" if place else "becomes ") for place, item in enumerate(group)
        ]
        parts = [", ".join(part) for part in (held, moved) if part]
        told.append(f"{_TABLES.get(table, table)}: {'; '.join(parts)}")
    return "; ".join(told)


def follow_lines(mechanism: Mechanism, units: str, given: str = "With the change") -> list[str]:
    """Return what the changes laid over a file hold, and what follows, as lines of a page.

    `given` begins the sentence. Nothing, where nothing follows.
    """
    text = follow_text(consequence(mechanism), units)
    return wrapped(f"{given}, {text}.") if text else []
