"""Samples that agree with the readings from the bench: drawn from all that is uncertain, weighed.

The prior is that of `uncertain`; the readings weigh it. Of the prior's own samples few would keep a
weight: samples are drawn about the likeliest place instead, weighed back exactly, and moved on by a
chain that leaves the weighed distribution as it is.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from liftgeo.errors import Fault, GeometryError
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.bench import PLACES, PULLING, Reading
from liftgeo.outcome.evidence import Evidence
from liftgeo.outcome.normal import quantile, shares_below
from liftgeo.outcome.outcome import analysed
from liftgeo.outcome.quantiles import quantiles
from liftgeo.outcome.standing_out import CONTRADICTS, away_from_others
from liftgeo.outcome.uncertain import Uncertain, drawn, shares_of, uncertain
from liftgeo.quantities import DIMENSIONS

Array = NDArray[np.float64]

FEWEST, MOST = 2000, 20_000
"""Samples that agree, at the least and at the most; more are the same ones again."""

_FIRST = 1000
_KEPT = 0.5
_LESS_FINE = 3.0
_MOST_STAGES, _MOVES, _MOST_MOVES = 40, 4, 9
_MOVED_ENOUGH = 0.95
_STEPS = (0.9, 0.5, 0.25)
"""How far a move goes, by turns: nearly anew, half way, near by."""


@dataclass(frozen=True, eq=False, repr=False)
class Conditioned:
    """Samples of what is uncertain, as the readings leave it.

    Attributes
    ----------
    evidence : Evidence
    z : array of shape (samples, width)
        Inputs and errors of scale, in standard deviations of their own distributions.
    likeliest : array of shape (width,)
        Where inputs and readings agree best.
    said : array of shape (readings, 3)
        What the file alone says of each reading: 2.5, 50 and 97.5 of 100.
    contradicts : tuple of Reading
        Those that neither the file nor the other readings leave possible, the worst first.
    reduced_chi_square : float
        Misfit of readings and inputs together over the number of readings.
    unexplained_mm : array of shape (samples,), or None
        Where a reading of the lift at full lever contradicts the file: what is missing of the lift
        beyond all that the file knows of; below zero where less lifts.
    weighed_ratio : array of shape (samples,), or None
        Where a reading of the clamp force contradicts the file: the force as weighed over that of
        the file.
    """

    evidence: Evidence
    z: Array
    likeliest: Array
    said: Array
    contradicts: tuple[Reading, ...] = ()
    reduced_chi_square: float = 0.0
    unexplained_mm: Array | None = None
    weighed_ratio: Array | None = None

    def unexplained(self, samples: int) -> Array:
        """Return what is missing of the lift in so many samples [mm]."""
        if self.unexplained_mm is None:
            return np.zeros(samples)
        return np.resize(self.unexplained_mm, samples)

    def weighed(self, samples: int) -> Array:
        """Return the clamp force as weighed over that of the file, in so many samples."""
        return (
            np.ones(samples)
            if self.weighed_ratio is None
            else np.resize(self.weighed_ratio, samples)
        )

    def share_of(self, each: Uncertain, samples: int) -> Array | None:
        """Return what the readings leave of an input, as shares of its distribution.

        None where the readings say nothing of it: a change gives it another value.
        """
        for k, own in enumerate(self.evidence.inputs):
            same = own.key == each.key and own.taken == each.taken
            if same and (own.taken or own == each):
                column = shares_below(self.z[:, k])
                times = -(-samples // len(column))
                return np.tile(column, times)[:samples]
        return None

    def values_of(
        self, inputs: Sequence[Uncertain], samples: int, seed: int
    ) -> Mapping[str, Array]:
        """Return values of every input by its name, each of shape (samples,)."""
        found = {}
        for each in inputs:
            share = self.share_of(each, samples)
            found[each.key] = each.at(
                shares_of(each.key, samples, seed) if share is None else share
            )
        return found


def conditioned(mechanism: Mechanism, samples: int, seed: int) -> Conditioned | None:
    """Return samples that agree with the readings; None where there are no readings.

    Parameters
    ----------
    mechanism : Mechanism
        Of one with changes the readings are those of its unchanged file.
    """
    origin = mechanism.origin or mechanism
    if not origin.readings or origin.level != "full":
        return None
    return _of_origin(origin, min(max(samples, FEWEST), MOST), seed)


@lru_cache(maxsize=8)
def _of_origin(origin: Mechanism, samples: int, seed: int) -> Conditioned | None:
    check_reach(origin)
    evidence = Evidence(origin, uncertain(origin), origin.readings)
    return weighed(evidence, samples, seed)


_ROOM = {"hand_travel": 1.0, "lever_angle": 1.0, "arm_rotation": 1.0}
"""How far beyond full lever a place may lie, by its own ±: 1 mm, 1 deg."""

_LIFTS = ("separation", "plate_lift")
_FINEST = 1e-6
"""The least ± that can be computed with, in mm, N or deg."""
_FAR_TIMES = 10.0
"""How many times the lift without losses a reading may be; common practice, no source."""


def check_reach(mechanism: Mechanism) -> None:
    """Raise GeometryError for readings from beyond the end of the stroke, or of another unit.

    Raises
    ------
    GeometryError
        With the line, or the key of [bench].
    """
    with np.errstate(all="ignore"):
        outcome = analysed(mechanism)
        most_mm = float(outcome.budget_left_mm[0])
    full = outcome.full
    ends = {
        "hand_travel": float(full.hand_travel_mm),
        "lever_angle": float(np.degrees(full.lever_angle_rad)),
        "arm_rotation": float(np.degrees(full.arm_rotation_rad)),
    }
    faults = []
    for r in mechanism.readings:
        if r.quantity in _LIFTS and r.value > _FAR_TIMES * most_mm > 0:
            faults.append(_far_fault(r, most_mm))
        if r.half_width < _FINEST:
            where = f"line {r.line}: " if r.line else "bench."
            told = "No tool reads so finely.", "Write what the reading may be out by."
            faults.append(Fault(f"{where}{r.quantity}", f"± {r.half_width:g}", *told))
        if r.quantity == "take_up" and r.value > ends["hand_travel"] + max(r.half_width, 1.0):
            faults.append(_late_fault(r, ends["hand_travel"]))
        if r.at is None or r.place not in ends:
            continue
        end = ends[r.place]
        if r.at > end + max(r.at_half_width, _ROOM[r.place]):
            unit = DIMENSIONS[PLACES[r.place]].unit
            what = r.place.replace("_", " ")
            where = f"line {r.line}: {r.quantity}" if r.line else "bench.hand_force_at"
            problem = f"Full lever is at a {what} of {end:.1f} {unit}: it cannot be read beyond."
            remedy = "Count from rest; or is the travel of the lever in the file too short?"
            faults.append(Fault(where, f"at {r.at:g} {unit}", problem, remedy))
    if faults:
        raise GeometryError(faults, mechanism.readings_file or mechanism.source)


def _far_fault(reading: Reading, most_mm: float) -> Fault:
    """Return the fault of a lift that no wrong number of a file explains."""
    where = f"line {reading.line}: " if reading.line else "bench."
    return Fault(
        f"{where}{reading.quantity}",
        f"{reading.value:g} mm",
        f"More than ten times what the whole travel lifts with nothing lost, {most_mm:.2f} mm.",
        "Check the number and its unit; a bare number is mm.",
    )


def _late_fault(reading: Reading, end_mm: float) -> Fault:
    """Return the fault of a take-up that the lever's whole travel does not reach."""
    where = f"line {reading.line}: " if reading.line else "bench."
    return Fault(
        f"{where}{reading.quantity}",
        f"{reading.value:g} mm",
        f"The lever meets its stop after {end_mm:.1f} mm of hand travel: the rod loads before, or "
        "never.",
        "Read it again from rest at the hand's place; or is the lever's travel too short?",
    )


