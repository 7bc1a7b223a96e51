"""What must not matter: size, side, where the drawing lies, and how the same thing is written.

Source: dimensional analysis and geometry; nothing here is a published number. All invented.
"""

from __future__ import annotations

import copy
import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from mechanisms import SMOOTH, documents, read

import liftgeo
from liftgeo.mechanism import GeometryError, from_document
from liftgeo.mechanism.key_facts import number_of
from liftgeo.mechanism.tables import DEFAULT_KIND

LENGTH = {
    "length": (1, 0),
    "force": (0, 1),
    "rate": (-1, 1),
    "torque": (1, 1),
    "angular-rate": (1, 1),
    "pressure": (-2, 1),
    "angle": (0, 0),
    "ratio": (0, 0),
}
FORCES = ("hand_force_n", "return_hand_force_n", "cable_tension_n", "rod_force_n", "clamp_force_n")


def scaled(document, length, force):
    """Return the document with all lengths and all forces multiplied, stiffnesses to match."""
    result = copy.deepcopy(document)
    result.setdefault("spring", {}).setdefault("youngs_modulus", 206000.0)
    if result["spring"]["kind"] != "coned-disc":
        del result["spring"]["youngs_modulus"]
    for table, keys in result.items():
        if not isinstance(keys, dict):
            continue
        kind = keys.get("kind", DEFAULT_KIND.get(table, ""))
        for name, value in keys.items():
            if name == "points":
                keys[name] = {k: [length * x for x in point] for k, point in value.items()}
            elif isinstance(value, list):
                by = {"angle": 1.0, "load": force}.get(name, length)
                keys[name] = [by * x for x in value]
            elif isinstance(value, float | int) and not isinstance(value, bool):
                dimension = number_of(f"{table}.{name}", kind).dimension
                a, b = LENGTH[dimension]
                keys[name] = value * length**a * force**b
    return result


@settings(max_examples=40, derandomize=True)
@given(documents(), st.floats(0.2, 5.0), st.floats(0.05, 20.0))
def test_scaling_lengths_and_forces_scales_lifts_and_loads_and_leaves_ratios(document, by, load):
    mechanism = read(document)
    assume("targets" not in document)
    small, large = liftgeo.stroke(mechanism), liftgeo.stroke(read(scaled(document, by, load)))
    assert small.stopped_by == large.stopped_by
    near = {"rel": 1e-7, "abs": 1e-9}
    for name, value in small.to_dict()["full_lever"].items():
        other = large.to_dict()["full_lever"][name]
        if value is None:
            assert other is None
            continue
        factor = load if name in FORCES else by if name.endswith("_mm") else 1.0
        assert other == pytest.approx(value * factor, rel=1e-7, abs=1e-7 * max(factor, 1)), name
    assert large.effort.work_j == pytest.approx(small.effort.work_j * by * load, **near)
    assert large.effort.peak_over_floor == pytest.approx(
        small.effort.peak_over_floor, rel=1e-7, nan_ok=True
    )
    for mine, theirs in zip(small.budget, large.budget, strict=True):
        assert theirs.left_mm == pytest.approx(mine.left_mm * by, rel=1e-7, abs=1e-7 * by)
    ideal = np.nan_to_num(small.stroke.ideal_advantage), np.nan_to_num(large.stroke.ideal_advantage)
    assert ideal[0][0] == pytest.approx(ideal[1][0], rel=1e-7)


def moved(points, turn, shift, mirror):
    """Return points turned, shifted and perhaps seen from the other side."""
    cosine, sine = math.cos(turn), math.sin(turn)
    result = {}
    for name, (x, y) in points.items():
        y = -y if mirror else y
        result[name] = [x * cosine - y * sine + shift[0], x * sine + y * cosine + shift[1]]
    return result


@settings(max_examples=40, derandomize=True)
@given(
    documents(lever=("points",), arm=("points",)),
    st.floats(0, 6.3),
    st.tuples(st.floats(-300, 300), st.floats(-300, 300)),
    st.booleans(),
)
def test_points_may_lie_anywhere_and_be_seen_from_either_side(document, turn, shift, mirror):
    other = copy.deepcopy(document)
    for table in ("lever", "arm"):
        other[table]["points"] = moved(document[table]["points"], turn, shift, mirror)
    check_same(read(document), read(other))


def check_same(mechanism, other, rel=1e-8):
    """Assert that two mechanisms come to the same full lever."""
    ours, theirs = (liftgeo.stroke(m).to_dict()["full_lever"] for m in (mechanism, other))
    assume(ours["hand_force_n"] is not None and theirs["hand_force_n"] is not None)
    got = {k: math.nan if v is None else v for k, v in theirs.items()}
    expected = {k: math.nan if v is None else v for k, v in ours.items()}
    assert got == pytest.approx(expected, rel=rel, abs=1e-7, nan_ok=True)


def distances(points):
    """Return the calliper distances of a lever's or arm's points."""
    pivot, pin, stop = (points[k] for k in ("pivot", "pin", "stop"))
    return math.dist(pivot, pin), math.dist(pivot, stop), math.dist(pin, stop)


