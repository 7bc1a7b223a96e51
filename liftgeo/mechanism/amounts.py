"""Numbers of a change given by an amount, "1 mm more", and what of the old number stays."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from pydantic_core import PydanticCustomError

from liftgeo.as_written import Amount, amount_in
from liftgeo.errors import Fault, GeometryError, QuantityError
from liftgeo.mechanism import key_facts
from liftgeo.mechanism.fields import Number, plain_digits
from liftgeo.mechanism.laying import Flat, kind_of, lay
from liftgeo.quantities import Measured, read, shown

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism


def amount_fault(dotted: str, value: object, kind: str) -> Fault | None:
    """Return what is wrong with the amount that a change gives; None where nothing is."""
    amount = amount_in(value)
    number = key_facts.number_of(dotted, kind)
    if amount is None or number is None:
        return Fault(dotted, str(value), "An amount more or less is for one number.", "Write it.")
    try:
        size = _size(amount, number)
    except QuantityError as error:
        return Fault(dotted, str(value), error.problem, error.remedy)
    if size <= 0:
        remedy = 'Write it as in "1 mm more" or "2 mm less".'
        return Fault(dotted, str(value), "More or less is said by a word, not by a sign.", remedy)
    return None


def _is_share(amount: Amount) -> bool:
    return amount.text.endswith("%")


def _size(amount: Amount, number: Number) -> float:
    return read(amount.text, "ratio" if _is_share(amount) else number.dimension)


def resolved(change: Mapping[str, Any], before: Mechanism) -> Flat:
    """Return the keys of a change with every amount added to the number it changes.

    Raises
    ------
    GeometryError
        An amount of a number that is not known before the change.
    """
    found: Flat = {}
    faults: list[Fault] = []
    for dotted, value in change.items():
        try:
            found[dotted] = value if amount_in(value) is None else _within(before, dotted, value)
        except GeometryError as error:
            faults += error.faults
    if faults:
        raise GeometryError(faults, before.called)
    return found


def _within(before: Mechanism, dotted: str, value: str) -> float:
    """Return a number with an amount added; a fault that names the amount where that cannot be."""
    new = added(before, dotted, value)
    kind = kind_of(before.keys, dotted.split(".")[0])
    number = key_facts.number_of(dotted, kind)
    assert number is not None
    try:
        number.check(new)
    except PydanticCustomError as error:
        said, old = error.context or {}, number_before(before, dotted)
        was, left = (
            shown(float(x), number.dimension, digits=min(plain_digits(float(x)), 6))
            for x in (0.0 if old is None else old, new)
        )
        problem = f"It is {was}, so that leaves {left}, which cannot be."
        fault = Fault(dotted, value, problem, str(said.get("remedy", "")))
        raise GeometryError([fault], before.called) from None
    return new


def added(before: Mechanism, dotted: str, value: str) -> float:
    """Return a number of a mechanism with an amount added, or taken off.

    Parameters
    ----------
    before : Mechanism
    dotted : str
    value : str
        As in "1 mm more" or "5 % less"; a share is one of the number itself.

    Raises
    ------
    GeometryError
        The number is not known, or cannot be more or less.
    """
    kind = kind_of(before.keys, dotted.split(".")[0])
    fault = amount_fault(dotted, value, kind)
    if fault is not None:
        raise GeometryError([fault], before.called)
    amount, number = amount_in(value), key_facts.number_of(dotted, kind)
    assert amount is not None
    assert number is not None
    old = number_before(before, dotted)
    if old is None or not math.isfinite(old):
        what = "is rigid" if old is not None else "is not given"
        remedy = "Write the new value itself."
        raise GeometryError(
            [Fault(dotted, value, f"{dotted} {what}, so nothing can be added.", remedy)],
            before.called,
        )
    size = _size(amount, number)
    new = old + amount.sense * (old * size if _is_share(amount) else float(size))
    new = float(np.float64(f"{new:.12g}"))  # 36.0 + 0.1 is 36.1
    half = _half_width(before, dotted, new, number)
    if isinstance(size, Measured):
        half = math.hypot(half, size.half_width * (abs(old) if _is_share(amount) else 1.0))
    return Measured(new, half) if half else new


def _half_width(before: Mechanism, dotted: str, new: float, number: Number) -> float:
    """Return the ± that a usual value keeps; that of a measured one is kept when it is laid."""
    taken = next((item for item in before.taken if item.key == dotted), None)
    if taken is None:
        return 0.0
    half = (taken.high - taken.low) / 2
    return min(half, 0.99 * abs(new)) if number.above == 0.0 else half


_SIDES = {
    "lever.nipple_radius": "pin",
    "lever.hole": "pin",
    "lever.stop_distance": "stop",
    "lever.rest_length": "rest",
    "lever.cable_angle": "cable_angle_deg",
    "lever.hand_radius": "hand",
    "arm.radius": "pin",
    "arm.hole": "pin",
    "arm.stop_distance": "stop",
    "arm.rest_length": "rest",
    "arm.cable_angle": "cable_angle_deg",
}
_FROM_ZERO = ("arm.turned", "arm.turned_by")


def number_before(mechanism: Mechanism, dotted: str) -> float | None:
    """Return a number of a mechanism, given or following from what is; None where there is none."""
    value = mechanism.keys.get(dotted)
    if isinstance(value, float | int) and not isinstance(value, bool):
        return float(value)
    table = dotted.split(".")[0]
    if dotted in _FROM_ZERO:
        return 0.0
    if dotted in _SIDES and kind_of(mechanism.keys, table) == "pin":
        return float(getattr(mechanism.inward.sides(table), _SIDES[dotted]))
    if dotted.startswith("spring.installed") and "spring" in mechanism.tables:
        pressed = float(mechanism.inward.installed_deflection_mm)
        free = float(mechanism.inward.spring.free_height_mm)
        return pressed if dotted == "spring.installed_deflection" else free - pressed
    return None


def laid_on(mechanism: Mechanism, given: Flat, change: Mapping[str, Any]) -> Flat:
    """Return keys with a change laid over them; a changed number keeps the ± of the old."""
    laid = lay(given, change)
    for dotted in change:
        old = mechanism.keys.get(dotted)
        if not isinstance(old, Measured) or dotted not in mechanism.keys_taken:
            continue
        number = key_facts.number_of(dotted, kind_of(laid, dotted.split(".")[0]))
        try:
            new = read(laid[dotted], number.dimension) if number is not None else old
        except QuantityError:
            continue  # told of when the mechanism is built
        if not isinstance(new, Measured) and abs(new) > old.half_width:
            laid[dotted] = Measured(new, old.half_width, old.uniform)
    return laid
