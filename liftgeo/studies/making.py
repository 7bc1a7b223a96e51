"""What a workshop can make: tenths and half degrees, sizes in stock, and rounding to them."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from liftgeo.errors import RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.quantities import shown
from liftgeo.studies.search import Goal
from liftgeo.studies.variants import Variants, joined
from liftgeo.studies.wants import Range, number_of, quantity

Array = NDArray[np.float64]

STEPS = {"length": (0.1, 0.05, 0.01, 0.005, 0.001), "angle": (0.5, 0.1, 0.05, 0.01)}
"""Steps that can be made and measured, by dimension; the first that fits a range is taken."""

FIGURES = 3
"""Figures of what is not made to a size: a rate, a friction, a load."""

_FEWEST = 5
"""Steps that a range must hold; in a narrower one a finer step is taken."""

_MOST_TOGETHER, _MOST_SAMPLED = 4096, 64
"""Combinations of neighbours that are tried, at the most; and where each takes samples."""

_SEEN = 200
"""The best variants of the search whose nearest makeable values are tried too."""


def makeable_step(dimension: str, low: float, high: float) -> float:
    """Return the step that values of a range are made to.

    Parameters
    ----------
    dimension : str
        Name in `liftgeo.quantities`.
    low, high : float
        Ends of the range, in the bare unit.

    Notes
    -----
    0.1 mm and 0.5 deg, finer in a range that holds fewer than five such steps: common practice, no
    source. What is not made to a size is given to three figures.
    """
    for step in STEPS.get(dimension, ()):
        if (high - low) / step >= _FEWEST - 1e-9:
            return step
    size = max(abs(low), abs(high), 1e-300)
    return float(10.0 ** (np.floor(np.log10(size)) - FIGURES + 1))


def on_steps(mechanism: Mechanism, ranges: Sequence[Range]) -> list[Range]:
    """Return ranges of makeable values only; those that have steps or sizes stay as they are."""
    return [_on_steps(mechanism, each) for each in ranges]


def _on_steps(mechanism: Mechanism, wanted: Range) -> Range:
    if wanted.counted or wanted.low == wanted.high:
        return wanted
    step = makeable_step(number_of(mechanism, wanted.key).dimension, wanted.low, wanted.high)
    made = replace(wanted, step=step)
    return made if made.first <= made.last + 1e-9 * step else wanted


def rounded(variants: Variants, goal: Goal, place: Array) -> tuple[Variants, Array]:
    """Return variants of makeable values only, and the best of those about a place.

    Parameters
    ----------
    variants : Variants
        With what the search has seen.
    goal : Goal
    place : array of shape (inputs,)
        The best of any values.

    Notes
    -----
    All combinations of makeable neighbours of each input are tried, two below and two above while
    they are few; and the nearest makeable values of the best that the search has seen.
    """
    ranges = on_steps(variants.mechanism, variants.ranges)
    made = replace(variants, ranges=ranges)
    if ranges == list(variants.ranges):
        return variants, place
    values = [float(v[0]) for v in variants.inputs(place[None]).values()]
    near = [
        _neighbours(new, old, value)
        for new, old, value in zip(ranges, variants.ranges, values, strict=True)
    ]
    places = _combined(near, _MOST_TOGETHER if variants.chances is None else _MOST_SAMPLED)
    if variants.chances is None:
        seen = joined(variants.seen)
        best = seen.shares[np.argsort(goal.score(seen), kind="stable")[:_SEEN]]
        places = np.concatenate([places, best])
    table = made.evaluate(places)
    return made, table.shares[int(np.argmin(goal.score(table)))]


def _combined(near: Sequence[Sequence[float]], most: int) -> Array:
    """Return all combinations of neighbours, of fewer of each while they are too many."""
    count = max(len(each) for each in near)
    while count > 1 and np.prod([float(min(len(each), count)) for each in near]) > most:
        count -= 1
    return np.array(list(itertools.product(*(each[:count] for each in near))))


def _neighbours(made: Range, before: Range, value: float) -> list[float]:
    """Return places in a range of makeable values about a value, the nearest first."""
    if made == before:
        return [before.share(value)]
    below = np.floor(value / made.step)
    steps = (below + np.arange(-1, 3)) * made.step
    inside = sorted(
        {float(np.clip(s, made.first, made.last)) for s in steps}, key=lambda s: abs(s - value)
    )
    return [made.share(each) for each in inside]


# --- sizes in stock ---


def in_stock(
    mechanism: Mechanism, ranges: Sequence[Range], stock: Mapping[str, Sequence[str]]
) -> list[Range]:
    """Return ranges of which only sizes in stock are tried, where the stock names their key.

    Parameters
    ----------
    stock : mapping
        Sizes by dotted key, as texts; keys that are not varied may be among them.

    Raises
    ------
    RequestError
        A key that is not known, a size that is none, none of the varied keys in the stock, or no
        size of a key within its range.
    """
    sizes = {key: _sizes(mechanism, key, texts) for key, texts in stock.items()}
    if not sizes.keys() & {r.key for r in ranges}:
        keys = ", ".join(r.key for r in ranges)
        raise RequestError(f"--stock: no size of what is varied ({keys}) is in it.")
    return [_of_sizes(mechanism, r, sizes[r.key]) if r.key in sizes else r for r in ranges]


def _sizes(mechanism: Mechanism, key: str, texts: Iterable[str]) -> list[float]:
    dimension = number_of(mechanism, key).dimension
    return [quantity(text, dimension, f"--stock: {key}") for text in texts]


def _of_sizes(mechanism: Mechanism, wanted: Range, sizes: Sequence[float]) -> Range:
    inside = tuple(sorted({s for s in sizes if wanted.low <= s <= wanted.high}))
    if inside:
        return Range(wanted.key, inside[0], inside[-1], 0.0, inside)
    dimension = number_of(mechanism, wanted.key).dimension
    ends = f"{shown(wanted.low, dimension)} to {shown(wanted.high, dimension)}"
    raise RequestError(f"--stock: no size of {wanted.key} lies within {ends}. Widen the range.")


def stock_from(text: str) -> dict[str, list[str]]:
    """Return the sizes by key in the text of a stock file.

    Lines `KEY = SIZE, SIZE, ...`, or a table of comma-separated values with a key at the head of
    each column; blank cells, blank lines and what follows # are left out.

    Raises
    ------
    RequestError
        Neither, or a key without a size.
    """
    lines = [line.partition("#")[0].strip() for line in text.splitlines()]
    rows = [line for line in lines if line]
    found: dict[str, list[str]] = {}
    for key, sizes in _listed(rows) if rows and "=" in rows[0] else _columns(rows):
        found.setdefault(key, []).extend(sizes)
    empty = next((key for key, sizes in found.items() if not sizes), None)
    if empty is not None or not found:
        what = "holds no sizes" if empty is None else f"holds no size of {empty}"
        raise RequestError(
            f"--stock {what}. Write a line for each key, as in arm.radius = 30, 33, 36, or a CSV "
            "file with keys at the head of its columns."
        )
    return found


def _listed(rows: Sequence[str]) -> Iterator[tuple[str, list[str]]]:
    for row in rows:
        key, sign, sizes = row.partition("=")
        if not sign:
            raise RequestError(f"--stock: {row!r} is no line KEY = SIZE, SIZE, ...")
        yield key.strip(), [size.strip() for size in sizes.split(",") if size.strip()]


def _columns(rows: Sequence[str]) -> Iterator[tuple[str, list[str]]]:
    cells = [[cell.strip().strip('"') for cell in row.split(",")] for row in rows]
    for k, key in enumerate(cells[0] if cells else ()):
        if key:
            yield key, [row[k] for row in cells[1:] if k < len(row) and row[k]]
