"""The cautions that come with what is asked for: those that every value of a range brings."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from liftgeo.errors import LiftgeoError
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.amounts import number_before
from liftgeo.outcome.analysis import result_at
from liftgeo.outcome.outcome import analysed
from liftgeo.outcome.results import Result
from liftgeo.studies.compare import worries_of
from liftgeo.studies.wants import SAME_ANGLE, Range, as_change

LOOKED_AT = 5
"""Values of each range, evenly from its lowest to its highest, that are looked at."""


def brought_along(
    mechanism: Mechanism, ranges: Sequence[Range], values: Mapping[str, float], base: Result
) -> frozenset[str]:
    """Return the keys of new cautions that every value of an input brings, stops left out.

    A new hole takes metal off wherever it is drilled: that is said beside an answer, and no other
    answer of the same question avoids it.

    Parameters
    ----------
    mechanism : Mechanism
        As it stands.
    ranges : sequence of Range
        What is varied.
    values : mapping of str to float
        The answer: one input at a time is varied from it, in the file's bare units.
    base : Result
        Of the mechanism as it stands.

    Notes
    -----
    Five values of each range are looked at; one that leaves the input as it is now, or that cannot
    be built, says nothing.
    """
    found: set[str] = set()
    for limits in ranges:
        here = [
            new
            for value in _looked_at(mechanism, limits)
            if (new := _new_cautions(mechanism, {**values, limits.key: value}, base)) is not None
        ]
        found |= frozenset.intersection(*here) if here else frozenset()
    return frozenset(found)


def _looked_at(mechanism: Mechanism, limits: Range) -> list[float]:
    """Return values of a range that differ from what the file has."""
    now = number_before(mechanism, "arm.radius" if limits.key == SAME_ANGLE else limits.key)
    spread = np.unique(limits.at(np.linspace(0.0, 1.0, LOOKED_AT)))
    return [v for v in map(float, spread) if now is None or not math.isclose(v, now, rel_tol=1e-6)]


def _new_cautions(
    mechanism: Mechanism, values: Mapping[str, float], base: Result
) -> frozenset[str] | None:
    """Return the cautions that values bring; None where they cannot be built."""
    try:
        with np.errstate(all="ignore"):
            made = mechanism.changed(as_change(mechanism, values))
            result = result_at(analysed(made), (), made, None)
    except LiftgeoError:
        return None
    stops = {w.key for w in result.warnings if w.severity == "stop"}
    return frozenset(worries_of(result, base)) - stops - {"slips"}
