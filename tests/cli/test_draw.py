"""`liftgeo draw`: its page, JSON, CSV, sheet and moving picture; and what it refuses."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from command_line import GEOMETRIES, TRACTOR, run, too_wide
from PIL import Image

import liftgeo
from liftgeo.safety import WORK_SAFELY

NINE = [word for travel in range(9) for word in ("--at", f"{travel}mm")]
HAULER = GEOMETRIES / "quarry-hauler.toml"


def test_the_page_says_where_everything_stands_and_what_is_assumed() -> None:
    done = run("draw", HAULER)
    assert done.code == 0
    assert done.err == ""
    lines = done.out.splitlines()
    assert lines[0] == "Quarry hauler, three dry plates (invented)"
    assert lines[1].startswith("At full lever the arm has turned 13 deg and stands at 98 deg")
    text = " ".join(done.out.split())
    assert "lever.hand_angle" in text
    assert "--figure sheet.pdf" in text
    assert " ".join(WORK_SAFELY.split()[:6]) in text
    assert too_wide(done.out) == []


def test_json_stands_alone_and_is_what_python_gives() -> None:
    done = run("draw", TRACTOR, "--json")
    assert done.err == ""
    file = liftgeo.load(TRACTOR)
    warnings = liftgeo.stroke(file).to_dict()["warnings"]
    wanted = {**liftgeo.drawn(file).to_dict(), "warnings": warnings}
    assert {k: v for k, v in done.data.items() if k != "cautions"} == wanted
    assert len(done.data["positions"]) == 3


@pytest.mark.parametrize("at", ["25mm", "50%"])
def test_it_is_drawn_where_it_is_asked_for(at: str) -> None:
    (place,) = run("draw", TRACTOR, "--json", "--at", at).data["positions"]
    full = liftgeo.stroke(liftgeo.load(TRACTOR)).full_lever.hand_travel_mm
    assert place["hand_travel_mm"] == pytest.approx(25.0 if at == "25mm" else full / 2)


def test_several_places_and_a_change(tmp_path: Path) -> None:
    words = ("--at", "10mm", "--at", "100%", "--change", "longer-arm", "--csv", "points.csv")
    done = run("draw", TRACTOR, *words, folder=tmp_path)
    assert done.code == 0
    rows = list(csv.DictReader(io.StringIO((tmp_path / "points.csv").read_text())))
    assert len(rows) == 2
    assert float(rows[0]["hand_travel_mm"]) == pytest.approx(10.0)
    assert "with longer-arm" in done.out


@pytest.mark.parametrize("ending", ["svg", "pdf", "png"])
@pytest.mark.parametrize("option", ["--figure", "-o"])
def test_a_sheet_is_written(ending: str, option: str, tmp_path: Path) -> None:
    done = run("draw", TRACTOR, option, f"sheet.{ending}", folder=tmp_path)
    assert done.code == 0
    assert f"Written: sheet.{ending}" in done.err
    assert "--figure sheet.pdf" not in done.out
    content = (tmp_path / f"sheet.{ending}").read_bytes()
    assert content.startswith({"svg": b"<?xml", "pdf": b"%PDF", "png": b"\x89PNG"}[ending])


def test_it_moves(tmp_path: Path) -> None:
    done = run("draw", TRACTOR, "--animate", "moving.gif", folder=tmp_path)
    assert done.code == 0
    assert "Written: moving.gif" in done.err
    assert Image.open(io.BytesIO((tmp_path / "moving.gif").read_bytes())).n_frames == 60


def test_two_ends_alone_are_drawn(tmp_path: Path) -> None:
    (tmp_path / "ends.toml").write_text(
        "[lever]\nnipple_radius = 26\nstop_distance = 42\nrest_length = 44\nhand_radius = 75\n"
        "hand_travel = 39\n[arm]\nradius = 38\nstop_distance = 95\nrest_length = 90\n"
    )
    done = run("draw", "ends.toml", "--figure", "a.svg", "--json", folder=tmp_path)
    assert done.code == 0
    assert [p["separation_mm"] for p in done.data["positions"]] == [None, None]
    page = run("draw", "ends.toml", folder=tmp_path).out
    assert "faces parted" not in page
    assert "rod travel" not in page


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--at", "400mm"), "at 400mm is outside the stroke: the hand travels from 0 to "),
        (("--at", "-5%"), "at -5% is outside the stroke"),
        (("--at", "half"), "50%"),
        (("--figure", "a.jpg"), "--figure a.jpg"),
        (("--animate", "a.png"), "--animate a.png"),
        (("--change", "longer-arms"), "Did you mean longer-arm"),
        (("--figure", "base_clutch.toml"), "must end in"),
        ((*NINE, "-o", "a.svg"), "too many"),
    ],
)
def test_what_cannot_be_drawn_is_refused_and_nothing_is_written(
    words: tuple[str, ...], said: str, tmp_path: Path
) -> None:
    done = run("draw", TRACTOR, *words, folder=tmp_path)
    assert done.code == 2
    assert said in done.err
    assert done.out == ""
    assert list(tmp_path.iterdir()) == []


def test_a_change_is_drawn_where_the_unchanged_stroke_does_not_reach(tmp_path: Path) -> None:
    text = TRACTOR.read_text(encoding="utf-8")
    text += "\n[changes.further]\nlever.hand_travel = 45.0\n"
    (tmp_path / "a.toml").write_text(text, encoding="utf-8")
    words = ("--change", "further", "--at", "44mm", "-o", "a.svg")
    assert run("draw", "a.toml", *words, folder=tmp_path).code == 0
    assert run("draw", "a.toml", "--at", "44mm", folder=tmp_path).code == 2


@pytest.mark.parametrize("at", [(), ("--at", "20mm")])
def test_what_stops_it_is_named_as_stroke_names_it(at: tuple[str, ...]) -> None:
    words = (GEOMETRIES / "vineyard-sprayer.toml", "--change", "arm-two-splines-on")
    assert "STOP    The arm meets the casing" in run("draw", *words, *at).out
    warnings = run("draw", *words, *at, "--json").data["warnings"]
    assert warnings == run("stroke", *words, "--json").data["warnings"]
    assert any(warning["severity"] == "stop" for warning in warnings)


def test_a_sheet_is_not_written_over_one_that_is_there(tmp_path: Path) -> None:
    (tmp_path / "a.svg").write_text("mine")
    assert run("draw", TRACTOR, "-o", "a.svg", folder=tmp_path).code == 2
    assert (tmp_path / "a.svg").read_text() == "mine"
    assert run("draw", TRACTOR, "-o", "a.svg", "--force", folder=tmp_path).code == 0


@pytest.mark.parametrize(
    ("units", "heads"), [("metric", "at 25 mm  at 30.5 mm"), ("inch", "at 0.98 in  at 1.20 in")]
)
def test_places_asked_for_head_their_columns(units: str, heads: str) -> None:
    done = run("draw", TRACTOR, "--at", "25", "--at", "30.5", "--units", units)
    assert done.code == 0
    assert heads in done.out
    assert "there" not in done.out
