"""What readings leave of the numbers of a file: against a random walk, and against the truth.

Methods of their own: N. Metropolis et al., Equation of State Calculations by Fast Computing
Machines, J. Chem. Phys. 21 (1953) 1087-1092 (from memory): a random walk that takes or leaves each
step; and the definition of a 95 per cent limit, by drawing true machines, reading them with errors,
and counting.
"""

from __future__ import annotations

import itertools
import math
from functools import cache
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest
from clutches import document
from numpy.typing import NDArray

import liftgeo
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.mechanism.bench import Reading
from liftgeo.mechanism.readings_text import readings_of
from liftgeo.outcome.conditioned import conditioned
from liftgeo.outcome.drawing import draw
from liftgeo.outcome.known import known_from
from liftgeo.outcome.uncertain import uncertain
from liftgeo.studies.bench_readings import next_readings, practical
from liftgeo.studies.diagnose import diagnose

Array = NDArray[np.float64]

SAW_BENCH = Path(__file__).parents[2] / "geometries" / "saw-bench.toml"

SPARSE = document(
    left_out="usual",
    cable={"free_play": None, "stiffness": None, "friction": None},
    rod={"end_float": None},
    faces={"cushion_load": 3400},
)
READ_OFF = {
    ("separation", "pulling"): "separation_signed_mm",
    ("plate_lift", "pulling"): "plate_lift_mm",
    ("hand_force", "pulling"): "hand_force_n",
    ("hand_force", "letting back"): "return_hand_force_n",
}
"""Readings at full lever, by the name under which a batch has them."""


def read_at_full(**values: tuple[float, float]) -> tuple[Reading, ...]:
    """Return readings at full lever; letting back for return_force."""
    found = []
    for name, (value, half) in values.items():
        back = name == "return_force"
        quantity = "hand_force" if back else name
        direction = "letting back" if back else "pulling"
        found.append(Reading(quantity, value, half, direction=direction))
    return tuple(found)


def log_chance(file: Mechanism, z: Array) -> Array:
    """Return the logarithm of prior times likelihood at standard normal numbers, by batch alone."""
    share = np.vectorize(NormalDist().cdf)
    inputs = uncertain(file)
    over = {each.key: each.at(share(z[:, k])) for k, each in enumerate(inputs)}
    names = [READ_OFF[r.quantity, r.direction] for r in file.readings]
    many = liftgeo.batch(file, over, answers=tuple(dict.fromkeys(names)), threads=1)
    rest = [
        (r.value - getattr(many, name)) / (r.half_width / 2)
        for r, name in zip(file.readings, names, strict=True)
    ]
    found = -0.5 * np.sum(z**2, axis=1) - 0.5 * np.sum(np.square(rest), axis=0)
    return np.where(np.isfinite(found), found, -np.inf)


def walked(file: Mechanism, walkers: int, steps: int, burnt: int) -> tuple[Array, Array]:
    """Return mean and covariance of what many plain random walks visit."""
    random = np.random.default_rng(3)
    z = random.standard_normal((walkers, len(uncertain(file))))
    chance = log_chance(file, z)
    sums, squares, count = 0.0, 0.0, 0
    for step in range(steps):
        wide = 0.9 if step % 2 else 0.25
        there = z + wide * random.standard_normal(z.shape) / math.sqrt(z.shape[1])
        ahead = log_chance(file, there)
        taken = np.log(random.random(walkers)) < ahead - chance
        z, chance = np.where(taken[:, None], there, z), np.where(taken, ahead, chance)
        if step >= burnt:
            sums, squares, count = sums + z.sum(axis=0), squares + z.T @ z, count + walkers
    mean = sums / count
    return mean, squares / count - np.outer(mean, mean)


PLAYS = document(
    left_out="usual",
    cable={"free_play": None},
    rod={"end_float": None},
    faces={"cushion_load": 3400},
)
"""Play of the cable and float of the rod cost lift alike: one reading cannot tell them apart."""

WALKS = {
    "one reading": (SPARSE, read_at_full(separation=(0.25, 0.12))),
    "force and lift": (SPARSE, read_at_full(separation=(0.20, 0.03), hand_force=(124.0, 3.0))),
    "strongly correlated": (PLAYS, read_at_full(separation=(0.20, 0.03))),
}


@pytest.mark.parametrize("name", WALKS)
def test_samples_are_those_of_a_random_walk(name: str) -> None:
    """Means within 0.15, deviations within 0.12 of a prior deviation; correlations within 0.12.

    2,000 samples have a standard error of 0.022; the walks' is some 0.03 in the narrow case.
    """
    described, readings = WALKS[name]
    file = from_document(described).with_readings(readings)
    found = conditioned(file, 2000, 1)
    assert found is not None
    mean, covariance = walked(file, 400, 900, 300)
    assert np.mean(found.z, axis=0) == pytest.approx(mean, abs=0.15)
    own = np.sqrt(np.diag(covariance))
    assert np.std(found.z, axis=0) == pytest.approx(own, abs=0.12)
    apart = np.corrcoef(found.z, rowvar=False) - covariance / np.outer(own, own)
    assert np.max(np.abs(apart)) < 0.12
    if name == "strongly correlated":
        off = covariance / np.outer(own, own) - np.eye(len(own))
        assert np.max(np.abs(off)) > 0.7


