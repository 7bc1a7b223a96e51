"""The package held against the second method, root finding on points (point_equilibrium.py).

Source: derived, no published numbers. The two share no line: one writes the chain explicitly from
the plates back to the hand, the other solves all equations of equilibrium together. That method is
itself held to published values in test_point_equilibrium_itself.py. All mechanisms are invented.
"""

from __future__ import annotations

import copy
import math

import point_equilibrium as by_points
import pytest
from hypothesis import assume, given, settings
from mechanisms import documents, read

import liftgeo
from liftgeo.mechanism import from_document
from liftgeo.mechanism.tables import DEFAULT_KIND, TABLES

SCENARIOS = by_points.scenarios()
ABSENT = {"residual", "unit_rotation_deg", "unit_torque_nmm", "return_hand_travel_mm"}


def variant(name, **tables):
    """Return a scenario with keys replaced; None takes a key out."""
    file = copy.deepcopy(SCENARIOS[name])
    for table, values in tables.items():
        file.setdefault(table, {}).update(values)
        file[table] = {key: value for key, value in file[table].items() if value is not None}
    return file


# Changes that move each loss, each kind of stop left out, far enough to show.
VARIANTS = {
    "base-clutch, longer arm": variant(
        "base-clutch", arm={"radius": 44.0, "rest_length": None, "cable_angle": 100.0}
    ),
    "base-clutch, thick plate": variant("base-clutch", stack={"friction_plate": 8.2}),
    "base-clutch, thin plate": variant("base-clutch", stack={"friction_plate": 7.6}),
    "base-clutch, worn cushion": variant("base-clutch", faces={"cushion_travel": 0.0}),
    "base-clutch, soft cushion": variant(
        "base-clutch", faces={"cushion_travel": 0.5, "cushion_load": 2500.0}
    ),
    "base-clutch, no slack": variant("base-clutch", cable={"free_play": 0.0}),
    "base-clutch, no return spring": variant("base-clutch", arm={"return_torque": 0.0}),
    "base-clutch, no float": variant("base-clutch", rod={"end_float": 0.0}),
    "base-clutch, nothing before the rod": variant(
        "base-clutch",
        cable={"free_play": 0.0},
        arm={"return_torque": 0.0},
        rod={"end_float": 0.0},
    ),
    "base-clutch, far too little travel": variant(
        "base-clutch", lever={"hand_travel": 20.0}, faces={"cushion_travel": 0.1}
    ),
    "base-clutch, offsets on both sides": variant(
        "base-clutch", lever={"axial_offset": -9.0}, arm={"axial_offset": 14.0}
    ),
    "vineyard-crawler, drag and soft blade": variant(
        "vineyard-crawler", cable={"drag": 6.0}, lever={"stiffness": 25.0}
    ),
    "quarry-hauler, steeper": variant("quarry-hauler", release={"ramp_angle": 19.0}),
    "timber-skidder, soft shaft": variant("timber-skidder", arm={"shaft_stiffness": 12.0}),
    "orchard-sprayer, spring that rubs more": variant("orchard-sprayer", spring={"friction": 0.12}),
    "orchard-sprayer, holds itself": variant("orchard-sprayer", release={"efficiency": 0.45}),
    "road-roller, rubs and winds up": variant(
        "road-roller", release={"friction": 0.15}, arm={"shaft_stiffness": 30.0}
    ),
    "beet-harvester, other side": variant(
        "beet-harvester", release={"rest_angle": 12.0, "offset": -6.0}
    ),
    "market-carrier, on the falling side": variant(
        "market-carrier", stack={"friction_plate_free": 9.4}
    ),
}
FILES = {**SCENARIOS, **VARIANTS}
# The second method follows the whole pull again for every row and for the peak: fewer are enough.
SLOW = [
    *SCENARIOS,
    "base-clutch, nothing before the rod",
    "base-clutch, thin plate",
    "vineyard-crawler, drag and soft blade",
    "orchard-sprayer, holds itself",
    "market-carrier, on the falling side",
]


def check_agreed(ours, theirs, names, rel=1e-10):
    """Assert that two positions agree; beside 1 mm, N or deg an absolute 1e-10 is meant."""
    got = {name: ours[name] for name in names}
    expected = {name: theirs[name] for name in names}
    assert got == pytest.approx(expected, rel=rel, abs=1e-10, nan_ok=True)


@pytest.mark.parametrize("table", ["lever", "arm", "release", "spring"])
def test_the_scenarios_hold_every_kind(table):
    held = {file[table].get("kind", DEFAULT_KIND.get(table)) for file in SCENARIOS.values()}
    assert held == set(TABLES[table])


@pytest.mark.parametrize("name", FILES)
def test_full_lever(name):
    result = liftgeo.stroke(from_document(FILES[name]))
    theirs = by_points.full_lever(FILES[name])
    ours = {k: math.nan if v is None else v for k, v in result.to_dict()["full_lever"].items()}
    assert result.stopped_by == "grip"
    names = [n for n in theirs if n not in ABSENT]
    assert {"plate_lift_mm", "hand_force_n", "cable_to_arm_angle_deg"} <= set(names)
    if theirs["plate_lift_mm"] > 0:
        assert "return_hand_force_n" in names
        last = result.stroke.return_hand_travel_mm[-1]
        assert last == pytest.approx(theirs["return_hand_travel_mm"], rel=1e-10)
    if theirs["separation_mm"] == 0:  # the package counts a missing separation as well
        names.remove("clearance_per_face_mm")
    check_agreed(ours, theirs, names)


