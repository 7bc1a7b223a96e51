"""Writes an expression as plain text or LaTeX, in symbols or with numbers and units put in.

SymPy's own printers reorder terms; here an expression built under `sympy.evaluate(False)` is
written in the order in which a person would write it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import sympy

from liftgeo.formulas.symbols import ANGLE, quantity

SUM, PRODUCT, POWER, ATOM = 1, 2, 3, 4
_TURNING = (sympy.sin, sympy.cos, sympy.tan)
_INVERSE = {"acos": "arccos", "asin": "arcsin", "atan": "arctan", "log": "ln"}


def six_figures(value: float) -> str:
    """Return a number to six figures, never in powers of ten, without trailing zeros."""
    if abs(value) < 5e-9:
        return "0"
    places = min(max(5 - math.floor(math.log10(abs(value))), 0), 8)
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def as_given(value: float) -> str:
    """Return a number of a file as it was given, up to ten figures."""
    text = f"{value:.10g}"
    return six_figures(value) if "e" in text else text


@dataclass(frozen=True)
class Piece:
    """A written piece and how tightly it binds."""

    text: str
    binds: int

    def within(self, level: int, brackets: Callable[[str], str]) -> str:
        """Return the text, in brackets where what surrounds it binds more tightly."""
        return self.text if self.binds >= level else brackets(self.text)


@dataclass
class Script:
    """Plain text; `Latex` below writes LaTeX.

    Parameters
    ----------
    numbers : mapping of str to float, optional
        Numbers that stand for the symbols; without it symbols are written.
    texts : mapping of str to str
        How those numbers are written (angles apart); six figures where not given.
    """

    numbers: Mapping[str, float] | None = None
    texts: Mapping[str, str] = field(default_factory=dict)
    times: str = "·"
    between: str = " "

    # --- pieces that differ between plain text and LaTeX ---

    def brackets(self, text: str) -> str:
        """Return text in round brackets."""
        return f"({text})"

    def unit(self, name: str) -> str:
        """Return a unit as it follows a number."""
        return f" {name}" if name else ""

    def symbol(self, name: str) -> str:
        """Return a symbol."""
        return quantity(name).plain

    def ratio(self, above: Piece, below: Piece) -> Piece:
        """Return a fraction."""
        text = f"{above.within(PRODUCT, self.brackets)}/{below.within(POWER, self.brackets)}"
        return Piece(text, PRODUCT)

    def root(self, inside: Piece) -> Piece:
        """Return a square root."""
        return Piece(f"sqrt({inside.text})", ATOM)

    def raised(self, base: Piece, exponent: Piece) -> Piece:
        """Return a power."""
        known = {"2": "²", "3": "³", "4": "⁴"}.get(exponent.text)
        tail = known or f"^{exponent.within(ATOM, self.brackets)}"
        return Piece(base.within(ATOM, self.brackets) + tail, POWER)

    def called(self, name: str, arguments: list[Piece]) -> Piece:
        """Return a function of its arguments."""
        inside = ", ".join(a.text for a in arguments)
        return Piece(f"{name}({inside})", ATOM)

    def pi(self) -> str:
        """Return the circle's number."""
        return "π"

    # --- writing ---

    def amount(self, value: float, unit: str, text: str | None = None) -> Piece:
        """Return a number with its unit."""
        text = six_figures(value) if text is None else text
        tail = self.unit(unit)
        binds = SUM if text.startswith("-") else PRODUCT if tail else ATOM
        return Piece(text + tail, binds)

    def written(self, expression: Any, degrees: bool = False) -> str:
        """Return an expression as text; bare angles in degrees or in radians."""
        return self._piece(expression, degrees).text

    def _piece(self, node: Any, degrees: bool) -> Piece:
        if node.is_Symbol:
            return self._symbol(node.name, degrees)
        if node.is_Add:
            return self._sum(node, degrees)
        if node.is_Mul:
            return self._product(node, degrees)
        if node.is_Pow:
            return self._power(node, degrees)
        if node is sympy.pi:
            return Piece(self.pi(), ATOM)
        if node.is_Number:
            return self._number(node)
        return self._function(node, degrees)

    def _symbol(self, name: str, degrees: bool) -> Piece:
        if self.numbers is None:
            return Piece(self.symbol(name), ATOM)
        what, value = quantity(name), self.numbers[name]
        if what.unit == ANGLE:
            if degrees:
                return self.amount(math.degrees(value), "deg", self.texts.get(name))
            return self.amount(value, "rad")
        return self.amount(value, what.unit, self.texts.get(name))

    def _number(self, node: Any) -> Piece:
        if node.is_Rational and not node.is_Integer:
            above, below = Piece(str(abs(node.p)), ATOM), Piece(str(node.q), ATOM)
            piece = self.ratio(above, below)
            return Piece(f"-{piece.text}", SUM) if node.p < 0 else piece
        text = str(node) if node.is_Integer else as_given(float(node))
        return Piece(text, SUM if text.startswith("-") else ATOM)

    def _sum(self, node: Any, degrees: bool) -> Piece:
        text = ""
        for term in _flat(node, sympy.Add):
            sign, bare = _signed(term)
            piece = self._piece(bare, degrees).within(PRODUCT, self.brackets)
            if not text:
                text = f"-{piece}" if sign < 0 else piece
            else:
                text += f" {'-' if sign < 0 else '+'} {piece}"
        return Piece(text, SUM)

    def _product(self, node: Any, degrees: bool) -> Piece:
        above: list[Any] = []
        below: list[Any] = []
        sign = 1
        for factor in _flat(node, sympy.Mul):
            if factor.is_Number and factor.is_negative:
                sign, factor = -sign, -factor
            if factor.is_Pow and factor.exp.is_Number and factor.exp.is_negative:
                base, exponent = factor.base, -factor.exp
                root = base if exponent == 1 else sympy.Pow(base, exponent, evaluate=False)
                below += _flat(root, sympy.Mul)
            elif factor.is_Rational and not factor.is_Integer:
                above += [sympy.Integer(factor.p)]
                below += [sympy.Integer(factor.q)]
            elif factor != 1:
                above.append(factor)
        piece = self._joined(above, degrees)
        if below:
            piece = self.ratio(piece, self._joined(below, degrees))
        return Piece(f"-{piece.text}", SUM) if sign < 0 else piece

    def _joined(self, factors: list[Any], degrees: bool) -> Piece:
        if not factors:
            return Piece("1", ATOM)
        pieces = [self._piece(f, degrees) for f in factors]
        if len(pieces) == 1:
            return pieces[0]
        texts = [p.within(PRODUCT, self.brackets) for p in pieces]
        return Piece(self._spaced(texts), PRODUCT)

    def _spaced(self, texts: list[str]) -> str:
        if self.numbers is not None:
            return f" {self.times} ".join(texts)
        return self.times.join(texts)

    def _power(self, node: Any, degrees: bool) -> Piece:
        base, exponent = node.base, node.exp
        if exponent == sympy.Rational(1, 2):
            return self.root(self._piece(base, degrees))
        if exponent.is_Number and exponent.is_negative:
            rest = base if exponent == -1 else sympy.Pow(base, -exponent, evaluate=False)
            return self.ratio(Piece("1", ATOM), self._piece(rest, degrees))
        return self.raised(self._piece(base, degrees), self._piece(exponent, degrees))

    def _function(self, node: Any, degrees: bool) -> Piece:
        name = type(node).__name__
        inner = isinstance(node, _TURNING)
        arguments = [self._piece(a, inner) for a in node.args]
        return self.called(_INVERSE.get(name, name), arguments)


