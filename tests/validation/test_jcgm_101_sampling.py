"""Drawing from what is not known: examples of the guide to uncertainty by the sampling code.

Sources: JCGM 101, Supplement 1 to the guide (propagation of distributions by a Monte Carlo method),
examples 9.2 (additive model) and 9.3 (mass calibration), and JCGM 100, example H.1 (end gauge):
models, inputs and results all from memory. Each input is drawn as a number of a geometry file is:
± is two standard deviations, or a limit with `uniform`.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import numpy as np
from cases import each_holds, printed
from numpy.typing import NDArray

from liftgeo.measured import Measured
from liftgeo.mechanism.fields import Number
from liftgeo.outcome.uncertain import PLUS_MINUS_SD, Uncertain, drawn

Array = NDArray[np.float64]

JCGM_101 = "JCGM 101, Evaluation of measurement data, propagation of distributions by Monte Carlo"
H1 = "JCGM 100, Guide to the expression of uncertainty, example H.1, to second order"
TRIALS, SEED = 1_000_000, 1
QUANTILE = (
    "Four standard errors of a quantile from a million trials; the example prints a rounded "
    "result of as many."
)


def inputs(given: Mapping[str, Measured]) -> dict[str, Array]:
    """Return a million trials of each input, by its name."""
    each = [
        Uncertain(
            name,
            name,
            None,
            float(x),
            float(x) - x.half_width,
            float(x) + x.half_width,
            "uniform" if x.uniform else "normal",
            PLUS_MINUS_SD,
            Number("ratio"),
            False,
        )
        for name, x in given.items()
    ]
    return drawn(each, TRIALS, SEED)


def normal(mean: float, deviation: float) -> Measured:
    return Measured(mean, 2 * deviation)


def even(low: float, high: float) -> Measured:
    return Measured((low + high) / 2, (high - low) / 2, uniform=True)


@cache
def additive(kind: str) -> Array:
    """Return Y = X1 + X2 + X3 + X4 of example 9.2."""
    unit = normal(0.0, 1.0) if kind == "normal" else even(-(3**0.5), 3**0.5)
    last = even(-10 * 3**0.5, 10 * 3**0.5) if kind == "one wide" else unit
    return np.sum(list(inputs({"x1": unit, "x2": unit, "x3": unit, "x4": last}).values()), axis=0)


@cache
def mass() -> Array:
    """Return the deviation of a weight from 100 g [mg], example 9.3."""
    x = inputs(
        {
            "reference": normal(100_000.000, 0.050),
            "added": normal(1.234, 0.020),
            "air": even(1.10, 1.30),
            "weight": even(7000.0, 9000.0),
            "standard": even(7950.0, 8050.0),
        }
    )
    buoyancy = 1 + (x["air"] - 1.2) * (1 / x["weight"] - 1 / x["standard"])
    return (x["reference"] + x["added"]) * buoyancy - 100_000.0


@cache
def gauge() -> Array:
    """Return the length of the end gauge [nm], example H.1."""
    x = inputs(
        {
            "standard": normal(50_000_623, 25.0),
            "observed": normal(215.0, 5.8),
            "random": normal(0.0, 3.9),
            "systematic": normal(0.0, 6.7),
            "expansion": even(9.5e-6, 13.5e-6),
            "expansions apart": even(-1e-6, 1e-6),
            "off 20 degC": normal(-0.1, 0.41),
            "apart": even(-0.05, 0.05),
        }
    )
    warm = x["expansions apart"] * x["off 20 degC"] + x["expansion"] * x["apart"]
    found = x["standard"] * (1 - warm) + x["observed"] + x["random"] + x["systematic"]
    return np.asarray(found)


def upper(values: Array) -> float:
    """Return the upper end of the interval that holds 95 in 100, evenly about 0."""
    low, high = np.quantile(values, (0.025, 0.975))
    return float(high - low) / 2


def quantile(share: float) -> float:
    return float(np.quantile(mass(), share))


CASES = (
    printed(JCGM_101, "9.2.2, four normal inputs", "standard uncertainty", "", "2.0",
            lambda: float(np.std(additive("normal"))), read=False),
    printed(JCGM_101, "9.2.2, four normal inputs", "upper end of 95 in 100", "", "3.92",
            lambda: upper(additive("normal")), tolerance=0.02, note=QUANTILE, read=False),
    printed(JCGM_101, "9.2.3, four rectangular inputs", "upper end of 95 in 100", "", "3.88",
            lambda: upper(additive("even")), tolerance=0.02, note=QUANTILE, read=False),
    printed(JCGM_101, "9.2.4, one input ten times as wide", "upper end of 95 in 100", "", "17.0",
            lambda: upper(additive("one wide")), read=False),
    printed(JCGM_101, "9.3, weight of 100 g", "deviation", "mg", "1.234",
            lambda: float(np.mean(mass())), read=False),
    printed(JCGM_101, "9.3, weight of 100 g", "standard uncertainty", "mg", "0.075",
            lambda: float(np.std(mass())), read=False),
    printed(JCGM_101, "9.3, weight of 100 g", "lower end of 95 in 100", "mg", "1.084",
            lambda: quantile(0.025), tolerance=0.0008, note=QUANTILE, read=False),
    printed(JCGM_101, "9.3, weight of 100 g", "upper end of 95 in 100", "mg", "1.384",
            lambda: quantile(0.975), tolerance=0.0008, note=QUANTILE, read=False),
    printed(H1, "end gauge, drawn", "length", "nm", "50000838",
            lambda: float(np.mean(gauge())), read=False),
    printed(H1, "end gauge, drawn", "standard uncertainty", "nm", "34",
            lambda: float(np.std(gauge())), read=False),
)  # fmt: skip


test_what_is_drawn = each_holds(CASES)
