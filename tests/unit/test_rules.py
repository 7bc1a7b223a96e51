"""What is wrong with a file is said at one key, with its value, the limit and the next step."""

from __future__ import annotations

import numpy as np
import pytest
from clutches import COILS, KINDS, coils_mechanism, document, fault, faults, mechanism

import liftgeo
from liftgeo.errors import GeometryError, Reason
from liftgeo.mechanism import from_document
from liftgeo.mechanism.needs import needs
from liftgeo.mechanism.rules import RULES

PROFILE, TABLE = KINDS["release"]["profile"], KINDS["spring"]["table"]


def lever_points(pin, stop=(40.0, 0.0)):
    points = {"pivot": [0, 0], "pin": list(pin), "stop": list(stop), "hand": [-70, 20]}
    return {"kind": "pin", "points": points, "hand_travel": 39.0}


ONE_FAULT = {
    # name: (tables, key, value, words that must stand in the text)
    "lever too long": ({"lever": {"rest_length": 90.0}}, "lever.rest_length", "90 mm",
        ("26 mm", "42 mm", "16 mm to 68 mm", "nipple centre to cable stop")),
    "lever too short": ({"lever": {"rest_length": 15.0}}, "lever.rest_length", "15 mm",
        ("16 mm to 68 mm",)),
    "arm too long": ({"arm": {"rest_length": 140.0}}, "arm.rest_length", "140 mm",
        ("38 mm", "95 mm", "57 mm to 133 mm")),
    "an offset longer than the cable": ({"arm": {"axial_offset": 91.0}}, "arm.rest_length", "90 mm",
        ("91 mm out of one plane, cannot be 90 mm apart", "107.378 mm to")),
    "points on top of each other": ({"lever": lever_points((20.0, 0.0), (20.0, 0.0))},
        "lever.points", "", ("dead centre",)),
    "pin on the pivot": ({"lever": lever_points((0.0, 0.0))}, "lever.points", "", ("dead centre",)),
    "lever at dead centre": ({"lever": {"rest_length": 68.0}}, "lever.rest_length", "68 mm",
        ("dead centre", "off dead centre")),
    "arm at dead centre by points": ({"arm": {"kind": "pin",
        "points": {"pivot": [0, 0], "pin": [40, 0], "stop": [95, 0]}}}, "arm.points", "",
        ("dead centre", "cable end")),
    "angle with two layouts": ({"lever": {"rest_length": None, "cable_angle": 20.0,
        "stop_distance": 20.0}}, "lever.cable_angle", "20 deg",
        ("would both fit", "20 mm", "26 mm", "Give lever.rest_length instead")),
    "angle with no layout": ({"lever": {"rest_length": None, "cable_angle": 80.0,
        "stop_distance": 20.0}}, "lever.cable_angle", "80 deg",
        ("No layout fits", "Give lever.rest_length instead")),
    "moved pivot, hand unknown": ({"lever": {"hand_angle": None, "pivot_shift_x": 2.0}},
        "lever.hand_angle", "", ("hand", "lever.points")),
    "play beyond the travel": ({"cable": {"free_play": None, "free_play_at_hand": 45.0}},
        "cable.free_play_at_hand", "45 mm", ("grip after 39 mm", "hand_travel")),
    "no pull gets through": ({"cable": {"friction": 9.0, "bend": 900.0}}, "cable.friction", "9",
        ("900 deg", "0.05 to 0.2")),
    "balls that jam": ({"release": {"ramp_angle": 80.0, "friction_angle": 11.0}},
        "release.ramp_angle", "80 deg", ("90 deg", "jam")),
    "thread that cannot turn": ({"release": {"kind": "quick-thread", "lead": 60,
        "mean_diameter": 10, "friction": 0.6}}, "release.friction", "0.6",
        ("cannot be turned", "0.05 to 0.2")),
    "link too short": ({"release": {"kind": "crank", "crank_radius": 10, "rest_angle": 0,
        "link_length": 12, "offset": 3}}, "release.link_length", "12 mm",
        ("too short", "crank radius and offset")),
    "crank past dead centre": ({"release": {"kind": "crank", "crank_radius": 10, "rest_angle": 95}},
        "release.rest_angle", "95 deg", ("dead centre", "between -90 and 90 deg")),
    "eccentric the wrong way": ({"release": {"kind": "eccentric", "eccentricity": 5,
        "rest_angle": -95}}, "release.rest_angle", "-95 deg", ("dead centre",)),
    "profile that falls": ({"release": PROFILE | {"travel": [0.0, 0.8, 0.7, 2.4]}},
        "release.travel", "", ("does not rise", "0.7 follows 0.8", "readings 2 and 3")),
    "profile that stands still": ({"release": PROFILE | {"angle": [0, 10, 10, 30]}},
        "release.angle", "", ("does not rise", "10 follows 10")),
    "profile with one reading": ({"release": PROFILE | {"angle": [0], "travel": [0]}},
        "release.travel", "", ("two readings at least",)),
    "profile of unequal length": ({"release": PROFILE | {"angle": [0, 10, 20]}}, "release.travel",
        "", ("3 readings", "4", "side by side")),
    "disc inside out": ({"spring": {"inside_diameter": 120.0}}, "spring.inside_diameter", "120 mm",
        ("does not fit within 120 mm",)),
    "facing inside out": ({"faces": {"inside_diameter": 118.0}}, "faces.inside_diameter", "118 mm",
        ("does not fit within 118 mm",)),
    "pressed on one circle": ({"spring": {"force_diameter": 100.0, "support_diameter": 100.0}},
        "spring.force_diameter", "100 mm", ("do not bend",)),
    "disc past flat, by stack": ({"stack": {"rim_depth": 28.9}}, "stack.rim_depth", "28.9 mm",
        ("pressed 3.7 mm", "flat at 3.4 mm", "leaves 1.4 mm", "past_flat = true")),
    "disc past flat, by deflection": ({"stack": None, "spring": {"installed_deflection": 3.4}},
        "spring.installed_deflection", "3.4 mm", ("flat at 3.4 mm", "past_flat = true")),
    "disc past flat twice over": ({"stack": None, "spring": {"installed_deflection": 6.8}},
        "spring.installed_deflection", "6.8 mm", ("flat at 3.4 mm", "on raised rings or not")),
    "disc turned right over": ({"stack": None,
        "spring": {"installed_deflection": 7.0, "past_flat": True}}, "spring.installed_deflection",
        "7 mm", ("6.8 mm",)),
    "no room for the disc": ({"stack": {"rim_depth": 26.0}}, "stack.rim_depth", "26 mm",
        ("1.5 mm thicker",)),
    "loose disc, by stack": ({"stack": {"rim_depth": 33.0}}, "stack.rim_depth", "33 mm",
        ("not pressed", "5.1 mm high", "leaves 5.5 mm")),
    "loose disc, by deflection": ({"stack": None, "spring": {"installed_deflection": -0.2}},
        "spring.installed_deflection", "-0.2 mm", ("not pressed",)),
    "loose coils": ({"stack": None, "spring": COILS | {"installed_length": 40.0}},
        "spring.installed_length", "40 mm", ("free length is 40 mm",)),
    "solid coils": ({"stack": None, "spring": COILS | {"solid_length": 33.0}},
        "spring.installed_length", "32 mm", ("solid at 7 mm",)),
    "coils longer solid than free": ({"stack": None, "spring": COILS | {"solid_length": 41.0}},
        "spring.solid_length", "41 mm", ("40 mm",)),
    "readings end before the spring is fitted": ({"stack": None,
        "spring": TABLE | {"installed_deflection": 6.5}}, "spring.installed_deflection", "6.5 mm",
        ("6 mm", "Add readings")),
    "readings of a spring that pulls": ({"stack": None,
        "spring": TABLE | {"load": [0.0, 10.0, -20.0, -30.0]}}, "spring.installed_deflection",
        "4.5 mm", ("no load",)),
    "deflections that fall": ({"stack": None,
        "spring": TABLE | {"deflection": [0.0, 2.0, 1.0, 6.0]}}, "spring.deflection", "",
        ("1 follows 2", "readings 2 and 3")),
    "unequal readings": ({"stack": None, "spring": TABLE | {"load": [0.0, 900.0]}}, "spring.load",
        "", ("4 readings", "2")),
    "more wear than facing": ({"faces": {"facing_thickness": 2.0, "wear_limit": 2.5}},
        "faces.wear_limit", "2.5 mm", ("2 mm thick", "2.5 mm")),
    # one key alone
    "a bound": ({"arm": {"efficiency": 1.2}}, "arm.efficiency", "1.2", ("above 0 and at most 1",)),
    "a right angle": ({"release": {"ramp_angle": 90}}, "release.ramp_angle", "90",
        ("below 90 deg",)),
    "not a whole number": ({"spring": {"in_series": 1.5}}, "spring.in_series", "1.5",
        ("a whole number",)),
    "not a number": ({"arm": {"radius": float("nan")}}, "arm.radius", "nan", ("not a finite",)),
    "infinite": ({"arm": {"radius": float("inf")}}, "arm.radius", "inf", ("not a finite",)),
    "too large": ({"arm": {"radius": 1e300}}, "arm.radius", "1e+300", ("too large", "its unit")),
    "too small": ({"arm": {"radius": 1e-300}}, "arm.radius", "1e-300", ("too small", "its unit")),
    "negative": ({"cable": {"bend": -1}}, "cable.bend", "-1", ("at least 0 deg",)),
    "true": ({"arm": {"radius": True}}, "arm.radius", "true", ("true or false", "26.5 mm")),
    "a list": ({"arm": {"radius": [38]}}, "arm.radius", "[38]", ("a list",)),
    "a single reading": ({"stack": None, "spring": TABLE | {"load": 900}}, "spring.load", "900",
        ("a list of readings",)),
    "a point with three numbers": ({"lever": lever_points((1, 2, 3))}, "lever.points.pin",
        "[1, 2, 3]", ("2 numbers", "3")),
    "wrong dimension": ({"arm": {"radius": "38 N"}}, "arm.radius", "38 N",
        ("is a force", "a length is wanted")),
    "unknown unit": ({"arm": {"radius": "38 bobs"}}, "arm.radius", "38 bobs", ("bobs",)),
    "a word": ({"rod": {"action": "lift"}}, "rod.action", "lift", ('"pull" or "push"',)),
    "blank": ({"arm": {"radius": ""}}, "arm.radius", "", ("Still blank", "calliper")),
    "markup": ({"arm": {"radius": "[red]38"}}, "arm.radius", "[red]38", ("no number",)),
    "unknown key": ({"arm": {"radios": 38.0}}, "arm.radios", "",
        ("Not a known key", "Did you mean radius?")),
    "key of another table": ({"cable": {"hand_travel": 39.0}}, "cable.hand_travel", "",
        ("Did you mean lever.hand_travel?",)),
    "key of another kind": ({"release": {"lead": 20}}, "release.lead", "",
        ('It goes with kind = "quick-thread".',)),
    "kind": ({"release": {"kind": "ball-ramps"}}, "release.kind", "ball-ramps",
        ('Did you mean "ball-ramp"?', '"rack"')),
    "kind of a number": ({"release": {"kind": 5}}, "release.kind", "5", ("Not a known kind",)),
    "unknown table": ({"levr": {"x": 1}}, "levr", "", ("Not a known table", "Did you mean lever?")),
    "table as number": ({"bearing": 5}, "bearing", "5", ("must be a table", "[bearing]")),
    "table as list": ({"bearing": [1]}, "bearing", "[1]", ("must be a table",)),
    "title as number": ({"title": 5}, "title", "5", ("Not text",)),
    "changes as number": ({"changes": 5}, "changes", "5", ("[changes.NAME]",)),
    "change as number": ({"changes": {"x": 5}}, "changes.x", "5", ("[changes.x]",)),
    "unknown key of a change": ({"changes": {"x": {"arm": {"radios": 3}}}}, "changes.x.arm.radios",
        "", ("Did you mean radius?",)),
    "wrong unit of a change": ({"changes": {"x": {"arm": {"radius": "3 N"}}}},
        "changes.x.arm.radius", "3 N", ("is a force",)),
    "unknown table of a change": ({"changes": {"x": {"amr": {"radius": 3}}}}, "changes.x.amr", "",
        ("Did you mean arm?",)),
    "table of a change as number": ({"changes": {"x": {"arm": 5}}}, "changes.x.arm", "5",
        ("must be a table",)),
}  # fmt: skip