def streams(
    mechanism: Mechanism, samples: int, seed: int
) -> Callable[[Sequence[Uncertain]], Mapping[str, Array]]:
    """Return what draws the values of inputs: as the readings leave them, where there are any."""
    found = conditioned(mechanism, samples, seed)
    if found is None:
        return lambda inputs: drawn(inputs, samples, seed)
    return lambda inputs: found.values_of(inputs, samples, seed)


def _normals(evidence: Evidence, samples: int, seed: int) -> Array:
    """Return stratified standard normal numbers, shape (samples, width)."""
    names = [each.key for each in evidence.inputs]
    names += [f"scale of {quantity}" for quantity in evidence.scaled]
    columns = [quantile(shares_of(name, samples, seed)) for name in names]
    return np.stack(columns, axis=1) if columns else np.empty((samples, 0))


def weighed(evidence: Evidence, samples: int, seed: int) -> Conditioned | None:
    """Return samples that agree with readings; None where the file alone cannot be built.

    Where nothing is uncertain all samples are alike, and the readings agree with them or do not.

    Notes
    -----
    Samples about the likeliest place, as wide as the slopes of the readings leave the prior there
    and wider (`_About`), are weighed by chance over density.
    Where half of them would not keep a weight, the weights are let in by steps (a power of the
    ratio from 0 to 1), resampling and moving at each. A move keeps the weighed distribution: about
    the samples' own mean and covariance, taken or left by Metropolis' rule.

    Source: P. Del Moral, A. Doucet, A. Jasra, Sequential Monte Carlo samplers, J. R. Statist. Soc.
    B 68 (2006) 411-436 (from memory).
    """
    random = np.random.default_rng([seed, zlib.crc32(b"bench")])
    first = _normals(evidence, _FIRST, seed)
    alone = evidence.predicted(first)
    good = np.isfinite(alone).all(axis=0)
    if not good.any():
        return None
    said = np.array([quantiles(each, (0.025, 0.5, 0.975)) for each in alone[:, good]])
    chance = evidence.log_chance(first)
    top = evidence.likeliest(first[int(np.argmax(chance))])
    rest, slopes = evidence.around(top)
    told = slopes.T @ slopes
    close, wide = (
        np.asarray(np.linalg.cholesky(each + np.eye(evidence.width)), float)
        for each in (told, told / _LESS_FINE**2)
    )
    about = _About(top, close, wide)
    z = about.at(_normals(evidence, samples, seed))
    if evidence.width:
        z = _tempered(evidence, z, about, random)
    away = np.abs(away_from_others(evidence, top))
    worst = sorted(np.flatnonzero(away > CONTRADICTS).tolist(), key=lambda k: -away[k])
    against = tuple(evidence.readings[k] for k in worst)
    misfit = float(rest @ rest + top @ top) / len(rest)
    missing = _unexplained(evidence, z, against, random)
    ratio = _weighed_ratio(evidence, z, against, random)
    return Conditioned(evidence, z, top, said, against, misfit, missing, ratio)


