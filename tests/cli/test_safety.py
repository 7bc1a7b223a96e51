"""`liftgeo safety`, and the cautions in every command's page and JSON."""

from __future__ import annotations

from pathlib import Path

import pytest
from clutches import BASE_TEXT
from command_line import run

from liftgeo.safety import (
    CAUTIONS,
    WORK_SAFELY,
    WORK_SAFELY_AT_LENGTH,
    WORK_SAFELY_IN_BRIEF,
    cautions,
)
from liftgeo.words.lines import wrapped


@pytest.fixture
def file(tmp_path: Path) -> str:
    path = tmp_path / "base.toml"
    path.write_text(BASE_TEXT, encoding="utf-8")
    return str(path)


def test_it_prints_every_caution_in_full_with_its_source() -> None:
    done = run("safety")
    assert (done.code, done.err) == (0, "")
    said = " ".join(done.out.split())
    for title, text, source in CAUTIONS:
        assert f"{title} {text} [{source}]" in said


COMMANDS = {
    "stroke": [],
    "compare": ["better-cable"],
    "size": ["--vary", "cable.free_play=1..2", "--want", "clearance>=0.01"],
    "wear": [],
    "check": [],
    "draw": [],
    "formula": ["--for", "clearance"],
}


@pytest.mark.parametrize("command", COMMANDS)
def test_the_json_of_every_command_carries_the_cautions(command: str, file: str) -> None:
    done = run(command, file, *COMMANDS[command], "--json")
    assert done.code == 0
    assert done.data["cautions"] == cautions()
    assert any(text.startswith("Slip under load: A wheel in the air") for text in cautions())


@pytest.mark.parametrize("command", COMMANDS)
def test_every_page_carries_them_in_brief(command: str, file: str) -> None:
    done = run(command, file, *COMMANDS[command])
    assert WORK_SAFELY in " ".join(done.out.split())


def test_on_a_page_they_take_two_lines() -> None:
    assert len(wrapped(WORK_SAFELY)) == 2


@pytest.mark.parametrize("form", ["--latex", "--markdown"])
def test_the_working_carries_them_in_every_form(form: str, file: str) -> None:
    assert WORK_SAFELY in " ".join(run("formula", file, "--for", "clearance", form).out.split())


def test_a_starter_file_carries_them(tmp_path: Path) -> None:
    run("new", tmp_path / "mine")
    text = (tmp_path / "mine.toml").read_text(encoding="utf-8").replace("\n# ", " ")
    assert WORK_SAFELY_AT_LENGTH in text


@pytest.mark.parametrize("text", [WORK_SAFELY, WORK_SAFELY_IN_BRIEF, WORK_SAFELY_AT_LENGTH])
def test_neither_text_asks_for_a_wheel_in_the_air(text: str) -> None:
    assert "on a stand" not in text
    for word in ("spring", "asbestos", "fingers", "blocked", "nobody in line", "licensed practice"):
        assert word in text


def test_a_clutch_that_does_not_part_is_stopped_in_page_and_json(file: str) -> None:
    text = (
        Path(file).read_text(encoding="utf-8").replace("hand_travel   = 39.0", "hand_travel = 16")
    )
    Path(file).write_text(text, encoding="utf-8")
    said = " ".join(run("stroke", file).out.split())
    assert "STOP: no release; see below" in said
    assert "start off as the engine is started" in said
    warnings = run("stroke", file, "--json").data["warnings"]
    assert ("no-release", "stop") in [(w["key"], w["severity"]) for w in warnings]
