"""Text to numbers and back: units, fractions and ±.

Inside the package a quantity of a geometry file is a float in the bare unit of its dimension (mm,
N, deg, N·m ...). This module reads what people write ("1 3/32 in", "55 lbf", "26.0 ± 0.2 mm") into
such floats and shows them again in metric or inch units. The common units are exact and served
from a small table; Pint is loaded only for the others.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from numbers import Real
from typing import Any, NoReturn, TypeVar, overload

from liftgeo.errors import QuantityError, nearest

_Array = TypeVar("_Array")


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

    def __new__(cls, value: float, half_width: float, uniform: bool = False) -> Measured:
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

    def __reduce__(self) -> tuple[type[Measured], tuple[float, float, bool]]:
        return type(self), (float(self), self.half_width, self.uniform)

    def __repr__(self) -> str:
        limits = ", uniform=True" if self.uniform else ""
        return f"Measured({float(self)!r}, {self.half_width!r}{limits})"

    def __str__(self) -> str:
        return float.__repr__(self)


# --- units ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Unit:
    """A unit as a factor to N, mm, deg, s and K.

    The powers are those of force, length, angle, time, temperature and anything else.
    """

    factor: Fraction
    powers: tuple[float, ...]

    def times(self, other: _Unit, power: int = 1) -> _Unit:
        """Return this unit multiplied by a power of another."""
        powers = tuple(a + power * b for a, b in zip(self.powers, other.powers, strict=True))
        return _Unit(self.factor * other.factor**power, powers)


def _make(factor: Fraction | int, *powers: int) -> _Unit:
    return _Unit(Fraction(factor), (*powers, *(0,) * (6 - len(powers))))


_ONE = _make(1)
_LBF = Fraction("4.4482216152605")  # 0.453 592 37 kg in standard gravity, both exact by definition
_KGF = Fraction("9.80665")
_INCH = Fraction("25.4")
_DEG_PER_RAD = Fraction(180) / Fraction(math.pi)

_UNITS: dict[str, _Unit] = {}
for _names, _known in (
    ("mm", _make(1, 0, 1)),
    ("cm", _make(10, 0, 1)),
    ("m", _make(1000, 0, 1)),
    ("um", _make(Fraction(1, 1000), 0, 1)),
    ("in inch inches \" ''", _make(_INCH, 0, 1)),
    ("thou mil mils", _make(_INCH / 1000, 0, 1)),
    ("ft foot feet", _make(_INCH * 12, 0, 1)),
    ("N", _make(1, 1)),
    ("kN", _make(1000, 1)),
    ("lbf lb lbs", _make(_LBF, 1)),
    ("kgf kp", _make(_KGF, 1)),
    ("gf", _make(_KGF / 1000, 1)),
    ("Nm", _make(1000, 1, 1)),
    ("Ncm", _make(10, 1, 1)),
    ("Nmm", _make(1, 1, 1)),
    ("kNm", _make(10**6, 1, 1)),
    ("deg degree degrees °", _make(1, 0, 0, 1)),
    ("rad", _make(_DEG_PER_RAD, 0, 0, 1)),
    ("rev", _make(360, 0, 0, 1)),
    ("rpm", _make(6, 0, 0, 1, -1)),
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
    ("kg", _make(Fraction(1, 1000), 1, -1, 0, 2)),  # a mass: known so that it can be refused well
):
    _UNITS.update(dict.fromkeys(_names.split(), _known))

_SPELLINGS = str.maketrans("·⋅∙*×µμº″”", '.....uu°""') | str.maketrans(
    {"²": "^2", "³": "^3", "⁻": "^-", "¹": "1"}
)
_PIECE = re.compile(
    r"""(?P<name>°?[A-Za-z_]+|°|%|"|'')(?P<power>\^?-?[0-9])?(?![0-9])|(?P<mark>[./()]|1(?![0-9]))"""
)


class _UnknownUnit(Exception):
    """A name in a unit that is not known, or a unit that does not parse."""


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()


