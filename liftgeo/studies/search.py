"""The search behind a sizing: Sobol points, closing in, and a polish by SciPy."""

from __future__ import annotations

import itertools
import math
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from liftgeo.studies.variants import Table, Variants
from liftgeo.studies.wants import FREES, MEASURES, Want

Array = NDArray[np.float64]

SHRINK = 0.55
"""How fast clouds close in."""


@dataclass(frozen=True)
class Reach:
    """How many variants a search looks at.

    Attributes
    ----------
    power : int
        Sobol points, as a power of two.
    centres, around, rounds : int
        Clouds that close in: their centres, points of each for every input, and rounds.
    """

    power: int
    centres: int
    around: int
    rounds: int


def reach(inputs: int, *, sampled: bool) -> Reach:
    """Return how far a search of so many inputs looks; less far where each takes samples."""
    if sampled:
        return Reach({1: 8, 2: 9, 3: 10}.get(inputs, 11), 4, 12, 10)
    return Reach({1: 11, 2: 13, 3: 14}.get(inputs, 15), 6, 45, 16)


POLISHED = 3
SEED = 12
MISSED = 1e6
"""Added to the score of a variant that misses a want; no objective comes near it."""
TIE = 1e-4
"""Weight of the aim beside a shortfall: far below what can be measured."""

STEP = 1e-3
"""Weight of the clearance beside a share that goes in steps."""

SMALL = 1e-6
"""Step behind the slopes of the polish, as a share of each range."""

INSIDE = 1e-9
"""A want is kept with this share of its scale to spare, so that rounding cannot undo it."""


@dataclass(frozen=True)
class Goal:
    """An aim and the wants.

    Attributes
    ----------
    measure, sign : str, int
        What to bring down (+1) or up (-1).
    wants : tuple of Want
    """

    measure: str
    sign: int
    wants: tuple[Want, ...]

    @property
    def measures(self) -> tuple[str, ...]:
        """Every measure the goal needs."""
        return tuple(dict.fromkeys((self.measure, *(w.measure for w in self.wants))))

    @property
    def usual(self) -> float:
        """Size the aim is judged against."""
        return MEASURES[self.measure].usual

    def shortfall(self, table: Table) -> Array:
        """Return by how much each variant misses its worst want, as a share of the want's scale."""
        worst: Array = np.zeros(len(table.ok))
        for want in self.wants:
            miss = INSIDE - want.margin_in(table.values) / want.scale
            if want.measure == FREES:  # of two that miss, the one that frees more often is nearer
                far = np.maximum(want.limit - table.values[FREES], 0.0)
                miss = np.where(miss > 0, far + STEP * miss, miss)
            worst = np.maximum(worst, miss)
        return worst

    def score(self, table: Table) -> Array:
        """Return what is to be smallest: the aim, or the shortfall where a want is missed.

        Of equally near misses (a spring at its end gives no more, whatever moves it) the aim
        decides.
        """
        aim = self.sign * table.values[self.measure] / self.usual
        short = self.shortfall(table)
        score: Array = np.where(short > 0, MISSED + short + TIE * aim, aim)
        return np.where(table.ok, score, np.inf)


def sobol(inputs: int, power: int) -> Array:
    """Return 2**power evenly spread points of the unit cube, the same ones every time."""
    from scipy.stats import qmc

    points: Array = qmc.Sobol(inputs, scramble=True, rng=SEED).random_base2(power)
    return points


def _corners(inputs: int) -> Array:
    """Return the corners of the unit cube, as far as they are few; best values often lie there."""
    if inputs > 6:
        return np.empty((0, inputs))
    return np.array(list(itertools.product((0.0, 1.0), repeat=inputs)))


def _best(table: Table, score: Array, count: int, apart: float) -> Array:
    """Return the places of the best variants that are not next to each other."""
    order = np.argsort(score, kind="stable")
    found: list[Array] = []
    for k in order[: 40 * count]:
        if not math.isfinite(score[k]):
            break
        place = table.shares[k]
        if all(np.max(np.abs(place - other)) > apart for other in found):
            found.append(place)
        if len(found) == count:
            break
    return np.array(found)


def most_points(inputs: int, *, sampled: bool = False) -> int:
    """Return how many variants a search looks at, at the most, its polish left out."""
    far = reach(inputs, sampled=sampled)
    clouds = far.rounds * (far.centres + 1) * far.around * inputs
    return int(2**far.power) + clouds


def search(variants: Variants, goal: Goal, start: Array) -> Array | None:
    """Return the place of the best variant, or None where none can be built.

    Parameters
    ----------
    variants : Variants
    goal : Goal
    start : array of shape (M, inputs)
        Places worth a look, such as the file as it stands.
    """
    inputs = len(variants.ranges)
    far = reach(inputs, sampled=variants.chances is not None)
    points = sobol(inputs, far.power)
    table = variants.evaluate(np.concatenate([points, _corners(inputs), start]))
    score = goal.score(table)
    if not np.isfinite(score).any():
        return None
    width, random = 0.25, np.random.default_rng(SEED)
    centres = _best(table, score, far.centres, 0.05)
    champion: Array = centres[0]
    best = float(np.min(score))
    for _ in range(far.rounds):
        shape = (len(centres), far.around * inputs, inputs)
        cloud = centres[:, None, :] + width * random.uniform(-1.0, 1.0, shape)
        # One input in three stays where it is, so that an edge is followed, not left.
        still = random.uniform(size=shape) < (1 / 3 if inputs > 1 else 0.0)
        cloud = np.where(still, centres[:, None, :], cloud)
        near = variants.evaluate(np.clip(cloud.reshape(-1, inputs), 0.0, 1.0))
        score = goal.score(near)
        lowest = int(np.argmin(score))
        if score[lowest] < best:
            champion, best = near.shares[lowest], float(score[lowest])
        families = score.reshape(shape[:2])
        nearest = near.shares.reshape(shape)[np.arange(len(centres)), families.argmin(axis=1)]
        centres = np.unique(np.concatenate([champion[None], nearest]), axis=0)[: far.centres + 1]
        width *= SHRINK
    # A share of samples has a corner at every sample: slopes lead nowhere there.
    if variants.chances is None and any(not r.counted for r in variants.ranges):
        for place in _best(near, score, POLISHED, 1e-6):
            champion, best = _polished(variants, goal, champion, best, place)
        champion, best = _polished(variants, goal, champion, best, champion)
    return champion


