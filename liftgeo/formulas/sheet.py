"""Collects the lines of the working, each worked out from the ones before it."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any, Literal

import sympy

from liftgeo.formulas.laws import Table
from liftgeo.formulas.registry import Step
from liftgeo.formulas.result import Identity, Line, Section
from liftgeo.formulas.symbols import sym
from liftgeo.mechanism.convert import number

PAST_DEAD_CENTRE = "past dead centre: held there"


class Sheet:
    """The file's keys, the numbers known so far, and the lines since the last section."""

    def __init__(self, keys: Mapping[str, Any], taken: Collection[str] = ()) -> None:
        self.keys = keys
        self.taken = taken
        self.numbers: dict[str, float] = {}
        self.texts: dict[str, str] = {}
        self.items: list[Line | Identity] = []

    def copy(self) -> Sheet:
        """Return a new sheet that knows the same numbers and holds no lines."""
        other = Sheet(self.keys, self.taken)
        other.numbers, other.texts = dict(self.numbers), dict(self.texts)
        return other

    def key(self, name: str, dotted: str, default: float = 0.0) -> Any:
        """Put down a number of the file by its key, if it is not there yet; return its symbol."""
        if name not in self.numbers:
            self.given(name, number(self.keys, dotted, default), dotted)
        return sym(name)

    def those(self, *rows: tuple[str, str], but: float = 0.0) -> list[Any]:
        """Put down those of the keys that the file has, and that differ from what changes nothing.

        Returns
        -------
        list
            Their symbols.
        """
        return [self.key(n, k) for n, k in rows if float(number(self.keys, k, but)) != but]

    def steps(self, steps: Iterable[Step]) -> None:
        """Work out the steps of a law."""
        for step in steps:
            self.work(*step)

    def given(self, name: str, value: Any, note: str = "") -> Any:
        """Put down a number of the file; return its symbol. One that was left out says so."""
        if note in self.taken:
            note += ", not given: usual"
        return self._put(Line(name, "given", float(value), note=note, as_given=True))

    def found(self, name: str, value: Any, note: str, result: str = "") -> Any:
        """Put down a number that was found elsewhere; return its symbol."""
        return self._put(Line(name, "given", float(value), note=note, result=result))

    def work(
        self,
        name: str,
        expression: Any,
        note: str = "",
        result: str = "",
        scale: float = 1.0,
        lost_mm: float | None = None,
    ) -> Any:
        """Work out a line, or read it from its table; return its symbol.

        Parameters
        ----------
        expression : SymPy expression
            Its symbols must have been put down before.
        result, scale, lost_mm
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
        line = Line(name, kind, value, expression, numbers, texts, note, result, scale)
        return self._put(replace(line, lost_mm=lost_mm))

    def _put(self, line: Line) -> Any:
        self.numbers[line.name] = line.value
        self.texts[line.name] = line.value_text
        self.items.append(line)
        return sym(line.name)

    @property
    def lines(self) -> list[Line]:
        """The lines among what was collected."""
        return [item for item in self.items if isinstance(item, Line)]

    def section(self, title: str, words: str = "", upto: int | None = None) -> Section:
        """Return what was collected since the last section, or so many items of it."""
        made, self.items = self.items[:upto], self.items[len(self.items[:upto]) :]
        return Section(title, words, tuple(made))


_INVERSE = {"acos": math.acos, "asin": math.asin}
_ROUNDING = 1e-9


def _held(function: Any) -> Any:
    """Return an inverse function that is held at its ends, as the parts hold theirs."""
    return lambda x: function(min(max(x, -1.0), 1.0))


_MODULES = [{name: _held(function) for name, function in _INVERSE.items()}, "math"]


def evaluated(expression: Any, numbers: Mapping[str, float]) -> float:
    """Return the value of an expression in double precision; past dead centre, that there."""
    names, function = _compiled(expression)
    return float(function(*(numbers[name] for name in names)))


@lru_cache(maxsize=2048)
def _compiled(expression: Any) -> tuple[tuple[str, ...], Any]:
    """Return the names of an expression's symbols and its function of them; most come again."""
    symbols = sorted(expression.free_symbols, key=str)
    with sympy.evaluate(True):
        function = sympy.lambdify(symbols, expression, _MODULES, dummify=True)
    return tuple(map(str, symbols)), function


def _past_dead_centre(expression: Any, numbers: Mapping[str, float]) -> bool:
    inverses = expression.atoms(sympy.acos, sympy.asin)
    return any(abs(evaluated(f.args[0], numbers)) > 1 + _ROUNDING for f in inverses)
