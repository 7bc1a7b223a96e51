"""What is not known exactly: every ± and range of a file, each with a random stream of its own."""

from __future__ import annotations

import math
import zlib
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from liftgeo.mechanism import Mechanism, key_facts
from liftgeo.mechanism.fields import Number
from liftgeo.mechanism.grip import idle
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.left_out import left_out
from liftgeo.mechanism.usual import Taken
from liftgeo.outcome.normal import quantile, share_below
from liftgeo.quantities import DIMENSIONS, Measured, Ranged

Array = NDArray[np.float64]

SURE = 0.95
"""A word is firm where it holds 19 times in 20."""

RANGE_SD, PLUS_MINUS_SD = 1.959963984540054, 2.0
"""Standard deviations to a 95 per cent limit: of a range, exactly; of a ±, by its definition."""


@dataclass(frozen=True)
class Uncertain:
    """One number that is not known exactly, and how it is spread.

    Attributes
    ----------
    key : str
        Its name: the dotted key, with [k] behind it for the k-th number of a point or reading.
    home : str
        The dotted key.
    place : int or None
        Which number of a point or of readings.
    value, low, high : float
        In the bare unit.
    spread : {"normal", "uniform", "log"}
        A normal curve in two pieces about the value; all alike between the limits; a normal curve
        in the logarithm.
    deviations : float
        Standard deviations from the value to its limits.
    number : Number
        Its dimension and bounds.
    taken : bool
        Whether it was left out, and is taken at its usual value.
    """

    key: str
    home: str
    place: int | None
    value: float
    low: float
    high: float
    spread: str
    deviations: float
    number: Number
    taken: bool

    @property
    def unit(self) -> str:
        """The bare unit."""
        return DIMENSIONS[self.number.dimension].unit

    def at(self, share: Array) -> Array:
        """Return the values below which these shares of the distribution lie.

        What lies beyond the key's own bounds is cut off, and the rest kept in proportion.
        """
        low, high = self._bounds()
        if self.spread == "uniform":
            low, high = max(low, self.low), min(high, self.high)
            return low + (high - low) * share
        first, last = share_below(self._deviation(low)), share_below(self._deviation(high))
        inside = np.clip(first + share * (last - first), 1e-300, 1.0 - 1e-16)
        z = quantile(inside) / self.deviations
        centre, below, above = (self._bent(x) for x in (self.value, self.low, self.high))
        bent = centre + np.where(z < 0, (centre - below) * z, (above - centre) * z)
        found = np.exp(bent) if self.spread == "log" else bent
        return np.clip(found, low, high)

    @property
    def half_width(self) -> float:
        """Half of what lies between its limits."""
        return 0.5 * (self.high - self.low)

    def limits(self) -> tuple[float, float]:
        """Return its limits, within the key's own bounds."""
        low, high = self._bounds()
        return max(low, self.low), min(high, self.high)

    def _bent(self, x: float) -> float:
        return math.log(x) if self.spread == "log" else x

    def _bounds(self) -> tuple[float, float]:
        number = self.number
        lows = [x for x in (number.above, number.at_least) if x is not None]
        highs = [x for x in (number.below, number.at_most) if x is not None]
        return max(lows, default=-math.inf), min(highs, default=math.inf)

    def _deviation(self, bound: float) -> float:
        """Return how many standard deviations a bound lies from the value."""
        if math.isinf(bound) or (self.spread == "log" and bound <= 0):
            return math.copysign(math.inf, bound) if bound else -math.inf
        centre, below, above = (self._bent(x) for x in (self.value, self.low, self.high))
        away = self._bent(bound) - centre
        width = (centre - below) if away < 0 else (above - centre)
        if width == 0:
            return math.copysign(math.inf, away) if away else 0.0
        return self.deviations * away / width


