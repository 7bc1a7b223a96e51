"""The linkage as the chain sees it: lever, arm, rod, and all the parts of one mechanism or many."""

from __future__ import annotations

from dataclasses import dataclass, field, fields, is_dataclass, replace
from typing import Any, TypeVar

import numpy as np

from liftgeo.parts.cable import Cable
from liftgeo.parts.curve import Curve
from liftgeo.parts.faces import Faces
from liftgeo.parts.release_form import ReleaseUnit
from liftgeo.parts.spring import Spring
from liftgeo.parts.triangle import Link
from liftgeo.parts.values import Values

T = TypeVar("T")


@dataclass(frozen=True, eq=False, repr=False)
class Lever:
    """The hand lever: its link, where the hand pulls, how far, and how stiff it is."""

    link: Link
    hand_radius_mm: Values
    hand_travel_mm: Values
    compliance_mm_per_n: Values = 0.0
    efficiency: Values = 1.0


@dataclass(frozen=True, eq=False, repr=False)
class Arm:
    """The arm on the casing: its link, return spring, shaft wind-up and allowed rotation."""

    link: Link
    return_torque_nmm: Values = 0.0
    return_rate_nmm_per_rad: Values = 0.0
    shaft_compliance_rad_per_nmm: Values = 0.0
    max_rotation_rad: Values = np.inf
    efficiency: Values = 1.0


@dataclass(frozen=True, eq=False, repr=False)
class Rod:
    """The rod: floats added up, compliances added up at the rod, finger ratio."""

    float_mm: Values = 0.0
    compliance_mm_per_n: Values = 0.0
    finger_ratio: Values = 1.0


@dataclass(frozen=True, eq=False, repr=False)
class Parts:
    """One mechanism, or many: every number a float, or an array of one shape.

    `clamp_force_n` [N], `cushion_mm`, the cushion compression c0 [mm], and `rest_slope`, rod travel
    over cable pull, are those at rest.
    """

    lever: Lever
    cable: Cable
    arm: Arm
    release: ReleaseUnit
    release_max_rotation_rad: Values
    rod: Rod
    spring: Spring
    installed_deflection_mm: Values
    spring_friction: Values
    faces: Faces
    clamp_force_n: Values = field(init=False, repr=False)
    cushion_mm: Values = field(init=False, repr=False)
    rest_slope: Values = field(init=False, repr=False)

    def __post_init__(self) -> None:
        slope = self.release.at(0.0).slope_mm_per_rad / self.arm.link.at(0.0).moment_arm_mm
        object.__setattr__(self, "rest_slope", slope)
        clamp = self.spring.load_n(self.installed_deflection_mm)
        object.__setattr__(self, "clamp_force_n", clamp)
        object.__setattr__(self, "cushion_mm", self.faces.cushion_compliance * clamp)


def taken(data: T, index: Any, shape: tuple[int, ...]) -> T:
    """Return the same parts with every array of `shape` replaced by its elements at `index`.

    A measured curve that belongs to all of them stays as it is, however many there are.
    """
    if isinstance(data, Curve):
        return data.some(index)  # type: ignore[return-value]  # a Curve is what T stands for here
    if isinstance(data, np.ndarray):
        return data[index] if data.shape == shape else data
    if is_dataclass(data) and not isinstance(data, type):
        changed = {
            f.name: taken(getattr(data, f.name), index, shape)
            for f in fields(data)
            if f.init and (is_dataclass(getattr(data, f.name)) or _is_array(data, f.name))
        }
        return replace(data, **changed) if changed else data
    return data


def _is_array(data: Any, name: str) -> bool:
    return isinstance(getattr(data, name), np.ndarray)
