"""Many variants block by block, on several threads."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from typing import TypeVar

import numpy as np

S = TypeVar("S")
T = TypeVar("T")

BLOCK, SMALL_BLOCK = 8192, 1024
"""Variants in one array call: at the most, and where few are shared by all threads or every stroke
is searched.

The calls of a block take Python as long as the sums of some 700 variants, and hold its one lock: a
tenth of the time at 8192, so that two threads seldom wait. A variant has some 4 kB in hand, ten
times that where it is searched. So a thread needs some 30 MB, less than is kept.
"""

KEPT_BYTES = 31 * 2**20
"""Twice this is kept. The allocator learns nothing from arrays of 32 MB or more."""


def blocks(count: int, threads: int, largest: int) -> list[slice]:
    """Return slices of one size (but the last), `largest` at the most, that cover all variants.

    All threads have equally many, so that none waits for another at the end, unless that would make
    them smaller than a small block.
    """
    rounds = -(-count // (threads * largest))
    number = max(1, min(rounds * threads, -(-count // SMALL_BLOCK)))
    size = -(-count // number)
    return [slice(start, min(start + size, count)) for start in range(0, count, max(size, 1))]


def each_block(work: Callable[[S], T], parts: Sequence[S], threads: int) -> list[T]:
    """Return what a function makes of every block, in their order, worked out on all threads."""
    keep_freed_memory()
    if threads == 1 or len(parts) == 1:
        return [work(part) for part in parts]
    with ThreadPoolExecutor(threads) as pool:
        return list(pool.map(work, parts))


@cache
def keep_freed_memory() -> None:
    """Let the allocator keep what one block frees for the next.

    The GNU C library hands freed memory back to the system, but for twice the size of the largest
    array freed so far, and the next block waits until the system has cleared each page of it anew:
    up to half of all time, and threads wait for one another. An array dropped before anything is
    written to it costs nothing, and from then on as much is kept. Elsewhere it changes nothing.
    Source: manual page mallopt(3), M_MMAP_THRESHOLD and M_TRIM_THRESHOLD.
    """
    np.empty(KEPT_BYTES, np.uint8)
