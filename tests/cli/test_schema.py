"""`liftgeo schema`: the JSON Schema on stdout, or in a file."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import jsonschema
import pytest
from command_line import run
from starter_files import filled

import liftgeo
from liftgeo.kinds import KINDS
from liftgeo.mechanism.schema import file_schema
from liftgeo.mechanism.starter import starter


def test_it_prints_the_schema_and_nothing_else() -> None:
    done = run("schema")
    assert (done.code, done.err) == (0, "")
    assert done.data == file_schema()


def test_it_writes_the_schema_whole_and_not_over_a_file(tmp_path: Path) -> None:
    path = tmp_path / "liftgeo.schema.json"
    done = run("schema", "--output", path)
    assert (done.code, done.out) == (0, "")
    assert done.err == f"Written: {path}\n"
    assert json.loads(path.read_text(encoding="utf-8")) == file_schema()
    again = run("schema", "--output", path)
    assert (again.code, again.out) == (2, "")
    assert "--force" in again.err
    assert run("schema", "--output", path, "--force").code == 0


# --- what is left out ---

VALIDATOR = jsonschema.Draft7Validator(file_schema())


def refused(text: str) -> list[str]:
    return [error.message for error in VALIDATOR.iter_errors(tomllib.loads(text))]


@pytest.mark.parametrize("everything", [False, True], ids=["short", "long"])
@pytest.mark.parametrize("spring", KINDS["spring"])
@pytest.mark.parametrize("release", KINDS["release"])
def test_it_takes_every_starter_file_once_lever_and_arm_are_filled(
    release: str, spring: str, everything: bool
) -> None:
    kinds = {"lever": "pin", "arm": "drum", "release": release, "spring": spring}
    text = starter("Clutch", "clutch.toml", kinds, everything=everything)
    assert refused(text)
    assert refused(filled(text, "lever", "arm")) == []
    assert refused(filled(text)) == []


LINES = {
    "a range": ("faces.plate_runout", '"0.05 to 0.4 mm"', True),
    "none": ("cable.free_play", '"none"', True),
    "rigid": ("rod.stiffness", '"rigid"', True),
    "none where there must be some": ("lever.hand_radius", '"none"', False),
    "rigid for a length": ("arm.drum_radius", '"rigid"', False),
    "a blank": ("cable.bend", '""', True),
    "a blank word": ("rod.action", '""', True),
    "a blank of the lever": ("lever.hand_radius", '""', False),
    "readings left blank": ("faces.rim_heights", "[]", True),
    "another key of its group, one of them blank": ("lever.cable_angle", "70", True),
}


@pytest.mark.parametrize(("dotted", "value", "fits"), LINES.values(), ids=LINES.keys())
def test_it_takes_and_refuses_a_line_as_reading_does(dotted: str, value: str, fits: bool) -> None:
    kinds = {"lever": "pin", "arm": "drum", "release": "rack", "spring": "coils"}
    text = filled(starter("Clutch", "clutch.toml", kinds))
    if dotted == "lever.cable_angle":
        text = text.replace('rest_length = "44"', 'rest_length = ""')
    table, name = dotted.split(".")
    text = re.sub(rf"(\n\[{table}\]\n(?:.*\n)*?){name} = .*\n", r"\1", text, count=1)
    if f"[{table}]\n" not in text:
        text += f"[{table}]\n"
    text = text.replace(f"\n[{table}]\n", f"\n[{table}]\n{name} = {value}\n")
    assert (refused(text) == []) is fits
    if fits:
        assert liftgeo.loads(text).level == "full"
    else:
        with pytest.raises(liftgeo.GeometryError):
            liftgeo.loads(text)


@pytest.mark.parametrize(
    ("line", "fits"),
    [
        ('condition = "worn"', True),
        ('condition = "worm"', False),
        ('left_out = "nothing"', True),
        ("left_out = 0", False),
    ],
)
def test_it_knows_the_words_at_the_top(line: str, fits: bool) -> None:
    kinds = {"lever": "drum", "arm": "drum", "release": "rack", "spring": "coils"}
    text = filled(starter("Clutch", "clutch.toml", kinds)).replace('condition = "used"', line)
    assert (refused(text) == []) is fits


def test_the_usual_value_and_its_range_are_said_with_their_source() -> None:
    said = file_schema()["definitions"]["cable"]["properties"]["friction"]["description"]
    assert said.endswith("Left out: 0.10 (0.05 to 0.16) is taken, common practice, no source")
    by_kind = file_schema()["definitions"]["faces"]["properties"]["friction"]["description"]
    assert "0.30 (0.22 to 0.38) dry, 0.11 (0.08 to 0.14) wet is taken" in by_kind
