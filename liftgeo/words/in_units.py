"""Texts made in metric, turned into the units of a page: warnings, lines that wear meets."""

from __future__ import annotations

import re

from liftgeo.quantities import DIMENSIONS, Dimension
from liftgeo.words.numbers import fixed, kgf_text

_FINER = {"length": 2, "area": 3, "rate": -1, "pressure": -2}
"""Decimals that a number in inch units has more than the metric one; others have as many."""
_TURNED: dict[str, Dimension] = {
    dimension.unit: dimension for dimension in DIMENSIONS.values() if dimension.inch_factor != 1.0
}
_NUMBER = r"[-−]?\d+(?:\.\d+)?(?:e[-+]?\d+)?"
_JOINED = r"(?: to | and | or |, | by )"
_UNIT = "|".join(re.escape(unit) for unit in sorted(_TURNED, key=len, reverse=True))
# Numbers that share the unit behind the last of them: "0.1 to 0.3 MPa". Not a part of a name, nor
# of a longer unit.
_QUANTITY = re.compile(
    rf"(?<![\w.])(?P<numbers>{_NUMBER}(?:{_JOINED}{_NUMBER})*) (?P<unit>{_UNIT})(?![\w·/²³(])"
)
_FEW = 10.0


def in_units(text: str, units: str) -> str:
    """Return a text of ours with its quantities in the units of a page.

    Parameters
    ----------
    text : str
        With quantities as this package writes them in metric: the unit after a space.
    units : {"metric", "inch"}
        In metric a force has kgf beside it; in inch units lengths, forces, torques, rates,
        pressures and areas are turned, to about as many figures.
    """
    if units == "metric":
        return _QUANTITY.sub(_weighed, text)
    return _QUANTITY.sub(_turned, text)


def _weighed(found: re.Match[str]) -> str:
    if found["unit"] != "N" or not re.fullmatch(_NUMBER, found["numbers"]):
        return found[0]
    return f"{found[0]} ({kgf_text(float(found['numbers'].replace('−', '-')))})"


def _turned(found: re.Match[str]) -> str:
    dimension = _TURNED[found["unit"]]

    def one(number: re.Match[str]) -> str:
        text = number[0].replace("−", "-")
        value = float(text) / dimension.inch_factor
        typed = len(text.partition("e")[0].partition(".")[2])
        digits = max(typed + _FINER.get(dimension.name, 0), 0)
        if dimension.name != "length" and abs(value) < _FEW:
            digits = max(digits, 1)
        return fixed(value, digits)

    return f"{re.sub(_NUMBER, one, found['numbers'])} {dimension.inch_unit}"
