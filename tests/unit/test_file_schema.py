"""The JSON Schema of a geometry file: it takes every example and refuses what reading refuses."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from clutches import CHANGES, document
from spoiled_documents import drawn

import liftgeo
from liftgeo.mechanism import from_document
from liftgeo.mechanism.schema import file_schema
from liftgeo.mechanism.tables import TABLES

FILES = sorted((Path(__file__).resolve().parents[2] / "geometries").glob("*.toml"))
SCHEMA = file_schema()
VALIDATOR = jsonschema.Draft7Validator(SCHEMA)


def place(whole: dict[str, Any], dotted: str) -> tuple[dict[str, Any], str]:
    """Return the table that a dotted key stands in, made where it is missing, and its last name."""
    *tables, name = dotted.split(".")
    for table in tables:
        whole = whole.setdefault(table, {})
    return whole, name


def test_it_is_a_valid_schema() -> None:
    jsonschema.Draft7Validator.check_schema(SCHEMA)
    assert SCHEMA["properties"].keys() == {
        "title",
        "condition",
        "left_out",
        "bench",
        "remedies",
        "changes",
        *TABLES,
    }


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_it_takes_every_example(path: Path) -> None:
    read = tomllib.loads(path.read_text(encoding="utf-8"))
    assert [error.message for error in VALIDATOR.iter_errors(read)] == []


BAD: dict[str, tuple[str, Any]] = {
    "an unknown table": ("gearbox", {"ratio": 3}),
    "an unknown key": ("lever.niple_radius", 26.0),
    "a length below zero": ("lever.nipple_radius", -26.0),
    "a blank": ("lever.nipple_radius", ""),
    "a word for a number": ("lever.nipple_radius", "about an inch"),
    "a table for a number": ("lever.nipple_radius", {"mm": 26.0}),
    "a ramp of 90 deg": ("release.ramp_angle", 90),
    "an unknown kind": ("release.kind", "wedge"),
    "a key of another kind": ("release.lead", 20.0),
    "a word that is not offered": ("rod.action", "twist"),
    "half a friction plate": ("faces.friction_plates", 1.5),
    "two ways to say one thing": ("lever.cable_angle", 70.0),
    "points besides the distances": (
        "arm.points",
        {"pivot": [0, 0], "pin": [0, 38], "stop": [90, 40]},
    ),
    "a point with one number": ("arm.points.pivot", [0.0]),
    "an unknown key in a change": ("changes.longer-arm.arm.radios", 44.0),
    "a number out of bounds in a change": ("changes.longer-arm.arm.radius", 0),
}


@pytest.mark.parametrize(("dotted", "value"), BAD.values(), ids=BAD.keys())
def test_it_refuses_what_reading_refuses(dotted: str, value: Any) -> None:
    bad = document(changes=CHANGES)
    table, name = place(bad, dotted)
    table[name] = value
    assert not VALIDATOR.is_valid(bad)
    with pytest.raises(liftgeo.GeometryError):
        from_document(bad)


NEEDED = ["lever", "arm", "lever.rest_length", "lever.hand_travel", "arm.radius"]
"""Of later tables nothing is needed: what they lack makes the answer partial."""


@pytest.mark.parametrize("dotted", NEEDED)
def test_it_misses_a_key_that_reading_misses(dotted: str) -> None:
    bad = document(changes=CHANGES)
    table, name = place(bad, dotted)
    del table[name]
    assert not VALIDATOR.is_valid(bad)
    with pytest.raises(liftgeo.GeometryError):
        from_document(bad)


EMPTY_OR_WRONG = [
    ("changes.longer-arm.note", 5),
    ("release.friction_angle", {}),
    ("rod.Kind", {}),
    ("spring.installed_length", 1e13),
    ("cable.stiffness", 1e-13),
]


@pytest.mark.parametrize(("dotted", "value"), EMPTY_OR_WRONG)
def test_what_is_no_text_no_number_or_too_large_is_refused_by_both(dotted: str, value: Any) -> None:
    bad = document(changes=CHANGES)
    table, name = place(bad, dotted)
    table[name] = value
    assert not VALIDATOR.is_valid(bad)
    with pytest.raises(liftgeo.GeometryError, match=re.escape(name)):
        from_document(bad)


GOOD: dict[str, tuple[str, Any]] = {
    "text with a unit": ("lever.nipple_radius", "1 1/32 in"),
    "text with ±": ("lever.nipple_radius", "26.0 ± 0.2 mm"),
    "a fraction alone": ("cable.free_play", "¾ mm"),
    "a decimal without a zero": ("cable.friction", ".1"),
    "a default kind said": ("lever.kind", "pin"),
    "part of a wire in a change": ("changes.wire", {"cable": {"wire": {"diameter": 2.0}}}),
}


@pytest.mark.parametrize(("dotted", "value"), GOOD.values(), ids=GOOD.keys())
def test_it_takes_what_reading_takes(dotted: str, value: Any) -> None:
    good = document(changes=CHANGES)
    table, name = place(good, dotted)
    table[name] = value
    assert [error.message for error in VALIDATOR.iter_errors(good)] == []
    assert from_document(good).title == good["title"]


# What only reading a file tells, as docs/keys.md says: rules between numbers, and where a key of a
# change is laid. Anything else that reading refuses, the schema refuses.
BEYOND_A_SCHEMA = re.compile(
    r"Not a key of this kind|cannot be .* mm apart|No room is left|is not pressed at rest|"
    r"does not fit within|readings and .* has|At rest the spring is pressed|cannot wear by|"
    r"of the stop|dead centre"
)
DRAWN = 400


def test_drawn_documents_are_taken_by_both_or_by_neither() -> None:
    told = []
    taken = 0
    for number in range(DRAWN):
        whole = drawn(number)
        fits = VALIDATOR.is_valid(whole)
        try:
            from_document(whole)
            faults = []
        except liftgeo.GeometryError as error:
            faults = [f"{f.key}: {f.problem}" for f in error.faults]
        taken += fits
        if not fits and not faults:
            told.append(f"{number}: only reading takes it")
        if fits:
            told += [f"{number}: {f}" for f in faults if not BEYOND_A_SCHEMA.search(f)]
    assert told == []
    assert 0.1 * DRAWN < taken < 0.9 * DRAWN


def test_every_key_carries_its_unit_and_how_it_is_measured() -> None:
    radius = SCHEMA["definitions"]["lever-pin"]["properties"]["nipple_radius"]
    assert radius["description"] == (
        "pivot to nipple [mm]. How to measure it: calliper, centre to centre"
    )
    bare = [
        f"{name}.{key}"
        for name, table in SCHEMA["definitions"].items()
        if name != "change"
        for key, said in table["properties"].items()
        if key != "kind" and not said.get("description")
    ]
    assert bare == []
