"""A share of clutches that must free, wanted of many variants at once: common samples of each."""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from liftgeo.cached import cached_property
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.left_out import AT_THE_PLATE
from liftgeo.outcome.batches import Batch
from liftgeo.outcome.conditioned import conditioned, streams
from liftgeo.outcome.drawing import carried_n
from liftgeo.outcome.uncertain import (
    PLUS_MINUS_SD,
    Uncertain,
    laid_over,
    shares_of,
    uncertain,
)
from liftgeo.quantities import Measured
from liftgeo.studies.wants import SAME_ANGLE, as_change

Array = NDArray[np.float64]

SEARCH_SEED = 2
"""Seed of the samples a search looks at; `frees` is reported from another, that of `known`."""

SEARCHED, SETTLED = 128, 2000
"""Samples of each variant: while a search closes in, and of the few it settles between."""

TOGETHER = 2**16
"""Samples in one call, at the most."""


@dataclass(frozen=True)
class Chances:
    """Common samples of everything that is uncertain, laid over each variant.

    Parameters
    ----------
    mechanism : Mechanism
    keys : tuple of str
        What is varied.
    share : float
        Share of samples that must free.
    samples, seed : int
        How many, and of which random streams: the same for every variant, by key name.
    """

    mechanism: Mechanism
    keys: tuple[str, ...]
    share: float
    samples: int = SEARCHED
    seed: int = SEARCH_SEED

    def _ranks(self, built: NDArray[np.int64]) -> NDArray[np.intp]:
        """Return which clearance of so many, counted from the least, must be 0 or more."""
        ranks = ((1 - self.share) * built + 1e-9).astype(np.intp)
        return np.clip(ranks, 0, np.maximum(built - 1, 0))[:, None]

    @cached_property
    def _measured(self) -> dict[str, Uncertain]:
        """Varied keys with a ±, which a changed value keeps."""
        return {each.key: each for each in uncertain(self.mechanism) if not each.taken}

    @cached_property
    def _counts(self) -> list[str]:
        names = [key for key in self.keys if key != SAME_ANGLE]
        return [key for key in names if self.mechanism.number(key).whole]

    def of(self, values: Mapping[str, Array], ok: NDArray[np.bool_]) -> tuple[Array, Array]:
        """Return the share of each variant that frees, and the clearance that share reaches [mm].

        Parameters
        ----------
        values : mapping
            Varied keys to arrays of shape (N,).
        ok : array of bool of shape (N,)
            Which variants can be built at all; the others get NaN.
        """
        frees, reached = np.full(len(ok), np.nan), np.full(len(ok), np.nan)
        for group in self._groups(values, ok):
            first = {key: float(v[group[0]]) for key, v in values.items()}
            made = self.mechanism.changed(as_change(self.mechanism, first))
            each = max(1, TOGETHER // self.samples)
            for start in range(0, len(group), each):
                here = group[start : start + each]
                found = self._clearance(made, {k: v[here] for k, v in values.items()}, len(here))
                built = np.isfinite(found)
                frees[here] = (found >= 0).sum(axis=1) / np.maximum(built.sum(axis=1), 1)
                ranks = self._ranks(built.sum(axis=1))
                reached[here] = np.take_along_axis(np.sort(found, axis=1), ranks, axis=1)[:, 0]
        return frees, reached

    def _groups(
        self, values: Mapping[str, Array], ok: NDArray[np.bool_]
    ) -> Iterator[NDArray[np.intp]]:
        """Yield variants with the same counts: another count leaves other keys out."""
        good = np.flatnonzero(ok)
        if not len(good) or not self._counts:
            if len(good):
                yield good
            return
        rows = np.stack([values[key][good] for key in self._counts], axis=1)
        _, which = np.unique(rows, axis=0, return_inverse=True)
        for k in range(int(which.max()) + 1):
            yield good[which.ravel() == k]

    def _clearance(self, made: Mechanism, values: Mapping[str, Array], count: int) -> Array:
        """Return clearances of all samples of some variants, shape (count, samples)."""
        homes = {"arm.radius" if key == SAME_ANGLE else key: v for key, v in values.items()}
        inputs = [each for each in uncertain(made) if each.key not in homes]
        own = streams(made, self.samples, self.seed)(inputs)
        laid = laid_over(made.keys, inputs, own)
        over = {key: np.tile(v, (count, *[1] * (v.ndim - 1))) for key, v in laid.items()}
        if "rod.finger_ratio" in homes:
            usual = {item.key for item in made.taken}
            factor = (float(made.keys["rod.finger_ratio"]) / homes["rod.finger_ratio"]) ** 2
            for key in usual.intersection(AT_THE_PLATE):
                over[key] = over[key] * np.repeat(factor, self.samples)
        for key, each in homes.items():
            over[key] = self._about(key, each).ravel()
        carried = carried_n(made, self._streams, self.samples)
        total = count * self.samples
        many = Batch(
            made,
            over,
            np.zeros(total, np.int64),
            101,
            multiprocessing.cpu_count(),
            None if carried is None else np.tile(carried, count),
        )
        many.work_out(["clearance_per_face_mm"])
        found = many.clearance_per_face_mm.reshape(count, self.samples)
        bench = conditioned(made, self.samples, self.seed)
        if bench is not None:
            plates = np.asarray(
                over.get("faces.friction_plates", made.keys["faces.friction_plates"])
            )
            each = np.broadcast_to(plates, (total,)).reshape(count, self.samples)
            found = found + bench.unexplained(self.samples) / (2 * each)
        return found

    def _streams(self, inputs: Sequence[Uncertain]) -> Mapping[str, Array]:
        return streams(self.mechanism, self.samples, self.seed)(inputs)

    def _about(self, key: str, values: Array) -> Array:
        """Return samples of a varied key about each of its values, shape (N, samples).

        A varied value keeps the ± of the file, as a changed one does.
        """
        old, known = self.mechanism.keys.get(key), self._measured.get(key)
        if known is None or not isinstance(old, Measured):
            return np.broadcast_to(values[:, None], (len(values), self.samples))
        share, half = shares_of(key, self.samples, self.seed), old.half_width
        rows: Array = np.repeat(values[:, None], self.samples, axis=1)
        for k, value in enumerate(values.tolist()):
            if abs(value) > half:
                low, high = value - half, value + half
                own = replace(known, value=value, low=low, high=high, deviations=PLUS_MINUS_SD)
                rows[k] = own.at(share)
        return rows
