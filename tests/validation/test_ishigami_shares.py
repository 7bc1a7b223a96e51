"""Whose uncertainty decides: shares of a variance against the function everybody tries them on.

Source: the function of T. Ishigami and T. Homma (1990), f = sin x1 + a sin(x2)**2 + b x3**4 sin x1,
x uniform from -pi to pi, a = 7, b = 0.1, with its first-order and total indices as they stand in
the test files of open libraries, after A. Saltelli and others, Global Sensitivity Analysis: The
Primer, Wiley 2008 (the book itself was not read). The same values follow from the closed form.

Both kinds of share are estimates from samples, so they are held to one in a hundred, not to half
the last digit. A polynomial of degree 12 follows sin(x)**2; a clutch gets one of degree 3.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from cases import each_holds, printed
from numpy.typing import NDArray

from liftgeo.outcome.shares import additive, totals
from liftgeo.outcome.uncertain import shares_of

ISHIGAMI = "Ishigami and Homma's function, indices after Saltelli et al. (through libraries' tests)"
NAMES = ("x1", "x2", "x3")
SAMPLES, SEED, DEGREE = 100_000, 1, 12
BY_CHANCE = "An estimate from 100,000 samples: their chance is a few parts in a thousand."

Array = NDArray[np.float64]


def angles(name: str) -> Array:
    return np.pi * (2.0 * shares_of(name, SAMPLES, SEED) - 1.0)


def ishigami(x1: Array, x2: Array, x3: Array) -> Array:
    return np.asarray(np.sin(x1) + 7.0 * np.sin(x2) ** 2 + 0.1 * x3**4 * np.sin(x1))


@cache
def first_order() -> dict[str, float]:
    values = {name: angles(name) for name in NAMES}
    fitted = additive(values, ishigami(**values), DEGREE)
    return {name: fitted.share(name) for name in NAMES}


@cache
def total() -> dict[str, float]:
    values = {name: angles(name) for name in NAMES}
    again = {name: angles(f"{name} again") for name in NAMES}
    return totals(
        lambda name, new: ishigami(**values | {name: new}), values, again, ishigami(**values)
    )


FIRST = {"x1": "0.3139", "x2": "0.4424", "x3": "0.0000"}
TOTAL = {"x1": "0.5576", "x2": "0.4424", "x3": "0.2437"}


CASES = (
    *(
        printed(ISHIGAMI, "shares of the variance", f"first order, {name}", "", shown,
                lambda name=name: first_order()[name], tolerance=0.005, note=BY_CHANCE)
        for name, shown in FIRST.items()
    ),
    *(
        printed(ISHIGAMI, "shares of the variance", f"total, {name}", "", shown,
                lambda name=name: total()[name], tolerance=0.01, note=BY_CHANCE)
        for name, shown in TOTAL.items()
    ),
)  # fmt: skip


test_shares_of_the_function = each_holds(CASES)
