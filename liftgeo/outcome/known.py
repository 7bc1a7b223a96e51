"""How sure an answer is: the same chain over every ± and range at once."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from liftgeo.mechanism import Mechanism, key_facts
from liftgeo.mechanism.bench import LETTING_BACK, QUANTITIES, measure_of
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.usual import Taken
from liftgeo.outcome.conditioned import Conditioned
from liftgeo.outcome.drawing import READ_OFF, SAMPLES, SEED, Drawn, draw
from liftgeo.outcome.outcome import VERDICTS
from liftgeo.outcome.quantiles import quantiles
from liftgeo.outcome.results import plain
from liftgeo.outcome.shares import Additive, Dependent
from liftgeo.outcome.uncertain import PLUS_MINUS_SD, SURE

Array = NDArray[np.float64]

_MOST_NEXT = 3
_WORTH_IT = 0.005


@dataclass(frozen=True)
class Odds:
    """Shares of the samples by verdict, which add to 1."""

    clear: float
    marginal: float
    drags: float
    no_release: float
    slips: float


@dataclass(frozen=True)
class Range:
    """What 5, 50 and 95 of 100 samples lie below."""

    p05: float
    p50: float
    p95: float


@dataclass(frozen=True)
class Share:
    """A key's first-order share of the variance of clearance."""

    key: str
    share: float


@dataclass(frozen=True)
class Next:
    """What to measure next, how, and how sure the answer is once all so far are known.

    Either a `key` of the file, or a `reading` from the bench; the other is None.
    """

    key: str | None
    reading: str | None
    how: str
    certainty: float


@dataclass(frozen=True)
class Agreement:
    """How well the readings from the bench agree with the file.

    Attributes
    ----------
    readings : int
        How many there are.
    reduced_chi_square : float
        Misfit of readings and inputs together over the number of readings: about 1 where they
        agree.
    contradicts : tuple of str
        Readings further from what the others and the file leave possible than three standard
        deviations.
    taken_alone : bool
        A reading of the lift contradicts the file: the lift is taken from it, and what the file
        makes of it is left aside.
    said : tuple of Said
    separation_mm, needed_mm : Range
        At full lever, the readings taken in.
    slip_margin : Range or None
        At the clamp force as weighed, where that contradicts the file and is taken instead; None
        where it does not, or the engine's torque is not given.
    """

    readings: int
    reduced_chi_square: float
    contradicts: tuple[str, ...]
    taken_alone: bool
    said: tuple[Said, ...]
    separation_mm: Range
    needed_mm: Range
    slip_margin: Range | None = None


@dataclass(frozen=True)
class Said:
    """A reading beside what the file alone says of it, in its bare unit: 2.5, 50, 97.5 of 100."""

    reading: str
    value: float
    plus_minus: float
    low: float
    middle: float
    high: float
    unit: str


@dataclass(frozen=True)
class Known:
    """How sure the answer is.

    Attributes
    ----------
    frees : float
        Share of samples with a net clearance of 0 or more.
    holds : float or None
        Share with a slip margin of 1 or more; None without the engine's torque.
    odds : Odds
        Shares by verdict.
    clearance_per_face_mm, peak_hand_force_n : Range
        What they may be.
    shares : tuple of Share
        Whose uncertainty decides, largest first.
    next : tuple of Next
        What to measure next, up to three, best first.
    taken : tuple of Taken
        What was left out, and is taken at its usual value.
    condition : str
        Of the machine: "rebuilt", "used" or "worn".
    samples, failed : int
        Mechanisms drawn, and those of them that cannot be built.
    seed : int
        Of the random streams.
    bench : Agreement or None
        How well the readings from the bench agree with the file, which all of the above takes in;
        None without readings.
    """

    frees: float
    holds: float | None
    odds: Odds
    clearance_per_face_mm: Range
    peak_hand_force_n: Range
    shares: tuple[Share, ...]
    next: tuple[Next, ...]
    taken: tuple[Taken, ...]
    condition: str
    samples: int
    failed: int
    seed: int
    bench: Agreement | None = None

    def to_dict(self) -> dict[str, Any]:
        """Return the shape of the JSON; `bench` only where there are readings."""
        data: dict[str, Any] = plain(self)
        if self.bench is None:
            del data["bench"]
        for item in data["taken"]:
            del item["log"]
        for item in data["next"]:
            del item["key" if item["key"] is None else "reading"]
        return data


def known(mechanism: Mechanism, *, samples: int = SAMPLES, seed: int = SEED) -> Known | None:
    """Return how sure the answer of a mechanism is; None where nothing is uncertain.

    Parameters
    ----------
    mechanism : Mechanism
        A partial one gives None too.
    samples : int
        How many mechanisms to draw.
    seed : int
        Of the random streams; the same seed gives the same answer.

    Notes
    -----
    Every ± and range varies at once, independently, each in a stratified stream of its own; each
    sample goes through the same chain as the answer. Source: docs/theory.md, "What is not known".
    """
    found = draw(mechanism, samples, seed)
    return None if found is None else known_from(found)


