"""`liftgeo size`: the page, the JSON, the table, the figure, saving, and what it refuses."""

from __future__ import annotations

import csv
import io
import os
import pty
import re
import select
import subprocess
import sys
from pathlib import Path

import pytest
from command_line import CHECKOUT, GEOMETRIES, TRACTOR, edited, run, too_wide

import liftgeo
from liftgeo.words.names import TOLD_APART

QUICK = ("--vary", "release.ramp_angle=12..18", "--want", "clearance>=0.02")


# --- the page ---


def test_the_page_gives_values_margins_and_effects() -> None:
    done = run("size", TRACTOR, *QUICK, "--full")
    assert (done.code, done.err) == (0, "")
    lines = done.out.splitlines()
    assert lines[2].startswith("FOUND: with clearance at least 0.020 mm, the least peak hand")
    row = next(line.split() for line in lines if line.startswith("  release.ramp_angle"))
    assert row[1:3] == ["14.0", "deg"]
    want = next(line for line in lines if line.startswith("  clearance at least 0.020 mm"))
    assert want.endswith("just kept")
    page = " ".join(done.out.split())
    assert "lever, arm and ramp trade lift for effort, at constant work" in page
    assert "The least effort for each clearance" in page


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("path", sorted(GEOMETRIES.glob("*.toml")), ids=lambda path: path.stem)
def test_the_page_keeps_within_80_columns(path: Path, units: str) -> None:
    ranges = ("--vary", "arm.radius_same_angle=25..50")
    done = run("size", path, *ranges, "--want", "clearance>=5", "--units", units)
    assert done.code == 0
    assert "NOT POSSIBLE within these ranges. Nearest miss: clearance" in done.out
    assert too_wide(done.out) == []


def test_a_miss_says_what_is_in_the_way() -> None:
    wants = ("--want", "clearance>=0.3", "--want", "peak_hand_force<=40")
    done = run("size", TRACTOR, "--vary", "release.ramp_angle=12..18", *wants)
    assert done.code == 0
    page = " ".join(done.out.split())
    assert "NOT POSSIBLE" in page
    assert "clearance at least 0.300 mm: the hand's travel is used up" in page
    assert "peak hand force at most 40 N: the least effort there is" in page
    assert "missed" in page


def test_lift_is_wanted_and_told_apart_from_separation_and_clearance() -> None:
    done = run("size", TRACTOR, "--vary", "release.ramp_angle=12..18", "--want", "lift>=0.68")
    assert done.code == 0
    assert "FOUND: with lift at least 0.680 mm, the least peak hand" in done.out
    assert " ".join(done.out.split()).count(TOLD_APART) == 1
    assert " ".join(run("size", "--help").out.split()).count(TOLD_APART) == 1
    other = run("size", TRACTOR, "--vary", "release.ramp_angle=12..18", "--want", "slip_margin>=1")
    assert TOLD_APART not in " ".join(other.out.split())


def test_an_answer_that_slips_is_not_to_be_made(tmp_path: Path) -> None:
    strong = edited(tmp_path / "strong.toml", [("torque = 58.0", "torque = 103.0")])
    ranges = ("--vary", "stack.friction_plate=8.0..8.6", "--least", "peak_hand_force")
    page = " ".join(run("size", strong, *ranges).out.split())
    assert "STOP: slips; do not make this" in page
    assert "it is not proposed as it stands" in page
    assert "--save NAME" not in page


# --- JSON and files ---


def test_the_json_has_its_shape_and_the_result_is_that_of_the_values() -> None:
    data = run("size", TRACTOR, *QUICK, "--json").data
    assert set(data) == {
        "cautions",
        "met",
        "values",
        "result",
        "binding",
        "front",
        "evaluated",
        "dropped",
        "frees",
        "holds",
        "taken",
        "seed",
        "base",
    }
    assert data["met"] is True
    assert data["binding"] == ["clearance"]
    assert set(data["values"]) == {"release.ramp_angle"}
    assert "stroke" not in data["result"]
    assert data["result"]["full_lever"]["clearance_per_face_mm"] >= 0.02
    for point in data["front"]:
        assert set(point) == {"values", "clearance_per_face_mm", "peak_hand_force_n"}