@pytest.mark.parametrize("name", SLOW)
def test_rows_through_the_stroke(name):
    """Rows before and after every joint; the same lift letting back."""
    result = liftgeo.stroke(from_document(FILES[name]))
    table, count = result.stroke, len(result.stroke.hand_travel_mm)
    names = [
        "lever_angle_deg",
        "cable_pull_mm",
        "arm_rotation_deg",
        "rod_travel_mm",
        "plate_lift_mm",
        "separation_mm",
        "hand_force_n",
        "cable_tension_n",
        "rod_force_n",
        "clamp_force_n",
    ]
    backs = 0
    for row in (3, count // 4, count // 2, 3 * count // 4):
        ours = {n: float(getattr(table, n)[row]) for n in names}
        theirs = by_points.at_hand_travel(FILES[name], float(table.hand_travel_mm[row]))
        check_agreed(ours, theirs, names, rel=1e-9)
        if ours["plate_lift_mm"] > 1e-6:
            back = by_points.letting_back(FILES[name], ours["plate_lift_mm"])
            got = float(table.return_hand_force_n[row]), float(table.return_hand_travel_mm[row])
            expected = back["hand_force_n"], back["hand_travel_mm"]
            assert got == pytest.approx(expected, rel=1e-9, abs=1e-9)
            backs += 1
    assert backs >= 1 or result.full_lever.plate_lift_mm < 1e-6


@pytest.mark.parametrize("name", SLOW)
def test_peak_of_effort(name):
    """The second method finds a smooth hump by a search over travel, to about 1e-8 of it.

    At the cusp it admits faces that pull at each other by 1e-9 of the clamp force, hence 1e-9.
    """
    result = liftgeo.stroke(from_document(FILES[name]))
    theirs = by_points.peak(FILES[name])
    assert result.peak.hand_force_n == pytest.approx(theirs["hand_force_n"], rel=1e-9)
    assert result.peak.hand_travel_mm == pytest.approx(theirs["hand_travel_mm"], abs=1e-5)


@pytest.mark.parametrize("name", FILES)
def test_slack_taken_up_and_faces_part(name):
    result = liftgeo.stroke(from_document(FILES[name]))
    reached = 0
    for event in ("slack-taken-up", "faces-part"):
        ours = result.event(event)
        if not ours.reached:
            assert result.full_lever.separation_mm == 0
            continue
        theirs = by_points.event(FILES[name], event)
        assert ours.hand_travel_mm == pytest.approx(theirs["hand_travel_mm"], rel=1e-10, abs=1e-10)
        expected = theirs["lever_angle_deg"]
        assert ours.lever_angle_deg == pytest.approx(expected, rel=1e-10, abs=1e-10)
        left = result.full_lever.hand_travel_mm - theirs["hand_travel_mm"]
        assert ours.left_mm == pytest.approx(left, rel=1e-10, abs=1e-10)
        reached += 1
    assert reached >= 1


@pytest.mark.parametrize(
    ("change", "tables"),
    [
        (
            {"arm.radius": 44.0, "arm.cable_angle": 100.0},
            {"arm": {"radius": 44.0, "rest_length": None, "cable_angle": 100.0}},
        ),
        ({"stack.friction_plate": 8.2}, {"stack": {"friction_plate": 8.2}}),
        ({"spring.thickness": 1.8, "release.ramp_angle": 17.0}, None),
    ],
)
def test_a_change_carries_the_cushion_load_of_the_unchanged_file(change, tables):
    """The second method has no changes: it is told the load that closes the cushion."""
    mechanism = from_document(SCENARIOS["base-clutch"])
    tables = tables or {"spring": {"thickness": 1.8}, "release": {"ramp_angle": 17.0}}
    load = by_points.read(SCENARIOS["base-clutch"]).installed_load_n
    file = variant("base-clutch", **tables, faces={"cushion_load": load})
    ours = liftgeo.stroke(mechanism.changed(change)).to_dict()["full_lever"]
    theirs = by_points.full_lever(file)
    check_agreed(ours, theirs, [n for n in theirs if n not in ABSENT])


@settings(max_examples=25, derandomize=True)
@given(documents())
def test_full_lever_of_mechanisms_drawn_by_chance(file):
    """Those that meet the grip with the plate lifted and do not jump; the others are left out."""
    mechanism = read(file)
    result = liftgeo.stroke(mechanism)
    assume(result.stopped_by == "grip" and result.full_lever.plate_lift_mm > 1e-6)
    assume("snap" not in [w.key for w in result.warnings])
    theirs = by_points.full_lever(file)
    ours = {k: math.nan if v is None else v for k, v in result.to_dict()["full_lever"].items()}
    names = [n for n in theirs if n not in ABSENT]
    if theirs["separation_mm"] == 0:  # the package counts a missing separation as well
        names.remove("clearance_per_face_mm")
    if not file["faces"].get("cushion_travel"):
        names.remove("clamp_force_n")  # rigid faces and a spring that rubs: shared between them
    check_agreed(ours, theirs, names)
