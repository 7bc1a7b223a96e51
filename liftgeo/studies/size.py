"""Values that keep the wants at the best aim, what binds, what stands in the way, and the front."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from liftgeo.errors import RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.analysis import result_at
from liftgeo.outcome.csv_text import csv_text
from liftgeo.outcome.drawing import SEED
from liftgeo.outcome.html_chart import Curve, html_chart
from liftgeo.outcome.html_table import html_table
from liftgeo.outcome.outcome import analysed
from liftgeo.outcome.results import Result, plain
from liftgeo.studies.brought import brought_along
from liftgeo.studies.chances import Chances
from liftgeo.studies.compare import dangers_of, worries_of
from liftgeo.studies.front import OFFSPRING, SAMPLED_OFFSPRING, FrontPoint, front_of
from liftgeo.studies.making import in_stock, rounded
from liftgeo.studies.obstacles import Obstacle, obstacles
from liftgeo.studies.search import Goal, most_points, polish, search
from liftgeo.studies.sensitivity import numbers_in
from liftgeo.studies.settle import settled
from liftgeo.studies.sure import Sure, how_sure
from liftgeo.studies.variants import Progress, Variants, dropped_for
from liftgeo.studies.wants import (
    FREES,
    MEASURES,
    SAME_ANGLE,
    Range,
    Want,
    as_change,
    check_known,
    check_together,
    measure_named,
    range_from,
    stepped,
    want_from,
)

Array = NDArray[np.float64]
Standing = Literal["proposed", "found, not proposed", "nearest miss"]

BINDS = 1e-3
"""A want binds where its margin is below this share of its scale."""
AT_END = 1e-4
"""An input stands at the end of its range within this share of it."""


@dataclass(frozen=True)
class Kept:
    """A want, the value reached, and the margin; below zero where it is missed."""

    want: Want
    value: float
    binds: bool

    @property
    def margin(self) -> float:
        """How far the value is on the good side, in the measure's unit."""
        return float(self.want.margin(self.value))


