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
from numbers import Real
from typing import Any, NoReturn, TypeVar, overload

from liftgeo.as_written import exact, joined_up, plain_characters, without_commas
from liftgeo.errors import QuantityError, nearest
from liftgeo.measured import Measured, Ranged
from liftgeo.units import KNOWN_UNITS, Unit, UnknownUnitError, unit_named

__all__ = [
    "DIMENSIONS",
    "Dimension",
    "Measured",
    "Ranged",
    "as_text",
    "converted",
    "read",
    "shown",
    "unit_of",
    "weighed_unit",
]

_Array = TypeVar("_Array")


# --- dimensions -----------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False, repr=False)
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
    factor = float(unit_named(inch_unit).factor / unit_named(unit).factor)
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
        _dimension_of("power", "kW", 1, "hp", 1),
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
    "power": ("a power", "9.5 kW", "kW W hp PS"),
}
_PER_TIME = (0, 0, 0, -1, 0, 0)
_MASS = KNOWN_UNITS["kg"].powers
_WEIGHS = ("force", "torque", "rate", "angular-rate", "pressure")
_GRAVITY = Unit(Fraction("9806.65"), (0, 1, 0, -2, 0, 0))
"""Standard gravity [mm/s²]; NIST SP 811, Appendix B.8: 9.80665 m/s², exact."""


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
_LONGEST_TEXT = 120
_NO_QUANTITY = {"NoneType": "nothing", "bool": "true or false", "dict": "a table", "list": "a list"}
_NO_QUANTITY |= {"date": "a date", "time": "a time of day", "datetime": "a date"}


