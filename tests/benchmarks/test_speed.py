"""Speed as ratios of two timings taken in one run: reported, and held only to a wide limit.

Start-up is processor time of a child process, so that a slow or busy machine changes both sides
alike. The goals are what a change should be looked at for; the limits are wide enough never to
fail for the machine's sake. `measure.py` measures the same with care, for docs/performance.md.
"""

from __future__ import annotations

import os
import platform
import resource
import sys
from contextlib import ExitStack

import numpy as np
import pytest
from children import BARE, TRACTOR, processor_seconds
from measure import Bench, Size, line, pace, single
from reference import CHECKOUT, reference
from scenarios import whole_stroke
from timing import clocked, in_turn

import liftgeo
from liftgeo.outcome.blockwise import BLOCK, KEPT_BYTES

ROUNDS = 3
SMALL = Size(rounds=ROUNDS, variants=3000, numbers=(1000,), largest=1000)

pytestmark = pytest.mark.benchmark


def cold(*words: str) -> float:
    """Return the processor time of a Python that finds this liftgeo [s]."""
    return processor_seconds([sys.executable, *words], {**os.environ, "PYTHONPATH": str(CHECKOUT)})


@pytest.mark.parametrize(
    ("name", "words", "imports", "goal", "limit"),
    [
        ("liftgeo stroke FILE", ("-m", "liftgeo", "stroke", str(TRACTOR)), BARE, 1.5, 6.0),
        ("liftgeo --help", ("-m", "liftgeo", "--help"), "import typer, rich", 2.0, 6.0),
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
    ours, theirs = in_turn(lambda: cold(*words), lambda: cold("-c", imports), rounds=ROUNDS)
    ratio = min(ours) / min(theirs)
    with capsys.disabled():
        print(f"\n{name}: {ratio:.2f} times `{imports}` (goal {goal:g})")
    assert ratio < limit


def test_many_mechanisms_at_once_are_cheaper_than_one_by_one(
    capsys: pytest.CaptureFixture[str],
) -> None:
    mechanism = liftgeo.load(TRACTOR)
    radius = np.linspace(30.0, 45.0, 10_000)

    def many() -> object:
        found = liftgeo.batch(mechanism, {"arm.radius": radius})
        return found.peak_hand_force_n, found.clearance_per_face_mm

    ones, manies = in_turn(
        lambda: clocked(lambda: whole_stroke(mechanism)), lambda: clocked(many), rounds=ROUNDS
    )
    one_s, each_s = min(ones), min(manies) / radius.size
    with capsys.disabled():
        print(
            f"\none analysis: {1e3 * one_s:.2f} ms; one of {radius.size} at once: "
            f"{1e6 * each_s:.1f} µs, {one_s / each_s:.0f} times cheaper"
        )
    assert each_s < one_s / 5


def test_one_block_works_in_the_memory_of_another(capsys: pytest.CaptureFixture[str]) -> None:
    """Pages that the system must clear and hand out anew for each variant of a second batch."""
    mechanism, count = liftgeo.load(TRACTOR), 16 * BLOCK
    over = {"arm.radius": np.linspace(30.0, 45.0, count)}

    def pages() -> int:
        before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
        liftgeo.batch(mechanism, over, threads=1)
        return resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before

    first, second = pages(), pages()
    with capsys.disabled():
        print(f"\npages for {count:,} variants: {first:,} at first, then {second:,}")
    keeps = platform.libc_ver()[0] == "glibc"  # the one whose allocator is known
    assert not keeps or second * resource.getpagesize() < 4 * KEPT_BYTES


def test_the_pace_is_within_sight_of_the_yardsticks(capsys: pytest.CaptureFixture[str]) -> None:
    with ExitStack() as stack:
        bench = Bench(SMALL, stack.enter_context(reference()), stack)
        paces, costs = pace(bench), single(bench)
    with capsys.disabled():
        print("\n" + "\n".join(line(finding) for finding in (*paces, *costs)))
    # A twentieth of the pace, or twenty times the time, is no busy machine but a fault. What has
    # no value had no history to be set beside.
    over_reference, over_kernel = (finding.value for finding in paces)
    assert over_kernel is not None
    assert over_kernel > 0.01
    assert over_reference is None or over_reference > 0.05
    assert all(finding.value is None or finding.value < 20 for finding in costs)
