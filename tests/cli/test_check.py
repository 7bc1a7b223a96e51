"""`liftgeo check`: every quantity read back, with what follows from it and all warnings."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from command_line import GEOMETRIES, TRACTOR, edited, run

import liftgeo

FILES = sorted(GEOMETRIES.glob("*.toml"))


def row(page: str, key: str) -> str:
    """Return the cells of a line of the page, one space between them."""
    found = re.search(rf"^  {re.escape(key)}(?=  )(.*)$", page, re.MULTILINE)
    assert found, f"no line begins with {key}"
    return " ".join(found[1].split())


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_key_of_an_example_is_read_back(path: Path) -> None:
    done = run("check", path)
    assert (done.code, done.err) == (0, "")
    for dotted in liftgeo.load(path).given:
        key = dotted.split(".", 1)[1]
        if key != "kind":
            assert re.search(rf"^  {re.escape(key)}\b", done.out, re.MULTILINE), dotted


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_page_keeps_within_80_columns(path: Path) -> None:
    assert max(len(line) for line in run("check", path).out.splitlines()) <= 80


def test_metric_inch_and_the_half_width_stand_side_by_side() -> None:
    page = run("check", GEOMETRIES / "reaper-finger-cover.toml").out
    assert row(page, "hand_travel") == "52.39 ± 1.59 mm 2.0625 ± 0.0625 in"
    assert row(page, "bend") == "120.0 ± 15.0 deg"
    assert row(page, "torque") == "56.94 ± 2.71 N·m 42.00 ± 2.00 lbf·ft"
    assert row(page, "load, reading 3") == "943 N 212.0 lbf"


def test_what_follows_stands_below_its_table() -> None:
    # By hand: 30.5 - 8 - 19.5 = 3.0 mm is left for a spring of 3.4 + 1.7 = 5.1 mm; the reading
    # stretches 100/240 = 0.417 mm under 100 N; exp(0.10 * 150 deg) = 1.299.
    page = run("check", TRACTOR).out
    assert row(page, "= free height") == "5.10 mm 0.2008 in"
    assert row(page, "= height the stack leaves for it") == "3.00 mm 0.1181 in"
    assert row(page, "= pressed at rest") == "2.10 mm 0.0827 in"
    assert row(page, "= stretch under 100 N") == "0.42 mm 0.0164 in"
    assert row(page, "= pull at lever over pull at arm") == "1.30"
    assert page.index("= pressed at rest") < page.index("[stack]")


def test_the_stiffness_of_a_wire_and_housing_is_worked_out() -> None:
    # By hand: 1x19 wire has 19/25 of pi/4 d^2 of metal, 1.528 mm^2 at 1.6 mm.
    page = run("check", GEOMETRIES / "trials-wet-clutch.toml").out
    assert row(page, "= metal area of the wire") == "1.53 mm² 0.002 in²"
    assert row(page, "wire.construction") == "1x19"
    modulus = float(row(page, "= its modulus on that area").split()[0])
    by_hand = 1 / (1050 / (modulus * 1.528) + 1 / 110 + 1 / 900)
    assert float(row(page, "= stiffness in all").split()[0]) == pytest.approx(by_hand, abs=0.05)


def test_points_are_read_back_with_the_distances_they_make() -> None:
    page = run("check", GEOMETRIES / "delivery-tricycle.toml").out
    assert row(page, "points.hand x") == "-62.00 mm -2.4409 in"
    assert row(page, "= pivot to nipple") == "27.06 mm 1.0654 in"


def test_all_warnings_are_printed(tmp_path: Path) -> None:
    path = edited(tmp_path / "a.toml", [("stiffness = 240 ", "# stiffness = 240 ")])
    page = " ".join(run("check", path).out.split())
    expected = liftgeo.stroke(liftgeo.load(path)).warnings
    assert "rigid-cable" in [warning.key for warning in expected]
    for warning in expected:
        assert " ".join(f"{warning.severity.upper()} {warning.message}".split()) in page


def test_a_change_is_laid_over_the_file_before_it_is_read_back() -> None:
    done = run("check", TRACTOR, "--change", "longer-arm")
    assert row(done.out, "radius") == "44.00 mm 1.7323 in"
    assert row(done.out, "cable_angle") == "100.0 deg"
    assert ", with longer-arm" in done.out.splitlines()[0]


def test_a_change_that_cannot_be_analysed_is_named(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text(
        TRACTOR.read_text(encoding="utf-8") + "[changes.wrong]\nlever.rest_length = 80\n",
        encoding="utf-8",
    )
    done = run("check", path)
    assert (done.code, done.out) == (2, "")
    assert "changes.wrong.lever.rest_length = 80 mm" in done.err
    assert "Possible: 16 mm to 68 mm." in done.err


def test_json_holds_the_same_and_nothing_else() -> None:
    done = run("check", GEOMETRIES / "reaper-finger-cover.toml", "--json")
    assert done.err == ""
    quantities = {entry["key"]: entry for entry in done.data["quantities"]}
    assert quantities["lever.hand_travel"] == {
        "key": "lever.hand_travel",
        "value": pytest.approx(52.3875),
        "unit": "mm",
        "half_width": pytest.approx(1.5875),
        "uniform": False,
    }
    assert quantities["spring.load"]["value"][0] == 0.0
    assert quantities["rod.action"] == {"key": "rod.action", "value": "push"}
    derived = {entry["name"]: entry for entry in done.data["derived"]}
    assert derived["slip margin"]["value"] == pytest.approx(
        liftgeo.stroke(liftgeo.load(GEOMETRIES / "reaper-finger-cover.toml")).capacity.slip_margin
    )
    assert done.data["changes"].keys() >= {"new-springs"}


def test_without_a_file_it_reads_the_example_back_and_says_so_on_stderr() -> None:
    done = run("check")
    assert done.code == 0
    assert "built-in example" in done.err
    assert done.out.startswith("Quarry hauler")


def test_a_slip_is_pointed_to_in_the_first_line(tmp_path: Path) -> None:
    path = edited(tmp_path / "a.toml", [("ramp_angle = 14.0", "ramp_angle = 0.25")])
    page = run("check", path).out
    assert page.splitlines()[1].startswith("It can be analysed, but something looks wrong")
    assert "release.ramp_angle = 0.25 deg looks wrong" in " ".join(page.split())
    assert run("check", TRACTOR).out.splitlines()[1].startswith("Nothing to put right.")
