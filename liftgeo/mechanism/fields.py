"""The kinds of number a geometry file may hold: dimension, bounds, and how each is read."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Any, TypeAlias

from pydantic_core import CoreSchema, PydanticCustomError
from pydantic_core.core_schema import no_info_plain_validator_function

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


class Checked:
    """What a key takes, as its annotation says it: a check, and a JSON Schema.

    pydantic asks an annotation for both by the names of the last two methods, and is left nothing
    to work out: what it would make of the type beside it is not used.
    """

    def check(self, value: Any) -> Any:
        """Return the value as it is kept, or raise PydanticCustomError."""
        raise NotImplementedError

    def json_schema(self) -> dict[str, Any]:
        """Return the JSON Schema of what may be written."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        return no_info_plain_validator_function(self.check)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: Any) -> dict[str, Any]:
        return self.json_schema()


@dataclass(frozen=True)
class Number(Checked):
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

    def json_schema(self) -> dict[str, Any]:
        """Return the JSON Schema of a number: bare, or text with a unit."""
        unit = DIMENSIONS[self.dimension].unit
        limits: dict[str, Any] = {"type": "integer" if self.whole else "number"}
        for name, limit in (
            ("exclusiveMinimum", self.above),
            ("minimum", self.at_least),
            ("exclusiveMaximum", self.below),
            ("maximum", self.at_most),
        ):
            if limit is not None:
                limits[name] = limit
        if self.above == 0.0:
            del limits["exclusiveMinimum"]
            limits["minimum"] = SMALLEST
        elif self.above is None and self.at_least is None:
            limits["minimum"] = -LARGEST
        if self.below is None and self.at_most is None:
            limits["maximum"] = LARGEST
        said = f'text with a unit, e.g. "26.0 ± 0.2 {unit}"'.strip()
        pattern = _QUANTITY_TEXT
        if self.may_be_none:
            words = "|".join(f"[{word[0].upper()}{word[0]}]{word[1:]}" for word in NONE_WORDS)
            pattern += rf"|^\s*({words})\s*$"
        text = {"type": "string", "description": said, "pattern": pattern}
        return {"anyOf": [limits, text], "unit": unit}

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


@dataclass(frozen=True)
class Readings(Checked):
    """A list of numbers of one kind.

    Attributes
    ----------
    each : Number
    count : int or None
        How many there are, of a point.
    """

    each: Number
    count: int | None = None

    def check(self, value: Any) -> tuple[float, ...]:
        """Return the numbers, each within the bounds.

        Raises
        ------
        PydanticCustomError
            With what is wrong and what would be right.
        """
        count = self.count
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
        return tuple(self.each.check(item) for item in value)

    def json_schema(self) -> dict[str, Any]:
        """Return the JSON Schema of the list."""
        schema = {"type": "array", "items": self.each.json_schema(), "minItems": 2}
        return schema if self.count is None else {**schema, "maxItems": self.count}


@dataclass(frozen=True)
class Pairs(Checked):
    """A list of readings, each of two numbers."""

    first: Number
    second: Number

    def check(self, value: Any) -> tuple[tuple[float, float], ...]:
        """Return the pairs, each number within its bounds.

        Raises
        ------
        PydanticCustomError
            With what is wrong and what would be right.
        """
        loads, lengths = self.columns(value)
        pairs = zip(loads, lengths, strict=True)
        return tuple((self.first.check(a), self.second.check(b)) for a, b in pairs)

    def json_schema(self) -> dict[str, Any]:
        """Return the JSON Schema of the list."""
        two = {
            "type": "array",
            "items": [self.first.json_schema(), self.second.json_schema()],
            "additionalItems": False,
        }
        return {"type": "array", "items": {**two, "minItems": 2}}

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


Length: TypeAlias = Annotated[float, Number("length", above=0.0)]
Play: TypeAlias = Annotated[float, Number("length", at_least=0.0)]
Offset: TypeAlias = Annotated[float, Number("length")]
Bend: TypeAlias = Annotated[float, Number("angle", at_least=0.0)]
Turn: TypeAlias = Annotated[float, Number("angle", above=0.0)]
Direction: TypeAlias = Annotated[float, Number("angle")]
RampAngle: TypeAlias = Annotated[float, Number("angle", above=0.0, below=90.0)]
FlatOrRamp: TypeAlias = Annotated[float, Number("angle", at_least=0.0, below=90.0)]
CableAngle: TypeAlias = Annotated[float, Number("angle", above=0.0, below=180.0)]
RestAngle: TypeAlias = Annotated[float, Number("angle", above=-180.0, below=180.0)]
Friction: TypeAlias = Annotated[float, Number("ratio", at_least=0.0)]
Grip: TypeAlias = Annotated[float, Number("ratio", above=0.0)]
Share: TypeAlias = Annotated[float, Number("ratio", at_least=0.0, below=1.0)]
Efficiency: TypeAlias = Annotated[float, Number("ratio", above=0.0, at_most=1.0)]
Poisson: TypeAlias = Annotated[float, Number("ratio", at_least=0.0, below=0.5)]
Load: TypeAlias = Annotated[float, Number("force", above=0.0)]
Drag: TypeAlias = Annotated[float, Number("force", at_least=0.0)]
Stiffness: TypeAlias = Annotated[float, Number("rate", above=0.0)]
Torque: TypeAlias = Annotated[float, Number("torque", above=0.0)]
ReturnTorque: TypeAlias = Annotated[float, Number("torque", at_least=0.0)]
ReturnRate: TypeAlias = Annotated[float, Number("angular-rate", at_least=0.0)]
TwistRate: TypeAlias = Annotated[float, Number("angular-rate", above=0.0)]
Stress: TypeAlias = Annotated[float, Number("pressure", above=0.0)]
Area: TypeAlias = Annotated[float, Number("area", above=0.0)]
Speed: TypeAlias = Annotated[float, Number("speed", above=0.0)]
Count: TypeAlias = Annotated[float, Number("ratio", at_least=1.0, whole=True)]
Temperature: TypeAlias = Annotated[float, Number("temperature")]
Expansion: TypeAlias = Annotated[float, Number("expansion", at_least=0.0)]
Viscosity: TypeAlias = Annotated[float, Number("viscosity", above=0.0)]
Power: TypeAlias = Annotated[float, Number("power", above=0.0)]
Teeth: TypeAlias = Annotated[float, Number("ratio", whole=True)]
CountOrNone: TypeAlias = Annotated[float, Number("ratio", at_least=0.0, whole=True)]
Lengths: TypeAlias = Annotated[tuple[float, ...], Readings(Number("length"))]
Angles: TypeAlias = Annotated[tuple[float, ...], Readings(Number("angle"))]
Loads: TypeAlias = Annotated[tuple[float, ...], Readings(Number("force"))]
Point: TypeAlias = Annotated[tuple[float, ...], Readings(Number("length"), 2)]
LoadReadings: TypeAlias = Annotated[tuple[float, ...], Readings(Number("force", at_least=0.0))]
LengthReadings: TypeAlias = Annotated[tuple[float, ...], Readings(Number("length", above=0.0))]
LoadsAtLengths: TypeAlias = Annotated[
    tuple[tuple[float, float], ...],
    Pairs(Number("force", at_least=0.0), Number("length", above=0.0)),
]
