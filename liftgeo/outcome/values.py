"""What an outcome comes to, by name: one table behind results, batches and studies.

A group is a block of a result; its names are the JSON's. In a batch each name stands alone, so the
peak's begin with "peak_", and `clamp_force_n` is the one at rest.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeAlias

import numpy as np

from liftgeo.mechanism.convert import NMM_PER_NM
from liftgeo.outcome.outcome import EVENTS, Outcome
from liftgeo.parts.values import Index, Values

Quantity: TypeAlias = Callable[[Outcome], Values]
Group: TypeAlias = Mapping[str, Quantity]

FULL_LEVER: Group = {
    "hand_travel_mm": lambda o: o.full.hand_travel_mm,
    "lever_angle_deg": lambda o: np.degrees(o.full.lever_angle_rad),
    "cable_pull_mm": lambda o: o.full.cable_pull_mm,
    "arm_rotation_deg": lambda o: np.degrees(o.full.arm_rotation_rad),
    "rod_travel_mm": lambda o: o.full.rod_travel_mm,
    "plate_lift_mm": lambda o: o.full.lift_mm,
    "separation_mm": lambda o: np.maximum(o.separation_signed_mm, 0.0),
    "needed_mm": lambda o: o.parts.faces.needed_mm,
    "clearance_per_face_mm": lambda o: o.clearance_per_face_mm,
    "hand_force_n": lambda o: o.full.hand_force_n,
    "return_hand_force_n": lambda o: o.back.hand_force_n,
    "cable_tension_n": lambda o: o.full.tension_n,
    "rod_force_n": lambda o: o.full.rod_force_n,
    "clamp_force_n": lambda o: o.full.clamp_force_n,
    "cable_to_arm_angle_deg": lambda o: np.degrees(
        o.parts.arm.link.cable_angle_rad(o.full.arm_rotation_rad)
    ),
    "spring_to_stop_mm": lambda o: o.parts.spring.known_end_mm - o.full.deflection_mm,
}
PEAK: Group = {
    "hand_force_n": lambda o: o.end.peak_n,
    "hand_travel_mm": lambda o: o.peak.hand_travel_mm,
}
EFFORT: Group = {
    "work_j": lambda o: o.work_nmm / NMM_PER_NM,
    "floor_n": lambda o: o.floor_n,
    "peak_over_floor": lambda o: np.where(o.floor_n > 0, o.end.peak_n / o.floor_n, np.nan),
}
CAPACITY: Group = {
    "clamp_force_n": lambda o: o.parts.clamp_force_n,
    "torque_nm": lambda o: o.capacity_nmm / NMM_PER_NM,
    "slip_margin": lambda o: o.slip_margin,
    "facing_pressure_mpa": lambda o: o.parts.faces.mean_pressure_mpa(o.parts.clamp_force_n),
    "drag_torque_nm": lambda o: o.clutch_end.drag_torque_nmm / NMM_PER_NM,
    "drag_torque_low_nm": lambda o: o.clutch_end.drag_torque_low_nmm / NMM_PER_NM,
    "oil_drag_nm": lambda o: o.clutch_end.oil_drag_nmm / NMM_PER_NM,
    "clamp_force_low_n": lambda o: o.parts.clamp_force_n * o.clutch_end.least_load_ratio,
    "clamp_force_high_n": lambda o: o.parts.clamp_force_n * o.clutch_end.load_tolerance[1],
    "slip_margin_low": lambda o: o.clutch_end.slip_margin_low,
}
BEARING: Group = {
    "axial_load_n": lambda o: o.clutch_end.greatest_rod_force_n,
    "static_safety": lambda o: o.bearing_safety,
    "life_h": lambda o: o.bearing_life_h,
    "thrust_ratio": lambda o: o.clutch_end.thrust_ratio,
}
SPRING: Group = {
    "past_peak_mm": lambda o: o.clutch_end.past_peak_mm,
    "rate_n_per_mm": lambda o: o.clutch_end.rate_n_per_mm,
    "formula_bias_ratio": lambda o: o.clutch_end.formula_bias_ratio,
    "reference_stress_mpa": lambda o: o.clutch_end.reference_stress_mpa,
}
HAND: Group = {
    "take_up_mm": lambda o: o.clutch_end.take_up_mm,
    "wear_to_riding_mm": lambda o: o.clutch_end.wear_to_riding_mm,
    "tip_force_n": lambda o: o.clutch_end.tip_force_n,
    "self_return_n": lambda o: o.clutch_end.self_return_n,
}
STRENGTH: Group = {
    "cable_tension_450_n": lambda o: o.clutch_end.panic_tension_n,
    "greatest_cable_tension_n": lambda o: o.clutch_end.greatest_tension_n,
    "cable_breaking_load_n": lambda o: o.clutch_end.breaking_load_n,
    "greatest_rod_force_n": lambda o: o.clutch_end.greatest_rod_force_n,
    "rod_buckling_load_n": lambda o: o.clutch_end.rod_buckling_load_n,
    "ball_pressure_mpa": lambda o: o.clutch_end.ball_pressure_mpa,
}
EVENTS_MET: Group = {
    "travel_left_mm": lambda o: (
        o.full.hand_travel_mm - o.events.hand_travel_mm[EVENTS.index("running-clear")]
    ),
    "separation_signed_mm": lambda o: o.separation_signed_mm,
}

GROUPS: Mapping[str, Group] = {
    "full_lever": {n: q for n, q in FULL_LEVER.items() if n != "clamp_force_n"},
    "peak": {f"peak_{n}": q for n, q in PEAK.items()},
    "effort": EFFORT,
    "capacity": CAPACITY,
    "bearing": BEARING,
    "spring": SPRING,
    "hand": HAND,
    "strength": STRENGTH,
    "events": EVENTS_MET,
    "codes": {"verdict_code": lambda o: o.verdict, "limit_code": lambda o: o.end.limit},
}
"""What a batch can be asked for, by group; every name stands in one group only."""

HOME: Mapping[str, str] = {name: group for group, names in GROUPS.items() for name in names}
"""The group of each name."""


def picked(group: Group, outcome: Outcome, index: Index) -> dict[str, float]:
    """Return the numbers of a group for one element of an outcome."""
    if not outcome.shape:
        return {name: float(of(outcome)) for name, of in group.items()}
    whole = outcome.groups.get(id(group))
    if whole is None:
        whole = outcome.groups[id(group)] = {name: of(outcome) for name, of in group.items()}
    return {name: outcome.picked(value, index) for name, value in whole.items()}
