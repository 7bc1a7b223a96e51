"""Mechanisms drawn from every ± and range, and from what readings leave of them."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.bench import LETTING_BACK, PULLING
from liftgeo.mechanism.inward import Inward
from liftgeo.outcome.batches import Batch
from liftgeo.outcome.conditioned import Conditioned, check_reach, conditioned, weighed
from liftgeo.outcome.evidence import Evidence, as_it_stands
from liftgeo.outcome.shares import Additive, Dependent, additive
from liftgeo.outcome.uncertain import Uncertain, drawn, laid_over, uncertain

Array = NDArray[np.float64]

ValuesOf: TypeAlias = Callable[[Sequence[Uncertain]], Mapping[str, Array]]

SAMPLES, SEED = 2000, 1

READ_OFF = {
    ("separation", PULLING): "separation_signed_mm",
    ("plate_lift", PULLING): "plate_lift_mm",
    ("hand_force", PULLING): "hand_force_n",
    ("hand_force", LETTING_BACK): "return_hand_force_n",
}
"""Readings at full lever that the samples tell of as they stand."""
_ANSWERS = (
    "clearance_per_face_mm",
    "peak_hand_force_n",
    "verdict_code",
    "slip_margin",
    *READ_OFF.values(),
)


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
    bench : Conditioned or None
        What the readings from the bench leave; None without readings.
    """

    mechanism: Mechanism
    inputs: tuple[Uncertain, ...]
    values: Mapping[str, Array]
    batch: Batch
    seed: int
    bench: Conditioned | None = None

    def of(self, name: str) -> Array:
        """Return a number of the samples that can be built, by its JSON name."""
        return np.asarray(getattr(self.batch, name)[self.good])

    @property
    def good(self) -> NDArray[np.bool_]:
        """Which samples can be built."""
        return np.asarray(self.batch.ok & np.isfinite(self.batch.clearance_per_face_mm))

    def fitted(self, name: str = "clearance_per_face_mm", degree: int = 3) -> Additive | Dependent:
        """Return a result of the samples as a sum of smooth parts, one of each input.

        With readings from the bench, which make inputs hang together, as regressions on them.
        """
        good = self.good
        inputs = {key: values[good] for key, values in self.values.items()}
        if self.bench is not None:
            return Dependent(inputs, self.of(name), degree)
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
    values = values_of(inputs)
    over = laid_over(origin.keys, inputs, values)
    over |= {key: value for key, value in values.items() if key not in over and "[" not in key}
    keys = Inward({**origin.keys, **over})
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
    all_of_them = values_of(inputs)
    values = {each.key: all_of_them[each.key] for each in inputs}
    over = laid_over(mechanism.keys, inputs, values) or as_it_stands(mechanism, samples)
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

    With readings from the bench, those drawn agree with them.

    Parameters
    ----------
    more : sequence of str
        Names of numbers to work out besides those of `known`.
    """
    if mechanism.level != "full":
        return None
    return _drawn(mechanism, conditioned(mechanism, samples, seed), samples, seed, threads, more)


def drawn_from(
    mechanism: Mechanism, evidence: Evidence, samples: int = SAMPLES, seed: int = SEED
) -> Drawn | None:
    """Return mechanisms drawn as readings leave them, with inputs of one's own choice.

    Parameters
    ----------
    mechanism : Mechanism
    evidence : Evidence
        Its inputs may be more than the file's uncertain ones; without readings nothing is weighed.
    """
    if not evidence.readings:
        return _drawn(mechanism, None, samples, seed)
    check_reach(evidence.mechanism)
    bench = weighed(evidence, samples, seed)
    return None if bench is None else _drawn(mechanism, bench, samples, seed)


def _drawn(
    mechanism: Mechanism,
    bench: Conditioned | None,
    samples: int,
    seed: int,
    threads: int | None = None,
    more: Sequence[str] = (),
) -> Drawn | None:
    inputs = uncertain(mechanism)
    if bench is not None:
        names = {each.key for each in inputs}
        first = bench.evidence.mechanism
        inputs += tuple(
            each
            for each in bench.evidence.inputs
            if each.key not in names and _as_in(first, mechanism, each.home)
        )
    if not inputs and bench is None:
        return None

    def values_of(its: Sequence[Uncertain]) -> Mapping[str, Array]:
        if bench is None:
            return drawn(its, samples, seed)
        own = {each.key for each in its}
        extra = [each for each in bench.evidence.inputs if each.key not in own]
        return bench.values_of([*its, *extra], samples, seed)

    values, batch = worked_out(mechanism, inputs, values_of, samples, [*_ANSWERS, *more], threads)
    found = Drawn(mechanism, inputs, values, batch, seed, bench)
    if bench is not None and not (bench.unexplained_mm is bench.weighed_ratio is None):
        _as_read(found, bench.unexplained(samples), bench.weighed(samples))
    return found


def _as_in(first: Mechanism, mechanism: Mechanism, key: str) -> bool:
    """Return whether a key is in a mechanism as in the unchanged file: no change sets it."""
    left_out = [key in (item.key for item in own.taken) for own in (first, mechanism)]
    if any(left_out):
        return all(left_out)
    return _with_width(first.keys.get(key)) == _with_width(mechanism.keys.get(key))


def _with_width(value: object) -> object:
    """Return a value with its ±: alone, two numbers are equal whatever their ±."""
    if isinstance(value, tuple | list):
        return [_with_width(item) for item in value]
    return value, getattr(value, "half_width", 0.0)


def _as_read(found: Drawn, unexplained_mm: Array, weighed_ratio: Array) -> None:
    """Move what hangs on lift and clamp force by what readings show and the file does not know of.

    What holds the torque is the clamp force, so the slip margin goes with it.
    """
    batch, faces = found.batch, found.mechanism.parts().faces
    apart = batch.separation_signed_mm + unexplained_mm
    clearance = batch.clearance_per_face_mm + unexplained_mm / (2 * float(faces.plates))
    margin = batch.slip_margin * weighed_ratio
    wanted = float(faces.clearance_per_face_mm(faces.target_separation_mm))
    code = np.where(clearance < wanted, 3.0, 4.0)
    code = np.where(clearance < 0, 2.0, code)
    code = np.where(apart <= 0, 1.0, code)
    code = np.where(margin < 1.0, 0.0, code)
    batch.known.update(
        separation_signed_mm=apart,
        clearance_per_face_mm=clearance,
        verdict_code=np.where(batch.ok, code, np.nan),
        plate_lift_mm=np.maximum(batch.plate_lift_mm + unexplained_mm, 0.0),
        slip_margin=margin,
    )
