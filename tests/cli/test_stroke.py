"""`liftgeo stroke`, the main job: what it prints, writes and answers to the shell."""

from __future__ import annotations

import csv
import io
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from command_line import CHECKOUT, GEOMETRIES, TRACTOR, run, too_wide

import liftgeo
from liftgeo.cli import COMMANDS
from liftgeo.mechanism.consequence import consequence
from liftgeo.safety import cautions

CLEAR = GEOMETRIES / "trials-wet-clutch.toml"


def test_the_first_words_answer_the_question() -> None:
    done = run("stroke", TRACTOR)
    assert (done.code, done.err) == (0, "")
    lines = done.out.splitlines()
    assert lines[0] == "Base clutch of the tests, single dry plate (invented)"
    assert lines[2].startswith("DRAGS: at full lever the faces part 0.27 mm;")
    assert "Where the lift goes" in done.out
    assert "Work safely:" in done.out


def test_without_a_file_the_built_in_example_is_analysed_and_stderr_says_so() -> None:
    done, named = run("stroke"), run("stroke", GEOMETRIES / "quarry-hauler.toml")
    assert done.code == 0
    assert "built-in example" in done.err
    assert done.out.splitlines()[:20] == named.out.splitlines()[:20]


def test_the_page_keeps_within_80_columns() -> None:
    for path in sorted(GEOMETRIES.glob("*.toml")):
        for units in ("metric", "inch"):
            page = run("stroke", path, "--units", units).out
            assert too_wide(page) == [], path.stem


KEYS = {
    "title",
    "change",
    "version",
    "verdict",
    "stopped_by",
    "full_lever",
    "peak",
    "effort",
    "events",
    "budget",
    "capacity",
    "bearing",
    "stroke",
    "warnings",
}
FULL_LEVER = {
    "hand_travel_mm",
    "lever_angle_deg",
    "cable_pull_mm",
    "arm_rotation_deg",
    "rod_travel_mm",
    "plate_lift_mm",
    "separation_mm",
    "needed_mm",
    "clearance_per_face_mm",
    "hand_force_n",
    "return_hand_force_n",
    "cable_tension_n",
    "rod_force_n",
    "clamp_force_n",
    "cable_to_arm_angle_deg",
    "spring_to_stop_mm",
}


def test_json_is_the_whole_result_and_nothing_else_on_stdout() -> None:
    done = run("stroke", TRACTOR, "--json")
    assert (done.code, done.err) == (0, "")
    assert set(done.data) >= KEYS
    assert set(done.data["full_lever"]) >= FULL_LEVER
    assert done.data == liftgeo.stroke(liftgeo.load(TRACTOR)).to_dict() | {
        "known": None,
        "cautions": cautions(),
    }
    lengths = {len(column) for column in done.data["stroke"].values()}
    assert len(lengths) == 1
    assert lengths.pop() >= 100
    assert [e["name"] for e in done.data["events"]] == [
        "slack-taken-up",
        "faces-part",
        "running-clear",
        "target-clear",
    ]
    assert done.data["events"][2]["hand_travel_mm"] is None


def test_json_stays_metric_whatever_is_shown() -> None:
    assert run("stroke", TRACTOR, "--json", "--units", "inch").data == (
        run("stroke", TRACTOR, "--json").data
    )


def test_positions_sets_the_rows() -> None:
    data = run("stroke", TRACTOR, "--json", "--positions", "250").data
    assert len(data["stroke"]["hand_force_n"]) == 250


def test_inch_units_change_what_is_printed() -> None:
    page = run("stroke", TRACTOR, "--units", "inch").out
    assert "the faces part 0.0106 in" in page
    assert " lbf" in page
    assert " mm" not in page


def test_csv_is_the_stroke_in_full_precision(tmp_path: Path) -> None:
    path = tmp_path / "table.csv"
    done = run("stroke", TRACTOR, "--csv", path)
    assert done.code == 0
    assert f"Written: {path}" in done.err
    rows = list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))
    table = run("stroke", TRACTOR, "--json").data["stroke"]
    assert list(rows[0]) == list(table)
    for name, column in table.items():
        read = [float(row[name]) if row[name] else None for row in rows]
        assert read == column