@dataclass(frozen=True)
class Sizing:
    """The answer of a sizing.

    Attributes
    ----------
    met : bool
        Whether every want is kept; else this is the nearest miss.
    values : dict
        Varied keys and their values, in the file's bare units.
    base, mechanism : Mechanism
        The file, and the file with the answer laid over it.
    base_result, result : Result
    goal : Goal
    ranges : tuple of Range
    wants : tuple of Kept
    at_low, at_high : tuple of str
        Inputs that stand at an end of their range.
    front : tuple of FrontPoint
        Non-dominated clearance and peak effort, by falling clearance.
    evaluated, dropped : int
        Variants computed, and variants that cannot be built.
    drop_reasons : dict
        Reason codes by name, and how many variants dropped out for each.
    obstacles : tuple of Obstacle
        What stands in the way of missed wants.
    separation_signed_mm : float
        Separation of the answer, below zero where the faces do not part.
    base_sure, sure : Sure
        How many of 1 free and hold, as the file stands and as found: samples of `seed`, which are
        not those that the search looked at.
    brought : frozenset of str
        New cautions that every value of an input brings (`brought_along`): they stand beside the
        answer.
    seed : int
    """

    met: bool
    values: dict[str, float]
    base: Mechanism
    mechanism: Mechanism
    base_result: Result
    result: Result
    goal: Goal
    ranges: tuple[Range, ...]
    wants: tuple[Kept, ...]
    at_low: tuple[str, ...]
    at_high: tuple[str, ...]
    front: tuple[FrontPoint, ...]
    evaluated: int
    dropped: int
    drop_reasons: dict[str, int]
    obstacles: tuple[Obstacle, ...]
    separation_signed_mm: float
    base_sure: Sure
    sure: Sure
    brought: frozenset[str] = frozenset()
    seed: int = SEED

    @property
    def change(self) -> dict[str, float]:
        """The answer as the keys of a change."""
        return as_change(self.base, self.values)

    @property
    def binding(self) -> list[str]:
        """Names of the wants that bind, or are missed."""
        return list(dict.fromkeys(k.want.measure for k in self.wants if k.binds))

    @property
    def dangers(self) -> tuple[str, ...]:
        """What forbids recommending the answer: it slips, or a warning says stop."""
        return dangers_of(self.result)

    @property
    def worries(self) -> tuple[str, ...]:
        """What forbids proposing it: the dangers, and new cautions that another value may avoid."""
        new = worries_of(self.result, self.base_result)
        return tuple(key for key in new if key not in self.brought)

    @property
    def beside(self) -> tuple[str, ...]:
        """New cautions that every value asked for brings: they stand beside a proposal."""
        new = worries_of(self.result, self.base_result)
        return tuple(key for key in new if key in self.brought)

    @property
    def standing(self) -> Standing:
        """What the answer is: proposed, found but not proposed, or the nearest miss."""
        if not self.met:
            return "nearest miss"
        return "found, not proposed" if self.worries else "proposed"

    def to_dict(self) -> dict[str, Any]:
        """Return the sizing as plain data."""
        data: dict[str, Any] = plain(
            {
                "met": self.met,
                "values": self.values,
                "result": self.result.to_dict(),
                "binding": self.binding,
                "front": [point.to_dict() for point in self.front],
                "evaluated": self.evaluated,
                "dropped": self.dropped,
            }
        )
        base = {"base": self.base_sure.to_dict()}
        return data | self.sure.to_dict() | {"seed": self.seed} | base

    def to_csv(self) -> str:
        """Return the front as CSV text, one row a variant."""
        heads = [*self.values, "clearance_per_face_mm", "peak_hand_force_n"]
        rows = [
            [*point.values.values(), point.clearance_per_face_mm, point.peak_hand_force_n]
            for point in self.front
        ]
        frees = [point.frees for point in self.front if point.frees is not None]
        if frees:
            heads.append(FREES)
            rows = [[*row, share] for row, share in zip(rows, frees, strict=True)]
        return csv_text(heads, rows)

    def _repr_html_(self) -> str:
        rows: list[tuple[str, str | float]] = [("met", "yes" if self.met else "no")]
        rows += self.values.items()
        rows += [(kept.want.measure, kept.value) for kept in self.wants]
        rows += [
            ("verdict", self.result.verdict),
            ("clearance_per_face_mm", self.result.full_lever.clearance_per_face_mm),
            ("peak_hand_force_n", self.result.peak.hand_force_n),
            ("stop", "; ".join(self.dangers)),
        ]
        front = sorted((p.clearance_per_face_mm, p.peak_hand_force_n) for p in self.front)
        curve = Curve("best of each", [x for x, _ in front], [y for _, y in front])
        chart = html_chart("Peak over clearance", "clearance per face, mm", "N", [curve])
        return html_table(self.base.title, rows) + chart


def goal_of(
    mechanism: Mechanism,
    want: Sequence[str],
    least: str | None,
    most: str | None,
    varied: Sequence[str],
) -> Goal:
    """Return the goal in words of the command line.

    With neither want nor aim the target clearance is wanted; with no aim, the least peak effort.

    Raises
    ------
    RequestError
        Both aims at once, an unknown name, or one the file does not give enough for.
    """
    if least is not None and most is not None:
        raise RequestError("Give --least or --most, not both; turn the other into a --want.")
    wants = [want_from(text) for text in want]
    if not wants and least is None and most is None:
        wants = [Want("clearance", 1, float(np.min(mechanism.parts().faces.target_mm)))]
    name = measure_named(least or most or "peak_hand_force")
    if name == FREES:
        raise RequestError(
            "frees is wanted, not aimed at: --want 'frees>=0.9' asks for nine clutches in ten."
        )
    if sum(w.measure == FREES for w in wants) > 1:
        raise RequestError("frees is wanted twice; the larger share is enough.")
    for measure in (name, *(w.measure for w in wants)):
        check_known(mechanism, measure, varied)
    return Goal(name, -1 if most is not None else 1, tuple(wants))