# ---------------------------------------------------------------- coverage


def covered(machines: int, seed: int) -> tuple[int, int]:
    """Return how many true numbers lie within their stated limits, and how many there are."""
    random = np.random.default_rng(seed)
    plain = from_document(SPARSE)
    inputs = uncertain(plain)
    inside = total = 0
    truths = {each.key: each.at(random.random(machines)) for each in inputs}
    wanted = ("separation_signed_mm", "hand_force_n", "return_hand_force_n")
    true = liftgeo.batch(plain, truths, answers=wanted)
    for k in range(machines):
        if not true.ok[k] or true.separation_signed_mm[k] < 0.1:
            continue
        read = read_at_full(
            separation=(true.separation_signed_mm[k] + 0.02 * random.standard_normal(), 0.04),
            hand_force=(true.hand_force_n[k] + 1.5 * random.standard_normal(), 3.0),
            return_force=(true.return_hand_force_n[k] + 1.5 * random.standard_normal(), 3.0),
        )
        fitted = diagnose(plain.with_readings(read), seed=k + 1).readings.fitted
        key = inputs[k % len(inputs)].key  # one number of each machine: they hang together
        inside += fitted[key].low <= truths[key][k] <= fitted[key].high
        total += 1
    return inside, total


def test_true_numbers_lie_within_their_limits() -> None:
    """Of some 25 machines; three standard errors below 95 in 100."""
    inside, total = covered(40, 5)
    assert total > 15
    assert inside >= 0.95 * total - 3 * math.sqrt(0.95 * 0.05 * total)


@pytest.mark.slow
def test_true_numbers_lie_within_their_limits_95_times_in_100() -> None:
    """Of 400 machines and more: 95 ± 3 in 100."""
    inside, total = covered(650, 6)
    assert total >= 400
    assert inside / total == pytest.approx(0.95, abs=0.03)


# ---------------------------------------------------------------- the next reading


OUTER = 250


@cache
def drawn_wide():
    found = draw(from_document(SPARSE), 4000, 5)
    assert found is not None
    return found


def nested(name: str, half: float) -> float:
    """Return how sure it is after a reading: each of 250 truths read, all samples weighed by it."""
    found = drawn_wide()
    true = found.of(name)
    shown = np.maximum(true, 0.0) if name == "separation_signed_mm" else true
    free = found.of("clearance_per_face_mm") >= 0
    random = np.random.default_rng(9)
    chances = []
    for k in range(0, len(true), len(true) // OUTER):
        read = shown[k] + half / 2 * random.standard_normal()
        weight = np.exp(-0.5 * ((shown - read) / (half / 2)) ** 2)
        share = float(weight @ free / weight.sum())
        chances.append(max(share, 1.0 - share))
    return float(np.mean(chances))


def test_the_next_reading_is_ranked_as_nested_simulation_ranks_it() -> None:
    """Certainties within 0.03, and none that is more than 0.02 better stands below another."""
    file = from_document(SPARSE)
    full = liftgeo.stroke(file).full_lever
    steps = next_readings(drawn_wide(), full, most=20)
    half = {r.same_as: r.half_width for r in practical(full)}
    expected = {}
    for step in steps:
        name = READ_OFF.get((step.reading, step.direction))
        if name is None or step.at != pytest.approx(full.hand_travel_mm):
            continue
        same = (step.reading, None, "hand_travel", step.direction, "")
        expected[step.reading, step.direction] = nested(name, half[same])
        assert step.certainty == pytest.approx(expected[step.reading, step.direction], abs=0.03)
    assert len(expected) == len(READ_OFF)
    order = list(expected.values())
    assert all(later < earlier + 0.02 for earlier, later in itertools.pairwise(order))
    assert known_from(drawn_wide()).next[0].reading in ("separation", "plate_lift")


EIGHT = """hand_travel_mm,hand_force_n,separation_mm,direction
20,10.0,,pulling
27,67.4,,pulling
34,102.8,,pulling
41,97.7,,pulling
48,94.7,,pulling
full,,0.46,pulling
40,47.2,,letting back
30,50.6,,letting back
"""
"""Made up for the saw bench of the examples, which leaves most of its numbers out."""


def test_many_fine_readings_give_one_answer_whatever_the_seed() -> None:
    """Odds of seven seeds within 0.035 of one another, by their standard deviation.

    Independent samples would give 0.011; those of a chain hang together.
    """
    file = liftgeo.load(SAW_BENCH).with_readings(readings_of(EIGHT))
    odds = [liftgeo.known(file, seed=seed).frees for seed in range(1, 8)]
    assert np.std(odds) < 0.035
