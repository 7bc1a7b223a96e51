"""Sensitivities held to exact derivatives, to the second method, and to their own order.

Sources: for the rigid chain, exact derivatives by SymPy (rigid_chain.py writes the chain
in symbols and shares no line with the arrays); for the whole elastic chain, central differences of
the second method by root finding on points (point_equilibrium.py). Nothing here is printed
anywhere; all mechanisms are invented.
"""

from __future__ import annotations

import itertools
import math
from functools import cache
from typing import Any

import clutches
import point_equilibrium as by_points
import pytest
from rigid_chain import RigidDerivative, rigid_derivatives

import liftgeo
from liftgeo.mechanism import from_document
from liftgeo.studies.sensitivity import Sensitivity, sensitivity

PLATES, COILS, RATE = 2, 6, 60.0


@cache
def rigid() -> liftgeo.Mechanism:
    """Return an invented clutch without any give, drag, return spring or cushion.

    Its springs stiffen so much over the lift that the effort peaks at full lever.
    """
    return clutches.coils_mechanism(
        cable={"stiffness": None},
        arm={"return_torque": 0.0},
        rod={"stiffness": None},
        spring=clutches.COILS | {"count": COILS, "rate": RATE, "installed_length": 38.5},
        faces={"cushion_travel": None, "friction_plates": PLATES},
    )


def slopes(mechanism: liftgeo.Mechanism) -> dict[str, Sensitivity]:
    return {s.key: s for s in sensitivity(mechanism)}


@cache
def exact() -> dict[str, RigidDerivative]:
    return rigid_derivatives(rigid())


RIGID_KEYS = (
    "lever.nipple_radius",
    "lever.stop_distance",
    "lever.rest_length",
    "lever.hand_radius",
    "lever.hand_travel",
    "cable.free_play",
    "cable.bend",
    "cable.friction",
    "arm.radius",
    "arm.stop_distance",
    "arm.rest_length",
    "release.pitch_radius",
    "release.ramp_angle",
    "release.friction_angle",
    "rod.end_float",
)

# Central differences with a step of 1e-5 of the value are off by some 1e-10 of a slope, and
# rounding by as much again; where a slope is a small difference of large ones, by more.
CLOSE = 1e-7


@pytest.mark.parametrize("key", RIGID_KEYS)
def test_slopes_of_the_rigid_chain_are_the_exact_derivatives(key: str) -> None:
    mechanism = rigid()
    result = liftgeo.stroke(mechanism)
    full = result.full_lever
    assert result.peak.hand_travel_mm == pytest.approx(full.hand_travel_mm, rel=1e-12)
    found, lift = slopes(mechanism)[key], exact()[key].lift_mm_per_unit
    assert found.clearance_slope == pytest.approx(lift / (2 * PLATES), rel=CLOSE, abs=1e-9)
    # Without drag and return spring the effort is proportional to the rod force, which the springs
    # raise by their rate for every millimetre of lift.
    by_lift = full.hand_force_n / full.rod_force_n * COILS * RATE * lift
    total = exact()[key].effort_n_per_unit + by_lift
    assert found.peak_slope == pytest.approx(total, rel=CLOSE, abs=1e-6)


def test_every_number_the_file_gives_of_lever_cable_arm_and_unit_is_among_the_keys() -> None:
    given = {k for k in exact() if k in rigid().given}
    small = {"arm.return_torque", "lever.hand_angle"}  # zero here, or felt only by a moved pivot
    assert given - small == set(RIGID_KEYS)


def test_what_the_faces_need_comes_off_the_clearance_by_its_share() -> None:
    """A plate's run-out counts whole, basket and pressure plate half, over 2 n faces (derived)."""
    found = slopes(rigid())
    for key, share in (
        ("faces.plate_runout", 2.0),
        ("faces.basket_runout", 0.5),
        ("faces.pressure_plate_runout", 0.5),
        ("faces.lift_tilt", 0.5),
    ):
        assert found[key].clearance_slope == pytest.approx(-share / (2 * PLATES), rel=1e-9), key
        assert found[key].peak_slope == pytest.approx(0.0, abs=1e-9)


# --- the elastic chain, by the second method ---

