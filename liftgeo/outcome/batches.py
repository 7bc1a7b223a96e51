"""Many variants of a mechanism in one call."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from liftgeo.errors import Reason, RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.convert import NMM_PER_NM
from liftgeo.outcome.analysis import (
    FEWEST_POSITIONS,
    VERDICTS,
    Outcome,
    analysed,
    bearing_values,
    capacity_values,
    full_lever_values,
    stroke_columns,
)
from liftgeo.outcome.clutch_end import hand_values, strength_values
from liftgeo.parts.values import Values

Array = NDArray[Any]


@dataclass(frozen=True, eq=False, repr=False)
class Batch:
    """Results of N variants, as arrays of shape (N,), NaN where a variant cannot be computed.

    Every number of a single result has an attribute of its JSON name: those of full lever, and
    peak_hand_force_n, peak_hand_travel_mm, work_j, floor_n, peak_over_floor, torque_nm,
    slip_margin, axial_load_n and so on. `clamp_force_n` is the one at rest. Groups are worked out
    when first asked for.

    Attributes
    ----------
    outcome : Outcome
        The arrays behind the attributes.
    reason : array of int
        `liftgeo.Reason` codes, 0 where the variant was computed.
    positions : int
        Rows of `stroke`.
    """

    outcome: Outcome
    reason: Array
    positions: int

    @property
    def ok(self) -> Array:
        """Whether each variant was computed."""
        return np.asarray(self.reason == int(Reason.OK))

    def __len__(self) -> int:
        return len(self.reason)

    def _filled(self, value: Values) -> Array:
        full = np.broadcast_to(np.asarray(value, float), self.outcome.shape)
        filled: Array = np.where(self.ok, full, np.nan)
        return filled

    @cached_property
    def _named(self) -> dict[str, Values]:
        values = {**full_lever_values(self.outcome), **bearing_values(self.outcome)}
        return {**values, **capacity_values(self.outcome)}

    @cached_property
    def _clutch_end(self) -> dict[str, Values]:
        return {**hand_values(self.outcome), **strength_values(self.outcome)}

    def __getattr__(self, name: str) -> Array:
        """Return a number of every variant by its JSON name."""
        if name.startswith("_") or name in ("outcome", "reason", "positions"):
            raise AttributeError(name)
        with np.errstate(all="ignore"):
            if name in self._named:
                return self._filled(self._named[name])
            if name in self._clutch_end:
                return self._filled(self._clutch_end[name])
        raise AttributeError(f"A batch has no {name}.")

    @cached_property
    @np.errstate(all="ignore")
    def separation_signed_mm(self) -> Array:
        """Separation of the pack, below zero where the faces do not part [mm]."""
        return self._filled(self.outcome.separation_signed_mm)

    @cached_property
    @np.errstate(all="ignore")
    def clearance_per_face_mm(self) -> Array:
        """Net clearance per face [mm]."""
        return self._filled(self.outcome.clearance_per_face_mm)

    @cached_property
    @np.errstate(all="ignore")
    def peak_hand_force_n(self) -> Array:
        """Greatest hand force [N]."""
        return self._filled(self.outcome.peak.hand_force_n)

    @cached_property
    @np.errstate(all="ignore")
    def peak_hand_travel_mm(self) -> Array:
        """Hand travel at the greatest hand force [mm]."""
        return self._filled(self.outcome.peak.hand_travel_mm)

    @cached_property
    @np.errstate(all="ignore")
    def work_j(self) -> Array:
        """Work of the hand from rest to full lever [J]."""
        return self._filled(self.outcome.work_nmm / NMM_PER_NM)

    @cached_property
    @np.errstate(all="ignore")
    def floor_n(self) -> Array:
        """Effort floor [N]."""
        return self._filled(self.outcome.floor_n)

    @property
    @np.errstate(all="ignore")
    def peak_over_floor(self) -> Array:
        """Greatest hand force over the effort floor."""
        return self.peak_hand_force_n / self.floor_n

    @cached_property
    @np.errstate(all="ignore")
    def travel_left_mm(self) -> Array:
        """Hand travel left after running clear [mm]; NaN where it does not run clear."""
        return self._filled(
            self.outcome.full.hand_travel_mm - self.outcome.events.hand_travel_mm[2]
        )

    @property
    @np.errstate(all="ignore")
    def verdict(self) -> Array:
        """Verdict of each variant; empty where it was not computed."""
        words = np.array([*VERDICTS, ""])
        return words[np.where(self.ok, self.outcome.verdict, len(VERDICTS))]

    @property
    @np.errstate(all="ignore")
    def stopped_by(self) -> Array:
        """What ends each stroke; empty where it was not computed."""
        names = self.outcome.stop_names
        words = np.array([*names, ""])
        return words[np.where(self.ok, self.outcome.end.limit, len(names))]

    @cached_property
    @np.errstate(all="ignore")
    def stroke(self) -> dict[str, Array]:
        """Columns of the strokes, each of shape (N, positions)."""
        columns = stroke_columns(self.outcome, self.positions)
        return {k: np.where(self.ok, v, np.nan).T for k, v in columns.items()}


def batch(mechanism: Mechanism, over: Mapping[str, Any], positions: int = 101) -> Batch:
    """Return the results of many variants of a mechanism.

    Parameters
    ----------
    mechanism : Mechanism
    over : mapping
        Dotted keys to arrays of one shape (N,), or single numbers, in the file's bare units. A key
        gives way to its alternatives as in a change.
    positions : int
        Rows of each stroke, 100 at least (worked out only when `stroke` is asked for).

    Raises
    ------
    RequestError
        An unknown key, arrays of different lengths, or too few positions.
    """
    if positions < FEWEST_POSITIONS:
        raise RequestError(f"{positions} positions are too few; at least {FEWEST_POSITIONS}.")
    if not over:
        raise RequestError("A batch needs one key at least, with an array of values.")
    for key in over:
        mechanism.number("arm.radius" if key == "arm.radius_same_angle" else key)
    try:
        arrays = {k: np.atleast_1d(np.asarray(v, float)) for k, v in over.items()}
    except (TypeError, ValueError):
        raise RequestError("The values of a batch must be numbers, in bare units.") from None
    try:
        shape = np.broadcast_shapes(*(a.shape for a in arrays.values()))
    except ValueError:
        sizes = ", ".join(f"{k} {a.shape}" for k, a in arrays.items())
        raise RequestError(f"The arrays of a batch differ in length: {sizes}.") from None
    if len(shape) != 1:
        raise RequestError("The arrays of a batch must have one dimension.")
    arrays = {k: np.broadcast_to(a, shape) for k, a in arrays.items()}
    reason = mechanism.reasons(arrays, shape)
    with np.errstate(all="ignore"):
        return Batch(analysed(mechanism, arrays), reason, positions)