_ROOTS = {
    "meter": _UNITS["m"],
    "kilogram": _UNITS["kg"],
    "gram": _ONE.times(_Unit(_UNITS["kg"].factor / 1000, _UNITS["kg"].powers)),
    "second": _UNITS["s"],
    "kelvin": _UNITS["K"],
    "radian": _UNITS["rad"],
}


@cache
def _named(name: str) -> _Unit:
    """Return the unit of one name, from the small table or else from Pint."""
    if name in _UNITS:
        return _UNITS[name]
    try:
        one, two = (_registry().Quantity(count, name).to_root_units() for count in (1.0, 2.0))
        powers = {root: Fraction(power) for root, power in one.unit_items()}
        unit = _Unit(Fraction(one.magnitude), _ONE.powers)
        straight = math.isclose(two.magnitude, 2.0 * one.magnitude, rel_tol=1e-12)
    except (
        Exception
    ) as fault:  # whatever Pint makes of a name it cannot use, the answer is the same
        raise _UnknownUnit(name) from fault
    if not straight:  # a scale with an offset, or a logarithm
        raise _UnknownUnit(name)
    for root, power in powers.items():
        if root not in _ROOTS or power.denominator != 1:
            return _Unit(Fraction(1), (0, 0, 0, 0, 0, 1))
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
            raise _UnknownUnit(text)
        pieces.append(piece)
        place = piece.end()
    return pieces


@cache
def _unit(text: str) -> _Unit:
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
        raise _UnknownUnit(text)
    return unit


def _product(pieces: list[re.Match[str]], place: int, unit: _Unit, text: str) -> tuple[_Unit, int]:
    """Multiply and divide from the left for as long as a mark says so."""
    while place < len(pieces) and pieces[place]["mark"] in (".", "/"):
        power = 1 if pieces[place]["mark"] == "." else -1
        factor, place = _factor(pieces, place + 1, text)
        unit = unit.times(factor, power)
    return unit, place


def _factor(pieces: list[re.Match[str]], place: int, text: str) -> tuple[_Unit, int]:
    """Return the one factor that stands at a place, and the place after it."""
    if place >= len(pieces):
        raise _UnknownUnit(text)
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
    raise _UnknownUnit(text)


# --- dimensions -----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Dimension:
    """What kind of quantity a number is.

    Attributes
    ----------
    name : str
        Key in `DIMENSIONS`.
    unit, inch_unit : str
        Bare unit, the one meant where none is written, and the unit shown with inch units; "" for a
        pure number.
    inch_factor : float
        Bare units in one inch unit (25.4 for a length); 1 where both are the same.
    digits, inch_digits : int
        Decimals worth showing on a screen, in either unit.
    """

    name: str
    unit: str
    inch_unit: str
    inch_factor: float
    digits: int
    inch_digits: int


def _dimension_of(
    name: str, unit: str, digits: int, inch_unit: str = "", inch_digits: int = 0
) -> Dimension:
    if not inch_unit:
        return Dimension(name, unit, unit, 1.0, digits, digits)
    factor = float(_unit(inch_unit).factor / _unit(unit).factor)
    return Dimension(name, unit, inch_unit, factor, digits, inch_digits)


DIMENSIONS: dict[str, Dimension] = {
    dimension.name: dimension
    for dimension in (
        _dimension_of("length", "mm", 2, "in", 4),
        _dimension_of("angle", "deg", 1),
        _dimension_of("force", "N", 0, "lbf", 1),
        _dimension_of("torque", "N·m", 2, "lbf·ft", 2),
        _dimension_of("rate", "N/mm", 1, "lbf/in", 1),
        _dimension_of("angular-rate", "N·m/deg", 3, "lbf·ft/deg", 3),
        _dimension_of("pressure", "MPa", 2, "psi", 0),
        _dimension_of("speed", "rev/min", 0),
        _dimension_of("ratio", "", 2),
        _dimension_of("temperature", "K", 1),
        _dimension_of("expansion", "1/K", 7),
        _dimension_of("viscosity", "mPa·s", 1),
        _dimension_of("time", "h", 1),
        _dimension_of("area", "mm²", 0, "in²", 3),
    )
}

