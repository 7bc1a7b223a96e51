"""What the ± of the measurements does: odds, whose ± decides, what to repeat and how well."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from liftgeo.errors import RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.analysis import stroke
from liftgeo.outcome.csv_text import csv_text
from liftgeo.outcome.drawing import SEED, Drawn, draw, worked_out
from liftgeo.outcome.known import Known, Range, how_measured, known_from, range_of
from liftgeo.outcome.outcome import VERDICTS
from liftgeo.outcome.quantiles import quantiles
from liftgeo.outcome.results import Result, plain
from liftgeo.outcome.shares import Additive, Dependent, totals
from liftgeo.outcome.uncertain import SURE, Uncertain, shares_of
from liftgeo.version import __version__

Array = NDArray[np.float64]
Progress = Callable[[int], None]

SAMPLES = 100_000
FEWEST, MOST = 200, 1_000_000
EACH_AGAIN = 8192
"""Mechanisms drawn anew for the total share of one key, where there are so many samples."""

_FINEST = 0.05  # of its present ±: no measurement is repeated better than that
_EASY = 0.25  # of its present ±: what a second, careful measurement may reach
_MOST_TOGETHER = 6
_HALVINGS = 12
_BINS, _TAIL = 60, 0.001
_MATTERS = 0.001  # of the variance: the least that a measurement worth repeating decides


@dataclass(frozen=True)
class Corner:
    """The worst-case corner: every number at the end of its 95 per cent limits that hurts.

    Attributes
    ----------
    clearance_per_face_mm : float
        With every number where it costs clearance [mm]; NaN where that cannot be built.
    peak_hand_force_n : float
        With every number where it costs effort [N]; NaN where that cannot be built.
    """

    clearance_per_face_mm: float
    peak_hand_force_n: float


@dataclass(frozen=True)
class Repeat:
    """A measurement to repeat, and how well.

    Attributes
    ----------
    key, how : str
        Which, and how it is measured.
    half_width_now, half_width : float
        Its ± now, and the ± that will do, in the bare unit.
    unit : str
        The bare unit.
    """

    key: str
    how: str
    half_width_now: float
    half_width: float
    unit: str


@dataclass(frozen=True)
class Repeats:
    """What to repeat so that the answer holds 19 times in 20.

    Attributes
    ----------
    sure_now : float
        How sure it is as measured: the greater of "runs clear" and "does not".
    alone : tuple of Repeat
        Measurements of which one settles it by itself, the one that may be coarsest first.
    together : tuple of Repeat
        Where none does alone: those that settle it together, each to the same share of its
        present ±; as few as do at a quarter of it or more, else as few as do at all. Empty where
        six do not.
    """

    sure_now: float
    alone: tuple[Repeat, ...]
    together: tuple[Repeat, ...]


@dataclass(frozen=True, eq=False, repr=False)
class Distribution:
    """How the clearance is spread: edges of equal steps [mm], and the share of samples in each."""

    edges_mm: Array
    share: Array


@dataclass(frozen=True, eq=False, repr=False)
class Spread:
    """What the ± of the measurements does to one mechanism.

    Attributes
    ----------
    mechanism : Mechanism
    result : Result
        At given and usual values, without its stroke.
    known : Known or None
        How sure it is; None where nothing is uncertain.
    inputs : tuple of Uncertain
        Every number that is not known exactly.
    slip_margin : Range or None
        None without the engine's torque.
    corner : Corner or None
    repeat : Repeats or None
    distribution : Distribution or None
        Of the clearance per face.
    zones : tuple of 3 floats, or None
        Shares that hold the engine, or whose grip is not judged, with a clearance below zero, below
        the target, and from there on. What is missing to 1 slips: `known.odds.slips`.
    total : mapping of str to float, or None
        Total share of each key; None where it was not asked for.
    total_runs : int
        Mechanisms drawn for the total shares besides the samples.
    """

    mechanism: Mechanism
    result: Result
    known: Known | None
    inputs: tuple[Uncertain, ...] = ()
    slip_margin: Range | None = None
    corner: Corner | None = None
    repeat: Repeats | None = None
    distribution: Distribution | None = None
    zones: tuple[float, float, float] | None = None
    total: Mapping[str, float] | None = None
    total_runs: int = 0

    def to_dict(self) -> dict[str, Any]:
        """Return the spread as plain data, the shape of the JSON."""
        names = [field.name for field in fields(Known) if field.name != "bench"]
        nothing: dict[str, Any] = dict.fromkeys(names)
        sure = nothing if self.known is None else self.known.to_dict()
        if self.total is not None and self.known is not None:
            sure["shares"] = [
                {**each, "total": plain(self.total[each["key"]])} for each in sure["shares"]
            ]
        return {
            "title": self.result.title,
            "change": self.result.change,
            "version": __version__,
            "verdict": self.result.verdict,
            **sure,
            "slip_margin": plain(self.slip_margin),
            "corner": plain(self.corner),
            "repeat": plain(self.repeat),
            "distribution": plain(self.distribution),
            "total_runs": self.total_runs,
            "warnings": plain(self.result.warnings),
        }

    def to_csv(self) -> str:
        """Return every uncertain number with its share as CSV text, largest first."""
        heads = ["key", "value", "low", "high", "unit", "left_out", "share", "total"]
        if self.known is None:
            return csv_text(heads, [])
        inputs = {each.key: each for each in self.inputs}
        rows: list[list[str | float | None]] = []
        for item in self.known.shares:
            each = inputs[item.key]
            total = None if self.total is None else self.total[item.key]
            taken = "yes" if each.taken else "no"
            ends = each.value, each.low, each.high
            rows.append([each.key, *ends, each.unit, taken, item.share, total])
        return csv_text(heads, rows)

    def _lines(self) -> list[tuple[str, str]]:
        lines = [("verdict", self.result.verdict)]
        if self.known is None:
            return [*lines, ("how sure", "nothing is uncertain")]
        clear, force = self.known.clearance_per_face_mm, self.known.peak_hand_force_n
        first = [f"{s.key} {100 * s.share:.0f} %" for s in self.known.shares[:3]]
        return [
            *lines,
            ("frees", f"{100 * self.known.frees:.1f} in 100"),
            ("clearance per face", f"{clear.p05:.3f} to {clear.p95:.3f} mm"),
            ("peak hand force", f"{force.p05:.0f} to {force.p95:.0f} N"),
            ("whose ± decides", ", ".join(first)),
            ("samples", str(self.known.samples)),
        ]

    def __str__(self) -> str:
        name = self.result.title + (f" with {self.result.change}" if self.result.change else "")
        return "\n".join([name, *(f"  {k:<20}{v}" for k, v in self._lines())])

    __repr__ = __str__

    def _repr_html_(self) -> str:
        import html

        name = self.result.title + (f" with {self.result.change}" if self.result.change else "")
        rows = "".join(
            f"<tr><th style='text-align:left'>{html.escape(k)}</th><td>{html.escape(v)}</td></tr>"
            for k, v in self._lines()
        )
        return f"<table><caption>{html.escape(name)}</caption>{rows}</table>"


def _distribution(clearance_mm: Array) -> Distribution:
    """Return the histogram of the clearance, without its last thousandth on either side."""
    low, high = quantiles(clearance_mm, (_TAIL, 1 - _TAIL))
    if high - low < 1e-6:
        low, high = low - 1e-3, high + 1e-3
    counts, edges = np.histogram(clearance_mm, _BINS, (low, high))
    return Distribution(edges, counts / len(clearance_mm))


def _zones(mechanism: Mechanism, clearance_mm: Array, slips: Array) -> tuple[float, float, float]:
    """Return the shares that do not slip by clearance: below 0, below the target, from there on."""
    target_mm = max(float(mechanism.parts().faces.target_mm), 0.0)
    zone = (clearance_mm >= 0).astype(int) + (clearance_mm >= target_mm)
    drags, marginal, clear = (float(np.mean(np.logical_not(slips) & (zone == k))) for k in range(3))
    return drags, marginal, clear


def _corner(found: Drawn, clearance: Additive | Dependent) -> Corner:
    """Return the worst-case corner; which end hurts is told by the slope of each fitted part."""
    good = found.good
    names = ("clearance_per_face_mm", "peak_hand_force_n")
    fits = (clearance, found.fitted(names[1], degree=1))
    hurts_high: dict[str, list[bool]] = {}
    for key, values in found.values.items():
        slopes = [
            float(np.mean((values[good] - np.mean(values[good])) * fit.parts.get(key, 0.0)))
            for fit in fits
        ]
        hurts_high[key] = [slopes[0] < 0, slopes[1] > 0]

    def ends_of(each: Uncertain) -> Array:
        limits, ends = each.limits(), hurts_high.get(each.key)
        return np.array([each.value] * 2 if ends is None else [limits[end] for end in ends])

    def values_of(inputs: Sequence[Uncertain]) -> dict[str, Array]:
        return {each.key: ends_of(each) for each in inputs}

    _, batch = worked_out(found.mechanism, found.inputs, values_of, 2, names, threads=1)
    return Corner(*(float(getattr(batch, name)[k]) for k, name in enumerate(names)))


def _most_left(fitted: Additive | Dependent, keys: Sequence[str]) -> float | None:
    """Return the greatest share of their ± at which knowing some keys settles it, or None."""
    if fitted.certainty(keys, _FINEST) < SURE:
        return None
    low, high = _FINEST, 1.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if fitted.certainty(keys, middle) >= SURE:
            low = middle
        else:
            high = middle
    return low


def repeats(found: Drawn, fitted: Additive | Dependent) -> Repeats:
    """Return which measurement to repeat, and how well, so that the answer holds 19 in 20 times.

    Parameters
    ----------
    found : Drawn
    fitted : Additive
        Its clearance as a sum of parts.
    """
    now = fitted.certainty(())
    if now >= SURE:
        return Repeats(now, (), ())
    inputs = {each.key: each for each in found.inputs}
    ways = {key: how_measured(found.mechanism, each.home) for key, each in inputs.items()}
    able = [key for key in inputs if ways[key] and fitted.share(key) >= _MATTERS]
    able.sort(key=lambda key: -fitted.share(key))

    def item(key: str, left: float) -> Repeat:
        each = inputs[key]
        return Repeat(key, ways[key], each.half_width, left * each.half_width, each.unit)

    alone = [(key, left) for key in able if (left := _most_left(fitted, [key])) is not None]
    if alone:
        alone.sort(key=lambda pair: -pair[1])
        return Repeats(now, tuple(item(*pair) for pair in alone), ())
    groups = [able[:count] for count in range(2, min(len(able), _MOST_TOGETHER) + 1)]
    able_to = [(keys, left) for keys in groups if (left := _most_left(fitted, keys)) is not None]
    easy = [pair for pair in able_to if pair[1] >= _EASY]
    keys, left = next(iter([*easy, *able_to]), ([], 0.0))
    return Repeats(now, (), tuple(item(key, left) for key in keys))


def total_shares(
    found: Drawn, each_again: int = EACH_AGAIN, progress: Progress | None = None
) -> tuple[dict[str, float], int]:
    """Return the total share of every key, and how many mechanisms that took.

    Parameters
    ----------
    found : Drawn
    each_again : int
        For each key as many of its samples are gone through again, with the key drawn anew.
    progress : callable, optional
        Called with the mechanisms worked out since it was last called.
    """
    samples = len(found.batch)
    count = min(each_again, samples)
    name = "clearance_per_face_mm"

    @cache
    def first(key: str) -> Array:
        return shares_of(key, samples, found.seed)[:count]

    def answer(key: str, new: Array) -> Array:
        def values_of(inputs: Sequence[Uncertain]) -> dict[str, Array]:
            shares = {each.key: new if each.key == key else first(each.key) for each in inputs}
            return {each.key: each.at(shares[each.key]) for each in inputs}

        _, batch = worked_out(found.mechanism, found.inputs, values_of, count, [name])
        if progress is not None:
            progress(count)
        return np.asarray(getattr(batch, name))

    again = {each.key: shares_of(f"{each.key} again", count, found.seed) for each in found.inputs}
    before = {each.key: first(each.key) for each in found.inputs}
    result = np.asarray(getattr(found.batch, name))[:count]
    return totals(answer, before, again, result), count * len(found.inputs)


def spread(
    mechanism: Mechanism,
    *,
    samples: int = SAMPLES,
    seed: int = SEED,
    full: bool = False,
    progress: Progress | None = None,
) -> Spread:
    """Return what the ± of the measurements does.

    Parameters
    ----------
    mechanism : Mechanism
        From `liftgeo.load`, or `.changed(...)`.
    samples : int
        Mechanisms drawn, 200 to 1,000,000.
    seed : int
        Of the random streams, 0 or more; the same seed gives the same answer.
    full : bool
        Also work out the total shares, which takes further mechanisms for each key.
    progress : callable, optional
        Called with the mechanisms worked out since it was last called, for the total shares.

    Raises
    ------
    RequestError
        A file that does not reach the plates, a number of samples out of bounds, a negative seed.

    Notes
    -----
    First-order shares come from a sum of smooth parts fitted to the samples, as in `known`. What
    to repeat rests on the same sum. Source: docs/theory.md, "What is not known".
    """
    if not FEWEST <= samples <= MOST:
        raise RequestError(f"{samples} samples cannot be; give {FEWEST} to {MOST}.")
    if seed < 0:
        raise RequestError(f"A seed of {seed} cannot be; give 0 or more.")
    mechanism.need_full("A spread")
    result = stroke(mechanism)
    found = draw(mechanism, samples, seed)
    if found is None:
        return Spread(mechanism, result, None)
    if np.count_nonzero(found.good) < FEWEST // 2:
        raise RequestError(
            "The ranges of this file hardly meet: next to none of the mechanisms drawn from them "
            "can be built. Look over the widest of them."
        )
    fitted, clearance_mm = found.fitted(), found.of("clearance_per_face_mm")
    sure = known_from(found, fitted)
    # Readings make the inputs hang together: a total share of one of them is not told.
    apart = found.bench is None
    total, runs = total_shares(found, progress=progress) if full and apart else (None, 0)
    return Spread(
        mechanism,
        result,
        sure,
        found.inputs,
        range_of(found.of("slip_margin")) if sure.holds is not None else None,
        _corner(found, fitted),
        repeats(found, fitted),
        _distribution(clearance_mm),
        _zones(mechanism, clearance_mm, found.of("verdict_code") == VERDICTS.index("slips")),
        total,
        runs,
    )