def known_from(found: Drawn, fitted: Additive | Dependent | None = None) -> Known:
    """Return how sure an answer is, from mechanisms already drawn, perhaps fitted already."""
    good = found.good
    count = int(np.count_nonzero(good))
    clearance, margin = found.of("clearance_per_face_mm"), found.of("slip_margin")
    codes = found.of("verdict_code").astype(int)
    by_verdict = {
        name.replace("-", "_"): float(np.mean(codes == k)) if count else 0.0
        for k, name in enumerate(VERDICTS)
    }
    fitted = fitted or (found.fitted() if count > 1 else None)
    shares = [Share(each.key, fitted.share(each.key)) for each in found.inputs] if fitted else []
    holds = float(np.mean(margin >= 1.0)) if count and np.isfinite(margin).all() else None
    return Known(
        frees=float(np.mean(clearance >= 0)) if count else 0.0,
        holds=holds,
        odds=Odds(**by_verdict),
        clearance_per_face_mm=range_of(clearance),
        peak_hand_force_n=range_of(found.of("peak_hand_force_n")),
        shares=tuple(sorted(shares, key=lambda s: (-s.share, s.key))),
        next=_next(found, fitted) if fitted else (),
        taken=found.mechanism.taken,
        condition=found.mechanism.condition,
        samples=len(good),
        failed=len(good) - count,
        seed=found.seed,
        bench=_agreement(found) if count else None,
    )


def _agreement(found: Drawn) -> Agreement | None:
    """Return how well the readings agree with the file; None without readings."""
    bench = found.bench
    if bench is None:
        return None
    rows = zip(bench.evidence.readings, bench.said.tolist(), strict=True)
    return Agreement(
        len(bench.said),
        bench.reduced_chi_square,
        tuple(reading.name for reading in bench.contradicts),
        bench.unexplained_mm is not None,
        tuple(
            Said(r.name, r.value, r.half_width, low, middle, high, r.unit)
            for r, (low, middle, high) in rows
        ),
        range_of(found.of("separation_signed_mm")),
        range_of(found.of("needed_mm")),
        _weighed_margin(found, bench),
    )


def _weighed_margin(found: Drawn, bench: Conditioned) -> Range | None:
    """Return the slip margin at a clamp force that was weighed and is not the file's."""
    margin = found.of("slip_margin")
    if bench.weighed_ratio is None or not np.isfinite(margin).all():
        return None
    return range_of(margin)


def range_of(values: Array) -> Range:
    """Return what 5, 50 and 95 of 100 finite numbers lie below; NaN where there are none."""
    known = values[np.isfinite(values)]
    if not len(known):
        return Range(np.nan, np.nan, np.nan)
    return Range(*quantiles(known, (0.05, 0.5, 0.95)))


def how_measured(mechanism: Mechanism, dotted: str) -> str:
    """Return how a key is measured; empty where it hardly can be."""
    kind = kind_of(mechanism.keys, dotted.split(".")[0])
    return key_facts.measure_of(dotted, kind)


def read_off(found: Drawn) -> dict[str, Array]:
    """Return readings at full lever as they might turn out in the samples that can be built.

    A feeler shows no less than nothing. What stands in the file already is not offered again.
    """
    have = {(r.quantity, r.direction) for r in found.mechanism.readings if r.at is None}
    readings = {}
    for (quantity, direction), name in READ_OFF.items():
        if (quantity, direction) in have:
            continue
        bench_name = "return_force" if direction == LETTING_BACK else quantity
        true = np.maximum(found.of(name), 0.0) if quantity == "separation" else found.of(name)
        own = np.random.default_rng([found.seed, zlib.crc32(bench_name.encode())])
        deviation = QUANTITIES[quantity].half_width / PLUS_MINUS_SD
        readings[bench_name] = true + deviation * own.standard_normal(len(true))
    return readings


def _next(found: Drawn, fitted: Additive | Dependent) -> tuple[Next, ...]:
    """Return what to measure next, each the best beside those before it: keys and readings."""
    before = fitted.certainty(())
    if before >= SURE or (found.bench is not None and found.bench.contradicts):
        return ()
    ways = {each.key: how_measured(found.mechanism, each.home) for each in found.inputs}
    readings = read_off(found)
    good = found.good
    inputs = {key: values[good] for key, values in found.values.items()}
    told = Dependent({**inputs, **readings}, fitted.result)
    ways |= {name: measure_of(name) for name in readings}
    open_keys = [key for key, how in ways.items() if how and key in told.inputs]
    chosen: list[str] = []
    steps: list[Next] = []
    while open_keys and len(steps) < _MOST_NEXT and before < SURE:
        sure = {key: told.certainty([*chosen, key]) for key in open_keys}
        best = max(sure, key=lambda key: sure[key])
        if sure[best] < before + _WORTH_IT:
            break
        before = sure[best]
        chosen.append(best)
        open_keys.remove(best)
        is_reading = best in readings
        key, reading = (None, best) if is_reading else (best, None)
        steps.append(Next(key, reading, ways[best], before))
    return tuple(steps)