def test_the_front_is_written_as_a_table_and_a_figure(tmp_path: Path) -> None:
    table, figure = tmp_path / "front.csv", tmp_path / "front.svg"
    done = run("size", TRACTOR, *QUICK, "--csv", table, "--figure", figure, "--json")
    assert done.err == f"Written: {table}\nWritten: {figure}\n"
    rows = list(csv.DictReader(io.StringIO(table.read_text(encoding="utf-8"))))
    front = done.data["front"]
    assert [float(r["peak_hand_force_n"]) for r in rows] == [p["peak_hand_force_n"] for p in front]
    assert [float(r["release.ramp_angle"]) for r in rows] == [
        p["values"]["release.ramp_angle"] for p in front
    ]
    assert figure.read_text(encoding="utf-8").startswith("<?xml")


def test_steps_are_kept() -> None:
    data = run("size", TRACTOR, *QUICK, "--step", "release.ramp_angle=0.5", "--json").data
    assert data["values"]["release.ramp_angle"] % 0.5 == 0
    assert data["met"] is True


def test_text_with_units_and_dotted_ranges_are_read() -> None:
    words = ("--vary", "cable.free_play=0.5 mm..2 mm", "--want", "clearance>=0.4 thou")
    data = run("size", TRACTOR, *words, "--json").data
    assert 0.5 <= data["values"]["cable.free_play"] <= 2.0
    assert data["result"]["full_lever"]["clearance_per_face_mm"] >= 0.01016


def test_the_answer_is_saved_as_a_change_and_does_what_was_found(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    before = TRACTOR.read_text(encoding="utf-8")
    path.write_text(before, encoding="utf-8")
    words = ("--vary", "arm.radius_same_angle=30..44", "--want", "clearance>=0.02")
    done = run("size", path, *words, "--save", "sized", "--json")
    assert done.code == 0
    assert f"Written: [changes.sized] in {path}" in done.err
    after = path.read_text(encoding="utf-8")
    assert after.startswith(before)
    assert "[changes.sized]" in after[len(before) :]
    alone = run("stroke", path, "--change", "sized", "--json").data
    assert alone["full_lever"] == done.data["result"]["full_lever"]
    again = run("size", path, *words, "--save", "sized")
    assert (again.code, again.out) == (2, "")
    assert "has a change called sized already" in again.err
    assert path.read_text(encoding="utf-8") == after


# --- progress ---


def test_no_progress_is_shown_where_stderr_is_no_terminal() -> None:
    ranges = ("--vary", "arm.radius=32..44", "--vary", "cable.free_play=1..3")
    done = run("size", TRACTOR, *ranges, "--json")
    assert done.err == ""
    assert done.data["evaluated"] > 8000


def test_a_long_search_shows_its_progress_on_a_terminal_and_on_stderr_alone() -> None:
    code = (
        "import sys, liftgeo.cli.progress as bar; bar.PATIENCE_S = 0.0\n"
        "from liftgeo.cli import main; sys.argv[0] = 'liftgeo'; main()"
    )
    ours, theirs = pty.openpty()
    words = [sys.executable, "-c", code, "size", str(TRACTOR), *QUICK, "--json"]
    place = {**os.environ, "PYTHONPATH": str(CHECKOUT), "TERM": "xterm", "COLUMNS": "80"}
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=theirs, env=place) as child:
        os.close(theirs)
        shown = b""
        assert child.stdout is not None
        out = child.stdout.read()
        while select.select([ours], [], [], 1.0)[0]:
            try:
                piece = os.read(ours, 4096)
            except OSError:  # the terminal closes with the last writer
                break
            if not piece:
                break
            shown += piece
    os.close(ours)
    assert child.returncode == 0
    assert b"searching:" in shown
    assert b"variants" in shown
    assert out.lstrip().startswith(b"{")


