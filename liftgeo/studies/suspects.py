"""Exact numbers of a file that may be wrong all the same: what each would have to be."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from liftgeo.errors import RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.left_out import usual_keys
from liftgeo.mechanism.usual import range_for
from liftgeo.outcome.evidence import Evidence
from liftgeo.outcome.uncertain import RANGE_SD, Uncertain, uncertain

Array = NDArray[np.float64]

_SHARE = 0.25
_AT_ZERO = {"length": 1.0, "angle": 5.0, "force": 10.0, "ratio": 0.1, "torque": 0.3}
_MOST_ALONE = 4
_FAR = 4.0
_BETTER = 0.5


@dataclass(frozen=True)
class Alone:
    """An exact number that would explain the readings by itself.

    Attributes
    ----------
    key : str
    file_value, value : float
        As given, and as it would have to be, in the bare unit.
    unit : str
    misfit : float
        Misfit left then, over that with the file as it is: 0 explains all.
    usual : bool
        Whether the value lies within what is usual for such a machine.
    """

    key: str
    file_value: float
    value: float
    unit: str
    misfit: float
    usual: bool


def loosened(mechanism: Mechanism, keys: Sequence[str]) -> tuple[Uncertain, ...]:
    """Return exact keys as if they carried a ±: about the file's value, as wide as is usual.

    A key without a usual range is taken as a quarter of its value out at the most, 19 times in 20.

    Raises
    ------
    RequestError
        A key that is no single number of this mechanism.
    """
    known = {each.key: each for each in uncertain(mechanism)}
    return tuple(known.get(key) or _loosened(mechanism, key) for key in dict.fromkeys(keys))


def _loosened(mechanism: Mechanism, key: str) -> Uncertain:
    number = mechanism.number(key)
    if number.whole:
        raise RequestError(f"{key} is a count; readings cannot move it.")
    given = mechanism.keys.get(key)
    usual = _usual(mechanism).get(key)
    if given is None or not math.isfinite(float(given)):
        if usual is None:
            raise RequestError(
                f"{key} is not given, and nothing is usual for it: write what it may be, such as "
                f'{key} = "LOW to HIGH".'
            )
        value, low, high, log = usual
    else:
        value = float(given)
        log = usual is not None and usual[3] and value > 0
        if usual is not None and log:
            low, high = value * usual[1] / usual[0], value * usual[2] / usual[0]
        elif usual is not None:
            low, high = value - (usual[0] - usual[1]), value + (usual[2] - usual[0])
        else:
            wide = _SHARE * abs(value) or _AT_ZERO.get(number.dimension, 1.0)
            low, high = value - wide, value + wide
    spread = "log" if log else "normal"
    return Uncertain(key, key, None, value, low, high, spread, RANGE_SD, number, False)


def _usual(mechanism: Mechanism) -> dict[str, tuple[float, float, float, bool]]:
    """Return usual values with their ranges by key: value, low, high, whether in the logarithm."""
    found = {}
    for key, usual, _ in usual_keys(mechanism.keys, mechanism.tables):
        its = range_for(usual, mechanism.machine, mechanism.condition)
        found[key] = its.value, its.low, its.high, its.log
    return found


def alone(evidence: Evidence, z: Array) -> tuple[Alone, ...]:
    """Return each exact number that would explain the readings by itself, the best first.

    Parameters
    ----------
    evidence : Evidence
    z : array of shape (width,)
        Where all other numbers stand, in standard deviations.
    """
    mechanism = evidence.mechanism
    taken = {each.key for each in evidence.inputs}
    found = []
    now = evidence.residuals(z[None])[:, 0]
    before = float(now @ now)
    for key in suspects(mechanism):
        if key in taken:
            continue
        each = _loosened(mechanism, key)
        width = len(evidence.inputs)
        wider = replace(evidence, inputs=(*evidence.inputs, each))
        places = np.linspace(-_FAR, _FAR, 81)
        many = np.insert(np.tile(z, (len(places), 1)), width, places, axis=1)
        rest = np.sum(wider.residuals(many) ** 2, axis=0)
        if not np.isfinite(rest).any():
            continue
        best = _least(places, rest)
        left = np.nanmin(rest) / before if before else 1.0
        if left > _BETTER:
            continue
        value = float(wider.inputs_at(np.insert(z, width, best)[None])[key][0])
        usual = _usual(mechanism).get(key)
        inside = usual is not None and usual[1] <= value <= usual[2]
        found.append(Alone(key, float(each.value), value, each.unit, float(left), inside))
    found.sort(key=lambda item: (not item.usual, item.misfit))
    return tuple(found[:_MOST_ALONE])


def _least(places: Array, rest: Array) -> float:
    """Return where the misfit is least, between samples by a parabola."""
    k = int(np.nanargmin(rest))
    if k in (0, len(places) - 1) or not np.isfinite(rest[k - 1 : k + 2]).all():
        return float(places[k])
    left, middle, right = rest[k - 1 : k + 2]
    bend = left - 2 * middle + right
    move = 0.5 * (left - right) / bend if bend > 0 else 0.0
    return float(places[k] + move * (places[1] - places[0]))


def suspects(mechanism: Mechanism) -> list[str]:
    """Return exact numbers of a file that are usual losses, and so may be wrong."""
    exact = [key for key in _usual(mechanism) if key in mechanism.keys]
    uncertain_keys = {each.key for each in uncertain(mechanism)}
    more = ["cable.free_play_at_hand", "cable.take_up_at_hand", "lever.hand_travel"]
    exact += [key for key in more if key in mechanism.keys]
    return [
        key
        for key in exact
        if key not in uncertain_keys and math.isfinite(float(mechanism.keys[key]))
    ]
