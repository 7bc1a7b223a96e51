"""Blocks of many variants: how they are cut, and what is gathered from them."""

from __future__ import annotations

import numpy as np
import pytest
from clutches import mechanism

import liftgeo
from liftgeo.chain import stop
from liftgeo.outcome import batches, blockwise
from liftgeo.outcome.blockwise import BLOCK, SMALL_BLOCK, blocks, each_block

COUNTS = [0, 1, 1023, 1024, 1025, 5000, 8192, 8193, 100_000]


@pytest.mark.parametrize("threads", [1, 2, 3, 64])
@pytest.mark.parametrize("count", COUNTS)
def test_blocks_cover_all_once_and_are_as_many_for_each_thread(count, threads):
    cut = blocks(count, threads, BLOCK)
    covered = [k for part in cut for k in range(count)[part]]
    assert covered == list(range(count))
    sizes = [part.stop - part.start for part in cut]
    assert max(sizes, default=0) <= BLOCK
    if count >= 2 * threads * SMALL_BLOCK:
        assert len(cut) % threads == 0
        assert max(sizes) - min(sizes) <= len(cut)
    elif count:
        assert len(cut) <= -(-count // SMALL_BLOCK)


def test_blocks_keep_their_order_and_raise_what_one_raised():
    cut = blocks(20_000, 2, 2048)
    assert each_block(lambda part: part.start, cut, 2) == [part.start for part in cut]
    with pytest.raises(ZeroDivisionError):
        each_block(lambda part: 1 // part.start, cut, 2)


@pytest.mark.parametrize("threads", [1, 2])
def test_strokes_that_take_a_search_are_gathered_from_all_blocks(threads, monkeypatch):
    """One search for all of them, and the answers of a batch in one block."""
    over = {"arm.radius": np.linspace(5.0, 90.0, 90)}
    file = mechanism(lever={"hand_travel": 70.0})
    whole = liftgeo.batch(file, over, threads=1)
    searched = []

    def noted(parts, shape, of=stop._searched):
        searched.append(shape)
        return of(parts, shape)

    monkeypatch.setattr(stop, "_searched", noted)
    monkeypatch.setattr(batches, "BLOCK", 30)
    monkeypatch.setattr(blockwise, "SMALL_BLOCK", 30)
    cut = liftgeo.batch(file, over, threads=threads)
    assert 0 < sum(shape[0] for shape in searched) < 90
    assert len(searched) <= 1
    np.testing.assert_array_equal(cut.reason, whole.reason)
    for name, values in whole.known.items():
        np.testing.assert_allclose(cut.known[name], values, rtol=1e-12, atol=1e-12, err_msg=name)
