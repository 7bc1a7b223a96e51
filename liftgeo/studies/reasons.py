"""Why a change lifts more or pulls lighter: work in, work lost, and how the effort is spread.

The peak effort is, exactly,

    peak = useful work x (work in / useful work) x (peak over the mean of the working travel)
           x (hand travel / working travel) / hand travel

so the logarithm of a change in peak effort is a sum, one term a cause. Useful work is what the
plates ask for: spring less cushion, and the arm's return spring; the effort floor is it over the
hand travel. Working travel is what is left once slack and floats are taken up.

A lever, arm or ramp with another ratio changes lift and effort by the same share, and leaves the
price, peak effort per lift, as it was. What changes the price is something else: less lost (in
work, in travel, or at the plate between lift and clearance), a spring that eases, or an effort
better spread. Source: derived in docs/theory.md, "What a change does".
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from liftgeo.chain import ROD_LOADS, position
from liftgeo.chain.energy import effort_floor_n
from liftgeo.outcome.outcome import Outcome
from liftgeo.outcome.results import Result
from liftgeo.outcome.together import Place
from liftgeo.parts.values import Values

TRADE_SHARE = 0.5
"""A change of price below this share of the change in lift or effort counts as a trade."""
SMALLEST = 0.002
"""Changes of lift and effort below this share are called none."""
NMM_PER_J = 1000.0

EFFORT_FOR_LIFT = "trades effort for lift"
LIFT_FOR_EFFORT = "trades lift for effort"
NOTHING = "hardly any change"
GAINS = {
    "lost": "less is lost",
    "spring": "spring eases",
    "spread": "effort better spread",
    "travel": "longer pull",
}
PRICES = {
    "lost": "more is lost",
    "spring": "spring presses harder",
    "spread": "effort worse spread",
    "travel": "shorter pull",
}


@dataclass(frozen=True)
class Account:
    """Where the work of one stroke goes.

    Attributes
    ----------
    work_in_j, useful_j : float
        Work of the hand, and what spring, cushion and return spring take of it.
    lift_mm, net_lift_mm : float
        Plate lift at full lever, and what is left of it past cushion, run-out and tilt.
    peak_n : float
        Greatest hand force.
    travel_mm, working_mm : float
        Hand travel, and the part of it after the rod loads.
    same_j : float
        Useful work up to the separation that the base of the comparison reaches.
    """

    work_in_j: float
    useful_j: float
    lift_mm: float
    net_lift_mm: float
    peak_n: float
    travel_mm: float
    working_mm: float
    same_j: float

    @property
    def lost_j(self) -> float:
        """Work in, less the useful work: rubbed away, or stored in cable, rod and blade."""
        return self.work_in_j - self.useful_j

    @property
    def lifts(self) -> bool:
        """Whether the plate is lifted at all, so that ratios mean something."""
        least = min(self.work_in_j, self.useful_j, self.lift_mm, self.peak_n, self.working_mm)
        return least > 1e-9


def accounts_of(places: Sequence[Place], results: Sequence[Result]) -> list[Account]:
    """Return the accounts of several analysed mechanisms; the first is the base of all."""
    base, at = places[0]
    same_at = base.picked(base.end.at, at)
    loads: dict[int, tuple[Values, Values]] = {}
    for outcome, _ in places:
        if id(outcome) not in loads:
            loads[id(outcome)] = _loads_at_mm(outcome), _same_n(outcome, same_at)
    return [
        _account(place, result, *loads[id(place.outcome)])
        for place, result in zip(places, results, strict=True)
    ]


def _loads_at_mm(outcome: Outcome) -> Values:
    """Return the hand travel at which the rod loads [mm]."""
    with np.errstate(all="ignore"):
        at = np.minimum(ROD_LOADS, outcome.end.at)
        return position(outcome.parts, at).hand_travel_mm


def _same_n(outcome: Outcome, same_at: float) -> Values:
    """Return the effort floor up to the stroke coordinate that the base reaches [N]."""
    with np.errstate(all="ignore"):
        return effort_floor_n(outcome.parts, position(outcome.parts, np.float64(same_at)))


def _account(place: Place, result: Result, loads_mm: Values, same_n: Values) -> Account:
    """Return the account of one analysed mechanism."""
    outcome, index = place
    parts, full = outcome.parts, result.full_lever
    hand_travel = outcome.picked(parts.lever.hand_travel_mm, index)
    return Account(
        work_in_j=result.effort.work_j,
        useful_j=result.effort.floor_n * hand_travel / NMM_PER_J,
        lift_mm=full.plate_lift_mm,
        net_lift_mm=2 * outcome.picked(parts.faces.plates, index) * full.clearance_per_face_mm,
        peak_n=result.peak.hand_force_n,
        travel_mm=full.hand_travel_mm,
        working_mm=full.hand_travel_mm - outcome.picked(loads_mm, index),
        same_j=outcome.picked(same_n, index) * hand_travel / NMM_PER_J,
    )


def causes(base: Account, own: Account) -> dict[str, float]:
    """Return what each cause does to the price of lift, as shares; above zero is good.

    Notes
    -----
    "spring" is the useful work for the base's separation, before and after, so that a change
    which leaves spring and cushion alone scores nothing there; "lost" counts work, idle travel,
    and lift that cushion, run-out and tilt take; "travel" is a longer way of the hand.
    """

    def gain(before: float, after: float) -> float:
        return math.log(before / after)

    lift_gain = gain(own.lift_mm, base.lift_mm)
    at_plate = _net_gain(base, own) - lift_gain
    worked = gain(base.work_in_j / base.useful_j, own.work_in_j / own.useful_j)
    idle = gain(base.travel_mm / base.working_mm, own.travel_mm / own.working_mm)
    eased = gain(base.same_j, max(own.same_j, 1e-12))
    spread = gain(
        base.peak_n * base.working_mm / base.work_in_j, own.peak_n * own.working_mm / own.work_in_j
    )
    return {
        "lost": worked + idle + at_plate,
        "spring": eased,
        "spread": spread,
        "travel": gain(own.travel_mm, base.travel_mm),
    }


def _net_gain(base: Account, own: Account) -> float:
    """Return the lift gained at the faces, as a share of the base's lift."""
    share = (own.net_lift_mm - base.net_lift_mm) / base.lift_mm
    return math.log(max(1 + share, 1e-3))