def test_a_file_is_never_written_over_without_force(tmp_path: Path) -> None:
    path = tmp_path / "table.csv"
    path.write_text("mine", encoding="utf-8")
    done = run("stroke", TRACTOR, "--csv", path)
    assert (done.code, done.out) == (2, "")
    assert "--force" in done.err
    assert path.read_text(encoding="utf-8") == "mine"
    assert run("stroke", TRACTOR, "--csv", path, "--force").code == 0
    assert path.read_text(encoding="utf-8").startswith("hand_travel_mm,")
    assert [p.name for p in tmp_path.iterdir()] == ["table.csv"]


def test_changes_are_laid_in_the_order_given() -> None:
    words = ("--change", "longer-arm", "--change", "better-cable")
    data = run("stroke", TRACTOR, "--json", *words).data
    assert data["change"] == "longer-arm + better-cable"
    mechanism = liftgeo.load(TRACTOR).changed("longer-arm", "better-cable")
    assert data == liftgeo.stroke(mechanism).to_dict() | {
        "known": None,
        "consequence": consequence(mechanism).to_dict(),
        "cautions": cautions(),
    }
    assert ", with longer-arm + better-cable" in run("stroke", TRACTOR, *words).out


@pytest.mark.parametrize(
    ("words", "code", "missed"),
    [
        ((TRACTOR,), 1, ("clearance", "hand force")),
        ((TRACTOR, "--change", "better-cable", "--change", "less-play"), 1, ("hand force",)),
        ((GEOMETRIES / "reaper-finger-cover.toml",), 1, ("slip margin",)),
        ((CLEAR, "--change", "stiff-casing"), 0, ()),
    ],
)
def test_a_missed_target_is_an_exit_code_only_where_asked_for(
    words: tuple[str | Path, ...], code: int, missed: tuple[str, ...]
) -> None:
    asked, plain = run("stroke", *words, "--check-targets"), run("stroke", *words)
    assert plain.code == 0
    assert asked.code == code
    assert asked.out == plain.out
    for target in missed:
        assert f"Target missed: {target}" in asked.err
    assert bool(asked.err) == bool(missed)


def test_a_file_may_come_from_standard_input() -> None:
    data = TRACTOR.read_bytes()
    assert run("stroke", "-", "--json", stdin=data).data == (run("stroke", TRACTOR, "--json").data)
    windows = b"\xef\xbb\xbf" + data.replace(b"\n", b"\r\n")
    assert run("stroke", "-", "--json", stdin=windows).data["verdict"] == "drags"


def test_a_figure_is_written_whole_and_named(tmp_path: Path) -> None:
    path = tmp_path / "page.svg"
    done = run("stroke", TRACTOR, "--figure", path)
    assert done.code == 0
    assert f"Written: {path}" in done.err
    assert "<svg" in path.read_text(encoding="utf-8")
    assert [p.name for p in tmp_path.iterdir()] == ["page.svg"]


def test_the_version_is_printed() -> None:
    done = run("--version")
    assert (done.code, done.out, done.err) == (0, f"liftgeo {liftgeo.__version__}\n", "")


def test_help_names_every_command_with_an_example_in_its_own_help() -> None:
    page = run("--help").out
    assert [c for c in COMMANDS if not re.search(rf"(?m)^  {c} ", page)] == []
    for command in COMMANDS:
        assert re.search(r"Examples?: liftgeo", run(command, "--help").out), command


# --- a process of its own: what a shell sees ---


def shell(*words: str, **more: object) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(CHECKOUT), "PYTHONIOENCODING": "latin-1"}
    return subprocess.run(
        [sys.executable, "-m", "liftgeo", *words],
        capture_output=True,
        encoding="utf-8",
        env=environment,
        cwd=str(more.get("folder", CHECKOUT)),
    )


def test_the_module_runs_and_prints_utf_8_whatever_the_terminal() -> None:
    done = shell("check", str(TRACTOR))
    assert (done.returncode, done.stderr) == (0, "")
    assert "N·m" in done.stdout
    assert done.stdout == run("check", TRACTOR).out