def _unexplained(
    evidence: Evidence, z: Array, against: Sequence[Reading], random: np.random.Generator
) -> Array | None:
    """Return what a reading of the lift shows beyond what the samples say; None without one."""
    end_mm = float(analysed(evidence.mechanism).full.hand_travel_mm) - _ROOM["hand_travel"]
    of_lift = [
        r
        for r in against
        if r.quantity in _LIFTS
        and r.direction == PULLING
        and (r.at is None or (r.place == "hand_travel" and r.at >= end_mm))
    ]
    if not of_lift:
        return None
    chosen = min(of_lift, key=lambda r: _LIFTS.index(r.quantity))
    read, said = _read_and_said(evidence, z, chosen, random)
    missing = read - said
    return np.where(np.isfinite(missing), missing, 0.0)


def _weighed_ratio(
    evidence: Evidence, z: Array, against: Sequence[Reading], random: np.random.Generator
) -> Array | None:
    """Return the clamp force as weighed over what the samples say; None where they agree."""
    weighed = [r for r in against if r.quantity == "clamp_force"]
    if not weighed:
        return None
    read, said = _read_and_said(evidence, z, weighed[0], random)
    with np.errstate(all="ignore"):
        ratio = np.maximum(read, 0.0) / said
    return np.where(np.isfinite(ratio), ratio, 1.0)


def _read_and_said(
    evidence: Evidence, z: Array, reading: Reading, random: np.random.Generator
) -> tuple[Array, Array]:
    """Return what a reading shows, its own error drawn, and what the samples say of it."""
    row = evidence.readings.index(reading)
    error = evidence.deviations[row] * random.standard_normal(len(z))
    return reading.value + error, evidence.predicted(z)[row]


