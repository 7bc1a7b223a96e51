"""`liftgeo wear`: its page, JSON, CSV and figure; and what the clutch end cannot be told."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest
from command_line import GEOMETRIES, TRACTOR, run, too_wide

import liftgeo
from liftgeo.cli.options import BUILT_IN
from liftgeo.geometry_file import example_path
from liftgeo.safety import WORK_SAFELY

TRIALS = GEOMETRIES / "trials-wet-clutch.toml"


def test_the_page_answers_which_limit_wear_meets_first():
    done = run("wear", TRACTOR)
    assert done.code == 0
    assert done.err == ""
    lines = done.out.splitlines()
    assert lines[0] == "Base clutch of the tests, single dry plate (invented)"
    text = " ".join(lines)
    assert "The first limit that wear meets: the lever rides" in text
    assert "at 0.18 mm off each face (0.35 mm in all)" in text
    assert "--readjusted" in text
    assert " ".join(WORK_SAFELY.split()[:6]) in " ".join(text.split())
    assert too_wide(done.out) == []


def test_set_again_it_follows_the_facing_to_its_limit():
    done = run("wear", TRIALS, "--readjusted")
    assert done.code == 0
    assert "Free play and float are set again" in done.out
    assert "the facing is done, at 0.15 mm off each face (1.50 mm in all)" in " ".join(
        done.out.split()
    )


def test_without_a_file_it_follows_the_built_in_example():
    done = run("wear", "--json")
    assert done.code == 0
    assert "built-in example" in done.err
    assert done.data["title"] == liftgeo.load(example_path(BUILT_IN)).title


def test_json_stands_alone_on_stdout_and_is_the_study():
    done = run("wear", TRACTOR, "--json")
    assert done.err == ""
    data = done.data
    assert data["first_limit_by_wear"]["name"] == "lever-rides"
    assert data["first_limit_by_wear"]["wear_mm"] == data["riding_mm"]
    lengths = {len(column) for column in data["rows"].values()}
    assert lengths == {len(data["rows"]["wear_mm"])}
    assert data["rows"]["wear_mm"][-1] == data["wear_limit_mm"]


def test_a_change_is_laid_over_the_file():
    done = run("wear", TRACTOR, "--change", "thick-plate", "--json")
    stock = run("wear", TRACTOR, "--json")
    assert done.data["change"] == "thick-plate"
    assert done.data["rows"]["clamp_force_n"][0] < stock.data["rows"]["clamp_force_n"][0]


def test_csv_and_figure_are_written_whole_and_not_over_others(tmp_path: Path):
    table, figure = tmp_path / "wear.csv", tmp_path / "wear.svg"
    done = run("wear", TRACTOR, "--csv", table, "--figure", figure)
    assert done.code == 0
    assert f"Written: {table}" in done.err
    rows = list(csv.DictReader(io.StringIO(table.read_text())))
    assert float(rows[0]["wear_mm"]) == 0.0
    assert figure.read_text().lstrip().startswith("<?xml")
    again = run("wear", TRACTOR, "--csv", table)
    assert again.code == 2
    assert again.out == ""
    assert "--force" in again.err
    assert run("wear", TRACTOR, "--csv", table, "--force").code == 0


def test_inch_units_are_shown_and_json_stays_metric():
    done = run("wear", TRACTOR, "--units", "inch")
    assert "off each face" in done.out
    assert "each in" in done.out
    metric = run("wear", TRACTOR, "--json").data
    assert run("wear", TRACTOR, "--json", "--units", "inch").data == metric
    assert run("wear", TRACTOR, "--units", "ells").code == 2


def test_what_is_past_riding_takes_one_line(tmp_path: Path):
    text = TRACTOR.read_text(encoding="utf-8").replace("wear_limit = 0.4", "wear_limit = 1.4")
    file = tmp_path / "thick.toml"
    file.write_text(text, encoding="utf-8")
    lines = run("wear", file).out.splitlines()
    assert sum("rides; not worked out" in line for line in lines) == 1
    first = next(k for k, line in enumerate(lines) if line.startswith("each mm"))
    wear = [line.split()[0] for line in lines[first + 1 : first + 10]]
    assert len(set(wear)) == 9  # no row prints as its neighbour
    assert "faces.wear_limit" not in run("wear", file).out


def test_without_a_thickness_it_says_how_far_it_went_and_why():
    page = " ".join(run("wear", GEOMETRIES / "saw-bench.toml").out.split())
    assert "is not given (faces.facing_thickness, faces.wear_limit): it was followed to " in page
    assert "off each face, since there the lever rides." in page


def test_a_pedal_wears_in_its_own_words(tmp_path: Path):
    text = TRACTOR.read_text(encoding="utf-8").replace("[lever]", '[lever]\nworked_by = "foot"')
    file = tmp_path / "pedal.toml"
    file.write_text(text, encoding="utf-8")
    page = run("wear", file).out
    assert "less than 5 mm of play is left at the pedal" in page
    assert "less than 2 mm of play is left at the lever" in run("wear", TRACTOR).out
    assert re.search(r"\b(lever|hand|grip)\b", page) is None


def test_the_stroke_page_tells_of_the_clutch_end():
    done = run("stroke", TRACTOR, "--full")
    text = " ".join(done.out.split())
    assert "Spring: a thicker plate lightens this clutch: it sits past its peak by 0.09 mm" in text
    assert "At full lever it drags: some 0.83 N·m (tilt shared by all faces) to 1.46 N·m" in text
    assert "Play: the rod loads after" in text


FACES = "[faces]\n"
BAD = {
    "two readings round the rim": (
        FACES,
        "[faces]\nrim_heights = [3.0, 3.1]\n",
        ("faces.rim_heights", "2 readings do not tell", "three places"),
    ),
    "angles that do not match": (
        FACES,
        "[faces]\nrim_heights = [3.0, 3.1, 3.2]\nrim_angles = [0, 90]\n",
        ("faces.rim_angles", "3 readings at 2 angles", "one angle for each"),
    ),
    "readings and a tilt": (
        FACES,
        "[faces]\nlift_tilt = 0.1\nrim_heights = [3.0, 3.1, 3.2]\n",
        ("Says the same as faces.lift_tilt",),
    ),
    "a static rating of zero": (
        FACES,
        '[bearing]\nkind = "deep-groove"\nstatic_rating = 0\n[faces]\n',
        ("bearing.static_rating = 0", "0 N cannot be", "above 0 N"),
    ),
    "a dynamic rating of zero": (
        FACES,
        '[bearing]\nkind = "deep-groove"\ndynamic_rating = 0\n[faces]\n',
        ("bearing.dynamic_rating = 0", "0 N cannot be", "above 0 N"),
    ),
    "more wear than facing": (
        FACES,
        "[faces]\nwear_limit = 3.5\nfacing_thickness = 3.0\n",
        ("faces.wear_limit = 3.5 mm", "cannot wear by 3.5 mm", "at most its thickness"),
    ),
    "a groove smaller than its ball": (
        "[release]\n",
        "[release]\nball_diameter = 8\nball_count = 3\ngroove_radius = 3.9\n",
        ("release.groove_radius", "does not run in a groove of 3.9 mm radius"),
    ),
    "a class nobody knows": (
        FACES, '[faces]\nmaterial = "hemp"\n', ("faces.material", "woven"),
    ),
}  # fmt: skip

PLAIN = """
[lever]
nipple_radius = 26.0
stop_distance = 42.0
rest_length = 44.0
hand_radius = 75.0
hand_travel = 39.0
[cable]
free_play = 2.2
[arm]
radius = 38.0
stop_distance = 95.0
rest_length = 90.0
[release]
kind = "ball-ramp"
pitch_radius = 16.0
ramp_angle = 14.0
[rod]
action = "pull"
[spring]
kind = "coils"
count = 6
rate = 60
free_length = 50
installed_length = 40
[faces]
friction_plates = 1
outside_diameter = 118.0
inside_diameter = 84.0
friction = 0.30
"""


@pytest.mark.parametrize("command", ["stroke", "wear"])
@pytest.mark.parametrize("name", BAD)
def test_what_the_clutch_end_cannot_use_is_refused_with_a_remedy(name, command, tmp_path: Path):
    old, new, says = BAD[name]
    path = tmp_path / "bad.toml"
    path.write_text(PLAIN.replace(old, new, 1))
    done = run(command, path)
    assert done.code == 2
    assert done.out == ""
    assert "Traceback" not in done.err
    assert all(words in done.err for words in says), done.err


def test_the_plain_file_itself_is_sound(tmp_path: Path):
    path = tmp_path / "good.toml"
    path.write_text(PLAIN)
    assert run("wear", path).code == 0


ENGINES = ("[engine]\nprimary_ratio = 2\n[faces]\n", "[engine]\n[faces]\n")


@pytest.mark.parametrize("engine", ENGINES)
def test_an_engine_without_its_torque_leaves_the_slip_margin_open(engine: str, tmp_path: Path):
    path = tmp_path / "engine.toml"
    path.write_text(PLAIN.replace(FACES, engine, 1))
    data = run("wear", path, "--json").data
    assert data["rows"]["slip_margin"][0] is None
    assert data["rows"]["clamp_force_n"][0] > 0


def test_a_table_that_misses_a_key_counts_as_missing(tmp_path: Path):
    path = tmp_path / "missing.toml"
    path.write_text(PLAIN.replace(FACES, "[warm]\ntemperature_rise = 60\n[faces]\n", 1))
    assert run("wear", path).code == 0
    path.write_text(PLAIN.replace("[release]\n", "[release]\nball_diameter = 8\n", 1))
    done = run("wear", path)
    assert (done.code, done.out) == (2, "")
    assert "[release] is not there yet (release.ball_count not given)" in " ".join(done.err.split())


def test_what_was_left_out_varies_at_each_step(tmp_path: Path):
    path = tmp_path / "plain.toml"
    path.write_text(PLAIN)
    rows = run("wear", path, "--json").data["rows"]
    assert 0 <= rows["frees"][0] <= 1
    assert len(rows["frees"]) == len(rows["wear_mm"])
    assert "frees in 100" in run("wear", path).out
    path.write_text('left_out = "nothing"\n' + PLAIN)
    assert set(run("wear", path, "--json").data["rows"]["frees"]) == {None}
    assert "frees in 100" not in run("wear", path).out


@pytest.mark.parametrize(
    "command",
    [
        ("wear",),
        ("size", "--vary", "arm.radius=34..42"),
        ("compare", "--sensitivity"),
    ],
    ids=lambda command: command[0],
)
def test_a_partial_file_is_told_what_is_missing(command: tuple[str, ...], tmp_path: Path):
    path = tmp_path / "partial.toml"
    path.write_text(PLAIN[: PLAIN.index("[faces]")])
    done = run(command[0], path, *command[1:])
    assert (done.code, done.out) == (2, "")
    assert "needs the whole clutch: [faces] is not there yet" in " ".join(done.err.split())
