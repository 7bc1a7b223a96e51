"""How sure an answer is: the same chain over every ± and range at once."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from liftgeo.mechanism import Mechanism, key_facts
from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.usual import Taken
from liftgeo.outcome.batches import Batch
from liftgeo.outcome.outcome import VERDICTS
from liftgeo.outcome.results import plain
from liftgeo.outcome.shares import Additive, additive
from liftgeo.outcome.uncertain import Uncertain, drawn, laid_over, uncertain

Array = NDArray[np.float64]

ValuesOf: TypeAlias = Callable[[Sequence[Uncertain]], Mapping[str, Array]]

SAMPLES, SEED = 2000, 1
SURE = 0.95
"""A word is firm where it holds 19 times in 20."""

_MOST_NEXT = 3
_WORTH_IT = 0.005
_ANSWERS = ("clearance_per_face_mm", "peak_hand_force_n", "verdict_code", "slip_margin")


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
    """What to measure next, how, and how sure the answer is once all so far are known."""

    key: str
    how: str
    certainty: float


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

    def to_dict(self) -> dict[str, Any]:
        """Return the shape of the JSON."""
        data: dict[str, Any] = plain(self)
        for item in data["taken"]:
            del item["log"]
        return data


@dataclass(frozen=True, eq=False, repr=False)
class Drawn:
    """Mechanisms drawn from every ± and range.

    Attributes
    ----------
    mechanism : Mechanism
    inputs : tuple of Uncertain
    values : dict of arrays of shape (samples,)
        What was drawn, by input.
    batch : Batch
        Their results.
    seed : int
    """

    mechanism: Mechanism
    inputs: tuple[Uncertain, ...]
    values: Mapping[str, Array]
    batch: Batch
    seed: int

    def of(self, name: str) -> Array:
        """Return a number of the samples that can be built, by its JSON name."""
        return np.asarray(getattr(self.batch, name)[self.good])

    @property
    def good(self) -> NDArray[np.bool_]:
        """Which samples can be built."""
        return np.asarray(self.batch.ok & np.isfinite(self.batch.clearance_per_face_mm))

    def fitted(self, name: str = "clearance_per_face_mm", degree: int = 3) -> Additive:
        """Return a result of the samples as a sum of smooth parts, one of each input."""
        good = self.good
        inputs = {key: values[good] for key, values in self.values.items()}
        return additive(inputs, self.of(name), degree)


def carried_n(mechanism: Mechanism, values_of: ValuesOf, samples: int) -> Array | None:
    """Return each sample's own cushion load: the clamp force of the unchanged file there [N].

    A file without its spring has none; there it is that of the mechanism itself.

    Parameters
    ----------
    mechanism : Mechanism
    values_of : callable
        Values of the unchanged file's uncertain inputs, by name, each of shape (samples,).
    samples : int
    """
    if "faces.cushion_load" in mechanism.keys:
        return None
    origin = mechanism.origin or mechanism
    if "spring" not in origin.tables:
        origin = mechanism
    inputs = uncertain(origin)
    keys = Inward({**origin.keys, **laid_over(origin.keys, inputs, values_of(inputs))})
    with np.errstate(all="ignore"):
        load = np.broadcast_to(np.asarray(keys.clamp_force_n, float), (samples,))
    return np.array(load)


def worked_out(
    mechanism: Mechanism,
    inputs: Sequence[Uncertain],
    values_of: ValuesOf,
    samples: int,
    answers: Sequence[str],
    threads: int | None = None,
) -> tuple[dict[str, Array], Batch]:
    """Return values of every input, and the results of the mechanisms they make.

    Parameters
    ----------
    inputs : sequence of Uncertain
        Of the mechanism.
    values_of : callable
        Gives the values of inputs by name, each of shape (samples,); also asked of the inputs of
        the unchanged file, whose cushion load is carried.
    answers : sequence of str
        Names of numbers to work out.
    """
    values = dict(values_of(inputs))
    over = laid_over(mechanism.keys, inputs, values)
    carried = carried_n(mechanism, values_of, samples)
    reason = np.zeros(samples, np.int64)
    batch = Batch(mechanism, over, reason, 101, threads or multiprocessing.cpu_count(), carried)
    batch.work_out(answers)
    return values, batch


def draw(
    mechanism: Mechanism,
    samples: int = SAMPLES,
    seed: int = SEED,
    threads: int | None = None,
    more: Sequence[str] = (),
) -> Drawn | None:
    """Return mechanisms drawn from every ± and range; None where nothing is uncertain.

    Parameters
    ----------
    more : sequence of str
        Names of numbers to work out besides those of `known`.
    """
    inputs = uncertain(mechanism)
    if not inputs or mechanism.level != "full":
        return None
    answers = [*_ANSWERS, *more]
    values, batch = worked_out(
        mechanism, inputs, lambda its: drawn(its, samples, seed), samples, answers, threads
    )
    return Drawn(mechanism, inputs, values, batch, seed)


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


def known_from(found: Drawn, fitted: Additive | None = None) -> Known:
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
    )


def range_of(values: Array) -> Range:
    """Return what 5, 50 and 95 of 100 finite numbers lie below; NaN where there are none."""
    known = values[np.isfinite(values)]
    if not len(known):
        return Range(np.nan, np.nan, np.nan)
    return Range(*(float(x) for x in np.quantile(known, (0.05, 0.5, 0.95))))


def how_measured(mechanism: Mechanism, dotted: str) -> str:
    """Return how a key is measured; empty where it hardly can be."""
    kind = kind_of(mechanism.keys, dotted.split(".")[0])
    return key_facts.measure_of(dotted, kind)


def _next(found: Drawn, fitted: Additive) -> tuple[Next, ...]:
    """Return what to measure next, each the best beside those before it."""
    ways = {each.key: how_measured(found.mechanism, each.home) for each in found.inputs}
    open_keys = [key for key, how in ways.items() if how and key in fitted.parts]
    before = fitted.certainty(())
    chosen: list[str] = []
    steps: list[Next] = []
    while open_keys and len(steps) < _MOST_NEXT and before < SURE:
        sure = {key: fitted.certainty([*chosen, key]) for key in open_keys}
        best = max(sure, key=lambda key: sure[key])
        if sure[best] < before + _WORTH_IT:
            break
        before = sure[best]
        chosen.append(best)
        open_keys.remove(best)
        steps.append(Next(best, ways[best], before))
    return tuple(steps)