def _effective(log_weight: Array) -> float:
    """Return how many samples the weights are worth, as a share."""
    weight = np.exp(log_weight - np.max(log_weight))
    return float(np.sum(weight) ** 2 / np.sum(weight**2) / len(weight))


def _next_power(log_ratio: Array, power: float) -> float:
    """Return how far the weights may be let in at this stage."""
    if _effective((1.0 - power) * log_ratio) >= _KEPT:
        return 1.0
    low, high = 0.0, 1.0 - power
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _effective(middle * log_ratio) >= _KEPT else (low, middle)
    return power + max(low, 1e-6)


class _About(NamedTuple):
    """Two normal distributions about a place, half of all samples from each.

    One is as wide as the slopes there leave the prior, so that many agree; the other as if each
    reading were three times less fine, so that none is missed where slopes change on the way. Each
    is the root L of its precision L L'.
    """

    centre: Array
    close: Array
    wide: Array

    def at(self, normals: Array) -> Array:
        """Return where standard normal numbers of shape (samples, width) lie in them."""
        near, far = (np.linalg.solve(root.T, normals.T).T for root in (self.close, self.wide))
        return np.asarray(self.centre + np.where(np.arange(len(normals))[:, None] % 2, far, near))

    def log_density(self, z: Array) -> Array:
        """Return the logarithm of the density of both together, up to a constant."""
        near, far = (
            np.sum(np.log(np.diag(root))) - 0.5 * np.sum(((z - self.centre) @ root) ** 2, axis=1)
            for root in (self.close, self.wide)
        )
        return np.asarray(np.logaddexp(near, far))


def _tempered(evidence: Evidence, z: Array, about: _About, random: np.random.Generator) -> Array:
    """Return samples of the chance itself, from samples about the likeliest place."""
    chance, density = evidence.log_chance(z), about.log_density(z)
    power = 0.0
    for _ in range(_MOST_STAGES):
        ratio = chance - density
        if not np.isfinite(np.max(ratio)):
            break
        ahead = _next_power(ratio, power)
        weight = np.exp((ahead - power) * (ratio - np.max(ratio)))
        chosen = _resampled(weight, random)
        z, chance, density = z[chosen], chance[chosen], density[chosen]
        power = ahead
        z, chance, density = _moved(evidence, (z, chance, density), about, power, random)
        if power >= 1.0:
            break
    return np.asarray(z[random.permutation(len(z))])


def _resampled(weight: Array, random: np.random.Generator) -> NDArray[np.intp]:
    """Return which samples are kept, each as often as it weighs."""
    places = (np.arange(len(weight)) + random.random()) / len(weight)
    return np.searchsorted(np.cumsum(weight) / np.sum(weight), places).clip(0, len(weight) - 1)


def _moved(
    evidence: Evidence,
    state: tuple[Array, Array, Array],
    about: _About,
    power: float,
    random: np.random.Generator,
) -> tuple[Array, Array, Array]:
    """Return samples moved on by Metropolis' rule, so often that nearly all of them have moved."""
    z, chance, density = state
    centre = np.mean(z, axis=0)
    spread = np.cov(z, rowvar=False).reshape(evidence.width, evidence.width)
    root = np.linalg.cholesky(spread + 1e-9 * np.eye(evidence.width))
    inverse = np.linalg.inv(root)

    def own(z: Array) -> Array:
        return np.asarray(-0.5 * np.sum(((z - centre) @ inverse.T) ** 2, axis=1))

    stayed = 1.0
    for count in range(_MOST_MOVES):
        step = _STEPS[count % len(_STEPS)]
        fresh = random.standard_normal(z.shape) @ root.T
        there = centre + np.sqrt(1.0 - step**2) * (z - centre) + step * fresh
        chance_there, density_there = evidence.log_chance(there), about.log_density(there)
        gain = power * (chance_there - chance) + (1.0 - power) * (density_there - density)
        gain = gain + own(z) - own(there)
        with np.errstate(over="ignore"):
            taken = np.log(random.random(len(z))) < gain
        z = np.where(taken[:, None], there, z)
        chance = np.where(taken, chance_there, chance)
        density = np.where(taken, density_there, density)
        stayed *= 1.0 - float(np.mean(taken))
        if count + 1 >= _MOVES and (power < 1.0 or stayed < 1.0 - _MOVED_ENOUGH):
            break
    return z, chance, density
