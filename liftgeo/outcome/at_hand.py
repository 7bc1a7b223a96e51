"""The mechanism with the hand, or the blade, somewhere along its stroke."""

from __future__ import annotations

from dataclasses import fields

import numpy as np

from liftgeo.chain import at_hand
from liftgeo.errors import RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.outcome import Outcome, analysed
from liftgeo.outcome.results import PositionResult
from liftgeo.outcome.rows import columns_at

_UNITS = {"hand_travel_mm": "mm", "lever_angle_deg": "deg"}


def position(
    mechanism: Mechanism,
    *,
    hand_travel_mm: float | None = None,
    lever_angle_deg: float | None = None,
) -> PositionResult:
    """Return the mechanism where the hand, coming from rest, has first come so far.

    Parameters
    ----------
    mechanism : Mechanism
    hand_travel_mm : float, optional
        Travel of the hand from rest [mm].
    lever_angle_deg : float, optional
        Angle of the blade from rest [deg]; one of the two is given.

    Raises
    ------
    RequestError
        Neither, or both; or a place that the stroke does not reach, with its range.

    Notes
    -----
    While the plates jump the hand stands still; at its place there, what stands before the jump
    is returned.
    """
    given = {"hand_travel_mm": hand_travel_mm, "lever_angle_deg": lever_angle_deg}
    asked = {name: value for name, value in given.items() if value is not None}
    if len(asked) != 1:
        raise RequestError("Give hand_travel_mm or lever_angle_deg: one of the two.")
    with np.errstate(all="ignore"):
        outcome = analysed(mechanism)
        (name, value), *_ = asked.items()
        columns = columns_at(outcome, coordinate_at(outcome, name, value))
    return PositionResult(**{f.name: float(columns[f.name]) for f in fields(PositionResult)})


def coordinate_at(outcome: Outcome, name: str, value: float) -> float:
    """Return the stroke coordinate at which one mechanism has first come so far.

    Parameters
    ----------
    outcome : Outcome
    name : {"hand_travel_mm", "lever_angle_deg"}
    value : float
        Travel of the hand [mm], or angle of the blade [deg].

    Raises
    ------
    RequestError
        A place that the stroke does not reach, with its range.
    """
    full, parts, end = outcome.full, outcome.parts, outcome.end
    if name == "hand_travel_mm":
        wanted = _within(name, value, float(full.hand_travel_mm))
        return at_hand.where(parts, end, hand_travel_mm=wanted)
    wanted = _within(name, value, float(np.degrees(full.lever_angle_rad)))
    return at_hand.where(parts, end, lever_angle_rad=np.radians(wanted))


def _within(name: str, value: float, last: float) -> float:
    """Return a place within the stroke, or raise RequestError with the stroke's range."""
    try:
        number = float(value)
    except (TypeError, ValueError):
        raise RequestError(f"{name} must be a number, in {_UNITS[name]}.") from None
    rounding = 1e-9 * max(last, 1.0)
    if not -rounding <= number <= last + rounding:
        unit = _UNITS[name]
        raise RequestError(
            f"{name} = {number:g} {unit} is outside the stroke, which goes from 0 to "
            f"{last:.6g} {unit} (full lever)."
        )
    return min(max(number, 0.0), last)
