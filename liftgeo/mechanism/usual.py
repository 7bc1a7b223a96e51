"""What a number that was left out is taken as: its usual value and range, by kind of machine.

A number left out is not known; it is not nothing. Keys that every machine has in some measure carry
a usual value with a low and a high (95 per cent limits) in the key table. What is taken here varies
over its range in `liftgeo.known`.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Any

COMMON = "common practice, no source"
CONDITIONS = ("rebuilt", "used", "worn")
LEFT_OUT = ("usual", "nothing")
SHIFT = 0.5
"""How far a rebuilt or worn machine lies from a used one towards the good or the bad end."""


@dataclass(frozen=True)
class Usual:
    """A usual value and the limits that hold 19 machines in 20.

    Attributes
    ----------
    low, value, high : float
        In the key's bare unit, of a used machine.
    good : str
        "low" or "high", the end a rebuilt machine lies nearer to; "" where wear says nothing.
    log : bool
        Whether it varies in its logarithm.
    source : str
        Where the range comes from.
    """

    low: float
    value: float
    high: float
    good: str = ""
    log: bool = False
    source: str = COMMON

    def of(self, condition: str) -> Usual:
        """Return the range of a rebuilt, used or worn machine."""
        if condition == "used" or not self.good:
            return self
        towards_low = (self.good == "low") == (condition == "rebuilt")
        low, value, high = (self._bent(x) for x in (self.low, self.value, self.high))
        if towards_low:
            value, high = value + SHIFT * (low - value), high + SHIFT * (value - high)
        else:
            value, low = value + SHIFT * (high - value), low + SHIFT * (value - low)
        return replace(
            self, low=self._straight(low), value=self._straight(value), high=self._straight(high)
        )

    def _bent(self, x: float) -> float:
        return math.log(x) if self.log else x

    def _straight(self, x: float) -> float:
        return math.exp(x) if self.log else x

    def times(self, factor: float) -> Usual:
        """Return the range with every number multiplied."""
        return replace(
            self, low=self.low * factor, value=self.value * factor, high=self.high * factor
        )


UsualFor = Usual | Mapping[str, Usual]
"""One range, or one for each kind of machine: "dry", "wet", "riveted", "loose"."""


@dataclass(frozen=True)
class Taken:
    """A number that was left out, and what it is taken as.

    Attributes
    ----------
    key : str
        Dotted key.
    value, low, high : float
        In the key's bare unit; low and high hold 19 machines in 20.
    unit : str
        The bare unit.
    source : str
        Where the range comes from.
    log : bool
        Whether it varies in its logarithm.
    """

    key: str
    value: float
    low: float
    high: float
    unit: str
    source: str
    log: bool = False


def range_for(usual: UsualFor, machine: Collection[str], condition: str) -> Usual:
    """Return the range for a kind of machine in a condition."""
    if isinstance(usual, Usual):
        return usual.of(condition)
    return next(found for kind, found in usual.items() if kind in machine).of(condition)


def usual_text(usual: UsualFor) -> str:
    """Return usual values and ranges as read: "0.10 (0.05 to 0.16)", "0.30 (...) dry, ..."."""
    if not isinstance(usual, Usual):
        return ", ".join(f"{usual_text(each)} {kind}" for kind, each in usual.items())
    numbers = (usual.value, usual.low, usual.high)
    digits = max(len(f"{x:g}".partition(".")[2]) for x in numbers)
    value, low, high = (f"{x:.{digits}f}" for x in numbers)
    return f"{value} ({low} to {high})"


def sources_of(usual: UsualFor) -> tuple[str, ...]:
    """Return where the ranges come from, each once."""
    each = [usual] if isinstance(usual, Usual) else usual.values()
    return tuple(dict.fromkeys(one.source for one in each))


def kinds_of_machine(keys: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the kinds a machine is of, as far as usual values tell them apart.

    Plates are loose where there are several, or where they run in oil; one dry plate is riveted.
    """
    plates = float(keys.get("faces.friction_plates", 1.0))
    running = keys.get("faces.running")
    wet = running == "wet" if running is not None else plates > 2
    return ("wet" if wet else "dry", "loose" if wet or plates > 1 else "riveted")
