"""Units as factors and powers: a small exact table, and Pint for the rest."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any


@dataclass(frozen=True, eq=False, repr=False)
class Unit:
    """A unit as a factor to N, mm, deg, s and K.

    The powers are those of force, length, angle, time, temperature and anything else.
    """

    factor: Fraction
    powers: tuple[float, ...]

    def times(self, other: Unit, power: int = 1) -> Unit:
        """Return this unit multiplied by a power of another."""
        powers = tuple(a + power * b for a, b in zip(self.powers, other.powers, strict=True))
        return Unit(self.factor * other.factor**power, powers)


def _make(factor: Fraction | int, *powers: int) -> Unit:
    return Unit(Fraction(factor), (*powers, *(0,) * (6 - len(powers))))


_ONE = _make(1)
_LBF = Fraction("4.4482216152605")  # 0.453 592 37 kg in standard gravity, both exact by definition
_KGF = Fraction("9.80665")
_INCH = Fraction("25.4")
_DEG_PER_RAD = Fraction(180) / Fraction(math.pi)

KNOWN_UNITS: dict[str, Unit] = {}
for _names, _known in (
    ("mm", _make(1, 0, 1)),
    ("cm", _make(10, 0, 1)),
    ("m", _make(1000, 0, 1)),
    ("um", _make(Fraction(1, 1000), 0, 1)),
    ("in inch inches \" ''", _make(_INCH, 0, 1)),
    ("'", _make(_INCH * 12, 0, 1)),
    ("thou mil mils", _make(_INCH / 1000, 0, 1)),
    ("ft foot feet", _make(_INCH * 12, 0, 1)),
    ("N", _make(1, 1)),
    ("kN", _make(1000, 1)),
    ("lbf lb lbs", _make(_LBF, 1)),
    ("kgf kp", _make(_KGF, 1)),
    ("gf", _make(_KGF / 1000, 1)),
    ("ozf oz ounce ounces", _make(_LBF / 16, 1)),  # as lb: what a spring balance shows
    ("st stone stones", _make(_LBF * 14, 1)),
    ("Nm", _make(1000, 1, 1)),
    ("Ncm", _make(10, 1, 1)),
    ("Nmm", _make(1, 1, 1)),
    ("kNm", _make(10**6, 1, 1)),
    ("deg degree degrees °", _make(1, 0, 0, 1)),
    ("rad", _make(_DEG_PER_RAD, 0, 0, 1)),
    ("rev", _make(360, 0, 0, 1)),
    ("rpm", _make(6, 0, 0, 1, -1)),
    ("W", _make(1000, 1, 1, 0, -1)),
    ("kW", _make(10**6, 1, 1, 0, -1)),
    ("hp HP bhp", _make(550 * 12 * _INCH * _LBF, 1, 1, 0, -1)),
    ("PS CV cv ch pk", _make(75_000 * _KGF, 1, 1, 0, -1)),
    ("Pa", _make(Fraction(1, 10**6), 1, -2)),
    ("mPa", _make(Fraction(1, 10**9), 1, -2)),
    ("kPa", _make(Fraction(1, 1000), 1, -2)),
    ("MPa", _make(1, 1, -2)),
    ("GPa", _make(1000, 1, -2)),
    ("bar", _make(Fraction(1, 10), 1, -2)),
    ("psi", _make(_LBF / _INCH**2, 1, -2)),
    ("ksi", _make(1000 * _LBF / _INCH**2, 1, -2)),
    ("cP", _make(Fraction(1, 10**9), 1, -2, 0, 1)),
    ("s sec", _make(1, 0, 0, 0, 1)),
    ("min", _make(60, 0, 0, 0, 1)),
    ("h hr hour hours", _make(3600, 0, 0, 0, 1)),
    ("K degC °C", _make(1, 0, 0, 0, 0, 1)),
    ("degF °F", _make(Fraction(5, 9), 0, 0, 0, 0, 1)),
    ("%", _make(Fraction(1, 100))),
    ("ppm", _make(Fraction(1, 10**6))),
    ("kg", _make(Fraction(1, 1000), 1, -1, 0, 2)),  # masses: scales show them, and mean a weight
    ("g", _make(Fraction(1, 10**6), 1, -1, 0, 2)),
):
    KNOWN_UNITS.update(dict.fromkeys(_names.split(), _known))

_SPELLINGS = str.maketrans("·⋅∙*×µμº″”", '.....uu°""') | str.maketrans(
    {"²": "^2", "³": "^3", "⁻": "^-", "¹": "1"}
)
_PIECE = re.compile(
    r"""(?P<name>°?[A-Za-z_]+|°|%|"|''?)(?P<power>\^?-?[0-9])?(?![0-9])|(?P<mark>[./()]|1(?![0-9]))"""
)