@pytest.mark.parametrize(("tables", "key", "value", "words"), ONE_FAULT.values(), ids=ONE_FAULT)
def test_one_fault_at_one_key_with_value_problem_and_remedy(tables, key, value, words):
    found = fault(**tables)
    assert (found.key, found.value) == (key, value)
    for word in words:
        assert word in found.text()
    assert found.problem.endswith((".", "?"))
    assert found.remedy.endswith((".", "?"))
    assert "  " not in found.problem + found.remedy
    assert "None" not in found.text()


def test_a_spring_table_of_the_wrong_kind_says_what_else_it_takes():
    found = faults(spring={"kind": "leaf", "count": 3})
    assert [f.key for f in found] == ["spring.kind"]
    assert '"coned-disc", "coils", "table"' in found[0].text()


@pytest.mark.parametrize("table", ["lever", "arm"])
def test_a_table_without_which_nothing_can_be_told_is_named(table):
    found = fault(**{table: None})
    assert found.key == table
    assert "missing" in found.problem
    assert f"Add [{table}]" in found.remedy


@pytest.mark.parametrize(
    ("table", "level"),
    [("release", "ratio"), ("spring", "lift"), ("faces", "lift"), ("cable", "full"),
     ("rod", "full"), ("engine", "full")],
)  # fmt: skip
def test_a_later_table_that_is_missing_makes_the_answer_partial(table, level):
    """Without faces, the base's stack does not tell how far the spring is pressed either."""
    assert mechanism(**{table: None}).level == level


