"""Where a ranking of inputs leads: the strongest that a hand can change, as a search to run."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from liftgeo.mechanism.fields import plain_digits
from liftgeo.studies.making import makeable_step
from liftgeo.studies.wants import SAME_ANGLE
from liftgeo.words.commands import command
from liftgeo.words.lines import wrapped

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.studies.sensitivity import Sensitivity

_MADE_ANEW = ("lever", "cable", "arm", "release", "rod")
_SEARCHED = 2
_ABOUT = 0.15
"""Share of a value that is searched to either side of it."""


_RADII = {
    "arm.radius": SAME_ANGLE,
    "lever.nipple_radius": "lever.nipple_radius",
    "arm.drum_radius": "arm.drum_radius",
    "lever.drum_radius": "lever.drum_radius",
}
"""Lengths that trade lift for effort, and the key by which each is searched."""


def _range(mechanism: Mechanism, key: str, value: float, searched: str = "") -> str:
    """Return a range about an input's value, as `liftgeo size` takes it."""
    low, high = (1 - _ABOUT) * value, (1 + _ABOUT) * value
    step = makeable_step(mechanism.number(key).dimension, low, high)
    digits = plain_digits(step)
    ends = [f"{round(x / step) * step:.{digits}f}" for x in (low, high)]
    return f"{searched or key}={ends[0]}..{ends[1]}"


def radius_to_search(mechanism: Mechanism) -> str:
    """Return what `liftgeo size` is to vary for another lift or effort; "" where none is a length.

    The first of arm and lever that the file gives as a length.
    """
    for key, searched in _RADII.items():
        value = mechanism.keys.get(key)
        if isinstance(value, int | float) and value > 0:
            return f"--vary {_range(mechanism, key, float(value), searched)}"
    return ""


def lead_on_lines(mechanism: Mechanism, rows: Sequence[Sensitivity], name: str) -> list[str]:
    """Return what to run after a ranking; nothing where no input can be made anew.

    Parameters
    ----------
    mechanism : Mechanism
    rows : sequence of Sensitivity
        The inputs, the strongest first.
    name : str
        The file as a next command would name it.
    """
    numbers = set(mechanism.numeric_keys())
    made = [
        row
        for row in rows
        if row.key in numbers
        and row.key.split(".")[0] in _MADE_ANEW
        and row.unit in ("mm", "deg")
        and row.value > 0
        and not mechanism.number(row.key).whole
    ][:_SEARCHED]
    if not made:
        return []
    keys = " and ".join(row.key for row in made)
    varied = " ".join(f"--vary {_range(mechanism, row.key, row.value)}" for row in made)
    return wrapped(
        f"Of what can be made anew {keys} move{'s' if len(made) == 1 else ''} it most. Next: "
        f"{command('size', name, more=varied)} looks for values that reach the target clearance."
    )
