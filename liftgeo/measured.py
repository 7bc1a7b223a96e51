"""Numbers that keep how well they are known: with a ±, or only by their limits."""

from __future__ import annotations

import math
from typing import Any, Self

from liftgeo.errors import QuantityError


class Measured(float):
    """A float that keeps the ± it was measured with.

    Arithmetic and comparison are those of a plain float, and give plain floats.

    Parameters
    ----------
    value : float
        The value, in any unit.
    half_width : float
        95 % half-width (two standard deviations) in the same unit, 0 or more; with `uniform` the
        limit itself.
    uniform : bool
        True: every value between the limits is equally likely and none lies beyond them.

    Raises
    ------
    QuantityError
        If the half-width is negative or not finite.
    """

    __slots__ = ("half_width", "uniform")
    half_width: float
    uniform: bool

    def __new__(cls, value: float, half_width: float, uniform: bool = False) -> Self:
        """Return the value with its half-width, once that is known to be possible."""
        width = float(half_width)
        if not 0.0 <= width < math.inf:
            raise QuantityError(
                f"The ± of a value cannot be {width!r}.", "It is a finite number, 0 or more."
            )
        measured = super().__new__(cls, value)
        measured.half_width = width
        measured.uniform = bool(uniform)
        return measured

    @property
    def standard_uncertainty(self) -> float:
        """Half of the half-width; where every value between limits is equally likely, over √3.

        Source: JCGM 100, Guide to the expression of uncertainty in measurement, 4.3 and 6.2
        (from memory).
        """
        return self.half_width / (math.sqrt(3) if self.uniform else 2.0)

    def __reduce__(self) -> tuple[type[Measured], tuple[float, float, bool]]:
        return type(self), (float(self), self.half_width, self.uniform)

    def __repr__(self) -> str:
        limits = ", uniform=True" if self.uniform else ""
        return f"Measured({float(self)!r}, {self.half_width!r}{limits})"

    def __str__(self) -> str:
        return float.__repr__(self)


class Ranged(Measured):
    """A float known only by the limits that hold it 95 times in 100; its value is their middle.

    Parameters
    ----------
    low, high : float
        In the same unit, high above low.

    Raises
    ------
    QuantityError
        If the limits are not finite, or high is not above low.
    """

    __slots__ = ()

    def __new__(cls, low: float, high: float) -> Self:
        """Return the middle of the limits, once they are known to be possible."""
        if not (math.isfinite(low) and math.isfinite(high) and low < high):
            raise QuantityError(
                f"A range cannot go from {low:g} to {high:g}.",
                "Write the smaller limit first, as in 0.05 to 0.4.",
            )
        return super().__new__(cls, (low + high) / 2, (high - low) / 2)

    @property
    def low(self) -> float:
        """The lower limit."""
        return float(self) - self.half_width

    @property
    def high(self) -> float:
        """The upper limit."""
        return float(self) + self.half_width

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.low, self.high)

    def __repr__(self) -> str:
        return f"Ranged({self.low!r}, {self.high!r})"