def _polished(
    variants: Variants, goal: Goal, champion: Array, best: float, start: Array
) -> tuple[Array, float]:
    """Return the better of the champion and a polished start."""
    place = polish(variants, goal, start)
    table = variants.evaluate(place[None])
    score = float(goal.score(table)[0])
    return (place, score) if score < best else (champion, best)


@dataclass
class _Local:
    """Aim, margins and their slopes around one place, worked out in one array call.

    Attributes
    ----------
    free : sequence of int
        Columns of the inputs that may move.
    start : array
        The place the others keep.
    missed : bool
        Whether a want is missed: then one number more, the greatest shortfall, is brought down.
    """

    variants: Variants
    goal: Goal
    free: Sequence[int]
    start: Array
    missed: bool

    def __post_init__(self) -> None:
        self._at: Array | None = None
        self._rows: Array = np.zeros(0)
        self._slopes: Array = np.zeros(0)

    def whole(self, free: Array) -> Array:
        """Return the place with the free inputs put in."""
        place = self.start.copy()
        place[list(self.free)] = np.clip(free, 0.0, 1.0)
        return place

    def _look(self, free: Array) -> None:
        """Work out [aim, margins...] over their scales, and their slopes."""
        if self._at is not None and np.array_equal(free, self._at):
            return
        place = self.whole(free)
        up = np.where(place[list(self.free)] + SMALL <= 1.0, SMALL, 0.0)
        down = np.where(place[list(self.free)] - SMALL >= 0.0, SMALL, 0.0)
        places = np.tile(place, (1 + 2 * len(self.free), 1))
        for k, column in enumerate(self.free):
            places[1 + 2 * k, column] += up[k]
            places[2 + 2 * k, column] -= down[k]
        table, goal = self.variants.evaluate(places), self.goal
        aim = goal.sign * table.values[goal.measure] / goal.usual
        margins = [w.margin_in(table.values) / w.scale - 2 * INSIDE for w in goal.wants]
        rows = np.stack([aim, *margins])
        rows = np.where(np.isfinite(rows), rows, np.array([[1e3]] + [[-1e3]] * len(margins)))
        self._at, self._rows = free.copy(), rows[:, 0]
        self._slopes = (rows[:, 1::2] - rows[:, 2::2]) / (up + down)

    def _split(self, x: Array) -> tuple[Array, float]:
        return (x[:-1], float(x[-1])) if self.missed else (x, 0.0)

    def aim(self, x: Array) -> float:
        """Return what is to be smallest."""
        free, short = self._split(x)
        self._look(free)
        return short if self.missed else float(self._rows[0])

    def aim_slope(self, x: Array) -> Array:
        """Return its slope."""
        free, _ = self._split(x)
        self._look(free)
        slope: Array = np.append(0.0 * free, 1.0) if self.missed else self._slopes[0]
        return slope

    def margins(self, x: Array) -> Array:
        """Return what must not fall below zero."""
        free, short = self._split(x)
        self._look(free)
        found: Array = self._rows[1:] + short
        return found

    def margin_slopes(self, x: Array) -> Array:
        """Return their slopes."""
        free, _ = self._split(x)
        self._look(free)
        slopes = self._slopes[1:]
        return np.hstack([slopes, np.ones((len(slopes), 1))]) if self.missed else slopes


def polish(variants: Variants, goal: Goal, start: Array) -> Array:
    """Return a start brought to the nearest optimum by sequential quadratic programming.

    Inputs on workshop steps stay where they are. Where the start misses a want, the greatest
    shortfall is brought down instead of the aim.
    """
    from scipy.optimize import minimize

    free = [k for k, r in enumerate(variants.ranges) if not r.counted and r.high > r.low]
    if not free:
        return start
    table = variants.evaluate(start[None])
    missed = bool(goal.score(table)[0] >= MISSED)
    local = _Local(variants, goal, free, start, missed)
    first = np.append(start[free], goal.shortfall(table)) if missed else start[free]
    wants: Any = [{"type": "ineq", "fun": local.margins, "jac": local.margin_slopes}]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a step outside the bounds is clipped, and SciPy says so
        found = minimize(
            local.aim,
            first,
            jac=local.aim_slope,
            bounds=[(0.0, 1.0)] * len(free) + [(0.0, None)] * missed,
            constraints=wants if goal.wants else [],
            method="SLSQP",
            options={"maxiter": 60, "ftol": 1e-13},
        )
    return local.whole(np.asarray(found.x[: len(free)], float))
