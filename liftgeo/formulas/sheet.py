"""Collects the lines of the working, each worked out from the ones before it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Literal

import sympy

from liftgeo.formulas.laws import Table
from liftgeo.formulas.result import Identity, Line, Section
from liftgeo.formulas.symbols import sym

PAST_DEAD_CENTRE = "past dead centre: held there"


class Sheet:
    """The numbers known so far, and the lines since the last section."""

    def __init__(self, known: Sheet | None = None) -> None:
        self.numbers: dict[str, float] = dict(known.numbers) if known else {}
        self.texts: dict[str, str] = dict(known.texts) if known else {}
        self.items: list[Line | Identity] = []

    def given(self, name: str, value: Any, note: str = "") -> Any:
        """Put down a number of the file; return its symbol."""
        return self._put(Line(name, "given", float(value), note=note, as_given=True))

    def found(self, name: str, value: Any, note: str, result: str = "") -> Any:
        """Put down a number that was found elsewhere; return its symbol."""
        return self._put(Line(name, "given", float(value), note=note, result=result))

    def work(
        self, name: str, expression: Any, note: str = "", result: str = "", scale: float = 1.0
    ) -> Any:
        """Work out a line, or read it from its table; return its symbol.

        Parameters
        ----------
        expression : SymPy expression
            Its symbols must have been put down before.
        result, scale : str, float
            See `Line`.
        """
        value = evaluated(expression, self.numbers)
        kind: Literal["worked", "read"] = "worked"
        numbers: dict[str, float] = {}
        if isinstance(expression, Table):
            kind, note, expression = "read", expression.words, None
        else:
            numbers = {n: self.numbers[n] for n in sorted(map(str, expression.free_symbols))}
            held = PAST_DEAD_CENTRE if _past_dead_centre(expression, numbers) else ""
            note = "; ".join(filter(None, (note, held)))
        texts = {n: self.texts[n] for n in numbers}
        return self._put(Line(name, kind, value, expression, numbers, texts, note, result, scale))

    def _put(self, line: Line) -> Any:
        self.numbers[line.name] = line.value
        self.texts[line.name] = line.value_text
        self.items.append(line)
        return sym(line.name)

    def taken(self) -> tuple[Line | Identity, ...]:
        """Return what was collected since the last time."""
        made, self.items = tuple(self.items), []
        return made

    def section(self, title: str, words: str = "") -> Section:
        """Return what was collected since the last section."""
        return Section(title, words, self.taken())


_INVERSE = {"acos": math.acos, "asin": math.asin}
_ROUNDING = 1e-9


def _held(function: Any) -> Any:
    """Return an inverse function that is held at its ends, as the parts hold theirs."""
    return lambda x: function(min(max(x, -1.0), 1.0))


_MODULES = [{name: _held(function) for name, function in _INVERSE.items()}, "math"]


def evaluated(expression: Any, numbers: Mapping[str, float]) -> float:
    """Return the value of an expression in double precision; past dead centre, that there."""
    symbols = sorted(expression.free_symbols, key=str)
    with sympy.evaluate(True):
        function = sympy.lambdify(symbols, expression, _MODULES, dummify=True)
    return float(function(*(numbers[str(s)] for s in symbols)))


def _past_dead_centre(expression: Any, numbers: Mapping[str, float]) -> bool:
    inverses = expression.atoms(sympy.acos, sympy.asin)
    return any(abs(evaluated(f.args[0], numbers)) > 1 + _ROUNDING for f in inverses)
