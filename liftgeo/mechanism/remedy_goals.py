"""What remedies bring numbers to: usual values of a running clutch, or a file's [remedies]."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from liftgeo.errors import Fault, QuantityError, nearest
from liftgeo.mechanism import key_facts
from liftgeo.mechanism.changes import change_faults
from liftgeo.mechanism.laying import Flat, flatten, kind_of
from liftgeo.mechanism.reading import value_text

COMMON = "common practice, no source"


@dataclass(frozen=True)
class Goal:
    """What a remedy brings a number to, and how finely it can be made.

    Attributes
    ----------
    value : float or None
        In the bare unit; None: a share of what the machine has, unless the file says.
    step : float
        What a workshop can make or set: only its multiples are proposed.
    """

    value: float | None
    step: float


GOALS: Mapping[str, Goal] = {
    "cable.free_play": Goal(1.0, 0.1),
    "cable.free_play_at_hand": Goal(4.0, 0.5),
    "cable.take_up_at_hand": Goal(6.0, 0.5),
    "cable.friction": Goal(0.06, 0.01),
    "cable.bend": Goal(90.0, 5.0),
    "cable.stiffness": Goal(400.0, 10.0),
    "cable.seating": Goal(0.0, 0.1),
    "cable.drag": Goal(1.0, 0.5),
    "arm.radius": Goal(None, 0.1),
    "arm.cable_angle": Goal(None, 0.5),
    "arm.return_torque": Goal(0.15, 0.05),
    "arm.shaft_stiffness": Goal(None, 0.5),
    "arm.max_rotation": Goal(None, 0.5),
    "lever.nipple_radius": Goal(None, 0.1),
    "lever.hand_radius": Goal(None, 1.0),
    "lever.stiffness": Goal(None, 1.0),
    "release.friction_angle": Goal(0.7, 0.1),
    "release.friction": Goal(0.09, 0.01),
    "release.efficiency": Goal(0.95, 0.01),
    "release.ramp_angle": Goal(None, 0.5),
    "release.lead": Goal(None, 0.5),
    "release.pinion_radius": Goal(None, 0.1),
    "release.crank_radius": Goal(None, 0.1),
    "release.eccentricity": Goal(None, 0.1),
    "release.max_rotation": Goal(None, 0.5),
    "rod.end_float": Goal(0.1, 0.05),
    "rod.adjuster_clearance": Goal(0.05, 0.05),
    "rod.shaft_float": Goal(0.05, 0.05),
    "rod.stiffness": Goal(None, 500.0),
    "bearing.axial_play": Goal(0.05, 0.01),
    "spring.rate": Goal(None, 0.5),
    "spring.installed_length": Goal(None, 0.1),
    "spring.installed_deflection": Goal(None, 0.1),
    "stack.friction_plate": Goal(None, 0.1),
    "stack.friction_plate_free": Goal(None, 0.1),
    "faces.friction": Goal(None, 0.01),
    "faces.cushion_travel": Goal(0.1, 0.05),
    "faces.basket_runout": Goal(0.03, 0.01),
    "faces.pressure_plate_runout": Goal(0.03, 0.01),
    "faces.plate_runout": Goal(0.08, 0.01),
    "faces.plain_plate_runout": Goal(0.05, 0.01),
    "faces.lift_tilt": Goal(0.08, 0.01),
}
"""Every number that a remedy moves. The values are common practice without a source."""


def read_goals(content: Any, base: Flat) -> tuple[dict[str, float], list[Fault]]:
    """Return a file's own targets of remedies, by dotted key in bare units, and the faults.

    Parameters
    ----------
    content : object
        What stands under [remedies].
    base : dict
        Flat keys of the file.
    """
    if not isinstance(content, Mapping):
        problem = "Not a table of targets."
        remedy = "Write [remedies] and below it, for example, cable.free_play = 1.5"
        return {}, [Fault("remedies", value_text(content), problem, remedy)]
    flat = flatten(content)
    faults = []
    for dotted in flat:
        if dotted not in GOALS:
            near = nearest(dotted, GOALS)
            hint = f"Did you mean {near}?" if near else f"Known: {', '.join(GOALS)}."
            problem = "No remedy brings this to a value."
            faults.append(Fault(f"remedies.{dotted}", value_text(flat[dotted]), problem, hint))
    known = {k: v for k, v in flat.items() if k in GOALS}
    faults += change_faults(base, known, "remedies.")
    found: dict[str, float] = {}
    for dotted, value in known.items():
        number = key_facts.number_of(dotted, kind_of(base, dotted.split(".")[0]))
        if number is not None and value != "":
            try:
                found[dotted] = float(number.check(value))
            except (QuantityError, ValueError):
                continue  # told of above
    return found, faults
