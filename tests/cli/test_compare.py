"""`liftgeo compare`: the page, the JSON, the table, the figures, and what it refuses."""

from __future__ import annotations

import csv
import io
import json
import re
import shlex
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from command_line import GEOMETRIES, TRACTOR, edited, run, too_wide

import liftgeo
from liftgeo.studies.compare import joined_names

EXAMPLES = sorted(GEOMETRIES.glob("*.toml"))
DELTAS = {
    "clearance_per_face_mm": lambda r: r["full_lever"]["clearance_per_face_mm"],
    "separation_mm": lambda r: r["full_lever"]["separation_mm"],
    "hand_force_n": lambda r: r["full_lever"]["hand_force_n"],
    "return_hand_force_n": lambda r: r["full_lever"]["return_hand_force_n"],
    "peak_hand_force_n": lambda r: r["peak"]["hand_force_n"],
    "travel_left_mm": lambda r: next(
        e["left_mm"] for e in r["events"] if e["name"] == "running-clear"
    ),
    "clamp_force_n": lambda r: r["capacity"]["clamp_force_n"],
    "slip_margin": lambda r: r["capacity"]["slip_margin"],
    "axial_load_n": lambda r: r["bearing"]["axial_load_n"],
    "work_j": lambda r: r["effort"]["work_j"],
}


# --- the page ---


def test_the_page_sets_every_change_beside_the_file_as_it_stands() -> None:
    done = run("compare", TRACTOR, "--full")
    assert (done.code, done.err) == (0, "")
    lines = done.out.splitlines()
    title = "Base clutch of the tests, single dry plate (invented): "
    assert re.fullmatch(rf"{re.escape(title)}\d+ set against it", lines[0])
    assert lines[2].startswith("DRAGS: at full lever the faces part 0.27 mm")
    for name in liftgeo.load(TRACTOR).changes:
        rows = [
            line
            for line in lines
            if re.match(rf"{re.escape(name)} +(drags|marginal|runs clear|-|\d)", line)
        ]
        assert len(rows) == 2, name  # in both tables
        assert any(line.startswith(f"  {name}: ") for line in lines), name  # and its reason


def test_a_row_holds_values_and_the_row_below_their_differences() -> None:
    lines = run("compare", TRACTOR, "shorter-arm", "longer-arm", "--full").out.splitlines()
    first = next(k for k, line in enumerate(lines) if line.startswith("shorter-arm"))
    mechanism = liftgeo.load(TRACTOR)
    base, own = liftgeo.stroke(mechanism), liftgeo.stroke(mechanism.changed("shorter-arm"))
    wanted = f"{own.full_lever.clearance_per_face_mm:.2f}"
    assert lines[first].split()[:3] == ["shorter-arm", "marginal", f"{wanted}*"]
    change = own.full_lever.clearance_per_face_mm - base.full_lever.clearance_per_face_mm
    assert lines[first + 1].split()[0] == f"{change:+.2f}"
    assert f"{own.peak.hand_force_n - base.peak.hand_force_n:+.0f}" in lines[first + 1].split()


def test_the_page_says_what_geometry_can_do_and_what_it_cannot() -> None:
    page = " ".join(run("compare", TRACTOR, "--full").out.split())
    assert "lever, arm and ramp trade lift for effort, at constant work" in page
    assert "Only less friction, less stretch and less play, a spring past its peak" in page
    assert "* best, ! worst of a column" in page


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_one_screen_has_a_line_a_change_and_its_reason_and_the_rest_waits(path: Path) -> None:
    """Cautions left out: what is gravest is never shortened."""
    one, whole = (run("compare", path, *more).out.splitlines() for more in ((), ("--full",)))
    names = list(liftgeo.load(path).changes)
    grave = [k for k, line in enumerate(one) if line.startswith(("STOP", "CAUTION"))]
    spoken = 0 if not grave else one.index("", grave[-1]) - grave[0] + 1
    assert len(one) - spoken <= 40
    why = one[one.index("Why") + 1 :]
    assert [line.strip().split(":")[0] for line in why[: len(names)]] == names
    assert why[len(names)] == ""
    assert "Each change, what it holds and what follows" not in one
    assert "Each change, what it holds and what follows" in whole
    notes = " ".join(" ".join(whole).split())
    for change in liftgeo.load(path).changes.values():
        assert change.note in notes
    grave_lines = [line for line in one[grave[0] :][:spoken] if line] if grave else []
    assert all(line in whole for line in grave_lines)


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_page_keeps_within_80_columns(path: Path, units: str) -> None:
    done = run("compare", path, "--together", "--sensitivity", "--units", units)
    assert done.code == 0
    assert too_wide(done.out) == []