ELASTIC_KEYS = (
    ("lever", "rest_length", 1e-3),
    ("cable", "free_play", 1e-3),
    ("cable", "stiffness", 0.1),
    ("arm", "radius", 1e-3),
    ("release", "ramp_angle", 1e-3),
    ("rod", "stiffness", 5.0),
    ("faces", "cushion_travel", 1e-4),
)


def elastic() -> dict[str, Any]:
    """Return the base clutch; the cushion's load stays that of the unchanged file."""
    return clutches.document(faces={"cushion_load": 3400.0})


def seen_by_points(table: str, key: str, value: float) -> tuple[float, float]:
    """Return signed clearance per face [mm] and peak effort [N] by the second method."""
    document = elastic()
    document[table][key] = value
    plate = by_points.full_lever(document)["separation_mm"]
    faces = document["faces"]
    needed = faces["plate_runout"] + 0.5 * (
        faces["basket_runout"] + faces["pressure_plate_runout"] + faces["lift_tilt"]
    )
    return (plate - needed) / 2, by_points.peak(document)["hand_force_n"]


@pytest.mark.parametrize(("table", "key", "step"), ELASTIC_KEYS)
def test_slopes_of_the_elastic_chain_are_those_of_the_second_method(
    table: str, key: str, step: float
) -> None:
    value = float(elastic()[table][key])
    up, down = (seen_by_points(table, key, value + side * step) for side in (1, -1))
    found = slopes(from_document(elastic()))[f"{table}.{key}"]
    # The second method finds its roots to some 1e-12, which its own steps raise to 1e-8 or so of
    # a slope; their own error of second order is smaller.
    assert found.clearance_slope == pytest.approx((up[0] - down[0]) / (2 * step), rel=2e-6)
    # Its peak is searched for along the stroke, not solved for: half the digits.
    assert found.peak_slope == pytest.approx((up[1] - down[1]) / (2 * step), rel=1e-4, abs=1e-4)


# --- order, bounds, signed separation ---


def clearance_mm(document: dict[str, Any], table: str, key: str, value: float) -> float:
    changed = from_document(document).changed({f"{table}.{key}": value})
    return liftgeo.stroke(changed).full_lever.clearance_per_face_mm


@pytest.mark.parametrize(
    ("table", "key", "step"),
    [("lever", "rest_length", 0.05), ("arm", "radius", 0.05), ("release", "ramp_angle", 0.05)],
)
def test_central_differences_close_in_on_the_slope_with_the_square_of_their_step(
    table: str, key: str, step: float
) -> None:
    document = elastic()
    value, slope = float(document[table][key]), 0.0
    slope = slopes(from_document(document))[f"{table}.{key}"].clearance_slope
    misses = []
    for h in (4 * step, 2 * step, step):
        high, low = (clearance_mm(document, table, key, value + s * h) for s in (1, -1))
        misses.append((high - low) / (2 * h) - slope)
    orders = [math.log2(a / b) for a, b in itertools.pairwise(misses)]
    assert orders == pytest.approx([2.0, 2.0], abs=0.05)


def test_a_play_of_zero_has_a_slope_from_one_side_of_the_same_order() -> None:
    document = elastic()
    document["cable"]["free_play"] = 0.0
    found = slopes(from_document(document))["cable.free_play"]
    step = 1e-3
    rest, near, far = (clearance_mm(document, "cable", "free_play", k * step) for k in (0, 1, 2))
    assert found.clearance_slope == pytest.approx(
        (-3 * rest + 4 * near - far) / (2 * step), rel=1e-6
    )


def test_an_input_speaks_where_the_clutch_does_not_release() -> None:
    document = elastic()
    document["cable"]["free_play"] = 6.0
    mechanism = from_document(document)
    result = liftgeo.stroke(mechanism)
    assert result.verdict == "no-release"
    assert result.full_lever.separation_mm == 0.0
    found = slopes(mechanism)
    # Clearance below zero rises with less play, by the second method's slope of signed lift.
    assert found["cable.free_play"].clearance_slope < -0.02
    assert found["cable.free_play"].step_clearance_mm < -0.002
    assert found["release.ramp_angle"].clearance_slope > 0