def size(
    mechanism: Mechanism,
    vary: Sequence[str | Range],
    want: Sequence[str] = (),
    *,
    least: str | None = None,
    most: str | None = None,
    step: Sequence[str] = (),
    stock: Mapping[str, Sequence[str]] | None = None,
    exact: bool = False,
    progress: Progress | None = None,
) -> Sizing:
    """Return the values of some inputs that keep the wants at the best aim.

    Parameters
    ----------
    mechanism : Mechanism
    vary : sequence of str or Range
        Ranges, as in "arm.radius=32..44", or sizes, as in "arm.radius=30,33,36".
    want : sequence of str
        As in "clearance>=0.15".
    least, most : str or None
        What to bring down or up; neither: the peak effort, down.
    step : sequence of str
        Workshop steps, as in "arm.radius=0.5"; only multiples are tried.
    stock : mapping, optional
        Sizes by key, as texts; of the varied keys that it names only these are tried.
    exact : bool
        Leaves the answer at any value. Otherwise it is brought to what can be made: 0.1 mm, 0.5
        deg, finer in a narrow range, three figures of what has no size.
    progress : callable, optional
        Called with the number of variants after every chunk.

    Raises
    ------
    RequestError
        A question that cannot be asked: unknown key, LOW above HIGH, a want the file does not
        give enough for, a file that does not give the whole clutch, or no variant at all that can
        be built.

    Notes
    -----
    Sobol points over the ranges, corners and the file's own values; clouds that close in on the
    best of them; then sequential quadratic programming. A variant that cannot be built drops out.

    A want such as "frees>=0.9" brings the clearance that nine in ten samples reach up to zero. The
    search looks at 128 samples of each variant, from streams by key name that all variants share;
    the last candidates are settled by 2,000, half a standard error of the share to spare. What is
    reported comes from 2,000 samples of another seed, that of `liftgeo.known`.
    """
    ranges = _ranges(mechanism, vary, step, stock)
    keys = [r.key for r in ranges]
    goal = goal_of(mechanism, want, least, most, keys)
    share = next((w.limit for w in goal.wants if w.measure == FREES), None)
    chances = None if share is None else Chances(mechanism, tuple(keys), share)
    holds = ("slip_margin",) if "engine.torque" in mechanism.keys else ()
    variants = Variants(mechanism, ranges, (*goal.measures, *holds), progress, chances=chances)
    found = search(variants, goal, _start(mechanism, ranges))
    if found is None:
        raise _none_built(variants)
    judge = variants
    if chances is not None:
        found, judge = settled(variants, goal, found)
    binding = _binding(judge, goal, found)
    if not exact:
        judge, found = rounded(judge, goal, found)
    answer = judge.evaluate(found[None], keep=False)
    front = front_of(variants, goal.wants, answer, None if judge is variants else judge)
    values = {k: float(v[0]) for k, v in judge.inputs(found[None]).items()}
    return _sizing(variants, judge, goal, values, front, binding)


def _ranges(
    mechanism: Mechanism,
    vary: Sequence[str | Range],
    step: Sequence[str],
    stock: Mapping[str, Sequence[str]] | None,
) -> list[Range]:
    """Return the ranges that are asked for, once it is known that they can be varied together."""
    mechanism.need_full("Sizing")
    if not vary:
        raise RequestError("Name an input to vary: --vary KEY=LOW..HIGH.")
    ranges = [v if isinstance(v, Range) else range_from(mechanism, v) for v in vary]
    ranges = stepped(mechanism, ranges, step)
    ranges = ranges if stock is None else in_stock(mechanism, ranges, stock)
    check_together(mechanism, ranges)
    return ranges


def _none_built(variants: Variants) -> RequestError:
    """Return the error of a search in which no variant can be built, with why."""
    told = ", ".join(f"{name} ({count})" for name, count in dropped_for(variants).items())
    return RequestError(
        f"None of the {variants.dropped} variants can be built: {told}. "
        "Choose ranges around what the file has."
    )


def most_variants(inputs: int, want: Sequence[str] = ()) -> int:
    """Return how many variants a sizing of so many inputs looks at, at the most."""
    sampled = any(text.strip().lower().startswith(FREES) for text in want)
    return most_points(inputs, sampled=sampled) + (SAMPLED_OFFSPRING if sampled else OFFSPRING)


