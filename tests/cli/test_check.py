"""`liftgeo check`: every quantity read back, with what follows from it and all warnings."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from command_line import GEOMETRIES, TRACTOR, edited, run, too_wide
from starter_files import filled

import liftgeo
from liftgeo.mechanism.starter import starter
from liftgeo.words.in_units import in_units

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
    assert too_wide(run("check", path).out) == []


def test_metric_inch_or_what_was_typed_and_the_half_width_stand_side_by_side() -> None:
    page = run("check", GEOMETRIES / "reaper-finger-cover.toml").out
    assert row(page, "hand_travel") == "52.39 ± 1.59 mm 2 1/16 in ± 1/16 in"
    assert row(page, "bend") == "120.0 ± 15.0 deg"
    assert row(page, "torque") == "56.94 ± 2.71 N·m 42 lbf·ft ± 2"
    assert row(page, "load, reading 3") == "943 N 212 lbf"


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
    path = edited(
        tmp_path / "a.toml",
        [("stiffness = 240 ", "# stiffness = 240 "), ("[lever]", "[lever]")],
    )
    page = " ".join(run("check", path).out.split())
    expected = liftgeo.stroke(liftgeo.load(path)).warnings
    assert "rigid-cable" in [warning.key for warning in expected]
    for warning in expected:
        assert (
            " ".join(f"{warning.severity.upper()} {in_units(warning.message, 'metric')}".split())
            in page
        )


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
        "typed": "2 1/16 in ± 1/16 in",
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


# --- what is taken, what is lacking, what to measure next ---

KINDS = {"lever": "pin", "arm": "pin", "release": "ball-ramp", "spring": "coils"}


def beginner(path: Path, *more: str, tables: tuple[str, ...] = ()) -> Path:
    """Write a short starter file with invented numbers, and lines behind it."""
    text = filled(starter("Clutch", path.name, KINDS), *tables)
    path.write_text("\n".join([text, *more, ""]), encoding="utf-8")
    return path


def test_every_value_taken_is_read_back_with_its_range_and_its_mark(tmp_path: Path) -> None:
    # The ranges are those of the key table, as docs/keys.md prints them.
    page = run("check", beginner(tmp_path / "a.toml")).out
    assert row(page, "bend") == "130 deg usual, 60 to 220 deg"
    assert page.index("[cable]") < page.index("  bend") < page.index("[arm]")
    assert row(page, "cushion_travel") == "0.20 mm usual, 0.00 to 0.60 mm"
    assert row(page, "plate_runout") == "0.20 mm usual, 0.08 to 0.45 mm"
    assert page.count("  usual, ") == len(liftgeo.load(tmp_path / "a.toml").taken)
    said = " ".join(page.split())
    assert "what is taken for a used machine, anywhere in its range (common practice, no" in said


def test_json_holds_what_is_taken_and_no_taken_value_among_the_quantities(tmp_path: Path) -> None:
    data = run("check", beginner(tmp_path / "a.toml"), "--json").data
    taken = {item.pop("key"): item for item in data["taken"]}
    assert taken["cable.stiffness"] == {
        "value": 220.0,
        "low": 100.0,
        "high": 450.0,
        "unit": "N/mm",
        "source": "common practice, no source",
    }
    assert taken.keys().isdisjoint(entry["key"] for entry in data["quantities"])
    assert (data["condition"], data["left_out"], data["level"]) == ("used", "usual", "full")
    assert data["lacking"] == []


def test_the_condition_of_the_machine_moves_what_is_taken(tmp_path: Path) -> None:
    path = beginner(tmp_path / "a.toml")
    path.write_text(path.read_text().replace('condition = "used"', 'condition = "worn"'))
    page = run("check", path).out
    assert "a worn machine" in " ".join(page.split())
    # worn: halfway from usual to the bad end, 0.10 + (0.16 - 0.10)/2
    data = {item["key"]: item for item in run("check", path, "--json").data["taken"]}
    assert data["cable.friction"]["value"] == pytest.approx(0.13)


def test_what_is_given_as_nothing_or_rigid_shows_as_that(tmp_path: Path) -> None:
    more = ["[cable]", 'stiffness = "rigid"', 'friction = "none"', "[rod]", "end_float = 0"]
    path = beginner(tmp_path / "a.toml", *more)
    page = run("check", path).out
    assert row(page, "stiffness") == "rigid"
    assert "looks wrong" not in page
    assert row(page, "friction") == "none"
    assert row(page, "= stretch under 100 N") == "0.00 mm 0.0000 in"
    data = run("check", path, "--json").data
    quantities = {entry["key"]: entry for entry in data["quantities"]}
    assert quantities["cable.stiffness"]["value"] == "rigid"
    assert quantities["cable.friction"]["value"] == 0.0
    assert {"cable.stiffness", "cable.friction", "rod.end_float"}.isdisjoint(
        item["key"] for item in data["taken"]
    )


def test_left_out_as_nothing_takes_nothing(tmp_path: Path) -> None:
    path = beginner(tmp_path / "a.toml")
    asked = run("check", path, "--left-out", "usual").out
    assert asked.replace(" --left-out usual", "") == run("check", path).out
    data = run("check", path, "--left-out", "nothing", "--json").data
    assert (data["taken"], data["left_out"], data["next"]) == ([], "nothing", [])
    assert [item["key"] for item in data["lacking"]] == ["faces.friction"]


@pytest.mark.parametrize("command", ["stroke", "wear", "formula"])
def test_left_out_is_an_option_of_every_analysis(command: str, tmp_path: Path) -> None:
    path = beginner(tmp_path / "a.toml")
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("[faces]", "[faces]\nfriction = 0.3"), encoding="utf-8")
    asked = run(command, path, "--json", "--left-out", "nothing")
    path.write_text('left_out = "nothing"\n' + path.read_text(encoding="utf-8"))
    assert run(command, path, "--json").data == asked.data
    usual = run(command, path, "--json", "--left-out", "usual")
    assert usual.data != asked.data


def test_left_out_is_an_option_of_compare_and_size(tmp_path: Path) -> None:
    path = beginner(tmp_path / "a.toml", "[changes.longer]", "arm.radius = 44")
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("[faces]", "[faces]\nfriction = 0.3"), encoding="utf-8")
    lift = {}
    for word in ("usual", "nothing"):
        compared = run("compare", path, "--json", "--left-out", word).data
        wanted = ("--vary", "arm.radius=38..38.1", "--want", "hand_force<=5000")
        sized = run("size", path, *wanted, "--json", "--left-out", word)
        assert sized.code in (0, 1), sized.err
        lift[word] = compared["base"]["full_lever"]["plate_lift_mm"], sized.out
    assert lift["nothing"][0] > lift["usual"][0]
    assert lift["nothing"][1] != lift["usual"][1]


def test_what_to_measure_next_is_named_with_what_it_gains(tmp_path: Path) -> None:
    path = beginner(tmp_path / "a.toml")
    steps = run("check", path, "--json").data["next"]
    page = " ".join(run("check", path).out.split())
    assert 1 <= len(steps) <= 3
    for step in steps:
        count = round(20 * step["certainty"])
        times = f"about {count}" if count < 20 else "at least 19"
        name = step.get("key") or f"bench.{step['reading']}"
        assert f"{name} ({step['how']}): then the answer is sure {times} times in 20" in page
    assert [s["certainty"] for s in steps] == sorted(s["certainty"] for s in steps)
    first = steps[0].get("key") or f"bench.{steps[0]['reading']}"
    assert f"To measure next, the best first: {first}" in page


def test_a_sure_answer_wants_no_reading(tmp_path: Path) -> None:
    path = beginner(tmp_path / "a.toml")
    text = re.sub(r"^hand_travel = .*$", "hand_travel = 20", path.read_text(), flags=re.MULTILINE)
    path.write_text(text, encoding="utf-8")
    assert "sure at least 19 times in 20 as it stands. No reading is wanting." in " ".join(
        run("check", path).out.split()
    )


def test_a_file_of_lever_and_arm_alone_is_read_back(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    text = starter("Clutch", path.name, KINDS)
    path.write_text(filled(text[: text.index("[release]")]), encoding="utf-8")
    done = run("check", path)
    assert (done.code, done.err) == (0, "")
    assert "it gives the ratio of lever, cable and arm." in " ".join(done.out.split())
    assert row(done.out, "= cable pull at the grip").startswith("1")
    assert "= load at rest" not in done.out
    assert "To add next: [release] kind; then [spring] kind; then [faces] friction_plates" in (
        " ".join(done.out.split())
    )
    assert run("check", path, "--json").data["next"] == []


def test_a_spring_without_a_release_unit_is_worked_out_too(tmp_path: Path) -> None:
    # By hand: 6 springs of 24 N/mm pressed by 42 - 31 = 11 mm give 1584 N.
    path = beginner(tmp_path / "a.toml", tables=("lever", "arm", "spring"))
    page = run("check", path).out
    assert row(page, "= load at rest").startswith("1584 N ")
    assert "[spring]  coils\n" in page
    assert "To add next: [release] pitch_radius, ramp_angle; then [faces] " in page


def test_what_a_table_gives_that_is_not_whole_is_read_back_as_not_used(tmp_path: Path) -> None:
    path = beginner(tmp_path / "a.toml", tables=("lever", "arm"))
    text = path.read_text(encoding="utf-8")
    text = re.sub(r'^pitch_radius += ""', "pitch_radius = 17", text, flags=re.MULTILINE)
    path.write_text(text, encoding="utf-8")
    page = run("check", path).out
    assert "[release]  ball-ramp  not whole yet\n" in page
    assert row(page, "pitch_radius") == "17.00 mm not used yet"
    assert "To add next: [release] ramp_angle;" in page


def test_a_spring_fitted_by_its_stack_waits_for_the_faces(tmp_path: Path) -> None:
    # The stack's height counts the friction plates.
    path = tmp_path / "a.toml"
    text = filled(starter("Clutch", path.name, KINDS | {"spring": "coned-disc"}))
    text = re.sub(r"^installed_deflection = .*$", "", text, flags=re.MULTILINE)
    stack = "[stack]\nrim_depth = 30.5\nfriction_plate = 8.0\npressure_plate = 19.5\n"
    path.write_text(text + stack, encoding="utf-8")
    assert liftgeo.load(path).level == "full"
    for spoiled, level in (("inside_diameter", "effort"), ("friction_plates", "lift")):
        head, faces = text.split("[faces]")
        faces = re.sub(rf"^{spoiled} = .*$", "", faces, flags=re.MULTILINE)
        path.write_text(f"{head}[faces]{faces}{stack}", encoding="utf-8")
        data = run("check", path, "--json").data
        assert (data["level"], [item["key"] for item in data["lacking"]]) == (
            level,
            [f"faces.{spoiled}"],
        )
        assert run("stroke", path, "--json").data["verdict"] == "partial"
        waits = row(run("check", path).out, "thickness") == "1.70 mm not used yet"
        assert waits == (level == "lift")
    path.write_text(text + stack, encoding="utf-8")
    data = run("check", path, "--left-out", "nothing", "--json").data
    assert (data["level"], [item["key"] for item in data["lacking"]]) == (
        "effort",
        ["faces.friction"],
    )


def test_a_sound_file_is_drawn_with_its_numbers(tmp_path: Path) -> None:
    done = run("check", TRACTOR, "--figure", "check.svg", folder=tmp_path)
    assert done.code == 0
    assert "Written: check.svg" in done.err
    assert (tmp_path / "check.svg").stat().st_size > 5000


@pytest.mark.parametrize("by_stdin", [False, True])
def test_a_faulty_file_is_drawn_and_told_all_the_same(by_stdin: bool, tmp_path: Path) -> None:
    bad = edited(tmp_path / "bad.toml", [("rest_length   = 44.0", "rest_length = 200.0")])
    plain = run("check", bad)
    content = bad.read_bytes() if by_stdin else b""
    file = "-" if by_stdin else bad
    done = run("check", file, "--figure", "check.svg", folder=tmp_path, stdin=content)
    assert done.code == plain.code == 2
    assert "cannot be 200 mm apart" in done.err
    assert "Written: check.svg" in done.err
    assert (tmp_path / "check.svg").stat().st_size > 5000


def test_what_is_no_file_of_tables_is_not_drawn(tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text("[lever\n")
    done = run("check", "bad.toml", "--figure", "check.svg", folder=tmp_path)
    assert done.code == 2
    assert "nothing to draw" in done.err
    assert not (tmp_path / "check.svg").exists()
