"""Rules of a coil spring given by its loads at some lengths: two columns, and a line that falls."""

from __future__ import annotations

import numpy as np

from liftgeo.errors import Reason
from liftgeo.mechanism.following import spring_line
from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.rule import Rule, fixed
from liftgeo.parts.values import Values

FEWEST = 2
SQUEEZE = (
    "Squeeze one spring to two lengths or more, and read the load at each: "
    '[["0 kgf", "2 1/8 in"], ["68 kgf", "1 3/4 in"]].'
)
LEAST_SQUEEZE = 1e-6
"""Least difference of the lengths, as a share of them, that a line can be laid through."""


def _side_by_side(keys: Inward) -> Values:
    loads, lengths = np.shape(keys["spring.loads"])[-1], np.shape(keys["spring.lengths"])[-1]
    return np.asarray(loads == lengths >= FEWEST)


def _count_text(keys: Inward) -> tuple[str, str]:
    loads, lengths = len(keys["spring.loads"]), len(keys["spring.lengths"])
    if loads != lengths:
        problem = f"spring.loads has {loads} readings and spring.lengths has {lengths}."
        return problem, "Give one length for each load, side by side."
    return "One reading tells no rate.", SQUEEZE


def _presses(keys: Inward) -> Values:
    line = spring_line(keys)
    if line is None:
        return np.asarray(True)  # told of otherwise
    lengths = line.lengths_mm
    apart = np.ptp(lengths, axis=-1) > LEAST_SQUEEZE * np.max(np.abs(lengths), axis=-1)
    return apart & (line.rate_n_per_mm > 0) & np.isfinite(line.free_length_mm)


def _line_text(keys: Inward) -> tuple[str, str]:
    line = spring_line(keys)
    assert line is not None
    if np.ptp(line.lengths_mm) <= LEAST_SQUEEZE * np.max(np.abs(line.lengths_mm)):
        problem = "All these readings are of one length, so they tell no rate."
    else:
        problem = "The load does not rise as the spring gets shorter."
    return problem, SQUEEZE


SPRING_READING_RULES: tuple[Rule, ...] = (
    Rule(
        Reason.SPRING_SHAPE,
        ("spring.loads", "spring.lengths"),
        _side_by_side,
        fixed("spring.readings"),
        _count_text,
        ("spring", "coils"),
        forms=True,
    ),
    Rule(
        Reason.SPRING_SHAPE,
        ("spring.loads", "spring.lengths"),
        _presses,
        fixed("spring.readings"),
        _line_text,
        ("spring", "coils"),
        forms=True,
    ),
)
