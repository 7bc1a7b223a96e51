"""What a plan finds: the set to buy, in which order, and what each sum of money buys."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from liftgeo.mechanism import Mechanism
from liftgeo.outcome.csv_text import csv_text
from liftgeo.outcome.html_table import html_table
from liftgeo.outcome.results import Result, plain
from liftgeo.studies.plan_judge import Unworthy
from liftgeo.studies.wants import FREES, Want


@dataclass(frozen=True)
class Bundle:
    """A set of changes, what it costs and what it comes to.

    Attributes
    ----------
    changes : tuple of str
        Names, in the order of the file.
    cost : float
        Money, the hours at the hourly rate included.
    hours : float
        Hours of work, as far as the changes give them.
    frees : float or None
        Share of clutches that run clear; None where nothing is uncertain, or where it was not
        counted: of a long front it is for the sets shown and the cheapest.
    clearance_per_face_mm, peak_hand_force_n, slip_margin : float
    verdict : str
    reaches : bool
        Whether it reaches all that is wanted, and may be chosen.
    """

    changes: tuple[str, ...]
    cost: float
    hours: float
    frees: float | None
    clearance_per_face_mm: float
    peak_hand_force_n: float
    slip_margin: float
    verdict: str
    reaches: bool

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data."""
        data: dict[str, Any] = plain(self)
        return data


@dataclass(frozen=True)
class Missed:
    """A want that a set misses, and the value it reaches."""

    want: Want
    value: float


@dataclass(frozen=True)
class PassedOver:
    """A set that would reach what is wanted for less, and why it is not chosen."""

    bundle: Bundle
    why: tuple[str, ...]


@dataclass(frozen=True)
class Plan:
    """The cheapest set of changes, what money buys, and what is not worth it.

    Attributes
    ----------
    mechanism : Mechanism
        The file as it stands.
    wants : tuple of Want
    chosen : Bundle or None
        The least cost that reaches all wants; of equal cost the least peak effort.
    nearest : Bundle or None
        Where nothing is chosen: the set that comes nearest.
    missed : tuple of Missed
        What the nearest still misses.
    steps : tuple of Bundle
        The chosen or nearest set built up change by change, what helps most for its money first.
    front : tuple of Bundle
        Sets that none beats in cost, clearance and effort at once, by rising cost.
    rungs : tuple of Bundle
        Of the front what a rising sum of money buys: nearer to what is wanted, then clearer.
    base : Bundle
        No change at all.
    unworthy : tuple of Unworthy
        Changes that are not worth their money, and why.
    passed_over : PassedOver or None
        A cheaper set that reaches the wants, but slips, does not release, or brings a stop.
    evaluated, dropped : int
        Sets looked at, and those of them that cannot be built.
    complete : bool
        Whether every set that can be made was looked at.
    bound : float or None
        No set that was not looked at costs less; None where all were.
    rate, budget : float or None
        Money for an hour of work, and the most to be spent.
    base_result, result : Result
        The file as it stands, and with the chosen or nearest set.
    cloud : tuple of (cost, clearance_mm, peak_n)
        Some of the sets looked at, for a figure.
    """

    mechanism: Mechanism
    wants: tuple[Want, ...]
    chosen: Bundle | None
    nearest: Bundle | None
    missed: tuple[Missed, ...]
    steps: tuple[Bundle, ...]
    front: tuple[Bundle, ...]
    rungs: tuple[Bundle, ...]
    base: Bundle
    unworthy: tuple[Unworthy, ...]
    passed_over: PassedOver | None
    evaluated: int
    dropped: int
    complete: bool
    bound: float | None
    rate: float | None
    budget: float | None
    base_result: Result
    result: Result
    cloud: tuple[tuple[float, float, float], ...] = field(repr=False)

    @property
    def gap(self) -> float:
        """What the chosen set may cost more than the cheapest that reaches the wants, at most."""
        if self.chosen is None or self.bound is None:
            return 0.0
        return max(0.0, self.chosen.cost - self.bound)

    @property
    def by_samples(self) -> bool:
        """Whether `frees` is wanted: then the choice is among the sets of the front."""
        return any(want.measure == FREES for want in self.wants)

    def to_dict(self) -> dict[str, Any]:
        """Return the plan as plain data."""
        passed = self.passed_over
        data: dict[str, Any] = plain(
            {
                "wanted": [_want_data(want) for want in self.wants],
                "chosen": None if self.chosen is None else self.chosen.to_dict(),
                "front": [each.to_dict() for each in self.front],
                "evaluated": self.evaluated,
                "dropped": self.dropped,
                "nearest": None if self.nearest is None else self.nearest.to_dict(),
                "missed": [{**_want_data(m.want), "value": m.value} for m in self.missed],
                "steps": [each.to_dict() for each in self.steps],
                "not_worth": [plain(each) for each in self.unworthy],
                "passed_over": None
                if passed is None
                else {**passed.bundle.to_dict(), "why": list(passed.why)},
                "complete": self.complete,
                "bound": self.bound,
                "gap": self.gap,
                "hourly_rate": self.rate,
                "budget": self.budget,
                "result": self.result.to_dict(),
            }
        )
        return data

    def to_csv(self) -> str:
        """Return the front as CSV text, one row a set."""
        heads = ["changes", "cost", "hours", "frees", "clearance_per_face_mm"]
        heads += ["peak_hand_force_n", "slip_margin", "verdict", "reaches", "chosen"]
        chosen = () if self.chosen is None else self.chosen.changes
        rows = [
            [
                " + ".join(each.changes),
                each.cost,
                each.hours,
                each.frees,
                each.clearance_per_face_mm,
                each.peak_hand_force_n,
                each.slip_margin,
                each.verdict,
                "yes" if each.reaches else "no",
                "yes" if self.chosen is not None and each.changes == chosen else "no",
            ]
            for each in self.front
        ]
        return csv_text(heads, rows)

    def _repr_html_(self) -> str:
        heads = ("changes", "cost", "clearance_per_face_mm", "peak_hand_force_n", "slip_margin")
        rows = [
            (
                " + ".join(b.changes) or "as it stands",
                b.cost,
                b.clearance_per_face_mm,
                b.peak_hand_force_n,
                b.slip_margin,
            )
            for b in self.front
        ]
        return html_table(self.mechanism.title, rows, heads)


def _want_data(want: Want) -> dict[str, Any]:
    word = "at_least" if want.sign > 0 else "at_most"
    return {"measure": want.measure, word: want.limit}
