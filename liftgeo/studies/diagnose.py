"""What eats the lift, what the readings from the bench say of it, and what to read next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.bench import Reading
from liftgeo.outcome.analysis import stroke
from liftgeo.outcome.conditioned import Conditioned
from liftgeo.outcome.csv_text import csv_text
from liftgeo.outcome.drawing import SAMPLES, SEED, Drawn, drawn_from
from liftgeo.outcome.evidence import Evidence
from liftgeo.outcome.html_table import html_table
from liftgeo.outcome.known import Known, known_from
from liftgeo.outcome.normal import shares_below
from liftgeo.outcome.quantiles import quantiles
from liftgeo.outcome.results import Result, plain
from liftgeo.outcome.standing_out import CONTRADICTS, away_from_others
from liftgeo.outcome.uncertain import RANGE_SD, SURE, Uncertain, uncertain
from liftgeo.plain_text import one_line
from liftgeo.studies.bench_readings import NextReading, next_readings
from liftgeo.studies.least_squares import Fit, least_squares
from liftgeo.studies.remedies import Remedies, remedies
from liftgeo.studies.suspects import Alone, alone, loosened

Array = NDArray[np.float64]

UNDETERMINED = 0.8
"""Of its own ± before: a key that keeps more than that is not told by the readings."""
TOGETHER = 0.7
"""Correlation from which two keys cannot be told apart."""


@dataclass(frozen=True)
class Fitted:
    """What the readings make of one number, in its bare unit.

    Attributes
    ----------
    value : float
        That agrees best with readings and file together.
    stderr : float
        A quarter of what lies between its 95 per cent limits, near enough: their distance over
        2 x 1.96.
    file_value : float or None
        As given or taken; None where the file says nothing.
    prior_stderr : float
        As `stderr`, before any reading.
    low, high : float
        95 per cent limits, of samples.
    unit : str
    """

    value: float
    stderr: float
    file_value: float | None
    prior_stderr: float
    low: float
    high: float
    unit: str

    @property
    def told(self) -> bool:
        """Whether the readings tell it."""
        return self.stderr <= UNDETERMINED * self.prior_stderr


@dataclass(frozen=True)
class Rest:
    """One reading beside what the file says, and what the fit leaves.

    `standardised` is how far it is from what the file and all other readings leave possible, in
    standard deviations.
    """

    reading: str
    value: float
    plus_minus: float
    before: float
    after: float
    standardised: float
    unit: str


@dataclass(frozen=True)
class Pair:
    """Two keys that the readings do not tell apart, and how they hang together."""

    keys: tuple[str, str]
    correlation: float


@dataclass(frozen=True)
class Readings:
    """What the readings say.

    Attributes
    ----------
    fitted : mapping of str to Fitted
    reduced_chi_square : float or None
        Misfit of readings and numbers together over the number of readings: about 1 where all
        agree. None without readings.
    undetermined : tuple of str
        Keys that the readings do not tell.
    contradicts : tuple of str
        Readings that neither the file nor the other readings leave possible, the worst first.
    next : tuple of NextReading
        What to read next, the best first.
    residuals : tuple of Rest
    pairs : tuple of Pair
    alone : tuple of Alone
        Where readings contradict the file: each exact number that would explain them by itself.
    set_aside : tuple of str
        The fewest readings to set aside so that the rest agree: the worst, then the worst of the
        rest.
    """

    fitted: Mapping[str, Fitted]
    reduced_chi_square: float | None
    undetermined: tuple[str, ...]
    contradicts: tuple[str, ...]
    next: tuple[NextReading, ...]
    residuals: tuple[Rest, ...] = ()
    pairs: tuple[Pair, ...] = ()
    alone: tuple[Alone, ...] = ()
    set_aside: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False, repr=False)
class Diagnosis:
    """What eats the lift, what the readings say, what would put it right.

    Attributes
    ----------
    mechanism : Mechanism
        With its readings.
    result : Result
        At given and usual values.
    after : Result or None
        At the fitted values; None without readings.
    known : Known or None
    readings : Readings
    remedies : Remedies or None
        What would put it right, with what each gains; at the fitted values where there are any.
    """

    mechanism: Mechanism
    result: Result
    after: Result | None
    known: Known | None
    readings: Readings
    remedies: Remedies | None = None

    @property
    def as_read(self) -> Result:
        """The result that the readings leave: at the fitted values, unless they contradict."""
        return self.result if self.after is None or self.readings.contradicts else self.after

    @property
    def settled(self) -> bool:
        """Whether it is as good as sure that it frees, or that it does not."""
        return self.known is None or max(self.known.frees, 1 - self.known.frees) >= SURE

    def to_dict(self) -> dict[str, Any]:
        """Return the diagnosis as plain data, the shape of the JSON."""
        return {
            "budget": plain(self.result.budget),
            **({} if self.remedies is None else self.remedies.to_dict()),
            "readings": plain(self.readings),
            "result": self.result.to_dict(),
            "known": None if self.known is None else self.known.to_dict(),
        }

    def to_csv(self) -> str:
        """Return the readings beside what is said of them as CSV text; without any, the budget."""
        if not self.readings.residuals:
            lines = self.result.budget
            return csv_text(
                ["item", "lost_mm", "left_mm"], [[b.item, b.lost_mm, b.left_mm] for b in lines]
            )
        heads = ["reading", "value", "plus_minus", "file", "fitted", "standardised", "unit"]
        rows: list[list[str | float | None]] = [
            [r.reading, r.value, r.plus_minus, r.before, r.after, r.standardised, r.unit]
            for r in self.readings.residuals
        ]
        return csv_text(heads, rows)

    def _repr_html_(self) -> str:
        rows = [
            [key, item.file_value, item.value, item.stderr, item.unit]
            for key, item in self.readings.fitted.items()
        ]
        heads = ["key", "file", "fitted", "standard error", "unit"]
        if not rows:
            rows = [[b.item, b.lost_mm, b.left_mm] for b in self.result.budget]
            heads = ["item", "lost, mm", "left, mm"]
        return html_table(one_line(self.result.title) or "Diagnosis", rows, heads)


def diagnose(
    mechanism: Mechanism,
    readings: Iterable[Reading] = (),
    *,
    fit: Sequence[str] = (),
    symptom: str | None = None,
    samples: int = SAMPLES,
    seed: int = SEED,
) -> Diagnosis:
    """Return what eats the lift, and what readings from the bench say of it.

    Parameters
    ----------
    mechanism : Mechanism
        From `liftgeo.load`; its own readings count too.
    readings : iterable of Reading
        From `liftgeo.load_readings`.
    fit : sequence of str
        Exact keys that the readings may move too.
    symptom : str, optional
        What is felt, one of those of `liftgeo.remedies`: only remedies for that.
    samples, seed : int
        As of `liftgeo.known`.

    Raises
    ------
    RequestError
        An unknown symptom, a file that does not reach the plates, a key that is not a number of it.
    GeometryError
        Readings that cannot be: beyond the stroke, or the same thing read twice otherwise.

    Notes
    -----
    Least squares over the readings, with every range and ± as a prior: the likeliest numbers. Their
    limits come from samples of the same distribution. Source: docs/theory.md, "From the bench".
    """
    mechanism.need_full("A diagnosis")
    found = mechanism.with_readings(readings) if readings else mechanism
    origin = found.origin or found
    extra = loosened(origin, fit)
    result = stroke(found)
    inputs = (*_without(uncertain(origin), extra), *extra)
    evidence = Evidence(origin, inputs, origin.readings)
    drawn = drawn_from(found, evidence, samples, seed)
    if drawn is None:
        none = Readings({}, None, (), (), ())
        return Diagnosis(found, result, None, None, none, remedies(found, symptom))
    known, bench = known_from(drawn), drawn.bench
    if bench is None:
        steps = next_readings(drawn, result.full_lever)
        none = Readings({}, None, (), (), steps)
        return Diagnosis(found, result, None, known, none, remedies(found, symptom))
    fitted = fit_of(bench)
    as_fitted = moved(origin, evidence, fitted.values)
    after, cures = stroke(as_fitted, positions=121), remedies(as_fitted, symptom)
    said = _readings(drawn, bench, fitted)
    apart = [item.key for item in said.alone] or [k for pair in said.pairs for k in pair.keys]
    if said.alone:  # as if none of them were exact: which of them it is, is the question
        wider = replace(evidence, inputs=(*inputs, *loosened(origin, apart)))
        drawn = drawn_from(found, wider, samples, seed) or drawn
    apart = apart or list(said.undetermined)
    steps = next_readings(drawn, result.full_lever, tuple(dict.fromkeys(apart)))
    return Diagnosis(found, result, after, known, replace(said, next=steps), cures)


def _without(inputs: Sequence[Uncertain], extra: Sequence[Uncertain]) -> tuple[Uncertain, ...]:
    names = {each.key for each in extra}
    return tuple(each for each in inputs if each.key not in names)


def fit_of(bench: Conditioned) -> Fit:
    """Return the least-squares fit of what the readings may move."""
    evidence = bench.evidence
    return least_squares(
        evidence.predicted,
        evidence.values,
        evidence.deviations,
        bench.likeliest,
        np.ones(evidence.width),
        prior=True,
        tolerance=1e-9,
    )


def moved(mechanism: Mechanism, evidence: Evidence, z: Array) -> Mechanism:
    """Return a mechanism with what was fitted in it."""
    values = {key: float(v[0]) for key, v in evidence.inputs_at(z[None]).items()}
    lists: dict[str, list[float]] = {}
    change: dict[str, Any] = {}
    for each in evidence.inputs:
        if each.place is None:
            change[each.home] = values[each.key]
            continue
        own = lists.setdefault(each.home, [float(x) for x in mechanism.keys[each.home]])
        own[each.place] = values[each.key]
    return mechanism.changed(change | lists) if change or lists else mechanism


def _readings(drawn: Drawn, bench: Conditioned, fitted: Fit) -> Readings:
    evidence = bench.evidence
    away = away_from_others(evidence, fitted.values)
    numbers = {
        each.key: _fitted(drawn.mechanism, each, fitted.values[k], bench.z[:, k])
        for k, each in enumerate(evidence.inputs)
    }
    worst = sorted(np.flatnonzero(np.abs(away) > CONTRADICTS).tolist(), key=lambda k: -abs(away[k]))
    against = tuple(evidence.readings[k] for k in worst)
    apart = set_aside(evidence, bench) if against else ()
    return Readings(
        numbers,
        fitted.squares / len(evidence.readings),
        tuple(key for key, item in numbers.items() if not item.told),
        tuple(reading.name for reading in against),
        (),
        _rests(evidence, fitted.values, away),
        _pairs(evidence, bench.z, numbers),
        alone(evidence, fitted.values) if against else (),
        tuple(reading.name for reading in apart),
    )


def _fitted(mechanism: Mechanism, each: Uncertain, z: float, samples: Array) -> Fitted:
    """Return one number as the readings leave it."""
    limits = quantiles(samples, (0.025, 0.975))
    ends = np.array([z, *limits, -RANGE_SD, RANGE_SD])
    value, low, high, before, beyond = (float(x) for x in each.at(shares_below(ends)))
    given = mechanism.keys.get(each.home)
    if isinstance(given, tuple) and each.place is not None:
        given = given[each.place]
    given = float(given) if isinstance(given, float | int) and np.isfinite(given) else None
    spread = 2 * RANGE_SD
    return Fitted(
        value, (high - low) / spread, given, (beyond - before) / spread, low, high, each.unit
    )


def _rests(evidence: Evidence, z: Array, away: Array) -> tuple[Rest, ...]:
    both = evidence.predicted(np.stack([np.zeros_like(z), z]))
    return tuple(
        Rest(r.name, r.value, r.half_width, float(a), float(b), float(off), r.unit)
        for r, (a, b), off in zip(evidence.readings, both, away, strict=True)
    )


def set_aside(evidence: Evidence, bench: Conditioned) -> tuple[Reading, ...]:
    """Return readings to set aside, the worst first, until the rest agree."""
    against: list[Reading] = []
    left, top = evidence, bench.likeliest
    while left.readings:
        away = np.abs(away_from_others(left, top))
        worst = int(np.argmax(away))
        if not away[worst] > CONTRADICTS:
            break
        against.append(left.readings[worst])
        kept = tuple(r for k, r in enumerate(left.readings) if k != worst)
        left = Evidence(left.mechanism, left.inputs, kept)
        top = left.likeliest(top[: left.width]) if kept else top
    return tuple(against)


def _pairs(evidence: Evidence, z: Array, numbers: Mapping[str, Fitted]) -> tuple[Pair, ...]:
    """Return keys that hang together in the samples, the closest first."""
    count = len(evidence.inputs)
    if count < 2:
        return ()
    matrix = np.asarray(np.corrcoef(z[:, :count], rowvar=False)).reshape(count, count)
    found = [
        Pair((evidence.inputs[a].key, evidence.inputs[b].key), float(matrix[a, b]))
        for a in range(count)
        for b in range(a + 1, count)
        if abs(matrix[a, b]) >= TOGETHER
    ]
    return tuple(sorted(found, key=lambda pair: -abs(pair.correlation)))
