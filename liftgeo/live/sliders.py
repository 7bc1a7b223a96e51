"""The slider beside a number: how far it goes, in the unit that was written, and what it writes."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from liftgeo.as_written import FRACTION_CHARACTERS, joined_up, plain_characters
from liftgeo.errors import QuantityError
from liftgeo.mechanism.fields import Number
from liftgeo.quantities import Measured, Ranged, converted, read, shown, unit_of

_STEPS = 200.0
_WHERE_NOTHING_IS = {"length": (0.0, 100.0), "angle": (0.0, 90.0), "ratio": (0.0, 2.0)}
_ANYWHERE = (0.0, 1000.0)
_DIGITS = 9
_ENDS_A_NUMBER = re.compile(rf"[0-9.{FRACTION_CHARACTERS}]")
_PLUS_MINUS = re.compile(r"±|\+/-|\+-")


@dataclass(frozen=True)
class Slider:
    """Where a slider stands and how far it goes, all in one unit, and what follows its number.

    Attributes
    ----------
    at, low, high, step : float
        In the unit that the number was written in.
    after : str
        What the slider writes behind its number: unit and ± as they were written.
    reads : str
        What the text was read as, where that is not plain to see: "47.63 ± 0.51 mm".
    """

    at: float
    low: float
    high: float
    step: float
    after: str
    reads: str


def slider_of(number: Number, text: str, like: str, units: str = "metric") -> Slider | None:
    """Return the slider of a number, or None where it is none, or has no other value to go to.

    Parameters
    ----------
    number : Number
        What the key takes.
    text : str
        What stands in the field, as `liftgeo.quantities.read` takes it.
    like : str
        What the file says: the slider reaches round it, and farther only where `text` lies outside.
    units : {"metric", "inch"}
        Units shown, where the text has none of its own.
    """
    try:
        value = read(text, number.dimension) if text.strip() else math.nan
    except QuantityError:
        return None
    if math.isinf(value) or not (math.isnan(value) or number.within(float(value))):
        return None
    unit, after = _after(text, value, number, units)
    factor = read(f"1 {unit}", number.dimension) if unit else 1.0
    low, high = _reach(number, float(value), _or_nothing(like, number))
    if low >= high:
        return None
    step = 1.0 if number.whole else _round_step((high - low) / _STEPS / factor)
    low, high = _on_steps(number, low / factor, high / factor, step, factor)
    at = low if math.isnan(value) else float(value) / factor
    if low >= high:
        return None
    at, low, high = (round(each, _DIGITS) for each in (at, low, high))
    written = unit if unit and unit in plain_characters(text) else ""
    reads = _reads(value, number.dimension, units, written)
    return Slider(at, low, high, step, after, reads)


def _or_nothing(text: str, number: Number) -> float:
    try:
        value = float(read(text, number.dimension)) if text.strip() else math.nan
    except QuantityError:
        return math.nan
    return value if math.isfinite(value) and number.within(value) else math.nan


def _after(text: str, value: float, number: Number, units: str) -> tuple[str, str]:
    """Return the unit of the number before a ±, and all that is written behind that number."""
    plain = plain_characters(text).strip()
    bare = "" if units == "metric" else unit_of(number.dimension, units)
    bare = "" if bare == unit_of(number.dimension) else bare
    if isinstance(value, Ranged):
        unit = unit_written(re.split(r"\s+to\s+", plain)[1], number.dimension)
        factor = read(f"1 {unit}", number.dimension) if unit else 1.0
        half = float(f"{value.half_width / factor:.4g}")
        return unit, f" {unit}".rstrip() + f" ± {half}" + f" {unit}".rstrip()
    head, *tail = _PLUS_MINUS.split(plain, maxsplit=1)
    own = unit_written(head, number.dimension)
    spread = f" ± {tail[0].strip()}" if tail else ""
    if own or not tail:
        unit = own or bare
        return unit, f" {unit}".rstrip() + spread
    other = unit_written(re.sub(r"\s*\buniform$", "", tail[0]), number.dimension, share=True)
    if other and other != "%":
        return other, spread
    if other != "%" and bare and isinstance(value, Measured):  # a ± without a unit is bare too
        half = float(f"{converted(value.half_width, number.dimension, units):.4g}")
        return bare, f" {bare} ± {half} {bare}" + (" uniform" if value.uniform else "")
    return bare if other == "%" else "", f" {bare}".rstrip() * (other == "%") + spread


def unit_written(text: str, dimension: str, *, share: bool = False) -> str:
    """Return the unit that stands behind a number as somebody wrote it; "" where none does.

    Parameters
    ----------
    text : str
        A number and its unit, without a ±.
    dimension : str
    share : bool
        Whether % means a share, of whatever the number is.
    """
    plain = plain_characters(text).strip()
    if share and plain.endswith("%"):
        return "%"
    parts = joined_up(plain)
    if parts is not None:  # "1 ft 7 1/2 in"
        return _known(parts[2].unit, dimension)
    for end in range(len(plain), 0, -1):
        if not _ENDS_A_NUMBER.fullmatch(plain[end - 1]):
            continue
        try:
            read(plain[:end], "ratio")
        except QuantityError:
            continue
        return _known(plain[end:].strip(), dimension)
    return ""


def _known(unit: str, dimension: str) -> str:
    try:
        read(f"1 {unit}", dimension)
    except QuantityError:
        return ""
    return unit


def _reach(number: Number, value: float, stands: float) -> tuple[float, float]:
    """Return the ends of a slider in the bare unit."""
    around = [x for x in (stands, value) if math.isfinite(x)]
    if not around:
        low, high = _WHERE_NOTHING_IS.get(number.dimension, _ANYWHERE)
    else:
        low, high = _round_about(number, around[0])
        if not low <= around[-1] <= high:
            wider = _round_about(number, around[-1])
            low, high = min(low, wider[0]), max(high, wider[1])
    floor, ceiling = _limits(number)
    return max(low, floor), min(high, ceiling)


def _round_about(number: Number, at: float) -> tuple[float, float]:
    if at == 0:
        return 0.0, _WHERE_NOTHING_IS.get(number.dimension, _ANYWHERE)[1] / 20
    low, high = sorted((0.5 * at, 1.5 * at))
    return (min(low, at - 1), max(high, at + 1)) if number.whole else (low, high)


def _limits(number: Number) -> tuple[float, float]:
    floors = [each for each in (number.above, number.at_least) if each is not None]
    ceilings = [each for each in (number.below, number.at_most) if each is not None]
    return max(floors, default=-math.inf), min(ceilings, default=math.inf)


def _on_steps(
    number: Number, low: float, high: float, step: float, factor: float
) -> tuple[float, float]:
    """Return ends that are whole steps, and that the number may have."""
    floor, ceiling = (each / factor for each in _limits(number))
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    while first * step < floor - 1e-12 or (number.above is not None and first * step <= floor):
        first += 1
    while last * step > ceiling + 1e-12 or (number.below is not None and last * step >= ceiling):
        last -= 1
    return first * step, last * step


def _round_step(width: float) -> float:
    """Return a step that reads well: 1, 2 or 5 times a power of ten."""
    if not width > 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(width))
    step = next(k * power for k in (1, 2, 5, 10) if k * power >= width * 0.999)
    return float(f"{step:.3g}")


def _reads(value: float, dimension: str, units: str, unit: str) -> str:
    """Return a value in the units shown, where it was written in others."""
    here = unit_of(dimension, units)
    if math.isnan(value) or unit == here or (not unit and here == unit_of(dimension)):
        return ""
    return shown(value, dimension, units)
