"""Measure how fast and how large liftgeo is, as ratios taken in one run.

    python tests/benchmarks/measure.py            print the table; some minutes
    python tests/benchmarks/measure.py --quick    few rounds and small numbers, for a first look
    python tests/benchmarks/measure.py --json     the same as JSON

What is set side by side is run in turn, several rounds over, and the median of the rounds counts: a
slow or busy machine changes both sides alike. What cannot be measured here says so.
"""

from __future__ import annotations

import json
import math
import os
import platform
import statistics
import sys
from collections.abc import Callable, Iterable
from contextlib import ExitStack
from dataclasses import asdict, dataclass, replace
from datetime import date
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import children
from fused_kernel import kernel
from plain_blocks import through_blocks
from reference import CHECKOUT, COMMIT, Worker, reference
from scenarios import ANSWERS, SCENARIOS, read
from timing import clocked, in_turn, median_ratio, slope

LIBRARIES = ("numpy", "pydantic", "typer", "rich", "numba", "dask")
NOT_MEASURED = "not measured"


@dataclass(frozen=True)
class Size:
    """How much is measured: rounds of each timing, variants at once, the numbers of the curve."""

    rounds: int
    variants: int
    numbers: tuple[int, ...]
    largest: int


FULL = Size(rounds=5, variants=100_000, numbers=(10**3, 10**4, 10**5, 10**6), largest=10**6)
QUICK = Size(rounds=3, variants=10_000, numbers=(10**3, 10**4, 10**5), largest=10**5)


@dataclass(frozen=True)
class Finding:
    """One line of the table: what was measured, its value, the goal, and what to know of it."""

    name: str
    value: float | None
    goal: str
    unit: str = "×"
    note: str = ""

    @property
    def text(self) -> str:
        """The value with its unit, in three figures."""
        if self.value is None:
            return NOT_MEASURED
        figures = f"{self.value:.3g}" if self.value < 100 else f"{self.value:,.0f}"
        return f"{figures} {self.unit}".strip()


@dataclass(frozen=True)
class Cost:
    """What a number of variants costs [s], and what one does [µs]."""

    count: int
    seconds: float

    @property
    def each_us(self) -> float:
        """Time of one variant [µs]."""
        return 1e6 * self.seconds / self.count


@dataclass(frozen=True)
class Measured:
    """Everything one run found."""

    day: str
    cores: int
    cores_used: int
    load: float
    processor: str
    versions: dict[str, str]
    findings: tuple[Finding, ...]
    costs: tuple[Cost, ...]

    @property
    def core_hours(self) -> float:
        """What 10^9 variants would take, at the pace of the largest number measured [h of a core].

        On all cores the batch uses, so that what threads cost one another is in it.
        """
        return self.costs[-1].each_us * 1e-6 * 1e9 * self.cores_used / 3600