def _start(mechanism: Mechanism, ranges: Sequence[Range]) -> Array:
    """Return the file's own values as a place, as far as they lie in the ranges."""
    numbers = numbers_in(mechanism)
    own = [numbers.get("arm.radius" if r.key == SAME_ANGLE else r.key) for r in ranges]
    shares = [0.5 if v is None else r.share(v) for v, r in zip(own, ranges, strict=True)]
    return np.array([shares])


def _binding(variants: Variants, goal: Goal, place: Array) -> set[Want]:
    """Return the wants that bind: at the answer, or where steps hide it, at the best unrounded."""
    smooth = [replace(r, step=0.0) for r in variants.ranges]
    counts = any(variants.mechanism.number(r.key).whole for r in smooth if r.key != SAME_ANGLE)
    loose = replace(variants, ranges=variants.ranges if counts else smooth, progress=None, seen=[])
    shares = np.array([[s.share(r.at(p[None])[0]) for s, r, p in _zipped(smooth, variants, place)]])
    tables = [variants.evaluate(place[None], keep=False)]
    if any(r.step for r in variants.ranges) and not counts and variants.chances is None:
        tables.append(loose.evaluate(polish(loose, goal, shares[0])[None]))
    return {w for w in goal.wants for t in tables if w.margin_in(t.values)[0] < BINDS * w.scale}


def _zipped(smooth: Sequence[Range], variants: Variants, place: Array) -> Any:
    return zip(smooth, variants.ranges, place, strict=True)


def _sizing(
    variants: Variants,
    judge: Variants,
    goal: Goal,
    values: dict[str, float],
    front: list[FrontPoint],
    binding: set[Want],
) -> Sizing:
    mechanism = variants.mechanism
    made = mechanism.changed(as_change(mechanism, values))
    made = replace(made, change=", ".join(f"{k} = {v:.6g}" for k, v in values.items()))
    with np.errstate(all="ignore"):
        outcome, before = analysed(made), analysed(mechanism)
        result = result_at(outcome, (), made, None)
        base_result = result_at(before, (), mechanism, None)
        signed = outcome.picked(outcome.separation_signed_mm, ())
    sure = how_sure(made, seed=SEED)
    wants = tuple(
        Kept(w, reached(w.measure, result, signed, sure), w in binding) for w in goal.wants
    )
    wants = tuple(replace(k, binds=k.binds or k.margin < 0) for k in wants)
    met = all(k.margin >= 0 for k in wants)
    ends = [(r, (values[r.key] - r.first, r.last - values[r.key])) for r in judge.ranges]
    near = [(r.key, gap, AT_END * max(r.high - r.low, 1e-12)) for r, gap in ends]
    missed = [k.want for k in wants if k.margin < 0]
    return Sizing(
        met=met,
        values=values,
        base=mechanism,
        mechanism=made,
        base_result=base_result,
        result=result,
        goal=goal,
        ranges=tuple(judge.ranges),
        wants=wants,
        at_low=tuple(key for key, (low, _), tiny in near if low <= tiny),
        at_high=tuple(key for key, (_, high), tiny in near if high <= tiny),
        front=tuple(front),
        evaluated=variants.evaluated,
        dropped=variants.dropped,
        drop_reasons=dropped_for(variants),
        obstacles=tuple(obstacles(outcome, result, missed, goal.wants)),
        separation_signed_mm=signed,
        base_sure=how_sure(mechanism, seed=SEED),
        sure=sure,
        brought=brought_along(mechanism, variants.ranges, values, base_result),
    )


def reached(measure: str, result: Result, signed_mm: float, sure: Sure) -> float:
    """Return what an answer reaches of a measure."""
    of_result = MEASURES[measure].of_result
    if of_result is not None:
        return of_result(result, signed_mm)
    if sure.frees is None:  # what was varied was all that was uncertain
        return float(result.full_lever.clearance_per_face_mm >= 0)
    return sure.frees
