"""Evaluating many variants of varied inputs: chunks through `batch`, on all cores."""

from __future__ import annotations

import multiprocessing
from collections import Counter
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from liftgeo.errors import Reason
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.batches import batch
from liftgeo.studies.chances import TOGETHER, Chances
from liftgeo.studies.wants import AT_SHARE, FREES, MEASURES, Range

Array = NDArray[np.float64]

CHUNK = 8192
"""Variants in one array call: large enough to pay for the call, small enough for the cache."""

FRONT_MEASURES = ("clearance", "peak_hand_force")

Progress = Callable[[int], None]


@dataclass(frozen=True)
class Table:
    """Variants and what was asked of them.

    Attributes
    ----------
    shares : array of shape (N, inputs)
        Places in the ranges, 0..1.
    values : dict of arrays of shape (N,)
        The measures, NaN where a variant cannot be built.
    ok : array of bool of shape (N,)
    reason : array of int of shape (N,)
        Codes of `liftgeo.Reason`.
    """

    shares: Array
    values: dict[str, Array]
    ok: NDArray[np.bool_]
    reason: NDArray[np.int64]

    def taken(self, index: NDArray[np.intp] | NDArray[np.bool_]) -> Table:
        """Return some of the variants."""
        values = {name: v[index] for name, v in self.values.items()}
        return Table(self.shares[index], values, self.ok[index], self.reason[index])


def joined(tables: Sequence[Table]) -> Table:
    """Return several tables as one."""
    names = tables[0].values
    return Table(
        np.concatenate([t.shares for t in tables]),
        {n: np.concatenate([t.values[n] for t in tables]) for n in names},
        np.concatenate([t.ok for t in tables]),
        np.concatenate([t.reason for t in tables]),
    )


@dataclass
class Variants:
    """The variants of a mechanism over some ranges; keeps all it has evaluated.

    Parameters
    ----------
    mechanism : Mechanism
    ranges : sequence of Range
    measures : sequence of str
        What to work out besides clearance and peak effort.
    progress : callable, optional
        Called with the number of variants after every chunk.
    chances : Chances, optional
        Samples of each variant, where a share that frees is wanted.
    """

    mechanism: Mechanism
    ranges: Sequence[Range]
    measures: Sequence[str] = ()
    progress: Progress | None = None
    seen: list[Table] = field(default_factory=list)
    chances: Chances | None = None

    def inputs(self, shares: Array) -> dict[str, Array]:
        """Return the values of every varied input at places 0..1 of shape (N, inputs)."""
        return {r.key: r.at(shares[:, k]) for k, r in enumerate(self.ranges)}

    def evaluate(self, shares: Array, *, keep: bool = True) -> Table:
        """Return the measures of variants at places of shape (N, inputs)."""
        chunk = CHUNK if self.chances is None else max(1, TOGETHER // self.chances.samples)
        pieces = [shares[k : k + chunk] for k in range(0, len(shares), chunk)]
        if len(pieces) == 1 or self.chances is not None:  # samples go over all cores themselves
            tables = [self._chunk(piece) for piece in pieces]
        else:
            with ThreadPoolExecutor(multiprocessing.cpu_count()) as pool:
                tables = list(pool.map(self._chunk, pieces))
        table = joined(tables)
        if keep:
            self.seen.append(table)
        return table

    def _chunk(self, shares: Array) -> Table:
        names = dict.fromkeys((*FRONT_MEASURES, *self.measures))
        with np.errstate(all="ignore"):
            inputs = self.inputs(shares)
            many = batch(self.mechanism, inputs)
            measures = {name: MEASURES[name].of_batch for name in names}
            values = {name: of(many) for name, of in measures.items() if of is not None}
            if self.chances is not None:
                values[FREES], values[AT_SHARE] = self.chances.of(inputs, many.ok)
        if self.progress is not None:
            self.progress(len(shares))
        finite = np.all([np.isfinite(v) for v in values.values()], axis=0)
        return Table(shares, values, many.ok & finite, np.asarray(many.reason, np.int64))

    @property
    def evaluated(self) -> int:
        """Variants that could be computed, so far."""
        return sum(int(t.ok.sum()) for t in self.seen)

    @property
    def dropped(self) -> int:
        """Variants that cannot be built, so far."""
        return sum(int((~t.ok).sum()) for t in self.seen)


def dropped_for(variants: Variants) -> dict[str, int]:
    """Return why variants dropped out, the most frequent first."""
    counts: Counter[str] = Counter()
    for table in variants.seen:
        codes, times = np.unique(table.reason[~table.ok], return_counts=True)
        for code, count in zip(codes, times, strict=True):
            counts[REASON_WORDS[Reason(int(code))]] += int(count)
    return dict(counts.most_common())


REASON_WORDS = {
    Reason.OK: "no finite result",
    Reason.OUT_OF_RANGE: "a value out of bounds",
    Reason.LEVER_TRIANGLE: "the lever's triangle does not close",
    Reason.LEVER_DEAD_CENTRE: "the lever at dead centre",
    Reason.ARM_TRIANGLE: "the arm's triangle does not close",
    Reason.ARM_DEAD_CENTRE: "the arm at dead centre",
    Reason.RELEASE_SHAPE: "a release unit that cannot be",
    Reason.RELEASE_DEAD_CENTRE: "the release unit at dead centre",
    Reason.SPRING_SHAPE: "a spring that cannot be",
    Reason.SPRING_LOOSE: "the spring loose at rest",
    Reason.SPRING_PAST_END: "the spring past its end at rest",
    Reason.SPRING_NO_LOAD: "the spring without load at rest",
    Reason.FACES_SHAPE: "faces that cannot be",
    Reason.NO_NUMBER: "sums that end in no number",
    Reason.GRIP_CONTACT: "a blade that starts at its grip, or never meets it",
    Reason.CABLE_PLAY: "more play than the hand travel has",
}