_SAID = {  # how a fault calls the dimension, an example of it, and other units to offer
    "length": ("a length", "26.5 mm", "mm cm m in thou"),
    "angle": ("an angle", "14 deg", "deg rad"),
    "force": ("a force", "245 N", "N kN lbf kgf"),
    "torque": ("a torque", "2.5 N·m", "N·m N·mm lbf·ft lbf·in kgf·m"),
    "rate": ("a spring rate", "240 N/mm", "N/mm kN/m lbf/in kgf/mm"),
    "angular-rate": ("a torsional rate", "10 N·m/deg", "N·m/deg N·m/rad lbf·ft/deg lbf·in/deg"),
    "pressure": ("a pressure", "0.25 MPa", "MPa kPa bar psi"),
    "speed": ("a speed of rotation", "5000 rev/min", "rev/min rpm 1/min rad/s"),
    "ratio": ("a pure number", "0.95", "%"),
    "temperature": ("a temperature rise", "60 K", "K degC degF"),
    "expansion": ("a coefficient of thermal expansion", "12e-6 1/K", "1/K 1/degC um/(m·K)"),
    "viscosity": ("a viscosity", "80 mPa·s", "mPa·s Pa·s cP"),
    "time": ("a time", "500 h", "h min s"),
    "area": ("an area", "1.77 mm²", "mm² in²"),
}
_PER_TIME = (0, 0, 0, -1, 0, 0)
_MASS = _UNITS["kg"].powers


def _dimension(name: str) -> Dimension:
    if name not in DIMENSIONS:
        raise QuantityError(
            f"There is no dimension '{name}'.", f"There are {', '.join(DIMENSIONS)}."
        )
    return DIMENSIONS[name]


def _inch(units: str) -> bool:
    if units not in ("metric", "inch"):
        raise QuantityError(f"There are no '{units}' units.", "Choose metric or inch.")
    return units == "inch"


# --- reading --------------------------------------------------------------------------------------

_NUMBER = re.compile(
    r"(?P<sign>[+-]?)\s*(?:"
    r"(?:(?P<whole>[0-9]+)(?:\s+|-))?(?P<top>[0-9]+)\s*/\s*(?P<bottom>[0-9]+)"
    r"|(?P<decimal>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)"
    r")(?![0-9])\s*"
)
_FRACTIONS = dict(
    zip("½¼¾⅛⅜⅝⅞", (" 1/2", " 1/4", " 3/4", " 1/8", " 3/8", " 5/8", " 7/8"), strict=True)
)
_CHARACTERS = str.maketrans("−⁄\u00a0\u202f", "-/  ") | str.maketrans(_FRACTIONS)
_LONGEST_TEXT = 120
_NO_QUANTITY = {"NoneType": "nothing", "bool": "true or false", "dict": "a table", "list": "a list"}


def read(value: object, dimension: str) -> float:
    """Read a number, or a text `number [fraction] [unit] [± number [unit]] [uniform]`.

    Parameters
    ----------
    value : object
        A number in the bare unit of the dimension, or a text such as "1 3/32 in" or
        "26.0 ± 0.2 mm". A unit written on one side of ± holds for both. "± 5 %" is a share of the
        value, but percentage points after a value in %.
    dimension : str
        Key in `DIMENSIONS`.

    Returns
    -------
    float
        In the bare unit; `Measured` where ± is given, and where `value` is `Measured` already.

    Raises
    ------
    QuantityError
        If it is no finite number, or its unit is unknown or that of another dimension.
    """
    wanted = _dimension(dimension)
    if isinstance(value, str):
        return _read_text(value, wanted)
    if isinstance(value, bool) or not isinstance(value, Real):
        kind = type(value).__name__
        _refuse(f"This is {_NO_QUANTITY.get(kind, f'of type {kind}')}", wanted)
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        _refuse(f"{number} is not a finite number", wanted)
    return value if isinstance(value, Measured) else number


def _refuse(what: str, wanted: Dimension, remedy: str = "") -> NoReturn:
    """Raise the error that says what was met, what is wanted, and how that is written."""
    phrase, example, _ = _SAID[wanted.name]
    raise QuantityError(f"{what}; {phrase} is wanted.", f"{remedy} For example {example}.".strip())


