"""The clutches the timings are taken on, with every number given. INVENTED: nobody measured them.

The same text is read by the code under test, by its older self and by the fused kernel, so that
all three work on the same numbers.
"""

from __future__ import annotations

import dataclasses
import inspect
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

ANSWERS = ("clearance_per_face_mm", "peak_hand_force_n", "hand_force_n")
"""What is asked of every variant: clearance [mm], peak and full-lever hand force [N]."""

_LINKAGE = """
title = "Bench clutch (invented)"

[lever]
nipple_radius = 26.0
stop_distance = 42.0
rest_length = 44.0
hand_radius = 75.0
hand_travel = 46.0
hand_angle = 60.0
stiffness = 80.0
efficiency = 0.98

[cable]
free_play = 1.6
bend = 150.0
friction = 0.09
drag = 2.0
seating = 0.2
stiffness = 260.0

[arm]
radius = 38.0
stop_distance = 95.0
rest_length = 90.0
return_torque = 0.3
return_rate = 0.004
shaft_stiffness = 6.0
max_rotation = 40.0
efficiency = 0.97

[release]
kind = "ball-ramp"
pitch_radius = 16.0
ramp_angle = 14.0
far_ramp_angle = 14.0
friction_angle = 1.0
max_rotation = 25.0

[rod]
action = "pull"
end_float = 0.12
stiffness = 25000.0
finger_ratio = 1.0

[faces]
friction_plates = 1
outside_diameter = 118.0
inside_diameter = 84.0
friction = 0.30
cushion_travel = 0.25
cushion_load = 3400.0
basket_runout = 0.05
pressure_plate_runout = 0.05
plate_runout = 0.20
plain_plate_runout = 0.0
lift_tilt = 0.15

[engine]
torque = 58.0

[changes]
longer-arm.arm.radius = 41.0
shorter-arm.arm.radius = 35.0
better-cable.cable.friction = 0.05
stiffer-cable.cable.stiffness = 450.0
fewer-bends.cable.bend = 110.0
less-play.cable.free_play = 1.0
steeper-ramp.release.ramp_angle = 15.5
cleaner-balls.release.friction_angle = 0.5
less-float.rod.end_float = 0.08
stiffer-rod.rod.stiffness = 40000.0
longer-blade.lever.hand_radius = 80.0
truer-plate.faces.plate_runout = 0.12
"""

_DISC = """
[stack]
rim_depth = 30.5
friction_plate = 8.0
pressure_plate = 19.5

[spring]
kind = "coned-disc"
outside_diameter = 120.0
inside_diameter = 92.0
thickness = 1.7
cone_height = 3.4
youngs_modulus = 206000.0
poisson = 0.3
friction = 0.02
"""

_COILS = """
[spring]
kind = "coils"
count = 6
rate = 46.0
free_length = 42.0
installed_length = 30.0
solid_length = 25.0
friction = 0.0
"""

CHANGES = (
    "longer-arm",
    "shorter-arm",
    "better-cable",
    "stiffer-cable",
    "fewer-bends",
    "less-play",
    "steeper-ramp",
    "cleaner-balls",
    "less-float",
    "stiffer-rod",
    "longer-blade",
    "truer-plate",
)


@dataclass(frozen=True)
class Scenario:
    """A clutch and the keys that vary, each between two values."""

    text: str
    between: dict[str, tuple[float, float]]

    def over(self, count: int) -> dict[str, Array]:
        """Return that many variants, the same ones every time."""
        random = np.random.default_rng(20)
        return {key: random.uniform(*ends, count) for key, ends in self.between.items()}


_VARIED = {
    "arm.radius": (32.0, 42.0),
    "cable.free_play": (0.8, 2.4),
    "cable.friction": (0.05, 0.14),
    "release.ramp_angle": (12.0, 16.0),
    "rod.end_float": (0.05, 0.2),
    "faces.plate_runout": (0.05, 0.25),
}

SCENARIOS = {
    "coned disc": Scenario(_LINKAGE + _DISC, {**_VARIED, "spring.thickness": (1.62, 1.74)}),
    "coils": Scenario(_LINKAGE + _COILS, {**_VARIED, "spring.rate": (38.0, 48.0)}),
}


def read(name: str) -> Any:
    """Return the mechanism of a scenario."""
    import liftgeo

    # A checkout of before left out nothing but losses, and does not know the word.
    knows = "left_out" in inspect.signature(liftgeo.loads).parameters
    return liftgeo.loads(SCENARIOS[name].text, **({"left_out": "nothing"} if knows else {}))


def whole_stroke(mechanism: Any) -> list[object]:
    """Analyse one mechanism, and read every field of its result."""
    import liftgeo

    found = liftgeo.stroke(mechanism)
    return [getattr(found, field.name) for field in dataclasses.fields(found)]
