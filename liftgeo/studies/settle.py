"""The last steps of a search for a share of clutches that free: few variants, many samples."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from liftgeo.studies.chances import SETTLED, Chances
from liftgeo.studies.search import MISSED, Goal
from liftgeo.studies.sure import how_sure
from liftgeo.studies.variants import Variants, joined
from liftgeo.studies.wants import FREES, as_change

Array = NDArray[np.float64]

SPARES = (0.5, 1.0, 2.0)
"""Standard errors of the share kept to spare, so that other samples reach what is wanted too."""

OFF, CANDIDATES = (-0.03, 0.0, 0.03), 6
"""How far off the few samples of a search may be; candidates of each."""

WIDTHS, AROUND = (0.04, 0.015, 0.005, 0.002, 0.0007), 6
"""Clouds about the best, as shares of the ranges; points of each for every input."""

SEED = 12


def _candidates(variants: Variants, goal: Goal, champion: Array) -> Array:
    """Return places worth many samples: the best by the few, and by a share a little off."""
    table = joined(variants.seen)
    rest = Goal(goal.measure, goal.sign, tuple(w for w in goal.wants if w.measure != FREES))
    limit = next(w.limit for w in goal.wants if w.measure == FREES)
    score, others = goal.score(table), rest.score(table)
    orders = [np.argsort(score, kind="stable")[:CANDIDATES]]
    for off in OFF:
        near = np.where(table.values[FREES] >= limit + off, others, np.inf)
        order = np.argsort(near, kind="stable")[:CANDIDATES]
        orders.append(order[np.isfinite(near[order])])
    places = np.concatenate([champion[None], table.shares[np.concatenate(orders)]])
    inputs = np.stack(list(variants.inputs(places).values()), axis=1)
    return places[np.sort(np.unique(inputs, axis=0, return_index=True)[1])]


def _judges(variants: Variants, limit: float) -> Iterator[Variants]:
    """Yield variants with many samples each, which keep more and more to spare."""
    chances = variants.chances
    assert isinstance(chances, Chances)
    error = float(np.sqrt(limit * (1 - limit) / SETTLED))
    for spare in SPARES:
        strict = replace(chances, share=limit + spare * error, samples=SETTLED)
        yield replace(variants, seen=[], chances=strict)


def settled(variants: Variants, goal: Goal, champion: Array) -> tuple[Array, Variants]:
    """Return the best place by many samples, and the variants by which it was judged.

    Parameters
    ----------
    variants : Variants
        With what the search has seen, by few samples.
    goal : Goal
        With a want on `frees`.
    champion : array
        The best by few samples.
    """
    limit = next(w.limit for w in goal.wants if w.measure == FREES)
    start = _candidates(variants, goal, champion)
    place, judge = champion, variants
    for judge in _judges(variants, limit):
        place, score = _best(judge, goal, start)
        values = {k: float(v[0]) for k, v in judge.inputs(place[None]).items()}
        made = judge.mechanism.changed(as_change(judge.mechanism, values))
        frees = how_sure(made).frees
        if score >= MISSED or frees is None or frees >= limit:
            break
    return place, judge


def _best(judge: Variants, goal: Goal, start: Array) -> tuple[Array, float]:
    """Return the best of some places and of what lies about it, with its score."""
    random = np.random.default_rng(SEED)
    table = judge.evaluate(start)
    scores = goal.score(table)
    best: Array = start[int(np.argmin(scores))]
    score = float(np.min(scores))
    for width in WIDTHS:
        shape = (AROUND * len(best), len(best))
        cloud = np.clip(best + width * random.uniform(-1.0, 1.0, shape), 0.0, 1.0)
        scores = goal.score(judge.evaluate(cloud))
        if np.min(scores) < score:
            best, score = cloud[int(np.argmin(scores))], float(np.min(scores))
    return best, score
