"""Numbers as they stand in a note book: primes, fractions, feet, commas; and how they are shown."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

_FRACTIONS = {
    "½": "1/2",
    "⅓": "1/3",
    "⅔": "2/3",
    "¼": "1/4",
    "¾": "3/4",
    "⅕": "1/5",
    "⅖": "2/5",
    "⅗": "3/5",
    "⅘": "4/5",
    "⅙": "1/6",
    "⅚": "5/6",
    "⅐": "1/7",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅑": "1/9",
    "⅒": "1/10",
}
FRACTION_CHARACTERS = "".join(_FRACTIONS)
"""Fractions that are one character: ½ and its like."""

_CHARACTERS = str.maketrans("−⁄\u00a0\u202f′ʹ’‘″ʺ”“", "-/  ''''\"\"\"\"") | str.maketrans(
    {character: f" {plain}" for character, plain in _FRACTIONS.items()}
)


def plain_characters(text: str) -> str:
    """Return a text with fractions, primes, curly marks and minus signs as typed on a keyboard."""
    return text.translate(_CHARACTERS).strip()


class Joint(NamedTuple):
    """Two units that are written one after the other, and how many of the second make the first."""

    first: str
    second: str
    per: int
    unit: str


_JOINTS = (
    Joint(r"'|ft\.?|foot|feet", r"\"|''|in\.?|inch(?:es)?", 12, "in"),
    Joint(r"st\.?|stones?", r"lbs?\.?|lbf", 14, "lbf"),
    Joint(r"lbs?\.?|lbf", r"oz\.?|ozf|ounces?", 16, "ozf"),
)
"""Feet and inches, stones and pounds, pounds and ounces: common practice."""

_PART = r"[0-9][0-9./\s-]*?"


def joined_up(text: str) -> tuple[str, str, Joint] | None:
    """Return both numbers of a text such as 1' 7 1/2" or 11 st 4 lb, and how they join."""
    for joint in _JOINTS:
        second = f"(?:{joint.second})" + ("?" if joint.unit == "in" else "")
        pattern = rf"([+-]?{_PART})\s*(?:{joint.first})\s*(?:and\s+)?({_PART})\s*{second}"
        found = re.fullmatch(pattern, text.strip(), re.IGNORECASE)
        if found:
            return found[1].strip(), found[2].strip(), joint
    return None


_COMMA_NUMBER = re.compile(r"[0-9][0-9.,]*")


def without_commas(text: str) -> str:
    """Return a text with every decimal comma as a point, and nothing between thousands."""

    def pointed(found: re.Match[str]) -> str:
        number = found[0].rstrip(",")
        marks = [mark for mark in number if mark in ".,"]
        if "," not in marks:
            return number
        decimal = marks[-1] if marks.count(marks[-1]) == 1 else ""
        whole, _, part = number.rpartition(decimal) if decimal else (number, "", "")
        whole = whole.replace(",", "").replace(".", "")
        return f"{whole}.{part}" if decimal else whole

    return _COMMA_NUMBER.sub(pointed, text)


_MORE = "more thicker longer larger bigger wider higher taller steeper stiffer heavier deeper"
_LESS = "less thinner shorter smaller narrower lower flatter softer lighter shallower"
_SENSES = dict.fromkeys(_MORE.split(), 1) | dict.fromkeys(_LESS.split(), -1)
_AMOUNT = re.compile(rf"(?P<amount>.*\S)\s+(?P<word>{'|'.join(_SENSES)})", re.IGNORECASE)


class Amount(NamedTuple):
    """By how much a number changes.

    Attributes
    ----------
    sense : int
        +1 more, -1 less.
    text : str
        How much: a number with its unit, or a share in %.
    """

    sense: int
    text: str


def amount_in(value: object) -> Amount | None:
    """Return by how much a text changes a number, as in "1 mm more" or "5 % less"; else None."""
    found = _AMOUNT.fullmatch(value.strip()) if isinstance(value, str) else None
    return Amount(_SENSES[found["word"].lower()], found["amount"]) if found else None


def in_feet_and_inches(text: str) -> str:
    """Return a text with marks for foot and inch in letters: "1 ft 7 in"."""
    plain = plain_characters(text).replace("''", '"')
    plain = re.sub(r"\s*'\s*", " ft ", plain)
    return re.sub(r"\s*\"", " in", plain).strip()


def quoted(text: str) -> str:
    """Return a value in quotes as a line of a geometry file takes it, its inch mark kept."""
    if '"' not in text:
        return f'"{text}"'
    return f"'{text}'" if "'" not in text else f'"{in_feet_and_inches(text)}"'


def exact(whole: Fraction, rest: Fraction, joint: Joint) -> Fraction:
    """Return feet and inches, or the like, in the second of the two units.

    Raises
    ------
    ValueError
        The second number makes one more of the first, or the first is no whole number.
    """
    if whole.denominator != 1 or rest >= joint.per:
        raise ValueError(joint.unit)
    return abs(whole) * joint.per + rest


MOST_MORE = 3
"""Decimals beyond the usual ones; what these do not show counts as 0."""


def digits_to_see(value: float, usual: int) -> int:
    """Return decimals with which a number does not print as 0; what 3 more do not show is 0."""
    more = range(usual, usual + MOST_MORE + 1)
    return next((digits for digits in more if abs(value) >= 0.5 * 10.0**-digits), usual)


def millimetres(value_mm: float, usual: int = 2) -> str:
    """Return a length in digits enough to see that it is not 0, and its sign: "-0.004 mm"."""
    return f"{value_mm:z.{digits_to_see(value_mm, usual)}f} mm"


_BARE_POINT = re.compile(r"([-+]?)(\d*)\.(\d*)")


def digits_beside_point(text: str) -> str:
    """Return ".76" or "5." as a file takes it, "0.76" or "5.0"; "" for anything else."""
    found = _BARE_POINT.fullmatch(text)
    if found is None or bool(found[2]) == bool(found[3]):
        return ""
    return f"{found[1]}{found[2] or 0}.{found[3] or 0}"
