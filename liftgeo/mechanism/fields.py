"""The kinds of number a geometry file may hold: dimension, bounds, and how each is read."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any, TypeAlias

from pydantic import PlainValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

from liftgeo.as_written import FRACTION_CHARACTERS, amount_in
from liftgeo.errors import QuantityError
from liftgeo.parts.values import Values
from liftgeo.quantities import DIMENSIONS, Measured, Ranged, read, shown

# Beyond these, in the bare unit, products of a few numbers no longer fit a float. Nothing measured
# on a clutch comes near them.
LARGEST, SMALLEST = 1e12, 1e-12

# A number, a fraction of it, or one after the other; what unit follows is left to reading.
_QUANTITY_TEXT = rf"^\s*[+\-−]?\s*([0-9]|\.[0-9]|[{FRACTION_CHARACTERS}])"

NONE_WORDS = ("none", "rigid")
"""What says that a machine has none of it: no play, no friction, no give."""


@dataclass(frozen=True)
class Number:
    """What a numeric key takes.

    Attributes
    ----------
    dimension : str
        Name of the dimension in `liftgeo.quantities`.
    above, at_least, below, at_most : float or None
        Bounds, in the bare unit.
    whole : bool
        True for counts.
    """

    dimension: str
    above: float | None = None
    at_least: float | None = None
    below: float | None = None
    at_most: float | None = None
    whole: bool = False

    def within(self, value: Values) -> Values:
        """Return whether a value, or each of an array, lies within the bounds."""
        good = self.computable(value)
        if self.above is not None:
            good = good & (value > self.above)
        if self.at_least is not None:
            good = good & (value >= self.at_least)
        if self.below is not None:
            good = good & (value < self.below)
        if self.at_most is not None:
            good = good & (value <= self.at_most)
        if self.whole:
            good = good & (value == value // 1)
        return good

    def computable(self, value: Values) -> Values:
        """Return whether a value, or each of an array, is finite and neither huge nor tiny."""
        good = (value <= LARGEST) & (value >= -LARGEST)
        if self.above == 0.0:
            good = good & ((value >= SMALLEST) | (value <= 0.0))
        return good

    def bounds_text(self) -> str:
        """Return the bounds in words."""
        words = []
        for limit, word in (
            (self.above, "above"),
            (self.at_least, "at least"),
            (self.below, "below"),
            (self.at_most, "at most"),
        ):
            if limit is not None:
                words.append(f"{word} {shown(limit, self.dimension, digits=_digits(limit))}")
        if self.whole:
            words.append("a whole number")
        return " and ".join(words)

    def check(self, value: Any) -> float:
        """Return the value as a number within the bounds.

        Raises
        ------
        PydanticCustomError
            With what is wrong and what would be right.
        """
        if isinstance(value, str) and value.strip().lower() in NONE_WORDS:
            return self._none(value)
        try:
            number = read(value, self.dimension)
        except QuantityError as error:
            remedy = "Write a whole number, for example 2." if self.whole else error.remedy
            if amount_in(value):
                remedy = "More or less than before stands in [changes.NAME]; here write the value."
            raise PydanticCustomError(
                "quantity",
                "{problem}",
                {"problem": error.problem, "remedy": remedy, "instead": error.instead},
            ) from None
        if not self.computable(number):
            size = "large" if abs(number) > 1 else "small"
            raise PydanticCustomError(
                "bounds",
                "{problem}",
                {
                    "problem": f"{number:.3g} {DIMENSIONS[self.dimension].unit}".strip()
                    + f" is too {size} to compute with.",
                    "remedy": "Check the number and its unit.",
                },
            )
        if not self.within(number):
            text = shown(number, self.dimension, digits=_digits(number))
            raise PydanticCustomError(
                "bounds",
                "{problem}",
                {
                    "problem": f"{text} cannot be.",
                    "remedy": f"It must be {self.bounds_text()}.",
                },
            )
        if self.above == 0.0 and isinstance(number, Measured) and number.half_width >= number:
            width = "Its ± is as wide as the number itself"
            if isinstance(number, Ranged):
                width = "Its range begins at 0 or below"
            raise PydanticCustomError(
                "bounds",
                "{problem}",
                {
                    "problem": f"{width}, so it could be nothing.",
                    "remedy": "Write what the measurement may be out by, 19 times in 20; or, where "
                    "it was not measured, leave it out.",
                },
            )
        return number

    @property
    def may_be_none(self) -> bool:
        """Whether a machine may do without it: a play of 0, or a stiffness that is rigid."""
        stiff = self.dimension in ("rate", "angular-rate") and self.above == 0.0
        return stiff or (self.at_least == 0.0 and not self.whole)

    def _none(self, word: str) -> float:
        """Return what "none" or "rigid" stands for: 0, or an infinite stiffness."""
        if not self.may_be_none:
            raise PydanticCustomError(
                "bounds",
                "{problem}",
                {
                    "problem": f'"{word}" cannot be: every machine has some.',
                    "remedy": f"It must be {self.bounds_text()}." if self.bounds_text() else "",
                },
            )
        return math.inf if self.above == 0.0 else 0.0


def _digits(value: float) -> int:
    """Return the fewest decimals that show a number as it was typed, six at most."""
    for digits in range(7):
        if abs(round(value, digits) - value) <= 1e-9 * max(1.0, abs(value)):
            return digits
    return 6


def plain_digits(value: float) -> int:
    """Return the fewest decimals that show a number as it was typed, six at most."""
    return _digits(value)


def number_schema(number: Number) -> dict[str, Any]:
    """Return the JSON Schema of a number: bare, or text with a unit."""
    unit = DIMENSIONS[number.dimension].unit
    limits: dict[str, Any] = {"type": "integer" if number.whole else "number"}
    for name, limit in (
        ("exclusiveMinimum", number.above),
        ("minimum", number.at_least),
        ("exclusiveMaximum", number.below),
        ("maximum", number.at_most),
    ):
        if limit is not None:
            limits[name] = limit
    if number.above == 0.0:
        del limits["exclusiveMinimum"]
        limits["minimum"] = SMALLEST
    elif number.above is None and number.at_least is None:
        limits["minimum"] = -LARGEST
    if number.below is None and number.at_most is None:
        limits["maximum"] = LARGEST
    said = f'text with a unit, e.g. "26.0 ± 0.2 {unit}"'.strip()
    pattern = _QUANTITY_TEXT
    if number.may_be_none:
        words = "|".join(f"[{word[0].upper()}{word[0]}]{word[1:]}" for word in NONE_WORDS)
        pattern += rf"|^\s*({words})\s*$"
    text = {"type": "string", "description": said, "pattern": pattern}
    return {"anyOf": [limits, text], "unit": unit}


def _field(number: Number) -> Any:
    return Annotated[
        float, PlainValidator(number.check), WithJsonSchema(number_schema(number)), number
    ]


def _list(number: Number, count: int | None = None) -> Any:
    def each(value: Any) -> tuple[float, ...]:
        if not isinstance(value, list | tuple):
            raise PydanticCustomError(
                "list",
                "{problem}",
                {
                    "problem": "This must be a list of readings.",
                    "remedy": "For example [0, 5, 10].",
                },
            )
        if count is not None and len(value) != count:
            raise PydanticCustomError(
                "list",
                "{problem}",
                {
                    "problem": f"A point has {count} numbers; here are {len(value)}.",
                    "remedy": "Write [x, y]."
                    + (" Decimals follow a point: 12.5." if len(value) == 2 * count else ""),
                },
            )
        return tuple(number.check(item) for item in value)

    schema: dict[str, Any] = {"type": "array", "items": number_schema(number), "minItems": 2}
    if count is not None:
        schema["maxItems"] = count
    return Annotated[
        tuple[float, ...], PlainValidator(each), WithJsonSchema(schema), Readings(number)
    ]


@dataclass(frozen=True)
class Readings:
    """A list of numbers of one kind."""

    each: Number


@dataclass(frozen=True)
class Pairs:
    """A list of readings, each of two numbers."""

    first: Number
    second: Number

    def columns(self, value: Any) -> tuple[list[Any], list[Any]]:
        """Return both columns of a list of pairs, checked.

        Raises
        ------
        PydanticCustomError
            With what is wrong and what would be right.
        """
        example = 'For example [["0 kgf", "2 1/8 in"], ["68 kgf", "1 3/4 in"]].'
        if not isinstance(value, list | tuple) or not all(
            isinstance(pair, list | tuple) and len(pair) == 2 for pair in value
        ):
            raise PydanticCustomError(
                "list",
                "{problem}",
                {"problem": "This must be a list of pairs.", "remedy": example},
            )
        try:
            columns = [pair[0] for pair in value], [pair[1] for pair in value]
            for number, column in zip((self.first, self.second), columns, strict=True):
                for item in column:
                    number.check(item)
        except PydanticCustomError as error:
            context = dict(error.context or {})
            if self._other_way_round(value):
                context["remedy"] = f"The load stands first, then the length. {example}"
            raise PydanticCustomError("list", "{problem}", context) from None
        return columns

    def _other_way_round(self, value: Any) -> bool:
        """Return whether every pair can be read the other way round."""
        try:
            for first, second in value:
                self.second.check(first)
                self.first.check(second)
        except PydanticCustomError:
            return False
        return True


def _pairs(first: Number, second: Number) -> Any:
    pairs = Pairs(first, second)

    def each(value: Any) -> tuple[tuple[float, float], ...]:
        loads, lengths = pairs.columns(value)
        return tuple((first.check(a), second.check(b)) for a, b in zip(loads, lengths, strict=True))

    two = {
        "type": "array",
        "items": [number_schema(first), number_schema(second)],
        "additionalItems": False,
    }
    schema = {"type": "array", "items": {**two, "minItems": 2}}
    return Annotated[
        tuple[tuple[float, float], ...], PlainValidator(each), WithJsonSchema(schema), pairs
    ]


Length: TypeAlias = _field(Number("length", above=0.0))  # type: ignore[valid-type]
Play: TypeAlias = _field(Number("length", at_least=0.0))  # type: ignore[valid-type]
Offset: TypeAlias = _field(Number("length"))  # type: ignore[valid-type]
Bend: TypeAlias = _field(Number("angle", at_least=0.0))  # type: ignore[valid-type]
Turn: TypeAlias = _field(Number("angle", above=0.0))  # type: ignore[valid-type]
Direction: TypeAlias = _field(Number("angle"))  # type: ignore[valid-type]
RampAngle: TypeAlias = _field(Number("angle", above=0.0, below=90.0))  # type: ignore[valid-type]
FlatOrRamp: TypeAlias = _field(Number("angle", at_least=0.0, below=90.0))  # type: ignore[valid-type]
CableAngle: TypeAlias = _field(Number("angle", above=0.0, below=180.0))  # type: ignore[valid-type]
RestAngle: TypeAlias = _field(Number("angle", above=-180.0, below=180.0))  # type: ignore[valid-type]
Friction: TypeAlias = _field(Number("ratio", at_least=0.0))  # type: ignore[valid-type]
Grip: TypeAlias = _field(Number("ratio", above=0.0))  # type: ignore[valid-type]
Share: TypeAlias = _field(Number("ratio", at_least=0.0, below=1.0))  # type: ignore[valid-type]
Efficiency: TypeAlias = _field(Number("ratio", above=0.0, at_most=1.0))  # type: ignore[valid-type]
Poisson: TypeAlias = _field(Number("ratio", at_least=0.0, below=0.5))  # type: ignore[valid-type]
Load: TypeAlias = _field(Number("force", above=0.0))  # type: ignore[valid-type]
Drag: TypeAlias = _field(Number("force", at_least=0.0))  # type: ignore[valid-type]
Stiffness: TypeAlias = _field(Number("rate", above=0.0))  # type: ignore[valid-type]
Torque: TypeAlias = _field(Number("torque", above=0.0))  # type: ignore[valid-type]
ReturnTorque: TypeAlias = _field(Number("torque", at_least=0.0))  # type: ignore[valid-type]
ReturnRate: TypeAlias = _field(Number("angular-rate", at_least=0.0))  # type: ignore[valid-type]
TwistRate: TypeAlias = _field(Number("angular-rate", above=0.0))  # type: ignore[valid-type]
Stress: TypeAlias = _field(Number("pressure", above=0.0))  # type: ignore[valid-type]
Area: TypeAlias = _field(Number("area", above=0.0))  # type: ignore[valid-type]
Speed: TypeAlias = _field(Number("speed", above=0.0))  # type: ignore[valid-type]
Count: TypeAlias = _field(Number("ratio", at_least=1.0, whole=True))  # type: ignore[valid-type]
Temperature: TypeAlias = _field(Number("temperature"))  # type: ignore[valid-type]
Expansion: TypeAlias = _field(Number("expansion", at_least=0.0))  # type: ignore[valid-type]
Viscosity: TypeAlias = _field(Number("viscosity", above=0.0))  # type: ignore[valid-type]
Power: TypeAlias = _field(Number("power", above=0.0))  # type: ignore[valid-type]
Teeth: TypeAlias = _field(Number("ratio", whole=True))  # type: ignore[valid-type]
CountOrNone: TypeAlias = _field(Number("ratio", at_least=0.0, whole=True))  # type: ignore[valid-type]
Lengths: TypeAlias = _list(Number("length"))  # type: ignore[valid-type]
Angles: TypeAlias = _list(Number("angle"))  # type: ignore[valid-type]
Loads: TypeAlias = _list(Number("force"))  # type: ignore[valid-type]
Point: TypeAlias = _list(Number("length"), 2)  # type: ignore[valid-type]
LoadReadings: TypeAlias = _list(Number("force", at_least=0.0))  # type: ignore[valid-type]
LengthReadings: TypeAlias = _list(Number("length", above=0.0))  # type: ignore[valid-type]
LoadsAtLengths: TypeAlias = _pairs(  # type: ignore[valid-type]
    Number("force", at_least=0.0), Number("length", above=0.0)
)