def _read_text(text: str, wanted: Dimension) -> float:
    plain = text.translate(_CHARACTERS).strip()
    if len(text) > _LONGEST_TEXT:
        _refuse(f"A text of {len(text)} characters is not read", wanted)
    if "," in plain:
        single = plain.count(",") == 1 and "." not in plain
        remedy = (
            f"Write {plain.replace(',', '.')} with a point."
            if single
            else "Decimals follow a point."
        )
        _refuse(
            f"'{text}' has a comma in it", wanted, f"{remedy} Nothing stands between thousands."
        )
    body = re.sub(r"\s*\buniform$", "", plain)
    sides = re.split(r"±|\+/-|\+-", body)
    if len(sides) > 2:
        _refuse(f"'{text}' has more than one ±", wanted)
    number, unit_text = _number_and_unit(sides[0], text, wanted)
    if len(sides) == 1:
        if body != plain:
            _refuse(f"'{text}' says uniform but gives no ±", wanted)
        return _in_bare_unit(number, _fitting(unit_text, text, wanted), text, wanted)
    half, half_unit_text = _number_and_unit(sides[1], text, wanted)
    if half < 0:
        _refuse(f"'{text}' has a ± below 0", wanted, "It is a half-width, 0 or more.")
    if half_unit_text == "%" and unit_text != "%":
        half, half_unit_text = abs(number) * half / 100, unit_text
    unit = _fitting(unit_text or half_unit_text, text, wanted)
    half_unit = _fitting(half_unit_text or unit_text, text, wanted)
    centre = _in_bare_unit(number, unit, text, wanted)
    return Measured(centre, _in_bare_unit(half, half_unit, text, wanted), body != plain)


def _number_and_unit(side: str, text: str, wanted: Dimension) -> tuple[Fraction, str]:
    """Cut one side of a ± into its exact number and the text of its unit."""
    side = side.strip()
    found = _NUMBER.match(side)
    if found is None:
        if re.match(r"[+-]?(nan|inf)", side, re.IGNORECASE):
            _refuse(f"'{text}' is not a finite number", wanted)
        _refuse(f"'{text}' has no number where one belongs", wanted)
    sign = -1 if found["sign"] == "-" else 1
    unit_text = side[found.end() :].strip()
    if found["decimal"]:
        rough = float(found["decimal"])
        if math.isinf(rough):
            _refuse(f"'{text}' is too large for a number", wanted)
        return sign * (Fraction(found["decimal"]) if rough else Fraction(0)), unit_text
    top, bottom = int(found["top"]), int(found["bottom"])
    if bottom == 0:
        _refuse(f"'{text}' divides by zero", wanted)
    if found["whole"] and top >= bottom:
        _refuse(f"'{text}' has a fraction of 1 or more after a whole number", wanted)
    return sign * (int(found["whole"] or 0) + Fraction(top, bottom)), unit_text


def _fitting(unit_text: str, text: str, wanted: Dimension) -> _Unit:
    """Return the unit, or refuse it when unknown or of another dimension."""
    bare = _unit(wanted.unit)
    if not unit_text:
        return bare
    try:
        unit = _unit(unit_text)
    except _UnknownUnit as fault:
        _refuse_unknown(str(fault), unit_text, text, wanted)
    if unit.powers == bare.powers:
        return unit
    if wanted.name == "speed" and unit.powers == _PER_TIME:  # "5000 1/min" counts revolutions
        return unit.times(_UNITS["rev"])
    kinds = {_unit(known.unit).powers: _SAID[known.name][0] for known in DIMENSIONS.values()}
    kinds |= {_MASS: "a mass", _PER_TIME: kinds[_unit("rpm").powers]}
    kind = kinds.get(unit.powers, f"in {unit_text}")
    weighed = re.search(r"\bkg\b", unit_text) is not None
    hint = f"Units known here: {', '.join(_SAID[wanted.name][2].split())}."
    if weighed:
        hint = "A balance that reads kg weighs a force in kgf: write kgf."
    _refuse(f"'{text}' is {kind}", wanted, hint)


