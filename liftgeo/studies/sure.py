"""How sure each row of a study is: the shares of clutches that free and that hold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.usual import Taken
from liftgeo.outcome.drawing import SAMPLES, SEED, draw


@dataclass(frozen=True)
class Sure:
    """How sure the answer of one mechanism is.

    Attributes
    ----------
    frees : float or None
        Share of samples with a net clearance of 0 or more; None where nothing is uncertain.
    holds : float or None
        Share with a slip margin of 1 or more; None without the engine's torque too.
    taken : tuple of Taken
        What was left out, and is taken at its usual value.
    """

    frees: float | None
    holds: float | None
    taken: tuple[Taken, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data, the shape of the JSON."""
        return {
            "frees": self.frees,
            "holds": self.holds,
            "taken": [taken_data(item) for item in self.taken],
        }


def taken_data(item: Taken) -> Mapping[str, Any]:
    """Return a number that was left out as plain data."""
    return {name: value for name, value in asdict(item).items() if name != "log"}


def how_sure(mechanism: Mechanism, *, samples: int = SAMPLES, seed: int = SEED) -> Sure:
    """Return the shares of clutches that free and that hold, those of `liftgeo.known`.

    Parameters
    ----------
    mechanism : Mechanism
    samples, seed : int
        As of `liftgeo.known`. Each key has a stream of its own, so mechanisms that share their
        keys share their samples, and a difference between two is not the luck of the draw.
    """
    found = draw(mechanism, samples, seed)
    if found is None or not found.good.any():
        return Sure(None if found is None else 0.0, None, mechanism.taken)
    margin = found.of("slip_margin")
    holds = float(np.mean(margin >= 1.0)) if np.isfinite(margin).all() else None
    return Sure(float(np.mean(found.of("clearance_per_face_mm") >= 0)), holds, mechanism.taken)
