"""A Python of its own that times one liftgeo: the one under test, or its older self.

Run as a script by `reference.Worker`: PYTHONPATH names the folder of the liftgeo to time. Each line
read is a task as JSON, each line written the seconds it took.
"""

from __future__ import annotations

import json
import os
import resource
import sys
import time
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent))

from scenarios import ANSWERS, CHANGES, SCENARIOS, read, whole_stroke

MARGIN = 0.6  # of the memory that is free

mechanism = cache(read)


@cache
def variants(name: str, count: int) -> Any:
    """Return the variants of a scenario, made once."""
    return SCENARIOS[name].over(count)


def many(scenario: str, count: int, **words: Any) -> object:
    """Work out three answers of many variants; `words` are those of this `liftgeo.batch`."""
    import liftgeo

    found = liftgeo.batch(mechanism(scenario), variants(scenario, count), **words)
    return [getattr(found, name) for name in ANSWERS]


def one(scenario: str) -> object:
    """Analyse one mechanism."""
    import liftgeo

    return liftgeo.stroke(mechanism(scenario))


def whole(scenario: str) -> object:
    """Analyse one mechanism and read all of it."""
    return whole_stroke(mechanism(scenario))


def compared(scenario: str) -> object:
    """Set twelve changes beside the file."""
    from liftgeo.studies.compare import compare

    return compare(mechanism(scenario), CHANGES)


def where() -> str:
    """Return the folder of the liftgeo that is timed."""
    import liftgeo

    return str(Path(liftgeo.__file__).resolve().parent.parent)


def ready(task: str, words: dict[str, Any]) -> None:
    """Make what the task works on, so that only the work itself is timed."""
    if "scenario" in words:
        mechanism(words["scenario"])
    if task == "many":
        variants(words["scenario"], words["count"])


def memory_allowed() -> int:
    """Return the most memory a measured process may take [byte], so that others keep theirs."""
    try:
        free = os.sysconf("SC_AVPHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
    except ValueError:  # a system that does not tell
        return resource.RLIM_INFINITY
    return int(MARGIN * free)


def keep_within(most: int) -> None:
    """Fail with MemoryError rather than take more memory [byte]."""
    resource.setrlimit(resource.RLIMIT_AS, (most, resource.getrlimit(resource.RLIMIT_AS)[1]))


TASKS: dict[str, Callable[..., object]] = {
    "many": many,
    "one": one,
    "whole": whole,
    "compared": compared,
}


def main() -> None:
    """Answer tasks until there are no more."""
    keep_within(memory_allowed())
    for line in sys.stdin:
        words = json.loads(line)
        task, times = words.pop("task"), words.pop("times", 1)
        ready(task, words)
        start = time.perf_counter()
        try:
            for _ in range(times):
                TASKS[task](**words)
        except MemoryError:
            print(json.dumps({"folder": where()}), flush=True)
            continue
        seconds = (time.perf_counter() - start) / times
        print(json.dumps({"seconds": seconds, "folder": where()}), flush=True)


if __name__ == "__main__":
    main()
