"""Numbers as people read them, in metric or inch units."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise

from liftgeo.as_written import MOST_MORE, digits_to_see
from liftgeo.quantities import converted, shown, unit_of


def fixed(value: float, digits: int) -> str:
    """Return a number with so many decimals, without a negative zero; a dash for NaN."""
    if value != value:
        return "-"
    text = f"{value:.{digits}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


def digits_of_column(values: Iterable[float], usual: int, *, apart: bool = False) -> int:
    """Return the decimals of a column in which no number, other than 0, prints as 0.

    With `apart`, also none of two that follow each other as the same; NaN is left out.
    """
    known = [value for value in values if math.isfinite(value)]
    digits = max([usual, *(digits_to_see(value, usual) for value in known)])
    if apart:
        steps = [abs(b - a) for a, b in pairwise(known) if a != b]
        while digits < usual + MOST_MORE and any(step < 10.0**-digits for step in steps):
            digits += 1
    return digits


def evenly(values: Iterable[float], figures: int) -> list[str]:
    """Return numbers that stand side by side, all with as many decimals as one of them needs.

    Parameters
    ----------
    values : iterable of float
        NaN is a dash.
    figures : int
        Significant figures that each needs at the most; zeros at the end are not needed.
    """
    known = list(values)
    each = [f"{value:.{figures}g}" for value in known if math.isfinite(value)]
    plain = [text if "e" not in text else f"{float(text):.0f}" for text in each]
    digits = max([len(text.partition(".")[2]) for text in plain], default=0)
    return [fixed(value, digits) for value in known]


class Shown:
    """Numbers of a page, in the units asked for: lengths fine or coarse, forces whole."""

    def __init__(self, units: str) -> None:
        self.units = units
        self.fine = 2 if units == "metric" else 4
        self.coarse = 1 if units == "metric" else 2

    def length(self, value_mm: float, *, coarse: bool = False) -> str:
        """Return a length with its unit, a fine one in digits enough to see that it is not 0."""
        if not coarse:
            return self.small(value_mm)
        return shown(value_mm, "length", self.units, self.coarse)

    def small(self, value_mm: float) -> str:
        """Return a clearance or the like with its unit, digits enough to see that it is not 0."""
        number = converted(float(value_mm), "length", self.units)
        return shown(value_mm, "length", self.units, digits_to_see(number, self.fine))

    def bare(self, value_mm: float, *, coarse: bool = False) -> str:
        """Return a length without its unit, a fine one in digits enough to see it is not 0."""
        number = converted(float(value_mm), "length", self.units)
        return fixed(number, self.coarse if coarse else digits_to_see(number, self.fine))

    def column(self, values_mm: Iterable[float], *, apart: bool = False) -> list[str]:
        """Return lengths of a column, without unit, in as many decimals as tell them from 0."""
        numbers = [converted(float(value), "length", self.units) for value in values_mm]
        digits = digits_of_column(numbers, self.fine, apart=apart)
        return [fixed(number, digits) for number in numbers]

    def ends(self, *values_mm: float) -> list[str]:
        """Return the ends of a range, without unit, so that they differ and none looks like 0."""
        return self.column(values_mm, apart=True)

    def force(self, value_n: float) -> str:
        """Return a force with its unit."""
        return shown(value_n, "force", self.units, 0)

    def pull(self, value_n: float) -> str:
        """Return a force as the hand knows it: "98 N (10.0 kgf)", "22 lbf"."""
        text = self.force(value_n)
        return text if self.units == "inch" else f"{text} ({kgf_text(value_n)})"

    def bare_force(self, value_n: float) -> str:
        """Return a force without its unit."""
        return fixed(converted(float(value_n), "force", self.units), 0)

    def work(self, value_j: float) -> str:
        """Return a work with its unit: "2.47 J", "1.82 lbf·ft"."""
        return f"{fixed(converted(value_j, 'torque', self.units), 2)} {self.unit('work')}"

    def unit(self, dimension: str) -> str:
        """Return the unit shown for a dimension, or for "work"."""
        if dimension == "work":
            return "J" if self.units == "metric" else self.unit("torque")
        return unit_of(dimension, self.units)


NEWTON_PER_KGF = 9.80665
_MANY_KGF = 20.0


def kgf_text(value_n: float) -> str:
    """Return a force as a balance that reads kilograms shows it: "9.9 kgf"."""
    weight = value_n / NEWTON_PER_KGF
    return f"{fixed(weight, 0 if abs(weight) >= _MANY_KGF else 1)} kgf"


def in_100(share: float | None) -> str:
    """Return a share as a whole number of 100; a dash where it is not known."""
    return "-" if share is None else fixed(100 * share, 0)


def said(value: float, dimension: str, units: str, digits: int | None = None) -> str:
    """Return a value with its unit and a true minus sign."""
    text = shown(value, dimension, units, digits)
    return "−" + text[1:] if text.startswith("-") else text


def travel_text(value_mm: float, units: str) -> str:
    """Return a hand travel: "29.6 mm", "1.17 in"."""
    return said(value_mm, "length", units, 2 if units == "inch" else 1)


def lift_text(value_mm: float, units: str) -> str:
    """Return a lift or a clearance: "0.27 mm", "0.0106 in"; with digits enough to see its sign."""
    usual = 2 if units == "metric" else 4
    number = converted(float(value_mm), "length", units)
    return said(value_mm, "length", units, digits_to_see(number, usual))


def force_text(value_n: float, units: str) -> str:
    """Return a force: "137 N", "30.8 lbf"."""
    return said(value_n, "force", units)