def test_inches_are_shown_where_inches_are_asked_for() -> None:
    page = run("compare", TRACTOR, "longer-arm", "--units", "inch").out
    assert "lbf" in page
    assert " mm" not in page.split("Why")[0]


def test_what_slips_is_flagged_and_never_proposed() -> None:
    page = run("compare", GEOMETRIES / "reaper-finger-cover.toml").out
    lines = page.splitlines()
    row = next(k for k, line in enumerate(lines) if line.startswith("shorter-arm"))
    assert "slips" in lines[row]
    assert re.search(r"slips STOP\b", lines[row])
    assert "*" not in lines[row]
    assert re.search(r"^STOP    as it stands: The clutch slips", page, re.MULTILINE)
    assert "--change shorter-arm" not in page


def test_what_is_clear_without_a_new_warning_is_the_first_to_look_at() -> None:
    page = " ".join(run("compare", GEOMETRIES / "trials-wet-clutch.toml").out.split())
    named = re.search(r"First to look at: ([\w-]+)\. It is clear", page)
    assert named is not None
    assert f"trials-wet-clutch.toml --change {named[1]}`" in page


def test_where_each_drags_the_nearest_of_all_sets_is_named_with_what_it_lacks() -> None:
    """No dead end: neither frees, two or three of the file's changes together may."""
    page = " ".join(run("compare", TRACTOR, "longer-arm", "thick-plate").out.split())
    assert "First to look at" not in page
    data = run("compare", TRACTOR, "longer-arm", "thick-plate", "--json").data["nearest"]
    assert f"Nearest to what is wanted: {' + '.join(data['names'])}: " in page
    assert f"{data['peak_hand_force_n']:.0f} N at the hand" in page
    for short in data["short"]:
        assert f"{short['wanted']:.0f} N wanted" in page or short["what"] != "peak_hand_force_n"
    laid = " ".join(f"--change {name}" for name in data["names"])
    assert f"`liftgeo stroke {TRACTOR} {laid}`" in page


def test_a_clutch_that_no_change_betters_stands_nearest_itself(tmp_path: Path) -> None:
    text = TRACTOR.read_text(encoding="utf-8").split("# Changes, laid over")[0]
    file = tmp_path / "worse.toml"
    file.write_text(f"{text}\n[changes.more-play]\ncable.free_play = 3.0\n", encoding="utf-8")
    page = " ".join(run("compare", file).out.split())
    assert "Nearest to what is wanted: the clutch as it stands: " in page
    assert "Looked at: 1 set of changes." in page


# --- JSON ---


def test_the_json_has_its_shape_and_differences_are_exact() -> None:
    data = run("compare", TRACTOR, "--json").data
    assert set(data) == {"base", "variants", "nearest", "cautions"}
    names = [[name] for name in liftgeo.load(TRACTOR).changes]
    assert [v["names"] for v in data["variants"]] == names
    for variant in data["variants"]:
        assert set(variant) == {
            "names",
            "result",
            "delta",
            "frees",
            "holds",
            "taken",
            "consequence",
        }
        assert "stroke" not in variant["result"]
        assert set(variant["delta"]) == set(DELTAS)
        for name, get in DELTAS.items():
            after, before = get(variant["result"]), get(data["base"])
            wanted = None if after is None or before is None else after - before
            assert variant["delta"][name] == wanted, name