def _refuse_unknown(name: str, unit_text: str, text: str, wanted: Dimension) -> NoReturn:
    """Refuse a unit that is not known, and name the nearest that is."""
    if re.match(r"[0-9.]", unit_text):
        hint = "Write one number, or a whole number and a fraction as in 1 3/32 in."
        _refuse(f"'{text}' has a second number in it", wanted, hint)
    offered = _SAID[wanted.name][2].split()
    fitting = [known for known in _UNITS if _UNITS[known].powers == _unit(wanted.unit).powers]
    near = nearest(unit_text, [*offered, *fitting])
    folded = [known for known in (*offered, *fitting) if known.casefold() == name.casefold()]
    near = folded[0] if folded else near or nearest(name, _UNITS)
    hint = f"Did you mean {near}?" if near else f"Units known here: {', '.join(offered)}."
    _refuse(f"'{text}' has the unit '{name}', which is not known", wanted, hint)


def _in_bare_unit(number: Fraction, unit: _Unit, text: str, wanted: Dimension) -> float:
    try:
        return float(number * unit.factor / _unit(wanted.unit).factor)
    except OverflowError:
        _refuse(f"'{text}' is too large for a number", wanted)


# --- showing --------------------------------------------------------------------------------------


@overload
def converted(value: float, dimension: str, units: str = "metric") -> float: ...
@overload
def converted(value: _Array, dimension: str, units: str = "metric") -> _Array: ...
def converted(value: Any, dimension: str, units: str = "metric") -> Any:
    """Convert from the bare unit to the unit shown.

    Parameters
    ----------
    value : float or array
        In the bare unit of the dimension.
    dimension : str
        Key in `DIMENSIONS`.
    units : {"metric", "inch"}
        Units wanted.

    Returns
    -------
    float or array
        In `unit_of(dimension, units)`; an array comes back as a new one.
    """
    kind = _dimension(dimension)
    return value / (kind.inch_factor if _inch(units) else 1.0)


def unit_of(dimension: str, units: str = "metric") -> str:
    """Return the unit a dimension is shown in; "" for a pure number."""
    kind = _dimension(dimension)
    return kind.inch_unit if _inch(units) else kind.unit


def shown(value: float, dimension: str, units: str = "metric", digits: int | None = None) -> str:
    """Return a value with its unit, as people read it: "12.3 N", "26.00 ± 0.20 mm".

    Parameters
    ----------
    value : float
        In the bare unit; NaN is shown as a dash.
    dimension : str
        Key in `DIMENSIONS`.
    units : {"metric", "inch"}
        Units wanted.
    digits : int, optional
        Decimals; by default those of the dimension, and more where the ± would otherwise read 0.
    """
    kind = _dimension(dimension)
    inch = _inch(units)
    if math.isnan(value):
        return "–"
    unit = unit_of(dimension, units)
    half = converted(value.half_width, dimension, units) if isinstance(value, Measured) else 0.0
    if digits is None:
        digits = kind.inch_digits if inch else kind.digits
        if half > 0.0:
            digits = min(max(digits, math.ceil(-math.log10(half))), 12)
    words = [_fixed(converted(value, dimension, units), digits)]
    if isinstance(value, Measured):
        words += ["±", _fixed(half, digits)]
    if unit:
        words.append(unit)
    if isinstance(value, Measured) and value.uniform:
        words.append("uniform")
    return " ".join(words)


def _fixed(number: float, digits: int) -> str:
    text = f"{number:.{digits}f}"
    return text.lstrip("-") if not text.strip("-0.") else text


def as_text(value: float, dimension: str) -> str:
    """Return the lossless text that `read` reads back exactly: "26.0 ± 0.2 mm".

    Raises
    ------
    QuantityError
        If the value is not finite.
    """
    kind = _dimension(dimension)
    if not math.isfinite(value):
        _refuse(f"{float(value)} is not a finite number", kind)
    words = [repr(float(value))]
    if isinstance(value, Measured):
        words += ["±", repr(value.half_width)]
    if kind.unit:
        words.append(kind.unit)
    if isinstance(value, Measured) and value.uniform:
        words.append("uniform")
    return " ".join(words)
