"""What of the sets looked at may be chosen, which is cheapest, nearest, or not worth its money."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from liftgeo.mechanism.convert import slip_margin_target
from liftgeo.studies.change_sets import ChangeSets, SetTable
from liftgeo.studies.plan_front import ladder, undominated
from liftgeo.studies.plan_search import Looked
from liftgeo.studies.wants import FREES, Want

Array = NDArray[np.float64]
Frees = Callable[[int], float]
"""The share of clutches that a row of the table frees."""

JUST = 1e-9
"""A want is reached within this of its limit."""
LEAST_GAIN_MM, LEAST_GAIN_N = 0.005, 0.5
"""What a change must add to count: half of the last digit that can be measured."""
USUAL_SHARE = 0.1
"""A usual size of a share, against which a shortfall is judged."""
_LAST = 1e3
MOST_DRAWN = 1500
_FRONT_MEASURES = ("clearance", "peak_hand_force")


@dataclass(frozen=True)
class Unworthy:
    """A change that is not worth its money.

    Attributes
    ----------
    change : str
    why : str
        "cannot-be-made" with what it needs; "not-on-the-front": for its money something else does
        more; "adds-little": what it adds cannot be measured.
    clearance_gain_mm, peak_change_n : float
        The most it adds to any set of the front that holds it; NaN where none does.
    """

    change: str
    why: str
    clearance_gain_mm: float = math.nan
    peak_change_n: float = math.nan


@dataclass(frozen=True, eq=False)
class Judge:
    """What is wanted, turned on tables of sets.

    Attributes
    ----------
    sets : ChangeSets
    costs : sequence of float
    wants : tuple of Want
    answers : mapping
        Where each measure stands in a table.
    base_stops : array of bool
        The "stop" warnings of the file as it stands, which no set is blamed for.
    budget : float or None
    guide_mm : float
        Nominal clearance that about gives the share of `frees` wanted [mm].
    """

    sets: ChangeSets
    costs: Sequence[float]
    wants: tuple[Want, ...]
    answers: Mapping[str, str]
    base_stops: NDArray[np.bool_]
    budget: float | None
    guide_mm: float = 0.0

    @property
    def nominal(self) -> tuple[Want, ...]:
        """The wants that are judged at the numbers as given."""
        return tuple(want for want in self.wants if want.measure != FREES)

    @property
    def guide(self) -> Judge:
        """A judge of the numbers as given alone: where `frees` is wanted, of clearance instead."""
        if not self._by_samples():
            return self
        return replace(self, wants=(*self.nominal, Want("clearance", 1, self.guide_mm)))

    def margin(self, table: SetTable, want: Want) -> Array:
        """Return how far each set is on the good side of a want; NaN counts as far off."""
        found = np.asarray(want.margin(table.values[self.answers[want.measure]]), float)
        return np.where(np.isfinite(found), found, -np.inf)

    def short(self, table: SetTable) -> Array:
        """Return how far each set is from the wants, as shares of their scales, all added."""
        total: Array = np.zeros(len(table.sets))
        for want in self.nominal:
            margin = self.margin(table, want)
            total = total + np.where(margin >= -JUST, 0.0, -margin / want.scale)
        return total

    def usable(self, table: SetTable) -> NDArray[np.bool_]:
        """Return which sets release, hold, and bring no "stop" that the file does not have."""
        new = (table.stops & ~self.base_stops).any(axis=1)
        return np.asarray(table.releases & ~new)

    def shortfall(self, table: SetTable) -> Array:
        """Return how far each set is from the wants; infinite where it may not be chosen."""
        return np.where(self.usable(table), self.short(table), np.inf)

    def affordable(self, looked: Looked) -> NDArray[np.bool_]:
        """Return which sets stay within the budget."""
        most = math.inf if self.budget is None else self.budget + JUST
        return np.asarray(looked.cost <= most)

    def pool(self, looked: Looked) -> NDArray[np.bool_]:
        """Return the sets the front is made of.

        They may be chosen, can be paid, and keep the wants on other things than clearance and peak
        effort, where any set does.
        """
        table = looked.table
        good = self.usable(table) & self.affordable(looked)
        kept = good.copy()
        for want in self.nominal:
            if want.measure not in _FRONT_MEASURES:
                kept &= self.margin(table, want) >= -JUST
        return kept if kept.any() else good

    def front(self, looked: Looked) -> list[int]:
        """Return the rows of the front, by rising cost."""
        return self._undominated(looked, self.pool(looked))

    def _undominated(self, looked: Looked, pool: NDArray[np.bool_]) -> list[int]:
        rows = np.flatnonzero(pool)
        table = looked.table
        clearance, peak = (
            table.values[name][rows] for name in ("clearance_per_face_mm", "peak_hand_force_n")
        )
        size = np.array([table.sets[row].bit_count() for row in rows])
        return [int(rows[k]) for k in undominated(looked.cost[rows], clearance, peak, size)]

    def rungs(self, looked: Looked, front: Sequence[int]) -> list[int]:
        """Return the rows of the front that come nearer than all cheaper ones, then clear more."""
        short = self.shortfall(looked.table)
        clearance = looked.table.values["clearance_per_face_mm"]
        score = [float(short[k]) if short[k] > 0 else -1.0 - float(clearance[k]) for k in front]
        cost = [float(looked.cost[k]) for k in front]
        return [front[k] for k in ladder(cost, score, LEAST_GAIN_MM)]

    def _order(self, looked: Looked, rows: Sequence[int]) -> list[int]:
        """Return rows by cost, then effort, then clearance, then number of changes, then place."""
        values = looked.table.values

        def rank(row: int) -> tuple[float, float, float, int, int]:
            return (
                round(float(looked.cost[row]), 9),
                round(float(values["peak_hand_force_n"][row]), 9),
                -float(values["clearance_per_face_mm"][row]),
                looked.table.sets[row].bit_count(),
                looked.table.sets[row],
            )

        return sorted(rows, key=rank)

    def _frees_enough(self, row: int, frees: Frees) -> bool:
        return all(frees(row) >= want.limit for want in self.wants if want.measure == FREES)

    def _by_samples(self) -> bool:
        return len(self.nominal) < len(self.wants)

    def reaches(self, looked: Looked, row: int, frees: Frees) -> bool:
        """Return whether a set reaches all wants, and may be chosen."""
        one = rows_of(looked.table, [row])
        good = bool(self.shortfall(one)[0] <= 0) and bool(self.affordable(looked)[row])
        return good and self._frees_enough(row, frees)

    def cheapest(self, looked: Looked, front: Sequence[int], frees: Frees) -> int | None:
        """Return the cheapest set that reaches the wants, of equal cost the lightest."""
        good = (self.shortfall(looked.table) <= 0) & self.affordable(looked)
        rows = [int(row) for row in np.flatnonzero(good)]
        if not self._by_samples():
            return next(iter(self._order(looked, rows)), None)
        ordered = self._order(looked, [row for row in front if good[row]])
        return next((row for row in ordered if self._frees_enough(row, frees)), None)

    def nearest(self, looked: Looked, front: Sequence[int], frees: Frees) -> int | None:
        """Return the set that comes nearest to the wants; one that may be chosen, if any may.

        What takes grip away and holds less than the file's target comes after what does not.
        """
        short = np.where(self.affordable(looked), self.shortfall(looked.table), np.inf)
        short = short + _LAST * self._weaker(looked.table)
        if self._by_samples() and front:
            limit = max(want.limit for want in self.wants if want.measure == FREES)
            far = {row: max(limit - frees(row), 0.0) / USUAL_SHARE for row in front}
            ranked = self._order(looked, front)
            return min(ranked, key=lambda row: short[row] + far[row])
        if not np.isfinite(short).any():
            worse = self.affordable(looked) & looked.table.ok
            short = np.where(worse, self.short(looked.table), np.inf)
        if not np.isfinite(short).any():
            return None
        rows = np.flatnonzero(short <= short.min() + JUST)
        return self._order(looked, [int(row) for row in rows])[0]

    def _weaker(self, table: SetTable) -> NDArray[np.bool_]:
        """Return which sets take grip away and hold less than is wanted of the file."""
        margin = table.values["slip_margin"]
        least = float(slip_margin_target(self.sets.mechanism.keys))
        with np.errstate(invalid="ignore"):
            return np.asarray((margin < margin[table.sets.index(0)] - JUST) & (margin < least))

    def against(self, table: SetTable, row: int) -> tuple[str, ...]:
        """Return why a set may not be chosen: "slips", "no-release", or new stop warnings."""
        verdict = table.verdict(row)
        why = [verdict] if verdict in ("slips", "no-release") else []
        new = rows_of(table, [row])
        stops = SetTable(new.sets, new.values, new.ok, new.stops & ~self.base_stops).stop_names(0)
        return tuple(dict.fromkeys([*why, *stops]))

    def passed_over(self, looked: Looked, chosen: int | None) -> int | None:
        """Return the cheapest set that reaches the wants but may not be chosen, if cheaper."""
        table = looked.table
        bad = (self.short(table) <= 0) & table.ok & ~self.usable(table) & self.affordable(looked)
        if chosen is not None:
            bad &= looked.cost < looked.cost[chosen] - JUST
        rows = [int(row) for row in np.flatnonzero(bad)]
        return self._order(looked, rows)[0] if rows else None

    def steps(self, looked: Looked, row: int) -> list[int]:
        """Return the rows of a set built up change by change, what helps most for its money first.

        What a change needs comes with it. Of a step that gains nothing by itself the cheapest comes
        first; a set on the way that may not be used is put off as long as another will do.
        """
        place = {these: k for k, these in enumerate(looked.table.sets)}
        short = self.shortfall(looked.table)
        plain = self.short(looked.table)
        goal, now, found = looked.table.sets[row], 0, []
        while now != goal:
            options = []
            for k in range(len(self.sets.names)):
                wider = self.sets.with_needs(now, k) if (goal & ~now) >> k & 1 else None
                if wider is not None and wider in place:
                    there = place[wider]
                    money = float(looked.cost[there] - looked.cost[place[now]])
                    gain = float(plain[place[now]] - plain[there])
                    worth = gain / max(money, 1e-6) if gain > 0 else gain
                    options.append((math.isinf(short[there]), -worth, money, there))
            if not options:
                break
            there = min(options)[3]
            found.append(there)
            now = looked.table.sets[there]
        return found

    def unworthy(self, looked: Looked) -> tuple[Unworthy, ...]:
        """Return the changes that are not worth their money, whatever the budget."""
        place = {these: k for k, these in enumerate(looked.table.sets)}
        free = replace(self, budget=None)
        values, pool = looked.table.values, free.pool(looked)
        front = self._undominated(looked, pool)
        found = []
        for k, name in enumerate(self.sets.names):
            if self.costs[k] <= 0:
                continue
            if self.sets.with_needs(0, k) is None:
                found.append(Unworthy(name, "cannot-be-made"))
                continue
            holding = [row for row in front if looked.table.sets[row] >> k & 1]
            if not holding:
                found.append(Unworthy(name, "not-on-the-front"))
                continue
            gains = []
            for row in holding:
                rest = place.get(self._without(looked.table.sets[row], k))
                if rest is None or not pool[rest]:  # it is there for grip, or for another want
                    break
                gains.append(
                    (
                        values["clearance_per_face_mm"][row]
                        - values["clearance_per_face_mm"][rest],
                        values["peak_hand_force_n"][row] - values["peak_hand_force_n"][rest],
                    )
                )
            else:
                most, least = max(g for g, _ in gains), min(p for _, p in gains)
                if most < LEAST_GAIN_MM and least > -LEAST_GAIN_N:
                    found.append(Unworthy(name, "adds-little", float(most), float(least)))
        return tuple(found)

    def _without(self, these: int, k: int) -> int:
        """Return a set without a change and all that need it."""
        rest = these & ~(1 << k)
        for other in range(len(self.sets.names)):
            if self.sets.needed[other] >> k & 1:
                rest &= ~(1 << other)
        return rest

    def cloud(self, looked: Looked) -> tuple[tuple[float, float, float], ...]:
        """Return cost, clearance and peak effort of some sets that may be chosen."""
        rows = np.flatnonzero(self.usable(looked.table) & self.affordable(looked))
        if len(rows) > MOST_DRAWN:
            rows = rows[np.linspace(0, len(rows) - 1, MOST_DRAWN).astype(int)]
        values = looked.table.values
        columns = (
            looked.cost[rows],
            values["clearance_per_face_mm"][rows],
            values["peak_hand_force_n"][rows],
        )
        return tuple((float(a), float(b), float(c)) for a, b, c in zip(*columns, strict=True))


def rows_of(table: SetTable, rows: Sequence[int]) -> SetTable:
    """Return some rows of a table."""
    at = list(rows)
    return SetTable(
        [table.sets[row] for row in at],
        {name: values[at] for name, values in table.values.items()},
        table.ok[at],
        table.stops[at],
    )
