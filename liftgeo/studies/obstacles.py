"""What stands in the way of a want that cannot be met."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from liftgeo.chain import FACES_PART, position
from liftgeo.chain.energy import effort_floor_n
from liftgeo.outcome.outcome import Outcome
from liftgeo.outcome.results import Result
from liftgeo.studies.wants import FREES, Want

_STOPS = {
    "grip": "travel",
    "track-end": "track",
    "arm-stop": "track",
    "spring-flat": "spring end",
    "spring-solid": "spring end",
    "table-end": "spring end",
    "dead-centre": "dead centre",
}

_LIFT, _EFFORT = ("clearance", "separation", FREES), ("peak_hand_force", "hand_force")


@dataclass(frozen=True)
class Obstacle:
    """One thing in the way.

    Attributes
    ----------
    name : str
        "effort floor", "travel", "track", "slip", "spring end", "dead centre", "effort",
        "clamp force" or "bearing load".
    want : Want
        The want it stands in the way of.
    floor_n : float
        For "effort floor" and "effort": the least mean effort for the lift that is wanted [N].
    """

    name: str
    want: Want
    floor_n: float = np.nan


def wanted_separation_mm(outcome: Outcome, wants: Sequence[Want]) -> float:
    """Return the separation that the wants ask for [mm]; what is reached where they ask none."""
    faces = outcome.parts.faces
    each = 2 * faces.plates
    asked = [
        float(w.limit if w.measure == "separation" else faces.needed_mm + each * net)
        for w in wants
        if w.measure in _LIFT and w.sign > 0
        for net in [0.0 if w.measure == FREES else w.limit]
    ]
    reached = outcome.picked(outcome.separation_signed_mm, ())
    return max([*asked, 0.0]) if asked else max(reached, 0.0)


def floor_for_wants_n(outcome: Outcome, wants: Sequence[Want]) -> float:
    """Return the effort floor of the separation that the wants ask for [N].

    The work that spring, cushion and return spring take up to there, over the hand travel: no
    lever, arm or ramp can do it with less on average.
    """
    at = FACES_PART + wanted_separation_mm(outcome, wants)
    with np.errstate(all="ignore"):
        floor = effort_floor_n(outcome.parts, position(outcome.parts, at))
    return outcome.picked(floor, ())


def obstacles(
    outcome: Outcome, result: Result, missed: Sequence[Want], wants: Sequence[Want]
) -> list[Obstacle]:
    """Return what stands in the way of each missed want, at the nearest miss.

    Parameters
    ----------
    outcome, result : Outcome, Result
        Of the nearest miss.
    missed, wants : sequence of Want
        The wants that are missed, and all of them.
    """
    found = []
    floor = floor_for_wants_n(outcome, wants)
    for want in missed:
        if want.measure in _LIFT and want.sign > 0:
            found.append(Obstacle(_STOPS[result.stopped_by], want))
        elif want.measure in _EFFORT and want.sign < 0:
            name = "effort floor" if floor > want.limit else "effort"
            found.append(Obstacle(name, want, floor))
        elif want.measure == "slip_margin":
            found.append(Obstacle("slip", want))
        elif want.measure == "axial_load":
            found.append(Obstacle("bearing load", want))
        elif want.measure == "clamp_force":
            found.append(Obstacle("clamp force", want))
        else:
            found.append(Obstacle("range", want))
    return found
