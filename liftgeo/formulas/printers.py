"""Writes an expression as plain text or LaTeX, in symbols or with numbers and units put in.

SymPy's printers, kept from rearranging: an expression built under `sympy.evaluate(False)` is
written in the order in which a person would write it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import sympy
from sympy.printing.latex import LatexPrinter
from sympy.printing.precedence import PRECEDENCE
from sympy.printing.str import StrPrinter

from liftgeo.formulas.in_units import unit_shown
from liftgeo.formulas.numbers import as_given, six_figures
from liftgeo.formulas.symbols import ANGLE, quantity

_SUM, _PRODUCT, _POWER, _ATOM = (PRECEDENCE[n] for n in ("Add", "Mul", "Pow", "Atom"))
_TURNING = (sympy.sin, sympy.cos, sympy.tan)
_INVERSE = (sympy.acos, sympy.asin, sympy.atan)


class _AsWritten:
    """What both printers share: order, signs, fractions, and numbers with their units.

    Parameters
    ----------
    numbers : mapping of str to float, optional
        Numbers that stand for the symbols; without it symbols are written.
    texts : mapping of str to str, optional
        How those numbers are written in metric (angles apart); six figures where not given.
    units : {"metric", "inch"}
        What they are written in.
    """

    form: str
    times: tuple[str, str]
    brackets: tuple[str, str]
    settings: Mapping[str, Any] = {}
    _print: Any

    def __init__(
        self,
        numbers: Mapping[str, float] | None = None,
        texts: Mapping[str, str] | None = None,
        units: str = "metric",
    ) -> None:
        super().__init__(dict(self.settings))  # type: ignore[call-arg]  # a printer's
        self.numbers, self.texts, self.units, self.degrees = numbers, texts or {}, units, False

    def written(self, expression: Any, degrees: bool = False) -> str:
        """Return an expression as text; bare angles in degrees or in radians."""
        self.degrees = degrees
        return str(self._print(_opened(expression)))

    def unit(self, name: str) -> str:
        """Return a unit as it follows a number."""
        raise NotImplementedError

    def ratio(self, above: Any, below: Any) -> str:
        """Return a fraction."""
        raise NotImplementedError

    # --- SymPy's hooks ---

    def _print_Symbol(self, node: Any, **_: Any) -> str:
        if self.numbers is None:
            return str(getattr(quantity(node.name), self.form))
        unit, value = quantity(node.name).unit, self.numbers[node.name]
        if unit == ANGLE and not self.degrees:
            return six_figures(value) + self.unit("rad")
        if unit == ANGLE:
            unit, value = "deg", math.degrees(value)
        name, factor = unit_shown(unit, self.units)
        if name != unit:
            return six_figures(value / factor) + self.unit(name)
        return self.texts.get(node.name, six_figures(value)) + self.unit(unit)

    def _print_Float(self, node: Any) -> str:
        return as_given(float(node))

    def _print_Add(self, node: Any, **_: Any) -> str:
        text = ""
        for term in node.args:
            piece = self._print(term)
            sign, bare = ("-", piece[1:]) if piece.startswith("-") else ("+", piece)
            text = f"{text} {sign} {bare}" if text else piece
        return text

    def _print_Mul(self, node: Any) -> str:
        sign, above, below = _parted(node)
        if below:
            text = self.ratio(_product(above), _product(below))
        else:
            spaced = self.times[self.numbers is not None]
            text = spaced.join(self.parenthesize(f, _PRODUCT) for f in above)
        return sign + text

    def _print_Function(self, node: Any, **power: Any) -> str:
        outside, self.degrees = self.degrees, isinstance(node, _TURNING)
        try:
            return str(super()._print_Function(node, **power))  # type: ignore[misc]  # a printer's
        finally:
            self.degrees = outside

    def parenthesize(self, item: Any, level: int, *_: Any, **__: Any) -> str:
        """Return an item's text, in brackets where what surrounds it binds more tightly."""
        text = str(self._print(item))
        return text.join(self.brackets) if self._binds(item, text) < level else text

    def _binds(self, item: Any, text: str) -> int:
        if item.is_Add or text.startswith("-"):
            return int(_SUM)
        with_unit = item.is_Symbol and self.numbers is not None and not text[-1].isdigit()
        if item.is_Mul or with_unit or (item.is_Pow and item.exp.could_extract_minus_sign()):
            return int(_PRODUCT)
        return int(_POWER if item.is_Pow and item.exp != sympy.S.Half else _ATOM)


