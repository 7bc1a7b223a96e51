"""Which sets of changes a plan looks at: all of them, or the cheapest first with a proven bound."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from liftgeo.studies.change_sets import ChangeSets, SetTable

Array = NDArray[np.float64]

EXACT_UP_TO = 12
"""So many changes, and all their sets are looked at."""
CHUNK, ENOUGH, MOST_SETS, MOST_STEPS = 4096, 16_384, 100_000, 400_000
"""Of more changes: sets worked out at a time; looked at even where the cheapest answer is proven;
looked at before the search gives up proving; and stepped through, with sets that lack a need."""
BEAM = 64
TINY = 1e-9
"""Sums of money nearer than this count as equal."""


@dataclass(frozen=True, eq=False)
class Looked:
    """What a search looked at.

    Attributes
    ----------
    table : SetTable
        What the sets come to.
    cost : array of shape (sets,)
    complete : bool
        Whether every set that can be made is among them.
    bound : float
        No set that is not among them costs less; infinite where it is complete.
    """

    table: SetTable
    cost: Array
    complete: bool
    bound: float


Shortfall = Callable[[SetTable], Array]
"""How far each set is from what is wanted, 0 where it is reached, infinite where it may not be
chosen."""


def joined(tables: Sequence[SetTable]) -> SetTable:
    """Return several tables as one."""
    names = tables[0].values
    return SetTable(
        [these for table in tables for these in table.sets],
        {name: np.concatenate([table.values[name] for table in tables]) for name in names},
        np.concatenate([table.ok for table in tables]),
        np.concatenate([table.stops for table in tables]),
    )


def cost_of(these: int, costs: Sequence[float]) -> float:
    """Return what a set costs."""
    return math.fsum(cost for k, cost in enumerate(costs) if these >> k & 1)


def look(
    sets: ChangeSets,
    costs: Sequence[float],
    shortfall: Shortfall,
    exact_up_to: int = EXACT_UP_TO,
    most_sets: int = MOST_SETS,
    *,
    only_a_guide: bool = False,
) -> Looked:
    """Return what the sets of changes come to.

    Parameters
    ----------
    sets : ChangeSets
    costs : sequence of float
        What each change costs, 0 or more.
    shortfall : callable
    exact_up_to : int
        With so many changes or fewer all sets are looked at.
    most_sets : int
        Of more changes so many sets are looked at in the order of their cost, at the most.
    only_a_guide : bool
        The shortfall does not say all that is wanted, so that it proves nothing: the search goes on
        to the end of its sets, and the beam search beyond them.

    Notes
    -----
    With more changes this is branch and bound by cost. Sets are branched into in the order of their
    cost, which rises since no change costs less than nothing: the cost of the next set is a lower
    bound, proven, on that of every set not looked at. The search may stop once a set reaches what
    is wanted at no more than that bound. What a set does to clearance or effort is bounded by
    nothing: effects do not add up, so nothing is ruled out on their account. Where the sets run out
    first, a beam search from the best of them looks for an answer; that is a heuristic, and
    what it finds costs more than the cheapest by no more than its cost less the bound.
    """
    tables: list[SetTable] = []
    seen = 0
    best = bound = math.inf
    chunk: list[int] = []
    waiting = sets.by_cost(costs)
    everything = len(sets.names) <= exact_up_to

    def work(chunk: list[int]) -> float:
        table = sets.worked_out(chunk)
        tables.append(table)
        good = shortfall(table) <= 0
        found = [cost_of(t, costs) for t, ok in zip(chunk, good, strict=True) if ok]
        return min(found, default=math.inf)

    for steps, (cost, these) in enumerate(waiting):
        if not everything and (seen + len(chunk) >= most_sets or steps > MOST_STEPS):
            bound = cost
            break
        if len(chunk) == CHUNK:
            best, seen, chunk = min(best, work(chunk)), seen + len(chunk), []
        if not (everything or only_a_guide) and best < cost - TINY and seen + len(chunk) >= ENOUGH:
            bound = cost
            break
        if sets.can_be_made(these):
            chunk.append(these)
    if chunk:
        best = min(best, work(chunk))
    table = joined(tables)
    if (math.isinf(best) or only_a_guide) and math.isfinite(bound):
        table = _beam(sets, costs, shortfall, table)
    paid = np.array([cost_of(these, costs) for these in table.sets])
    return Looked(table, paid, math.isinf(bound), bound)


def _beam(
    sets: ChangeSets, costs: Sequence[float], shortfall: Shortfall, table: SetTable
) -> SetTable:
    """Return a table with what a beam search adds: changes put to the best sets, then taken off."""
    known = set(table.sets)
    many = range(len(sets.names))
    tables, beam = [table], table
    for _ in many:
        short = shortfall(beam)
        order = sorted(
            range(len(beam.sets)), key=lambda k: (short[k], cost_of(beam.sets[k], costs))
        )
        best = [beam.sets[k] for k in order[:BEAM]]
        reached = bool(short[order[0]] <= 0)
        if reached:
            born = {base & ~(1 << k) for base in best for k in many if base >> k & 1}
        else:
            wider = (sets.with_needs(base, k) for base in best for k in many if not base >> k & 1)
            born = {these for these in wider if these is not None}
        fresh = sorted(these for these in born - known if sets.can_be_made(these))
        if not fresh:
            break
        known |= set(fresh)
        made = sets.worked_out(fresh)
        tables.append(made)
        kept = SetTable(
            best,
            {n: v[order[:BEAM]] for n, v in beam.values.items()},
            beam.ok[order[:BEAM]],
            beam.stops[order[:BEAM]],
        )
        if reached and not np.any(shortfall(made) <= 0):
            break
        beam = joined([kept, made])
    return joined(tables)