class Latex(Script):
    """The same in LaTeX."""

    def __init__(
        self, numbers: Mapping[str, float] | None = None, texts: Mapping[str, str] | None = None
    ) -> None:
        super().__init__(numbers, texts or {}, times=r"\cdot")

    def brackets(self, text: str) -> str:
        """Return text in brackets that grow."""
        return rf"\left({text}\right)"

    def unit(self, name: str) -> str:
        """Return a unit, upright after a thin space."""
        return latex_unit(name)

    def symbol(self, name: str) -> str:
        """Return a symbol."""
        return quantity(name).latex

    def ratio(self, above: Piece, below: Piece) -> Piece:
        """Return a fraction."""
        return Piece(rf"\frac{{{above.text}}}{{{below.text}}}", PRODUCT)

    def root(self, inside: Piece) -> Piece:
        """Return a square root."""
        return Piece(rf"\sqrt{{{inside.text}}}", ATOM)

    def raised(self, base: Piece, exponent: Piece) -> Piece:
        """Return a power."""
        return Piece(f"{base.within(ATOM, self.brackets)}^{{{exponent.text}}}", POWER)

    def called(self, name: str, arguments: list[Piece]) -> Piece:
        """Return a function; the exponential as a power of e."""
        inside = ",\\,".join(a.text for a in arguments)
        if name == "exp":
            return Piece(f"e^{{{inside}}}", POWER)
        if name == "Abs":
            return Piece(rf"\left|{inside}\right|", ATOM)
        return Piece(rf"\{name.lower()}\left({inside}\right)", ATOM)

    def pi(self) -> str:
        """Return the circle's number."""
        return r"\pi"

    def _spaced(self, texts: list[str]) -> str:
        return rf" {self.times} ".join(texts) if self.numbers is not None else r"\, ".join(texts)


def latex_unit(name: str) -> str:
    """Return a unit in LaTeX, upright after a thin space."""
    if not name:
        return ""
    if name == "deg":
        return r"^{\circ}"
    text = name.replace("·", r"\,").replace("²", "^2").replace("⁴", "^4")
    return rf"\,\mathrm{{{text}}}"


def _flat(node: Any, kind: Any) -> list[Any]:
    """Return the terms of a sum, or factors of a product, nested ones opened."""
    if not isinstance(node, kind):
        return [node]
    found = []
    for argument in node.args:
        found += _flat(argument, kind)
    return found


def _signed(term: Any) -> tuple[int, Any]:
    """Return sign and magnitude of a term of a sum."""
    if term.is_Number:
        return (-1, -term) if term.is_negative else (1, term)
    factors = _flat(term, sympy.Mul)
    sign, rest = 1, []
    for factor in factors:
        if factor.is_Number and factor.is_negative:
            sign, factor = -sign, -factor
        if factor != 1 or len(factors) == 1:
            rest.append(factor)
    if not rest:
        return sign, sympy.Integer(1)
    if len(rest) == 1:
        return sign, rest[0]
    return sign, sympy.Mul(*rest, evaluate=False)