def test_without_faces_a_spring_of_known_fit_still_tells_the_effort():
    file = coils_mechanism(faces=None)
    assert (file.level, file.lacking) == ("effort", ())


@pytest.mark.parametrize("table", ["lever", "arm"])
def test_an_empty_table_misses_every_key_it_needs(table):
    whole = document()
    whole[table] = {}
    with pytest.raises(GeometryError) as caught:
        from_document(whole)
    wanted = {n.key for n in needs() if n.key.startswith(f"{table}.") and n.kind in ("", "pin")}
    assert {f.key for f in caught.value.faults} == wanted
    assert all("Needed, and not given" in f.problem for f in caught.value.faults)


def test_an_empty_table_of_faces_lacks_every_key_it_needs():
    whole = document()
    whole["faces"] = {}
    file = from_document(whole)
    assert {f.key for f in file.lacking} == {n.key for n in needs() if n.key.startswith("faces.")}
    assert file.level == "lift"


def test_of_cable_and_rod_every_key_may_be_left_out():
    whole = document()
    whole["cable"], whole["rod"] = {}, {}
    assert from_document(whole).level == "full"


NEEDED = [
    (table, kind, need.key)
    for need in needs()
    for table, kinds in KINDS.items()
    for kind in kinds
    if need.key.startswith(f"{table}.") and need.kind == kind
]


