"""Warnings about numbers on the side that flatters: a slip there makes a clutch look sound.

Every limit is common practice without a source. A message names the key, its value, what is usual,
and the slip that leads to it.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from liftgeo.cautions.findings import Findings
from liftgeo.cautions.plausible_rules import beyond, odd_words, said
from liftgeo.cautions.rule import CAUTION, Case, Caution
from liftgeo.cautions.stroke_rules import COMMON
from liftgeo.mechanism.following import spring_line
from liftgeo.mechanism.key_facts import number
from liftgeo.parts.values import Values

LEAST_RATIO = 1.0
MOST_SLIP_MARGIN = 4.0
MOST_WET_FRICTION = 0.20
MOST_CUSHION_MM, MOST_RUNOUT_MM = 1.5, 1.0
MOST_SPRING_MISFIT = 0.05
MOST_FREE_PLAY_MM, MOST_FLOAT_MM = 8.0, 0.8

RUNOUTS = ("basket_runout", "pressure_plate_runout", "plate_runout", "plain_plate_runout")


def _runouts_beyond(outcome: Findings) -> Values:
    found: Values = np.asarray(False)
    for name in RUNOUTS:
        found = found | (number(outcome.keys, f"faces.{name}") > MOST_RUNOUT_MM)
    return found


def _runout_words(case: Case) -> str:
    keys = case.outcome.keys
    told = [
        said(case, f"faces.{name}")
        for name in RUNOUTS
        if case(number(keys, f"faces.{name}")) > MOST_RUNOUT_MM
    ]
    return (
        f"{', '.join(told)} looks wrong: 0.02 to 0.4 mm is usual. It is one dial gauge's high less "
        "low over one turn; 12 thou is 0.3 mm."
    )


def _spring_line_misfit(outcome: Findings) -> Values:
    """Greatest misfit of a coil spring's readings, as a share of their greatest load."""
    line = spring_line(outcome.keys)
    if line is None:
        return np.asarray(0.0)
    return np.max(np.abs(line.misfits_n), axis=-1) / np.max(line.loads_n, axis=-1)


def _spring_line_words(case: Case) -> str:
    share = case(_spring_line_misfit(case.outcome))
    return (
        f"spring.readings lie up to {100 * share:.0f} % of the greatest load off a straight line; "
        "up to 3 % is usual. Coils that touch each other, a spring that buckles or a slip of the "
        'pen bend it: read again, inside the lengths it works at, or give kind = "table".'
    )


def _dry_in_oil(outcome: Findings) -> Values:
    wet = np.asarray(outcome.clutch_end.wet)
    return wet & (number(outcome.keys, "faces.friction", np.nan) > MOST_WET_FRICTION)


def _oil_in_dry(outcome: Findings) -> Values:
    given = "faces.oil_viscosity" in outcome.keys
    return given & ~np.asarray(outcome.clutch_end.wet)


def _oil_words(case: Case) -> str:
    return (
        f"{said(case, 'faces.oil_viscosity')} is given, and the pack is taken as dry: no oil drag "
        'is worked out and a dry facing is judged. If it runs in oil, faces.running = "wet" says '
        "so, and friction is 0.08 to 0.14."
    )


def _margin_words(case: Case) -> str:
    margin = case(case.outcome.slip_margin)
    return (
        f"The clutch would hold {margin:.1f} times what the engine asks: 1.3 to 3 is usual. Check "
        f"{said(case, 'engine.torque')} and {said(case, 'engine.primary_ratio')} (engine over "
        f"clutch speed), {said(case, 'faces.friction')} and the number of friction plates and "
        "springs."
    )


def _odd(key: str, holds: Callable[[Findings], Values], says: Callable[[Case], str]) -> Caution:
    return Caution(key, CAUTION, COMMON, holds, says)


ODD_CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "odd-spring-readings",
        CAUTION,
        COMMON,
        lambda o: np.asarray(_spring_line_misfit(o) > MOST_SPRING_MISFIT),
        _spring_line_words,
    ),
    _odd(
        "odd-primary-ratio",
        beyond("engine.primary_ratio", LEAST_RATIO),
        odd_words(
            "engine.primary_ratio",
            "1 to 4",
            "It is engine speed over clutch speed: teeth of the clutch wheel over those of the "
            "engine's; upside down it makes the clutch look strong.",
        ),
    ),
    _odd("odd-slip-margin", lambda o: o.slip_margin > MOST_SLIP_MARGIN, _margin_words),
    _odd(
        "odd-wet-friction",
        _dry_in_oil,
        odd_words(
            "faces.friction",
            "0.08 to 0.14 in oil",
            "A dry facing's 0.25 to 0.35 does not hold in a pack that runs in oil.",
        ),
    ),
    _odd("oil-in-dry", _oil_in_dry, _oil_words),
    _odd(
        "odd-cushion",
        beyond("faces.cushion_travel", high=MOST_CUSHION_MM),
        odd_words(
            "faces.cushion_travel",
            "0 to 1 mm",
            "It is the plates free less the plates pressed, the whole pack, not a thickness.",
        ),
    ),
    _odd("odd-runout", _runouts_beyond, _runout_words),
    _odd(
        "odd-free-play",
        beyond("cable.free_play", high=MOST_FREE_PLAY_MM),
        odd_words(
            "cable.free_play",
            "1 to 5 mm",
            "It is the gap between casing and adjuster; play read at the blade is "
            "cable.free_play_at_hand.",
        ),
    ),
    _odd(
        "odd-end-float",
        beyond("rod.end_float", high=MOST_FLOAT_MM),
        odd_words(
            "rod.end_float",
            "0.05 to 0.4 mm",
            "It is the rod's own play, with nothing of the cable's in it.",
        ),
    ),
    _odd(
        "odd-finger-ratio",
        beyond("rod.finger_ratio", LEAST_RATIO),
        odd_words(
            "rod.finger_ratio",
            "1, or 3 to 6 with fingers",
            "It is rod travel over plate lift: tip to pin over pin to plate, not the other way.",
        ),
    ),
)
