"""What cannot be analysed: key and remedy on stderr, exit code 2, nothing on stdout, no file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from command_line import GEOMETRIES, TRACTOR, edited, run

Spoiler = Callable[[Path], None]


@dataclass(frozen=True)
class Bad:
    """A bad input: how the file comes about, and what must be said of it."""

    spoil: Spoiler
    says: tuple[str, ...]


def bytes_of(data: bytes) -> Spoiler:
    return lambda path: path.write_bytes(data) and None


def folder(path: Path) -> None:
    path.mkdir()


def large(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(50_000_000)


def nothing(path: Path) -> None:
    assert not path.exists()


def swapped(old: str, new: str, source: str = "") -> Spoiler:
    def spoil(path: Path) -> None:
        edited(path, [(old, new)], GEOMETRIES / f"{source}.toml" if source else TRACTOR)

    return spoil


def whole(old: bytes, new: bytes) -> Spoiler:
    return lambda path: path.write_bytes(TRACTOR.read_bytes().replace(old, new)) and None


CASES = {
    "an empty file": Bad(bytes_of(b""), ("The file is empty.", "liftgeo new NAME")),
    "blank lines": Bad(bytes_of(b"\n \n"), ("The file is empty.",)),
    "a file of zeros": Bad(bytes_of(bytes(100)), ("Not a TOML file",)),
    "not TOML": Bad(bytes_of(b"nipple radius: 26"), ("Not a TOML file", "line 1", "key = number")),
    "brackets without end": Bad(bytes_of(b"a = " + b"[" * 5000), ("(whole file)",)),
    "another encoding": Bad(
        bytes_of('title = "Bügel"\n'.encode("latin-1")), ("UTF-8", "byte 11", "Save it")
    ),
    "UTF-16": Bad(whole(b"\n", b"\n\xff\xfe"), ("UTF-8",)),
    "a folder": Bad(folder, ("is a folder", "Name the geometry file inside it")),
    "a missing file": Bad(nothing, ("is not there", "Check the name")),
    "50 MB": Bad(large, ("50 MB", "1 MB at most", "Check that this is the right file")),
    "not a number": Bad(
        swapped("nipple_radius = 26.0", "nipple_radius = nan"),
        ("lever.nipple_radius = nan", "not a finite number", "For example 26.5 mm"),
    ),
    "infinity": Bad(
        swapped("stiffness = 240 ", "stiffness = inf "),
        ("cable.stiffness = inf", "not a finite number"),
    ),
    "a word": Bad(
        swapped("nipple_radius = 26.0", 'nipple_radius = "about 26"'),
        ("lever.nipple_radius = about 26", "no number"),
    ),
    "a comma": Bad(
        swapped("nipple_radius = 26.0", 'nipple_radius = "26,5 mm"'),
        ("lever.nipple_radius", 'Write nipple_radius = "26.5 mm"'),
    ),
    "a length below zero": Bad(
        swapped("nipple_radius = 26.0", "nipple_radius = -26.0"),
        ("lever.nipple_radius = -26.0", "It must be above 0 mm."),
    ),
    "a friction below zero": Bad(
        swapped("friction  = 0.10", "friction  = -0.10"),
        ("cable.friction = -0.1", "It must be at least 0."),
    ),
    "a force for a length": Bad(
        swapped("nipple_radius = 26.0", 'nipple_radius = "3 N"'),
        ("lever.nipple_radius = 3 N", "is a force", "a length is wanted", "mm"),
    ),
    "an unknown unit": Bad(
        swapped("nipple_radius = 26.0", 'nipple_radius = "26 milimetres"'),
        ("lever.nipple_radius", "milimetres", "not known"),
    ),
    "a triangle that is too long": Bad(
        swapped("rest_length   = 44.0", "rest_length   = 200.0"),
        (
            "lever.rest_length = 200 mm",
            "A nipple 26 mm from the pivot and a cable stop 42 mm from it cannot be 200 mm apart.",
            "Possible: 16 mm to 68 mm.",
            "Measure nipple centre to cable stop with the lever at rest.",
        ),
    ),
    "a triangle that is too short": Bad(
        swapped("rest_length = 90.0", "rest_length = 20.0"),
        ("arm.rest_length = 20 mm", "cannot be 20 mm apart", "Possible: 57 mm to 133 mm."),
    ),
    "a lever at dead centre": Bad(
        swapped("rest_length   = 44.0", "rest_length   = 68.0"),
        ("lever.rest_length = 68 mm", "dead centre", "off dead centre"),
    ),
    "an eccentric past dead centre": Bad(
        swapped("rest_angle = 44.0", "rest_angle = 95.0", "delivery-tricycle"),
        ("release.rest_angle = 95 deg", "past dead centre", "between -90 and 90 deg"),
    ),
    "a spring pressed past flat": Bad(
        swapped("rim_depth = 30.5", "rim_depth = 28.9"),
        (
            "stack.rim_depth = 28.9 mm",
            "it is flat at 3.4 mm",
            "The stack leaves 1.4 mm for it.",
            "Check rim depth, friction plate and pressure plate.",
        ),
    ),
    "a spring that is not pressed": Bad(
        swapped("installed_length = 24.0", "installed_length = 34.0", "trials-wet-clutch"),
        ("spring.installed_length = 34 mm", "not pressed at rest", "Measure both again."),
    ),
    "a table that does not rise": Bad(
        swapped('"0.20 in", "0.30 in"', '"0.30 in", "0.20 in"', "reaper-finger-cover"),
        ("spring.deflection", "does not rise", "readings 3 and 4", "must rise"),
    ),
    "a table with a reading missing": Bad(
        swapped('"212 lbf", "320 lbf"', '"320 lbf"', "reaper-finger-cover"),
        ("spring.load", "5 readings", "4", "side by side"),
    ),
    "an unknown key": Bad(
        swapped("nipple_radius", "niple_radius"),
        ("lever.niple_radius", "Did you mean nipple_radius?", "lever.nipple_radius"),
    ),
    "an unknown table": Bad(
        swapped("[release]", "[realease]"), ("realease", "Did you mean release?")
    ),
    "an unknown kind": Bad(
        swapped('kind = "ball-ramp"', 'kind = "ball-ramps"'),
        ("release.kind = ball-ramps", 'Did you mean "ball-ramp"?'),
    ),
    "the same said twice": Bad(
        swapped("rest_length   = 44.0", "cable_angle = 70.0\nrest_length   = 44.0"),
        ("lever.rest_length", "Says the same as", "Keep one of them."),
    ),
    "a range whose ends are reversed": Bad(
        swapped("free_play = 2.2", 'free_play = "4 to 0.5 mm"'),
        ("cable.free_play = 4 to 0.5 mm", "has its ends reversed", "Write the smaller limit first"),
    ),
    "a range that begins below nothing": Bad(
        swapped("nipple_radius = 26.0", 'nipple_radius = "-1 to 30 mm"'),
        ("lever.nipple_radius = -1 to 30 mm", "Its range begins at 0 or below"),
    ),
    "a range and a ±": Bad(
        swapped("nipple_radius = 26.0", 'nipple_radius = "25 to 27 ± 1 mm"'),
        ("lever.nipple_radius", "has a range and a ±", "Write one of them."),
    ),
    "a ± wider than the value": Bad(
        swapped("nipple_radius = 26.0", 'nipple_radius = "26 ± 30 mm"'),
        ("lever.nipple_radius = 26 ± 30 mm", "Its ± is as wide as the number itself"),
    ),
    "ranges that cannot meet": Bad(
        swapped("inside_diameter = 84.0", 'inside_diameter = "120 to 130 mm"'),
        ("faces.inside_diameter = 125 mm", "does not fit within 118 mm outside"),
    ),
    "none where there must be some": Bad(
        swapped("nipple_radius = 26.0", 'nipple_radius = "none"'),
        ("lever.nipple_radius = none", "every machine has some", "above 0 mm"),
    ),
    "a word for a stiffness": Bad(
        swapped("stiffness = 240 ", 'stiffness = "stiff"'),
        ("cable.stiffness = stiff", "no number"),
    ),
    "an unknown condition": Bad(
        swapped("[lever]", 'condition = "worm"\n[lever]'),
        ("condition = worm", '"rebuilt", "used", "worn"', 'Did you mean "worn"?'),
    ),
    "an unknown rule for what is left out": Bad(
        swapped('left_out = "nothing"', 'left_out = "zero"'),
        ("left_out = zero", 'One of "usual", "nothing".'),
    ),
    "left_out inside a change": Bad(
        swapped("[changes.longer-arm]", '[changes.longer-arm]\nleft_out = "nothing"'),
        ("changes.longer-arm.left_out", "A change cannot set it", "at the top of the file"),
    ),
    "condition inside a change": Bad(
        swapped("[changes.longer-arm]", '[changes.longer-arm]\ncondition = "worn"'),
        ("changes.longer-arm.condition", "A change cannot set it", "at the top of the file"),
    ),
    "condition inside a table": Bad(
        swapped("[lever]", '[lever]\ncondition = "worn"'), ("lever.condition", "Not a known key.")
    ),
    "a key missing": Bad(
        swapped("hand_travel   = 39.0", "# 39.0"),
        ("lever.hand_travel", "Needed, and not given", "tape"),
    ),
}

any_case = pytest.mark.parametrize("case", CASES.values(), ids=CASES.keys())


def said_only_on_stderr(done_code: int, out: str, err: str) -> bool:
    return done_code == 2 and out == "" and bool(err.strip()) and "Traceback" not in err


@any_case
def test_the_main_job_says_what_is_wrong_and_what_would_be_right(case: Bad, tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    case.spoil(path)
    before = sorted(tmp_path.iterdir())
    done = run("stroke", path, "--json", "--csv", tmp_path / "table.csv")
    assert said_only_on_stderr(done.code, done.out, done.err), done
    for words in case.says:
        assert words in done.err
    assert sorted(tmp_path.iterdir()) == before


@any_case
def test_check_says_the_same(case: Bad, tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    case.spoil(path)
    checked, stroked = run("check", path), run("stroke", path)
    assert said_only_on_stderr(checked.code, checked.out, checked.err), checked
    assert checked.err == stroked.err


def test_all_faults_of_a_file_are_told_at_once(tmp_path: Path) -> None:
    path = edited(
        tmp_path / "clutch.toml",
        [
            ("nipple_radius = 26.0", "nipple_radius = -26.0"),
            ("max_rotation = 25.0", 'max_rotation = "25 mm"'),
            ("inside_diameter = 84.0", "inside_diameter = 184.0"),
            ("friction_plates = 1 ", "friction_plates = 1.5 "),
            ("[engine]", "[motor]"),
        ],
    )
    done = run("stroke", path)
    assert done.err.startswith("clutch.toml: 5 things to put right\n")
    keys = ("lever.nipple_radius", "release.max_rotation", "faces.friction_plates")
    for key in (*keys, "faces.inside_diameter", "motor"):
        assert f"\n  {key}" in done.err


def test_marks_in_a_file_are_printed_as_they_stand(tmp_path: Path) -> None:
    path = edited(
        tmp_path / "clutch.toml",
        [("(invented)", "[red]%s {0} \\u001b[31m"), ('kind = "ball-ramp"', 'kind = "[arm]"')],
    )
    assert "release.kind = [arm]" in run("stroke", path).err
    path = edited(path.with_name("other.toml"), [("(invented)", "[red]%s {0}")])
    assert run("stroke", path).out.startswith(
        "Base clutch of the tests, single dry plate [red]%s {0}\n"
    )


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--change", "longer-arms"), "Did you mean longer-arm?"),
        (("--units", "furlong"), "Choose metric or inch."),
        (("--positions", "50"), "at least 100"),
        (("--positions", "many"), "--positions"),
        (("--figure", "page.docx"), ".png, .svg or .pdf"),
        (("--figure-only", "effort"), "--figure PATH"),
        (("--figure-only", "pie", "--figure", "a.png"), "Choose effort"),
        (("--colour",), "--colour"),
        (("--left-out", "zero"), "Choose usual or nothing."),
        (("--csv", "missing/table.csv"), "The folder of missing/table.csv is not there."),
        (("--csv", "."), "is a folder"),
    ],
)
def test_a_wrong_option_is_refused_with_what_would_be_right(
    words: tuple[str, ...], says: str, tmp_path: Path
) -> None:
    done = run("stroke", TRACTOR, *words, folder=tmp_path)
    assert said_only_on_stderr(done.code, done.out, done.err), done
    assert says in done.err
    assert list(tmp_path.iterdir()) == []


def test_an_unknown_command_is_refused() -> None:
    done = run("strokes")
    assert said_only_on_stderr(done.code, done.out, done.err), done
    assert "strokes" in done.err
