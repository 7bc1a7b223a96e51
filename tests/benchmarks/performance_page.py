"""The page of timings, in Markdown, from one run of measure.py."""

from __future__ import annotations

import sys
from pathlib import Path

from measure import FULL, Cost, Finding, Measured, measured

EXAMPLE = Path(__file__).with_name("over_an_engine.py")

HEAD = """\
# How fast it is

Generated on {day} with {versions}.

Written by `python docs/build.py --performance`, by hand: it takes some minutes, and what it finds
depends on the machine. `docs/build.py --check` looks only whether the page is there and says when
and with what it was made.

Machine: {cores} cores, {processor}.
When the run began {load:.1f} processes wanted a core (mean of a minute): where that is more than a
few tenths, others were at work, and threads find no core.

## Ratios

Everything is a ratio of two timings taken in turn in one run, the median of several rounds; above
and below the line stand the same clutches, variants and answers. Seconds would say more of the
machine than of the code.

| what | found | goal | note |
|---|---|---|---|
"""

YARDSTICKS = """\
## The yardsticks

- **The reference** is this package as it stood at commit {commit}, taken from the history and run
  in a process of its own. Where the history is not there, nothing is set beside it.
- **The fused kernel** (`tests/benchmarks/fused_kernel.py`) is the same chain written as one loop
  and compiled: the full lever by a bracketed search, then 101 positions, nothing kept but three
  answers. It knows pin levers, ball ramps, coned discs and coils only, gives no reasons and no
  answer where the plates jump. A test holds its answers to those of `liftgeo.batch`.
- **Plain NumPy on blocks** is a fixed chain of roots and angles on blocks that fit the processor's
  store: what two threads gain where nothing else is done.
- **The bare libraries** of `liftgeo stroke` are what its table imports, in a Python of their own.
- **An editable checkout** is reached by a line in a `.pth` file, as such an install does it, and
  keeps its byte code; installed means copied by pip into a folder.
- **Peak memory** is the most a process ever holds, less that of one that only imports. The
  variants' own numbers and the answers are in it.
"""

ENGINE = """\
## Over an engine you already have

One call of `liftgeo.batch` uses one machine. Variants know nothing of each other, so any engine
that maps a function over blocks will do for more: give each worker a mechanism and a block, and
set the answers one after the other. With Dask, on this machine (a client of a larger cluster takes
the place of `LocalCluster`):

```py
{example}```

A test holds its answers to those of one call, to the last digit.
"""


def page() -> str:
    """Measure everything and return the page."""
    return page_of(measured(FULL, lambda line: print(line, file=sys.stderr)))


def page_of(found: Measured) -> str:
    """Return the page of one run."""
    from reference import COMMIT

    versions = ", ".join(f"{name} {number}" for name, number in found.versions.items())
    head = HEAD.format(
        day=found.day,
        versions=versions,
        cores=found.cores,
        processor=found.processor,
        load=found.load,
    )
    return "\n".join(
        [
            head + "\n".join(_row(finding) for finding in found.findings) + "\n",
            _costs(found),
            YARDSTICKS.format(commit=COMMIT),
            ENGINE.format(example=EXAMPLE.read_text(encoding="utf-8")),
        ]
    )


def _row(finding: Finding) -> str:
    return f"| {finding.name} | {finding.text} | {finding.goal} | {finding.note} |"


def _costs(found: Measured) -> str:
    return "\n".join(
        [
            "## What many variants cost\n",
            f"Clearance, full lever and peak, on {found.cores_used} of the cores; seconds of the "
            "machine named above.\n",
            "| variants | time, s | of one variant, µs |",
            "|---|---|---|",
            *(_cost(cost) for cost in found.costs),
            "",
            f"At the pace of the last line 10⁹ variants take {found.core_hours:.1f} core-hours: "
            f"time on the machine named above times the cores used. No such number was run.\n",
        ]
    )


def _cost(cost: Cost) -> str:
    return f"| {cost.count:,} | {cost.seconds:.3g} | {cost.each_us:.3g} |"