@pytest.mark.parametrize(("table", "kind", "key"), NEEDED)
def test_a_kind_misses_its_own_keys(table, kind, key):
    keys = dict(KINDS[table][kind])
    stack = {"stack": None} if table == "spring" else {}
    assert mechanism(**{table: keys}, **stack).level == "full"
    del keys[key.split(".")[1]]
    if table in ("lever", "arm"):
        found = fault(**{table: keys}, **stack)
    else:
        file = mechanism(**{table: keys}, **stack)
        (found,) = file.lacking
        assert file.level == {"release": "ratio", "spring": "lift"}[table]
    assert found.key == key
    assert "Needed, and not given" in found.problem


HALF_SAID = [
    ({"lever": lever_points((1, 20)) | {"points": {"pivot": [0, 0]}}},
     {"lever.points.pin", "lever.points.stop", "lever.points.hand"}),
    ({"cable": {"stiffness": None, "wire": {"diameter": 2.0}}},
     {"cable.wire.length", "cable.wire.construction", "cable.wire.material"}),
    ({"cable": {"stiffness": None, "wire": {"length": 900, "area": 2.0}}},
     {"cable.wire.material"}),
    ({"cable": {"stiffness": None, "housing": {}, "wire": {"length": 9, "area": 2, "modulus": 9}}},
     set()),
    ({"rod": {"stiffness": None, "length": 100.0}}, {"rod.diameter"}),
]  # fmt: skip


@pytest.mark.parametrize(("tables", "keys"), HALF_SAID)
def test_a_key_is_needed_once_another_is_given(tables, keys):
    """The base clutch takes nothing for what is left out; a wire half said would be rigid."""
    assert {f.key for f in faults(**tables)} == keys


