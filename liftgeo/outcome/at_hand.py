"""The mechanism with the hand, or the blade, somewhere along its stroke."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from liftgeo.chain import at_hand
from liftgeo.errors import RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.csv_text import csv_text
from liftgeo.outcome.html_table import html_table
from liftgeo.outcome.outcome import Outcome, analysed
from liftgeo.outcome.results import plain
from liftgeo.outcome.rows import columns_at

_UNITS = {"hand_travel_mm": "mm", "lever_angle_deg": "deg"}


@dataclass(frozen=True)
class PositionResult:
    """The mechanism with the hand at one place of its stroke, pulling.

    `return_hand_force_n` is what the hand feels there once it lets back, the plate lifted as far.
    """

    hand_travel_mm: float
    lever_angle_deg: float
    cable_pull_mm: float
    arm_rotation_deg: float
    rod_travel_mm: float
    plate_lift_mm: float
    separation_mm: float
    hand_force_n: float
    return_hand_force_n: float
    cable_tension_n: float
    rod_force_n: float
    clamp_force_n: float

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data, by the names of the stroke's columns."""
        data: dict[str, Any] = plain(self)
        return data

    def to_csv(self) -> str:
        """Return it as CSV text: one row under the names of the stroke's columns."""
        data = self.to_dict()
        return csv_text(list(data), [data.values()])

    def _repr_html_(self) -> str:
        caption = f"With the hand at {self.hand_travel_mm:.4g} mm"
        return html_table(caption, self.to_dict().items())


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