# --- what it refuses ---


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "--vary KEY=LOW..HIGH"),
        (("--vary", "arm.radus=30..44"), "Did you mean arm.radius?"),
        (("--vary", "arm.radius=44..30"), "LOW (44 mm) is above HIGH (30 mm)"),
        (("--vary", "arm.radius=300..400"), "the arm's triangle does not close"),
        (("--vary", "arm.radius=30..44", "--want", "clearance>0.1"), "NAME>=NUMBER"),
        (("--vary", "arm.radius=30..44", "--most", "beauty"), "beauty cannot be wanted"),
        (("--vary", "arm.radius=30..44", "--save", "longer-arm"), "longer-arm already"),
        (("--vary", "rod.length=100..200"), "rod.diameter"),
        (("--vary", "arm.radius=30..44", "--units", "ell"), "metric or inch"),
        (("--vary", "targets.clearance=0.1..0.2"), 'as in --want "clearance>=0.15"'),
        (("--vary", "cable.free_play=0 ± 1..2"), "carries no ±"),
        (("--vary", "arm.radius=30..44", "--want", "clearance>=0.1 ± 0.1"), "carries no ±"),
        (
            (
                *("--vary", "arm.radius=30..44"),
                *("--step", "arm.radius=1", "--step", "arm.radius=2"),
            ),
            "has a step already",
        ),
    ],
)
def test_a_wrong_question_is_told_on_stderr(words: tuple[str, ...], said: str) -> None:
    done = run("size", TRACTOR, *words)
    assert (done.code, done.out) == (2, "")
    assert said in done.err


def test_a_want_on_a_missing_table_names_the_key(tmp_path: Path) -> None:
    text = TRACTOR.read_text(encoding="utf-8")
    bare = tmp_path / "bare.toml"
    bare.write_text(text.replace("[engine]\ntorque = 58.0", ""), encoding="utf-8")
    done = run("size", bare, "--vary", "arm.radius=30..44", "--want", "slip_margin>=1.5")
    assert (done.code, done.out) == (2, "")
    assert "engine.torque" in done.err


def test_standard_input_can_be_sized_but_not_written_into() -> None:
    data = TRACTOR.read_bytes()
    assert run("size", "-", *QUICK, stdin=data).code == 0
    done = run("size", "-", *QUICK, "--save", "sized", stdin=data)
    assert (done.code, done.out) == (2, "")
    assert "not standard input" in done.err


def test_a_share_that_frees_can_be_wanted(tmp_path: Path) -> None:
    path = tmp_path / "unsure.toml"
    text = TRACTOR.read_text(encoding="utf-8")
    text, count = re.subn(r"(?m)^ramp_angle *= *14.*$", 'ramp_angle = "14 ± 1 deg"', text)
    assert count == 1
    path.write_text(text, encoding="utf-8")
    ranges = ("--vary", "cable.free_play=0.5..2.5", "--want", "frees>=0.6")
    done = run("size", path, *ranges)
    assert done.code == 0
    page = " ".join(done.out.split())
    assert "FOUND: with frees at least 60 in 100, the least peak hand force is" in page
    assert "frees in 100" in page
    data = run("size", path, *ranges, "--json").data
    assert data["met"] is True
    assert 0.6 <= data["frees"] < 0.7
    assert data["seed"] == 1
    assert data["base"]["frees"] < 0.6
    assert data["binding"] == ["frees"]


def test_a_share_of_all_clutches_is_refused() -> None:
    done = run("size", TRACTOR, "--vary", "release.ramp_angle=12..18", "--want", "frees>=1")
    assert (done.code, done.out) == (2, "")
    assert "above 0 and below 1" in " ".join(done.err.split())


def test_a_stock_file_is_kept_to_and_never_written_over(tmp_path: Path) -> None:
    stock = tmp_path / "holes.csv"
    stock.write_text("arm.radius\n33\n35\n36.5\n", encoding="utf-8")
    words = ("size", TRACTOR, "--vary", "arm.radius=30..44", "--want", "clearance>=0.01")
    done = run(*words, "--stock", stock, "--json")
    assert done.code == 0
    assert done.data["values"]["arm.radius"] in (33.0, 35.0, 36.5)
    assert "35.0 mm" in run(*words, "--stock", stock, "--full").out
    refused = run(*words, "--stock", stock, "--csv", stock, "--force")
    assert refused.code == 2
    assert "33" in stock.read_text(encoding="utf-8")
    assert run(*words, "--stock", tmp_path / "none.csv").code == 2