@pytest.mark.parametrize(
    ("tables", "key", "kept"),
    [(HALF_SAID[1][0], "cable.stiffness", ("cable.free_play", 2.2)),
     (HALF_SAID[4][0], "rod.stiffness", ("rod.end_float", 0.12))],
)  # fmt: skip
def test_what_is_half_said_of_cable_or_rod_is_taken_at_its_usual_value(tables, key, kept):
    file = mechanism(left_out="usual", **tables)
    assert {f.key for f in file.lacking} == next(k for t, k in HALF_SAID if t is tables)
    assert key in {item.key for item in file.taken}
    assert file.level == "full"
    assert file.keys[kept[0]] == kept[1]
    assert not [k for k in file.keys if k.startswith(("cable.wire", "rod.length"))]


LACKING_WITH = [
    ({"release": {"kind": "quick-thread", "lead": 25, "mean_diameter": 24,
                  "collar_friction": 0.1}}, {"release.collar_diameter"}, "ratio"),
    ({"release": {"kind": ""}}, {"release.kind"}, "ratio"),
    ({"engine": {"torque": None, "primary_ratio": 2.0}}, {"engine.torque"}, "full"),
    ({"bearing": {"kind": "angular-contact"}}, {"bearing.contact_angle"}, "full"),
    ({"stack": None}, {"spring.installed_deflection"}, "lift"),
    ({"stack": {"rim_depth": None}}, {"stack.rim_depth"}, "lift"),
    ({"stack": {"friction_plate": None}}, {"stack.friction_plate"}, "lift"),
    ({"spring": {k: v for k, v in TABLE.items() if k != "installed_deflection"}},
     {"spring.free_height"}, "lift"),
    ({"faces": {"friction_plates": None}}, {"faces.friction_plates"}, "lift"),
    ({"faces": {"outside_diameter": ""}}, {"faces.outside_diameter"}, "effort"),
    ({"faces": {"friction": None}}, {"faces.friction"}, "effort"),
]  # fmt: skip


@pytest.mark.parametrize(("tables", "keys", "level"), LACKING_WITH)
def test_a_table_that_lacks_a_key_counts_as_missing(tables, keys, level):
    file = mechanism(**tables)
    assert ({f.key for f in file.lacking}, file.level) == (keys, level)
    assert liftgeo.stroke(file)


def test_how_high_free_plates_stand_under_load_needs_their_cushion():
    """Faces are not known, so neither is what they take of the room for the spring."""
    tables = {"stack": {"friction_plate": None, "friction_plate_free": 8.2},
              "faces": {"outside_diameter": None}}  # fmt: skip
    assert mechanism(**tables).level == "effort"
    tables["faces"] |= {"cushion_travel": None}
    assert mechanism(left_out="usual", **tables).level == "lift"


def test_what_a_file_lacks_a_change_may_add():
    file = mechanism(faces={"outside_diameter": None}, engine={"torque": None, "primary_ratio": 2})
    whole = file.changed({"faces.outside_diameter": 118.0, "engine.torque": 29.0})
    assert (whole.level, whole.lacking) == ("full", ())
    assert liftgeo.stroke(whole).full_lever == liftgeo.stroke(mechanism()).full_lever


def test_a_change_that_adds_the_spring_brings_its_own_cushion_load():
    file = coils_mechanism(spring=None)
    assert file.level == "lift"
    whole = file.changed({"spring": COILS})
    ours, theirs = (liftgeo.stroke(m).to_dict() for m in (whole, coils_mechanism()))
    assert ours["full_lever"] == theirs["full_lever"]


def test_a_batch_is_not_refused_for_what_the_file_lacks_beside_it():
    file = mechanism(engine={"torque": None, "primary_ratio": 2.0})
    assert liftgeo.batch(file, {"cable.drag": np.array([1.0, 2.0])}).ok.all()


