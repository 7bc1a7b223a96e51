"""Nothing is answered without a number: what must be finite, and which table is to blame.

One rule for one mechanism and for many. Where a stroke ends in no number the mechanism has a fault,
or the variant a reason; no verdict is made from it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from liftgeo.chain import JOINTS, Position, position
from liftgeo.errors import Fault
from liftgeo.parts.values import Index, Values

if TYPE_CHECKING:
    from liftgeo.outcome.outcome import Outcome


@dataclass(frozen=True, eq=False, repr=False)
class Needed:
    """An answer that must be a number.

    Attributes
    ----------
    table : str
        Table of the file to look at where it is none.
    what : str
        What it is called.
    of : callable
        Takes the outcome, returns the answer.
    """

    table: str
    what: str
    of: Callable[[Outcome], Values]


@dataclass(frozen=True, eq=False, repr=False)
class Step:
    """A quantity of the chain from the plates back to the hand: table, what it is, its value."""

    table: str
    what: str
    of: Callable[[Position], Values]


# In the order of the chain: the first that is no number is where it went wrong.
STEPS = (
    Step("spring", "the spring's load", lambda p: p.spring_load_n),
    Step("faces", "the clamp force", lambda p: p.clamp_force_n),
    Step("faces", "the plate lift", lambda p: p.lift_mm),
    Step("rod", "the rod force", lambda p: p.rod_force_n),
    Step("rod", "the rod travel", lambda p: p.rod_travel_mm),
    Step("release", "the unit's rotation", lambda p: p.unit.rotation_rad),
    Step("release", "the rod travel per turn", lambda p: p.unit.slope_mm_per_rad),
    Step("release", "the unit's torque", lambda p: p.unit_torque_nmm),
    Step("arm", "the arm's rotation", lambda p: p.arm.rotation_rad),
    Step("arm", "the arm's moment arm", lambda p: p.arm.moment_arm_mm),
    Step("arm", "the cable tension", lambda p: p.tension_n),
    Step("cable", "the cable pull", lambda p: p.lever.pull_mm),
    Step("cable", "the cable tension at the lever", lambda p: p.hand_tension_n),
    Step("lever", "the lever's angle", lambda p: p.lever.rotation_rad),
    Step("lever", "the lever's moment arm", lambda p: p.lever.moment_arm_mm),
    Step("lever", "the hand force", lambda p: p.hand_force_n),
    Step("lever", "the hand travel", lambda p: p.hand_travel_mm),
)

ANSWERS = (
    Needed("lever", "the end of the stroke", lambda o: o.end.at),
    Needed("lever", "the hand force at full lever", lambda o: o.full.hand_force_n),
    Needed("lever", "the hand travel at full lever", lambda o: o.full.hand_travel_mm),
    Needed("lever", "the lever's angle at full lever", lambda o: o.full.lever_angle_rad),
    Needed("arm", "the arm's rotation at full lever", lambda o: o.full.arm_rotation_rad),
    Needed("arm", "the cable tension at full lever", lambda o: o.full.tension_n),
    Needed("rod", "the rod force at full lever", lambda o: o.full.rod_force_n),
    Needed("rod", "the rod travel at full lever", lambda o: o.full.rod_travel_mm),
    Needed("cable", "the hand force letting back", lambda o: o.back.hand_force_n),
    Needed("lever", "the peak hand force", lambda o: o.end.peak_n),
    Needed("lever", "the place of the peak", lambda o: o.peak.hand_travel_mm),
    Needed("release", "the work of the stroke", lambda o: o.work_nmm),
    Needed("lever", "the effort floor", lambda o: o.floor_n),
    Needed("faces", "the clearance", lambda o: o.clearance_per_face_mm),
)
CAPACITY = Needed("faces", "the torque capacity", lambda o: o.capacity_nmm)
SLIP_MARGIN = Needed("engine", "the slip margin", lambda o: o.slip_margin)


def _answers(outcome: Outcome) -> tuple[Needed, ...]:
    """Return what must be a number of what the file gives: grip needs faces, slip an engine."""
    if "faces.friction" not in outcome.keys:
        return ANSWERS
    if "engine.torque" not in outcome.keys:
        return (*ANSWERS, CAPACITY)
    return (*ANSWERS, CAPACITY, SLIP_MARGIN)


def is_finite(outcome: Outcome) -> Values:
    """Return where every answer that must be a number is one, of the outcome's shape."""
    good: Values = np.ones(outcome.shape, bool)
    with np.errstate(all="ignore"):
        for needed in _answers(outcome):
            good = good & np.isfinite(needed.of(outcome))
    return good


def fault_of(outcome: Outcome, index: Index) -> Fault:
    """Return the fault of one element that ends in no number: the first step that has none."""
    column = (len(JOINTS) + 1,) + (1,) * len(outcome.shape)
    with np.errstate(all="ignore"):
        places = np.array([1e-12, *JOINTS]).reshape(column)
        p = position(outcome.parts, places)
        for step in STEPS:
            values: Values = np.broadcast_to(step.of(p), (len(JOINTS) + 1, *outcome.shape))
            if not np.all(np.isfinite(values[:, *index])):
                return _fault(step.table, step.what)
        for needed in _answers(outcome):
            if not np.isfinite(outcome.picked(needed.of(outcome), index)):
                return _fault(needed.table, needed.what)
    raise ValueError("every answer is a number")


def _fault(table: str, what: str) -> Fault:
    return Fault(
        table,
        "",
        f"The sums end in no number: {what} cannot be worked out from this table.",
        f"Look at each number of [{table}]: one of them is far from any that can be measured, or "
        "its readings hardly rise.",
    )
