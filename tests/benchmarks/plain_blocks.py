"""A fixed chain of NumPy functions on blocks: what two threads can gain where nothing else is done.

The chain is of the kind the analysis is made of (roots, angles, products) and keeps nothing but one
number a block.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import NDArray

BLOCK_SHAPE = (28, 1024)
"""Positions times variants, of the size of the arrays `liftgeo.batch` works on at a time."""

BLOCKS, REPEATS = 48, 4


def one_block(start: float) -> float:
    """Take one block through the chain."""
    turn: NDArray[np.float64] = np.linspace(0.1 + start, 0.6 + start, BLOCK_SHAPE[1])
    turn = turn + np.linspace(0.0, 0.3, BLOCK_SHAPE[0])[:, None]
    force = np.zeros(BLOCK_SHAPE)
    for _ in range(REPEATS):
        length = np.sqrt(1.9 - 1.7 * np.cos(turn))
        arm = np.maximum(0.85 * np.sin(turn) / length, 1e-9)
        angle = np.arccos(np.minimum(np.maximum(1.2 - length, -1.0), 1.0))
        force = np.where(angle > 0, force + (1.0 + 0.2 * turn) / arm, force)
        turn = turn + 1e-3 * angle
    return float(force.max())


def through_blocks(threads: int) -> list[float]:
    """Take all blocks through the chain on some threads."""
    starts = [1e-3 * k for k in range(BLOCKS)]
    with ThreadPoolExecutor(threads) as pool:
        return list(pool.map(one_block, starts))
