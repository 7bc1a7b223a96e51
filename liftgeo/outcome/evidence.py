"""What readings say of a mechanism: how well any set of its inputs agrees with them.

Every input is counted in standard deviations of its own distribution, so that before any reading
all of them are standard normal and independent; a tool's error of scale is one more such number.
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from liftgeo.cached import cached_property
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.bench import Reading
from liftgeo.outcome.batches import Batch
from liftgeo.outcome.normal import shares_below
from liftgeo.outcome.predicted import predicted
from liftgeo.outcome.uncertain import PLUS_MINUS_SD, Uncertain, laid_over

Array = NDArray[np.float64]

_STEP = 0.02
"""Standard deviations between the two places from which a slope is taken."""
_FARTHEST = 8.0
_TRIALS = (1.0, 0.5, 0.2, 0.05, 0.01)
_DAMPED = (0.0, 1.0, 30.0)
_ROUNDS, _CLOSE = 25, 1e-3


def as_it_stands(mechanism: Mechanism, count: int) -> dict[str, Array]:
    """Return a key of a mechanism in which nothing is uncertain, as an array of its own value."""
    homes = mechanism.numeric_keys()
    key, value = next((k, v) for k, v in mechanism.keys.items() if k in homes)
    return {key: np.full(count, float(value))}


@dataclass(frozen=True)
class Evidence:
    """Readings from the bench, and the inputs of the mechanism they were taken from.

    Attributes
    ----------
    mechanism : Mechanism
        The unchanged file's.
    inputs : tuple of Uncertain
    readings : tuple of Reading
    """

    mechanism: Mechanism
    inputs: tuple[Uncertain, ...]
    readings: tuple[Reading, ...]

    @cached_property
    def values(self) -> Array:
        """What was read, shape (readings,)."""
        return np.array([reading.value for reading in self.readings])

    @cached_property
    def deviations(self) -> Array:
        """Standard deviation of each reading by itself, the place it was read at included."""
        own = np.array([r.half_width for r in self.readings]) / PLUS_MINUS_SD
        moved = np.array([r.at_half_width for r in self.readings]) / PLUS_MINUS_SD
        if not np.any(moved):
            return own

        def shifted(sign: float) -> Array:
            some = [
                replace(r, at=max(0.0, r.at + sign * r.at_half_width / PLUS_MINUS_SD))
                if r.at is not None
                else r
                for r in self.readings
            ]
            return self._worked(np.zeros((1, self.width)), some)[:, 0]

        apart = 0.5 * (shifted(1.0) - shifted(-1.0))
        return np.hypot(own, np.where(np.isfinite(apart), apart, 0.0))

    @cached_property
    def scaled(self) -> tuple[str, ...]:
        """Quantities whose tool has an error of scale."""
        return tuple(dict.fromkeys(r.quantity for r in self.readings if r.scale > 0))

    @property
    def width(self) -> int:
        """How many numbers are not known: inputs, and errors of scale."""
        return len(self.inputs) + len(self.scaled)

    def inputs_at(self, z: Array) -> Mapping[str, Array]:
        """Return values of every input by its name, for standard deviations of shape (N, width)."""
        return {each.key: each.at(shares_below(z[:, k])) for k, each in enumerate(self.inputs)}

    def _worked(self, z: Array, readings: Sequence[Reading]) -> Array:
        count = len(z)
        over = laid_over(self.mechanism.keys, self.inputs, self.inputs_at(z))
        over = over or as_it_stands(self.mechanism, count)
        # The cushion's load is the clamp force of each sample, unless the file gives it.
        carried = None
        if "faces.cushion_load" not in self.mechanism.keys:
            with np.errstate(all="ignore"):
                ready = self.mechanism.varied(over)
                force = ready.inward(over).clamp_force_n
            carried = np.array(np.broadcast_to(force, (count,)), float)
        threads = multiprocessing.cpu_count()
        batch = Batch(self.mechanism, over, np.zeros(count, np.int64), 101, threads, carried)
        return batch.work_out((), predicted(readings), len(readings))

    def predicted(self, z: Array) -> Array:
        """Return what the chain says of the readings, shape (readings, N), tool's scale included.

        A separation of 0 was read: it says no more than that the faces do not part.
        """
        found = self._worked(z, self.readings)
        shut = [
            k for k, r in enumerate(self.readings) if r.quantity == "separation" and not r.value
        ]
        found[shut] = np.maximum(found[shut], 0.0)
        for k, reading in enumerate(self.readings):
            if reading.scale > 0:
                own = z[:, len(self.inputs) + self.scaled.index(reading.quantity)]
                found[k] = found[k] * (1.0 + own * reading.scale / PLUS_MINUS_SD)
        return found

    def residuals(self, z: Array) -> Array:
        """Return reading less prediction, in standard deviations, shape (readings, N)."""
        return (self.values[:, None] - self.predicted(z)) / self.deviations[:, None]

    def log_chance(self, z: Array) -> Array:
        """Return the logarithm of the chance of inputs and readings together, up to a constant."""
        far = 0.5 * np.sum(z**2, axis=1) + 0.5 * np.sum(self.residuals(z) ** 2, axis=0)
        return np.where(np.isfinite(far), -far, -np.inf)

    def around(self, z: Array) -> tuple[Array, Array]:
        """Return residuals at one place, and how the predictions rise there with each number.

        Parameters
        ----------
        z : array of shape (width,)

        Returns
        -------
        array of shape (readings,), array of shape (readings, width)
            Both in standard deviations of the readings.
        """
        steps, width = _STEP * np.eye(self.width), self.width
        all_of_it = self.predicted(np.concatenate([z[None], z + steps, z - steps]))
        here, ahead, behind = np.split(all_of_it, [1, 1 + width], axis=1)
        slopes = (ahead - behind) / (2 * _STEP) / self.deviations[:, None]
        rest = (self.values - here[:, 0]) / self.deviations
        return rest, np.where(np.isfinite(slopes), slopes, 0.0)

    def likeliest(self, start: Array) -> Array:
        """Return the likeliest numbers near a start, by damped Gauss-Newton steps.

        Parameters
        ----------
        start : array of shape (width,)
        """
        z, best = start, -np.inf
        for _ in range(_ROUNDS):
            rest, slopes = self.around(z)
            if not np.all(np.isfinite(rest)):
                break
            best = max(best, -0.5 * float(z @ z + rest @ rest))
            down = slopes.T @ rest - z
            bent = slopes.T @ slopes + np.eye(self.width)
            tried = [
                z + share * np.linalg.solve(bent + damp * np.diag(np.diag(bent)), down)
                for damp in _DAMPED
                for share in _TRIALS
            ]
            many = np.clip(np.array(tried), -_FARTHEST, _FARTHEST)
            chances = self.log_chance(many)
            top = int(np.argmax(chances))
            gained = float(chances[top]) - best
            if not gained > 0:
                break
            z, best = many[top], float(chances[top])
            if gained < _CLOSE:
                break
        return z
