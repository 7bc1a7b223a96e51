"""Keys that follow from others: torque from power, lead from a turn, a spring from readings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from liftgeo.mechanism.laying import Flat
from liftgeo.parts.spring_line import SpringLine
from liftgeo.parts.values import Values
from liftgeo.quantities import Measured

Keys = Mapping[str, Any]

FOLLOWS = {
    "engine.torque": ("engine.power", "60 P/(2π n), from engine.power at engine.speed"),
    "release.lead": ("release.rise", "rise over part of a turn, from release.rise"),
    "arm.turned": ("arm.turned_by", "teeth times 360 deg over arm.splines"),
    "spring.rate": ("spring.loads", "straight line through spring.readings"),
    "spring.free_length": ("spring.loads", "straight line through spring.readings"),
}
"""Keys that follow from others: one that they follow from, and in words how."""

W_PER_KW, SECONDS_PER_MINUTE, FULL_TURN_DEG = 1000.0, 60.0, 360.0


def followed(keys: Keys) -> Keys:
    """Return flat keys with those that follow from others among them.

    Parameters
    ----------
    keys : mapping
        Flat keys in the file's bare units: numbers or arrays.

    Notes
    -----
    Torque M = 60 P/(2π n) of power P at n revolutions a minute; lead = rise · 360°/turn; turn on
    splines = teeth · 360°/splines; rate and free length of a coil spring by `SpringLine`. Laying
    keeps what follows and what it follows from from standing beside another value.
    """
    found: Flat = {}
    if "engine.power" in keys and "engine.speed" in keys:
        found["engine.torque"] = _torque_nm(keys["engine.power"], keys["engine.speed"])
    if "release.rise" in keys and "release.rise_over" in keys:
        found["release.lead"] = FULL_TURN_DEG * keys["release.rise"] / keys["release.rise_over"]
    if "arm.turned_by" in keys and "arm.splines" in keys:
        found["arm.turned"] = FULL_TURN_DEG * keys["arm.turned_by"] / keys["arm.splines"]
    line = spring_line(keys)
    if line is not None:
        found |= {"spring.rate": line.rate_n_per_mm, "spring.free_length": line.free_length_mm}
    elif "spring.loads" in keys and "spring.rate" not in keys:
        found |= dict.fromkeys(("spring.rate", "spring.free_length"), np.nan)  # a rule tells why
    return {**keys, **found} if found else keys


def _torque_nm(power_kw: Values, speed_rpm: Values) -> Values:
    return SECONDS_PER_MINUTE * W_PER_KW * power_kw / (2 * np.pi * speed_rpm)


def spring_line(keys: Keys) -> SpringLine | None:
    """Return the line through a coil spring's readings; None where there are none of one count."""
    loads, lengths = keys.get("spring.loads"), keys.get("spring.lengths")
    if loads is None or lengths is None or keys.get("spring.kind") != "coils":
        return None
    loads, lengths = np.asarray(loads, float), np.asarray(lengths, float)
    if loads.shape[-1] != lengths.shape[-1] or loads.shape[-1] < 2:
        return None
    return SpringLine(loads, lengths)


def with_misfit(keys: Flat) -> Flat:
    """Return keys whose exact spring loads carry the ± that their misfit shows.

    Two standard deviations of the loads about their line; a load that has a ± keeps it, and two
    readings show no misfit.
    """
    line = spring_line(keys)
    if line is None:
        return keys
    half = 2 * float(line.standard_misfit_n)
    if not np.isfinite(half) or half <= 1e-9 * float(np.max(np.abs(line.loads_n))):
        return keys
    loads = [x if isinstance(x, Measured) else Measured(x, half) for x in keys["spring.loads"]]
    return {**keys, "spring.loads": tuple(loads)}