def test_a_fault_reaches_the_shell_without_a_traceback(tmp_path: Path) -> None:
    done = shell("stroke", "missing.toml", folder=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == "missing.toml is not there. Check the name and the folder.\n"


def test_a_reader_that_goes_away_is_no_fault() -> None:
    command = (
        f'"{sys.executable}" -m liftgeo stroke --json --positions 20000 "{TRACTOR}" | head -c 9'
    )
    done = subprocess.run(
        ["bash", "-o", "pipefail", "-c", command],
        capture_output=True,
        text=True,
        cwd=CHECKOUT,
    )
    assert done.stdout.startswith("{")
    assert "Traceback" not in done.stderr
    assert done.returncode == 0


def test_changes_offered_are_pasted_and_compared(tmp_path: Path) -> None:
    """Somebody copies the block from the page to the end of the file, and goes on."""
    text = TRACTOR.read_text(encoding="utf-8").split("# Changes, laid over")[0]
    file = tmp_path / "mine.toml"
    file.write_text(text, encoding="utf-8")
    page = run("stroke", file).out
    assert "each alone, worked out for this machine" in " ".join(page.split())
    block = page[page.index("[changes.") : page.index("`liftgeo diagnose")]
    assert max(map(len, block.splitlines())) <= 80
    file.write_text(text + block, encoding="utf-8")
    assert run("check", file).code == 0
    compared = run("compare", file)
    assert compared.code == 0
    for name in liftgeo.load(file).changes:
        assert name in compared.out
    assert "[changes." not in run("stroke", file).out


def test_a_number_is_laid_over_the_file_without_writing_it_down(tmp_path: Path) -> None:
    typed = run("stroke", TRACTOR, "--change", "cable.free_play=0.05 in", "--json")
    assert (typed.code, typed.err) == (0, "")
    assert typed.data["change"] == "cable.free_play=0.05 in"
    base = liftgeo.load(TRACTOR)
    own = liftgeo.stroke(base.changed({"cable.free_play": 1.27})).to_dict()
    assert typed.data["full_lever"] == own["full_lever"]
    both = run("stroke", TRACTOR, "--change", "longer-arm", "--change", "arm.hole=40", "--json")
    laid = liftgeo.stroke(base.changed("longer-arm", {"arm.hole": 40})).to_dict()
    assert both.data["full_lever"] == laid["full_lever"]
    page = tmp_path / "page.html"
    words = ("report", TRACTOR, "--change", "cable.free_play=1.27", "-o", page)
    assert run(*words).code == 0
    assert "cable.free_play=1.27" in page.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("cable.fre_play=1", "Did you mean free_play?"),
        ("cable.free_play=1 kg", "a length is wanted"),
        ("cable.free_play=-1", "It must be at least 0 mm."),
        ("cable.free_play", "No change is called cable.free_play."),
        ("=1", "No change is called =1."),
        ("clutch.free_play=1", "clutch"),
    ],
)
def test_a_number_that_cannot_be_laid_names_its_key(typed: str, said: str) -> None:
    done = run("stroke", TRACTOR, "--change", typed)
    assert (done.code, done.out) == (2, "")
    assert said in done.err


def test_readings_that_contradict_the_file_stand_in_every_output(tmp_path: Path) -> None:
    path = tmp_path / "weighed.toml"
    text = TRACTOR.read_text(encoding="utf-8") + '\n[bench]\nclamp_force = "80 kgf"\n'
    path.write_text(text, encoding="utf-8")
    done = run("stroke", path)
    text = " ".join(done.out.split())
    assert "SLIPS: as weighed on the bench, the clutch holds" in text
    assert "What follows is by the file alone, the readings from the bench left aside." in text
    assert "looks for the number of the file that the bench contradicts" in text
    warnings = {w["key"]: w for w in run("stroke", path, "--json").data["warnings"]}
    assert "clamp force was read as 785 N" in warnings["bench-contradicts-file"]["message"]
    figure = tmp_path / "page.pdf"
    assert run("stroke", path, "--figure", figure).code == 0
    page = tmp_path / "page.md"
    assert run("report", path, "-o", page).code == 0
    assert "its springs as weighed on the bench" in page.read_text(encoding="utf-8")
