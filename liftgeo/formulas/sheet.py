"""The working as data: givens, lines with their numbers put in, sections, and identities shown."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import sympy

from liftgeo.formulas.script import Latex, Script, as_given, six_figures
from liftgeo.formulas.symbols import ANGLE, Quantity, quantity

GIVEN, WORKED, READ = "given", "worked", "read"
_ANGLE_FUNCTIONS = (sympy.acos, sympy.asin, sympy.atan)


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
    """

    name: str
    kind: str
    value: float
    expression: Any = None
    numbers: Mapping[str, float] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)
    note: str = ""
    result: str = ""
    scale: float = 1.0
    as_given: bool = False

    @property
    def quantity(self) -> Quantity:
        """The quantity of this line."""
        return quantity(self.name)

    @property
    def in_degrees(self) -> bool:
        """Whether the line reads in degrees throughout."""
        if self.quantity.unit != ANGLE:
            return False
        return self.expression is None or _only_angles(self.expression)

    @property
    def shown_value(self) -> float:
        """The value in the unit shown: angles in degrees."""
        return math.degrees(self.value) if self.quantity.unit == ANGLE else self.value

    @property
    def value_text(self) -> str:
        """The value as printed, without unit; angles in degrees."""
        return (as_given if self.as_given else six_figures)(self.shown_value)

    def value_with_unit(self, script: Script) -> str:
        """Return the value with its unit; an angle in degrees, and in radians where worked so."""
        unit = self.quantity.unit
        if unit != ANGLE:
            return self.value_text + script.unit(unit)
        degrees = self.value_text + script.unit("deg")
        if self.in_degrees:
            return degrees
        equals = " = "
        return six_figures(self.value) + script.unit("rad") + equals + degrees

    def parts(self, script: type[Script] | type[Latex]) -> list[str]:
        """Return the sides of the equation: symbol, expression, with numbers, value."""
        plain = script()
        sides = [plain.symbol(self.name)]
        if self.expression is not None:
            symbols = plain.written(self.expression, self.in_degrees)
            numbers = script(self.numbers, self.texts).written(self.expression, self.in_degrees)
            sides.append(symbols)
            if numbers != symbols:
                sides.append(numbers)
        value = self.value_with_unit(plain)
        if value != sides[-1]:
            sides.append(value)
        return sides


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


@dataclass(frozen=True)
class Working:
    """A whole working, ready to be written."""

    title: str
    change: str | None
    sections: tuple[Section, ...]

    @property
    def lines(self) -> Iterator[Line]:
        """Every line of every section."""
        return (line for section in self.sections for line in section.lines)


class Sheet:
    """Collects lines, each worked out from the ones before it."""

    def __init__(self) -> None:
        self.numbers: dict[str, float] = {}
        self.texts: dict[str, str] = {}
        self.items: list[Line | Identity] = []

    def given(self, name: str, value: Any, note: str = "", result: str = "") -> Any:
        """Put down a number of the file; return its symbol."""
        number = float(value)
        line = Line(name, GIVEN, number, note=note, result=result, as_given=True)
        return self._put(line)

    def found(self, name: str, value: Any, note: str, result: str = "") -> Any:
        """Put down a number that was found elsewhere; return its symbol."""
        return self._put(Line(name, GIVEN, float(value), note=note, result=result))

    def read(self, name: str, value: Any, note: str, result: str = "") -> Any:
        """Put down a number read from a measured table; return its symbol."""
        return self._put(Line(name, READ, float(value), note=note, result=result))

    def work(
        self, name: str, expression: Any, note: str = "", result: str = "", scale: float = 1.0
    ) -> Any:
        """Work out a line; return its symbol.

        Parameters
        ----------
        expression : SymPy expression
            Its symbols must have been put down before.
        result, scale : str, float
            See `Line`.
        """
        wanted = sorted(str(s) for s in expression.free_symbols)
        numbers = {n: self.numbers[n] for n in wanted}
        texts = {n: self.texts[n] for n in wanted}
        value = evaluated(expression, numbers)
        line = Line(name, WORKED, value, expression, numbers, texts, note, result, scale)
        return self._put(line)

    def _put(self, line: Line) -> Any:
        self.numbers[line.name] = line.value
        self.texts[line.name] = line.value_text
        self.items.append(line)
        return sympy.Symbol(line.name, real=True)

    def copy(self) -> Sheet:
        """Return a new sheet that knows the same numbers and holds no lines."""
        other = Sheet()
        other.numbers, other.texts = dict(self.numbers), dict(self.texts)
        return other

    def section(self, title: str, words: str = "") -> Section:
        """Return what was collected since the last section."""
        made = Section(title, words, tuple(self.items))
        self.items = []
        return made


def evaluated(expression: Any, numbers: Mapping[str, float]) -> float:
    """Return the value of an expression in double precision."""
    symbols = sorted(expression.free_symbols, key=str)
    with sympy.evaluate(True):
        function = sympy.lambdify(symbols, expression, "math", dummify=True)
    return float(function(*(numbers[str(s)] for s in symbols)))


def _only_angles(expression: Any) -> bool:
    """Return whether an expression is a sum of angles and inverse functions."""
    if expression.is_Symbol:
        return bool(quantity(expression.name).unit == ANGLE)
    if expression.is_Add:
        return all(_only_angles(a) for a in expression.args)
    if expression.is_Mul:
        others = [a for a in expression.args if a.free_symbols]
        return len(others) == 1 and _only_angles(others[0])
    return isinstance(expression, _ANGLE_FUNCTIONS)
