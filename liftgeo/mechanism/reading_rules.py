"""Rules about readings in columns: they must rise, by steps that can be told apart."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from liftgeo.errors import Reason
from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.rule import Rule, Text
from liftgeo.parts.values import Values

LEAST_STEP = 1e-5
"""Least step between two readings that can be told apart, as a share of the whole table."""


def rises(*names: str) -> Callable[[Inward], Values]:
    """Return a rule's test: columns of one length, each rising by steps that can be told apart."""

    def holds(keys: Inward) -> Values:
        columns = [np.asarray(keys[name], float) for name in names]
        counts = {column.shape[-1] for column in columns}
        good: Values = np.asarray(len(counts) == 1 and min(counts) >= 2)
        for column in columns:
            good = good & np.all(_steps(column) > LEAST_STEP, axis=-1)
        return good

    return holds


def _steps(column: Values) -> Values:
    """Return each step from reading to reading, as a share of the whole column."""
    whole = np.abs(column[..., -1:] - column[..., :1])
    return np.diff(column) / np.where(whole > 0, whole, 1.0)


def rises_text(first: str, second: str) -> Text:
    """Return what a rule says of two columns: of different length, or one that does not rise."""

    def text(keys: Inward) -> tuple[str, str]:
        a, b = len(keys[first]), len(keys[second])
        if a != b:
            return (
                f"{first} has {a} readings and {second} has {b}.",
                "Give one reading of each, side by side.",
            )
        for name in (first, second):
            column = np.asarray(keys[name], float)
            bad = np.flatnonzero(_steps(column) <= LEAST_STEP)
            if len(bad):
                k = int(bad[0])
                how = "hardly rises" if column[k + 1] > column[k] else "does not rise"
                return (
                    f"{name} {how}: {column[k + 1]:.9g} follows {column[k]:.9g} "
                    f"(readings {k + 1} and {k + 2}).",
                    "Sort the readings, and take out doubles; both columns must rise.",
                )
        return (f"{first} needs two readings at least.", "Add readings.")

    return text


def _falling_column(first: str, second: str) -> Callable[[Inward], str]:
    def key(keys: Inward) -> str:
        column = np.asarray(keys[first], float)
        return second if np.all(_steps(column) > LEAST_STEP) else first

    return key


def profile_rule(table: str, across: str, up: str) -> Rule:
    """Return the rule of a measured lever, arm or release unit: both columns rise."""
    first, second = f"{table}.{across}", f"{table}.{up}"
    reason = Reason.RELEASE_SHAPE if table == "release" else Reason.LEVER_TRIANGLE
    return Rule(
        reason,
        (first, second),
        rises(first, second),
        _falling_column(first, second),
        rises_text(first, second),
        (table, "profile"),
        forms=True,
    )
