"""Speed as ratios of two timings taken in one run: reported, and held only to a wide limit.

Start-up is processor time of a child process, the least of several runs taken in turn, so that a
slow or busy machine changes both sides alike. The goals are what a change should be looked at for;
the limits are wide enough never to fail for the machine's sake.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import liftgeo

CHECKOUT = Path(__file__).resolve().parents[2]
TRACTOR = CHECKOUT / "geometries" / "hill-tractor.toml"
ROUNDS = 5

pytestmark = pytest.mark.benchmark


def child_seconds(*words: str) -> float:
    """Return the processor time one Python process takes [s]."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, *words],
        check=True,
        capture_output=True,
        cwd=CHECKOUT,
        env={**os.environ, "PYTHONPATH": str(CHECKOUT)},
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def least_seconds(*measures: Callable[[], float]) -> list[float]:
    """Return the least of several rounds of each measure, taken in turn [s]."""
    rounds = [[measure() for measure in measures] for _ in range(ROUNDS)]
    return [min(column) for column in zip(*rounds, strict=True)]


def clocked(work: Callable[[], object]) -> float:
    """Return the time some work takes in this process [s]."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


@pytest.mark.parametrize(
    ("name", "words", "imports", "goal", "limit"),
    [
        (
            "liftgeo stroke FILE",
            ("-m", "liftgeo", "stroke", str(TRACTOR)),
            "import numpy, typer, rich, pydantic; pydantic.BaseModel",
            1.8,
            4.0,
        ),
        ("liftgeo --help", ("-m", "liftgeo", "--help"), "import typer, rich", 2.0, 4.0),
    ],
    ids=["stroke", "help"],
)
def test_start_up_stays_near_that_of_its_libraries(
    name: str,
    words: tuple[str, ...],
    imports: str,
    goal: float,
    limit: float,
    capsys: pytest.CaptureFixture[str],
) -> None:
    ours, theirs = least_seconds(
        lambda: child_seconds(*words), lambda: child_seconds("-c", imports)
    )
    with capsys.disabled():
        print(f"\n{name}: {ours / theirs:.2f} times `{imports}` (goal {goal:g})")
    assert ours < limit * theirs


def test_many_mechanisms_at_once_are_cheaper_than_one_by_one(
    capsys: pytest.CaptureFixture[str],
) -> None:
    mechanism = liftgeo.load(TRACTOR)
    radius = np.linspace(30.0, 45.0, 20_000)
    liftgeo.stroke(mechanism)

    def many() -> object:
        found = liftgeo.batch(mechanism, {"arm.radius": radius})
        return found.peak_hand_force_n, found.clearance_per_face_mm

    one_s, many_s = least_seconds(
        lambda: clocked(lambda: liftgeo.stroke(mechanism)), lambda: clocked(many)
    )
    each_s = many_s / radius.size
    with capsys.disabled():
        print(
            f"\none analysis: {1e3 * one_s:.2f} ms (goal 2); one of {radius.size} at once: "
            f"{1e6 * each_s:.1f} µs, {one_s / each_s:.0f} times cheaper"
        )
    assert each_s < one_s / 5