TWICE = [
    ({"lever": {"cable_angle": 80.0}}, "lever.cable_angle"),
    ({"lever": {"travel": 30.0}}, "lever.travel"),
    ({"lever": {"points": {"pivot": [0, 0], "pin": [1, 26], "stop": [40, 0], "hand": [-70, 0]}}},
     "lever.points.pivot"),
    ({"cable": {"take_up_at_hand": 9.0}}, "cable.take_up_at_hand"),
    ({"cable": {"free_play": None, "take_up_at_hand": 9.0, "free_play_at_hand": 8.0}},
     "cable.take_up_at_hand"),
    ({"cable": {"bracket_stiffness": 900.0}}, "cable.bracket_stiffness"),
    ({"arm": {"cable_angle": 80.0}}, "arm.cable_angle"),
    ({"release": {"kind": "eccentric", "eccentricity": 5, "rest_angle": -10, "cam_radius": 9,
                  "friction": 0.1, "efficiency": 0.9}}, "release.efficiency"),
    ({"rod": {"length": 100.0, "diameter": 8.0}}, "rod.length"),
    ({"spring": {"installed_deflection": 2.0}}, "stack.rim_depth"),
    ({"stack": {"friction_plate_free": 8.2}}, "stack.friction_plate_free"),
]  # fmt: skip


@pytest.mark.parametrize(("tables", "key"), TWICE)
def test_what_is_said_twice_is_said_to_be(tables, key):
    found = fault(**tables)
    assert found.key == key
    assert "Says the same as" in found.problem
    assert found.remedy == "Keep one of them."


def test_a_disc_that_no_ring_would_let_so_far_is_not_offered_past_flat():
    for deflection, offered in ((6.7, True), (6.8, False)):
        found = fault(stack=None, spring={"installed_deflection": deflection})
        assert ("past_flat = true" in found.remedy) is offered


def test_keys_that_are_not_given_are_listed_by_table_after_what_is_wrong():
    with pytest.raises(GeometryError) as caught:
        from_document({"lever": {}, "rod": {}, "release": {"kind": "rack"}}, "clutch.toml")
    blocks = str(caught.value).split("\n\n")
    assert blocks[1].split()[0] == "arm"
    assert "This table is missing. An arm" in blocks[1]
    assert blocks[2] == (
        "  5 keys are needed and not given. Add each to its table: a file from `liftgeo\n"
        "  new` says how to measure it.\n"
        "    [lever] nipple_radius, stop_distance, rest_length, hand_radius, hand_travel"
    )
    assert len(blocks) == 3


def test_all_faults_of_a_file_are_told_at_once():
    found = faults(
        lever={"rest_length": 90.0, "niple": 1},
        arm={"rest_length": 140.0, "efficiency": 2.0},
        cable={"stiffness": "240 mm"},
        spring={"inside_diameter": 130.0},
        faces={"inside_diameter": "84 N"},
        changes={"x": {"arm": {"radios": 3}}},
        gearbox={"x": 1},
    )
    assert {f.key for f in found} == {
        "lever.rest_length",
        "lever.niple",
        "arm.rest_length",
        "arm.efficiency",
        "cable.stiffness",
        "spring.inside_diameter",
        "faces.inside_diameter",
        "changes.x.arm.radios",
        "gearbox",
    }
    assert len(found) == 9


# ---------------------------------------------------------------- changes and batches


def test_a_change_that_makes_the_mechanism_impossible_is_named():
    file = mechanism(changes={"long": {"arm": {"rest_length": 140.0}}})
    with pytest.raises(GeometryError) as caught:
        file.changed("long")
    assert "long" in str(caught.value)
    assert "base_clutch.toml" in str(caught.value)
    assert caught.value.faults[0].key == "arm.rest_length"
    with pytest.raises(GeometryError, match=r"arm\.radius = 300") as caught:
        file.changed({"arm.radius": 300.0})
    assert caught.value.faults[0].key == "arm.rest_length"


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"arm.radios": 3.0}, "arm.radios"),
        ({"amr.radius": 3.0}, "amr"),
        ({"arm": 5}, "arm"),
        ({"arm.radius": "3 N"}, "arm.radius"),
        ({"arm.radius": None}, "arm.radius"),
        ({"arm.radius": np.array([1.0, 2.0])}, "arm.radius"),
        ({"arm.radius": {"x": 1}}, "arm.radius"),
        ({"arm.radius.x": 1}, "arm.radius"),
        ({"": 1}, '""'),
        ({"arm": 5, "arm.return_torque": 0.4}, "arm"),
        ({"lever.points": 5}, "lever.points"),
        ({"release.kind": "rack", "release.lead": 3}, "release.lead"),
        ({"release.kind": "thread"}, "release.kind"),
    ],
)
def test_a_change_that_makes_no_sense_is_a_fault_and_nothing_else(change, key):
    with pytest.raises(GeometryError) as caught:
        mechanism().changed(change)
    assert any(f.key.startswith(key) for f in caught.value.faults)


