"""Outside checks as data: what a source prints, what liftgeo finds, and how near that must be.

Every test file here that holds such checks has a tuple `CASES`. Its own tests go over it, the page
of checks (page.py) lists it, and test_checks_bite.py uses it to find code that nothing checks.

A printed value must be met to half its last printed digit. Anything looser says why.
"""

from __future__ import annotations

import importlib
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from pathlib import Path

import numpy as np
import pytest

HERE = Path(__file__).resolve().parent

Number = float | Callable[[], float]


@dataclass(frozen=True)
class Case:
    """One value from outside, and ours beside it.

    Attributes
    ----------
    source : str
        Author, title, edition and number; or how the value was worked out without the package.
    case, quantity, unit : str
        Example or table row, what is compared, and its unit ("" for a pure number).
    printed : float or callable
        The value from outside; callable where it is worked out only when asked for.
    tolerance : float
        Largest difference allowed, in the value's unit; times the value where `relative`.
    ours : callable
        Runs the package and returns its value.
    note : str
        What a reader should know; why, where the tolerance is looser than half a digit.
    read : bool or None
        True: the value was read at the source. False: it is from memory. None: nothing is
        printed anywhere, the value was worked out by another method.
    shown : str
        The value as the source prints it.
    digits : int or None
        Significant digits where the last zeros are none.
    relative : bool
        Whether the tolerance is a share of the value.
    """

    source: str
    case: str
    quantity: str
    unit: str
    printed: Number
    tolerance: float
    ours: Callable[[], float]
    note: str = ""
    read: bool | None = True
    shown: str = ""
    digits: int | None = None
    relative: bool = field(default=False, kw_only=True)

    @property
    def name(self) -> str:
        """Example and quantity: what a test is called."""
        return f"{self.case}, {self.quantity}"

    @property
    def standing(self) -> str:
        """How the value is known."""
        return {True: "read", False: "from memory", None: "worked out"}[self.read]

    def expected(self) -> float:
        """Return the value from outside; what takes time to work out is kept."""
        return _kept(self.printed) if callable(self.printed) else self.printed

    def allowed(self) -> float:
        """Return the largest difference allowed, in the value's unit."""
        return self.tolerance * abs(self.expected()) if self.relative else self.tolerance

    def difference(self) -> float:
        """Return ours minus theirs."""
        return float(self.ours()) - self.expected()

    def holds(self) -> bool:
        """Return whether ours is near enough; a value that is no number is not."""
        # Half a digit is seldom a binary fraction; its rounding is given away, no more.
        rounding = 4 * np.finfo(float).eps * abs(self.expected())
        return bool(abs(self.difference()) <= self.allowed() + rounding)

    def report(self) -> str:
        """Say in one line how the two compare."""
        return (
            f"{self.name}: theirs {self.expected():.12g}, ours {float(self.ours()):.12g} "
            f"{self.unit}, difference {self.difference():.3g}, allowed {self.allowed():.3g}"
        )


@cache
def _kept(work_out: Callable[[], float]) -> float:
    return float(work_out())


def half_digit(shown: str, digits: int | None = None) -> float:
    """Return half the last printed digit of a number as it stands in print.

    Parameters
    ----------
    shown : str
        "16.23", "5 000", "6.61e-6".
    digits : int or None
        Number of significant digits where the last zeros are none (1250 to three digits: 5).
    """
    number = Decimal(shown.replace(" ", "").replace("−", "-"))
    last = int(number.as_tuple().exponent)
    if digits is not None:
        last = max(last, number.adjusted() - digits + 1)
    return float(Decimal(5).scaleb(last - 1))


def printed(
    source: str,
    case: str,
    quantity: str,
    unit: str,
    shown: str,
    ours: Callable[[], float],
    *,
    digits: int | None = None,
    tolerance: float | None = None,
    note: str = "",
    read: bool = True,
) -> Case:
    """Return a check against a printed value, to half its last digit unless the note says why."""
    value = float(shown.replace(" ", "").replace("−", "-"))
    allowed = half_digit(shown, digits) if tolerance is None else tolerance
    return Case(source, case, quantity, unit, value, allowed, ours, note, read, shown, digits)


def worked_out(
    source: str,
    case: str,
    quantity: str,
    unit: str,
    expected: Number,
    ours: Callable[[], float],
    *,
    close: float = 1e-9,
    note: str = "",
) -> Case:
    """Return a check against another method, to a share `close` of the value."""
    return Case(source, case, quantity, unit, expected, close, ours, note, None, relative=True)


def each_holds(cases: tuple[Case, ...]) -> Callable[[Case], None]:
    """Return the test that goes over some cases; the file gives it its name."""

    @pytest.mark.parametrize("case", cases, ids=[case.name for case in cases])
    def holds(case: Case) -> None:
        assert case.holds(), case.report()

    return holds


@cache
def all_cases() -> tuple[Case, ...]:
    """Return the cases of every test file in this folder, file by file."""
    sys.path.extend(str(p) for p in (HERE, HERE.parent) if str(p) not in sys.path)
    found: list[Case] = []
    for path in sorted(HERE.glob("test_*.py")):
        if "\nCASES = (" in path.read_text(encoding="utf-8"):
            found.extend(importlib.import_module(path.stem).CASES)
    return tuple(found)
