"""The yardsticks themselves: the older self, the timings, the memory, and the page they make."""

from __future__ import annotations

import re
from contextlib import ExitStack
from pathlib import Path

import children
import measure
import numpy as np
import pytest
from dask.distributed import Client, LocalCluster
from documentation import build
from measure import Cost, Finding, Measured, Size
from over_an_engine import answers, over_workers
from performance_page import EXAMPLE, page_of
from plain_blocks import BLOCKS, through_blocks
from reference import CHECKOUT, COMMIT, Worker, archived, reference
from scenarios import SCENARIOS, read
from timing import in_turn, median_ratio, slope

SMALL = Size(rounds=3, variants=3000, numbers=(1000, 10_000), largest=10_000)

pytestmark = pytest.mark.benchmark


# --- the older self ---


def test_without_its_history_the_reference_is_not_measured(tmp_path: Path) -> None:
    with reference(checkout=tmp_path) as folder, ExitStack() as stack:
        assert folder is None
        bench = measure.Bench(SMALL, folder, stack)
        findings = measure.single(bench)
    assert [finding.text for finding in findings] == ["not measured"] * 3
    assert all(COMMIT in finding.note for finding in findings)


def test_a_commit_that_is_not_there_is_no_failure() -> None:
    assert archived("0" * 40) is None


def test_the_reference_is_left_nowhere() -> None:
    with reference() as folder:
        assert folder is None or (folder / "liftgeo" / "__init__.py").is_file()
    assert folder is None or not folder.exists()


def test_a_timing_of_another_liftgeo_is_refused(tmp_path: Path) -> None:
    with Worker(tmp_path) as worker, pytest.raises(RuntimeError, match=r"ended early|, not "):
        worker.seconds("one", scenario="coils")


# --- timings ---


def test_timings_are_taken_in_turn_and_the_first_does_not_count() -> None:
    order: list[str] = []

    def timing(name: str) -> float:
        order.append(name)
        return float(len(order))

    found = in_turn(lambda: timing("a"), lambda: timing("b"), rounds=2)
    assert order == ["a", "b", "a", "b", "b", "a"]
    assert found == [[3.0, 6.0], [4.0, 5.0]]
    assert median_ratio([2.0, 9.0, 3.0], [1.0, 1.0, 1.0]) == 3.0


def test_the_slope_is_the_exponent() -> None:
    assert slope([(n, 3 * n**1.5) for n in (10, 100, 1000)]) == pytest.approx(1.5, rel=1e-12)


def test_plain_blocks_are_the_same_on_one_thread_and_on_two() -> None:
    alone = through_blocks(1)
    assert len(alone) == BLOCKS
    assert alone == through_blocks(2)


def test_a_process_that_holds_more_is_seen_to_hold_more() -> None:
    small = children.peak_memory_mb("import numpy; numpy.ones(10)")
    large = children.peak_memory_mb("import numpy; numpy.ones(10_000_000)")
    assert 70 < large - small < 120


def test_a_process_that_wants_more_than_it_may_is_not_measured(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(children, "_MANY", "raise MemoryError")
    found, note = children.added_memory_mb("coils", 10)
    assert found is None
    assert "wanted more" in note


def test_a_process_that_fails_is_not_taken_for_one_that_is_too_large() -> None:
    with pytest.raises(RuntimeError, match="ZeroDivisionError"):
        children.peak_memory_mb("1 / 0")


def test_a_process_keeps_within_its_memory() -> None:
    program = "import sys; sys.path.insert(0, sys.argv[1]); import worker, numpy\n"
    program += "worker.keep_within(2 * 10**9); numpy.ones(10**9)"
    with pytest.raises(MemoryError):
        children.peak_memory_mb(program)


def test_many_variants_are_seen_to_take_memory(capsys: pytest.CaptureFixture[str]) -> None:
    (finding,) = measure.memory(SMALL)
    with capsys.disabled():
        print(f"\n{measure.line(finding)}")
    assert finding.value is None or finding.value > 0.2  # MB: the variants and answers alone


# --- the page ---

FOUND = Measured(
    day="2026-01-31",
    cores=2,
    cores_used=2,
    load=0.1,
    processor="a processor",
    versions={"liftgeo": "0.1.0", "Python": "3.12.1", "numpy": "2.1.0"},
    findings=(
        Finding("one", 1.2345, "2 or less", note="as it was"),
        Finding("other", None, "any"),
        Finding("large", 1271.8, "any", "MB"),
    ),
    costs=(Cost(1000, 0.01), Cost(1_000_000, 3.6)),
)


def test_the_page_says_what_was_found_and_what_was_not() -> None:
    page = page_of(FOUND)
    assert "| one | 1.23 × | 2 or less | as it was |" in page
    assert "| other | not measured | any |  |" in page
    assert "| large | 1,272 MB | any |  |" in page
    assert "2 cores, a processor.\nWhen the run began 0.1 processes" in page
    assert "| 1,000,000 | 3.6 | 3.6 |" in page
    assert "10⁹ variants take 2.0 core-hours" in page  # 3.6 µs × 10^9 × 2 cores / 3600 s
    assert build.MADE.search(page)


def test_the_page_in_docs_carries_the_example_that_is_tested() -> None:
    page = (CHECKOUT / "docs" / "performance.md").read_text(encoding="utf-8")
    (block,) = re.findall(r"^```py\n(.*?)^```$", page, re.MULTILINE | re.DOTALL)
    assert block == EXAMPLE.read_text(encoding="utf-8")


def test_variants_spread_over_workers_are_those_of_one_call() -> None:
    mechanism, over = read("coned disc"), SCENARIOS["coned disc"].over(2500)
    with (
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster) as client,
    ):
        spread = over_workers(client, mechanism, over, block=1000)
    whole = answers(mechanism, over)
    for there, here in zip(spread, whole, strict=True):
        assert here.shape == (2500,)
        assert np.isfinite(here).all()
        assert np.array_equal(there, here)
