"""The exact derivatives of the rigid chain are the slopes of the parts' own numbers.

Source: none printed; the derivatives by SymPy (rigid_chain.py) against central differences of the
parts' methods. All mechanisms are invented.
"""

from __future__ import annotations

import copy

import numpy as np
import pytest
from every_kind import DOCUMENTS, mechanism_of
from rigid_chain import rigid_derivatives

import liftgeo
from liftgeo.chain import Parts
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.parts.release_form import back_factor


def _rigid(parts: Parts, rod_force_n: float, friction: bool) -> tuple[float, float]:
    """Return lift and effort of a rigid chain by the parts' own methods, without SymPy."""
    lever, arm, unit, cable = parts.lever, parts.arm, parts.release, parts.cable
    angle = lever.hand_travel_mm / lever.hand_radius_mm
    held = lever.link.at(angle)
    pull = held.pull_mm - cable.slack_mm
    drawn = arm.link.at_pull(pull)
    turned = drawn.rotation_rad
    stands = unit.at(turned)
    lift = (stands.travel_mm - parts.rod.float_mm) / parts.rod.finger_ratio
    torque = rod_force_n * (stands.torque_arm_mm if friction else stands.slope_mm_per_rad)
    torque = torque + arm.return_torque_nmm + arm.return_rate_nmm_per_rad * turned
    tension = torque / drawn.moment_arm_mm
    if friction:
        tension = tension * back_factor(arm.efficiency, 1) * cable.gain(1) + cable.drag_n
        tension = tension * back_factor(lever.efficiency, 1)
    force = tension * held.moment_arm_mm / lever.hand_radius_mm
    return float(lift), float(force)


def _stiffened(name: str) -> Mechanism:
    """Return a mechanism without elastic parts, so that play at the hand is all slack."""
    document = copy.deepcopy(DOCUMENTS[name])
    for table, keys in (
        ("lever", ("stiffness",)),
        ("cable", ("stiffness", "wire", "housing", "bracket_stiffness")),
        ("arm", ("shaft_stiffness",)),
        ("bearing", ("axial_stiffness",)),
    ):
        for key in keys:
            document.get(table, {}).pop(key, None)
    for key in list(document["rod"]):
        if "stiffness" in key or key in ("length", "diameter"):
            del document["rod"][key]
    return from_document(document, name, "nothing")


# One for each kind of lever, arm, release unit and way of giving the play; a few without friction.
RIGID = [
    ("base-clutch", True),
    ("base-clutch", False),
    ("vineyard-crawler", True),
    ("quarry-hauler", True),
    ("timber-skidder", True),
    ("timber-skidder", False),
    ("market-carrier", True),
    ("beet-harvester", True),
    ("orchard-sprayer", True),
    ("road-roller", True),
    ("stone-crusher", True),
    ("ferry-winch", True),
    ("moor-plough", True),
    ("moor-plough", False),
    ("take-up at the hand", True),
    ("free play at the hand", True),
    ("moved pivot", True),
]


@pytest.mark.parametrize(("name", "friction"), RIGID)
def test_rigid_derivatives_are_the_slopes_of_the_rigid_chain(name: str, friction: bool) -> None:
    mechanism = _stiffened(name)
    force = 2000.0
    found = rigid_derivatives(mechanism, force, friction=friction)
    assert len(found) > 8
    compared = 0
    for key, slope in found.items():
        value = float(mechanism.keys.get(key, 0.0))
        step = 1e-5 * max(abs(value), 0.1)
        if not _bounded(mechanism, key, value - step):
            continue
        low, high = (
            np.array(_rigid(mechanism.parts({key: value + way * step}), force, friction))
            for way in (-1, 1)
        )
        expected = (high - low) / (2 * step)
        scale = np.abs(np.array(_rigid(mechanism.parts(), force, friction))) / max(abs(value), 1.0)
        ours = np.array([slope.lift_mm_per_unit, slope.effort_n_per_unit])
        assert ours == pytest.approx(expected, rel=2e-6, abs=float(2e-6 * scale.max())), key
        compared += 1
    assert compared > 6


def _bounded(mechanism: Mechanism, key: str, value: float) -> bool:
    return bool(mechanism.number(key).within(np.asarray(value)))


def test_rigid_derivatives_take_the_rod_force_of_full_lever() -> None:
    mechanism = mechanism_of("base-clutch")
    rod = liftgeo.stroke(mechanism).full_lever.rod_force_n
    assert rigid_derivatives(mechanism) == rigid_derivatives(mechanism, rod)


def test_rigid_derivatives_cover_what_lift_and_effort_hang_on() -> None:
    found = rigid_derivatives(mechanism_of("base-clutch"))
    for key in ("lever.nipple_radius", "arm.radius", "release.ramp_angle", "cable.free_play"):
        assert found[key].lift_mm_per_unit != 0.0
    assert found["rod.end_float"].lift_mm_per_unit == -1.0
    assert not [k for k in found if k.startswith(("spring", "stack", "faces", "engine"))]
