"""Numbers as people read them, in metric or inch units."""

from __future__ import annotations

from liftgeo.quantities import converted, shown, unit_of


def fixed(value: float, digits: int) -> str:
    """Return a number with so many decimals, without a negative zero; a dash for NaN."""
    if value != value:
        return "-"
    text = f"{value:.{digits}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


class Shown:
    """Numbers of a page, in the units asked for: lengths fine or coarse, forces whole."""

    def __init__(self, units: str) -> None:
        self.units = units
        self.fine = 2 if units == "metric" else 4
        self.coarse = 1 if units == "metric" else 2

    def length(self, value_mm: float, *, coarse: bool = False) -> str:
        """Return a length with its unit."""
        digits = self.coarse if coarse else self.fine
        return shown(value_mm, "length", self.units, digits)

    def bare(self, value_mm: float, *, coarse: bool = False) -> str:
        """Return a length without its unit."""
        number = converted(float(value_mm), "length", self.units)
        return fixed(number, self.coarse if coarse else self.fine)

    def force(self, value_n: float) -> str:
        """Return a force with its unit."""
        return shown(value_n, "force", self.units, 0)

    def bare_force(self, value_n: float) -> str:
        """Return a force without its unit."""
        return fixed(converted(float(value_n), "force", self.units), 0)

    def unit(self, dimension: str) -> str:
        """Return the unit shown for a dimension."""
        return unit_of(dimension, self.units)


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
    number = abs(converted(float(value_mm), "length", units))
    digits = usual
    while 0 < number < 0.5 * 10.0**-digits and digits < usual + 3:
        digits += 1
    return said(value_mm, "length", units, digits)


def force_text(value_n: float, units: str) -> str:
    """Return a force: "137 N", "30.8 lbf"."""
    return said(value_n, "force", units)
