"""The fit that readings go through, on published least-squares problems.

Sources: NIST Statistical Reference Datasets, nonlinear regression, Misra1a (lower difficulty;
certified values read in verbatim copies of the file), from both certified starts. JCGM 100 (GUM),
example H.3, calibration of a thermometer (read in the documentation of a measurement institute's
library, MSL, GTC).
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from cases import each_holds, printed

from liftgeo.studies.least_squares import Fit, least_squares

NIST = "NIST StRD, nonlinear regression, Misra1a (verbatim copies)"
GUM = "JCGM 100, Guide to the expression of uncertainty, example H.3 (through a library's pages)"

X = np.array([77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1,
              689.1, 760.0])  # fmt: skip
Y = np.array([10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40,
              75.47, 81.78])  # fmt: skip
STARTS = {"start 1": (500.0, 0.0001), "start 2": (250.0, 0.0005)}

T = np.array([21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010,
              26.511])  # fmt: skip
B = np.array([-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161,
              -0.160])  # fmt: skip


@cache
def misra(start: str) -> Fit:
    """Return the fit of b1 (1 - exp(-b2 x)) from one of the starts."""
    first = np.array(STARTS[start])
    return least_squares(
        lambda p: p[:, 0] * (1.0 - np.exp(-p[:, 1] * X[:, None])),
        Y,
        None,
        first,
        first,
        tolerance=1e-15,
    )


@cache
def thermometer() -> Fit:
    """Return the fit of the correction y1 + y2 (t - 20 degC)."""
    return least_squares(
        lambda p: p[:, 0] + p[:, 1] * (T[:, None] - 20.0),
        B,
        None,
        np.zeros(2),
        np.array([0.1, 0.01]),
        tolerance=1e-15,
    )


def at_30() -> tuple[float, float]:
    """Return the predicted correction at 30 degC and its standard uncertainty."""
    fit, row = thermometer(), np.array([1.0, 10.0])
    return float(row @ fit.values), float(np.sqrt(row @ fit.covariance @ row))


def correlation() -> float:
    covariance = thermometer().covariance
    return float(covariance[0, 1] / np.sqrt(covariance[0, 0] * covariance[1, 1]))


CASES = (
    *(
        case
        for name in STARTS
        for case in (
            printed(NIST, name, "b1", "", "238.94212918", lambda n=name: misra(n).values[0]),
            printed(NIST, name, "b2", "", "0.00055015643181", lambda n=name: misra(n).values[1]),
            printed(NIST, name, "deviation of b1", "", "2.7070075241",
                    lambda n=name: misra(n).deviations[0]),
            printed(NIST, name, "deviation of b2", "", "0.0000072668688436",
                    lambda n=name: misra(n).deviations[1]),
            printed(NIST, name, "residual sum of squares", "", "0.12455138894",
                    lambda n=name: misra(n).squares),
        )
    ),
    printed(GUM, "thermometer", "y1", "degC", "-0.1712", lambda: thermometer().values[0]),
    printed(GUM, "thermometer", "deviation of y1", "degC", "0.0029",
            lambda: thermometer().deviations[0]),
    printed(GUM, "thermometer", "y2", "", "0.00218", lambda: thermometer().values[1]),
    printed(GUM, "thermometer", "deviation of y2", "", "0.00067",
            lambda: thermometer().deviations[1]),
    printed(GUM, "thermometer", "correlation", "", "-0.93", correlation),
    printed(GUM, "thermometer", "sum of squares", "degC2", "0.000110096583",
            lambda: thermometer().squares),
    printed(GUM, "thermometer", "correction at 30 degC", "degC", "-0.1494", lambda: at_30()[0]),
    printed(GUM, "thermometer", "its deviation", "degC", "0.0041", lambda: at_30()[1]),
)  # fmt: skip

test_the_published_fits = each_holds(CASES)


def test_a_prior_counts_as_a_reading_of_each_number() -> None:
    """By hand: one number with a standard normal prior, read as 3 with a deviation of 1/2.

    The mean is 3 * 4 / (1 + 4) = 2.4, its variance 1 / (1 + 4).
    """
    fit = least_squares(
        lambda p: p.T, np.array([3.0]), np.array([0.5]), np.zeros(1), np.ones(1), prior=True
    )
    assert fit.values[0] == pytest.approx(2.4, abs=1e-9)
    assert fit.covariance[0, 0] == pytest.approx(0.2, abs=1e-9)
    assert fit.squares == pytest.approx(2.4**2 + (0.6 / 0.5) ** 2, abs=1e-9)
