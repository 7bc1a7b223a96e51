"""A sound clutch is told on one screen, the gravest first, and all of it behind --full.

40 lines is what a terminal window shows; common practice, no source.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from clutches import mechanism

import liftgeo
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.words.lines import Headline
from liftgeo.words.stroke_page import stroke_page

ONE_SCREEN, WIDTH = 40, 80
FILE = Path(__file__).resolve().parents[1] / "sound_machines.toml"
SOUND = {
    name: from_document(document)
    for name, document in tomllib.loads(FILE.read_text(encoding="utf-8")).items()
}


def stroke_lines(machine: Mechanism, *, full: bool = False) -> list[str]:
    known = liftgeo.known(machine)
    return stroke_page(liftgeo.stroke(machine), machine, "metric", "mine.toml", known, full=full)


PAGES = {"stroke": stroke_lines}


def place_of(lines: list[str], *starts: str) -> int:
    return next(k for k, line in enumerate(lines) if line.startswith(starts))


@pytest.mark.parametrize("name", SOUND)
@pytest.mark.parametrize("page", PAGES)
def test_a_sound_clutch_is_told_on_one_screen(page: str, name: str) -> None:
    lines = PAGES[page](SOUND[name])
    assert len(lines) <= ONE_SCREEN
    assert max(len(line) for line in lines) <= WIDTH


@pytest.mark.parametrize("page", PAGES)
def test_the_whole_page_holds_the_screen_and_more(page: str) -> None:
    one, whole = (PAGES[page](SOUND["trials-wet-six"], full=full) for full in (False, True))
    assert len(whole) > len(one)
    assert set(one) - set(whole) <= {line for line in one if "--full" in line or "safety" in line}


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("full", [False, True])
def test_verdict_stops_and_cautions_come_first(page: str, full: bool) -> None:
    worn = mechanism(cable={"free_play": 0.1}, engine={"torque": 300})
    lines = PAGES[page](worn, full=full)
    assert isinstance(lines[place_of(lines, "SLIPS", "ALREADY", "LIKELY", "DRAGS")], Headline)
    verdict = place_of(lines, "SLIPS", "ALREADY", "LIKELY", "DRAGS")
    stop, caution = place_of(lines, "STOP"), place_of(lines, "CAUTION", "  CAUTION")
    assert verdict < stop < caution
    rest = [k for k, line in enumerate(lines) if line and k > caution and line.endswith("#")]
    assert not rest or caution < rest[0]


def test_notes_wait_behind_full_and_are_counted() -> None:
    oil = SOUND["trials-wet-six"]
    one, whole = stroke_lines(oil), stroke_lines(oil, full=True)
    assert not any(line.startswith("NOTE") for line in one)
    assert sum(line.startswith("NOTE") for line in whole) == 1
    assert "`--full` prints the rest, a note among it; `liftgeo safety` says in full:" in one


def test_lever_effort_and_grip_take_a_line_each_after_the_bars() -> None:
    lines = stroke_lines(SOUND["mower"])
    order = [
        place_of(lines, word)
        for word in ("RUNS", "Where the lift", "Lever ", "Effort ", "Grip ", "Next:", "Work safely")
    ]
    assert order == sorted(order)
