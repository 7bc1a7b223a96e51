"""The working as data: lines with their numbers put in, identities, sections, and all of them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, ClassVar, Literal

from liftgeo.formulas import page
from liftgeo.formulas.in_units import unit_shown
from liftgeo.formulas.numbers import as_given, six_figures
from liftgeo.formulas.symbols import ANGLE, Quantity, quantity
from liftgeo.outcome.csv_text import csv_text
from liftgeo.safety import WORK_SAFELY


@dataclass(frozen=True)
class Line:
    """One line of the working: a quantity, where it comes from, and its value.

    Attributes
    ----------
    name : str
        Plain symbol.
    kind : {"given", "worked", "read"}
        From the file, by the expression, or read from a measured table.
    value : float
        In the quantity's unit; angles in rad.
    expression : SymPy expression or None
        What it is worked out from.
    numbers, texts : mapping
        The numbers that stood for its symbols, and how they were written.
    note : str
        The file's key, or a word on where the value comes from.
    result : str
        Dotted name of the same number in the JSON of `liftgeo stroke`; "" where it has none.
    scale : float
        What `value` is to be multiplied by to be that number.
    as_given : bool
        Whether the file gives it, so that it is written as there.
    lost_mm : float or None
        Of a line of the lift budget, what its item took [mm].
    units : {"metric", "inch"}
        What it is written in.
    """

    name: str
    kind: Literal["given", "worked", "read"]
    value: float
    expression: Any = None
    numbers: Mapping[str, float] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)
    note: str = ""
    result: str = ""
    scale: float = 1.0
    as_given: bool = False
    lost_mm: float | None = None
    units: str = "metric"

    @property
    def quantity(self) -> Quantity:
        """The quantity of this line."""
        return quantity(self.name)

    @property
    def words(self) -> str:
        """What the quantity is, and the remark."""
        return self.quantity.meaning + (f" ({self.remark})" if self.remark else "")

    @property
    def remark(self) -> str:
        """What an item of the lift budget took, and the note."""
        if self.lost_mm is None:
            return self.note
        unit, factor = unit_shown("mm", self.units)
        lost = f"{six_figures(self.lost_mm / factor)} {unit} lost"
        return f"{lost}; {self.note}" if self.note else lost

    @property
    def unit(self) -> str:
        """The unit shown: angles in degrees."""
        if self.quantity.unit == ANGLE:
            return "deg"
        return unit_shown(self.quantity.unit, self.units)[0]

    @property
    def shown_value(self) -> float:
        """The value in the unit shown."""
        if self.unit == "deg":
            return math.degrees(self.value)
        return self.value / unit_shown(self.quantity.unit, self.units)[1]

    @property
    def value_text(self) -> str:
        """The value as printed, without unit."""
        turned = self.unit not in ("deg", self.quantity.unit)
        return (as_given if self.as_given and not turned else six_figures)(self.shown_value)

    @property
    def shown(self) -> tuple[str, str]:
        """The symbol, and the value with its unit."""
        return self.name, f"{self.value_text} {self.unit}".rstrip()

    def sides(self, *, latex: bool = False) -> list[str]:
        """Return the sides of the equation: symbol, expression, with numbers, value."""
        from liftgeo.formulas.printers import Latex, Text, only_angles

        printer = Latex if latex else Text
        plain = printer()
        sides = [getattr(self.quantity, plain.form)]
        in_degrees = self.unit == "deg" and (
            self.expression is None or only_angles(self.expression)
        )
        if self.expression is not None:
            numbers = printer(self.numbers, self.texts, self.units)
            both = [p.written(self.expression, in_degrees) for p in (plain, numbers)]
            sides += dict.fromkeys(both)
        value = self.value_text + plain.unit(self.unit)
        if self.unit == "deg" and not in_degrees:
            value = f"{six_figures(self.value)}{plain.unit('rad')} = {value}"
        return sides if value == sides[-1] else [*sides, value]

    def to_dict(self) -> dict[str, Any]:
        """Return plain data; angles in deg, every other unit as named."""
        return {
            "symbol": self.name,
            "kind": self.kind,
            "meaning": self.quantity.meaning,
            "note": self.remark,
            "value": self.shown_value,
            "unit": self.unit,
            "text": " = ".join(self.sides()),
            "latex": " = ".join(self.sides(latex=True)),
            "result": self.result,
        }


@dataclass(frozen=True)
class Identity:
    """Two ways to one quantity, and how SymPy shows that they agree.

    Attributes
    ----------
    words : str
        What is shown.
    left, right : tuple of str
        Both sides, plain and LaTeX.
    shown : str
        How it was shown.
    """

    words: str
    left: tuple[str, str]
    right: tuple[str, str]
    shown: str
    kind: ClassVar[Literal["identity"]] = "identity"

    def sides(self, *, latex: bool = False) -> list[str]:
        """Return both sides."""
        return [self.left[latex], self.right[latex]]

    def to_dict(self) -> dict[str, Any]:
        """Return plain data."""
        return {
            "kind": "identity",
            "meaning": self.words,
            "text": " = ".join(self.sides()),
            "latex": " = ".join(self.sides(latex=True)),
            "shown": self.shown,
        }


@dataclass(frozen=True)
class Section:
    """A heading, what it says, and its lines and identities in order."""

    title: str
    words: str = ""
    items: tuple[Line | Identity, ...] = ()

    @property
    def lines(self) -> Iterator[Line]:
        """The lines among the items."""
        return (item for item in self.items if isinstance(item, Line))


@dataclass(frozen=True, repr=False)
class Formula:
    """A whole working, ready to be written in any form.

    Attributes
    ----------
    title : str
        The file's title.
    change : str or None
        Names of the changes laid over it.
    sections : tuple of Section
        In the order of reading.
    units : {"metric", "inch"}
        What the numbers are written in.
    """

    title: str
    change: str | None
    sections: tuple[Section, ...]
    units: str = "metric"

    def in_units(self, units: str) -> Formula:
        """Return the same working with its numbers written in metric or inch units.

        Inches, pounds-force, lbf·in, lbf/in and psi are coherent as mm, N, N·mm, N/mm and MPa are,
        so that each formula holds in them as it stands.
        """

        def of(section: Section) -> Section:
            items = (
                replace(item, units=units) if isinstance(item, Line) else item
                for item in section.items
            )
            return replace(section, items=tuple(items))

        return replace(self, sections=tuple(map(of, self.sections)), units=units)

    @property
    def lines(self) -> Iterator[Line]:
        """Every line of every section."""
        return (line for section in self.sections for line in section.lines)

    def text(self) -> str:
        """Return the working as plain text for a terminal."""
        return page.text(self)

    __str__ = text

    def markdown(self) -> str:
        """Return the working as Markdown with LaTeX between dollar signs."""
        return page.markdown(self)

    def latex(self) -> str:
        """Return the working as a whole LaTeX document (amsmath alone)."""
        return page.latex(self)

    def to_dict(self) -> dict[str, Any]:
        """Return the working as plain data: angles in deg, every other unit as named."""
        sections = [
            {"title": s.title, "words": s.words, "lines": [item.to_dict() for item in s.items]}
            for s in self.sections
        ]
        head = {"title": self.title, "change": self.change}
        return {**head, "caution": WORK_SAFELY, "sections": sections}

    def to_csv(self) -> str:
        """Return the numbers as CSV text, one row a line: symbol, meaning, value, unit."""
        rows = [(line.name, line.words, line.shown_value, line.unit) for line in self.lines]
        return csv_text(["symbol", "meaning", "value", "unit"], rows)

    def _repr_latex_(self) -> str:
        """Return every equation for a notebook, one below the other."""
        return page.equations(self)

    def _repr_html_(self) -> str:
        """Return the numbers as a table for a notebook."""
        return page.table(self)
