"""Readings that could be taken on the bench, and how much each would settle."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from liftgeo.mechanism.bench import (
    ARM_HELD,
    AT_REST,
    CABLE_OFF,
    LETTING_BACK,
    QUANTITIES,
    Reading,
)
from liftgeo.outcome.drawing import Drawn
from liftgeo.outcome.predicted import predicted
from liftgeo.outcome.results import FullLeverResult
from liftgeo.outcome.shares import Dependent
from liftgeo.outcome.uncertain import PLUS_MINUS_SD, SURE

Array = NDArray[np.float64]


@dataclass(frozen=True)
class NextReading:
    """A reading that could be taken, and how sure the answer would be with it.

    Attributes
    ----------
    reading : str
        Its quantity, as in a readings file; at full lever also as in [bench].
    at : float or None
        Where: the hand's travel [mm], the arm's rotation with the cable off [deg], or the force at
        the hand with the arm held [N]; None for what is read at rest.
    place, direction, condition : str
        What `at` counts; "pulling" or "letting back"; "", "cable off" or "arm held".
    how : str
        With which tool.
    certainty : float
        E[max(P, 1 - P)] of `frees` once it is read.
    tells : tuple of str
        Numbers whose spread it would more than halve.
    """

    reading: str
    at: float | None
    place: str
    direction: str
    condition: str
    how: str
    certainty: float
    tells: tuple[str, ...] = ()


def practical(full: FullLeverResult) -> list[Reading]:
    """Return readings that can be taken with feeler, dial gauge, balance, rule and protractor.

    Parameters
    ----------
    full : FullLeverResult
        Of the mechanism, which says how far each goes.
    """
    half, turned = round(0.5 * full.hand_travel_mm), round(0.8 * full.arm_rotation_deg, 1)
    force = float(round(full.hand_force_n, -1))
    read = [
        _thought_of("separation"),
        _thought_of("plate_lift"),
        _thought_of("hand_force"),
        _thought_of("hand_force", at=half),
        _thought_of("hand_force", direction=LETTING_BACK),
        _thought_of("hand_force", at=half, direction=LETTING_BACK),
        _thought_of("plate_lift", at=half),
        _thought_of("rod_travel"),
        _thought_of("cable_pull"),
        _thought_of("arm_rotation"),
        _thought_of("take_up"),
        _thought_of("clamp_force"),
    ]
    if turned > 0:
        read.append(_thought_of("rod_travel", at=turned, place="arm_rotation", condition=CABLE_OFF))
    if force > 0:
        read.append(_thought_of("hand_travel", at=force, place="hand_force", condition=ARM_HELD))
    return read


def _thought_of(
    quantity: str,
    at: float | None = None,
    place: str = "hand_travel",
    direction: str = "pulling",
    condition: str = "",
) -> Reading:
    return Reading(quantity, 0.0, QUANTITIES[quantity].half_width, at, place, direction, condition)


def next_readings(
    found: Drawn, full: FullLeverResult, apart: Sequence[str] = (), most: int = 5
) -> tuple[NextReading, ...]:
    """Return the readings that would settle best whether it frees, the best first.

    Parameters
    ----------
    found : Drawn
        Mechanisms as all readings so far leave them.
    full : FullLeverResult
    apart : sequence of str
        Numbers to tell apart, where it is settled already whether it frees, or where readings
        contradict the file: then those readings come first that tell them best.
    most : int

    Notes
    -----
    Each sample is read as a tool would read it, and the chance that it frees is told from the
    regression of clearance on the reading, a number from its own. Source: docs/theory.md, "From
    the bench".
    """
    taken = {reading.same_as for reading in found.mechanism.readings}
    open_ones = [r for r in practical(full) if r.same_as not in taken]
    clearance, good = found.of("clearance_per_face_mm"), found.good
    values = found.batch.worked(predicted(open_ones), len(open_ones))[:, good]
    read: dict[str, Array] = {}
    for k, reading in enumerate(open_ones):
        if not np.isfinite(values[k]).all():
            continue
        true = np.maximum(values[k], 0.0) if reading.quantity == "separation" else values[k]
        own = np.random.default_rng([found.seed, zlib.crc32(reading.name.encode())])
        error = reading.half_width / PLUS_MINUS_SD * own.standard_normal(len(true))
        read[str(k)] = true + error
    sure = {key: Dependent(read, clearance).certainty([key]) for key in read}
    keys = apart or [each.key for each in found.inputs]
    tells: dict[str, dict[str, float]] = {key: {} for key in read}
    for name in keys:
        told = Dependent(read, found.values[name][good])
        for key in read:
            tells[key][name] = told.share(key)
    now = Dependent({}, clearance).certainty(())
    by_keys = bool(apart) and now >= SURE

    def worth(key: str) -> float:
        return sum(tells[key].values()) if by_keys else min(sure[key], SURE)

    # What settles it settles it: then what is easier to read comes first, as `practical` has them.
    order = sorted(read, key=lambda key: (-round(worth(key), 2), int(key)))[:most]
    return tuple(
        _next(
            open_ones[int(key)],
            full,
            sure[key],
            tuple(name for name, share in tells[key].items() if share > _TOLD),
        )
        for key in order
    )


_TOLD = 0.75  # of the variance: the spread is more than halved


def _next(
    reading: Reading, full: FullLeverResult, certainty: float, tells: tuple[str, ...]
) -> NextReading:
    at = reading.at
    if at is None and reading.quantity not in AT_REST:
        at = full.hand_travel_mm
    how = QUANTITIES[reading.quantity].how
    where = reading.place, reading.direction, reading.condition
    return NextReading(reading.quantity, at, *where, how, certainty, tells)
