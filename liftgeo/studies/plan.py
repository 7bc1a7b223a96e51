"""Which of a file's changes to make: the cheapest set that reaches what is wanted."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from textwrap import fill

import numpy as np

from liftgeo.errors import RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.analysis import result_at
from liftgeo.outcome.drawing import draw
from liftgeo.outcome.outcome import analysed
from liftgeo.outcome.results import Result
from liftgeo.studies.change_sets import ChangeSets, Progress
from liftgeo.studies.plan_judge import LEAST_GAIN_MM, Judge
from liftgeo.studies.plan_result import Bundle, Missed, PassedOver, Plan
from liftgeo.studies.plan_search import EXACT_UP_TO, MOST_SETS, Looked, look
from liftgeo.studies.sure import how_sure
from liftgeo.studies.wants import FREES, MEASURES, Want, check_known, want_from

MOST_SAMPLED = 40
"""Of a longer front `frees` is counted for so many sets: those shown, then the cheapest."""
SAMPLED_WEIGHT = 40
"""How many sets the progress counts for one whose samples are worked out."""

_ANSWERS: Mapping[str, str] = {
    "lift": "plate_lift_mm",
    "clearance": "clearance_per_face_mm",
    "separation": "separation_signed_mm",
    "slip_margin": "slip_margin",
    "peak_hand_force": "peak_hand_force_n",
    "hand_force": "hand_force_n",
    "clamp_force": "clamp_force_n",
    "axial_load": "axial_load_n",
}


def wanted(mechanism: Mechanism, want: Sequence[str]) -> tuple[Want, ...]:
    """Return the wants in texts; the target clearance where there are none.

    Raises
    ------
    RequestError
        Not a want, `frees` twice, or one the file does not give enough for.
    """
    wants = tuple(want_from(text) for text in want)
    if not wants:
        wants = (Want("clearance", 1, float(np.min(mechanism.parts().faces.target_mm))),)
    if sum(w.measure == FREES for w in wants) > 1:
        raise RequestError("frees is wanted twice; the larger share is enough.")
    laid = [key for change in mechanism.changes.values() for key in change.keys]
    for each in wants:
        check_known(mechanism, each.measure, laid)
    return wants


def costs_of(mechanism: Mechanism, rate: float | None) -> list[float]:
    """Return what each change costs, its hours at the hourly rate included.

    Raises
    ------
    RequestError
        A change without its cost.
    """
    without = [name for name, change in mechanism.changes.items() if change.terms.cost is None]
    if without:
        told = "\n\n".join(f"[changes.{name}]\ncost = " for name in without)
        word = "these changes" if len(without) > 1 else "this change"
        asked = (
            f"A plan needs the cost of every change, and {mechanism.source or 'the file'} does not "
            f"give that of {', '.join(without)}. Add what {word} would cost you, in your own "
            "money and as near as you can guess, 0 where it is free:"
        )
        more = (
            "The hours of work may stand below a cost, in a line such as: hours = 2.5. "
            "With --hourly-rate they count too."
        )
        raise RequestError(f"{fill(asked, 80)}\n\n{told}\n\n{fill(more, 80)}")
    terms = [change.terms for change in mechanism.changes.values()]
    return [float(t.cost or 0.0) + (rate or 0.0) * float(t.hours or 0.0) for t in terms]


def _checked(name: str, value: float | None) -> float | None:
    if value is not None and not 0 <= value < math.inf:
        raise RequestError(f"{name} {value:g}: write a sum of money, 0 or more.")
    return value


def most_work(mechanism: Mechanism) -> int:
    """Return how many sets a plan looks at, at the most."""
    return int(min(2 ** min(len(mechanism.changes), 40), MOST_SETS)) + 100 * SAMPLED_WEIGHT


def plan(
    mechanism: Mechanism,
    want: Sequence[str] = (),
    *,
    hourly_rate: float | None = None,
    budget: float | None = None,
    exact_up_to: int = EXACT_UP_TO,
    most_sets: int = MOST_SETS,
    progress: Progress | None = None,
) -> Plan:
    """Return the cheapest set of a file's changes that reaches what is wanted.

    Parameters
    ----------
    mechanism : Mechanism
        With changes that each give a `cost`.
    want : sequence of str
        As in "clearance>=0.1"; none: the target clearance.
    hourly_rate : float, optional
        What an hour of work costs; left out, hours cost nothing.
    budget : float, optional
        The most to be spent.
    exact_up_to : int
        With so many changes or fewer all sets are looked at.
    most_sets : int
        Of more changes so many sets, at the most, in the order of their cost.
    progress : callable, optional
        Called with how many sets were looked at.

    Raises
    ------
    RequestError
        A question that cannot be asked: no changes, a change without its cost, an unknown want, or
        a file that does not give the whole clutch.

    Notes
    -----
    Wants on clearance, force and the like are judged at the numbers as given; one on `frees` by
    the samples of `liftgeo.known`, of the sets of the front alone. A set that slips, does not
    release, or brings a "stop" warning that the file does not have is never chosen. How more than
    12 changes are searched, and what is proven then: `liftgeo.studies.plan_search.look`.
    """
    mechanism.need_full("A plan")
    if not mechanism.changes:
        raise RequestError(
            f"{mechanism.source or 'The file'} holds no changes to choose from. Write "
            "[changes.NAME] with the keys that change, and cost = what it would cost you."
        )
    rate, budget = _checked("--hourly-rate", hourly_rate), _checked("--budget", budget)
    wants, costs = wanted(mechanism, want), costs_of(mechanism, rate)
    answers = tuple(dict.fromkeys(_ANSWERS[w.measure] for w in wants if w.measure in _ANSWERS))
    sets = ChangeSets(mechanism, tuple(mechanism.changes), answers, progress)
    base = sets.worked_out([0])
    guide_mm = _guide_mm(mechanism, wants)
    judge = Judge(sets, costs, wants, _ANSWERS, base.stops[0], budget, guide_mm)
    guide = judge.guide
    sampled = guide is not judge
    looked = look(sets, costs, guide.shortfall, exact_up_to, most_sets, only_a_guide=sampled)
    return _Planner(mechanism, judge, looked, rate, budget, progress).plan()


def _guide_mm(mechanism: Mechanism, wants: Sequence[Want]) -> float:
    """Return the clearance as given with which about the wanted share frees; 0 where none is.

    As far as the samples of the file itself spread below its own clearance.
    """
    share = next((want.limit for want in wants if want.measure == FREES), None)
    drawn = None if share is None else draw(mechanism)
    if drawn is None or share is None or not drawn.good.any():
        return 0.0
    with np.errstate(all="ignore"):
        outcome = analysed(mechanism)
        own = outcome.picked(outcome.clearance_per_face_mm, ())
    low = float(np.quantile(drawn.of("clearance_per_face_mm"), 1.0 - share))
    return max(own - low, 0.0) + LEAST_GAIN_MM


@dataclass(eq=False)
class _Planner:
    """What was looked at, turned into a plan."""

    mechanism: Mechanism
    judge: Judge
    looked: Looked
    rate: float | None
    budget: float | None
    progress: Progress | None
    frees: dict[int, float | None] = field(default_factory=dict)

    def plan(self) -> Plan:
        judge, table = self.judge, self.looked.table
        front = judge.front(self.looked)
        chosen = judge.cheapest(self.looked, front, self._share)
        nearest = None
        if chosen is None:
            nearest = judge.nearest(self.looked, front, self._share)
        shown = chosen if chosen is not None else nearest
        if chosen is not None and chosen not in front:
            front = sorted([*front, chosen], key=lambda row: self.looked.cost[row])
        steps = [] if shown is None else judge.steps(self.looked, shown)
        rungs = judge.rungs(self.looked, front)
        self._sample([0, *steps, *rungs, *([] if shown is None else [shown])], front)
        passed = judge.passed_over(self.looked, chosen)
        made = self.mechanism if shown is None else self._made(shown)
        return Plan(
            mechanism=self.mechanism,
            wants=judge.wants,
            chosen=None if chosen is None else self._bundle(chosen),
            nearest=None if nearest is None else self._bundle(nearest),
            missed=() if nearest is None else self._missed(nearest),
            steps=tuple(self._bundle(row) for row in steps),
            front=tuple(self._bundle(row) for row in front),
            rungs=tuple(self._bundle(row) for row in rungs),
            base=self._bundle(0),
            unworthy=judge.unworthy(self.looked),
            passed_over=None
            if passed is None
            else PassedOver(self._bundle(passed), judge.against(table, passed)),
            evaluated=len(table.sets),
            dropped=int(np.count_nonzero(~table.ok)),
            complete=self.looked.complete,
            bound=None if self.looked.complete else self.looked.bound,
            rate=self.rate,
            budget=self.budget,
            base_result=_result(self.mechanism),
            result=_result(made),
            cloud=judge.cloud(self.looked),
        )

    def _share(self, row: int) -> float:
        """Return the share of clutches that a set frees; NaN where nothing is uncertain."""
        if row not in self.frees:
            self.frees[row] = how_sure(self._made(row)).frees
            if self.progress is not None:
                self.progress(SAMPLED_WEIGHT)
        share = self.frees[row]
        return math.nan if share is None else share

    def _sample(self, shown: Sequence[int], front: Sequence[int]) -> None:
        """Count `frees` of what is shown, and of as much of the front as is worth the time."""
        for row in shown:
            self._share(row)
        for row in front:
            if len(self.frees) >= MOST_SAMPLED:
                break
            self._share(row)

    def _made(self, row: int) -> Mechanism:
        names = self.judge.sets.members(self.looked.table.sets[row])
        return self.mechanism.changed(*names) if names else self.mechanism

    def _missed(self, row: int) -> tuple[Missed, ...]:
        found = []
        for want in self.judge.wants:
            value = self._value(want, row)
            if not want.margin(value) >= -1e-9:
                found.append(Missed(want, value))
        return tuple(found)

    def _value(self, want: Want, row: int) -> float:
        if want.measure == FREES:
            return self._share(row)
        return float(self.looked.table.values[_ANSWERS[want.measure]][row])

    def _bundle(self, row: int) -> Bundle:
        table = self.looked.table
        names = self.judge.sets.members(table.sets[row])
        terms = [self.mechanism.changes[name].terms for name in names]
        clearance, peak, margin = (
            float(table.values[name][row])
            for name in ("clearance_per_face_mm", "peak_hand_force_n", "slip_margin")
        )
        return Bundle(
            names,
            float(self.looked.cost[row]),
            math.fsum(t.hours or 0.0 for t in terms),
            self.frees.get(row),
            clearance,
            peak,
            margin,
            table.verdict(row),
            self.judge.reaches(self.looked, row, self._share),
        )


def _result(mechanism: Mechanism) -> Result:
    with np.errstate(all="ignore"):
        return result_at(analysed(mechanism), (), mechanism, None)


assert _ANSWERS.keys() | {FREES} == MEASURES.keys()