@pytest.mark.parametrize(
    ("tables", "over", "reason"),
    [
        ({}, {"lever.rest_length": [90.0, 15.0]}, Reason.LEVER_TRIANGLE),
        ({}, {"lever.rest_length": [68.0, 16.0]}, Reason.LEVER_DEAD_CENTRE),
        ({}, {"arm.radius": [300.0, 3.0]}, Reason.ARM_TRIANGLE),
        ({}, {"arm.rest_length": [133.0, 57.0]}, Reason.ARM_DEAD_CENTRE),
        ({}, {"release.ramp_angle": [89.5, 89.9]}, Reason.RELEASE_SHAPE),
        ({"release": {"kind": "crank", "crank_radius": 5, "rest_angle": 0}},
         {"release.rest_angle": [95.0, -95.0]}, Reason.RELEASE_DEAD_CENTRE),
        ({}, {"spring.inside_diameter": [120.0, 130.0]}, Reason.SPRING_SHAPE),
        ({}, {"stack.rim_depth": [33.0, 35.0]}, Reason.SPRING_LOOSE),
        ({}, {"stack.rim_depth": [29.0, 26.0]}, Reason.SPRING_PAST_END),
        ({}, {"faces.inside_diameter": [118.0, 130.0]}, Reason.FACES_SHAPE),
        ({}, {"cable.take_up_at_hand": [40.0, 50.0]}, Reason.CABLE_PLAY),
        ({}, {"arm.radius": [-1.0, float("nan")]}, Reason.OUT_OF_RANGE),
        ({}, {"arm.radius": [1e300, 1e-300]}, Reason.OUT_OF_RANGE),
        ({}, {"faces.friction_plates": [0.0, 1.5]}, Reason.OUT_OF_RANGE),
    ],
)  # fmt: skip
def test_a_batch_gives_the_reason_that_a_file_would_fault(tables, over, reason):
    file = mechanism(**tables)
    many = liftgeo.batch(file, {k: np.array(v) for k, v in over.items()})
    assert list(many.reason) == [reason, reason]
    assert not many.ok.any()
    assert np.isnan(many.hand_force_n).all()
    for k in range(2):
        with pytest.raises(GeometryError):
            file.changed({key: values[k] for key, values in over.items()})


def test_variants_beside_an_impossible_one_are_computed():
    file = mechanism()
    many = liftgeo.batch(file, {"arm.radius": np.array([38.0, 300.0, 40.0])})
    assert list(many.reason) == [Reason.OK, Reason.ARM_TRIANGLE, Reason.OK]
    for k, radius in ((0, 38.0), (2, 40.0)):
        alone = liftgeo.stroke(file.changed({"arm.radius": radius})).full_lever
        assert many.hand_force_n[k] == pytest.approx(alone.hand_force_n, rel=1e-12)


@pytest.mark.parametrize(
    ("over", "key"),
    [
        ({"rod.length": [100.0]}, "rod.diameter"),
        ({"engine.primary_ratio": [2.0]}, "engine.torque"),
    ],
)
def test_a_batch_whose_keys_miss_another_says_so(over, key):
    with pytest.raises(GeometryError) as caught:
        liftgeo.batch(mechanism(engine=None), {k: np.array(v) for k, v in over.items()})
    assert [f.key for f in caught.value.faults] == [key]


def test_a_stack_over_a_fitted_deflection_needs_the_rest_of_the_stack():
    file = mechanism(stack=None, spring={"installed_deflection": 2.1})
    with pytest.raises(GeometryError, match=r"stack\.rim_depth"):
        liftgeo.batch(file, {"stack.pressure_plate": np.array([19.0])})
    changed = file.changed({"stack.pressure_plate": 19.0})
    assert [f.key for f in changed.lacking] == ["stack.rim_depth", "stack.friction_plate"]
    assert changed.level == "lift"


def test_every_rule_can_be_broken_by_the_cases_here():
    """Each rule of the package is broken by at least one case, else the case is missing."""
    broken = set()
    for tables, *_ in ONE_FAULT.values():
        found = [f.key for f in faults(**tables)]
        for k, rule in enumerate(RULES):
            if any(need.split(".")[0] == found[0].split(".")[0] for need in rule.needs):
                broken.add(k)
    assert broken == set(range(len(RULES)))