def reason_between(base: Account, own: Account) -> str:
    """Return in a few words why a variant does what it does.

    Notes
    -----
    The price of lift is peak effort over lift. Where its change is less than half of the change
    in lift or in effort, one was traded for the other; otherwise the cause that moved it most is
    named. Where a plate is not lifted at all only the signs are left to go by.
    """
    lift_up = own.net_lift_mm > base.net_lift_mm
    if not (base.lifts and own.lifts):
        return _by_signs(base, own)
    lift, effort = _net_gain(base, own), math.log(own.peak_n / base.peak_n)
    moved = max(abs(lift), abs(effort))
    if moved < SMALLEST:
        return NOTHING
    cheaper = lift - effort
    if abs(cheaper) < TRADE_SHARE * moved:
        return EFFORT_FOR_LIFT if lift_up else LIFT_FOR_EFFORT
    found = causes(base, own)
    words = GAINS if cheaper > 0 else PRICES
    sign = 1 if cheaper > 0 else -1
    return words[max(found, key=lambda name: sign * found[name])]


def _by_signs(base: Account, own: Account) -> str:
    lift, effort = own.net_lift_mm - base.net_lift_mm, own.peak_n - base.peak_n
    if abs(lift) < 1e-6 and abs(effort) < 1e-6:
        return NOTHING
    if lift > 0:
        return EFFORT_FOR_LIFT if effort > 0 else GAINS["lost"]
    return LIFT_FOR_EFFORT if effort < 0 else PRICES["lost"]