def _measured(
    key: str, home: str, place: int | None, value: object, number: Number | None
) -> Iterator[Uncertain]:
    if not isinstance(value, Measured) or value.half_width == 0 or number is None:
        return
    centre, half = float(value), value.half_width
    spread = "uniform" if value.uniform else "normal"
    deviations = RANGE_SD if isinstance(value, Ranged) else PLUS_MINUS_SD
    yield Uncertain(
        key, home, place, centre, centre - half, centre + half, spread, deviations, number, False
    )


def uncertain(mechanism: Mechanism) -> tuple[Uncertain, ...]:
    """Return every number of a mechanism that carries a ± or a range, or was left out.

    With readings from the bench, and what is left out taken as nothing, also what they may move.
    """
    found: list[Uncertain] = []
    for dotted, value in mechanism.keys.items():
        if not isinstance(value, tuple | Measured) or idle(mechanism.keys, dotted):
            continue
        kind = kind_of(mechanism.keys, dotted.split(".")[0])
        if isinstance(value, tuple):
            each = key_facts.readings_of(dotted, kind)
            for k, item in enumerate(value):
                found += _measured(f"{dotted}[{k}]", dotted, k, item, each)
        else:
            found += _measured(dotted, dotted, None, value, key_facts.number_of(dotted, kind))
    known = {each.key for each in found}
    for taken in (*mechanism.taken, *_fitted_alone(mechanism, known)):
        number = key_facts.number_of(taken.key, kind_of(mechanism.keys, taken.key.split(".")[0]))
        assert number is not None
        found.append(
            Uncertain(
                taken.key,
                taken.key,
                None,
                taken.value,
                taken.low,
                taken.high,
                "log" if taken.log else "normal",
                RANGE_SD,
                number,
                True,
            )
        )
    return tuple(found)


FITTED_ALONE = (
    "cable.free_play",
    "cable.stiffness",
    "cable.housing.stiffness",
    "cable.friction",
    "rod.end_float",
)
"""What readings may move where nothing else counts as uncertain."""


def _fitted_alone(mechanism: Mechanism, known: Collection[str]) -> Iterator[Taken]:
    """Yield what readings may move in a file that takes what it leaves out as nothing.

    Their prior is the usual range, whatever the file says of them without a ±. What a change sets
    is as the change says.
    """
    if mechanism.left_out != "nothing" or not mechanism.readings:
        return
    first = mechanism.origin or mechanism
    same = {k: v for k, v in mechanism.keys.items() if first.keys.get(k) == v}
    others = {k: v for k, v in mechanism.keys.items() if k not in FITTED_ALONE}
    for item in left_out(others, mechanism.tables, mechanism.machine, mechanism.condition):
        changed = item.key in mechanism.keys and item.key not in same
        if item.key in FITTED_ALONE and item.key not in known and not changed:
            yield item


def shares_of(key: str, samples: int, seed: int) -> Array:
    """Return stratified shares 0 to 1 of one key's own random stream, shape (samples,).

    The stream depends on seed and key alone: another key, or another change, does not move it.
    """
    random = np.random.default_rng([seed, zlib.crc32(key.encode())])
    return np.asarray((random.permutation(samples) + random.random(samples)) / samples)


def drawn(inputs: Sequence[Uncertain], samples: int, seed: int) -> dict[str, Array]:
    """Return values of every input by its name, each of shape (samples,)."""
    return {each.key: each.at(shares_of(each.key, samples, seed)) for each in inputs}


def laid_over(
    keys: Mapping[str, Any], inputs: Sequence[Uncertain], values: Mapping[str, Array]
) -> dict[str, Array]:
    """Return drawn values by dotted key, points and readings of shape (samples, K)."""
    over: dict[str, Array] = {}
    for each in inputs:
        column = values[each.key]
        if each.place is None:
            over[each.home] = column
            continue
        if each.home not in over:
            own = np.array([float(x) for x in keys[each.home]])
            over[each.home] = np.tile(own, (len(column), 1))
        over[each.home][:, each.place] = column
    return over