class Text(_AsWritten, StrPrinter):  # type: ignore[misc]  # SymPy has no types
    """Plain text."""

    form, times, brackets = "plain", ("·", " · "), ("(", ")")

    def unit(self, name: str) -> str:
        """Return a unit after a blank."""
        return f" {name}" if name else ""

    def ratio(self, above: Any, below: Any) -> str:
        """Return a fraction on one line."""
        return f"{self.parenthesize(above, _PRODUCT)}/{self.parenthesize(below, _POWER)}"

    def _print_Pow(self, node: Any, **_: Any) -> str:
        base, exponent = node.args
        if exponent == sympy.S.Half:
            return f"sqrt({self._print(base)})"
        if exponent.could_extract_minus_sign():
            return self._print_Mul(node)
        power = self._print(exponent)
        tail = {"2": "²", "3": "³", "4": "⁴"}.get(power, f"^{power}")
        return self.parenthesize(base, _ATOM) + tail

    def _print_Pi(self, node: Any) -> str:
        return "π"

    def _print_Function(self, node: Any, **power: Any) -> str:
        text = super()._print_Function(node)
        if isinstance(node, _INVERSE):
            return f"arc{text[1:]}"
        return f"ln{text[3:]}" if isinstance(node, sympy.log) else text


class Latex(_AsWritten, LatexPrinter):  # type: ignore[misc]  # SymPy has no types
    """LaTeX."""

    form, times, brackets = "latex", (r"\, ", r" \cdot "), (r"\left(", r"\right)")
    settings: Mapping[str, Any] = {"inv_trig_style": "full", "ln_notation": True}

    def unit(self, name: str) -> str:
        """Return a unit, upright after a thin space."""
        if name in ("", "deg"):
            return r"^{\circ}" if name else ""
        text = name.replace("·", r"\,").replace("²", "^2").replace("³", "^3")
        return rf"\,\mathrm{{{text}}}"

    def ratio(self, above: Any, below: Any) -> str:
        """Return a fraction."""
        return rf"\frac{{{self._print(above)}}}{{{self._print(below)}}}"


def only_angles(expression: Any) -> bool:
    """Return whether an expression is a sum of angles and inverse functions."""
    if expression.is_Symbol:
        return bool(quantity(expression.name).unit == ANGLE)
    if expression.is_Add:
        return all(only_angles(a) for a in expression.args)
    if expression.is_Mul:
        others = [a for a in expression.args if a.free_symbols]
        return len(others) == 1 and only_angles(others[0])
    return isinstance(expression, _INVERSE)


def _opened(node: Any) -> Any:
    """Return an expression whose sums hold no sums and whose products no products."""
    if not node.args:
        return node
    args = [_opened(a) for a in node.args]
    if node.is_Add or node.is_Mul:
        nested = [a.args if isinstance(a, node.func) else (a,) for a in args]
        args = [a for inner in nested for a in inner]
    return node.func(*args, evaluate=False)


def _parted(node: Any) -> tuple[str, list[Any], list[Any]]:
    """Return sign, and the factors above and below the line, of a product."""
    above: list[Any] = []
    below: list[Any] = []
    minus = False
    for factor in sympy.Mul.make_args(node):
        if factor.is_Number and factor.is_negative:
            minus, factor = not minus, -factor
        if factor.is_Pow and factor.exp.is_Number and factor.exp.is_negative:
            power = -factor.exp
            root = factor.base if power == 1 else sympy.Pow(factor.base, power, evaluate=False)
            below += sympy.Mul.make_args(root)
        elif factor.is_Rational and not factor.is_Integer:
            above += [sympy.Integer(factor.p)] if factor.p != 1 else []
            below.append(sympy.Integer(factor.q))
        elif factor != 1:
            above.append(factor)
    return "-" if minus else "", above, below


def _product(factors: list[Any]) -> Any:
    """Return factors as one expression, as written."""
    if len(factors) < 2:
        return factors[0] if factors else sympy.S.One
    return sympy.Mul(*factors, evaluate=False)