def test_the_json_results_are_those_of_stroke() -> None:
    data = run("compare", TRACTOR, "better-cable+less-play", "--json").data
    options = ("--change", "better-cable", "--change", "less-play", "--json")
    alone = run("stroke", TRACTOR, *options).data
    consequence = alone.pop("consequence")
    del alone["stroke"], alone["known"], alone["cautions"]
    assert data["variants"][0]["result"] == alone
    assert data["variants"][0]["consequence"] == consequence
    assert data["variants"][0]["names"] == ["better-cable", "less-play"]


def test_strokes_are_in_the_json_when_positions_are_asked_for() -> None:
    data = run("compare", TRACTOR, "longer-arm", "--json", "--positions", "110").data
    for result in (data["base"], data["variants"][0]["result"]):
        assert len(result["stroke"]["hand_force_n"]) == 110


def test_together_adds_all_of_them_combined() -> None:
    data = run("compare", TRACTOR, "less-play", "longer-arm", "--together", "--json").data
    assert [v["names"] for v in data["variants"]] == [
        ["less-play"],
        ["longer-arm"],
        ["less-play", "longer-arm"],
    ]


def test_another_file_is_set_against_this_one() -> None:
    other = GEOMETRIES / "delivery-tricycle.toml"
    data = run("compare", TRACTOR, "--against", other, "--json").data
    (variant,) = data["variants"]
    assert variant["names"] == ["delivery-tricycle.toml"]
    alone = run("stroke", other, "--json").data
    assert variant["result"]["full_lever"] == alone["full_lever"]


# --- sensitivity ---


def test_sensitivity_ranks_every_input() -> None:
    data = run("compare", TRACTOR, "longer-arm", "--sensitivity", "--json").data
    assert set(data) == {"base", "variants", "nearest", "sensitivity", "cautions"}
    rows = {row["key"]: row for row in data["sensitivity"]}
    assert rows["arm.radius"]["step"] == 0.1
    assert rows["release.ramp_angle"]["step"] == 1.0
    assert rows["cable.stiffness"]["step"] is None
    weights = [
        max(abs(row["percent_clearance_mm"] or 0), abs(row["step_clearance_mm"] or 0))
        for row in data["sensitivity"]
    ]
    assert weights == sorted(weights, reverse=True)


def test_sensitivity_needs_no_changes_in_the_file(tmp_path: Path) -> None:
    text = TRACTOR.read_text(encoding="utf-8")
    bare = tmp_path / "bare.toml"
    bare.write_text(text[: text.index("[changes.")], encoding="utf-8")
    done = run("compare", bare, "--sensitivity")
    assert done.code == 0
    assert "rod.end_float" in done.out
    assert "A little more of each input" in done.out


# --- files ---


def test_the_table_is_written_and_an_existing_one_is_not_touched(tmp_path: Path) -> None:
    path = tmp_path / "changes.csv"
    done = run("compare", TRACTOR, "longer-arm", "--csv", path)
    assert done.code == 0
    assert done.err == f"Written: {path}\n"
    rows = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))
    data = run("compare", TRACTOR, "longer-arm", "--json").data
    assert (
        float(rows[1]["delta_peak_hand_force_n"])
        == (data["variants"][0]["delta"]["peak_hand_force_n"])
    )
    before = path.read_bytes()
    again = run("compare", TRACTOR, "--csv", path)
    assert again.code == 2
    assert "--force" in again.err
    assert again.out == ""
    assert path.read_bytes() == before
    assert run("compare", TRACTOR, "--csv", path, "--force").code == 0
    assert path.read_bytes() != before


def test_the_sensitivity_table_is_the_one_written_when_it_is_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "inputs.csv"
    assert run("compare", TRACTOR, "--sensitivity", "--csv", path).code == 0
    head = path.read_text(encoding="utf-8").splitlines()[0]
    assert head.startswith("key,value,unit,percent_clearance_mm")


