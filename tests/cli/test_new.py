"""`liftgeo new`: a starter file whose every blank `check` names, and that passes once filled."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import pytest
from command_line import run

import liftgeo
from liftgeo.kinds import KINDS
from liftgeo.mechanism.tables import TABLES

COMBINATIONS = list(itertools.product(KINDS["release"], KINDS["lever"], KINDS["spring"]))

# Invented numbers, as somebody would write them between the quotes or in their place.
FILLED = {
    "lever.nipple_radius": '"26.0"',
    "lever.stop_distance": '"42.0 ± 0.2 mm"',
    "lever.rest_length": '"44"',
    "lever.hand_radius": "75.0",
    "lever.hand_travel": '"1 9/16 in"',
    "lever.drum_radius": "22",
    "lever.angle": "[0, 10, 20, 30, 40]",
    "lever.pull": "[0, 4, 8, 12, 16]",
    "cable.free_play": '"1.2"',
    "cable.bend": '"120"',
    "cable.friction": '"0.08"',
    "cable.stiffness": '"400 N/mm"',
    "arm.radius": "38",
    "arm.stop_distance": "95",
    "arm.rest_length": "90",
    "arm.return_torque": "0.2",
    "release.pitch_radius": "16",
    "release.ramp_angle": '"14 deg"',
    "release.friction_angle": "1",
    "release.lead": "24",
    "release.mean_diameter": "16",
    "release.friction": "0.1",
    "release.pinion_radius": "5",
    "release.crank_radius": "6",
    "release.rest_angle": "-5",
    "release.eccentricity": "4",
    "release.angle": "[0, 10, 20, 30]",
    "release.travel": "[0, 0.7, 1.4, 2.1]",
    "release.max_rotation": "60",
    "rod.action": '"push"',
    "rod.end_float": '"4 thou"',
    "rod.stiffness": "20000",
    "spring.outside_diameter": "120",
    "spring.inside_diameter": "92",
    "spring.thickness": "1.7",
    "spring.cone_height": "3.4",
    "spring.count": '"6"',
    "spring.rate": "24",
    "spring.free_length": "42",
    "spring.installed_length": "31",
    "spring.deflection": "[0, 5, 10]",
    "spring.load": "[0, 700, 1500]",
    "spring.installed_deflection": "6",
    "stack.rim_depth": "30.5",
    "stack.friction_plate": "8.0",
    "stack.pressure_plate": "19.5",
    "faces.friction_plates": "1",
    "faces.outside_diameter": "118",
    "faces.inside_diameter": "84",
    "faces.friction": "0.30",
    "faces.running": '"dry"',
    "faces.cushion_travel": "0.25",
    "faces.basket_runout": "0.05",
    "faces.pressure_plate_runout": "0.05",
    "faces.plate_runout": "0.20",
    "faces.lift_tilt": "0.15",
    "engine.torque": '"43 lbf·ft"',
    "engine.primary_ratio": "1",
}


def blanks_in(text: str) -> list[str]:
    """Return the dotted keys that stand blank in a file."""
    found, table = [], ""
    for line in text.splitlines():
        if head := re.fullmatch(r"\[(\w+)\]", line):
            table = head[1]
        elif key := re.fullmatch(r'(\w+) = ""', line):
            found.append(f"{table}.{key[1]}")
    return found


def filled(text: str) -> str:
    """Return the file with a number in every blank."""
    lines, table = [], ""
    for line in text.splitlines():
        if head := re.fullmatch(r"\[(\w+)\]", line):
            table = head[1]
        if key := re.fullmatch(r'(\w+) = ""', line):
            line = f"{key[1]} = {FILLED[f'{table}.{key[1]}']}"
        lines.append(line)
    return "\n".join(lines) + "\n"


def listed_in(text: str) -> list[str]:
    """Return the dotted keys of a list of what is still blank, without the marks."""
    found, table = [], ""
    for line in text.split("before the line.\n")[1].splitlines():
        if head := re.match(r"    \[(\w+)\]", line):
            table = head[1]
        found += [f"{table}.{name}" for name in re.findall(r"(\w+)\*?(?:,|$)", line)]
    return found


def options(release: str, lever: str, spring: str) -> list[str]:
    return ["--release", release, "--lever", lever, "--spring", spring]


def test_it_writes_the_file_and_says_what_to_do_next(tmp_path: Path) -> None:
    done = run("new", "my-clutch", folder=tmp_path)
    assert (done.code, done.out) == (0, "")
    assert "Written: my-clutch.toml" in done.err
    assert "liftgeo check my-clutch.toml" in done.err
    text = (tmp_path / "my-clutch.toml").read_text(encoding="utf-8")
    assert 'title = "My clutch"' in text
    assert [path.name for path in tmp_path.iterdir()] == ["my-clutch.toml"]


def test_the_name_may_carry_its_ending(tmp_path: Path) -> None:
    assert run("new", "bench.toml", folder=tmp_path).code == 0
    assert [path.name for path in tmp_path.iterdir()] == ["bench.toml"]


@pytest.mark.parametrize("combination", COMBINATIONS, ids="-".join)
def test_check_names_every_blank_and_passes_once_they_are_filled(
    combination: tuple[str, str, str], tmp_path: Path
) -> None:
    path = tmp_path / "clutch.toml"
    assert run("new", path, *options(*combination)).code == 0
    text = path.read_text(encoding="utf-8")
    blanks = blanks_in(text)
    assert len(blanks) > 20
    done = run("check", path)
    assert (done.code, done.out) == (2, "")
    assert done.err.startswith(f"clutch.toml: {len(blanks)} things to put right\n\n")
    assert f"{len(blanks)} keys are still blank. Fill in each" in done.err
    assert listed_in(done.err) == blanks
    assert max(map(len, done.err.splitlines())) <= 80
    with pytest.raises(liftgeo.GeometryError) as caught:
        liftgeo.load(path)
    assert [fault.key for fault in caught.value.faults] == blanks
    for fault in caught.value.faults:
        assert "Still blank: " in fault.text()
        assert "How to measure it: " in fault.text() or "Typical: " in fault.text()
    path.write_text(filled(text), encoding="utf-8")
    done = run("check", path)
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith("Clutch\nNothing to put right.")
    assert run("stroke", path, "--json").data["full_lever"]["plate_lift_mm"] > 0


def test_what_is_wrong_stands_before_what_is_blank(tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    run("new", path)
    text = path.read_text(encoding="utf-8").replace(
        'outside_diameter = ""', "outside_diameter = -3"
    )
    path.write_text(text.replace('friction_plates = ""', 'friction_plates = "one"'))
    blocks = run("check", path).err.split("\n\n")
    assert [block.split()[0] for block in blocks] == [
        "clutch.toml:",
        "spring.outside_diameter",
        "faces.friction_plates",
        "faces.outside_diameter",
        str(len(blanks_in(text)) - 1),
    ]
    assert "Write a whole number, for example 2." in blocks[2]
    assert "0.95" not in blocks[2]


def test_up_to_three_blanks_are_told_one_by_one_and_more_as_a_list(tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    run("new", path)
    text = filled(path.read_text(encoding="utf-8"))
    for count, name in enumerate(("bend", "ramp_angle", "rim_depth", "hand_radius"), 1):
        text = re.sub(rf"^{name} = .*$", f'{name} = ""', text, flags=re.MULTILINE)
        path.write_text(text, encoding="utf-8")
        told = run("check", path).err
        assert told.count("Still blank: ") == (count if count <= 3 else 0)
        assert ("4 keys are still blank." in told) is (count == 4)


def test_a_name_with_a_space_is_printed_as_a_command_takes_it(tmp_path: Path) -> None:
    done = run("new", "my clutch", folder=tmp_path)
    assert "Written: my clutch.toml\n" in done.err
    assert '`liftgeo check "my clutch.toml"`' in done.err
    text = (tmp_path / "my clutch.toml").read_text(encoding="utf-8")
    assert '`liftgeo stroke "my clutch.toml"`' in text
    (tmp_path / "my clutch.toml").write_text(filled(text), encoding="utf-8")
    assert '"my clutch.toml"' in run("check", "my clutch.toml", folder=tmp_path).out


def test_a_name_without_its_ending_is_put_right(tmp_path: Path) -> None:
    run("new", "my-clutch", folder=tmp_path)
    done = run("stroke", "my-clutch", folder=tmp_path)
    assert done.code == 2
    assert done.err == "my-clutch is not there. Did you mean my-clutch.toml?\n"


def test_the_starter_says_what_becomes_of_the_half_width(tmp_path: Path) -> None:
    run("new", "clutch", folder=tmp_path)
    head = (tmp_path / "clutch.toml").read_text(encoding="utf-8").split("title =")[0]
    said = " ".join(head.replace("#", " ").split())
    assert "The ± is kept and read back; it does not enter the answer yet." in said


def test_one_blank_left_is_named_alone_with_what_it_is_and_how_it_is_measured(
    tmp_path: Path,
) -> None:
    path = tmp_path / "clutch.toml"
    run("new", path)
    text = filled(path.read_text(encoding="utf-8")).replace(
        'rest_length = "44"', 'rest_length = ""'
    )
    path.write_text(text, encoding="utf-8")
    assert run("check", path).err == (
        "clutch.toml: 1 thing to put right\n\n"
        "  lever.rest_length\n"
        "    Still blank: nipple to cable stop, lever at rest.\n"
        "    How to measure it: calliper, nipple centre to stop.\n"
    )


@pytest.mark.parametrize(
    ("key", "may_be_left_out"),
    [
        ("lever.rest_length", False),
        ("stack.rim_depth", False),
        ("engine.torque", False),
        ("cable.stiffness", True),
        ("faces.lift_tilt", True),
    ],
)
def test_a_blank_that_may_be_left_out_says_so_and_can_be(
    key: str, may_be_left_out: bool, tmp_path: Path
) -> None:
    path = tmp_path / "clutch.toml"
    run("new", path)
    table, name = key.split(".")
    many = run("check", path).err
    listed = next(b for b in many.split("    [") if b.startswith(f"{table}]"))
    assert (f" {name}*" in listed) is may_be_left_out
    assert re.search(rf" {name}\*?(,|$)", listed, re.MULTILINE)
    text = filled(path.read_text(encoding="utf-8"))
    head, tail = text.split(f"[{table}]\n")
    blank = re.sub(rf"^{name} = .*$", f'{name} = ""', tail, count=1, flags=re.MULTILINE)
    path.write_text(f"{head}[{table}]\n{blank}", encoding="utf-8")
    told = run("check", path).err
    assert told.startswith(f"clutch.toml: 1 thing to put right\n\n  {key}\n")
    assert ("put # before it" in told) is may_be_left_out
    path.write_text(f"{head}[{table}]\n" + tail.replace(f"\n{name} = ", f"\n# {name} = ", 1))
    assert (run("check", path).code == 0) is may_be_left_out


def test_every_optional_key_can_be_switched_on_by_taking_its_mark_away(tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    run("new", path)
    switched = re.findall(r"^# ([\w.]+) = \S+  #", path.read_text(encoding="utf-8"), re.MULTILINE)
    inside = ("pivot", "pin", "stop", "hand", "stiffness", "diameter", "length", "area", "modulus")
    known = {
        f"{name}.{inner}" if inner else name
        for kinds in TABLES.values()
        for model in kinds.values()
        for name in model.model_fields
        for inner in ("", *inside, "construction", "material")
    }
    assert len(switched) > 40
    assert set(switched) <= known


def test_it_never_writes_over_a_file_without_force(tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    path.write_text("mine", encoding="utf-8")
    done = run("new", path)
    assert (done.code, done.out, path.read_text(encoding="utf-8")) == (2, "", "mine")
    assert "exists already" in done.err
    assert "--force" in done.err
    assert run("new", path, "--force").code == 0
    assert "[lever]" in path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("option", "word", "hint"),
    [
        ("--release", "ball-ramps", "Did you mean ball-ramp?"),
        ("--lever", "cam", "Choose pin, drum, profile."),
        ("--spring", "coil", "Did you mean coils?"),
    ],
)
def test_an_unknown_kind_is_refused_with_the_known_ones(
    option: str, word: str, hint: str, tmp_path: Path
) -> None:
    done = run("new", "clutch", option, word, folder=tmp_path)
    assert (done.code, done.out) == (2, "")
    assert f"{option} {word} is not known." in done.err
    assert hint in done.err
    assert list(tmp_path.iterdir()) == []


def test_every_kind_names_the_table_that_bears_it() -> None:
    found = {
        table: tuple(model.model_fields["kind"].default for model in kinds.values())
        for table, kinds in TABLES.items()
        if "" not in kinds
    }
    assert found == KINDS


def test_the_help_offers_every_kind() -> None:
    text = "".join(run("new", "--help").out.split())
    for table in ("release", "lever", "spring"):
        assert f"--{table}{'|'.join(KINDS[table])}" in text


@pytest.mark.parametrize("name", ["", "missing/clutch"])
def test_a_name_that_cannot_be_written_is_refused(name: str, tmp_path: Path) -> None:
    done = run("new", name, folder=tmp_path)
    assert (done.code, done.out) == (2, "")
    assert done.err.strip()
    assert "Traceback" not in done.err
    assert list(tmp_path.iterdir()) == []