def test_bare_numbers_beside_inch_units_are_told_to_be_millimetres() -> None:
    words = ("size", TRACTOR, "--vary", "arm.hole=30..44", "--units", "inch")
    done = run(*words, "--want", "clearance>=0.01", "--least", "peak_hand_force")
    said = " ".join(done.err.split())
    assert "--vary arm.hole=30..44: bare numbers are mm" in said
    assert 'Write --vary "arm.hole=30..44in" for in.' in said
    assert "--want clearance>=0.01: bare numbers are mm" in said
    quiet = run(*words[:3], "arm.hole=1.2..1.7in", *words[4:], "--want", "slip_margin>=1")
    assert quiet.err == ""


LONGER = [("hand_travel   = 39.0", "hand_travel   = 50.0")]
"""Travel to spare: a new hole may bring its metal's caution alone."""
HOLE = ("--vary", "arm.hole=30..44", "--want")


def test_a_new_hole_is_proposed_with_its_caution_and_barred_by_what_another_value_avoids(
    tmp_path: Path,
) -> None:
    """Any hole takes metal off; a late clearance comes with some of them only."""
    done = run("size", TRACTOR, *HOLE, "clearance>=0.005")
    said = " ".join(done.out.split())
    assert "new warnings (clear late), so it is not proposed" in said
    assert "another range may avoid them." in said
    assert "arm.hole 38.0 mm" in said  # the hole of now is the arm's radius
    early = run("size", edited(tmp_path / "longer.toml", LONGER), *HOLE, "clearance>=0.05")
    said = " ".join(early.out.split())
    assert "Proposed with its caution (metal removed): every value asked for brings it" in said
    assert "CAUTION Metal is taken off (arm.hole)" in said
    assert "not proposed" not in said
    assert "--save sized` writes it into the file as a change" in said


def test_the_top_of_the_page_says_how_sure_the_answer_is() -> None:
    words = ("--vary", "arm.hole=24..36", "--want", "clearance>=0.04")
    done = run("size", GEOMETRIES / "quarry-hauler.toml", *words)
    top = " ".join(done.out.partition("CAUTION")[0].split())
    assert re.search(r"How sure: of 20 clutches measured like this, [\w ]+ would run clear", top)
    exact = run("size", TRACTOR, *HOLE, "clearance>=0.005")
    assert "How sure" not in exact.out


@pytest.mark.parametrize(
    ("want", "longer", "stands"),
    [
        ("clearance>=0.005", False, "found, not proposed. CAUTION: metal removed"),
        ("clearance>=0.05", True, "proposed. CAUTION: metal removed"),
        ("clearance>=0.9", True, "nearest miss. CAUTION: metal removed"),
    ],
)
def test_the_figure_says_of_the_answer_what_the_page_says(
    tmp_path: Path, want: str, longer: bool, stands: str
) -> None:
    drawn = tmp_path / "drawn.svg"
    file = edited(tmp_path / "longer.toml", LONGER) if longer else TRACTOR
    assert run("size", file, *HOLE, want, "--figure", drawn).code == 0
    assert f"<!-- {stands}" in drawn.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("radius", "units", "said"),
    [
        ("38.0", "metric", "clearance at least 0.010 mm"),
        ("38.0", "inch", "clearance at least 0.0004 in"),
        ('"1 1/2 in"', "metric", "clearance at least 0.0004 in"),
    ],
)
def test_the_note_of_a_saved_answer_is_in_the_units_of_the_file_or_page(
    tmp_path: Path, radius: str, units: str, said: str
) -> None:
    path = tmp_path / "mine.toml"
    text = TRACTOR.read_text(encoding="utf-8")
    path.write_text(text.replace("radius = 38.0", f"radius = {radius}", 1), encoding="utf-8")
    words = ("--vary", "cable.free_play=0.5..1.5", "--want", "clearance>=0.01 mm")
    done = run("size", path, *words, "--save", "sized", "--units", units)
    assert done.code == 0
    assert said in liftgeo.load(path).changes["sized"].note