class UnknownUnitError(Exception):
    """A name in a unit that is not known, or a unit that does not parse."""


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()


_ROOTS = {
    "meter": KNOWN_UNITS["m"],
    "kilogram": KNOWN_UNITS["kg"],
    "gram": _ONE.times(Unit(KNOWN_UNITS["kg"].factor / 1000, KNOWN_UNITS["kg"].powers)),
    "second": KNOWN_UNITS["s"],
    "kelvin": KNOWN_UNITS["K"],
    "radian": KNOWN_UNITS["rad"],
}


@cache
def _named(name: str) -> Unit:
    """Return the unit of one name, from the small table or else from Pint."""
    if name in KNOWN_UNITS:
        return KNOWN_UNITS[name]
    try:
        one, two = (_registry().Quantity(count, name).to_root_units() for count in (1.0, 2.0))
        powers = {root: Fraction(power) for root, power in one.unit_items()}
        unit = Unit(Fraction(one.magnitude), _ONE.powers)
        straight = math.isclose(two.magnitude, 2.0 * one.magnitude, rel_tol=1e-12)
    except (
        Exception
    ) as fault:  # whatever Pint makes of a name it cannot use, the answer is the same
        raise UnknownUnitError(name) from fault
    if not straight:  # a scale with an offset, or a logarithm
        raise UnknownUnitError(name)
    for root, power in powers.items():
        if root not in _ROOTS or power.denominator != 1:
            return Unit(Fraction(1), (0, 0, 0, 0, 0, 1))
        unit = unit.times(_ROOTS[root], int(power))
    return unit


def _pieces(text: str) -> list[re.Match[str]]:
    """Cut a unit text into names with their power, and the marks between them."""
    plain = text.translate(_SPELLINGS).replace("..", "^")
    plain = re.sub(r"\s+per\s+", "/", plain)
    plain = re.sub(r"-(?=[A-Za-z])", ".", plain)
    plain = re.sub(r"\s*([./^()])\s*", r"\1", plain.strip())
    plain = re.sub(r"\s+", ".", plain)
    pieces: list[re.Match[str]] = []
    place = 0
    while place < len(plain):
        piece = _PIECE.match(plain, place)
        if piece is None:
            raise UnknownUnitError(text)
        pieces.append(piece)
        place = piece.end()
    return pieces


@cache
def unit_named(text: str) -> Unit:
    """Return the unit a text stands for; "" is the pure number."""
    if not text.strip():
        return _ONE
    pieces = _pieces(text)
    if pieces[0]["mark"] == "/":  # "12e-6 /K"
        unit, used = _product(pieces, 0, _ONE, text)
    else:
        first, used = _factor(pieces, 0, text)
        unit, used = _product(pieces, used, first, text)
    if used != len(pieces):
        raise UnknownUnitError(text)
    return unit


def _product(pieces: list[re.Match[str]], place: int, unit: Unit, text: str) -> tuple[Unit, int]:
    """Multiply and divide from the left for as long as a mark says so."""
    while place < len(pieces) and pieces[place]["mark"] in (".", "/"):
        power = 1 if pieces[place]["mark"] == "." else -1
        factor, place = _factor(pieces, place + 1, text)
        unit = unit.times(factor, power)
    return unit, place


def _factor(pieces: list[re.Match[str]], place: int, text: str) -> tuple[Unit, int]:
    """Return the one factor that stands at a place, and the place after it."""
    if place >= len(pieces):
        raise UnknownUnitError(text)
    piece = pieces[place]
    if piece["name"]:
        power = int((piece["power"] or "1").lstrip("^"))
        return _ONE.times(_named(piece["name"]), power), place + 1
    if piece["mark"] == "1":
        return _ONE, place + 1
    if piece["mark"] == "(":
        first, place = _factor(pieces, place + 1, text)
        inner, place = _product(pieces, place, first, text)
        if place < len(pieces) and pieces[place]["mark"] == ")":
            return inner, place + 1
    raise UnknownUnitError(text)
