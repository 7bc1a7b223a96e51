"""`liftgeo plan`: the page, the JSON, the table, the figure, and what it refuses."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest
from clutches import BASE_TEXT, COSTS
from command_line import GEOMETRIES, TRACTOR, run, too_wide


@pytest.fixture
def priced(tmp_path: Path) -> Path:
    """Write the base clutch, each of its changes with its cost."""
    text = BASE_TEXT
    for name, cost in COSTS.items():
        text = text.replace(f"[changes.{name}]\n", f"[changes.{name}]\ncost = {cost}\n")
    path = tmp_path / "priced.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_page_says_what_to_buy_in_which_order_and_what_is_proven(priced: Path) -> None:
    one = " ".join(run("plan", priced, "--want", "clearance>=0.02").out.split())
    assert "In this order" in one
    assert "What each sum buys" not in one
    assert "`--full` prints the rest" in one
    done = run("plan", priced, "--want", "clearance>=0.02", "--full")
    assert (done.code, done.err) == (0, "")
    page = " ".join(done.out.split())
    assert re.search(r"CHEAPEST: .*, for (no money|\d+)\. That gives clearance per face", page)
    assert "In this order" in page
    assert "What each sum buys" in page
    assert "sets that can be made were worked out; none that reaches it costs less." in page
    assert "Next: `liftgeo stroke" in page
    assert "Work safely" in page


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("want", ["clearance>=0.02", "clearance>=9", "clearance>=-1"])
def test_the_page_keeps_within_80_columns(priced: Path, want: str, units: str) -> None:
    done = run("plan", priced.name, "--want", want, "--units", units, folder=priced.parent)
    assert done.code == 0
    assert too_wide(done.out) == []


def test_what_is_not_reached_names_the_nearest_set_and_what_it_lacks(priced: Path) -> None:
    done = run("plan", priced, "--want", "clearance>=9", "--budget", "60")
    assert done.code == 0
    page = " ".join(done.out.split())
    assert "NOT REACHED for up to 60. Nearest: " in page
    assert "It still falls short: clearance per face 0." in page
    assert "wanted at least 9.000 mm" in page
    assert "or raise --budget" in page


def test_a_set_that_takes_grip_away_says_so_and_how_to_keep_it(priced: Path) -> None:
    text = (
        priced.read_text(encoding="utf-8")
        + """
[changes.softer]
cost = 1
faces.friction = 0.25
faces.basket_runout = 0.0
faces.plate_runout = 0.0
"""
    )
    weak = priced.with_name("weak.toml")
    weak.write_text(text.replace("torque = 58.0", "torque = 66.0"), encoding="utf-8")
    page = " ".join(run("plan", weak, "--want", "clearance>=0.04").out.split())
    found = re.search(r"It takes grip away: slip margin ([\d.]+) to ([\d.]+), 1.33 is wanted", page)
    assert found
    assert float(found[1]) > float(found[2])
    kept = run("plan", weak, "--want", "clearance>=0.04", "--want", f"slip_margin>={found[1]}")
    assert "takes grip away" not in kept.out


def test_json_has_the_agreed_shape(priced: Path) -> None:
    data = run("plan", priced, "--want", "clearance>=0.02", "--json").data
    assert {"wanted", "chosen", "front", "evaluated", "cautions"} <= data.keys()
    row = {"changes", "cost", "hours", "frees", "clearance_per_face_mm", "peak_hand_force_n"}
    row |= {"slip_margin"}
    for each in (data["chosen"], *data["front"]):
        assert row <= each.keys()
    assert data["chosen"] in data["front"]
    assert data["wanted"] == [{"measure": "clearance", "at_least": 0.02}]
    missed = run("plan", priced, "--want", "clearance>=9", "--json").data
    assert missed["chosen"] is None
    assert row <= missed["nearest"].keys()
    assert missed["missed"][0]["measure"] == "clearance"


def test_the_table_holds_the_front(priced: Path) -> None:
    done = run("plan", priced, "--want", "clearance>=0.02", "--csv", "-")
    rows = list(csv.DictReader(io.StringIO(done.out)))
    data = run("plan", priced, "--want", "clearance>=0.02", "--json").data
    assert [row["changes"] for row in rows] == [" + ".join(b["changes"]) for b in data["front"]]
    assert [row["chosen"] for row in rows].count("yes") == 1


@pytest.mark.parametrize("ending", ["png", "svg", "pdf"])
@pytest.mark.parametrize("want", ["clearance>=0.02", "clearance>=9"])
def test_the_figure_is_drawn(priced: Path, tmp_path: Path, ending: str, want: str) -> None:
    drawn = tmp_path / f"money.{ending}"
    assert run("plan", priced, "--want", want, "--figure", drawn).code == 0
    assert drawn.stat().st_size > 5000
    if ending == "svg":
        assert "liftgeo" in drawn.read_text(encoding="utf-8")


def test_a_file_whose_changes_have_no_cost_says_what_to_write() -> None:
    done = run("plan", TRACTOR, "--want", "clearance>=0.02")
    assert (done.code, done.out) == (2, "")
    assert "[changes.longer-arm]\ncost = " in done.err
    assert "0 where it is free" in done.err


def test_a_file_without_changes_and_a_partial_file_are_refused(tmp_path: Path) -> None:
    bare = tmp_path / "bare.toml"
    bare.write_text(BASE_TEXT[: BASE_TEXT.index("# Changes")], encoding="utf-8")
    done = run("plan", bare)
    assert (done.code, done.out) == (2, "")
    assert "[changes.NAME]" in done.err
    partial = tmp_path / "partial.toml"
    partial.write_text(BASE_TEXT[: BASE_TEXT.index("[spring]")], encoding="utf-8")
    assert "needs the whole clutch" in run("plan", partial).err


def test_it_reads_standard_input(priced: Path) -> None:
    done = run("plan", "-", "--want", "clearance>=0.02", stdin=priced.read_bytes())
    assert done.code == 0
    assert "CHEAPEST" in done.out


def test_the_head_says_that_a_cost_is_of_its_line_and_all_else_of_those_above_too() -> None:
    """The costs add up to that of the set; the last line's clearance is that of the whole set."""
    hauler = GEOMETRIES / "quarry-hauler.toml"
    words = ("plan", hauler, "--want", "clearance>=0.03")
    lines = run(*words).out.splitlines()
    head = next(k for k, line in enumerate(lines) if line.startswith("In this order"))
    assert lines[head].split()[3] == "cost"
    assert lines[head + 1].split()[0] == "each"
    end = next(k for k in range(head, len(lines)) if lines[k].startswith("Cost: of each line"))
    data = run(*words, "--json").data["chosen"]
    rows = [line.split() for line in lines[head + 3 : end]]
    assert sum(float(row[1]) for row in rows) == data["cost"]
    assert float(rows[-1][3]) == pytest.approx(data["clearance_per_face_mm"], abs=5e-4)


def test_a_cost_that_is_asked_for_is_no_line_to_paste_wrongly(tmp_path: Path) -> None:
    """Each line that reads as one of a file is one: the file takes them with a number."""
    text = (GEOMETRIES / "quarry-hauler.toml").read_text(encoding="utf-8")
    bare = tmp_path / "bare.toml"
    bare.write_text(re.sub(r"(?m)^(cost|hours) *=.*\n", "", text), encoding="utf-8")
    done = run("plan", bare, "--want", "clearance>=0.03")
    assert done.code == 2
    assert max(len(line) for line in done.err.splitlines()) <= 80
    assert {line for line in done.err.splitlines() if " = " in line[:8]} == {"cost = "}