def processor() -> str:
    """Return what the processor calls itself."""
    try:
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
    except OSError:
        lines = []
    names = [line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.processor() or platform.machine()


def versions() -> dict[str, str]:
    """Return the versions that were measured with."""
    import liftgeo

    found = {"liftgeo": liftgeo.__version__, "Python": platform.python_version()}
    for name in LIBRARIES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "none"
    return found


def cores() -> int:
    """Return how many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


class Bench:
    """The package under test, its older self if it is there, and how much to measure."""

    def __init__(self, size: Size, old: Path | None, stack: ExitStack) -> None:
        self.size = size
        self.ours = stack.enter_context(Worker(CHECKOUT))
        self.old = stack.enter_context(Worker(old)) if old is not None else None
        self.without = "" if old is not None else f"commit {COMMIT} is not in the history here"

    def many(self, scenario: str, threads: int) -> Callable[[], float]:
        """Return a timing of many variants."""
        words = {"scenario": scenario, "count": self.size.variants, "threads": threads}
        return lambda: self.ours.seconds("many", **words, answers=ANSWERS)

    def many_of_old(self, old: Worker, scenario: str) -> Callable[[], float]:
        """Return a timing of the reference, whose batch has no threads and no choice of answers."""
        return lambda: old.seconds("many", scenario=scenario, count=self.size.variants)

    def fused(self, scenario: str, threads: int) -> Callable[[], float]:
        """Return a timing of the fused kernel on the same variants."""
        keys = read(scenario).keys
        over = SCENARIOS[scenario].over(self.size.variants)
        return lambda: clocked(lambda: kernel(keys, over, threads=threads))

    def beside(self, worker: Worker | None, task: str, times: int, rounds: int) -> float | None:
        """Return our time over the reference's for one task, over both scenarios."""
        if worker is None:
            return None
        found = []
        for scenario in SCENARIOS:
            ours, theirs = in_turn(
                lambda s=scenario: self.ours.seconds(task, scenario=s, times=times),
                lambda s=scenario: worker.seconds(task, scenario=s, times=times),
                rounds=rounds,
            )
            found.append(median_ratio(ours, theirs))
        return statistics.geometric_mean(found)


def pace(bench: Bench) -> list[Finding]:
    """Set the variants a second beside the reference and the fused kernel, on two cores."""
    against_old, against_kernel, rates = [], [], []
    for scenario in SCENARIOS:
        works = [bench.many(scenario, 2), bench.fused(scenario, 2)]
        if bench.old is not None:
            works.append(bench.many_of_old(bench.old, scenario))
        ours, fused, *old = in_turn(*works, rounds=bench.size.rounds)
        against_kernel.append(median_ratio(fused, ours))
        against_old += [median_ratio(theirs, ours) for theirs in old]
        rates.append(bench.size.variants / statistics.median(ours))
    mean = statistics.geometric_mean
    note = f"{mean(rates):,.0f} a second; {bench.size.variants:,} variants, three answers"
    return [
        Finding(
            "variants a second on two cores, over the reference's",
            mean(against_old) if against_old else None,
            "4 or more",
            note=bench.without or note,
        ),
        Finding(
            "variants a second on two cores, over the fused kernel's",
            mean(against_kernel),
            "0.5 or more, 0.8 aimed at",
            note=note,
        ),
    ]


def threads(bench: Bench) -> list[Finding]:
    """Set two threads beside one: liftgeo, plain NumPy on blocks, and the fused kernel."""
    scenario, rounds = next(iter(SCENARIOS)), bench.size.rounds
    plain = in_turn(
        lambda: clocked(lambda: through_blocks(1)),
        lambda: clocked(lambda: through_blocks(2)),
        rounds=rounds,
    )
    fused = in_turn(bench.fused(scenario, 1), bench.fused(scenario, 2), rounds=rounds)
    works = [bench.many(scenario, count) for count in (1, 2)]
    gain, yardstick = median_ratio(*in_turn(*works, rounds=rounds)), median_ratio(*plain)
    # What the second thread adds, over what it adds to plain NumPy; none where it adds nothing.
    share = (gain - 1) / (yardstick - 1) if yardstick > 1.1 else None
    note = "" if share is not None else "the second core was busy: plain NumPy gained nothing"
    return [
        Finding("two threads over one, liftgeo", gain, "see below"),
        Finding("gain of the second thread, over plain NumPy's", share, "0.8 or more", note=note),
        Finding("two threads over one, plain NumPy on blocks", yardstick, "yardstick"),
        Finding("two threads over one, fused kernel", median_ratio(*fused), "yardstick"),
    ]


def single(bench: Bench) -> list[Finding]:
    """Set one stroke, and twelve changes side by side, beside the reference."""
    rounds = bench.size.rounds
    return [
        Finding(
            "one stroke in a running program, over the reference's",
            bench.beside(bench.old, "one", 20, rounds),
            "0.5 or less",
            note=bench.without,
        ),
        Finding(
            "the same with every field of the result read",
            bench.beside(bench.old, "whole", 20, rounds),
            "no slower",
            note=bench.without,
        ),
        Finding(
            "comparing twelve changes, over the reference's",
            bench.beside(bench.old, "compared", 4, rounds),
            "1 or less",
            note=bench.without,
        ),
    ]


def memory(size: Size) -> list[Finding]:
    """Return what many variants add to the memory of a process that only imports."""
    name = f"peak memory for {size.largest:,} variants, answers only, over the import's"
    found, note = children.added_memory_mb(next(iter(SCENARIOS)), size.largest)
    return [Finding(name, found, "400 MB or less", unit="MB", note=note)]


def start_up(size: Size) -> list[Finding]:
    """Set `liftgeo stroke FILE`, cold, beside the bare import of its libraries."""
    with ExitStack() as stack:
        ways = children.ways_to_run(stack)
        loaded = children.libraries_loaded()
        findings = []
        for name, command in ways.items():
            if command is None:
                value, note = None, "it could not be installed here"
            else:
                works = [command, children.bare_import]
                value = median_ratio(*in_turn(*works, rounds=size.rounds))
                note = f"processor time, over `{children.BARE}`; loads {', '.join(loaded)}"
            findings.append(
                Finding(f"liftgeo stroke FILE, cold, {name}", value, "1.5 or less", note=note)
            )
    return findings


def growth(bench: Bench) -> tuple[list[Cost], Finding]:
    """Return what more and more variants cost on all cores, and how the cost rises."""
    scenario, costs = next(iter(SCENARIOS)), []
    note = ""
    for count in bench.size.numbers:
        words = {"scenario": scenario, "count": count, "answers": ANSWERS}
        works = [lambda words=words: bench.ours.seconds("many", **words)]
        try:
            times = in_turn(*works, rounds=bench.size.rounds if count <= 10**5 else 3)
        except MemoryError:
            note = f"; {count:,} wanted more memory than there is"
            break
        costs.append(Cost(count, statistics.median(times[0])))
    points = [(cost.count, cost.seconds) for cost in costs]
    rise = slope(points) if len(points) > 1 else None
    note = f"exponent of time over N, from {costs[0].count:,} to {costs[-1].count:,}{note}"
    return costs, Finding("rise of time with the number of variants", rise, "1.0", "", note)


def measured(size: Size, tell: Callable[[str], None] = lambda _: None) -> Measured:
    """Measure everything, and tell each line as it is found."""
    findings: list[Finding] = []
    load = os.getloadavg()[0]

    def add(more: Iterable[Finding]) -> None:
        for finding in more:
            tell(line(finding))
            findings.append(finding)

    with ExitStack() as stack:
        bench = Bench(size, stack.enter_context(reference()), stack)
        for part in (pace, threads, single):
            add(part(bench))
        costs, rise = growth(bench)
        add([rise])
    add(memory(size))
    add(start_up(size))
    return Measured(
        day=date.today().isoformat(),
        cores=cores(),
        cores_used=cores(),
        load=load,
        processor=processor(),
        versions=versions(),
        findings=tuple(findings),
        costs=tuple(costs),
    )


def line(finding: Finding) -> str:
    """Return a finding as a line of text."""
    note = f"  [{finding.note}]" if finding.note else ""
    return f"{finding.name:62} {finding.text:>14}  (goal: {finding.goal}){note}"


def without_nan(found: Measured) -> Measured:
    """Return the same with None where a value is not a number, as JSON wants it."""
    fit = [
        replace(f, value=f.value if f.value is not None and math.isfinite(f.value) else None)
        for f in found.findings
    ]
    return replace(found, findings=tuple(fit))


def main(words: list[str]) -> int:
    """Measure and print."""
    if not set(words) <= {"--quick", "--json"}:
        print(__doc__)
        return 2
    as_json = "--json" in words
    found = measured(QUICK if "--quick" in words else FULL, (lambda _: None) if as_json else print)
    if as_json:
        print(json.dumps(asdict(without_nan(found)), indent=2, ensure_ascii=False))
    else:
        for cost in found.costs:
            print(f"{cost.count:>12,} variants: {cost.seconds:9.4f} s, {cost.each_us:7.2f} µs each")
        print(f"10^9 variants: {found.core_hours:.2f} core-hours")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