def read(value: object, dimension: str) -> float:
    """Read a number, or a text `number [fraction] [unit] [± number [unit]] [uniform]`.

    Also `low to high [unit]`, limits that hold it 95 times in 100.

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
    if getattr(value, "ndim", None) == 0 and hasattr(value, "item"):  # one number of an array
        value = value.item()
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
    plain = plain_characters(text)
    if len(text) > _LONGEST_TEXT:
        _refuse(f"A text of {len(text)} characters is not read", wanted)
    if re.search(r"[0-9],[0-9]", plain):
        instead = without_commas(text.strip())
        raise QuantityError(
            f"'{text}' has a comma in it; decimals follow a point, and nothing stands between "
            "thousands.",
            f'Write "{instead}".',
            instead,
        )
    limits = re.split(r"\s+to\s+", plain)
    if len(limits) == 2:
        return _read_range(limits, text, wanted)
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


def _read_range(limits: list[str], text: str, wanted: Dimension) -> Ranged:
    """Read "low to high [unit]"; a unit on one side holds for both."""
    if re.search(r"±|\+/-|\+-", text):
        _refuse(f"'{text}' has a range and a ±", wanted, "Write one of them.")
    (low, low_unit), (high, high_unit) = (_number_and_unit(side, text, wanted) for side in limits)
    unit, other = (
        _fitting(mine or its, text, wanted)
        for mine, its in ((low_unit, high_unit), (high_unit, low_unit))
    )
    ends = _in_bare_unit(low, unit, text, wanted), _in_bare_unit(high, other, text, wanted)
    if not ends[0] < ends[1]:
        _refuse(f"'{text}' has its ends reversed", wanted, "Write the smaller limit first.")
    return Ranged(*ends)


def _number_and_unit(side: str, text: str, wanted: Dimension) -> tuple[Fraction, str]:
    """Cut one side of a ± into its exact number and the text of its unit."""
    side = side.strip()
    two = joined_up(side)
    if two is not None:
        (whole, _), (rest, _) = (_number_and_unit(part, text, wanted) for part in two[:2])
        try:
            number = exact(whole, rest, two[2])
        except ValueError:
            what = "Write a whole number, then less than {} {}, as in 1 ft 7 1/2 in."
            _refuse(f"'{text}' does not add up", wanted, what.format(two[2].per, two[2].unit))
        return (-number if side[0] == "-" else number), two[2].unit
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


def _fitting(unit_text: str, text: str, wanted: Dimension) -> Unit:
    """Return the unit, or refuse it when unknown or of another dimension."""
    bare = unit_named(wanted.unit)
    if not unit_text:
        return bare
    try:
        if re.match(r"/\s*[0-9]", unit_text):  # "3/32/1 in": a number divided twice, no unit
            raise UnknownUnitError(unit_text)
        unit = unit_named(unit_text)
    except UnknownUnitError as fault:
        _refuse_unknown(str(fault), unit_text, text, wanted)
    if unit.powers == bare.powers:
        return unit
    if wanted.name in _WEIGHS and unit.times(_GRAVITY).powers == bare.powers:
        return unit.times(_GRAVITY)  # scales that read kg weigh kgf
    if wanted.name == "speed" and unit.powers == _PER_TIME:  # "5000 1/min" counts revolutions
        return unit.times(KNOWN_UNITS["rev"])
    kinds = {unit_named(known.unit).powers: _SAID[known.name][0] for known in DIMENSIONS.values()}
    kinds |= {_MASS: "a mass", _PER_TIME: kinds[unit_named("rpm").powers]}
    kind = kinds.get(unit.powers, f"in {unit_text}")
    hint = f"Units known here: {', '.join(_SAID[wanted.name][2].split())}."
    meant = [u for u in _SAID[wanted.name][2].split() if u.casefold() == unit_text.casefold()]
    if meant:
        hint = f"Did you mean {meant[0]}?"
    _refuse(f"'{text}' is {kind}", wanted, hint)


def weighed_unit(text: str, dimension: str) -> str:
    """Return the unit of mass that a text gives where it is read as a weight; "" where none is.

    Parameters
    ----------
    text : str
        As `read` takes it: "12 kg", "3 kg/mm".
    dimension : str
        Key in `DIMENSIONS`.
    """
    wanted = _dimension(dimension)
    if wanted.name not in _WEIGHS:
        return ""
    for side in re.split(r"±|\+/-|\+-|\s+to\s+", re.sub(r"\buniform$", "", plain_characters(text))):
        try:
            _, unit_text = _number_and_unit(side, text, wanted)
            if unit_text and unit_named(unit_text).powers != unit_named(wanted.unit).powers:
                return unit_text
        except (QuantityError, UnknownUnitError):
            continue
    return ""


def _refuse_unknown(name: str, unit_text: str, text: str, wanted: Dimension) -> NoReturn:
    """Refuse a unit that is not known, and name the nearest that is."""
    if re.match(r"[0-9.]|/\s*[0-9]", unit_text):
        hint = "Write one number, or a whole number and a fraction as in 1 3/32 in."
        _refuse(f"'{text}' has a second number in it", wanted, hint)
    offered = _SAID[wanted.name][2].split()
    fitting = [
        known
        for known in KNOWN_UNITS
        if KNOWN_UNITS[known].powers == unit_named(wanted.unit).powers
    ]
    near = nearest(unit_text, [*offered, *fitting])
    folded = [known for known in (*offered, *fitting) if known.casefold() == name.casefold()]
    near = folded[0] if folded else near or nearest(name, KNOWN_UNITS)
    hint = f"Did you mean {near}?" if near else f"Units known here: {', '.join(offered)}."
    _refuse(f"'{text}' has the unit '{name}', which is not known", wanted, hint)


def _in_bare_unit(number: Fraction, unit: Unit, text: str, wanted: Dimension) -> float:
    try:
        return float(number * unit.factor / unit_named(wanted.unit).factor)
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
    if isinstance(value, Ranged):
        ends = (_fixed(converted(end, dimension, units), digits) for end in (value.low, value.high))
        words = [" to ".join(ends)]
    elif isinstance(value, Measured):
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
    if isinstance(value, Ranged):
        words = [f"{value.low!r} to {value.high!r}"]
    elif isinstance(value, Measured):
        words += ["±", repr(value.half_width)]
    if kind.unit:
        words.append(kind.unit)
    if isinstance(value, Measured) and value.uniform:
        words.append("uniform")
    return " ".join(words)