@pytest.mark.parametrize("more", [(), ("--sensitivity",)])
def test_figures_are_drawn(tmp_path: Path, more: tuple[str, ...]) -> None:
    path = tmp_path / "page.svg"
    done = run("compare", TRACTOR, "longer-arm", "less-play", "--figure", path, *more)
    assert done.code == 0
    text = path.read_text(encoding="utf-8")
    assert text.startswith("<?xml")
    assert len(text) > 20_000
    data: Any = run("compare", TRACTOR, "longer-arm", "--json", "--figure", path, "--force").data
    assert "stroke" not in data["base"]


# --- what it refuses ---


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("longerarm",), "Did you mean longer-arm?"),
        (("longer-arm+",), "both sides of +"),
        (("--positions", "5"), "at least 100"),
        (("--units", "furlong"), "metric or inch"),
        (("--figure", "page.gif"), ".png, .svg or .pdf"),
        (("--against", "nowhere.toml"), "nowhere.toml is not there"),
    ],
)
def test_a_wrong_question_is_told_on_stderr(words: tuple[str, ...], said: str) -> None:
    done = run("compare", TRACTOR, *words)
    assert (done.code, done.out) == (2, "")
    assert said in done.err


def test_a_file_without_changes_says_how_to_write_one(tmp_path: Path) -> None:
    text = TRACTOR.read_text(encoding="utf-8")
    bare = tmp_path / "bare.toml"
    bare.write_text(text[: text.index("[changes.")], encoding="utf-8")
    done = run("compare", bare)
    assert (done.code, done.out) == (2, "")
    assert "[changes.NAME]" in done.err


def test_a_change_that_cannot_be_is_named_with_its_key(tmp_path: Path) -> None:
    swap = [("cable.free_play = 1.0 ", "arm.rest_length = 400 ")]
    broken = edited(tmp_path / "broken.toml", swap)
    done = run("compare", broken)
    assert (done.code, done.out) == (2, "")
    assert "broken.toml with less-play: 1 thing to put right" in done.err
    assert "arm.rest_length = 400 mm" in done.err


def test_another_bearing_is_set_beside_the_old_one(tmp_path: Path) -> None:
    """Deep groove against 40 deg angular contact, Y0 0.5 and 0.26, at the same load.

    Source of Y0: bearing makers' tables, as in tests/validation; safety = C0/(Y0 Fa).
    """
    path = tmp_path / "two-bearings.toml"
    change = (
        '\n[changes.other-bearing]\nbearing.kind = "angular-contact"\n'
        "bearing.contact_angle = 40\nbearing.static_rating = 4600\n"
    )
    trials = next(p for p in EXAMPLES if p.stem == "trials-wet-clutch")
    path.write_text(trials.read_text(encoding="utf-8") + change, encoding="utf-8")
    done = run("compare", path, "other-bearing", "--json")
    found = json.loads(done.out)
    before = found["base"]["bearing"]
    after = found["variants"][0]["result"]["bearing"]
    assert before["static_safety"] == pytest.approx(2300 / (0.5 * before["axial_load_n"]))
    assert after["static_safety"] == pytest.approx(4600 / (0.26 * after["axial_load_n"]))
    page = " ".join(run("compare", path, "other-bearing", "--full").out.split())
    assert "other-bearing: static safety 4.7 to 18.0, life" in page
    assert "bearing, deep-groove to angular-contact: static safety 4.7 to 18.0, life" in page


# --- what is not known ---


