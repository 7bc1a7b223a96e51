"""After the work: whether a change did what the sums said, by readings before and after."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from liftgeo.errors import RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.bench import Reading
from liftgeo.outcome.conditioned import check_reach
from liftgeo.outcome.csv_text import csv_text
from liftgeo.outcome.drawing import SAMPLES, SEED, draw
from liftgeo.outcome.html_table import html_table
from liftgeo.outcome.outcome import analysed
from liftgeo.outcome.predicted import predicted
from liftgeo.outcome.results import plain
from liftgeo.outcome.uncertain import PLUS_MINUS_SD
from liftgeo.version import __version__

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Moved:
    """One reading before and after the work, beside what the sums said of it; in its bare unit.

    Attributes
    ----------
    reading : str
    before, after : float
    measured, measured_plus_minus : float
        By how much it changed, and what that may be out by, 19 times in 20.
    said, said_plus_minus : float
        By how much the sums said it would.
    agrees : bool
        Whether the two are no further apart than both together may be out.
    unit : str
    """

    reading: str
    before: float
    after: float
    measured: float
    measured_plus_minus: float
    said: float
    said_plus_minus: float
    agrees: bool
    unit: str

    @property
    def away(self) -> float:
        """How far measured is above said, over what both may be out by together; 1 is the most."""
        width = math.hypot(self.measured_plus_minus, self.said_plus_minus)
        return (self.measured - self.said) / width if width > 0 else math.nan


@dataclass(frozen=True, eq=False, repr=False)
class AfterWork:
    """Whether a change did what the sums said.

    Attributes
    ----------
    title, change : str
    agrees : bool
        All readings changed as the sums said.
    rows : tuple of Moved
        The furthest from what was said first.
    unmatched : tuple of str
        Readings taken only before, or only after.
    """

    title: str
    change: str
    agrees: bool
    rows: tuple[Moved, ...]
    unmatched: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data, the shape of the JSON."""
        data: dict[str, Any] = plain(self)
        return data | {"version": __version__}

    def to_csv(self) -> str:
        """Return the readings as CSV text."""
        return csv_text(_HEADS, self._cells())

    def _cells(self) -> list[list[str | float | None]]:
        return [
            [
                row.reading,
                row.before,
                row.after,
                row.measured,
                row.measured_plus_minus,
                row.said,
                row.said_plus_minus,
                "yes" if row.agrees else "no",
                row.unit,
            ]
            for row in self.rows
        ]

    def _repr_html_(self) -> str:
        return html_table(f"{self.title}: {self.change}", self._cells(), _HEADS)


_HEADS = (
    "reading",
    "before",
    "after",
    "measured",
    "measured_plus_minus",
    "said",
    "said_plus_minus",
    "agrees",
    "unit",
)


def after_work(
    mechanism: Mechanism,
    change: str | Sequence[str],
    before: Iterable[Reading],
    after: Iterable[Reading],
    *,
    samples: int = SAMPLES,
    seed: int = SEED,
) -> AfterWork:
    """Return whether a change did what the sums said, by readings before and after.

    Parameters
    ----------
    mechanism : Mechanism
        As it was before the work.
    change : str, or sequence of str
        Names of the file's changes that were made.
    before, after : iterables of Reading
        From `liftgeo.load_readings`; those of the same thing at the same place are set side by
        side.

    Raises
    ------
    RequestError
        No reading was taken both before and after; a change the file does not have.
    GeometryError
        Readings that cannot be.

    Notes
    -----
    What the sums say is the difference of two strokes, worked out for each of the samples that
    agree with the readings before: what the file does not know is the same before and after, and
    falls out of the difference for the most part. Source: docs/theory.md, "From the bench".
    """
    mechanism.need_full("Looking at the work")
    names = [change] if isinstance(change, str) else list(change)
    first = list(before)
    last = {reading.same_as: reading for reading in after}
    both = [(r, last[r.same_as]) for r in first if r.same_as in last]
    if not both:
        raise RequestError(
            "Nothing was read both before and after the work: read the same things at the same "
            "places again."
        )
    alone = {r.same_as for r in first} ^ set(last)
    single = [r.name for r in (*first, *last.values()) if r.same_as in alone]
    was = mechanism.with_readings(first)
    made = was.changed(*names)
    check_reach(was)
    check_reach(mechanism.changed(*names).with_readings(last.values()))
    said = _said(was, made, [r for r, _ in both], samples, seed)
    rows = [_moved(a, b, values) for (a, b), values in zip(both, said, strict=True)]
    rows.sort(key=_apart, reverse=True)
    agrees = all(row.agrees for row in rows)
    label = made.change or " + ".join(names)
    return AfterWork(mechanism.title, label, agrees, tuple(rows), tuple(single))


def _said(
    was: Mechanism, made: Mechanism, readings: Sequence[Reading], samples: int, seed: int
) -> Array:
    """Return by how much the sums say each reading changes, shape (readings, samples)."""
    of, count = predicted(readings), len(readings)
    before, after = draw(was, samples, seed), draw(made, samples, seed)
    if before is None or after is None:
        with np.errstate(all="ignore"):
            return (
                _as_read(of(analysed(made)), readings)[:, None]
                - (_as_read(of(analysed(was)), readings)[:, None])
            )
    good = before.good & after.good
    each = [_as_read(found.batch.worked(of, count)[:, good], readings) for found in (after, before)]
    return np.asarray(each[0] - each[1])


def _as_read(values: Array, readings: Sequence[Reading]) -> Array:
    """Return what tools show: a feeler no less than nothing."""
    rows = [r.quantity == "separation" for r in readings]
    values[rows] = np.maximum(values[rows], 0.0)
    return values


def _moved(before: Reading, after: Reading, said: Array) -> Moved:
    known = said[np.isfinite(said)]
    measured = after.value - before.value
    scale = max(before.scale, after.scale) * abs(measured)
    width = math.sqrt(before.half_width**2 + after.half_width**2 + scale**2)
    middle = float(np.median(known)) if len(known) else math.nan
    wide = PLUS_MINUS_SD * float(np.std(known)) if len(known) else math.nan
    return Moved(
        before.name.split(" (line")[0],
        before.value,
        after.value,
        measured,
        width,
        middle,
        wide,
        bool(abs(measured - middle) <= math.hypot(width, wide)),
        before.unit,
    )


def _apart(row: Moved) -> float:
    """Return how far measured and said are apart, over what both may be out by."""
    return abs(row.away) if math.isfinite(row.away) else math.inf
