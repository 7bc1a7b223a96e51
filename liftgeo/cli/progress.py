"""A progress bar on stderr, for what takes long, on a terminal only."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

PATIENCE_S = 2.0
"""A progress bar appears once the work has taken so long, on a terminal only."""


@contextmanager
def progress(doing: str, what: str, most: int) -> Iterator[Callable[[int], None] | None]:
    """Give what counts into a bar on stderr; None where stderr is no terminal.

    Parameters
    ----------
    doing, what : str
        As the bar reads: "searching: 1,200 variants".
    most : int
        How many there are at the most.
    """
    if not sys.stderr.isatty():
        yield None
        return
    began, done, one_at_a_time = time.monotonic(), 0, threading.Lock()
    bar: Any = None

    def advance(count: int) -> None:
        nonlocal bar, done
        with one_at_a_time:
            done += count
            if bar is None and time.monotonic() - began > PATIENCE_S:
                bar = _bar(doing, what)
                bar.add_task(doing, total=most)
                bar.start()
            if bar is not None:
                bar.update(bar.task_ids[0], completed=min(done, most))

    try:
        yield advance
    finally:
        if bar is not None:
            bar.stop()


def _bar(doing: str, what: str) -> Any:
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn

    words = TextColumn(f"{doing}: {{task.completed:,.0f}} {what}", markup=False)
    return Progress(words, BarColumn(), console=Console(stderr=True), transient=True)