def test_a_page_counts_in_100_how_many_would_free(tmp_path: Path) -> None:
    path = tmp_path / "unsure.toml"
    text = TRACTOR.read_text(encoding="utf-8")
    text, count = re.subn(r"(?m)^ramp_angle *= *14.*$", 'ramp_angle = "14 ± 1 deg"', text)
    assert count == 1
    path.write_text(text, encoding="utf-8")
    done = run("compare", path, "less-play", "--sensitivity")
    lines = done.out.splitlines()
    assert too_wide(done.out) == []
    data = run("compare", path, "less-play", "--sensitivity", "--json").data
    frees = data["variants"][0]["frees"]
    row = next(line.split() for line in lines if line.startswith("less-play"))
    assert row[2].rstrip("*!") == f"{100 * frees:.0f}"
    assert frees > data["base"]["frees"]
    first = data["sensitivity"][0]
    assert (first["key"], first["low"], first["high"]) == ("release.ramp_angle", 13.0, 15.0)
    assert first["effect_low_high_clearance_mm"] > 0
    doubt = next(line for line in lines if line.startswith("release.ramp_angle"))
    assert "13 to 15 deg" in doubt


def test_a_page_without_doubt_counts_nothing() -> None:
    done = run("compare", TRACTOR, "less-play")
    assert "in 100" not in done.out
    assert run("compare", TRACTOR, "less-play", "--json").data["base"]["frees"] is None


def test_a_stop_stands_on_the_figure_of_the_ranking_too(tmp_path: Path) -> None:
    path = edited(tmp_path / "slips.toml", [("torque = 58.0", "torque = 158.0")])
    run("compare", path, "--sensitivity", "--figure", tmp_path / "ranks.svg")
    assert "STOP: slips" in (tmp_path / "ranks.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_ranking_leads_on_to_a_search_that_runs(path: Path) -> None:
    """Somebody copies the command from the page as it stands."""
    page = " ".join(run("compare", path, "--sensitivity").out.split())
    found = re.search(r"Of what can be made anew .* Next: `liftgeo (size [^`]*)`", page)
    assert found is not None
    words = found[1].split()
    assert words.count("--vary") in (1, 2)
    done = run(*words, "--json")
    assert done.code == 0, done.err
    assert set(done.data["values"]) == {w.split("=")[0] for w in words[3::2]}


# --- numbers of one's own ---


def test_a_number_of_ones_own_is_set_beside_the_file_named_or_joined() -> None:
    """As an argument, by --change, and with a change of the file: what `stroke` gives of each."""
    typed = ("arm.radius=33", "--change", "cable.free_play=0.5 mm less", "less-play+arm.radius=33")
    data = run("compare", TRACTOR, *typed, "--json").data
    found = {tuple(v["names"]): v["result"]["full_lever"] for v in data["variants"]}
    asked = [("arm.radius=33",), ("less-play", "arm.radius=33"), ("cable.free_play=0.5 mm less",)]
    assert sorted(found) == sorted(asked)
    for names in asked:
        words = [word for name in names for word in ("--change", name)]
        assert found[names] == run("stroke", TRACTOR, *words, "--json").data["full_lever"]


def test_a_plus_within_a_value_joins_nothing() -> None:
    mechanism = liftgeo.load(TRACTOR)
    texts = {
        "less-play+arm.radius=33": ("less-play", "arm.radius=33"),
        "arm.radius=33+less-play": ("arm.radius=33", "less-play"),
        "arm.radius=33 + cable.free_play=1": ("arm.radius=33", "cable.free_play=1"),
        "cable.free_play=+1 mm": ("cable.free_play=+1 mm",),
        "a+b": ("a", "b"),
    }
    for text, names in texts.items():
        assert joined_names(mechanism, text) == names


def test_a_command_to_paste_keeps_a_number_of_ones_own_whole() -> None:
    page = run("compare", TRACTOR, "cable.free_play=0.5 mm less", "--full").out
    pasted = re.findall(r"`(liftgeo stroke [^`]*--change[^`]*)`", page)
    assert pasted
    for command in pasted:
        words = shlex.split(command)
        names = [name for option, name in pairwise(words) if option == "--change"]
        assert all("=" not in name or name == "cable.free_play=0.5 mm less" for name in names)
        assert run(*words[1:]).code == 0


def test_a_wrong_number_of_ones_own_is_refused_by_its_key() -> None:
    done = run("compare", TRACTOR, "arm.hol=30")
    assert (done.code, done.out) == (2, "")
    assert "arm.hol" in done.err
    assert "Did you mean" in done.err