@settings(max_examples=30, derandomize=True)
@given(documents(lever=("points",), arm=("points",)))
def test_distances_say_the_same_as_points(document):
    other = copy.deepcopy(document)
    for table, radius in (("lever", "nipple_radius"), ("arm", "radius")):
        points = other[table].pop("points")
        names = (radius, "stop_distance", "rest_length")
        other[table].update(zip(names, distances(points), strict=True))
        if table == "lever":
            other[table]["hand_radius"] = math.dist(points["pivot"], points["hand"])
    check_same(read(document), read(other))


@settings(max_examples=30, derandomize=True)
@given(documents(lever=("points",)), st.floats(-4, 4), st.floats(-4, 4), st.booleans())
def test_a_shifted_pivot_is_a_pivot_drilled_elsewhere(document, x, y, by_points):
    """+x from the pivot to the cable stop, +y to the nipple's side; pin, stop and hand stay."""
    points = document["lever"]["points"]
    pivot, pin, stop, hand = (np.array(points[k]) for k in ("pivot", "pin", "stop", "hand"))
    along = (stop - pivot) / np.linalg.norm(stop - pivot)
    across = np.array([-along[1], along[0]])
    across = across if across @ (pin - pivot) > 0 else -across
    drilled = copy.deepcopy(document)
    drilled["lever"]["points"]["pivot"] = list(pivot + x * along + y * across)
    shifted = copy.deepcopy(document)
    shifted["lever"] |= {"pivot_shift_x": x, "pivot_shift_y": y}
    if not by_points:
        del shifted["lever"]["points"]
        names = ("nipple_radius", "stop_distance", "rest_length")
        shifted["lever"].update(zip(names, distances(points), strict=True))
        shifted["lever"]["hand_radius"] = math.dist(pivot, hand)
        # Seen with the stop along +x and the nipple above, pulling turns the nipple up and over.
        frame = [(np.array([(p - pivot) @ along, (p - pivot) @ across])) for p in (pin, hand)]
        turn = math.atan2(*frame[1][::-1]) - math.atan2(*frame[0][::-1])
        shifted["lever"]["hand_angle"] = math.degrees((turn + math.pi) % (2 * math.pi) - math.pi)
    check_same(read(drilled), read(shifted))


@settings(max_examples=30, derandomize=True)
@given(documents(lever=("pin",), arm=("pin",)))
def test_cable_angle_and_rest_length_settle_the_same_triangle(document):
    """Law of cosines at the pin: d² + h² = r² + l² − 2 r l cos δ, solved here by its roots."""
    other = copy.deepcopy(document)
    for table, radius in (("lever", "nipple_radius"), ("arm", "radius")):
        keys = other[table]
        delta, offset = math.radians(keys.pop("cable_angle")), keys.get("axial_offset", 0.0)
        r, d = keys[radius], keys["stop_distance"]
        roots = np.roots([1.0, -2 * r * math.cos(delta), r**2 - d**2 - offset**2])
        keys["rest_length"] = float(max(roots.real))
    check_same(read(document), read(other))


@settings(max_examples=30, derandomize=True)
@given(documents(spring=SMOOTH["spring"]))
def test_the_stack_says_the_same_as_the_fitted_height(document):
    """Rim depth = friction plates + plain plates + pressure plate + height left for the spring."""
    mechanism = read(document)
    keys, spring = document["spring"], mechanism.parts().spring
    plates = document["faces"]["friction_plates"]
    other = copy.deepcopy(document)
    if "installed_length" in keys:
        height = other["spring"].pop("installed_length")
    else:
        height = float(spring.free_height_mm) - other["spring"].pop("installed_deflection")
    other["stack"] = {
        "friction_plate": 4.1,
        "plain_plate": 1.7,
        "pressure_plate": 18.0,
        "pressure_plate_skim": 0.2,
        "cover_recess": 0.3,
        "shims": 0.1,
        "rim_skim": 0.6,
        "basket_face_skim": 0.7,
    }
    filled = plates * 4.1 + (plates - 1) * 1.7 + (18.0 - 0.2)
    other["stack"]["rim_depth"] = filled + height - 0.3 - 0.1 + 0.6 - 0.7
    check_same(mechanism, read(other))


@settings(max_examples=25, derandomize=True)
@given(documents(lever=("drum",)), st.floats(10, 60))
def test_a_travel_in_degrees_is_a_blade_position(document, degrees):
    other = copy.deepcopy(document)
    del other["lever"]["hand_travel"]
    other["lever"]["travel"] = degrees
    document["lever"]["hand_travel"] = document["lever"]["hand_radius"] * math.radians(degrees)
    check_same(read(document), read(other))


def test_a_mirrored_impossible_lever_is_as_impossible():
    """Both sides of the pivot are judged alike."""
    base = {
        "points": {"pivot": [0, 0], "pin": [30, 0], "stop": [50, 0], "hand": [0, -80]},
        "hand_travel": 40,
    }
    other = copy.deepcopy(base)
    other["points"] = moved(base["points"], 0.0, (0.0, 0.0), True)
    faults = []
    for lever in (base, other):
        with pytest.raises(GeometryError) as caught:
            from_document({"lever": lever})
        faults.append([f for f in caught.value.faults if f.key.startswith("lever")])
    assert faults[0] == faults[1]
    assert "dead centre" in faults[0][0].problem
