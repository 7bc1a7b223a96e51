"""The lift budget: where the lift of the bare geometry goes, line by line."""

from __future__ import annotations

import numpy as np

from liftgeo.chain.linkage import Parts
from liftgeo.chain.positions import Position
from liftgeo.parts.cable import PULLING
from liftgeo.parts.values import Values, rows_of

ITEMS = (
    "geometry",
    "free-play",
    "lever-flex",
    "cable-stretch",
    "shaft-wind-up",
    "end-float",
    "rod-flex",
    "stop",
    "cushion",
    "run-out-and-tilt",
)


def left_mm(parts: Parts, full: Position) -> list[Values]:
    """Return what is left of the lift at the plate after each item of `ITEMS` [mm].

    Parameters
    ----------
    parts, full : Parts, Position
        The mechanism and its full lever, whose loads are used in every line.

    Notes
    -----
    x_k = [y(theta(s(phi_k) - slack - stretch) - wind-up) - float - rod flex]/i, each loss switched
    on in this order; laws are continued past any stop and below rest. The last is the separation
    less what running clear needs, of the whole pack. Source: derived in docs/theory.md, "Budget".
    """
    lever, arm, rod = parts.lever, parts.arm, parts.rod
    first_arm = arm.link.at(0.0).moment_arm_mm
    first_slope = parts.release.at(0.0).slope_mm_per_rad
    grip = lever.hand_travel_mm / lever.hand_radius_mm
    flex = lever.compliance_mm_per_n * full.hand_force_n / lever.hand_radius_mm
    slack = parts.cable.slack_mm
    stretch = parts.cable.stretch_mm(full.tension_n, PULLING)
    wind_up = arm.shaft_compliance_rad_per_nmm * full.unit_torque_nmm
    squeezed = rod.compliance_mm_per_n * full.rod_force_n

    bent = grip - flex
    # Each row switches one more loss on: free play, blade, cable, shaft, float, rod.
    shape = np.shape(full.hand_force_n + grip + slack + stretch + wind_up + squeezed)

    def rows(*values: Values) -> Values:
        return rows_of(values, shape)

    angle = rows(grip, grip, bent, bent, bent, bent, bent)
    shorter = rows(0.0, slack, slack, slack + stretch, *[slack + stretch] * 3)
    twist = rows(0.0, 0.0, 0.0, 0.0, wind_up, wind_up, wind_up)
    less = rows(0.0, 0.0, 0.0, 0.0, 0.0, rod.float_mm, rod.float_mm + squeezed)
    pull = lever.link.at(angle).pull_mm - shorter
    turned = arm.link.at_pull(np.maximum(pull, 0.0)).rotation_rad
    turned = np.where(pull < 0, pull / first_arm, turned) - twist
    travel = parts.release.at(np.maximum(turned, 0.0)).travel_mm
    travel = np.where(turned < 0, first_slope * turned, travel)
    lift = (travel - less) / rod.finger_ratio
    separation = full.signed_lift_mm - parts.cushion_mm
    needed = parts.faces.needed_mm
    return [*lift, full.signed_lift_mm, separation, separation - needed]
